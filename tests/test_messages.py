"""The catalogue: complete, true to the code, and every language's placeholders the same.

Babel, a general library for catalogues, reads the code and the catalogues; it has no part in
running the program.
"""

import re
import string
from pathlib import Path
from typing import Any

import pytest
from babel import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po

from templategen import messages as wording
from templategen.messages import figure, language_wanted, languages, say, say_count, speaking

PACKAGE = Path(wording.__file__).parent
KEYWORDS: dict[str, Any] = {
    "say": None,
    "say_count": (1, 2),
    "mark": None,
    "tr": None,
    "tr_count": (1, 2),
    "tr_noop": None,
}
TYPED = {  # what a person types into a file or a command line keeps its point
    "Width of the beam or bit, as 0.2: SVG and DXF only.",
    'write 0.2 or "0.008 in"',
    'Ovendry mass if known, "1.9 kg".',
    'write "1.9 kg"',
    "write a decimal point, as in 22.5",
    "write 1234 or 1.234 kg",
    'write measured/wanted length, as 179.2/180 or "6 63/64 : 7"',
}
OTHERS = [code for code in languages() if code != wording.ENGLISH]


def _sentences(catalog: Catalog) -> set[tuple[str, ...]]:
    """Every sentence with its translation, plurals after one another."""
    return {(*_ids(m), *_told(m)) for m in catalog if m.id and m.string}


def _catalogue(language: str) -> Catalog:
    path = wording.FOLDER / language / "LC_MESSAGES" / f"{wording.DOMAIN}.po"
    with path.open("rb") as file:
        return read_po(file, locale=language)


@pytest.fixture(scope="module")
def in_code() -> set[str | tuple[str, ...]]:
    """Every message of the code."""
    found = extract_from_dir(PACKAGE, [("**.py", "python")], keywords=KEYWORDS)
    messages = {message for _, _, message, _, _ in found}
    assert len(messages) > 500
    return messages


def _told(message: Message) -> list[str]:
    return [message.string] if isinstance(message.string, str) else list(message.string)


def _ids(message: Message) -> list[str]:
    return [message.id] if isinstance(message.id, str) else list(message.id)


def _fields(text: str) -> set[tuple[str, str, str]]:
    parsed = string.Formatter().parse(text)
    return {(name, spec or "", conversion or "") for _, name, spec, conversion in parsed if name}


def test_there_is_german() -> None:
    """English and German at the least."""
    assert languages()[0] == "en"
    assert "de" in languages()


@pytest.mark.parametrize("language", OTHERS)
def test_every_message_is_translated(language: str, in_code: set[Any]) -> None:
    """No message of the code is missing or left empty, none is kept that the code has no more."""
    messages = {m.id: m for m in _catalogue(language) if m.id}
    assert set(messages) == in_code
    plurals = len(Locale(language).plural_form.tags) + 1
    for message in messages.values():
        assert not message.fuzzy, message.id
        assert all(_told(message)), message.id
        if isinstance(message.id, tuple):
            assert len(message.string) == plurals, message.id


@pytest.mark.parametrize("language", OTHERS)
def test_placeholders_agree(language: str) -> None:
    """Every value of the English goes into the other sentence, written the same way."""
    for message in _catalogue(language):
        if not message.id:
            continue
        wanted = set().union(*(_fields(text) for text in _ids(message)))
        for text in _told(message):
            if not wanted:
                continue  # taken as it stands: a brace is a brace
            left = wanted - _fields(text)
            assert _fields(text) <= wanted, message.id
            assert not left or {name for name, _, _ in left} <= {"count"}, message.id


@pytest.mark.parametrize("language", OTHERS)
def test_the_machine_file_says_what_the_catalogue_says(language: str) -> None:
    """The ``.mo`` in use holds every sentence of the ``.po`` beside it, and no other."""
    path = wording.FOLDER / language / "LC_MESSAGES" / f"{wording.DOMAIN}.mo"
    with path.open("rb") as file:
        compiled = read_mo(file)
    assert _sentences(compiled) == _sentences(_catalogue(language))


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_is_one(language: str) -> None:
    """Whole sentences are not the English ones; figures in them are written the language's way."""
    with speaking(language):
        point = figure(0.5, ".1f")[1] == "."
    for message in _catalogue(language):
        if not message.id:
            continue
        first, told = _ids(message)[0], _told(message)[0]
        plain = re.sub(r"\{[^}]*\}", "", first)
        if len(re.findall(r"[a-z]{3,}", plain)) > 3:
            assert told != first, first
        if first not in TYPED and not point:
            assert not re.search(r"(?<![\d.])\d+\.\d+(?![\d.])", told), told


def test_a_value_is_never_read_as_wording() -> None:
    """Braces, attributes and formats in a value go in as they stand."""
    assert say("{name}: {n}", name="{n.real}{0}{__class__}", n=3) == "{n.real}{0}{__class__}: 3"
    assert say("a {brace}") == "a {brace}"


def test_figures_of_a_language() -> None:
    """German: a comma, and a gap before the sign (DIN 1333 and DIN 5008, from memory)."""
    with speaking("de"):
        assert figure(1234.5, ".2f") == "1234,50"
        assert figure(0.125, ".1%") == "12,5 %"
        assert say("{x:.1f} {y} {z:d}", x=0.5, y="1.5", z=10) == "0,5 1.5 10"
    assert figure(0.125, ".1%") == "12.5%"


def test_plurals_without_a_catalogue() -> None:
    """One and many."""
    assert say_count("{count} bowl", "{count} bowls", 1) == "1 bowl"
    assert say_count("{count} bowl", "{count} bowls", 0) == "0 bowls"


@pytest.mark.parametrize(
    ("words", "environment", "language"),
    [
        ([], {}, "en"),
        ([], {"LANG": "de_DE.UTF-8"}, "de"),
        ([], {"LANG": "de_DE.UTF-8", "LC_ALL": "C"}, "en"),
        ([], {"LANG": "en_US.UTF-8", "LANGUAGE": "xx:de"}, "de"),
        ([], {"LANG": "C", "LANGUAGE": "de"}, "en"),
        ([], {"LC_MESSAGES": "de", "LANG": "en_GB"}, "de"),
        ([], {"LANG": "../../etc"}, "en"),
        (["--language", "de", "plan"], {}, "de"),
        (["--language=de", "plan"], {"LANG": "en"}, "de"),
        (["--language"], {}, "en"),
    ],
)
def test_which_language_a_machine_wants(
    words: list[str], environment: dict[str, str], language: str
) -> None:
    """The option, else GNU gettext's LANGUAGE unless the locale is C, else POSIX's variables."""
    assert language_wanted(words, environment) == language


def test_an_unknown_language_is_refused() -> None:
    """No catalogue, no language; nor is a path one."""
    for name in ("xx", "", "../de", "DE"):
        with pytest.raises(ValueError, match="no catalogue"):
            wording.catalogue(name)
