"""Parts onto pages: large ones tiled, tiles and small ones packed onto the fewest sheets."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import say
from templategen.parts.drawing import Drawing, Item, Part
from templategen.sheets.furniture import MARGIN, content_area, page_furniture
from templategen.sheets.packing import Shape, Sheet, Spot, pack
from templategen.sheets.page import Pack, Page, Placement, Registration, sheet_label
from templategen.sheets.silhouette import CELL, Silhouette, cells_for, silhouette, solid
from templategen.sheets.tiling import (
    LAP,
    MOST_TILES,
    Place,
    Tile,
    Tiling,
    edge_items,
    tilings,
)
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

GAP = 4.0  # mm between packed parts; a saw passes
GAP_CELLS = round(GAP / CELL)
MOST_PAGES = 400  # of one pack


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """What is packed: a whole part, or one tile of it. `box` and drawing in the same frame."""

    part: Part
    order: int
    box: Box
    shape: Shape
    tiling: Tiling | None = None
    tile: Tile | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """What lies where, before the sheets are numbered; see `numbered`."""

    sheets: tuple[Sheet, ...]
    pieces: tuple[_Piece, ...]
    paper: Paper
    margin: float
    profile: PrinterProfile | None


def lay_out(
    parts: Sequence[Part],
    *,
    paper: Paper,
    units: Units,
    job_title: str,
    date: str,
    margin: float = MARGIN,
    lap: float = LAP,
    first_page: int = 1,
    profile: PrinterProfile | None = None,
) -> Pack:
    """All parts on pages of one paper, upright or turned.

    Args:
        parts: full-size parts; their keys are unique.
        paper: the sheet.
        units: of the scale-check bars: 150 mm or 6 in.
        job_title: printed on each page.
        date: the job's date, or empty.
        margin: mm, at least 5.
        lap: how far neighbouring tiles overlap, mm.
        first_page: number of the first page.
        profile: the printer the pages are corrected for.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    arrangement = arrange(parts, paper=paper, margin=margin, lap=lap, profile=profile)
    return numbered(arrangement, units=units, job_title=job_title, date=date, first_page=first_page)


def arrange(
    parts: Sequence[Part],
    *,
    paper: Paper,
    margin: float = MARGIN,
    lap: float = LAP,
    profile: PrinterProfile | None = None,
) -> Arrangement:
    """Finds the fewest sheets for the parts; see `lay_out` for the arguments.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    if profile is not None:
        margin = profile.margin(paper, margin)
    areas = _areas(paper, margin)
    grids = [(cells_for(a.width) + GAP_CELLS, cells_for(a.height) + GAP_CELLS) for a in areas]
    best: tuple[tuple[Sheet, ...], list[_Piece]] | None = None
    for pieces in _cuttings(parts, areas, lap):
        shapes = [piece.shape for piece in pieces]
        most = MOST_PAGES if best is None else len(best[0]) - 1
        found = pack(shapes, grids, most=most)
        if found is not None:
            best = found, pieces
    if best is None:
        raise _too_many()
    sheets, pieces = best
    # Sheets follow one another as the parts do.
    ordered = sorted(sheets, key=lambda s: min(pieces[spot.index].order for spot in s.spots))
    return Arrangement(
        sheets=tuple(ordered), pieces=tuple(pieces), paper=paper, margin=margin, profile=profile
    )


def _too_many() -> LimitError:
    return LimitError(
        say("needs more than {most} sheets", most=MOST_PAGES),
        where="paper",
        mend=say("use larger paper"),
    )


def _areas(paper: Paper, margin: float) -> tuple[Box, Box]:
    """What parts may use of a page, upright and turned."""
    return content_area(paper, margin), content_area(paper.turned(), margin)


def numbered(
    arrangement: Arrangement, *, units: Units, job_title: str, date: str, first_page: int = 1
) -> Pack:
    """The arranged parts as numbered pages; see `lay_out` for the arguments."""
    pieces, paper, margin = arrangement.pieces, arrangement.paper, arrangement.margin
    papers, areas = (paper, paper.turned()), _areas(paper, margin)
    numbers = {
        (pieces[spot.index].part.key, tile.place): first_page + n
        for n, sheet in enumerate(arrangement.sheets)
        for spot in sheet.spots
        if (tile := pieces[spot.index].tile) is not None
    }
    pages = [
        _page(
            first_page + n,
            papers[sheet.grid],
            areas[sheet.grid],
            [(pieces[spot.index], spot) for spot in sheet.spots],
            numbers,
            units,
            job_title,
            date,
            margin,
            arrangement.profile,
        )
        for n, sheet in enumerate(arrangement.sheets)
    ]
    return Pack(
        pages=tuple(pages),
        job_title=job_title,
        paper=paper,
        units=units,
        profile=arrangement.profile,
    )


def _fits(part: Part, box: Box, areas: Sequence[Box]) -> bool:
    sizes = [(a.width, a.height) for a in areas]
    if part.may_turn:
        sizes += [(high, wide) for wide, high in sizes]
    return any(box.width <= w + 1e-9 and box.height <= h + 1e-9 for w, h in sizes)


def _cuttings(parts: Sequence[Part], areas: tuple[Box, ...], lap: float) -> Iterator[list[_Piece]]:
    """The pieces to pack, for each manner of tiling the large parts."""
    sizes = tuple((a.width, a.height) for a in areas)
    whole: list[_Piece] = []
    ways: list[tuple[int, list[Tiling]]] = []
    tiles = 0
    for order, part in enumerate(parts):
        box = part.drawing.bounds()
        if _fits(part, box, areas):
            whole.append(_whole(part, order, box))
        else:
            ways.append((order, tilings(part, sizes, lap=lap)))
            tiles += len(ways[-1][1][0].tiles)
            if tiles > MOST_TILES * 4:
                raise _too_many()
    for choice in range(max((len(found) for _, found in ways), default=1)):
        cut = [
            _piece_of(order, tiling, tile)
            for order, found in ways
            for tiling in (found[min(choice, len(found) - 1)],)
            for tile in tiling.tiles
        ]
        yield cut + whole


def _whole(part: Part, order: int, box: Box) -> _Piece:
    """A part that fits on a page. A card that does not is tiled like any part, never cut off."""
    # A card is read, not cut: nothing belongs between its lines.
    cells = silhouette(part.drawing, box) if part.may_tile else solid(box.width, box.height)
    return _Piece(part=part, order=order, box=box, shape=_shape(cells, may_turn=part.may_turn))


def _piece_of(order: int, tiling: Tiling, tile: Tile) -> _Piece:
    window = tile.window
    drawing = tile.drawing
    cells = silhouette(drawing, tile.frame)
    rows = list(cells.rows)
    # The laps and their wording are glued: nothing else may lie there.
    sides = tiling.neighbours(tile.place)
    top, left = tile.frame.top, tile.frame.left
    strips = {
        "left": Box(tile.frame.left, window.bottom, window.left + LAP, window.top),
        "right": Box(window.right - LAP, window.bottom, tile.frame.right, window.top),
        "above": Box(window.left, window.top - LAP, window.right, tile.frame.top),
        "below": Box(window.left, tile.frame.bottom, window.right, window.bottom + LAP),
    }
    for side in sides:
        strip = strips[side]
        first = max(0, int((strip.left - left) / CELL))
        last = min(cells.columns - 1, int((strip.right - left) / CELL))
        bits = (1 << (last + 1)) - (1 << first)
        for row in range(
            max(0, int((top - strip.top) / CELL)),
            min(len(rows), int((top - strip.bottom) / CELL) + 1),
        ):
            rows[row] |= bits
    return _Piece(
        part=tiling.part,
        order=order,
        box=tile.frame,
        shape=_shape(Silhouette(rows=tuple(rows), columns=cells.columns), may_turn=False),
        tiling=tiling,
        tile=tile,
    )


def _shape(cells: Silhouette, *, may_turn: bool) -> Shape:
    """Cells and a gap, in each turn that makes a difference."""
    turns = [cells]
    if may_turn:
        turns.append(turns[-1].turned())
        half = turns[-1].turned()
        if half != cells:
            turns += [half, half.turned()]
    return Shape(turns=tuple([(n, turn.grown(GAP_CELLS)) for n, turn in enumerate(turns)]))


def _lie(piece: _Piece, spot: Spot, area: Box) -> Transform:
    """The piece's frame to the page."""
    turn = Transform.rotate(spot.quarters * math.pi / 2)
    corners = [turn.apply(Point(piece.box.left, piece.box.bottom)),
               turn.apply(Point(piece.box.right, piece.box.top))]  # fmt: skip
    left, right = sorted((corners[0].x, corners[1].x))
    bottom, top = sorted((corners[0].y, corners[1].y))
    width, height = right - left, top - bottom
    # The grid of cells is centred on the area, and a shape on its own cells.
    x = area.left - (cells_for(area.width) * CELL - area.width) / 2
    x += spot.column * CELL + (cells_for(width) * CELL - width) / 2
    y = area.top + (cells_for(area.height) * CELL - area.height) / 2
    y -= spot.row * CELL + (cells_for(height) * CELL - height) / 2
    x = max(area.left, min(x, area.right - width))
    y = min(area.top, max(y, area.bottom + height))
    return turn.then(Transform.move(x - left, y - top))


def _page(
    number: int,
    paper: Paper,
    area: Box,
    lying: list[tuple[_Piece, Spot]],
    numbers: dict[tuple[str, Place], int],
    units: Units,
    job_title: str,
    date: str,
    margin: float,
    profile: PrinterProfile | None,
) -> Page:
    lying = sorted(lying, key=lambda p: (p[0].order, p[0].tile.place if p[0].tile else (0, 0)))
    placements: list[Placement] = []
    marks: list[Registration] = []
    extras: list[Item] = []
    titles: list[str] = []
    for piece, spot in lying:
        shift = _lie(piece, spot, area)
        if piece.tile is None or piece.tiling is None:
            window = _moved(piece.box, shift).grown(GAP / 2 - 0.1)
            placements.append(Placement(part=piece.part, transform=shift, clip=window))
            titles.append(piece.part.title)
            continue
        tile, tiling = piece.tile, piece.tiling
        placements.append(_tile_placement(tiling, tile, shift))
        back = tiling.turn.inverse()
        marks += [
            Registration(
                part_key=piece.part.key,
                tile=tile.name,
                label=seam.label,
                point=back.apply(seam.point),
            )
            for seam in tiling.seams
            if tile.place in seam.tiles
        ]
        sheets = {other.place: numbers[piece.part.key, other.place] for other in tiling.tiles}
        extras += edge_items(tiling, tile, shift, sheets)
        titles.append(f"{piece.part.title} {tile.name}")
    label = sheet_label(number)
    furniture = page_furniture(paper, units, label, tuple(titles), job_title, date, margin, profile)
    return Page(
        number=number,
        label=label,
        paper=paper,
        title="; ".join(titles),
        placements=tuple(placements),
        marks=tuple(marks),
        furniture=furniture + Drawing(items=tuple(extras)),
        correction=profile.correction(paper) if profile else Transform(),
    )


def _tile_placement(tiling: Tiling, tile: Tile, shift: Transform) -> Placement:
    part = tiling.part
    shown = Part(
        kind=part.kind,
        key=part.key,
        title=part.title,
        drawing=tile.drawing.moved(tiling.turn.inverse()),
        may_turn=part.may_turn,
        may_tile=part.may_tile,
    )
    return Placement(
        part=shown,
        transform=tiling.turn.then(shift),
        clip=_moved(tile.window, shift),
        tile=tile.name,
    )


def _moved(box: Box, shift: Transform) -> Box:
    one = shift.apply(Point(box.left, box.bottom))
    two = shift.apply(Point(box.right, box.top))
    return Box(min(one.x, two.x), min(one.y, two.y), max(one.x, two.x), max(one.y, two.y))
