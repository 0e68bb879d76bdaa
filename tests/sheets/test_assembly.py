"""How tiled parts are glued together: what the cover draws, and what each lap says."""

import itertools
import math
import re
from pathlib import Path

import pytest
from shapely.geometry import box as area_of

from templategen.geometry.shapes import Box, Line, Point
from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.parts.drawing import Drawing
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets import cover
from templategen.sheets.cover import make_pack
from templategen.sheets.page import Pack, Page, Placement
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.trade.wood import nearest_wood

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture(scope="module", params=["a4", "a5"])
def pack(request: pytest.FixtureRequest) -> Pack:
    """The 400 × 180 example (invented): on A4 a few seams, on A5 many, crossing ones among them."""
    job = read_job(EXAMPLES / "lakeside-400.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    kinds = ("section sheet", "cut plate", "cutter arc", "tenon ring")
    parts = make_parts(plan, kinds=kinds, style=PrintStyle(units=job.units))
    profile = PrinterProfile(name="study", across=0.99, down=1.01)
    return make_pack(
        plan, parts, paper=paper_named(request.param), units=job.units, profile=profile
    )


def _tiles(pack: Pack) -> dict[tuple[str, str], tuple[Page, Placement]]:
    return {
        (p.part.key, p.tile): (page, p) for page in pack.pages for p in page.placements if p.tile
    }


def test_each_lap_says_trim_or_glue(pack: Pack) -> None:
    """Of two tiles that meet, one says trim or fold and glue over, the other that it is glued."""
    tiles = _tiles(pack)
    seams = {
        (mark.part_key, *sorted(re.findall(r"[A-Z]\d+", mark.label.rsplit(" ", 2)[1])))
        for page in pack.pages
        for mark in page.marks
    }
    assert seams
    for key, one, two in seams:
        said = []
        for own, other in ((one, two), (two, one)):
            page, _ = tiles[key, own]
            number = tiles[key, other][0].number
            words = [t.text for t in page.furniture.texts()]
            trims = rf"{own}: trim.*over {other} \((sheet )?{number}\)"
            glues = (
                rf"{own}: glue(: {other} \(sheet {number}\) goes over| under {other} \({number}\))"
            )
            said.append(
                (
                    any(re.search(trims, t) for t in words),
                    any(re.search(glues, t) for t in words),
                )
            )
        assert {(True, False), (False, True)} <= set(said), (key, one, two, said)


def test_fold_marks_stand_at_both_ends_of_a_trim_line(pack: Pack) -> None:
    """Every dashed trim line ends in drawn corners, so that a crease can be laid by them."""
    found = 0
    for page in pack.pages:
        texts = [t for t in page.furniture.texts() if "trim" in t.text]
        lines = [p for p in page.furniture.paths() if isinstance(p.segments[0], Line)]
        dashed = [p.segments[0] for p in lines if p.dashed]
        solid = [p.segments[0] for p in lines if not p.dashed]
        corners = [
            end
            for trim in dashed
            for end in (trim.start, trim.end)
            if sum(math.dist(end, tick) < 1e-6 for s in solid for tick in (s.start, s.end)) >= 2
        ]
        assert len(corners) >= 2 * len(texts)
        found += len(texts)
    assert found


def test_the_cover_draws_each_tiled_part(pack: Pack) -> None:
    """Each tile stands on the cover with its sheet, next to the tip about damp paper."""
    covers = [page.placements[0].part.drawing for page in pack.pages if page.title == "Cover"]
    words = [t.text for drawing in covers for t in drawing.texts()]
    for (_, tile), (page, _) in _tiles(pack).items():
        assert tile in words or f"{tile} ({page.number})" in words
        assert f"({page.number})" in words or f"{tile} ({page.number})" in words
    text = " ".join(words)
    assert "Paper grows when wet" in text
    assert "measure the bars again after gluing" in text
    assert "Corrected for the printer study" in text
    filled = [p for drawing in covers for p in drawing.paths() if p.fill not in (None, 1.0)]
    assert len(filled) >= len({key for key, _ in _tiles(pack)})  # a shaded lap each at least


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
                assert not box.meets(boxes[m]), (page.label, texts[n].text, texts[m].text)


def test_sketches_grow_until_tile_names_stand_clear() -> None:
    """A large part's sketch is drawn large enough that no name lies on another.

    Twelve windows as a 1200 mm blank would have them; plain geometry, by shapely.
    """
    windows = [
        (f"{chr(65 + column)}{row + 1}", 40 + 4 * column + row, Box(x, y, x + wide, y + 260))
        for column, (x, wide) in enumerate(((0, 180), (170, 180), (340, 60), (390, 70)))
        for row, y in enumerate((500, 250, 0))
    ]
    small, most = 38.0 / 760, 170.0
    scale = cover.legible_scale(windows, small, width=most)
    assert small < scale <= most / 460
    for trial, clear in ((small, False), (scale, True)):
        drawing = cover.sketch(Drawing(items=()), windows, trial)
        boxes = [area_of(*t.bounds()) for t in drawing.texts()]
        apart = all(a.intersection(b).area < 1e-6 for a, b in itertools.combinations(boxes, 2))
        assert apart is clear
