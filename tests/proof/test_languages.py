"""Packs in one language read, checked and made again where another is spoken."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from builders import _laid_pack, example_plan, laid_pack
from pseudo import MARKED

from templategen import messages
from templategen.messages import Wording
from templategen.output.pdf import write_pdf
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof import pdf_reader
from templategen.proof.pdf_reader import PackFile
from templategen.proof.recipe import NAME, make_recipe, read_recipe, recipe_bytes
from templategen.proof.remake import remake
from templategen.proof.verify import verify
from templategen.units import Units

KINDS = ("section sheet", "gauge stick", "tenon ring")
PLAN = "lakeside-400.toml"


@pytest.fixture
def marked_german(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """German is the language that marks every message."""
    plain = messages.catalogue

    def catalogue(language: str) -> messages.Catalogue:
        return MARKED.catalogue if language == "de" else plain(language)

    monkeypatch.setattr(messages, "catalogue", catalogue)
    for cached in (pdf_reader._sheet_pattern, _laid_pack):
        cached.cache_clear()
    yield
    for cached in (pdf_reader._sheet_pattern, _laid_pack):
        cached.cache_clear()


def _printed(language: str, folder: Path) -> tuple[Path, bytes]:
    """A pack in a language, as a file, and its recipe."""
    plan = example_plan(PLAN)
    style = PrintStyle(units=Units.MM, wording=Wording(language))
    laid = laid_pack(plan, kinds=KINDS, style=style)
    recipe = recipe_bytes(plan, laid)
    path = folder / f"{language}.pdf"
    path.write_bytes(write_pdf(laid, title=plan.job.title, attachments={NAME: recipe}))
    return path, recipe


@pytest.mark.usefixtures("marked_german")
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_pack_in_any_language_is_true(language: str, tmp_path: Path) -> None:
    """Every row is true, and the parts are named as they are printed."""
    path, _ = _printed(language, tmp_path)
    with PackFile(path) as file:
        report = verify(file)
    assert report.is_true, [row for row in report.rows if not row.is_true]
    style = PrintStyle(units=Units.MM, wording=Wording(language))
    titles = {part.title for part in make_parts(example_plan(PLAN), kinds=KINDS, style=style)}
    wording = Wording("en")
    assert all(any(wording.text(row.what).startswith(t) for t in titles) for row in report.parts)


def test_a_pack_in_german_as_it_is_shipped_is_true(tmp_path: Path) -> None:
    """The same with the true catalogue."""
    path, _ = _printed("de", tmp_path)
    with PackFile(path) as file:
        assert verify(file).is_true


@pytest.mark.usefixtures("marked_german")
def test_a_recipe_is_remade_in_its_own_language(tmp_path: Path) -> None:
    """The parts of a recipe are those of its language, also where the job stated none."""
    _, data = _printed("de", tmp_path)
    recipe = read_recipe(data, where="x.pdf")
    assert example_plan(PLAN).job.print.language == ""
    _, parts = remake(recipe)
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    held = make_parts(example_plan(PLAN), kinds=KINDS, style=style)
    assert [part.title for part in parts] == [part.title for part in held]
    assert [part.drawing for part in parts] == [part.drawing for part in held]


def test_figures_of_a_recipe_have_points() -> None:
    """Machine data keep the decimal point in any language; a sentence may have a comma."""
    plan = example_plan(PLAN)
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    held = make_recipe(plan, laid_pack(plan, kinds=("gauge stick",), style=style))
    held["plan"]["findings"] = []
    assert not re.search(r"\d,\d+ mm", json.dumps(held))
