"""Large parts cut into tiles that overlap by a lap and meet at registration marks."""

import dataclasses
import itertools
import math
from dataclasses import dataclass

import numpy as np

from templategen.errors import LimitError
from templategen.geometry.shapes import Box, Point, Transform, circle, union
from templategen.messages import tr
from templategen.parts.drawing import (
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    arc_path,
    line,
)
from templategen.sheets.silhouette import Columns, Floats, Rows, sampled

LAP = 10.0  # mm that neighbouring tiles share
RIM = 5.5  # mm beside a seam for its wording
INK_ROOM = 0.5  # mm kept round a drawing's outermost line
MARK_CLEAR = 6.0  # mm from a registration mark's centre to a cut line
MARK_ARM = 4.0  # mm from a registration mark's centre to the end of its cross
MARKS_APART = 60.0  # mm between the two marks of a seam, where it is long enough
MARK_PLACES = 80  # steps along a seam at which a mark may lie
LEAST_TILE = 40.0  # mm: a narrower strip is no pleasure to glue
SEAM = 72.0  # mm of seam at least, for two marks well apart
MOST_TILES = 100  # of one part

Place = tuple[int, int]  # column, row
Holding = tuple[Rows, Rows]  # first and last column or row that hold a point, for each point
MANNERS = ("alike", "first", "last")  # which tiles of a row or column are full size


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A registration mark: where it is in the turned frame, and the two tiles that carry it."""

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
        column, row = place
        kept = {tile.place for tile in self.tiles}
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
    """The longest windows of so many tiles on a page of a length: wording beside each seam."""
    if count == 1:
        return [length]
    return [length - RIM, *[length - 2 * RIM] * (count - 2), length - RIM]


def _count(extent: float, length: float) -> int:
    """How many tiles an extent needs on pages of a length; more than `MOST_TILES` is too many."""
    count = 1
    while count <= MOST_TILES and sum(_room(length, count)) - (count - 1) * LAP < extent:
        count += 1
    return count


def _lengths(extent: float, length: float, manner: str) -> list[float]:
    """How long each tile is: alike, the first ones full, or the last ones full."""
    count = _count(extent, length)
    room = _room(length, count)
    whole = extent + (count - 1) * LAP
    if count == 1:
        return [extent]
    if manner == "alike":
        return [r * whole / sum(room) for r in room]
    rest = whole - sum(room[:-1])
    if rest < LEAST_TILE:
        room = [*room[:-2], room[-2] - (LEAST_TILE - rest), LEAST_TILE]
    lengths = [*room[:-1], whole - sum(room[:-1])]
    return lengths if manner == "first" else lengths[::-1]


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
    windows: list[tuple[Place, Box]]


def _grids(turned: _Turned, width: float, height: float) -> list[_Grid]:
    """The ways of cutting a turned part for pages that offer `width` by `height` mm."""
    box, (xs, ys) = turned.box, turned.ink
    if _count(box.width, width) * _count(box.height, height) > MOST_TILES:
        return []
    columns = {m: _spans(box.left, _lengths(box.width, width, m)) for m in MANNERS}
    # Rows are counted from the top: measured downwards they are spans like the columns.
    rows = {m: _spans(-box.top, _lengths(box.height, height, m)) for m in MANNERS}
    holding_columns = {m: _holding(xs, columns[m]) for m in MANNERS}
    holding_rows = {m: _holding(-ys, rows[m]) for m in MANNERS}
    grids = []
    for across, down in itertools.product(MANNERS, repeat=2):
        windows = [
            ((column, row), Box(left, -bottom, right, -top))
            for row, (top, bottom) in rows[down].items()
            for column, (left, right) in columns[across].items()
        ]
        kept = _inked(windows, holding_columns[across], holding_rows[down], turned.texts)
        split = sum(not any(w.holds(t) for _, w in kept) for t in turned.texts)
        unlike = sum((w.width * w.height) ** 2 for _, w in kept)
        grids.append(
            _Grid(
                score=(len(kept), split, -unlike, turned.quarters),
                alike=across == down == "alike",
                turned=turned,
                windows=kept,
            )
        )
    return grids


def tilings(part: Part, areas: tuple[tuple[float, float], ...]) -> list[Tiling]:
    """The ways of tiling a part that need the fewest tiles, over its turns and the pages' turns.

    Args:
        part: may be of any size.
        areas: width and height of what a page offers, one a page turn, mm.

    Returns: at most two: with tiles as unlike and as like in size as they come, the better one
        first where they differ in how much wording they split.

    Raises:
        LimitError: more than 100 tiles.
    """
    grids = [
        grid
        for quarters in ((0, 1) if part.may_turn else (0,))
        for turned in (_turned(part, quarters),)
        for width, height in areas
        for grid in _grids(turned, width, height)
    ]
    if not grids:
        raise LimitError(
            tr("{part} needs more than {most} sheets", part=part.title, most=MOST_TILES),
            mend=tr("use larger paper"),
        )
    picked = [
        min((g for g in grids if g.alike is alike), key=lambda g: g.score)
        for alike in (False, True)
    ]
    fewest = min(grid.score[0] for grid in picked)
    return [
        _tiling(part, grid.turned, grid.windows)
        for grid in sorted(picked, key=lambda g: g.score[:2])
        if grid.score[0] == fewest
    ]


def _spans(start: float, lengths: list[float]) -> dict[int, tuple[float, float]]:
    """Lengths laid one after another, each over the end of the one before."""
    spans = {}
    for number, length in enumerate(lengths):
        spans[number] = (start, start + length)
        start += length - LAP
    return spans


def _holding(values: Floats, spans: dict[int, tuple[float, float]]) -> Holding:
    """For each value the first and the last of the spans that hold it, as two columns.

    Both ends of the spans rise from one to the next, so those between hold it too.
    """
    lows, highs = np.array(list(spans.values()), dtype=np.float64).T
    first = np.searchsorted(highs, values, side="left")
    last = np.searchsorted(lows, values, side="right") - 1
    return first, last


def _inked(
    windows: list[tuple[Place, Box]],
    columns: Holding,
    rows: Holding,
    texts: list[Box],
) -> list[tuple[Place, Box]]:
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
    where = dict(windows)
    # A line of wording needs a window that holds it whole, if there is one, else all it meets.
    for text in texts:
        whole = [place for place, window in windows if window.holds(text)]
        if whole:
            holders.append(whole)
        else:
            holders += [[place] for place, window in windows if window.meets(text)]
    kept = {place for held in holders for place in held}
    for place in sorted(kept, key=lambda p: (p[1], p[0]), reverse=True):
        needed = [held for held in holders if place in held]
        if all(any(p in kept and p != place for p in held) for held in needed):
            kept.discard(place)
    return [(place, where[place]) for place, _ in windows if place in kept]


def _tiling(part: Part, turned: _Turned, kept: list[tuple[Place, Box]]) -> Tiling:
    """The tiles with their final windows and drawings, and the registration marks between them."""
    drawing, texts = turned.drawing, turned.texts
    bare = Tiling(
        part=part,
        turn=turned.turn,
        tiles=tuple(
            Tile(place=place, window=window, frame=window, drawing=drawing)
            for place, window in kept
        ),
        seams=(),
    )
    windows = _with_seams(
        dict(kept),
        {
            place: _cropped(window, bare.neighbours(place), turned.ink, texts)
            for place, window in kept
        },
    )
    seams = _seams(part, drawing, texts, windows)
    contents = _contents(drawing, windows)
    tiles = []
    for place, window in windows.items():
        items = contents[place]
        for seam in seams:
            if place in seam.tiles:
                items += mark_items(seam.point)
        sides = bare.neighbours(place)
        frame = Box(
            window.left - RIM * ("left" in sides),
            window.bottom - RIM * ("below" in sides),
            window.right + RIM * ("right" in sides),
            window.top + RIM * ("above" in sides),
        )
        shown = Drawing(items=tuple(items))
        tiles.append(Tile(place=place, window=window, frame=frame, drawing=shown))
    return dataclasses.replace(bare, tiles=tuple(tiles), seams=tuple(seams))


def _contents(drawing: Drawing, windows: dict[Place, Box]) -> dict[Place, list[Item]]:
    """What each window shows: paths that reach into it, and each line of wording once.

    A line of wording that no window holds whole is shown by all that it reaches into.
    """
    contents: dict[Place, list[Item]] = {place: [] for place in windows}
    for item in drawing.items:
        box = item.bounds()
        whole = [p for p, w in windows.items() if isinstance(item, Text) and w.holds(box)]
        gap = 1.0 if isinstance(item, Path) else 0.0
        for place in whole[:1] or [p for p, w in windows.items() if box.meets(w, gap=gap)]:
            contents[place].append(item)
    return contents


def _cropped(window: Box, sides: dict[str, Place], ink: Columns, texts: list[Box]) -> Box:
    """The window drawn in to its ink on the sides that have no neighbour, yet not too narrow."""
    xs, ys = _seen(ink, window)
    boxes = [_round(xs, ys).grown(2.5)] if len(xs) else []
    boxes += [
        Box(max(b.left, window.left), max(b.bottom, window.bottom),
            min(b.right, window.right), min(b.top, window.top))
        for b in texts
        if b.meets(window)
    ]  # fmt: skip
    held = union(boxes)
    return Box(
        window.left if "left" in sides else max(window.left, held.left),
        window.bottom if "below" in sides else max(window.bottom, held.bottom),
        window.right if "right" in sides else min(window.right, held.right),
        window.top if "above" in sides else min(window.top, held.top),
    )


def _seen(points: Columns, box: Box) -> Columns:
    """The points that lie in a box."""
    xs, ys = points
    seen = (box.left <= xs) & (xs <= box.right) & (box.bottom <= ys) & (ys <= box.top)
    return xs[seen], ys[seen]


def _round(xs: Floats, ys: Floats) -> Box:
    """The least box round points, at least one."""
    return Box(float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))


def _with_seams(whole: dict[Place, Box], drawn_in: dict[Place, Box]) -> dict[Place, Box]:
    """The windows let out again until neighbours share a seam long enough for two marks."""
    found = dict(drawn_in)
    changed = True
    while changed:
        changed = False
        for (column, row), one in list(found.items()):
            for other, upright in (((column + 1, row), True), ((column, row + 1), False)):
                if other not in found:
                    continue
                one, two = found[column, row], found[other]
                if upright:
                    low, high = max(one.bottom, two.bottom), min(one.top, two.top)
                else:
                    low, high = max(one.left, two.left), min(one.right, two.right)
                if high - low >= SEAM - 1e-6:
                    continue
                # Both get what either has, and what is wanting on either side of it.
                lack = SEAM / 2
                for place in ((column, row), other):
                    all_, now = whole[place], found[place]
                    if upright:
                        middle = (min(one.bottom, two.bottom) + max(one.top, two.top)) / 2
                        bottom = min(one.bottom, two.bottom, middle - lack)
                        top = max(one.top, two.top, middle + lack)
                        new = Box(now.left, max(all_.bottom, bottom), now.right, min(all_.top, top))
                    else:
                        middle = (min(one.left, two.left) + max(one.right, two.right)) / 2
                        left = min(one.left, two.left, middle - lack)
                        right = max(one.right, two.right, middle + lack)
                        new = Box(max(all_.left, left), now.bottom, min(all_.right, right), now.top)
                    if not now.holds(new, slack=1e-6):
                        found[place] = new
                        changed = True
    return found


def _roomy(box: Box) -> Box:
    """The box, widened where it is too narrow for two marks in a seam across it."""
    wide, high = max(0.0, SEAM - box.width) / 2, max(0.0, SEAM - box.height) / 2
    return Box(box.left - wide, box.bottom - high, box.right + wide, box.top + high)


def mark_items(point: Point) -> list[Item]:
    """A registration mark: a cross 8 mm wide in a ring of 4 mm."""
    return [
        line(point.x - MARK_ARM, point.y, point.x + MARK_ARM, point.y),
        line(point.x, point.y - MARK_ARM, point.x, point.y + MARK_ARM),
        arc_path(circle(point, MARK_ARM / 2), role=Role.MARK),
    ]


def _seams(part: Part, drawing: Drawing, words: list[Box], windows: dict[Place, Box]) -> list[Seam]:
    """Two marks a seam, as far from lines and wording as they come."""
    lines = sampled(drawing)
    seams: list[Seam] = []
    for (column, row), window in windows.items():
        for other, upright in (((column + 1, row), True), ((column, row + 1), False)):
            if other not in windows:
                continue
            beside = windows[other]
            # Where another seam crosses, its lap and its marks are left alone.
            first, last = (
                MARK_CLEAR + (LAP if any(p in windows for p in crossing) else 0.0)
                for crossing in _ends((column, row), other)
            )
            if upright:
                low = max(window.bottom, beside.bottom) + first
                high = min(window.top, beside.top) - last
                ends = Point(window.right - LAP / 2, low), Point(window.right - LAP / 2, high)
            else:
                low = max(window.left, beside.left) + first
                high = min(window.right, beside.right) - last
                ends = Point(low, window.bottom + LAP / 2), Point(high, window.bottom + LAP / 2)
            for n, point in enumerate(_mark_points(*ends, lines, words), start=1):
                name = f"{part.key} {tile_name((column, row))}-{tile_name(other)} {n}"
                seams.append(Seam(point=point, tiles=((column, row), other), label=name))
    return seams


def _mark_points(start: Point, end: Point, lines: Columns, words: list[Box]) -> list[Point]:
    """Where on the middle of a seam's lap, from `start` up or right to `end`, its two marks lie.

    As far apart as clear places allow. Where the clear ones lie near each other, marks nearer to
    lines are taken, so that the two give a direction.
    """
    upright = start.x == end.x
    low, high = (start.y, end.y) if upright else (start.x, end.x)
    strip = Box(*start, *end).grown(2 * MARK_CLEAR)
    cut = _seen(lines, strip)
    texts = [t for t in words if t.meets(strip)]
    places = [low + (high - low) * n / MARK_PLACES for n in range(MARK_PLACES + 1)]
    points = [Point(start.x, s) if upright else Point(s, start.y) for s in places]
    clear = _clearances(points, cut, texts)
    seam = high - low
    best: tuple[float, Point, Point] | None = None
    for least, apart in (
        (MARK_CLEAR, MARKS_APART),
        (MARK_ARM + 0.5, MARKS_APART),
        (MARK_ARM + 0.5, 0.4 * seam),
        (2.5, 0.4 * seam),
        (1.0, 0.4 * seam),
        (-math.inf, 0.0),
    ):
        fits = [n for n, gap in enumerate(clear) if gap >= least]
        if not fits:
            continue
        first, last = fits[0], fits[-1]
        between = places[last] - places[first]
        if best is None or between > best[0]:
            best = between, points[first], points[last]
        if between >= min(apart, 0.8 * seam):
            break
    if best is None:
        raise ValueError("a seam has no place for a mark")
    return [best[1], best[2]]


def _ends(one: Place, other: Place) -> tuple[tuple[Place, Place], tuple[Place, Place]]:
    """The places beyond the lower or left end of a seam, and beyond its other end."""
    across, down = (0, 1) if one[1] == other[1] else (-1, 0)
    lower = tuple((c + across, r + down) for c, r in (one, other))
    upper = tuple((c - across, r - down) for c, r in (one, other))
    return (lower[0], lower[1]), (upper[0], upper[1])


def _clearances(points: list[Point], cut: Columns, texts: list[Box]) -> list[float]:
    """How far each point is from lines and wording, as far as it matters."""
    xs, ys = cut
    near = [MARK_CLEAR * 2] * len(points)
    if len(xs):
        across, down = np.array(points, dtype=np.float64).T
        squares = (across[:, None] - xs) ** 2 + (down[:, None] - ys) ** 2
        nearest = squares.argmin(axis=1)
        near = [math.dist(p, (xs[n], ys[n])) for p, n in zip(points, nearest, strict=True)]
    found = []
    for point, gap in zip(points, near, strict=True):
        box = Box(point.x - MARK_ARM, point.y - MARK_ARM, point.x + MARK_ARM, point.y + MARK_ARM)
        penalty = 20.0 if any(box.meets(t, gap=0.5) for t in texts) else 0.0
        # Clear enough is clear enough: past it, marks far apart matter more.
        found.append(min(gap, MARK_CLEAR + 2.0) - penalty)
    return found
