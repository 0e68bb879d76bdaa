"""The work order: complete, on one page, true to size, its wording apart."""

import dataclasses
import functools
import re
from collections import Counter
from collections.abc import Callable

import numpy as np
import pypdfium2 as pdfium
import pytest
from builders import example_plan, example_shop, laid_pack, make_cutters, make_jaws, make_job
from numpy.typing import NDArray
from shapely.geometry import Polygon

from templategen.geometry.shapes import Box, Point
from templategen.messages import ENGLISH_WORDING, Wording, tr
from templategen.nest.plan import Level, Plan, Rule
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.cautions import CAUTIONS, SPEED_ON_THE_CARD
from templategen.parts.drawing import Drawing, Part, Path, rectangle
from templategen.parts.registry import usual_kinds
from templategen.parts.shop_set import shop_plan
from templategen.parts.style import PrintStyle
from templategen.parts.work_order import card_outline, runs
from templategen.sheets.page import Pack, Page, PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.choices import Order
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import Group, PartKind
from templategen.trade.printer import PrinterProfile
from templategen.trade.records import LengthWall
from templategen.units import Units

LAKESIDE = "lakeside-400.toml"
DPI = 600
PIXEL = 25.4 / DPI  # mm


@pytest.fixture(scope="module", params=["a4", "a5"])
def pack(request: pytest.FixtureRequest) -> Pack:
    """The 400 × 180 example (invented) for an invented printer."""
    profile = PrinterProfile(name="study", across=0.99, down=1.01)
    kinds = ("section sheet", "log overlay", "cut plate", "cutter arc", "tenon ring")
    return laid_pack(example_plan(LAKESIDE), kinds=kinds, paper=request.param, profile=profile)


def _words(pack: Pack) -> str:
    """All wording of the work order's pages, in the order of its lines."""
    drawings = [
        p.part.drawing
        for page in pack.pages
        for p in page.placements
        if p.part.kind == "work order"
    ]
    return " ".join(text.text for drawing in drawings for text in drawing.texts())


def test_it_names_every_part_with_its_sheets(pack: Pack) -> None:
    """Each kind stands in its step with the sheets it is on; no sheet of the pack is left out."""
    words, named = _words(pack), set()
    for kind in PartKind:
        sheets = [
            page.number
            for page in pack.pages
            if any(
                p.part.kind == kind.value and not p.part.key.startswith("work-order")
                for p in page.placements
            )
        ]
        if sheets and isinstance(kind, PartKind):
            assert f"{ENGLISH_WORDING.text(kind.label)} {runs(sheets)}" in words
            named |= set(sheets)
    own = {page.number for page in pack.pages if "work-order" in page.placements[0].part.key}
    assert named | own == {page.number for page in pack.pages}


def test_it_holds_nest_cuts_and_cautions(pack: Pack) -> None:
    """Numbers of all bowls and cuts, the cuts in working order with their cutters, all cautions."""
    plan, words = example_plan(LAKESIDE), _words(pack)
    texts = [t.text for p in pack.pages[0].placements for t in p.part.drawing.texts()]
    for bowl in plan.bowls:
        assert str(bowl.number) in texts
    for cut in plan.cuts:
        assert texts.count(str(cut.number)) >= 2  # its own, and that of the bowl
    by_number = {cut.number: cut.cutter.id for cut in plan.cuts}
    order = ", ".join(f"{n} ({by_number[n]})" for n in plan.sequence)
    assert order in words
    for caution in CAUTIONS:
        assert ENGLISH_WORDING.text(caution) in words or caution is SPEED_ON_THE_CARD
    assert plan.speed is not None
    speed, start = plan.speed.max_rpm, plan.speed.start_rpm
    assert f"Core this blank at {speed:.0f} rpm at most, start at {start:.0f}." in words
    assert "Corrected for the printer study" in words


def test_each_tiled_part_is_sketched(pack: Pack) -> None:
    """Each of three tiles and more stands in the sketches with its sheet, its laps shaded."""
    placements = [p for page in pack.pages for p in page.placements]
    drawings = [p.part.drawing for p in placements if p.part.kind == "work order"]
    words = [t.text for drawing in drawings for t in drawing.texts()]
    tiles = [(p, page.number) for page in pack.pages for p in page.placements if p.tile]
    assert tiles or pack.paper.name != "a5"  # on larger paper few parts are cut up, or none
    counts = Counter(placement.part.key for placement, _ in tiles)
    tiles = [tile for tile in tiles if counts[tile[0].part.key] > 2]  # two have one seam only
    for placement, number in tiles:
        own = {placement.tile, f"({number})"}
        assert f"{placement.tile} ({number})" in words or own <= {*words}
    filled = [p for drawing in drawings for p in drawing.paths() if p.fill not in (None, 1.0)]
    assert len(filled) >= len({placement.part.key for placement, _ in tiles})


@functools.cache
def _outer_first() -> Plan:
    """A plan with much to watch (invented): walls, tenons and jaws of three bowls."""
    job = make_job(380, 165, wood="Black cherry", order=Order.OUTER_FIRST, wall=LengthWall(20.0))
    return make_plan(job, example_shop(LAKESIDE), with_suggestions=False)


@functools.cache
def _five_cutters() -> Plan:
    """Five bowls, cut with the longest steps (invented)."""
    shop = dataclasses.replace(
        example_shop(LAKESIDE),
        cutters=make_cutters(70, 95, 125, 160, 200, kerf=7),
        jaws=make_jaws(40, 55, 80, 110, 150, 190, max_gap=2.0),
    )
    job = make_job(450, 200, wood="Sugar maple", wall=LengthWall(14.0), min_bowl=70.0)
    return make_plan(job, shop, with_suggestions=False)


ONE_PAGE: dict[str, Callable[[], Plan]] = {
    "lakeside": lambda: example_plan(LAKESIDE),
    "small": lambda: example_plan("small-220.toml"),
    "inch": lambda: example_plan("inch-15.toml"),
    "outer first": _outer_first,
    "five cutters": _five_cutters,
}


def _stand_ins(plan: Plan) -> list[Part]:
    """Two parts that fill a sheet for each usual kind: as many sheets as the steps ever name."""
    plate = Drawing(items=(rectangle(Box(0.0, 0.0, 150.0, 180.0)),))
    return [
        Part(kind=kind, key=f"{kind.value}-{n}", title=kind.value, drawing=plate)
        for kind in usual_kinds(plan)
        for n in range(2)
    ]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("name", ONE_PAGE)
def test_it_is_one_page(name: str, language: str, paper: str) -> None:
    """With all kinds of parts of a pack the work order is one page, of 8.5 pt or more."""
    plan = ONE_PAGE[name]()
    style = PrintStyle(units=plan.job.units, wording=Wording(language))
    frame = PageFrame(paper=paper_named(paper))
    made = make_pack(plan, _stand_ins(plan), frame=frame, style=style)
    first, *others = (
        placement.part
        for page in made.pages
        for placement in page.placements
        if placement.part.kind == PartKind.WORK_ORDER
    )
    assert not others
    sizes = [text.size for text in first.drawing.texts() if not text.text.isdigit()]
    assert min(sizes) >= 8.5 * 25.4 / 72 - 1e-9


def test_words_keep_apart_and_on_the_paper(pack: Pack) -> None:
    """No two lines of wording of a page meet, and the corrected page stays 5 mm inside the paper.

    Wording of a part that no tile shows whole is cut by its window, so it is left out here.
    """
    for page in pack.pages:
        texts = list(page.furniture.texts())
        for placement in page.placements:
            moved = placement.part.drawing.moved(placement.transform)
            texts += [t for t in moved.texts() if placement.clip.holds(t.bounds())]
        boxes = [t.bounds().grown(-0.3) for t in texts]
        for n, box in enumerate(boxes):
            for corner in (Point(box.left, box.bottom), Point(box.right, box.top)):
                x, y = page.correction.apply(corner)
                assert 5 <= x <= page.paper.width - 5
                assert 5 <= y <= page.paper.height - 5
            for m in range(n):
                if box.meets(boxes[m]):  # slanted wording fills a part of its upright box only
                    both = [Polygon(texts[k].corners()).buffer(-0.3) for k in (n, m)]
                    assert not both[0].intersects(both[1]), (page.label, texts[n].text)


def test_a_shop_set_has_no_nest() -> None:
    """The set of a shop is one step, done once; nothing in it is cut from a blank."""
    plan = example_plan(LAKESIDE)
    laid = laid_pack(plan, kinds=("cutter arc", "tenon ring"))
    assert {page.use.group for page in laid.pages if page.use} == {
        Group.READ_FIRST,
        Group.TURN,
        Group.SHOP,
    }
    bare = shop_plan(plan.shop)
    assert not bare.bowls


def _outline(page: Page) -> Box:
    """Where the outline of the card should be, page mm."""
    wanted = card_outline(Box(0.0, -53.98, 85.60, 0.0))
    for placement in page.placements:
        for path in placement.part.drawing.moved(placement.transform).paths():
            if _alike(path, wanted):
                return path.bounds()
    raise AssertionError("no outline of a card")


def _alike(path: Path, other: Path) -> bool:
    box, wanted = path.bounds(), other.bounds()
    return (
        len(path.segments) == len(other.segments)
        and abs(box.width - wanted.width) < 0.1
        and abs(box.height - wanted.height) < 0.1
    )


def _middle(dark: NDArray[np.float64]) -> float:
    """Centre of the darkness along the rows of a strip, pixels."""
    weight = dark.sum(axis=0)
    return float((weight * np.arange(len(weight))).sum() / weight.sum())


def test_the_card_outline_is_true_in_pixels() -> None:
    """As pdfium draws it at 600 dpi: 85.60 × 53.98 mm, corner radius 3.18 mm.

    ISO/IEC 7810:2019, ID-1 (figures as the design of this project gives them, from memory).
    """
    plan = example_plan("small-220.toml")
    laid = laid_pack(plan, kinds=("setting card",), style=PrintStyle(units=Units.MM))
    document = pdfium.PdfDocument(write_pdf(laid, title="card", attachments={}))
    bitmap = document[0].render(scale=DPI / 72, grayscale=True).to_numpy()
    dark = 255 - bitmap.reshape(bitmap.shape[:2])
    box, height = _outline(laid.pages[0]), laid.pages[0].paper.height
    across, down = dark.shape[1] / laid.pages[0].paper.width, dark.shape[0] / height

    def strip(left: float, bottom: float, right: float, top: float) -> NDArray[np.float64]:
        return dark[
            round((height - top) * down) : round((height - bottom) * down),
            round(left * across) : round(right * across),
        ].astype(np.float64)

    middle = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    sides = [
        round((x - 1) * across) + _middle(strip(x - 1, middle[1] - 8, x + 1, middle[1] + 8))
        for x in (box.left, box.right)
    ]
    ends = [
        round((height - y - 1) * down)
        + _middle(strip(middle[0] - 8, y - 1, middle[0] + 8, y + 1).T)
        for y in (box.bottom, box.top)
    ]
    assert (sides[1] - sides[0]) / across == pytest.approx(85.60, abs=0.02)
    assert (ends[0] - ends[1]) / down == pytest.approx(53.98, abs=0.02)
    # The circle through the lower left corner's arc, fitted to its dark pixels (least squares).
    corner = strip(box.left - 0.5, box.bottom - 0.5, box.left + 3.0, box.bottom + 3.0)
    rows, columns = np.nonzero(corner > 128)
    x, y = columns / across, rows / down
    fit, *_ = np.linalg.lstsq(
        np.stack([2 * x, 2 * y, np.ones_like(x)], axis=1), x**2 + y**2, rcond=None
    )
    assert np.sqrt(fit[2] + fit[0] ** 2 + fit[1] ** 2) == pytest.approx(3.18, abs=0.12)


def test_it_names_all_that_forbids_the_plan_and_what_to_watch(pack: Pack) -> None:
    """Every stop and every caution of the plan, before the cautions that hold for any."""
    plan, words = example_plan(LAKESIDE), _words(pack)
    watched = [f for f in plan.findings if f.level in (Level.STOP, Level.CAUTION)]
    assert watched
    for finding in watched:
        text = ENGLISH_WORDING.text(finding.text)
        said = "Core this" if finding.rule is Rule.SPEED else text[0].upper() + text[1:]
        assert -1 < words.find(said) < words.find(ENGLISH_WORDING.text(CAUTIONS[0]))


def test_what_bowls_share_is_said_once() -> None:
    """A plan whose three cores find no jaws when dry says so in one caution, with each figure."""
    plan = _outer_first()
    held = [f for f in plan.findings if f.rule is Rule.HELD_AGAIN]
    assert len(held) == 3
    words = _words(laid_pack(plan, kinds=("tag",)))
    assert words.count("dried tenon") == 1
    for finding in held:
        shown = ENGLISH_WORDING.text(finding.text)
        assert all(figure in words for figure in re.findall(r"\d+\.\d+ mm", shown))


def test_no_log_no_log_to_lay_out() -> None:
    """A job that states no log has its disc drawn and sawn, and nothing is said of a log."""
    plan = example_plan("small-220.toml")
    assert plan.job.log is None
    words = _words(laid_pack(plan, kinds=("blank disc",)))
    assert "Draw the disc, saw it" in words
    assert "Lay out the log" not in words


def test_cautions_keep_their_heading_on_the_next_page() -> None:
    """Where a plan has more cautions than fit on the page, the next one is headed as theirs too."""
    plan = example_plan(LAKESIDE)
    found = [f for f in plan.findings if f.rule is not Rule.SPEED]
    cautions = tuple(
        dataclasses.replace(f, level=Level.CAUTION, text=tr(f"{n} {ENGLISH_WORDING.text(f.text)}"))
        for n in range(4)
        for f in found
    )
    laid = laid_pack(dataclasses.replace(plan, findings=cautions), paper="letter")
    first, *others = (
        [text.text for text in p.part.drawing.texts()]
        for page in laid.pages
        for p in page.placements
        if p.part.kind == "work order"
    )
    assert "Cautions, first those of this plan" in first
    assert others
    assert all("Cautions" in texts for texts in others)
