"""Parts onto pages: large ones tiled, tiles and small ones packed onto the fewest sheets."""

import dataclasses
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import tr
from templategen.parts.drawing import Drawing, Item, Part, Role
from templategen.parts.style import PrintStyle
from templategen.sheets.assembly import Tiled
from templategen.sheets.furniture import Contents, content_area, page_furniture
from templategen.sheets.groups import gathered, heading
from templategen.sheets.packing import Shape, Sheet, Spot, pack, spare_spots
from templategen.sheets.page import (
    Imprint,
    Pack,
    Page,
    PageFrame,
    Placement,
    Registration,
    sheet_label,
)
from templategen.sheets.registration_marks import MARK_ARM
from templategen.sheets.seams import edge_items, lap_tints
from templategen.sheets.silhouette import CELL, Silhouette, cells_for, silhouette, solid
from templategen.sheets.tiling import LAP, MOST_TILES, Place, Tile, Tiling, tilings
from templategen.sheets.use_notes import FORMS, SKETCHED, has_sketch, use_note
from templategen.sheets.waste import hatching, within
from templategen.trade.part_kinds import Group, KindUse, Material, PartKind

GAP = 4.0  # mm between packed parts; a saw passes
GAP_CELLS = round(GAP / CELL)
MOST_PAGES = 400  # of one pack
NEARER = 20.0  # mm: by which two notes that change places come nearer to their parts
BESIDE = 12.0  # mm: a note no farther from its part stands beside it
LEANS = [math.radians(5 * n) for n in range(1, 18)]  # of a part longer than a sheet
TRIES = 60  # of orders and turns by chance; 1500 save one sheet more in 36 sets of parts
# Steps that may share sheets where that saves one: both come before the blank goes on the lathe
# for the cuts, and a blank without a log needs only its trammel strip for the first.
SHARED = {KindUse(Group.LOG, Material.CARD), KindUse(Group.TURN, Material.CARD)}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """What is packed: a whole part, or one tile of it.

    Args:
        part: as drawn.
        order: number of the part.
        box: round the part turned by `lean`, or round the tile, mm.
        shape: what it covers.
        tiling: how the part is cut into tiles.
        tile: which one.
        lean: angle by which the part is turned before it is laid, radians; 0 for a tile.
    """

    part: Part
    order: int
    box: Box
    shape: Shape
    tiling: Tiling | None = None
    tile: Tile | None = None
    lean: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """Sheets of one step and one material, or of two steps that share sheets.

    Args:
        uses: step and material of each part, by its number.
        sheets: packed.
        pieces: what lies on them.
    """

    uses: Mapping[int, KindUse | None]
    sheets: tuple[Sheet, ...]
    pieces: tuple[_Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """What lies where, before the sheets are numbered; see `numbered`."""

    sections: tuple[_Section, ...]
    frame: PageFrame


def lay_out(
    parts: Sequence[Part], *, frame: PageFrame, style: PrintStyle, job_title: str, date: str
) -> Pack:
    """All parts on pages of one paper, upright or turned, by their step and material.

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


def arrange(parts: Sequence[Part], *, frame: PageFrame, is_shop_set: bool = False) -> Arrangement:
    """The fewest sheets that the search finds for the parts of each step and material.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    sections: list[_Section] = []
    left = MOST_PAGES
    for use, held in gathered(parts, is_shop_set=is_shop_set):
        section = _section(dict.fromkeys([order for order, _ in held], use), held, frame, left)
        if section is None:
            raise _too_many()
        left -= len(section.sheets)
        shared = _shared(sections[-1], section, parts, frame) if sections else None
        if shared is not None:
            left += len(sections[-1].sheets) + len(section.sheets) - len(shared.sheets)
            sections[-1] = shared
        else:
            sections.append(section)
    return Arrangement(sections=tuple(sections), frame=frame)


def _shared(
    one: _Section, two: _Section, parts: Sequence[Part], frame: PageFrame
) -> _Section | None:
    """Two steps that follow one another on common sheets, where that saves one."""
    uses = {**one.uses, **two.uses}
    if set(uses.values()) != SHARED:
        return None
    held = [(order, parts[order]) for order in uses]
    return _section(uses, held, frame, len(one.sheets) + len(two.sheets) - 1)


def _section(
    uses: Mapping[int, KindUse | None],
    parts: Sequence[tuple[int, Part]],
    frame: PageFrame,
    most: int,
) -> _Section | None:
    """The parts on as few sheets as the search finds; None for more than `most`."""
    areas = _areas(frame)
    grids = _grids(areas)
    best: tuple[tuple[Sheet, ...], list[_Piece]] | None = None
    for pieces in _cuttings(parts, areas):
        shapes = [piece.shape for piece in pieces]
        tries = 0 if any(piece.tiling for piece in pieces) else TRIES
        found = pack(shapes, grids, most=MOST_PAGES, tries=tries)
        if found is not None and (best is None or len(found) < len(best[0])):
            best = found, pieces
    if best is None or len(best[0]) > most:
        return None
    sheets, pieces = best
    # Sheets follow one another as the parts do.
    ordered = sorted(sheets, key=lambda s: min(pieces[spot.index].order for spot in s.spots))
    return _Section(uses=uses, sheets=tuple(ordered), pieces=tuple(pieces))


def _too_many() -> LimitError:
    return LimitError(
        tr("needs more than {most} sheets", most=MOST_PAGES),
        where="paper",
        mend=tr("use larger paper"),
    )


def _areas(frame: PageFrame) -> tuple[Box, Box]:
    """What parts may use of a page, upright and turned."""
    return content_area(frame), content_area(frame.turned())


def _grids(areas: tuple[Box, Box]) -> list[tuple[int, int]]:
    """Columns and rows of cells of each area, with the gap that its last shapes may stand out."""
    return [(cells_for(a.width) + GAP_CELLS, cells_for(a.height) + GAP_CELLS) for a in areas]


def tiled_parts(arrangement: Arrangement) -> Tiled:
    """The tiles of the tiled parts with their sheets, as if the first sheet had the number 1."""
    areas = _areas(arrangement.frame)
    lying = [(section, sheet) for section in arrangement.sections for sheet in section.sheets]
    found: Tiled = {}
    for number, (section, sheet) in enumerate(lying, start=1):
        for spot in sheet.spots:
            piece = section.pieces[spot.index]
            if piece.tiling is not None and piece.tile is not None:
                shift = _laid(piece.box, spot, areas[sheet.grid])
                placement = _tile_placement(piece.tiling, piece.tile, shift)
                found.setdefault(piece.part.key, []).append((number, placement))
    return found


def numbered(
    arrangement: Arrangement, style: PrintStyle, imprint: Imprint, *, first_page: int = 1
) -> Pack:
    """The arranged parts as numbered pages, the first of them `first_page`."""
    frame = arrangement.frame
    frames = frame, frame.turned()
    lying = [(section, sheet) for section in arrangement.sections for sheet in section.sheets]
    numbers = {
        (section.pieces[spot.index].part.key, tile.place): number
        for number, (section, sheet) in enumerate(lying, start=first_page)
        for spot in sheet.spots
        if (tile := section.pieces[spot.index].tile) is not None
    }
    notes = _notes(lying, _areas(frame), style, first_page)
    pages = []
    for number, (section, sheet) in enumerate(lying, start=first_page):
        own = frames[sheet.grid]
        content = _content(section, sheet, content_area(own), numbers, style)
        noted = (*content.placements, *notes[number - first_page].values())
        content = dataclasses.replace(content, placements=noted)
        pages.append(_page(number, own, content, style, imprint))
    return Pack(
        pages=tuple(pages),
        job_title=imprint.job_title,
        frame=frame,
        style=style,
        date=imprint.date,
    )


def _fits(part: Part, box: Box, areas: Sequence[Box]) -> bool:
    sizes = [(box.width, box.height)]
    if part.may_turn:
        sizes.append((box.height, box.width))
    return any(_holds(area, size) for area in areas for size in sizes)


def _holds(area: Box, size: tuple[float, float]) -> bool:
    """Whether a thing of such a width and height, mm, fits into an area as it is."""
    return size[0] <= area.width + 1e-9 and size[1] <= area.height + 1e-9


def _cuttings(parts: Sequence[tuple[int, Part]], areas: tuple[Box, ...]) -> Iterator[list[_Piece]]:
    """The pieces to pack, for each manner of leaning the large parts, then of tiling them."""
    sizes = tuple((a.width, a.height) for a in areas)
    whole: list[_Piece] = []
    ways: list[tuple[int, list[Tiling]]] = []
    leaning: list[list[_Piece]] = []
    tiles = 0
    for order, part in parts:
        box = part.drawing.bounds()
        if _fits(part, box, areas):
            whole.append(_whole(part, order, areas))
        else:
            leaning.append(_leaning(part, order, areas))
            ways.append((order, tilings(part, sizes)))
            tiles += len(ways[-1][1][0].tiles)
            if tiles > MOST_TILES * 4:
                raise _too_many()
    if leaning and all(leaning):
        for choice in range(max(map(len, leaning))):
            yield [found[min(choice, len(found) - 1)] for found in leaning] + whole
    for choice in range(max((len(found) for _, found in ways), default=1)):
        cut = [
            _piece_of(order, tiling, tile)
            for order, found in ways
            for tiling in (found[min(choice, len(found) - 1)],)
            for tile in tiling.tiles
        ]
        yield cut + whole


def _leaning(part: Part, order: int, areas: Sequence[Box]) -> list[_Piece]:
    """A part to cut out that is longer than a sheet, whole along a diagonal, in up to three ways.

    A gauge in one piece is truer than one with a seam.
    """
    lines = Drawing(items=part.drawing.paths())
    is_cut_out = any(path.closed for path in part.drawing.paths(Role.CUT))
    if not (part.may_turn and is_cut_out and lines.bounds() == part.drawing.bounds()):
        return []
    fitting = [
        lean for lean in LEANS if _fits(part, lines.moved(Transform.rotate(lean)).bounds(), areas)
    ]
    picked = dict.fromkeys(fitting[n] for n in (0, len(fitting) // 2, -1) if fitting)
    return [_whole(part, order, areas, lean) for lean in picked]


def _whole(part: Part, order: int, areas: Sequence[Box], lean: float = 0.0) -> _Piece:
    """A part that fits on a page. A card that does not is tiled like any part, never cut off."""
    drawing = part.drawing
    if lean:  # its words lie within its lines, and their upright boxes would not
        drawing = Drawing(items=drawing.paths()).moved(Transform.rotate(lean))
    box = drawing.bounds()
    # A card is read, not cut: nothing belongs between its lines.
    cells = silhouette(drawing, box) if part.may_tile else solid(box.width, box.height)
    shape = _shape(cells, may_turn=part.may_turn)
    barred = frozenset(
        (grid, quarters)
        for grid, area in enumerate(areas)
        for quarters, _ in shape.turns
        if not _holds(area, (box.height, box.width) if quarters % 2 else (box.width, box.height))
    )
    shape = dataclasses.replace(shape, barred=barred)
    return _Piece(part=part, order=order, box=box, shape=shape, lean=lean)


def _piece_of(order: int, tiling: Tiling, tile: Tile) -> _Piece:
    window = tile.window
    drawing = tile.drawing
    cells = silhouette(drawing, tile.frame)
    rows = list(cells.rows)
    # The laps and their wording are glued, and marks reach over them: nothing else may lie there.
    sides = tiling.neighbours(tile.place)
    top, left = tile.frame.top, tile.frame.left
    strips = {
        "left": Box(tile.frame.left, window.bottom, window.left + LAP, window.top),
        "right": Box(window.right - LAP - MARK_ARM, window.bottom, tile.frame.right, window.top),
        "above": Box(window.left, window.top - LAP, window.right, tile.frame.top),
        "below": Box(window.left, tile.frame.bottom, window.right, window.bottom + LAP + MARK_ARM),
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


def _laid(box: Box, spot: Spot, area: Box) -> Transform:
    """The frame of a piece with such a box to the page."""
    turn = Transform.rotate(spot.quarters * math.pi / 2)
    corners = [turn.apply(Point(box.left, box.bottom)), turn.apply(Point(box.right, box.top))]
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
    tints: Drawing
    titles: tuple[str, ...]
    uses: tuple[KindUse | None, ...]


def _content(
    section: _Section,
    sheet: Sheet,
    area: Box,
    numbers: dict[tuple[str, Place], int],
    style: PrintStyle,
) -> _Content:
    lying = [(section.pieces[spot.index], spot) for spot in sheet.spots]
    lying.sort(key=lambda p: (p[0].order, p[0].tile.place if p[0].tile else (0, 0)))
    placements: list[Placement] = []
    marks: list[Registration] = []
    seams: list[Item] = []
    tints: list[Item] = []
    titles: list[str] = []
    for piece, spot in lying:
        shift = _laid(piece.box, spot, area)
        if piece.tile is None or piece.tiling is None:
            window = piece.box.moved(shift).grown(GAP / 2 - 0.1)
            waste = hatching(piece.part.drawing)
            shift = Transform.rotate(piece.lean).then(shift)
            placements.append(Placement(part=piece.part, transform=shift, clip=window, waste=waste))
            titles.append(piece.part.title)
            continue
        tile, tiling = piece.tile, piece.tiling
        laid = _tile_placement(tiling, tile, shift)
        window = tile.window.moved(tiling.turn.inverse())
        waste = within(hatching(piece.part.drawing), window)
        placements.append(dataclasses.replace(laid, waste=waste))
        marks += _registrations(tiling, tile)
        sheets = {other.place: numbers[piece.part.key, other.place] for other in tiling.tiles}
        seams += edge_items(tiling, tile, shift, sheets, style)
        tints += lap_tints(tiling, tile, shift)
        titles.append(f"{piece.part.title} {tile.name}")
    return _Content(
        placements=tuple(placements),
        marks=tuple(marks),
        seams=Drawing(items=tuple(seams)),
        tints=Drawing(items=tuple(tints)),
        titles=tuple(titles),
        uses=tuple(dict.fromkeys(section.uses[piece.order] for piece, _ in lying)),
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
    number: int,
    frame: PageFrame,
    content: _Content,
    style: PrintStyle,
    imprint: Imprint,
) -> Page:
    label = style.text(sheet_label(number))
    contents = Contents(heading(content.uses, style), content.titles)
    furniture = page_furniture(frame, style, imprint, label=label, contents=contents)
    return Page(
        number=number,
        label=label,
        paper=frame.paper,
        title="; ".join(content.titles),
        placements=content.placements,
        marks=content.marks,
        furniture=furniture + content.seams,
        correction=frame.correction,
        underlay=content.tints,
        use=content.uses[0],
    )


def _kept_clear(piece: _Piece) -> Shape:
    """What a sketch keeps clear of: of a part to read all of its box, else what is cut out."""
    if piece.part.drawing.paths(Role.CUT):
        return piece.shape
    turns = [solid(piece.box.width, piece.box.height)]
    turns.append(turns[0].turned())
    return Shape(turns=tuple([(n, turns[n % 2].grown(GAP_CELLS)) for n, _ in piece.shape.turns]))


def _notes(
    lying: Sequence[tuple[_Section, Sheet]], areas: tuple[Box, Box], style: PrintStyle, first: int
) -> list[dict[str, Placement]]:
    """How the kinds of parts are used: on their own sheets, else on another with room.

    Another sheet is one of the same step where it can be, and the nearest one; the note names
    the sheets that it speaks of there. A kind with words alone on its own sheets has its sketch on
    another sheet of the same step, where one has room.
    """
    kinds = [
        list(dict.fromkeys(section.pieces[s.index].part.kind for s in sheet.spots))
        for section, sheet in lying
    ]
    kinds = [[kind for kind in own if kind in SKETCHED] for own in kinds]
    every = dict.fromkeys(kind for own in kinds for kind in own)
    sheets = {kind: [n for n, own in enumerate(kinds) if kind in own] for kind in every}
    # A kind that lies on one sheet alone comes before one that has its note on another sheet too.
    kinds = [sorted(own, key=lambda kind: len(sheets[kind])) for own in kinds]
    steps = [{use.group for use in section.uses.values() if use} for section, _ in lying]

    def found(n: int, *guests: str) -> dict[str, Placement]:
        section, sheet = lying[n]
        named = {kind: tuple(first + own for own in sheets[kind]) for kind in guests}
        return _notes_on(_Lying(section, sheet, areas[sheet.grid]), kinds[n], named, style)

    notes = [found(n) for n in range(len(lying))]
    for kind, own in sheets.items():
        if any(kind in notes[n] and has_sketch(notes[n][kind].part) for n in own):
            continue
        at, is_named = own[0], any(kind in notes[n] for n in own)
        for n in sorted(
            set(range(len(lying))) - set(own),
            key=lambda other: (not steps[other] & steps[at], abs(other - at)),
        ):
            if is_named and not steps[n] & steps[at]:
                break
            more = found(n, *[k for k in notes[n] if k not in kinds[n]], kind)
            if kind in more and (not is_named or has_sketch(more[kind].part)):
                notes[n] = more
                break
    return notes


@dataclass(frozen=True, slots=True)
class _Lying:
    """A sheet with its parts: the section that it is of, and its area for parts."""

    section: _Section
    sheet: Sheet
    area: Box


def _notes_on(
    lying: _Lying,
    own: Sequence[str],
    guests: Mapping[str, tuple[int, ...]],
    style: PrintStyle,
) -> dict[str, Placement]:
    """The notes of one sheet; two change places where they come clearly nearer to their parts.

    Args:
        lying: the sheet.
        own: kinds that lie on the sheet.
        guests: kinds that lie on others, with the sheets to name.
        style: language of the notes.
    """
    shown = dict.fromkeys(own, ()) | dict(guests)
    notes = _sketches(lying, shown, style)
    for one, other in itertools.combinations([kind for kind in own if kind in notes], 2):
        crossed = {one: notes[other], other: notes[one]}
        here = _distances(lying, {kind: notes[kind] for kind in crossed})
        there = _distances(lying, crossed)
        if sum(there.values()) < sum(here.values()) - NEARER:
            turned = {{one: other, other: one}.get(kind, kind): () for kind in own} | shown
            tried = _sketches(lying, turned, style)
            if _is_nearer(lying, tried, notes):
                return tried
    return notes


def _sketches(
    lying: _Lying, shown: Mapping[str, tuple[int, ...]], style: PrintStyle
) -> dict[str, Placement]:
    """How kinds of parts are used, where the sheet has room for it.

    Args:
        lying: the sheet.
        shown: the sheets to name in the note of each kind; none for this one, which needs no name.
        style: language of the notes.
    """
    extras = [_forms(PartKind(kind), style, other) for kind, other in shown.items()]
    area = lying.area
    shapes = [_kept_clear(piece) for piece in lying.section.pieces]
    placements: dict[str, Placement] = {}
    spots = spare_spots(lying.sheet, shapes, _grids((area, area))[0], extras)
    for (kind, other), spot in zip(shown.items(), spots, strict=True):
        if spot is not None:
            note = use_note(PartKind(kind), spot.index, style, other)
            shift = _laid(note.box, spot, area)
            clip = note.box.moved(shift).grown(0.5)
            placements[kind] = Placement(part=note.part, transform=shift, clip=clip)
    return placements


def _distances(lying: _Lying, notes: Mapping[str, Placement]) -> dict[str, float]:
    """How far each note lies from the nearest part of its kind on the sheet, mm."""
    found: dict[str, float] = {}
    for spot in lying.sheet.spots:
        piece = lying.section.pieces[spot.index]
        kind = piece.part.kind
        if kind in notes:
            box, clip = piece.box.moved(_laid(piece.box, spot, lying.area)), notes[kind].clip
            across = max(0.0, box.left - clip.right, clip.left - box.right)
            down = max(0.0, box.bottom - clip.top, clip.bottom - box.top)
            found[kind] = min(math.hypot(across, down), found.get(kind, math.inf))
    return found


def _is_nearer(
    lying: _Lying, tried: Mapping[str, Placement], notes: Mapping[str, Placement]
) -> bool:
    """Whether notes lie nearer to their parts on the whole.

    None may lose its sketch, or lie farther off than before unless it still stands beside its part.
    """
    if any(
        k not in tried or has_sketch(n.part) > has_sketch(tried[k].part) for k, n in notes.items()
    ):
        return False
    before, after = _distances(lying, notes), _distances(lying, tried)
    return sum(after.values()) < sum(before.values()) - NEARER and all(
        after[kind] < max(far, BESIDE) + CELL for kind, far in before.items()
    )


def _forms(kind: PartKind, style: PrintStyle, others: tuple[int, ...]) -> Iterator[Shape]:
    """The forms of the note of a kind, made as they are tried; most often the first fits."""
    for form in range(len(FORMS)):
        box = use_note(kind, form, style, others).box
        yield _shape(solid(box.width, box.height), may_turn=False)


def _tile_placement(tiling: Tiling, tile: Tile, shift: Transform) -> Placement:
    part = tiling.part
    back = tiling.turn.inverse()
    return Placement(
        part=dataclasses.replace(part, drawing=tile.drawing.moved(back)),
        transform=tiling.turn.then(shift),
        clip=tile.window.moved(shift),
        tile=tile.name,
    )
