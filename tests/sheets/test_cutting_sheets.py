"""Parts on sheets to cut, held against shapely."""

import itertools
import math
from collections import Counter

import pytest
import shapely
from builders import example_plan, invented_plan
from outlines import material_of, points_of
from shapely.geometry import Polygon

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, circle
from templategen.parts.beam import beamed, cut_outlines
from templategen.parts.drawing import Drawing, Part, Role, arc_path, rectangle
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.cutting_cells import covered_cells
from templategen.sheets.cutting_sheets import Nesting, Stock, nest, stock_of
from templategen.trade.cutting_sheet import CuttingSheet
from templategen.trade.part_kinds import Material, PartKind
from templategen.units import Units

BEAM, GAP = 0.4, 3.0
SHEET = CuttingSheet(width=300.0, height=200.0, gap=GAP)
STOCK = (3.0, 6.0, 18.0)


def _part(drawing: Drawing, *, plies: tuple[tuple[int, float], ...] = (), key: str = "one") -> Part:
    return Part(kind=PartKind.GAUGE_BLOCK, key=key, title=key, drawing=drawing, plies=plies)


@pytest.fixture(scope="module")
def parts() -> list[tuple[Part, Drawing]]:
    """The parts of a small invented job that are cut, moved for the beam."""
    made = make_parts(example_plan("small-220.toml"), kinds=(), style=PrintStyle(units=Units.MM))
    cut = [part for part in made if part.drawing.paths(Role.CUT)]
    return [(part, beamed(part, beam=BEAM).drawing) for part in cut]


@pytest.fixture(scope="module")
def nesting(parts: list[tuple[Part, Drawing]]) -> Nesting:
    """Those parts on sheets of 300 × 200 mm."""
    return nest(parts, SHEET, beam=BEAM, plies=STOCK, work=100_000_000)


def test_pieces_keep_the_gap_and_the_edge(nesting: Nesting) -> None:
    """Between two cuts, and to the sheet's edge, at least the stated material stays (shapely).

    The beam takes half of its width on either side of a line.
    """
    assert len(nesting.sheets) > 3
    for sheet in nesting.sheets:
        shapes = [material_of(laid.drawing(), fine=0.005) for laid in sheet.pieces]
        for one, other in itertools.combinations(shapes, 2):
            assert one.distance(other) >= GAP + BEAM - 1e-6
        inner = shapely.box(0, 0, SHEET.width, SHEET.height).buffer(-GAP - BEAM / 2 + 1e-6)
        for laid, shape in zip(sheet.pieces, shapes, strict=True):
            assert inner.covers(shape), laid.piece.part.title
            ink = laid.drawing().bounds()
            assert Box(0, 0, SHEET.width, SHEET.height).holds(ink)


def test_every_piece_is_its_part(nesting: Nesting, parts: list[tuple[Part, Drawing]]) -> None:
    """Each copy is the part turned by quarters and moved: same area, same figures, not mirrored."""
    counts = Counter(laid.piece.part.key for sheet in nesting.sheets for laid in sheet.pieces)
    wanted = {part.key: sum(n for n, _ in part.plies) or 1 for part, _ in parts}
    assert counts == wanted
    for sheet in nesting.sheets:
        for laid in sheet.pieces:
            a, b, c, d, _, _ = laid.place
            assert (a * d - b * c, a * b + c * d, a * a + b * b) == pytest.approx((1, 0, 1))
            assert min(abs(a), abs(b)) < 1e-12
            assert laid.piece.drawing in [drawing for _, drawing in parts]


def test_sheets_are_of_one_material_and_thickness(nesting: Nesting) -> None:
    """Card apart from ply; each ply of a stack on its own thickness, plain ply on 3 mm."""
    seen = set()
    for sheet in nesting.sheets:
        for laid in sheet.pieces:
            part = laid.piece.part
            assert part.material is sheet.stock.material
            if part.plies:
                assert sheet.stock.thickness in [ply for _, ply in part.plies]
            elif part.material is Material.PLY:
                assert sheet.stock.thickness == 3.0
            else:
                assert sheet.stock.thickness is None
        seen.add(sheet.stock)
        alike = [other for other in nesting.sheets if other.stock == sheet.stock]
        assert [other.number for other in alike] == list(range(1, sheet.count + 1))
    assert len(seen) > 2


def test_stacks_are_cut_once_from_each_ply() -> None:
    """Two of 18 and one of 6 are three pieces; plain ply takes the thinnest of 3 to 6.5 mm."""
    plate = Drawing(items=(rectangle(Box(0, 0, 40, 20)),))
    stack = _part(plate, plies=((2, 18.0), (1, 6.0)))
    assert stock_of(stack, STOCK) == ((Stock(Material.PLY, 18.0), 2), (Stock(Material.PLY, 6.0), 1))
    assert stock_of(_part(plate), (18.0, 6.35, 4.0, 1.0)) == ((Stock(Material.PLY, 4.0), 1),)
    assert stock_of(_part(plate), (18.0, 1.0)) == ((Stock(Material.PLY, None), 1),)
    made = nest([(stack, plate)], SHEET, beam=0.0, plies=STOCK)
    assert [(s.stock.thickness, len(s.pieces)) for s in made.sheets] == [(6.0, 1), (18.0, 2)]
    many = _part(plate, plies=((401, 0.5),))
    with pytest.raises(LimitError, match="401 pieces"):
        nest([(many, plate)], SHEET, beam=0.0, plies=STOCK)


def test_a_part_in_a_hole_is_cut_before_the_hole() -> None:
    """A disc lies in a ring; the drawing runs disc, hole, outside (areas by shapely)."""
    ring = Drawing(items=(arc_path(circle(Point(0, 0), 90.0)), arc_path(circle(Point(0, 0), 70.0))))
    disc = Drawing(items=(arc_path(circle(Point(0, 0), 40.0)), arc_path(circle(Point(0, 0), 5.0))))
    sheet = CuttingSheet(width=190.0, height=190.0, gap=3.0)
    pieces = [(_part(ring), ring), (_part(disc, key="two"), disc)]
    made = nest(pieces, sheet, beam=0.0, plies=STOCK)
    (only,) = made.sheets
    radii = [p.segments[0].radius for p in only.drawing().paths(Role.CUT)]
    assert radii == [5.0, 40.0, 70.0, 90.0]
    share = math.pi * (90**2 - 70**2 + 40**2 - 5**2) / 190**2
    assert made.share_of(only) == pytest.approx(share)


def test_contours_of_a_sheet_run_from_the_inside_out(nesting: Nesting) -> None:
    """No contour is cut after one that holds it (shapely)."""
    for sheet in nesting.sheets:
        drawing = sheet.drawing()
        shapes = [Polygon(points_of(p.segments, fine=0.01)) for p in drawing.paths(Role.CUT)]
        for n, early in enumerate(shapes):
            assert not any(early.contains(late) for late in shapes[n + 1 :])


@pytest.mark.parametrize(
    ("wide", "high", "fits"),
    [(294, 193.5, True), (193.5, 294, True), (294.1, 194, False), (294, 194.1, False)],
)
def test_what_is_too_large_is_left_out_with_its_size(wide: float, high: float, fits: bool) -> None:
    """The sheet of 300 × 200 less twice the gap of 3 holds 294 × 194, half a millimetre less down.

    The sheet is searched in cells, of which a whole number goes across.
    """
    plate = Drawing(items=(rectangle(Box(0, 0, wide, high)),))
    made = nest([(_part(plate), plate)], SHEET, beam=0.0, plies=STOCK)
    assert len(made.sheets) == fits
    if not fits:
        (one,) = made.oversize
        assert (one.width, one.height) == pytest.approx((wide, high), abs=0.3)


def test_cells_cover_what_they_stand_for() -> None:
    """A cut plate and a dial, grown by half a gap, lie on their cells, which are near (shapely)."""
    style = PrintStyle(units=Units.MM)
    parts = make_parts(invented_plan(300.0, 130.0), kinds=("cut plate", "stop dial"), style=style)
    for part in (parts[0], parts[-1]):
        contours, _ = cut_outlines(part.drawing)
        cells, box = covered_cells(contours, room=1.5, cell=2.0)
        tiles = [
            shapely.box(
                box.left + 2 * n, box.top - 2 * r - 2, box.left + 2 * n + 2, box.top - 2 * r
            )
            for r, row in enumerate(cells.rows)
            for n in range(cells.columns)
            if row >> n & 1
        ]
        grown = material_of(part.drawing, fine=0.01).buffer(1.5)
        assert grown.difference(shapely.unary_union(tiles)).area < 1e-9
        near = material_of(part.drawing, fine=0.01).buffer(1.5 + 2.0 * math.sqrt(2) + 0.2)
        assert near.covers(shapely.unary_union(tiles))


def test_few_more_sheets_than_the_area_bound(
    nesting: Nesting, parts: list[tuple[Part, Drawing]]
) -> None:
    """A smaller case of the bench: no set needs more than one sheet beyond what its area needs.

    Bound: parts grown by half the gap and half the beam are apart, on a sheet less one gap.
    """
    areas = {id(drawing): material_of(drawing, fine=0.05) for _, drawing in parts}
    room = (SHEET.width - GAP) * (SHEET.height - GAP)
    found: Counter[Stock] = Counter(sheet.stock for sheet in nesting.sheets)
    for stock, count in found.items():
        taken = sum(
            areas[id(laid.piece.drawing)].buffer((GAP + BEAM) / 2).area
            for sheet in nesting.sheets
            if sheet.stock == stock
            for laid in sheet.pieces
        )
        assert math.ceil(taken / room) <= count <= math.ceil(taken / room) + 1


def test_the_same_parts_lie_alike() -> None:
    """A second search gives the same places."""
    plan = invented_plan(300.0, 130.0)
    made = make_parts(plan, kinds=("cut plate", "tag"), style=PrintStyle(units=Units.MM))
    small = CuttingSheet(width=210.0, height=150.0, gap=2.0)
    one, other = (
        nest([(p, p.drawing) for p in made], small, beam=0.0, plies=STOCK, work=50_000_000)
        for _ in range(2)
    )
    assert one == other
    assert len(one.sheets) > 1
