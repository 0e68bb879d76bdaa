"""Parts onto pages: large ones tiled, tiles and small ones packed onto the fewest sheets."""

import dataclasses
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import tr
from templategen.parts.drawing import Drawing, Item, Part
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import content_area, page_furniture
from templategen.sheets.packing import Shape, Sheet, Spot, pack
from templategen.sheets.page import (
    Imprint,
    Pack,
    Page,
    PageFrame,
    Placement,
    Registration,
    sheet_label,
)
from templategen.sheets.seams import edge_items
from templategen.sheets.silhouette import CELL, Silhouette, cells_for, silhouette, solid
from templategen.sheets.tiling import LAP, MOST_TILES, Place, Tile, Tiling, tilings

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
    frame: PageFrame


def lay_out(
    parts: Sequence[Part], *, frame: PageFrame, style: PrintStyle, job_title: str, date: str
) -> Pack:
    """All parts on pages of one paper, upright or turned.

    Args:
        parts: full-size parts; their keys are unique.
        frame: paper upright, margin and printer.
        style: units of the scale-check bars (150 mm or 6 in), and the language.
        job_title: printed on each page.
        date: the job's date, or empty.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    imprint = Imprint(job_title=job_title, date=date)
    return numbered(arrange(parts, frame=frame), style, imprint)


def arrange(parts: Sequence[Part], *, frame: PageFrame) -> Arrangement:
    """The fewest sheets that the search finds for the parts.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    areas = _areas(frame)
    grids = [(cells_for(a.width) + GAP_CELLS, cells_for(a.height) + GAP_CELLS) for a in areas]
    best: tuple[tuple[Sheet, ...], list[_Piece]] | None = None
    for pieces in _cuttings(parts, areas):
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
    return Arrangement(sheets=tuple(ordered), pieces=tuple(pieces), frame=frame)


def _too_many() -> LimitError:
    return LimitError(
        tr("needs more than {most} sheets", most=MOST_PAGES),
        where="paper",
        mend=tr("use larger paper"),
    )


def _areas(frame: PageFrame) -> tuple[Box, Box]:
    """What parts may use of a page, upright and turned."""
    return content_area(frame), content_area(frame.turned())


def numbered(
    arrangement: Arrangement, style: PrintStyle, imprint: Imprint, *, first_page: int = 1
) -> Pack:
    """The arranged parts as numbered pages, the first of them `first_page`."""
    pieces, frame = arrangement.pieces, arrangement.frame
    frames = frame, frame.turned()
    numbers = {
        (pieces[spot.index].part.key, tile.place): first_page + n
        for n, sheet in enumerate(arrangement.sheets)
        for spot in sheet.spots
        if (tile := pieces[spot.index].tile) is not None
    }
    pages = []
    for number, sheet in enumerate(arrangement.sheets, start=first_page):
        own = frames[sheet.grid]
        lying = [(pieces[spot.index], spot) for spot in sheet.spots]
        lying.sort(key=lambda p: (p[0].order, p[0].tile.place if p[0].tile else (0, 0)))
        content = _content(lying, content_area(own), numbers, style)
        pages.append(_page(number, own, content, style, imprint))
    return Pack(pages=tuple(pages), job_title=imprint.job_title, frame=frame, style=style)


def _fits(part: Part, box: Box, areas: Sequence[Box]) -> bool:
    sizes = [(a.width, a.height) for a in areas]
    if part.may_turn:
        sizes += [(high, wide) for wide, high in sizes]
    return any(box.width <= w + 1e-9 and box.height <= h + 1e-9 for w, h in sizes)


def _cuttings(parts: Sequence[Part], areas: tuple[Box, ...]) -> Iterator[list[_Piece]]:
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
            ways.append((order, tilings(part, sizes)))
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Content:
    """What lies on a page, page mm."""

    placements: tuple[Placement, ...]
    marks: tuple[Registration, ...]
    seams: Drawing
    titles: tuple[str, ...]


def _content(
    lying: Sequence[tuple[_Piece, Spot]],
    area: Box,
    numbers: dict[tuple[str, Place], int],
    style: PrintStyle,
) -> _Content:
    placements: list[Placement] = []
    marks: list[Registration] = []
    seams: list[Item] = []
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
        marks += _registrations(tiling, tile)
        sheets = {other.place: numbers[piece.part.key, other.place] for other in tiling.tiles}
        seams += edge_items(tiling, tile, shift, sheets, style)
        titles.append(f"{piece.part.title} {tile.name}")
    return _Content(
        placements=tuple(placements),
        marks=tuple(marks),
        seams=Drawing(items=tuple(seams)),
        titles=tuple(titles),
    )


def _registrations(tiling: Tiling, tile: Tile) -> list[Registration]:
    """The marks that a tile carries, in the frame of its part."""
    back = tiling.turn.inverse()
    return [
        Registration(
            part_key=tiling.part.key,
            tile=tile.name,
            label=seam.label,
            point=back.apply(seam.point),
        )
        for seam in tiling.seams
        if tile.place in seam.tiles
    ]


def _page(
    number: int, frame: PageFrame, content: _Content, style: PrintStyle, imprint: Imprint
) -> Page:
    label = style.text(sheet_label(number))
    furniture = page_furniture(frame, style, imprint, label=label, titles=content.titles)
    return Page(
        number=number,
        label=label,
        paper=frame.paper,
        title="; ".join(content.titles),
        placements=content.placements,
        marks=content.marks,
        furniture=furniture + content.seams,
        correction=frame.correction,
    )


def _tile_placement(tiling: Tiling, tile: Tile, shift: Transform) -> Placement:
    part = tiling.part
    return Placement(
        part=dataclasses.replace(part, drawing=tile.drawing.moved(tiling.turn.inverse())),
        transform=tiling.turn.then(shift),
        clip=_moved(tile.window, shift),
        tile=tile.name,
    )


def _moved(box: Box, shift: Transform) -> Box:
    one = shift.apply(Point(box.left, box.bottom))
    two = shift.apply(Point(box.right, box.top))
    return Box(min(one.x, two.x), min(one.y, two.y), max(one.x, two.x), max(one.y, two.y))
