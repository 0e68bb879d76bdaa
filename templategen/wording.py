"""Wording in the turner's language: one catalogue for all that is printed and shown.

Sentences stand in the code in English, as calls of `say`; gettext looks up the others in
``templategen/locale/LANGUAGE/LC_MESSAGES/templategen.po``. How a language writes numbers stands
in its catalogue too, so a language is added by adding one. Imports nothing of the project.
"""

import contextlib
import contextvars
import functools
import gettext
import itertools
import os
import string
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

DOMAIN = "templategen"
FOLDER = Path(__file__).resolve().parent / "locale"
ENGLISH = "en"  # the language of the code: needs no catalogue

Catalogue = gettext.NullTranslations


@functools.cache
def languages() -> tuple[str, ...]:
    """The languages there are, as ISO 639-1 codes, English first."""
    found = {p.parent.parent.name for p in FOLDER.glob(f"*/LC_MESSAGES/{DOMAIN}.mo")}
    return ENGLISH, *sorted(found - {ENGLISH})


@functools.cache
def catalogue(language: str) -> Catalogue:
    """The catalogue of a language.

    Raises:
        ValueError: the language has none.
    """
    if language not in languages():
        raise ValueError(f"no catalogue for {language!r}")
    if language == ENGLISH:
        return Catalogue()
    return gettext.translation(DOMAIN, FOLDER, [language])


_spoken: contextvars.ContextVar[tuple[str, Catalogue]] = contextvars.ContextVar(
    "spoken",
    default=(ENGLISH, Catalogue()),
)


def spoken() -> str:
    """The language in use, as an ISO 639-1 code."""
    return _spoken.get()[0]


def speak(language: str) -> None:
    """Uses a language from here on, in this thread.

    Raises:
        ValueError: the language has no catalogue.
    """
    _spoken.set((language, catalogue(language)))


@contextlib.contextmanager
def speaking(language: str, words: Catalogue | None = None) -> Iterator[None]:
    """Uses a language inside a ``with`` block; `words` instead of its own catalogue.

    Raises:
        ValueError: the language has no catalogue and `words` is None.
    """
    token = _spoken.set((language, catalogue(language) if words is None else words))
    try:
        yield
    finally:
        _spoken.reset(token)


def language_wanted(words: Sequence[str], environment: Mapping[str, str]) -> str:
    """The language for the screen before any file is read.

    ``--language`` goes before the environment; variables in the order of POSIX (XBD 8.2, from
    memory) with GNU gettext's LANGUAGE list before them. An unknown one falls back to English:
    the option itself is checked later, where a fault can be said.

    Args:
        words: the words of the command line, the program's name left out.
        environment: such as `os.environ`.

    >>> language_wanted(["--language", "en", "plan"], {"LANG": "de_DE.UTF-8"})
    'en'
    """
    asked = [b for a, b in itertools.pairwise(words) if a == "--language"]
    asked += [w.partition("=")[2] for w in words if w.startswith("--language=")]
    if not asked:
        names = ("LC_ALL", "LC_MESSAGES", "LANG")
        locale = next((environment[n] for n in names if environment.get(n)), "C")
        if locale not in ("C", "POSIX", "C.UTF-8"):
            asked = [*environment.get("LANGUAGE", "").split(":"), locale]
    for text in asked:
        code = text.partition(".")[0].partition("_")[0].partition("-")[0].lower()
        if code in languages():
            return code
    return ENGLISH


def speak_as_wanted(words: Sequence[str]) -> None:
    """Uses the language that the command line or the machine asks for."""
    speak(language_wanted(words, os.environ))


def mark(text: str) -> str:
    """Enters a constant into the catalogue; `say` translates it where it is used."""
    return text


def say(text: str, /, **values: object) -> str:
    """A sentence in the language in use.

    Args:
        text: English, with ``{name}`` for each value; doubled braces for a brace. Without values
            it is taken as it stands.
        values: what goes in. Numbers are written as the language writes them; texts go in as
            they are, whatever they hold.

    >>> say("{share:.0%} of {name}", share=0.5, name="{the rim}")
    '50% of {the rim}'
    """
    found = _spoken.get()[1].gettext(text) if text else ""  # the entry of "" is the heading
    return _FORMAT.vformat(found, (), values) if values else found


def say_count(one: str, many: str, count: int, /, **values: object) -> str:
    """A sentence whose wording depends on a number; ``{count}`` stands for it.

    >>> say_count("{count} bowl", "{count} bowls", 2)
    '2 bowls'
    """
    found = _spoken.get()[1].ngettext(one, many, count)
    return _FORMAT.vformat(found, (), {"count": count, **values})


def figure(value: float, spec: str) -> str:
    """A number by a format specification, as the language in use writes it.

    >>> figure(0.5, ".2f"), figure(0.5, ".0%")
    ('0.50', '50%')
    """
    return in_figures(format(value, spec))


def in_figures(text: str) -> str:
    """A number already written in English, with the decimal sign of the language in use.

    >>> in_figures("3 31/32 in (3.976)")
    '3 31/32 in (3.976)'
    """
    # The next two entries show how a language writes half, and half in percent.
    decimal = _spoken.get()[1].gettext("0.5")
    percent = _spoken.get()[1].gettext("50%")
    if decimal != "0.5":
        text = text.replace(".", decimal[1:-1])
    return text.replace("%", percent[2:]) if percent != "50%" else text


class _Format(string.Formatter):
    """Named fields only, no look into a value's attributes; numbers as the language writes them."""

    def get_field(self, field_name: str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as the library
        return kwargs[field_name], field_name

    def format_field(self, value: Any, format_spec: str) -> str:  # noqa: ANN401 - as the library
        text = str(format(value, format_spec))
        return in_figures(text) if isinstance(value, float) else text


_FORMAT = _Format()
_ENTRIES = (mark("0.5"), mark("50%"))
