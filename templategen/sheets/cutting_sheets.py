"""Parts nested on sheets of card or ply, for a laser, a router or a saw.

Each set of sheets is of one material and thickness. A sheet's frame has its origin at its lower
left; lengths mm.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templategen.errors import LimitError
from templategen.geometry.offset import Outline
from templategen.geometry.shapes import Box, Transform
from templategen.messages import tr
from templategen.parts.beam import cut_outlines
from templategen.parts.drawing import Drawing, Part
from templategen.parts.machine_lines import machine_drawing
from templategen.sheets.cutting_cells import covered_cells, material_area
from templategen.sheets.packing import Shape, pack
from templategen.sheets.silhouette import Silhouette
from templategen.trade.cutting_sheet import CuttingSheet
from templategen.trade.part_kinds import Material

PLAIN_PLY = (3.0, 6.5)  # mm: from the thinnest to the thickest ply of a part that is no stack
MOST_COPIES = 400  # pieces to cut
WORK = 1_600_000_000  # cells of shapes laid in further orders: some 3 s where a sheet may be saved
FINEST, COARSEST = 1.5, 4.0  # mm: sides of a cell
USUAL_CELLS = 45_000  # of a sheet, where the cells are then neither too fine nor too coarse

Progress = Callable[[int, int], None]  # done, of how many


@dataclass(frozen=True, slots=True)
class CutPiece:
    """One piece to cut.

    Args:
        part: what it is.
        drawing: its lines, those to cut moved for the beam; in the part's frame.
    """

    part: Part
    drawing: Drawing


ShapedPiece = tuple[CutPiece, Shape, Box]  # with its cells and the box that they are laid from


@dataclass(frozen=True, slots=True)
class Stock:
    """What sheets are made of: the material, and its thickness in mm where the part needs one."""

    material: Material
    thickness: float | None = None


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """A piece and where it lies: its part's frame to that of the sheet."""

    piece: CutPiece
    place: Transform

    def drawing(self) -> Drawing:
        """Its lines in the frame of the sheet."""
        return self.piece.drawing.moved(self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedSheet:
    """A sheet with what lies on it.

    Args:
        stock: material and thickness.
        number: of the sheet among those of its stock, from 1.
        count: how many sheets of its stock there are.
        pieces: in the order of the work.
    """

    stock: Stock
    number: int
    count: int
    pieces: tuple[LaidPiece, ...]

    def drawing(self) -> Drawing:
        """All lines in the order in which a machine should run them, in the sheet's frame."""
        return machine_drawing([laid.drawing() for laid in self.pieces])


@dataclass(frozen=True, slots=True)
class OversizePart:
    """A part that fits on no sheet, and the size of what is cut, mm."""

    part: Part
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Nesting:
    """Parts on sheets to cut.

    Args:
        sheet: its size and gap.
        beam: width of the cut that the lines allow for, mm.
        sheets: set after set.
        oversize: parts left out because no sheet holds them.
    """

    sheet: CuttingSheet
    beam: float
    sheets: tuple[NestedSheet, ...]
    oversize: tuple[OversizePart, ...]

    def share_of(self, sheet: NestedSheet) -> float:
        """How much of a sheet's area its pieces take, holes left out, 0..1."""
        taken = sum(material_area(cut_outlines(p.piece.drawing)[0]) for p in sheet.pieces)
        return taken / (self.sheet.width * self.sheet.height)


def stock_of(part: Part, plies: Sequence[float]) -> tuple[tuple[Stock, int], ...]:
    """What a part is cut from, and how many copies of it.

    A stack of plies is cut once from each of them. Any other part of ply is cut from the thinnest
    ply in stock of 3 mm or more, up to 6.5 mm (1/4 in); without such a ply its thickness is open.
    """
    if part.plies:
        return tuple((Stock(part.material, ply), count) for count, ply in part.plies)
    thickness = None
    if part.material is Material.PLY:
        low, high = PLAIN_PLY
        thickness = min((ply for ply in plies if low <= ply <= high), default=None)
    return ((Stock(part.material, thickness), 1),)


def nest(
    parts: Sequence[tuple[Part, Drawing]],
    sheet: CuttingSheet,
    *,
    beam: float,
    plies: Sequence[float],
    progress: Progress | None = None,
    work: int = WORK,
) -> Nesting:
    """The parts on as few sheets of each material and thickness as the search finds.

    Args:
        parts: each with its lines, moved for the beam; at least one of them closes.
        sheet: what is cut from.
        beam: that the lines are moved for, mm; 0 for none.
        plies: thicknesses of ply at hand, mm.
        progress: called with sets of sheets done, of how many.
        work: how long to seek a set with a sheet less, see `WORK`.

    Raises:
        LimitError: more than 400 pieces.
    """
    oversize = []
    sets: dict[Stock, list[ShapedPiece]] = {}
    for part, drawing in parts:
        shape, box = _shape(cut_outlines(drawing)[0], sheet, beam)
        if not shape.turns:
            room = sheet.gap + beam
            oversize.append(OversizePart(part, box.width - room, box.height - room))
            continue
        piece = CutPiece(part, drawing), shape, box
        for stock, copies in stock_of(part, plies):
            sets.setdefault(stock, []).extend([piece] * copies)
    count = sum(len(held) for held in sets.values())
    if count > MOST_COPIES:
        raise LimitError(
            tr("{count} pieces to cut are more than {most}", count=count, most=MOST_COPIES),
            where="--sheet",
            mend=tr("name fewer parts with --part, or thicker plies in print.stock"),
        )
    sheets: list[NestedSheet] = []
    ordered = sorted(sets, key=lambda s: (list(Material).index(s.material), s.thickness or 0.0))
    for done, stock in enumerate(ordered):
        if progress is not None:
            progress(done, len(ordered))
        sheets += _nested(stock, sets[stock], sheet, work)
    return Nesting(sheet=sheet, beam=beam, sheets=tuple(sheets), oversize=tuple(oversize))


def cell_of(sheet: CuttingSheet) -> float:
    """The side of a cell on such sheets, mm: coarser on large ones, which hold more parts.

    A whole number of cells goes across, and the least part of one is left over down the sheet.
    """
    usual = math.sqrt(sheet.width * sheet.height / USUAL_CELLS)
    least = min(max(FINEST, usual), COARSEST)
    wide, high = sheet.width - sheet.gap, sheet.height - sheet.gap
    most = max(1, math.floor(wide / least))
    counts = range(most, math.floor(0.8 * most), -1)
    return min((wide / count for count in counts), key=lambda cell: round(high % cell, 6))


def _grid(sheet: CuttingSheet) -> tuple[int, int]:
    """Columns and rows of whole cells; a grown part may come within half a gap of the edge."""
    cell = cell_of(sheet)
    sides = sheet.width - sheet.gap, sheet.height - sheet.gap
    columns, rows = (max(0, math.floor(side / cell + 1e-9)) for side in sides)
    return columns, rows


def _shape(contours: Sequence[Outline], sheet: CuttingSheet, beam: float) -> tuple[Shape, Box]:
    """The shape of a part in those of its quarter turns that fit, and the box of its cells."""
    room = (sheet.gap + beam) / 2
    cells, box = covered_cells(contours, room=room, cell=cell_of(sheet))
    columns, rows = _grid(sheet)
    turns: list[Silhouette] = [cells]
    for _ in range(3):
        turns.append(turns[-1].turned())
    kept = [
        (n, turn)
        for n, turn in enumerate(turns)
        if turn not in turns[:n] and turn.columns <= columns and len(turn.rows) <= rows
    ]
    return Shape(turns=tuple(kept)), box


def _nested(
    stock: Stock, pieces: Sequence[ShapedPiece], sheet: CuttingSheet, work: int
) -> list[NestedSheet]:
    shapes = [shape for _, shape, _ in pieces]
    columns, rows = _grid(sheet)
    found = pack(shapes, [(columns, rows)], placements=work // (columns * rows))
    assert found is not None  # without a limit there always is one
    ordered = sorted(found, key=lambda one: min(spot.index for spot in one.spots))
    sheets = []
    for number, one in enumerate(ordered, start=1):
        laid = []
        for spot in sorted(one.spots, key=lambda s: s.index):
            piece, shape, box = pieces[spot.index]
            cells = dict(shape.turns)[spot.quarters]
            place = _place(box, spot.quarters, cells, (spot.column, spot.row), sheet)
            laid.append(LaidPiece(piece, place))
        sheets.append(
            NestedSheet(stock=stock, number=number, count=len(ordered), pieces=tuple(laid))
        )
    return sheets


def _place(
    box: Box, quarters: int, cells: Silhouette, at: tuple[int, int], sheet: CuttingSheet
) -> Transform:
    """The frame of a part to that of the sheet.

    The cells of the part begin at the top left of its box; turned, they begin at another corner.
    """
    cell = cell_of(sheet)
    wide, tall = cells.columns * cell, len(cells.rows) * cell
    if quarters % 2:
        wide, tall = tall, wide
    turn = Transform.rotate(quarters * math.pi / 2)
    # The whole box of the cells, upright, from the top left of the grown part's box.
    whole = Box(box.left, box.top - tall, box.left + wide, box.top).moved(turn)
    x = sheet.gap / 2 + at[0] * cell
    y = sheet.height - sheet.gap / 2 - at[1] * cell
    return turn.then(Transform.move(x - whole.left, y - whole.top))
