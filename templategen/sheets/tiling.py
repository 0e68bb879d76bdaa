"""Large parts cut into tiles that overlap by a lap and meet at registration marks."""

import itertools
import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass

import numpy as np

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, Transform, union
from templategen.messages import tr
from templategen.parts.drawing import Drawing, Item, Part, Path, Role, Text
from templategen.sheets.registration_marks import MARK_ARM as MARK_ARM
from templategen.sheets.registration_marks import MARK_CLEAR, MARKS_APART, mark_items, mark_points
from templategen.sheets.silhouette import Columns, Floats, Rows, points_within, sampled

LAP = 10.0  # mm that neighbouring tiles share
RIM = 5.5  # mm beside a seam for its wording
INK_ROOM = 0.5  # mm kept round a drawing's outermost line
LEAST_TILE = 40.0  # mm: a narrower strip is no pleasure to glue
SEAM = MARKS_APART + 2 * MARK_CLEAR  # mm of seam at least
MOST_TILES = 100  # of one part

Place = tuple[int, int]  # column, row
Windows = dict[Place, Box]
Span = tuple[float, float]  # where a tile begins and ends, mm
Holding = tuple[Rows, Rows]  # first and last column or row that hold a point, for each point

# How the tiles of a row or column share its length: None for alike, 0 where the first ones are
# full, 1 where the last ones are, and what lies between.
Manner = float | None
MANNERS: tuple[Manner, ...] = (None, 0.0, 1.0)
MORE_MANNERS: tuple[Manner, ...] = (None, 0.0, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A registration mark on the trim line of a seam.

    The sheet above is trimmed through the mark and shows half of it; the sheet below shows all of
    it until it is covered. Laid edge to line, the halves meet.

    Args:
        point: its middle, in the turned frame.
        tiles: the two that carry it.
        label: of its own.
    """

    point: Point
    tiles: tuple[Place, Place]
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One tile, in the turned part's frame.

    Args:
        place: column from the left, row from the top.
        window: what it shows.
        frame: the window and the wording strips beside its seams.
        drawing: what the window shows: paths, wording and registration marks.
    """

    place: Place
    window: Box
    frame: Box
    drawing: Drawing

    @property
    def name(self) -> str:
        """Column letter and row number, such as ``B1``."""
        return tile_name(self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """A part cut into tiles.

    Args:
        part: whole.
        turn: part frame to turned frame.
        tiles: those that hold ink.
        seams: the registration marks.
    """

    part: Part
    turn: Transform
    tiles: tuple[Tile, ...]
    seams: tuple[Seam, ...]

    def neighbours(self, place: Place) -> dict[str, Place]:
        """The kept tiles beside a place: left, right, above, below."""
        return _neighbours(place, {tile.place for tile in self.tiles})


def _neighbours(place: Place, kept: Collection[Place]) -> dict[str, Place]:
    column, row = place
    sides = {
        "left": (column - 1, row),
        "right": (column + 1, row),
        "above": (column, row - 1),
        "below": (column, row + 1),
    }
    return {side: other for side, other in sides.items() if other in kept}


def tile_name(place: Place) -> str:
    """Column letter and row number.

    >>> tile_name((1, 0))
    'B1'
    """
    return f"{chr(ord('A') + place[0] % 26)}{place[1] + 1}"


def _room(length: float, count: int) -> list[float]:
    """The longest windows of `count` tiles on pages of a length, less the wording beside seams."""
    if count == 1:
        return [length]
    return [length - RIM, *[length - 2 * RIM] * (count - 2), length - RIM]


def _count(extent: float, length: float) -> int:
    """How many tiles an extent needs on pages of a length; more than `MOST_TILES` is too many."""
    count = 1
    while count <= MOST_TILES and sum(_room(length, count)) - (count - 1) * LAP < extent:
        count += 1
    return count


def _lengths(
    extent: float, length: float, manner: Manner, *, count: int, least: float
) -> list[float]:
    """How long each of `count` tiles is.

    Args:
        extent: what they hold together, mm.
        length: of the page, mm.
        manner: how they share it.
        count: as many as the extent needs, or more.
        least: the shortest tile, mm; where all are as short, the last one reaches past the extent.
    """
    if count == 1:
        return [extent]
    room = _room(length, count)
    least = min(least, *room)
    whole = min(sum(room), max(extent + (count - 1) * LAP, count * least))
    if manner is None:
        return [r * whole / sum(room) for r in room]
    first = _first_full(room, whole, least)
    return [(1 - manner) * a + manner * b for a, b in zip(first, reversed(first), strict=True)]


def _first_full(room: list[float], whole: float, least: float) -> list[float]:
    """Tiles that are full from the first on; those at the end are no shorter than `least`."""
    lengths: list[float] = []
    for n, most in enumerate(room):
        after = len(room) - n - 1
        lengths.append(min(most, whole - sum(lengths) - after * least))
    return lengths


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turned:
    """A part in one of its turns, with the points of its ink and the boxes of its wording."""

    quarters: int
    turn: Transform
    drawing: Drawing
    box: Box
    ink: Columns
    texts: list[Box]


def _turned(part: Part, quarters: int) -> _Turned:
    turn = Transform.rotate(quarters * math.pi / 2)
    drawing = part.drawing.moved(turn)
    return _Turned(
        quarters=quarters,
        turn=turn,
        drawing=drawing,
        box=_roomy(drawing.bounds().grown(INK_ROOM)),
        ink=sampled(drawing, step=2.0),
        texts=[t.bounds() for t in drawing.texts()],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """A way of cutting a part: its windows that hold ink, better the lower its score."""

    score: tuple[float, ...]
    alike: bool
    turned: _Turned
    windows: Windows


def _grids(
    turned: _Turned, area: tuple[float, float], manners: tuple[Manner, ...], more: tuple[int, int]
) -> list[_Grid]:
    """The ways of cutting a turned part for pages that offer `area`, width by height in mm.

    Each has as many tiles across and down as are needed, and `more`.
    """
    box, (xs, ys) = turned.box, turned.ink
    width, height = area
    needed = _count(box.width, width), _count(box.height, height)
    if needed[0] * needed[1] > MOST_TILES:
        return []
    counts = needed[0] + more[0], needed[1] + more[1]
    # Where tiles lie beside and above one another, each seam is as long as a tile is short.
    wide, high = (
        _least_tile(own) if other > 1 else LEAST_TILE for own, other in (counts, reversed(counts))
    )
    # Rows are counted from the top: measured downwards they are spans like the columns.
    across = [_lengths(box.width, width, m, count=counts[0], least=wide) for m in manners]
    down = [_lengths(box.height, height, m, count=counts[1], least=high) for m in manners]
    grids = []
    pairs = itertools.product(_cuts(box.left, xs, across), _cuts(-box.top, -ys, down))
    for n, ((columns, in_columns), (rows, in_rows)) in enumerate(pairs):
        windows = {
            (column, row): Box(left, -bottom, right, -top)
            for row, (top, bottom) in enumerate(rows)
            for column, (left, right) in enumerate(columns)
        }
        kept = _inked(windows, in_columns, in_rows, turned.texts)
        score, alike = _score(turned, kept), n == 0  # the first manner of both sides
        grids.append(_Grid(score=score, alike=alike, turned=turned, windows=kept))
    return grids


def _cuts(
    start: float, ink: Floats, ways: Iterable[list[float]]
) -> list[tuple[list[Span], Holding]]:
    """The tiles along one side of a part, and which of them hold each point of its ink.

    Args:
        start: of the side, mm.
        ink: where its points lie along the side, mm.
        ways: of sharing the side: the lengths of the tiles, mm.
    """
    spans = [_spans(start, lengths) for lengths in ways]
    return [(span, _holding(ink, span)) for span in spans]


def _score(turned: _Turned, windows: Windows) -> tuple[float, ...]:
    """Of a way of cutting, better the lower: tiles, split wording, likeness in size, the turn."""
    bare = _bare(windows).values()
    split = sum(not any(w.holds(text) for w in bare) for text in turned.texts)
    unlike = sum((w.width * w.height) ** 2 for w in windows.values())
    return len(windows), split, -unlike, turned.quarters


def _least_tile(count: int) -> float:
    """The shortest of several tiles whose seams cross those of others, mm."""
    return SEAM + LAP * min(2, count - 1) if count > 1 else LEAST_TILE


def tilings(part: Part, areas: tuple[tuple[float, float], ...]) -> list[Tiling]:
    """The ways of tiling a part that need the fewest tiles, over its turns and the pages' turns.

    Each seam has two marks at least `MARKS_APART` from one another and clear of wording: a way of
    cutting that has no places for them is passed over.

    Args:
        part: may be of any size.
        areas: width and height of what a page offers, one a page turn, mm.

    Returns: at most two: with tiles as unlike and as like in size as they come, the better one
        first where they differ in how much wording they split.

    Raises:
        LimitError: more than 100 tiles, or no places for the marks.
    """
    turns = [_turned(part, quarters) for quarters in ((0, 1) if part.may_turn else (0,))]
    ways = [(way, _grids(*way, MANNERS, (0, 0))) for way in itertools.product(turns, areas)]
    fewest = min((grid.score[0] for _, grids in ways for grid in grids), default=None)
    if fewest is None:
        raise LimitError(
            tr("{part} needs more than {most} sheets", part=part.title, most=MOST_TILES),
            mend=tr("use larger paper"),
        )
    best = [grid for _, grids in ways for grid in grids if grid.score[0] == fewest]
    found = _marked(part, [grid for grid in best if grid.score[1] == 0])
    if found:
        return found
    with_fewest = [way for way, grids in ways if any(g.score[0] == fewest for g in grids)]
    every = [way for way, _ in ways]
    for tried, more in ((with_fewest, (0, 0)), *((every, m) for m in ((1, 0), (0, 1), (1, 1)))):
        found = _marked(part, [g for way in tried for g in _grids(*way, MORE_MANNERS, more)])
        if found:
            return found
    found = _marked(part, best, over_words=True)  # a part that is all wording
    if found:
        return found
    raise LimitError(
        tr("{part} has no room for the marks of its seams", part=part.title),
        mend=tr("use larger paper"),
    )


def _marked(part: Part, grids: list[_Grid], *, over_words: bool = False) -> list[Tiling]:
    """Of the grids whose seams have their marks the best of each kind with the fewest tiles."""
    found: list[tuple[_Grid, Tiling]] = []
    for alike in (False, True):
        for grid in sorted((g for g in grids if g.alike is alike), key=lambda g: g.score):
            if found and grid.score[0] > found[0][0].score[0]:
                break
            tiling = _tiling(part, grid.turned, grid.windows, over_words=over_words)
            if tiling is not None:
                found.append((grid, tiling))
                break
    fewest = min((grid.score[0] for grid, _ in found), default=0)
    found.sort(key=lambda pair: pair[0].score[:2])
    return [tiling for grid, tiling in found if grid.score[0] == fewest]


def _spans(start: float, lengths: list[float]) -> list[Span]:
    """Lengths laid one after another, each over the end of the one before."""
    spans = []
    for length in lengths:
        spans.append((start, start + length))
        start += length - LAP
    return spans


def _holding(values: Floats, spans: list[Span]) -> Holding:
    """For each value the first and the last of the spans that hold it, as two columns.

    Both ends of the spans rise from one to the next, so those between hold it too.
    """
    lows, highs = np.array(spans, dtype=np.float64).T
    first = np.searchsorted(highs, values, side="left")
    last = np.searchsorted(lows, values, side="right") - 1
    return first, last


def _inked(windows: Windows, columns: Holding, rows: Holding, texts: list[Box]) -> Windows:
    """The windows that show something no other kept window shows.

    Args:
        windows: all of a grid.
        columns: for each point of ink, the first and last column that hold it.
        rows: for each point of ink, the first and last row that hold it.
        texts: boxes of the wording.
    """
    # Points in the same windows count once.
    base = MOST_TILES + 2  # numbers from -1 up
    code = np.zeros(len(columns[0]), dtype=np.int64)
    for numbers in (*columns, *rows):
        code = code * base + numbers + 1
    code.sort()
    once = code[np.flatnonzero(np.diff(code, prepend=-1))]
    held_by = np.stack([once // base**n % base - 1 for n in (3, 2, 1, 0)], axis=1).tolist()
    holders = [
        [(c, r) for c in range(c0, c1 + 1) for r in range(r0, r1 + 1)] for c0, c1, r0, r1 in held_by
    ]
    # A line of wording needs a window that holds it whole, if there is one, else all it meets.
    for text in texts:
        whole = [place for place, window in windows.items() if window.holds(text)]
        if whole:
            holders.append(whole)
        else:
            holders += [[place] for place, window in windows.items() if window.meets(text)]
    kept = {place for held in holders for place in held}
    for place in sorted(kept, key=lambda p: (p[1], p[0]), reverse=True):
        needed = [held for held in holders if place in held]
        if all(any(p in kept and p != place for p in held) for held in needed):
            kept.discard(place)
    return {place: window for place, window in windows.items() if place in kept}


def _tiling(part: Part, turned: _Turned, grid: Windows, *, over_words: bool) -> Tiling | None:
    """The tiles with their final windows and drawings, and the registration marks between them.

    None where a seam has no places for its marks, clear of wording unless `over_words`.
    """
    drawing, texts = turned.drawing, turned.texts
    beside = {place: _neighbours(place, grid) for place in grid}
    cropped = {p: _cropped(window, beside[p], turned.ink, texts) for p, window in grid.items()}
    windows = _with_seams(grid, cropped)
    seams = _seams(part, drawing, [] if over_words else texts, windows)
    if seams is None:
        return None
    contents = _contents(drawing, windows)
    tiles = []
    for place, window in windows.items():
        items, sides = contents[place], beside[place]
        for seam in seams:
            if place in seam.tiles:
                items += mark_items(seam.point)
        frame = Box(
            window.left - RIM * ("left" in sides),
            window.bottom - RIM * ("below" in sides),
            window.right + RIM * ("right" in sides),
            window.top + RIM * ("above" in sides),
        )
        shown = Drawing(items=tuple(items))
        tiles.append(Tile(place=place, window=window, frame=frame, drawing=shown))
    return Tiling(part=part, turn=turned.turn, tiles=tuple(tiles), seams=tuple(seams))


def _bare(windows: Windows) -> Windows:
    """What of each window no other tile is glued over: the laps on its right and below go."""
    return {
        (c, r): Box(
            window.left,
            window.bottom + LAP * ((c, r + 1) in windows),
            window.right - LAP * ((c + 1, r) in windows),
            window.top,
        )
        for (c, r), window in windows.items()
    }


def _contents(drawing: Drawing, windows: Windows) -> dict[Place, list[Item]]:
    """What each window shows: paths that reach into it, and each line of wording once.

    A line of wording that no tile shows whole once they are glued is shown by all that it reaches
    into.
    """
    contents: dict[Place, list[Item]] = {place: [] for place in windows}
    bare = _bare(windows)
    for item in drawing.items:
        box = item.bounds()
        whole = [p for p, w in bare.items() if isinstance(item, Text) and w.holds(box)]
        gap = 1.0 if isinstance(item, Path) else 0.0
        for place in whole[:1] or [p for p, w in windows.items() if box.meets(w, gap=gap)]:
            contents[place].append(item)
    return contents


def _cropped(window: Box, sides: dict[str, Place], ink: Columns, texts: list[Box]) -> Box:
    """The window without the empty strips on the sides that have no neighbour."""
    xs, ys = points_within(ink, window)
    boxes = [_round(xs, ys).grown(2.5)] if len(xs) else []
    held = union([*boxes, *(b.overlap(window) for b in texts if b.meets(window))])
    return Box(
        window.left if "left" in sides else max(window.left, held.left),
        window.bottom if "below" in sides else max(window.bottom, held.bottom),
        window.right if "right" in sides else min(window.right, held.right),
        window.top if "above" in sides else min(window.top, held.top),
    )


def _round(xs: Floats, ys: Floats) -> Box:
    """The least box round points, at least one."""
    return Box(float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))


def _with_seams(whole: Windows, cropped: Windows) -> Windows:
    """Cropped windows, extended until neighbours share a seam long enough for two marks."""
    found = dict(cropped)
    changed = True
    while changed:
        changed = False
        for place, other in _pairs(found):
            upright = place[1] == other[1]
            low, high = _shared(found[place], found[other], upright=upright)
            needed = MARKS_APART + sum(_ends(place, other, found))
            if high - low >= needed - 1e-6:
                continue
            for one in (place, other):
                pair = found[place], found[other]
                new = _extended(whole[one], found[one], pair, needed, upright=upright)
                if not found[one].holds(new, slack=1e-6):
                    found[one] = new
                    changed = True
    return found


def _pairs(places: Collection[Place]) -> list[tuple[Place, Place]]:
    """Tiles that lie beside one another, the left or upper one first."""
    return [
        (place, other)
        for place in places
        for other in ((place[0] + 1, place[1]), (place[0], place[1] + 1))
        if other in places
    ]


def _shared(one: Box, two: Box, *, upright: bool) -> Span:
    """Where the seam of two windows begins and ends along its line."""
    seam = one.overlap(two)
    return (seam.bottom, seam.top) if upright else (seam.left, seam.right)


def _extended(most: Box, now: Box, pair: tuple[Box, Box], needed: float, *, upright: bool) -> Box:
    """A window, extended along its seam by what the other has and what the seam lacks.

    Args:
        most: the window at its largest.
        now: the window.
        pair: the windows of both, of which this is one.
        needed: the length of their seam, mm.
        upright: whether they lie side by side.
    """
    both = union(pair)
    low, high = (both.bottom, both.top) if upright else (both.left, both.right)
    middle = (low + high) / 2
    low, high = min(low, middle - needed / 2), max(high, middle + needed / 2)
    if upright:
        return Box(now.left, max(most.bottom, low), now.right, min(most.top, high))
    return Box(max(most.left, low), now.bottom, min(most.right, high), now.top)


def _roomy(box: Box) -> Box:
    """The box, widened where it is too narrow for two marks in a seam across it."""
    wide, high = max(0.0, SEAM - box.width) / 2, max(0.0, SEAM - box.height) / 2
    return Box(box.left - wide, box.bottom - high, box.right + wide, box.top + high)


def _seams(part: Part, drawing: Drawing, words: list[Box], windows: Windows) -> list[Seam] | None:
    """Two marks on the trim line of each seam, or None where one has no places for them."""
    lines, cuts = sampled(drawing), sampled(drawing, Role.CUT)
    seams: list[Seam] = []
    for place, other in _pairs(windows):
        upright = place[1] == other[1]
        beside = windows[other]
        low, high = _shared(windows[place], beside, upright=upright)
        first, last = _ends(place, other, windows)
        if upright:
            ends = Point(beside.left, low + first), Point(beside.left, high - last)
        else:
            ends = Point(low + first, beside.top), Point(high - last, beside.top)
        marks = mark_points(*ends, lines, cuts, words)
        if marks is None:
            return None
        for n, point in enumerate(marks, start=1):
            name = f"{part.key} {tile_name(place)}-{tile_name(other)} {n}"
            seams.append(Seam(point=point, tiles=(place, other), label=name))
    return seams


def _ends(one: Place, other: Place, places: Collection[Place]) -> tuple[float, float]:
    """Room without a mark at the lower or left end of a seam, and at its other end, mm.

    Where another seam crosses, its lap and its marks are left alone.
    """
    across, down = (0, 1) if one[1] == other[1] else (-1, 0)
    crossed = (
        any((c + sign * across, r + sign * down) in places for c, r in (one, other))
        for sign in (1, -1)
    )
    first, last = (MARK_CLEAR + LAP * is_crossed for is_crossed in crossed)
    return first, last
