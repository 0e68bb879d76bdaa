"""Texts that come from another process: written there in every language there is."""

from collections.abc import Mapping
from dataclasses import dataclass

from templategen.messages import ENGLISH, Text, Wording, languages


def in_all_languages(text: Text) -> dict[str, str]:
    """A text by the language it is written in."""
    return {language: Wording(language).text(text) for language in languages()}


@dataclass(frozen=True, slots=True)
class Spoken:
    """A text by language; see `in_all_languages`."""

    texts: Mapping[str, str]

    def written(self, wording: Wording) -> str:
        """The text in a language, in English where there is none."""
        return self.texts.get(wording.language) or self.texts.get(ENGLISH, "")

    def __str__(self) -> str:
        """The text in English."""
        return self.texts.get(ENGLISH, "")
