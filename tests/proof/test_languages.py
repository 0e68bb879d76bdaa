"""Packs in one language read, checked and made again where another is spoken."""

import json
import re
from collections.abc import Iterator

import pytest
from builders import _laid_pack, example_plan, laid_pack
from pseudo import MARKED

from templategen import messages
from templategen.messages import Wording
from templategen.output.pdf import write_pdf
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.answers import from_json, to_json
from templategen.proof.recipe import NAME, make_recipe, read_recipe, recipe_bytes
from templategen.proof.remake import remake
from templategen.proof.verify import verify
from templategen.units import Units

KINDS = ("gauge stick", "tenon ring")
PLAN = "small-220.toml"


@pytest.fixture
def marked_german(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """German is the language that marks every message."""
    plain = messages.catalogue

    def catalogue(language: str) -> messages.Catalogue:
        return MARKED.catalogue if language == "de" else plain(language)

    monkeypatch.setattr(messages, "catalogue", catalogue)
    _laid_pack.cache_clear()
    yield
    _laid_pack.cache_clear()


def _printed(language: str) -> tuple[bytes, bytes]:
    """A pack in a language as a file, and its recipe."""
    plan = example_plan(PLAN, with_suggestions=True)
    style = PrintStyle(units=Units.MM, wording=Wording(language))
    laid = laid_pack(plan, kinds=KINDS, style=style)
    recipe = recipe_bytes(plan, laid)
    return write_pdf(laid, title=plan.job.title, attachments={NAME: recipe}), recipe


@pytest.mark.usefixtures("marked_german")
def test_a_pack_in_any_language_is_true() -> None:
    """Every row is true, and the parts are named as they are printed."""
    report = verify(_printed("de")[0], "x.pdf")
    assert report.is_true, [str(row.note) for row in report.rows if not row.is_true]
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    titles = {part.title for part in make_parts(example_plan(PLAN), kinds=KINDS, style=style)}
    named = {str(row.what) for row in report.rows}
    assert all(any(name.startswith(title) for name in named) for title in titles)


def test_a_pack_in_german_as_it_is_shipped_is_true() -> None:
    """The same with the true catalogue; what is told of it can be told in each language."""
    report = verify(_printed("de")[0], "x.pdf")
    assert report.is_true
    frames = from_json(to_json([row.what for row in report.rows]))
    assert "Prüfstrecken, Fußzeile und Rahmen" in [Wording("de").text(what) for what in frames]
    assert "bars, foot and frame" in [Wording("en").text(what) for what in frames]


@pytest.mark.usefixtures("marked_german")
def test_a_recipe_is_remade_in_its_own_language() -> None:
    """The parts of a recipe are those of its language, also where the job stated none."""
    _, data = _printed("de")
    recipe = read_recipe(data, where="x.pdf")
    assert example_plan(PLAN).job.print.language == ""
    parts = remake(recipe).parts
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
