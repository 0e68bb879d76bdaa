"""The sheets in other languages: all of it translated, none of it off the page or over the rest.

Longer wording is tried by 35 %: German runs 10 to 35 % longer than English (W3C, "Text size in
translation", from memory). What is left in English is found by marking whatever is translated.
"""

import functools
import itertools
import re

import pytest
from builders import example_plan, example_shop, laid_pack
from pseudo import MARKED, STRETCHED, unmarked

from templategen.geometry.shapes import Box
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import Text
from templategen.parts.style import PrintStyle
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import Pack, Page, PageFrame
from templategen.sheets.scale_page import scale_pack
from templategen.sheets.work_order import with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

LAKESIDE = "lakeside-400.toml"
KINDS = ("section sheet", "gauge stick", "tenon ring")
PRINTER = PrinterProfile(name="workshop laser 24 letter", across=0.99, down=1.01)
CLUB = "Lakeside turning club (invented)"


@functools.cache
def _packs(wording: Wording) -> dict[str, Pack]:
    """Packs and scale sheets on several papers, in several units, with and without a printer."""
    found = {}
    for paper, units, profile, club in (
        ("a4", Units.MM, None, ""),
        ("letter", Units.IN, PRINTER, CLUB),
        ("a5", Units.BOTH, PRINTER, ""),
    ):
        head = Letterhead(name=club)
        style = PrintStyle(units=units, wording=wording)
        plan = example_plan(LAKESIDE)
        laid = laid_pack(
            plan, kinds=KINDS, paper=paper, style=style, profile=profile, head=head.height
        )
        found[paper] = with_letterhead(laid, head)
    for paper, units in (("a4", Units.MM), ("letter", Units.IN)):
        frame = PageFrame(paper=paper_named(paper), profile=PRINTER)
        style = PrintStyle(units=units, wording=wording)
        found[f"scale {paper}"] = scale_pack(frame, style)
    return found


def _own_texts(page: Page) -> list[Text]:
    """The wording of the page itself: bars, foot, seams, and what the work order says."""
    held = [
        text
        for placement in page.placements
        if placement.part.kind in ("work order", "scale sheet") and not placement.tile
        for text in placement.part.drawing.moved(placement.transform).texts()
    ]
    return [*held, *page.furniture.texts()]


def _touching(page: Page) -> int:
    boxes = [text.bounds() for text in _own_texts(page)]
    return sum(a.meets(b) for a, b in itertools.combinations(boxes, 2))


@pytest.fixture(scope="module")
def english_touching() -> dict[str, int]:
    """How many pairs of texts touch on all pages of each pack in English."""
    packs = _packs(ENGLISH_WORDING)
    return {name: sum(map(_touching, laid.pages)) for name, laid in packs.items()}


@pytest.mark.parametrize(
    "wording", [ENGLISH_WORDING, Wording("de"), STRETCHED], ids=["en", "de", "stretched"]
)
def test_wording_stays_on_the_page_and_apart(
    wording: Wording, english_touching: dict[str, int]
) -> None:
    """Every line of work order, bars, foot, seams and scale sheet lies inside the margins.

    No more lines touch one another than in English.
    """
    for name, laid in _packs(wording).items():
        for page in laid.pages:
            margin = laid.frame.margin
            inside = Box(margin, margin, page.paper.width - margin, page.paper.height - margin)
            for text in _own_texts(page):
                assert inside.holds(text.bounds(), slack=0.01), (name, page.number, text.text)
        assert sum(map(_touching, laid.pages)) <= english_touching[name], name


def _unless_cut_from(given: list[str], cut: re.Match[str]) -> str:
    """Nothing, if a text ending in an ellipsis is the beginning of a given one; else the text."""
    start = cut[0].removesuffix("…").strip()
    return "" if any(g.startswith(start) for g in given) else cut[0]


def test_nothing_is_left_in_english() -> None:
    """Outside the marks of a language that marks all there are ids, user text, units and paper.

    Titles of parts and the cautions are worded in another layer.
    """
    plan, shop = example_plan(LAKESIDE), example_shop(LAKESIDE)
    cautions = [f"• {MARKED.text(caution)}" for caution in cautions_for(shop)]
    given = [plan.job.title, plan.job.date, plan.job.blank.wood, shop.name, CLUB, PRINTER.name]
    for name, laid in _packs(MARKED).items():
        if name.startswith("scale"):
            continue  # worded by its part
        titles = {p.part.title for page in laid.pages for p in page.placements}
        known = sorted([*given, *cautions, *titles], key=len, reverse=True)
        for page in laid.pages:
            fronts = [p for p in page.placements if p.part.kind == "work order"]
            runs = [" ".join(t.text for t in p.part.drawing.texts()) for p in fronts]
            runs += [text.text for text in page.furniture.texts()]
            for run in [*runs, page.label]:
                rest = run
                for text in known:
                    rest = rest.replace(text, " ") if text else rest
                rest = unmarked(
                    re.sub(r"[^·⟧]*…", functools.partial(_unless_cut_from, known), rest)
                )
                words = re.findall(r"[^\W\d_]+", re.sub(r"\b[A-Z]\d+\b", " ", rest))
                assert set(words) <= {"mm", "in"}, (name, page.number, run, words)
            assert any("⟦" in run for run in runs)
