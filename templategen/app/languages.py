"""Which language is printed: what a person asks for, else what a file states, else English."""

from templategen.messages import ENGLISH, Wording


def in_language(language: str) -> Wording:
    """The wording of a language, English for none.

    Raises:
        ValueError: there is no such language.
    """
    return Wording(language or ENGLISH)
