"""The words of the page: all from the catalogue, none in the scripts, none for nothing."""

import re
from pathlib import Path

import pytest

import templategen
from templategen.messages import Wording, languages
from templategen.page.words import ENTRIES

STATIC = Path(templategen.__file__).parent / "page" / "static"
SCRIPTS = {path: path.read_text(encoding="utf-8") for path in sorted(STATIC.rglob("*.js"))}


def _wanted() -> tuple[set[str], list[str]]:
    """Keys that the scripts name, and patterns of those that they put together."""
    text = "\n".join(SCRIPTS.values())
    whole = set(re.findall(r'"((?:[a-z]+\.)*[a-z_0-9]+)"', text))
    named = set(re.findall(r'\bt\(\s*"([^"]+)"', text))
    parts = re.findall(r"\bt\(\s*`([^`]+)`", text)
    patterns = [re.sub(r"\\\$\\\{.*?\\\}", r"[\\w.]+", re.escape(part)) for part in parts]
    assert named
    return named | (whole & set(ENTRIES)), patterns


def test_every_word_that_a_script_asks_for_is_there() -> None:
    """A key without words would show itself on the page."""
    named, patterns = _wanted()
    assert not named - set(ENTRIES)
    for pattern in patterns:
        assert any(re.fullmatch(pattern, key) for key in ENTRIES), pattern


def test_no_word_is_there_for_nothing() -> None:
    """A translator is given what is shown, and no more."""
    named, patterns = _wanted()
    unused = [
        key
        for key in set(ENTRIES) - named
        if not any(re.fullmatch(pattern, key) for pattern in patterns)
    ]
    assert not unused


@pytest.mark.parametrize("language", [code for code in languages() if code != "en"])
def test_every_language_has_all_words_with_their_values(language: str) -> None:
    """No English on a German page, and no value lost."""
    catalogue = Wording(language).catalogue
    for key, text in ENTRIES.items():
        own = catalogue.gettext(text)
        assert sorted(re.findall(r"\{\w+\}", own)) == sorted(re.findall(r"\{\w+\}", text)), key
        same = {"foot", "theme.auto", "pack.units.mm", "units.mm", "units.in", "pack.format.pdf"}
        assert own != text or key in same, key


def test_the_page_has_no_style_or_script_of_its_own() -> None:
    """The content policy forbids inline styles, inline scripts and text made into markup."""
    index = (STATIC / "index.html").read_text(encoding="utf-8")
    assert not re.findall(r"<style|style=|<script(?![^>]*\bsrc=)| on\w+=", index)
    for path, text in SCRIPTS.items():
        assert not re.findall(r"innerHTML|insertAdjacentHTML|\beval\(|new Function", text), path


def test_nothing_of_the_page_comes_from_elsewhere() -> None:
    """No address of another machine; XML's own names of its languages load nothing."""
    for path in STATIC.rglob("*"):
        if path.suffix in (".js", ".css", ".html"):
            found = re.findall(
                r"https?://[^\s\"')]+|//[a-z]+\.[a-z]+", path.read_text(encoding="utf-8")
            )
            assert set(found) <= {"http://www.w3.org/2000/svg"}, path
