"""Parts on pages: few sheets, nothing touching, all ink printed once full size."""

import itertools
import math
import re

import pytest
from builders import example_plan
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import ink_points
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment
from templategen.parts.drawing import Drawing, Part, Role, rectangle
from templategen.parts.drawing import Path as Run
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import content_area
from templategen.sheets.layout import GAP, lay_out
from templategen.sheets.page import Pack, PageFrame, Placement
from templategen.sheets.tiling import LAP
from templategen.sheets.use_notes import USE_NOTE, has_sketch
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import Group, PartKind
from templategen.units import Units

KINDS = (
    "setting card",
    "section sheet",
    "cut plate",
    "cutter arc",
    "gauge stick",
    "gauge block",
    "tenon ring",
)


PAPERS = {"lakeside-400": "a4", "small-220": "a4", "inch-15": "letter"}


Laid = tuple[PageFrame, tuple[Part, ...], Pack]


@pytest.fixture(scope="module", params=sorted(PAPERS))
def laid(request: pytest.FixtureRequest) -> Laid:
    """The frame, the parts and the sheets of an example (invented)."""
    plan = example_plan(f"{request.param}.toml")
    style = PrintStyle(units=plan.job.units)
    frame = PageFrame(paper=paper_named(PAPERS[request.param]))
    parts = make_parts(plan, kinds=KINDS, style=style)
    return frame, parts, lay_out(parts, frame=frame, style=style, job_title="", date="")


def _points(segment: Segment) -> list[Point]:
    match segment:
        case Line(start, end):
            return [start, end]
        case Arc():
            count = max(8, math.ceil(abs(segment.sweep) * segment.radius / 2))
            return [
                segment.at(segment.from_angle + segment.sweep * n / count) for n in range(count + 1)
            ]


def _material(placement: Placement) -> BaseGeometry:
    """What of a placement is kept after cutting out: holes out; ink alone where nothing is cut."""
    drawing = placement.part.drawing.moved(placement.transform)
    shape: BaseGeometry | None = None
    ink: list[BaseGeometry] = []
    for path in drawing.paths():
        points = [p for s in path.segments for p in _points(s)]
        if path.closed and path.role is Role.CUT:
            area = Polygon(points).buffer(0)  # the end meets the start but for rounding
            shape = area if shape is None else shape.symmetric_difference(area)
        ink.append(LineString(points))
    for text in drawing.texts():
        ink.append(Polygon(text.corners()))
    window = box(*placement.clip)
    return unary_union([*ink, shape] if shape is not None else ink).intersection(window)


def _plain_page_count(parts: tuple[Part, ...], frame: PageFrame) -> int:
    """Pages when each part has sheets of its own, upright, from its corner, none left out."""
    area = content_area(frame)
    count = 0
    for part in parts:
        box = part.drawing.bounds()
        columns = max(1, math.ceil((box.width - LAP) / (area.width - LAP) - 1e-9))
        rows = max(1, math.ceil((box.height - LAP) / (area.height - LAP) - 1e-9))
        count += columns * rows
    return count


def test_page_counts(laid: Laid) -> None:
    """Under two thirds of the sheets of plain tiling, where each part lies upright on its own.

    No sheet mixes steps of the work or materials, which costs some. When this was written: the
    400 × 180 blank 21 → 11, the small one 12 → 6, the inch one 16 → 10.
    """
    frame, parts, packed = laid
    assert 3 * len(packed.pages) < 2 * _plain_page_count(parts, frame)


def test_nothing_touches(laid: Laid) -> None:
    """By shapely, the material of any two parts of a sheet keeps 2 mm apart, inside the page."""
    _assert_apart(laid[2])


def _assert_apart(pack_: Pack) -> None:
    for page in pack_.pages:
        area = box(*content_area(PageFrame(paper=page.paper)).grown(0.01))
        shapes = [(p.part.title, _material(p)) for p in page.placements]
        for _, shape in shapes:
            assert area.covers(shape)
        for (one, first), (two, second) in itertools.combinations(shapes, 2):
            assert first.distance(second) >= GAP / 2, (page.label, one, two)


def test_a_stick_longer_than_a_sheet_lies_whole_along_a_diagonal() -> None:
    """A height stick of 265 mm has no seam on letter paper, whose sheets hold 250 mm.

    The step has three sheets, as many as with the stick in two tiles.
    """
    plan, style = example_plan("lakeside-400.toml"), PrintStyle(units=Units.MM)
    kinds = [kind for kind in PartKind if kind.group is Group.SET]
    parts = make_parts(plan, kinds=kinds, style=style)
    frame = PageFrame(paper=paper_named("letter"))
    packed = lay_out(parts, frame=frame, style=style, job_title="", date="")
    (stick,) = [p for page in packed.pages for p in page.placements if p.part.key == "height-stick"]
    assert not stick.tile
    assert 0.1 < abs(stick.transform.a) < 0.995  # neither upright nor turned by a quarter
    assert math.hypot(stick.transform.a, stick.transform.b) == pytest.approx(1.0, abs=1e-12)
    assert len(packed.pages) == 3
    _assert_apart(packed)


def test_all_ink_is_printed(laid: Laid) -> None:
    """Every point of every line of every part shows through a window of some sheet, full size."""
    _, parts, pack_ = laid
    lying: dict[str, list[Placement]] = {}
    for page in pack_.pages:
        for placement in page.placements:
            if placement.part.kind == USE_NOTE:
                continue
            a, b, c, d, _, _ = placement.transform
            assert (a * a + b * b, c * c + d * d, a * d - b * c) == pytest.approx((1, 1, 1))
            lying.setdefault(placement.part.key, []).append(placement)
    for part in parts:
        tiles = lying.pop(part.key)
        assert len(tiles) == 1 or all(t.tile for t in tiles)
        held = [
            [t.clip.grown(1e-6).holds(Box(*p, *p)) for p in map(t.transform.apply, points)]
            for points in (ink_points(part.drawing),)
            for t in tiles
        ]
        assert all(any(shown) for shown in zip(*held, strict=True))
        # What shows is there: a tile leaves out only what lies outside its window.
        for tile in tiles:
            drawn = set(tile.part.drawing.paths())
            for path in part.drawing.paths():
                moved = path.moved(tile.transform)
                assert path in drawn or not moved.bounds().meets(tile.clip) or _near(path, drawn)
    assert not lying


def _near(path: Run, drawn: set[Run]) -> bool:
    return any(
        len(path.segments) == len(other.segments)
        and all(
            math.dist(a.start, b.start) < 1e-6 and math.dist(a.end, b.end) < 1e-6
            for a, b in zip(path.segments, other.segments, strict=True)
        )
        for other in drawn
    )


def test_a_sheet_holds_one_step_and_one_material(laid: Laid) -> None:
    """As the table of kinds says (design.md §7), named in the heading, in the order of the work."""
    _, _, pack_ = laid
    steps = list(Group)
    ranks = []
    for page in pack_.pages:
        kinds = [PartKind(p.part.kind) for p in page.placements if p.part.kind != USE_NOTE]
        assert len({kind.group for kind in kinds}) == 1
        assert len({kind.material for kind in kinds}) == 1
        head = max(page.furniture.texts(), key=lambda text: text.at.y).text
        material = kinds[0].material
        is_inch = pack_.style.units is Units.IN
        shown = material.inch_heading if is_inch else material.heading
        assert head == f"{kinds[0].group.heading} · {shown}"
        ranks.append(steps.index(kinds[0].group))
    assert ranks == sorted(ranks)


def test_sketches_show_every_kind(laid: Laid) -> None:
    """At most one of a kind on a sheet; elsewhere only where its own show none or words alone."""
    _, _, pack_ = laid
    own = [{p.part.kind for p in page.placements} - {USE_NOTE} for page in pack_.pages]
    every = set().union(*own)
    named = [
        [
            (next(k for k in every if p.part.key.startswith(f"use-{k.replace(' ', '-')}-")), p.part)
            for p in page.placements
            if p.part.kind == USE_NOTE
        ]
        for page in pack_.pages
    ]
    drawn_at_home = {
        kind
        for kinds, shown in zip(own, named, strict=True)
        for kind, note in shown
        if kind in kinds and has_sketch(note)
    }
    for kinds, shown in zip(own, named, strict=True):
        shown_kinds = [kind for kind, _ in shown]
        assert len(shown_kinds) == len(set(shown_kinds))
        assert not (set(shown_kinds) - kinds) & drawn_at_home
    seen = {kind for shown in named for kind, _ in shown}
    assert seen == every - {PartKind.SCALE_SHEET.value}


def numbers(text: str) -> list[int]:
    """Of sheets, as in '2, 4–6'."""
    found: list[int] = []
    for run in text.split(", "):
        first, _, last = run.partition("–")
        found += range(int(first), int(last or first) + 1)
    return found


def test_a_sketch_on_another_sheet_names_its_sheets(laid: Laid) -> None:
    """Beside foreign parts a note names every sheet with a part that it speaks of."""
    _, _, pack_ = laid
    for page in pack_.pages:
        for note in (p.part for p in page.placements if p.part.kind == USE_NOTE):
            words = " ".join(text.text for text in note.drawing.texts())
            kind = next(k for k in PartKind if note.key.startswith(f"use-{k.replace(' ', '-')}-"))
            holders = [n for n in pack_.pages if any(p.part.kind == kind for p in n.placements)]
            named = re.search(r"sheets? ([\d, –]*\d)", words)
            if page in holders:
                assert named is None
            else:
                assert named is not None
                assert numbers(named[1]) == [n.number for n in holders]


@settings(derandomize=True, deadline=None, max_examples=8)
@given(st.floats(30, 900), st.floats(30, 900), st.booleans())
def test_any_rectangle_is_printed_whole(width: float, height: float, may_turn: bool) -> None:
    """A plain rectangle of any size: its outline shows whole, through one window or another."""
    part = Part(
        kind="test",
        key="plate",
        title="Plate",
        drawing=Drawing(items=(rectangle(Box(0, 0, width, height)),)),
        may_turn=may_turn,
    )
    frame, style = PageFrame(paper=paper_named("a4")), PrintStyle(units=Units.MM)
    laid = lay_out((part,), frame=frame, style=style, job_title="", date="")
    tiles = [p for page in laid.pages for p in page.placements]
    for point in ink_points(part.drawing, step=5.0):
        spots = [(t, t.transform.apply(point)) for t in tiles]
        assert any(t.clip.grown(1e-6).holds(Box(*p, *p)) for t, p in spots)
