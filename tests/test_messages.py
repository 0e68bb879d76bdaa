"""The catalogue: complete, true to the code, and every language's placeholders the same.

Babel, a general library for catalogues, reads the code and the catalogues; it has no part in
running the program.
"""

import ast
import pickle
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
from templategen.messages import (
    ENGLISH_WORDING,
    Figure,
    Joined,
    Wording,
    language_wanted,
    languages,
    tr,
    tr_count,
)

PACKAGE = Path(wording.__file__).parent
KEYWORDS: dict[str, Any] = {
    "say": None,
    "say_count": (1, 2),
    "tell": None,
    "mark": None,
    "tr": None,
    "tr_count": (1, 2),
    "tr_noop": None,
}
TYPED = {  # what a person types into a file or a command line keeps its point
    "Width of the beam or bit, as 0.2: SVG and DXF only.",
    'write 0.2 or "0.008 in"',
    "Measured/wanted length, as 179.2/180.",
    "Measured/wanted length, as 251.0/250.",
    "Lean of an upright line to the right over its height, as 0.3/250.",
    "Measured diagonals, the rising one first, as 309.1/307.8.",
    'Ovendry mass if known, "1.9 kg".',
    'write "1.9 kg"',
    "write a decimal point, as in 22.5",
    "write 1234 or 1.234 kg",
    'write measured/wanted length, as 179.2/180 or "6 63/64 : 7"',
}
GERMAN = Wording("de")
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


def test_no_message_hides_in_a_formatted_string() -> None:
    """The extraction of Babel does not look into f-strings: such a message is never translated."""
    hidden = [
        f"{path.name}:{call.lineno}"
        for path in PACKAGE.rglob("*.py")
        for text in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(text, ast.JoinedStr)
        for call in ast.walk(text)
        if isinstance(call, ast.Call)
        and ast.unparse(call.func).rsplit(".", 1)[-1] in KEYWORDS
        and any(isinstance(word, ast.Constant) for word in call.args)
    ]
    assert hidden == []


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
    point = Wording(language).figure(0.5, ".1f")[1] == "."
    for message in _catalogue(language):
        if not message.id:
            continue
        first, told = _ids(message)[0], _told(message)[0]
        plain = re.sub(r"\{[^}]*\}", "", first)
        if len(re.findall(r"[a-z]{3,}", plain)) > 3:
            assert told != first, first
        if first not in TYPED and not point:
            assert not re.search(r"(?<![\d.])\d+\.\d+(?![\d.])", told), told


@pytest.mark.parametrize("language", OTHERS)
def test_every_entry_can_be_rendered(language: str) -> None:
    """No sentence of a catalogue fails when its values are put in."""
    words = Wording(language)
    for message in _catalogue(language):
        first, *others = _ids(message)
        fields = set().union(*(_fields(text) for text in _ids(message)))
        values = {name: _example(spec) for name, spec, _ in fields}
        made = tr(first, **values)
        if others:
            values.pop("count", None)
            made = tr_count(first, others[0], 3, **values)
        assert words.text(made) or not first


def _example(spec: str) -> object:
    if spec.endswith("d"):
        return 3
    return 2.5 if spec[-1:] in ("f", "g", "%", "e") else "x"


def test_a_value_is_never_read_as_wording() -> None:
    """Braces, attributes and formats in a value go in as they stand."""
    text = ENGLISH_WORDING.say("{name}: {n}", name="{n.real}{0}{__class__}", n=3)
    assert text == "{n.real}{0}{__class__}: 3"
    assert ENGLISH_WORDING.say("a {brace}") == "a {brace}"


def test_figures_of_a_language() -> None:
    """German: a comma, and a gap before the sign (DIN 1333 and DIN 5008, from memory)."""
    assert GERMAN.figure(1234.5, ".2f") == "1234,50"
    assert GERMAN.figure(0.125, ".1%") == "12,5 %"
    assert GERMAN.say("{x:.1f} {y} {z:d}", x=0.5, y="1.5", z=10) == "0,5 1.5 10"
    assert GERMAN.text(Figure(12.5, ".1f", "°")) == "12,5°"
    assert ENGLISH_WORDING.figure(0.125, ".1%") == "12.5%"


def test_a_message_is_rendered_late_and_whole() -> None:
    """Messages, figures and lists of texts inside a message are in its language, to any depth."""
    inner = tr("unknown wood {name!r}", name="Zeder")
    row = Joined((tr("is missing"), "R105", Figure(0.5, ".1f")), "; ")
    message = tr("{a} | {b}", a=inner, b=Joined((row, row), " / "))
    assert ENGLISH_WORDING.text(message) == (
        "unknown wood 'Zeder' | is missing; R105; 0.5 / is missing; R105; 0.5"
    )
    assert GERMAN.text(message) == (
        "unbekanntes Holz 'Zeder' | fehlt; R105; 0,5 / fehlt; R105; 0,5"
    )


def test_messages_are_values() -> None:
    """Equal when template and values are; they can be kept in sets and pass between processes."""
    one, two = (tr("{a} of {b}", a=1, b=tr("x")) for _ in range(2))
    assert one == two
    assert len({one, two, tr("{a} of {b}", a=2, b=tr("x"))}) == 2
    assert pickle.loads(pickle.dumps(one)) == one


def test_the_empty_text_stays_empty() -> None:
    """The entry of "" is the heading of a catalogue, never a text."""
    assert GERMAN.text("") == GERMAN.text(tr("")) == ""


def test_plurals() -> None:
    """One and many; ``{count}`` stands for the number."""
    for count, text in ((0, "0 bowls"), (1, "1 bowl"), (2, "2 bowls")):
        message = tr_count("{count} bowl", "{count} bowls", count)
        assert ENGLISH_WORDING.text(message) == text
        assert ENGLISH_WORDING.say_count("{count} bowl", "{count} bowls", count) == text


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
            Wording(name)


def test_german_uses_the_words_of_the_trade() -> None:
    """Words that a German turner does not use, or uses for something else, stand nowhere.

    Common practice, no source: a lathe for wood is a Drechselbank; the Stirnfläche of wood is its
    end grain; Schnitt is a cut, a section is a Halbschnitt; no word is clipped.
    """
    with (PACKAGE / "locale/de/LC_MESSAGES/templategen.po").open("rb") as file:
        german = [text for m in read_po(file, locale="de") if m.id for text in _told(m)]
    strange = re.compile(
        "Drehbank|Maschine aus|Stirnfläche|Schnitt durch|Kernstechen|Freischn[.]|Rohdichtez[.]"
    )
    assert [text for text in german if strange.search(text)] == []
    assert GERMAN.figure(-0.5, ".2f") == "−0,50"
