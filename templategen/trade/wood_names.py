"""Names of woods in four languages (data/wood_names.csv), and which wood a written name means.

How a name is matched:

1. Letters are folded: upper and lower case, accents and umlauts do not count (ö = oe = o,
   ß = ss). Words may stand in any order, may be joined or parted ("Berg-Ahorn", "cherry, black");
   articles and the sign of a hybrid do not count.
2. Where nothing is found, plural endings and the words for wood and tree are left out too, also
   at the end of a word ("Eichenholz", "maples", "oak timber").
3. The name then means one wood, or is shared by several (`NameKind`), or is unknown. For an
   unknown name those are offered that differ by a slip of the pen in a word, see `_near_names`.
"""

import csv
import functools
import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from templategen.errors import meant
from templategen.messages import ENGLISH, Joined, Message, Text, Wording, tr, tr_noop

DATA = Path(__file__).resolve().parent / "data" / "wood_names.csv"
MOST_NEAR = 3  # names offered for an unknown one

_LITTLE_WORDS = {"a", "d", "de", "des", "du", "l", "la", "le", "of", "the", "x"}
_LITTLE_WORDS |= {"sp", "spp", "subsp"}
_WOOD_WORDS = {"wood", "woods", "timber", "tree", "trees", "holz", "baum", "bois", "arbre"}
_WOOD_END = re.compile(r"(?<=...)(holz|baume?|woods?|trees?)$")
_PLURAL_END = re.compile(r"(?<=...)(es|en|e|(?<!ch)s|(?<=e[lr])n)$")  # Buchs is no plural


class NameKind(StrEnum):
    """What a name is to its wood; a wood may share the last two with others."""

    COMMON = "common"  # the first name of the wood in a language
    ALIAS = "alias"
    BOTANICAL = "botanical"
    SYNONYM = "synonym"  # botanical, out of use or of another author
    USUAL = "usual"  # a shared name, and the wood it usually means in that language
    POSSIBLE = "possible"  # a shared name, and another wood that it may mean


SHARED = frozenset({NameKind.USUAL, NameKind.POSSIBLE})
LANGUAGES = {  # of the names, in the order in which they are listed
    "en": tr_noop("English"),
    "de": tr_noop("German"),
    "fr": tr_noop("French"),
    "la": tr_noop("Latin"),
}


@dataclass(frozen=True, slots=True)
class WoodName:
    """A name of a wood.

    Args:
        latin: the wood, by its botanical name in the table of woods.
        name: the name as that language writes it.
        language: ISO 639-1 code, with a country where usage differs ("en-GB"); "la" for botany.
        kind: what the name is to the wood.
    """

    latin: str
    name: str
    language: str
    kind: NameKind


@dataclass(frozen=True, slots=True)
class OneWood:
    """The name means one wood."""

    name: str
    latin: str


@dataclass(frozen=True, slots=True)
class AmbiguousWood:
    """The name is shared: by these woods, the usual ones first, and perhaps by others."""

    name: str
    latins: tuple[str, ...]

    @property
    def what(self) -> Message:
        """What is wrong with the name: the woods it may mean."""
        woods = Joined(tuple(WoodLabel(latin, with_latin=True) for latin in self.latins))
        if len(self.latins) == 1:
            return tr("{name!r} may be {woods} or another wood", name=self.name, woods=woods)
        return tr("{name!r} may be one of these: {woods}", name=self.name, woods=woods)

    @property
    def mend(self) -> Message:
        """What to do about it."""
        return tr("write the full or the Latin name")


@dataclass(frozen=True, slots=True)
class UnknownWood:
    """No wood has this name; `near` holds names that differ by a slip of the pen, or none."""

    name: str
    near: tuple[str, ...]

    @property
    def what(self) -> Message:
        """What is wrong with the name."""
        return tr("unknown wood {name!r}", name=self.name)

    @property
    def mend(self) -> Text:
        """What to do about it."""
        if len(self.near) == 1:
            return meant(self.near[0])
        if self.near:
            return tr("near it: {names}", names=Joined(self.near))
        return tr("'templategen wood' lists the woods; a job may give figures of its own, [wood]")


WoodMatch = OneWood | AmbiguousWood | UnknownWood


@dataclass(frozen=True, slots=True)
class WoodLabel:
    """A wood of the table, named in the language of the text it stands in.

    Args:
        latin: the wood.
        with_latin: adds the botanical name in brackets.
    """

    latin: str
    with_latin: bool = False

    def written(self, wording: Wording) -> str:
        """The wood's first name in that language."""
        name = name_in(self.latin, wording.language)
        return f"{name} ({self.latin})" if self.with_latin and name != self.latin else name


@dataclass(frozen=True, slots=True)
class GivenWood:
    """A wood as somebody named it, to be written in the language of a text.

    A name of that language stays as it was given, and so does an unknown or ambiguous one.
    """

    name: str

    def written(self, wording: Wording) -> str:
        """The name in that language.

        >>> GivenWood("Riegelahorn").written(Wording("de"))
        'Riegelahorn'
        >>> GivenWood("Riegelahorn").written(Wording("en"))
        'European sycamore'
        """
        match = match_wood(self.name)
        if not isinstance(match, OneWood):
            return self.name
        language = wording.language
        own = {entry.name for entry in names_of(match.latin) if _is_of(entry, language)}
        given = _keys(self.name, _folded)
        if any(given & _keys(name, _folded) for name in own):
            return self.name
        return name_in(match.latin, language)


@functools.cache
def all_names() -> tuple[WoodName, ...]:
    """All names of all woods, wood by wood, in the order of the table."""
    with DATA.open(encoding="utf-8", newline="") as file:
        return tuple(
            WoodName(row["latin"], row["name"], row["language"], NameKind(row["kind"]))
            for row in csv.DictReader(file)
        )


@functools.cache
def names_of(latin: str) -> tuple[WoodName, ...]:
    """All names of the wood with that botanical name; empty where there is no such wood."""
    return tuple(entry for entry in all_names() if entry.latin == latin)


def name_in(latin: str, language: str) -> str:
    """The first name of a wood in a language, else in English, else its botanical name.

    Args:
        latin: the wood, by its botanical name.
        language: ISO 639-1 code.

    >>> name_in("Acer pseudoplatanus", "de")
    'Bergahorn'
    """
    common = {e.language: e.name for e in names_of(latin) if e.kind is NameKind.COMMON}
    return _capital(common.get(language) or common.get(ENGLISH) or latin)


def names_by_language(latin: str) -> tuple[tuple[Message, str], ...]:
    """All names of a wood, language by language: the language, and its names in one line.

    Names that it shares with other woods stand in brackets.
    """
    lines = []
    for language, label in LANGUAGES.items():
        entries = [entry for entry in names_of(latin) if _is_of(entry, language)]
        own = [entry.name for entry in entries if entry.kind not in SHARED]
        shared = [f"({entry.name})" for entry in entries if entry.kind in SHARED]
        if entries:
            lines.append((tr(label), ", ".join(dict.fromkeys([*own, *shared]))))
    return tuple(lines)


def match_wood(name: str) -> WoodMatch:
    """Which wood a name means: one, one of several, or none that is known.

    Args:
        name: a name in English, German, French or botanical Latin, as people write it.

    >>> match_wood("Cherry, black")
    OneWood(name='Cherry, black', latin='Prunus serotina')
    >>> match_wood("Eschen").latins[0]
    'Fraxinus excelsior'
    """
    for form, index in ((_folded, _folded_index), (_stems, _stem_index)):
        found = _entries(_keys(name, form), index())
        if found:
            break
    else:
        return UnknownWood(name, _near_names(name))
    latins = tuple(dict.fromkeys(entry.latin for entry in found))
    if len(latins) == 1 and any(entry.kind not in SHARED for entry in found):
        return OneWood(name, latins[0])
    less = {entry.latin for entry in found if entry.kind is not NameKind.POSSIBLE}
    return AmbiguousWood(name, tuple(sorted(latins, key=lambda latin: latin not in less)))


def search_names(words: str) -> tuple[str, ...]:
    """The woods that a name means, else those with a name that holds all the words.

    Args:
        words: a name, or words of names, in any language of the table.

    Returns:
        Botanical names: the usual meaning first, or in the order of the table.
    """
    match match_wood(words):
        case OneWood(latin=latin):
            return (latin,)
        case AmbiguousWood(latins=latins):
            return latins
        case UnknownWood():
            wanted = _folded(words)
            return tuple(
                dict.fromkeys(
                    entry.latin
                    for entry in all_names()
                    if wanted and all(word in _key(_folded(entry.name)) for word in wanted)
                )
            )


# -- the forms of a name under which it is looked up ----------------------------------------------


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]


def _is_of(entry: WoodName, language: str) -> bool:
    return entry.language.partition("-")[0] == language


def _folded(name: str) -> tuple[str, ...]:
    """The words of a name without case, accents and little words."""
    letters = unicodedata.normalize("NFKD", name.casefold().replace("œ", "oe").replace("æ", "ae"))
    plain = "".join(c for c in letters if not unicodedata.combining(c))
    words = re.findall(r"[^\W_]+", re.sub(r"([aou])e", r"\1", plain))
    return tuple(word for word in words if word not in _LITTLE_WORDS) or tuple(words)


def _stems(name: str) -> tuple[str, ...]:
    """The words of a name without plural endings and words for wood and tree."""
    words = _folded(name)
    kept = [word for word in words if word not in _WOOD_WORDS] or words
    return tuple(_stem(_WOOD_END.sub("", word)) for word in kept)


def _stem(word: str) -> str:
    """A word without the endings that a plural adds in English, German or French.

    Both the name that is looked up and those of the table lose them, so the stem need not be
    a word.
    """
    if word.endswith("ies"):
        word = word[:-3] + "y"
    while (shorter := _PLURAL_END.sub("", word)) != word:
        word = shorter
    return word


def _key(words: Iterable[str]) -> str:
    return " ".join(words)


def _keys(name: str, form: Callable[[str], tuple[str, ...]]) -> frozenset[str]:
    """What a name is looked up under: its words in a fixed order, and all of them joined."""
    words = form(name)
    return frozenset({_key(sorted(set(words))), "".join(words)}) - {""}


Index = dict[str, tuple[WoodName, ...]]


def _index(form: Callable[[str], tuple[str, ...]]) -> Index:
    found: Index = {}
    for entry in all_names():
        for key in _keys(entry.name, form):
            found[key] = (*found.get(key, ()), entry)
    return found


@functools.cache
def _folded_index() -> Index:
    return _index(_folded)


@functools.cache
def _stem_index() -> Index:
    return _index(_stems)


def _entries(keys: Iterable[str], index: Index) -> tuple[WoodName, ...]:
    return tuple(dict.fromkeys(entry for key in sorted(keys) for entry in index.get(key, ())))


# -- names that are near --------------------------------------------------------------------------


def _near_names(name: str) -> tuple[str, ...]:
    """Names of the table from which a name differs by the fewest slips of the pen.

    Every word must be near its counterpart, see `_slips`.
    """
    words = sorted(_folded(name))
    near: dict[str, int] = {}
    for others, found in _names_by_words().items():
        if words and len(others) == len(words):
            slips = [_slips(word, other) for word, other in zip(words, others, strict=True)]
            if None not in slips:
                near[found] = sum(n for n in slips if n)
    fewest = min(near.values(), default=0)
    return tuple(found for found, slips in near.items() if slips == fewest)[:MOST_NEAR]


@functools.cache
def _names_by_words() -> dict[tuple[str, ...], str]:
    """A name of the table for each set of folded words."""
    names = reversed(all_names())  # the first of several wins
    return {tuple(sorted(_folded(entry.name))): _capital(entry.name) for entry in names}


def _slips(word: str, other: str) -> int | None:
    """How many slips of the pen lie between two words, None where they are not near.

    Words of four letters may differ by one slip, of ten by two; the first letter is the same.
    A word that ends as a known wood (Schwarzeiche) is near no name of another one (Schwarzesche).
    """
    if word == other:
        return 0
    if len(word) < 4 or word[0] != other[0] or abs(len(word) - len(other)) > 2:
        return None
    ends = [word[start:] for start in range(len(word) - 3)]
    if any(end in _one_word_names() and not other.endswith(end) for end in ends):
        return None
    slips = _distance(word, other)
    return slips if slips <= (2 if len(word) >= 10 else 1) else None


@functools.cache
def _one_word_names() -> frozenset[str]:
    names = (_folded(entry.name) for entry in all_names())
    return frozenset(words[0] for words in names if len(words) == 1)


def _distance(word: str, other: str) -> int:
    """Letters left out, added, exchanged, or swapped with the next (optimal string alignment).

    >>> _distance("mapel", "maple"), _distance("chery", "cherry")
    (1, 1)
    """
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, letter in enumerate(word, start=1):
        row = [i]
        for j, wanted in enumerate(other, start=1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (letter != wanted))
            if i > 1 and j > 1 and letter == other[j - 2] and word[i - 2] == wanted:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return last[-1]
