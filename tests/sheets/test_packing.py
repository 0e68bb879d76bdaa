"""Packing: against trying every place, against a packing library, and the area bound."""

import math
import random

import rectpack
from hypothesis import given, settings
from hypothesis import strategies as st

from templategen.geometry.shapes import Box, Point, circle
from templategen.parts.drawing import Drawing, Part, arc_path, rectangle
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import content_area
from templategen.sheets.layout import GAP, GAP_CELLS, lay_out
from templategen.sheets.packing import Shape, _ready, _State, pack
from templategen.sheets.page import PageFrame
from templategen.sheets.silhouette import Silhouette, cells_for, solid
from templategen.trade.paper import paper_named
from templategen.units import Units

A4 = PageFrame(paper=paper_named("a4"))
AREA = content_area(A4)
COLUMNS, ROWS = 23, 19


@st.composite
def shapes(draw: st.DrawFn) -> Silhouette:
    """Frames, blocks and scattered cells; the first and last row and column are never empty."""
    columns, rows = draw(st.integers(1, 12)), draw(st.integers(1, 12))
    full = (1 << columns) - 1
    kind = draw(st.sampled_from(("block", "frame", "scattered")))
    if kind == "block":
        lines = [full] * rows
    elif kind == "frame":
        lines = [full, *[1 | 1 << (columns - 1)] * max(0, rows - 2), full][:rows]
    else:
        lines = [draw(st.integers(1, full)) for _ in range(rows)]
    return Silhouette(rows=tuple(lines), columns=columns)


def _tried(shape: Silhouette, taken: list[int], below: int) -> tuple[int, int] | None:
    """The topmost, then leftmost free place that ends above a row: row, column.

    Args:
        shape: to be laid.
        taken: the cells in use, a number for each row with a bit for each column.
        below: the row.
    """
    for row in range(below - len(shape.rows) + 1):
        under = taken[row : row + len(shape.rows)]
        for column in range(COLUMNS - shape.columns + 1):
            if not any(a << column & b for a, b in zip(shape.rows, under, strict=True)):
                return row, column
    return None


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(shapes(), st.booleans()), min_size=2, max_size=25))
def test_a_shape_lies_where_trying_every_place_puts_it(laid: list[tuple[Silhouette, bool]]) -> None:
    """One sheet filled shape after shape, twice: the second time from what the first found out."""
    empty = _State(COLUMNS, ROWS)
    for _ in (1, 2):
        state, taken = empty, [0] * ROWS
        for shape, may_turn in laid:
            turns = [shape, shape.turned()] if may_turn else [shape]
            wanted: tuple[int, int, int] | None = None
            below = ROWS
            for number, turn in enumerate(turns):
                place = _tried(turn, taken, below)
                if place is not None:
                    wanted = number, *place
                    below = place[0] + len(turn.rows) - 1
            ready = tuple(_ready(n, turn, COLUMNS) for n, turn in enumerate(turns))
            best = state.best(ready)
            if wanted is None:
                assert best is None
                continue
            assert best is not None
            number, row, column = wanted
            assert (best[1].quarters, *divmod(best[0], COLUMNS)) == (number, row, column)
            for y, line in enumerate(turns[number].rows):
                taken[row + y] |= line << column
            state = state.then(*best, share=True)


@settings(derandomize=True, deadline=None, max_examples=30)
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
    columns, rows = cells_for(AREA.width) + GAP_CELLS, cells_for(AREA.height) + GAP_CELLS
    found = pack(shapes, [(columns, rows), (rows, columns)])
    assert found is not None
    return len(found)


def _library(sizes: list[tuple[float, float]]) -> int:
    counts = []
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineMwfl):
        for order in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE):
            packer = rectpack.newPacker(pack_algo=algorithm, sort_algo=order, rotation=True)
            for n, (wide, high) in enumerate(sizes):
                packer.add_rect(wide + GAP, high + GAP, n)
            packer.add_bin(AREA.width + GAP, AREA.height + GAP, count=len(sizes))
            packer.pack()
            counts.append(len(packer))
    return min(counts)


def _bound(sizes: list[tuple[float, float]]) -> int:
    total = sum((wide + GAP) * (high + GAP) for wide, high in sizes)
    return math.ceil(total / ((AREA.width + GAP) * (AREA.height + GAP)))


def test_rectangles_against_a_library_and_the_area_bound() -> None:
    """30 random sets of rectangles: within 2 % of rectpack's nine tries, near the area bound.

    The library (rectpack 0.2.2, MaxRects and skyline) packs plain rectangles as well; it does not
    know holes, and the test below shows what that costs.
    """
    sets = [_rectangles(seed) for seed in range(30)]
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

    The library packs their boxes; it cannot do better than that AREA.
    """
    rings = [_ring(40.0 + 5 * n) for n in range(20)]
    laid = lay_out(rings, frame=A4, style=PrintStyle(units=Units.MM), job_title="", date="")
    boxes = [r.drawing.bounds() for r in rings]
    sizes = [(b.width, b.height) for b in boxes]
    assert len(laid.pages) < _bound(sizes) <= _library(sizes)


def test_no_part_stands_out_of_its_sheet() -> None:
    """A part 0.6 mm longer than a turned page is wide is not laid there, though its cells would.

    On one turned page of letter paper both parts would lie, the larger over its edge.
    """
    paper = PageFrame(paper=paper_named("letter"))
    sizes = ((238.0, 177.0), (170.0, 8.0))
    parts = [
        Part(kind="test", key=f"part-{n}", title="", drawing=Drawing(items=(rectangle(box),)))
        for n, box in enumerate(Box(0.0, 0.0, *size) for size in sizes)
    ]
    laid = lay_out(parts, frame=paper, style=PrintStyle(units=Units.MM), job_title="", date="")
    for page in laid.pages:
        area = content_area(paper if page.paper.width < page.paper.height else paper.turned())
        for lying in page.placements:
            box = lying.part.drawing.moved(lying.transform).bounds()
            assert area.left - 1e-6 <= box.left <= box.right <= area.right + 1e-6
            assert area.bottom - 1e-6 <= box.bottom <= box.top <= area.top + 1e-6


def _ell(wide: int, high: int, across: int, down: int) -> Silhouette:
    """A rectangle of cells less one at its lower right corner."""
    full, rest = (1 << wide) - 1, (1 << (wide - across)) - 1
    rows = [full] * (high - down) + [rest] * down
    return Silhouette(rows=tuple(rows), columns=wide)


def _turned(cells: Silhouette) -> Shape:
    turns = [cells]
    for _ in range(3):
        turns.append(turns[-1].turned())
    return Shape(turns=tuple(enumerate(turns)))


def test_a_climb_saves_sheets_that_the_usual_orders_do_not() -> None:
    """Random sets of L shapes: never more sheets than without, fewer for some, none overlaps.

    No outside figure: the area bound is held from below, a count of cells from above.
    """
    saved = 0
    for seed in (38, 42, 54, 61, 73):
        chance = random.Random(seed)
        shapes = []
        for _ in range(chance.choice((5, 6, 7, 8))):
            wide, high = chance.randint(7, 16), chance.randint(7, 16)
            across = chance.randint(wide // 3, wide - 3)
            shapes.append(_turned(_ell(wide, high, across, chance.randint(high // 3, high - 3))))
        plain = pack(shapes, [(24, 20)])
        climbed = pack(shapes, [(24, 20)], placements=300 * len(shapes))
        assert plain is not None
        assert climbed is not None
        saved += len(plain) - len(climbed)
        assert len(climbed) <= len(plain)
        laid = sorted(spot.index for sheet in climbed for spot in sheet.spots)
        assert laid == list(range(len(shapes)))
        for sheet in climbed:
            taken: set[tuple[int, int]] = set()
            for spot in sheet.spots:
                cells = dict(shapes[spot.index].turns)[spot.quarters]
                own = {
                    (spot.row + r, spot.column + c)
                    for r, row in enumerate(cells.rows)
                    for c in range(cells.columns)
                    if row >> c & 1
                }
                assert not own & taken
                assert all(r < 20 and c < 24 for r, c in own)
                taken |= own
    assert saved >= 3
