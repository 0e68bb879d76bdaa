"""Text that people read: a `Message` in English with values, and the `Wording` that renders it.

Lower layers return messages (`tr`, `tr_count`); a command, a page, a part or a sheet renders them
with the wording it was given. gettext looks up other languages in
``templategen/locale/LANGUAGE/LC_MESSAGES/templategen.po``; how a language writes numbers is in its
catalogue too. Imports nothing of the project.
"""

import functools
import gettext
import itertools
import string
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol, runtime_checkable

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


@runtime_checkable
class Written(Protocol):
    """A value of a message that is written when the message is rendered."""

    def written(self, wording: "Wording") -> str:
        """The value as text in a language."""
        ...


class InEnglish:
    """A value that `str` writes in English."""

    __slots__ = ()

    def written(self, wording: "Wording") -> str:
        """The value as text in a language."""
        raise NotImplementedError

    def __str__(self) -> str:
        """The value in English."""
        return self.written(ENGLISH_WORDING)


@dataclass(frozen=True, slots=True)
class Message(InEnglish):
    """A sentence in English with its values, rendered later (`Wording.text`).

    Args:
        template: English, with ``{name}`` for each value; the key in the catalogue.
        values: texts, whole numbers, floats, messages or other `Written` values, by name.
        many: the template for several, where the wording depends on `count`; else empty.
        count: the number it depends on.
    """

    template: str
    values: tuple[tuple[str, object], ...] = ()
    many: str = ""
    count: int = 0

    def written(self, wording: "Wording") -> str:
        """The sentence in a language."""
        return wording.text(self)


Text = str | Written  # what a fault, a finding or a label holds


@dataclass(frozen=True, slots=True)
class Figure(InEnglish):
    """A number with a format specification, its decimal sign settled when it is rendered.

    >>> ENGLISH_WORDING.text(Figure(12.5, ".1f", "°"))
    '12.5°'
    """

    value: float
    spec: str
    unit: str = ""  # put behind the number as it stands

    def written(self, wording: "Wording") -> str:
        """The number as a language writes it."""
        return wording.figure(self.value, self.spec) + self.unit


@dataclass(frozen=True, slots=True)
class Joined(InEnglish):
    """Several texts with a separator between them.

    >>> ENGLISH_WORDING.text(Joined((tr("wall"), "R105"), "; "))
    'wall; R105'
    """

    parts: tuple[Text, ...]
    separator: str = ", "

    def written(self, wording: "Wording") -> str:
        """The texts in a language, one after another."""
        return self.separator.join(wording.text(part) for part in self.parts)


def tr(template: str, /, **values: object) -> Message:
    """A message to be rendered later.

    Args:
        template: English, with ``{name}`` for each value; doubled braces for a brace. Without
            values it is taken as it stands.
        values: what goes in. Floats are written as the language writes them, messages in its
            words; texts go in as they are, whatever they hold.

    >>> str(tr("{share:.0%} of {name}", share=0.5, name="{the rim}"))
    '50% of {the rim}'
    """
    return Message(template, tuple(values.items()))


def tr_count(one: str, many: str, count: int, /, **values: object) -> Message:
    """A message whose wording depends on a number; ``{count}`` stands for it.

    >>> str(tr_count("{count} bowl", "{count} bowls", 2))
    '2 bowls'
    """
    return Message(one, tuple(values.items()), many, count)


def tr_noop(template: str) -> str:
    """Enters a constant into the catalogue; it is rendered where it is used."""
    return template


@dataclass(frozen=True, slots=True)
class Wording:
    """A language in which messages are rendered.

    Args:
        language: ISO 639-1 code.
        words: another catalogue than the language's own.

    Raises:
        ValueError: the language has no catalogue and `words` is None.

    >>> Wording("en").say("{share:.0%} of {name}", share=0.5, name="the rim")
    '50% of the rim'
    """

    language: str
    words: Catalogue | None = None

    def __post_init__(self) -> None:
        if self.words is None:
            catalogue(self.language)

    @property
    def catalogue(self) -> Catalogue:
        """The sentences of the language."""
        return catalogue(self.language) if self.words is None else self.words

    def text(self, message: Text) -> str:
        """A message, or another text of a fault or label, in this language."""
        if isinstance(message, str):
            return message
        if not isinstance(message, Message):
            return message.written(self)
        values = {name: self._value(value) for name, value in message.values}
        if message.many:
            found = self.catalogue.ngettext(message.template, message.many, message.count)
            values["count"] = message.count
        elif not message.template:  # the entry of "" is the heading of a catalogue
            return ""
        else:
            found = self.catalogue.gettext(message.template)
        return _Format(self).vformat(found, (), values) if values else found

    def say(self, template: str, /, **values: object) -> str:
        """The sentence `tr` would make, in this language."""
        return self.text(tr(template, **values))

    def say_count(self, one: str, many: str, count: int, /, **values: object) -> str:
        """The sentence `tr_count` would make, in this language."""
        return self.text(tr_count(one, many, count, **values))

    def figure(self, value: float, spec: str) -> str:
        """A number by a format specification, as this language writes it.

        >>> Wording("de").figure(0.5, ".2f")
        '0,50'
        """
        return self.in_figures(format(value, spec))

    def in_figures(self, text: str) -> str:
        """A number already written in English, with the decimal and minus sign of this language.

        >>> Wording("de").in_figures("-0.5")
        '−0,5'
        """
        # The next entries show how a language writes half, half in percent, and minus one.
        decimal = self.catalogue.gettext("0.5")
        percent = self.catalogue.gettext("50%")
        if text.startswith("-"):
            text = self.catalogue.gettext("-1")[:-1] + text[1:]
        if decimal != "0.5":
            text = text.replace(".", decimal[1:-1])
        return text.replace("%", percent[2:]) if percent != "50%" else text

    def _value(self, value: object) -> object:
        if type(value) in (str, int, float):  # most are, and the next question takes long
            return value
        return value.written(self) if isinstance(value, Written) else value


class _Format(string.Formatter):
    """Named fields only, no look into a value's attributes; numbers as the language writes them."""

    def __init__(self, wording: Wording) -> None:
        self.wording = wording

    def get_field(self, field_name: str, args: Sequence[Any], kwargs: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as the library
        return kwargs[field_name], field_name

    def format_field(self, value: Any, format_spec: str) -> str:  # noqa: ANN401 - as the library
        text = str(format(value, format_spec))
        return self.wording.in_figures(text) if isinstance(value, float) else text


ENGLISH_WORDING = Wording(ENGLISH)
_ENTRIES = (tr_noop("0.5"), tr_noop("50%"), tr_noop("-1"))


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
