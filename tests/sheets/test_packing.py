"""Few sheets: counts against plain tiling, a packing library and the area bound; nothing lost."""

import itertools
import math
import random
from pathlib import Path

import pytest
import rectpack
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.parts.drawing import Drawing, Part, Role, arc_path, polyline, rectangle
from templategen.parts.drawing import Path as Run
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import content_area, footer
from templategen.sheets.layout import GAP, GAP_CELLS, lay_out
from templategen.sheets.packing import Shape, pack
from templategen.sheets.page import Pack, Placement
from templategen.sheets.silhouette import Silhouette, cells_for, samples, solid
from templategen.sheets.tiling import LAP, MARK_ARM
from templategen.trade.paper import Paper, paper_named
from templategen.trade.wood import nearest_wood
from templategen.units import Units

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
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


def _example(name: str) -> tuple[tuple[Part, ...], Pack]:
    job = read_job(EXAMPLES / f"{name}.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    parts = make_parts(plan, kinds=KINDS, style=PrintStyle(units=job.units))
    paper = paper_named(PAPERS[name])
    return parts, lay_out(parts, paper=paper, units=job.units, job_title=job.title, date=job.date)


@pytest.fixture(scope="module", params=sorted(PAPERS))
def laid(request: pytest.FixtureRequest) -> tuple[str, tuple[Part, ...], Pack]:
    """An example's name, its parts and its sheets."""
    return request.param, *_example(request.param)


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
        ink.append(box(*text.bounds()))
    window = box(*placement.clip)
    return unary_union([*ink, shape] if shape is not None else ink).intersection(window)


def _plain_page_count(parts: tuple[Part, ...], paper: Paper) -> int:
    """Pages when each part has sheets of its own, upright, from its corner, none left out."""
    area = content_area(paper)
    count = 0
    for part in parts:
        box = part.drawing.bounds()
        columns = max(1, math.ceil((box.width - LAP) / (area.width - LAP) - 1e-9))
        rows = max(1, math.ceil((box.height - LAP) / (area.height - LAP) - 1e-9))
        count += columns * rows
    return count


def test_page_counts(laid: tuple[str, tuple[Part, ...], Pack]) -> None:
    """Less than half the sheets of plain tiling, where each part lies upright on its own.

    Without the cover, when this was written: the 400 × 180 blank 40 → 14, the small one 25 → 6,
    the inch one 31 → 12. Other plans and parts give other counts.
    """
    name, parts, packed = laid
    assert 2 * len(packed.pages) < _plain_page_count(parts, paper_named(PAPERS[name]))


def test_nothing_touches(laid: tuple[str, tuple[Part, ...], Pack]) -> None:
    """By shapely, the material of any two parts of a sheet keeps 2 mm apart, inside the page."""
    _, _, pack_ = laid
    for page in pack_.pages:
        area = box(*content_area(page.paper).grown(0.01))
        shapes = [(p.part.title, _material(p)) for p in page.placements]
        for _, shape in shapes:
            assert area.covers(shape)
        for (one, first), (two, second) in itertools.combinations(shapes, 2):
            assert first.distance(second) >= GAP / 2, (page.label, one, two)


def test_all_ink_is_printed(laid: tuple[str, tuple[Part, ...], Pack]) -> None:
    """Every point of every line of every part shows through a window of some sheet, full size."""
    _, parts, pack_ = laid
    lying: dict[str, list[Placement]] = {}
    for page in pack_.pages:
        for placement in page.placements:
            a, b, c, d, _, _ = placement.transform
            assert (a * a + b * b, c * c + d * d, a * d - b * c) == pytest.approx((1, 1, 1))
            lying.setdefault(placement.part.key, []).append(placement)
    for part in parts:
        tiles = lying.pop(part.key)
        assert len(tiles) == 1 or all(t.tile for t in tiles)
        held = [
            [t.clip.grown(1e-6).holds(Box(*p, *p)) for p in map(t.transform.apply, points)]
            for points in (samples(part.drawing),)
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


def test_seams(laid: tuple[str, tuple[Part, ...], Pack]) -> None:
    """Tiles that meet share a lap of 10 mm and two marks, clear of every cut line by 2 mm."""
    _, parts, pack_ = laid
    by_key = {part.key: part for part in parts}
    marks: dict[str, list[tuple[str, str, Point]]] = {}
    for page in pack_.pages:
        for mark in page.marks:
            marks.setdefault(mark.label, []).append((mark.part_key, mark.tile, mark.point))
    seams: dict[tuple[str, str, str], list[Point]] = {}
    for pair in marks.values():
        (key, one, point), (same, two, other) = sorted(pair, key=lambda m: m[1])
        assert key == same
        assert one != two
        assert math.dist(point, other) < 1e-9
        seams.setdefault((key, one, two), []).append(point)
    tiled = {p.part.key for page in pack_.pages for p in page.placements if p.tile}
    assert tiled == {key for key, _, _ in seams}
    for (key, _, _), points in seams.items():
        assert len(points) >= 2
        assert math.dist(points[0], points[1]) > 30
        for line in samples(by_key[key].drawing, Role.CUT):
            assert min(math.dist(line, p) for p in points) > 2.0


def _rectangles(seed: int) -> list[tuple[float, float]]:
    random_ = random.Random(seed)
    sizes = []
    for _ in range(random_.randint(8, 30)):
        wide = random_.random() < 0.5
        high = (20, 170, 10, 120) if wide else (40, 110, 20, 90)
        size = (random_.uniform(*high[:2]), random_.uniform(*high[2:]))
        sizes.append((round(size[0], 1), round(size[1], 1)))
    return sizes


def _own(sizes: list[tuple[float, float]]) -> int:
    shapes = []
    for wide, high in sizes:
        flat = solid(wide, high)
        turns = ((0, flat.grown(GAP_CELLS)), (1, flat.turned().grown(GAP_CELLS)))
        shapes.append(Shape(turns=turns))
    area = content_area(paper_named("a4"))
    columns, rows = cells_for(area.width) + GAP_CELLS, cells_for(area.height) + GAP_CELLS
    found = pack(shapes, [(columns, rows), (rows, columns)])
    assert found is not None
    return len(found)


def _library(sizes: list[tuple[float, float]]) -> int:
    area = content_area(paper_named("a4"))
    counts = []
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineMwfl):
        for order in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE):
            packer = rectpack.newPacker(pack_algo=algorithm, sort_algo=order, rotation=True)
            for n, (wide, high) in enumerate(sizes):
                packer.add_rect(wide + GAP, high + GAP, n)
            packer.add_bin(area.width + GAP, area.height + GAP, count=len(sizes))
            packer.pack()
            counts.append(len(packer))
    return min(counts)


def _bound(sizes: list[tuple[float, float]]) -> int:
    area = content_area(paper_named("a4"))
    total = sum((wide + GAP) * (high + GAP) for wide, high in sizes)
    return math.ceil(total / ((area.width + GAP) * (area.height + GAP)))


def test_rectangles_against_a_library_and_the_area_bound() -> None:
    """100 random sets of rectangles: within 2 % of rectpack's nine tries, near the area bound.

    The library (rectpack 0.2.2, MaxRects and skyline) packs plain rectangles as well; it does not
    know holes, and the test below shows what that costs.
    """
    sets = [_rectangles(seed) for seed in range(100)]
    own, library = sum(map(_own, sets)), sum(map(_library, sets))
    bound = sum(map(_bound, sets))
    assert bound <= own <= library * 1.02
    assert own <= bound * 1.15


def _ring(hole: float) -> Part:
    """A ring with a band of 8 mm round its hole."""
    circles = (circle(Point(0, 0), hole / 2 + 8), circle(Point(0, 0), hole / 2))
    drawing = Drawing(items=tuple(arc_path(c) for c in circles))
    return Part(kind="test", key=f"ring-{hole}", title=f"Ring {hole}", drawing=drawing)


def test_holes_save_sheets() -> None:
    """Twenty rings of 40 to 135 mm lie in one another: fewer sheets than their boxes' area needs.

    The library packs their boxes; it cannot do better than that area.
    """
    rings = [_ring(40.0 + 5 * n) for n in range(20)]
    paper = paper_named("a4")
    laid = lay_out(rings, paper=paper, units=Units.MM, job_title="", date="")
    boxes = [r.drawing.bounds() for r in rings]
    sizes = [(b.width, b.height) for b in boxes]
    assert len(laid.pages) < _bound(sizes) <= _library(sizes)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 40)), min_size=1, max_size=25),
    st.integers(30, 50),
    st.integers(40, 60),
)
def test_no_cell_is_used_twice(sizes: list[tuple[int, int]], columns: int, rows: int) -> None:
    """Whatever the sizes, each shape lies once, inside its sheet, on cells of its own."""
    shapes = [
        Shape(turns=((0, Silhouette(rows=((1 << w) - 1,) * h, columns=w)),)) for w, h in sizes
    ]
    sheets = pack(shapes, [(columns, rows)])
    assert sheets is not None
    assert sheets == pack(shapes, [(columns, rows)])
    seen = []
    for sheet in sheets:
        taken: set[tuple[int, int]] = set()
        for spot in sheet.spots:
            seen.append(spot.index)
            wide, high = sizes[spot.index]
            cells = {
                (x, y)
                for x in range(spot.column, spot.column + wide)
                for y in range(spot.row, spot.row + high)
            }
            assert all(0 <= x < columns and 0 <= y < rows for x, y in cells)
            assert not cells & taken
            taken |= cells
    assert sorted(seen) == list(range(len(sizes)))


@settings(derandomize=True, deadline=None, max_examples=12)
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
    paper = paper_named("a4")
    laid = lay_out((part,), paper=paper, units=Units.MM, job_title="", date="")
    tiles = [p for page in laid.pages for p in page.placements]
    for point in samples(part.drawing, step=5.0):
        spots = [(t, t.transform.apply(point)) for t in tiles]
        assert any(t.clip.grown(1e-6).holds(Box(*p, *p)) for t, p in spots)


@settings(derandomize=True, deadline=None, max_examples=20)
@given(
    st.lists(st.tuples(st.floats(0, 700), st.floats(0, 500)), min_size=3, max_size=6),
    st.sampled_from(["a4", "a5", "letter"]),
    st.booleans(),
)
def test_any_large_part_goes_together(
    corners: list[tuple[float, float]], paper: str, closed: bool
) -> None:
    """Whatever its shape: all ink shows, tiles hang together by seams with two marks inside both.

    A long thin stick, a slanted line and a shape with empty tiles between are among the cases.
    """
    long = [(0.0, 0.0), (720.0, corners[0][1] / 50), *corners]
    part = Part(
        kind="test",
        key="plate",
        title="Plate",
        drawing=Drawing(items=(polyline(long, closed=closed, role=Role.CUT),)),
    )
    laid = lay_out((part,), paper=paper_named(paper), units=Units.MM, job_title="", date="")
    tiles = {p.tile: p for page in laid.pages for p in page.placements}
    for point in samples(part.drawing, step=7.0):
        spots = [(t, t.transform.apply(point)) for t in tiles.values()]
        assert any(t.clip.grown(1e-6).holds(Box(*p, *p)) for t, p in spots)
    marks: dict[str, list[tuple[str, Point]]] = {}
    for page in laid.pages:
        for mark in page.marks:
            marks.setdefault(mark.label, []).append((mark.tile, mark.point))
            tile = tiles[mark.tile]
            spot = tile.transform.apply(mark.point)
            assert tile.clip.grown(-MARK_ARM).holds(Box(*spot, *spot))
    pairs: dict[frozenset[str], list[Point]] = {}
    for (one, point), (two, other) in marks.values():
        assert math.dist(point, other) < 1e-6
        pairs.setdefault(frozenset((one, two)), []).append(point)
    names = {(ord(name[0]) - 65, int(name[1:])) for name in tiles}
    beside = {
        frozenset((_tile(x, y), _tile(x + dx, y + dy)))
        for x, y in names
        for dx, dy in ((1, 0), (0, 1))
        if (x + dx, y + dy) in names
    }
    assert pairs.keys() == beside
    assert all(len(p) == 2 for p in pairs.values())
    spots = [point for pair in pairs.values() for point in pair]
    assert all(math.dist(a, b) > 2 * MARK_ARM for a, b in itertools.combinations(spots, 2))


def _tile(column: int, row: int) -> str:
    return f"{chr(65 + column)}{row}"


def test_footer_names_what_fits() -> None:
    """A long list keeps the first names whole and counts the rest; job and date stay."""
    titles = tuple(f"Tenon ring {n}, closed, mouthed" for n in range(5))
    text = footer("Sheet 4", titles, "Lakeside", "2026-05-02", room=170.0)
    assert f"{titles[0]} and 4 more" in text
    assert text.endswith("Lakeside · 2026-05-02")
    assert "…" not in text
    assert footer("Sheet 4", titles[:1], "", "", room=170.0) == f"Sheet 4 · {titles[0]}"
    short = footer("Sheet 4", titles, "L" * 200, "2026-05-02", room=170.0)
    assert short.endswith("… · 2026-05-02")
