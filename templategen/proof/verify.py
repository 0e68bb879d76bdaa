"""A printed pack measured against its model: every part, tile, seam and bar of the file.

The parts are drawn anew from the recipe inside the pack; what its pages draw is read back by
another library than the one that wrote it (`drawn`), mapped into each part's own frame, and the
greatest distance between the two is told.
"""

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform, circle
from templategen.messages import say, say_count
from templategen.parts.drawing import LINE_WIDTH, Part, Path, Role
from templategen.proof.pdf_reader import DrawnPage, DrawnPath
from templategen.proof.recipe import (
    MOST_BYTES,
    NAME,
    LaidPage,
    LaidPart,
    Recipe,
    read_recipe,
    remake,
)
from templategen.proof.sandbox import Pack
from templategen.sheets.furniture import MARGIN, bars
from templategen.sheets.silhouette import samples
from templategen.sheets.tiling import MARK_ARM, mark_items

TOLERANCE = 0.01  # mm: ten times what the rounding of a PDF can do, far below what a saw can
PAPER_TOLERANCE = 0.1  # mm: sizes of paper are written in points
SAME_PLACE = 0.05  # mm: how near a drawn line's box lies to its model's to be found at once
MOST_PIECES = 5_000  # of one drawn line; a model's has some hundred
MOST_PAIRS = 3_000_000  # comparisons spent on the lines of one page that are not where they belong
CUBIC_STEPS = 8
INK_SLACK = 0.01  # mm that a line may stand past its window, less than half its width


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing measured.

    Args:
        sheet: its number.
        what: the part, tile, bar or seam.
        deviation: greatest distance from the model, mm; None if it is not there to be measured.
        note: in words, what is wrong or what was measured; may be empty.
        is_true: within the tolerance.
    """

    sheet: int
    what: str
    deviation: float | None
    note: str
    is_true: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All that was measured."""

    parts: tuple[Row, ...]
    seams: tuple[Row, ...]
    bars: tuple[Row, ...]
    pages: tuple[Row, ...]
    scale: tuple[float, float] | None
    tolerance: float

    @property
    def rows(self) -> tuple[Row, ...]:
        """Every row."""
        return self.pages + self.parts + self.seams + self.bars

    @property
    def is_true(self) -> bool:
        """Whether the whole pack is."""
        return all(row.is_true for row in self.rows)

    @property
    def worst(self) -> float:
        """The greatest deviation measured, mm."""
        return max((row.deviation for row in self.rows if row.deviation is not None), default=0.0)


@dataclass(slots=True)
class _Page:
    """The drawn paths of a page, found by their boxes, each used once."""

    paths: tuple[DrawnPath, ...]
    boxes: list[Box]
    order: list[int]
    lefts: list[float]
    used: set[int]
    pairs: int
    rings: list[Box]

    @classmethod
    def of(cls, page: DrawnPage) -> "_Page":
        boxes = [_box_of(path.pieces) for path in page.paths]
        order = sorted(range(len(boxes)), key=lambda n: boxes[n].left)
        rings = [
            box
            for box, path in zip(boxes, page.paths, strict=True)
            if abs(box.width - MARK_ARM) < 0.5
            and abs(box.height - MARK_ARM) < 0.5
            and len(path.pieces) > 4
        ]
        lefts = [boxes[n].left for n in order]
        return cls(page.paths, boxes, order, lefts, set(), MOST_PAIRS, rings)

    def near(self, box: Box) -> int | None:
        """The unused path whose box is this one, within `SAME_PLACE`."""
        best: tuple[float, int] | None = None
        first = bisect.bisect_left(self.lefts, box.left - SAME_PLACE)
        for n in range(first, len(self.order)):
            self.pairs -= 1
            if self.lefts[n] > box.left + SAME_PLACE or self.pairs < 0:
                break
            index = self.order[n]
            if index not in self.used:
                apart = _apart(self.boxes[index], box)
                if apart <= SAME_PLACE and (best is None or apart < best[0]):
                    best = apart, index
        return best[1] if best else None

    def nearest(self, box: Box, width: float) -> int | None:
        """The unused path of about this width whose box is most like this one.

        None if there is none, or once too much was compared.
        """
        self.pairs -= len(self.paths)
        if self.pairs < 0:
            return None
        left = [
            n
            for n, path in enumerate(self.paths)
            if n not in self.used and 0.8 * width <= path.width <= 1.25 * width
        ]
        return min(left, key=lambda n: _apart(self.boxes[n], box), default=None)


@dataclass(slots=True)
class _Wanted:
    """A line of the model, and the drawn path found for it."""

    path: Path
    transform: Transform
    is_needed: bool = True
    index: int | None = None


def _match(page: _Page, wanted: Sequence[_Wanted]) -> None:
    """Finds the drawn path of each line: first what is in its place, then what is nearest.

    Lines that may be left out, because they do not show, are not sought elsewhere.
    """
    for line in sorted(wanted, key=lambda w: not w.is_needed):
        line.index = page.near(_mapped(line.path.bounds(), line.transform))
        if line.index is not None:
            page.used.add(line.index)
    for line in wanted:
        if line.index is None and line.is_needed:
            box = _mapped(line.path.bounds(), line.transform)
            line.index = page.nearest(box, line.path.line_width)
            if line.index is not None:
                page.used.add(line.index)


def verify(file: Pack, *, tolerance: float = TOLERANCE) -> Report:
    """Measures an open pack against the recipe inside it.

    Args:
        file: the open pack.
        tolerance: mm; a deviation above it is not true.

    Raises:
        InputError: no recipe inside, or none that can be used.
    """
    recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=file.name)
    _, parts = remake(recipe)
    by_key = {part.key: part for part in parts}
    _check_names(recipe, by_key)
    found: dict[int, DrawnPage] = {}
    page_rows: list[Row] = []
    for page in file.pages():
        if page.sheet is None or page.sheet in found:
            which = say("is another sheet {number}", number=page.sheet)
            if page.sheet is None:
                which = say("names no sheet")
            what = say("page {number}", number=page.index + 1)
            page_rows.append(_untrue(page.sheet or 0, what, which))
        else:
            found[page.sheet] = page
    measure = _Measure(recipe, by_key, tolerance)
    for laid in recipe.pages:
        drawn = found.pop(laid.number, None)
        if drawn is None:
            page_rows.append(_untrue(laid.number, say("page"), say("is missing")))
            continue
        page_rows += measure.paper(laid, drawn)
        measure.page(laid, drawn)
    page_rows += [_untrue(number, say("page"), say("is not in the recipe")) for number in found]
    return Report(
        parts=tuple(measure.parts + measure.whole_rows()),
        seams=tuple(measure.seam_rows()),
        bars=tuple(measure.bars),
        pages=tuple(page_rows),
        scale=measure.scale(),
        tolerance=tolerance,
    )


def _untrue(sheet: int, what: str, note: str) -> Row:
    """A row for what could not be measured."""
    return Row(sheet=sheet, what=what, deviation=None, note=note, is_true=False)


def _check_names(recipe: Recipe, by_key: dict[str, Part]) -> None:
    laid = {p.key for page in recipe.pages for p in page.parts if p.kind != "cover"}
    for key in sorted(laid ^ by_key.keys()):
        where = f"{recipe.where}: recipe.pages"
        what = say("unknown part {key!r}", key=key)
        if key in by_key:
            what = say("no part {key!r}", key=key)
        raise InputError(what, where=where, mend=say("it was changed: pack the job anew"))


class _Measure:
    """Gathers rows, page by page."""

    def __init__(self, recipe: Recipe, by_key: dict[str, Part], tolerance: float) -> None:
        self.recipe = recipe
        self.by_key = by_key
        self.tolerance = tolerance
        self.parts: list[Row] = []
        self.bars: list[Row] = []
        self.marks: dict[str, list[tuple[int, str, str, Point | None]]] = {}
        self.scales: list[tuple[str, float]] = []

    def paper(self, laid: LaidPage, drawn: DrawnPage) -> list[Row]:
        """What is wrong with the page itself."""
        wanted = Box(0.0, 0.0, laid.paper.width, laid.paper.height)
        off = max(_apart(drawn.media, wanted), _apart(drawn.shown, wanted))
        notes = []
        if off > PAPER_TOLERANCE:
            notes.append(
                say(
                    "the page is {width:.1f} × {height:.1f} mm, not {wide:.1f} × {high:.1f} mm",
                    width=drawn.shown.width,
                    height=drawn.shown.height,
                    wide=wanted.width,
                    high=wanted.height,
                )
            )
        if drawn.turn:
            notes.append(say("the page is turned"))
        return [_untrue(laid.number, say("page"), note) for note in notes]

    def page(self, laid: LaidPage, drawn: DrawnPage) -> None:
        """Measures the bars, every part and tile, and the marks of a page."""
        page = _Page.of(drawn)
        flat, upright = self._bar_lines(laid)
        parts = [(p, self._part_lines(laid, p)) for p in laid.parts if p.kind != "cover"]
        _match(page, [*flat, *upright, *(line for _, lines in parts for line in lines)])
        self._bar(laid, page, "across", flat)
        self._bar(laid, page, "down", upright)
        for part, lines in parts:
            self._part(laid, part, page, lines)
        if any(p.kind == "cover" for p in laid.parts):
            return
        cut = LINE_WIDTH[Role.CUT]
        extra = [path for n, path in enumerate(page.paths) if n not in page.used]
        for what, count in (
            (say("cut lines of no part"), sum(abs(path.width - cut) < 0.02 for path in extra)),
            (say("filled shapes of no part"), sum(path.filled for path in extra)),
        ):
            if count:
                note = say("{count} more than the model has", count=count)
                self.parts.append(_untrue(laid.number, what, note))

    def _bar_lines(self, laid: LaidPage) -> tuple[list[_Wanted], list[_Wanted]]:
        profile = self.recipe.profile
        margin = profile.margin(self.recipe.paper, MARGIN) if profile else MARGIN
        correction = profile.correction(laid.paper) if profile else Transform()
        flat, upright = bars(laid.paper, self.recipe.units, margin)
        return (
            [_Wanted(path=path, transform=correction) for path in flat],
            [_Wanted(path=path, transform=correction) for path in upright],
        )

    def _bar(self, laid: LaidPage, page: _Page, way: str, lines: list[_Wanted]) -> None:
        """A bar, whose base line comes first."""
        worst = 0.0
        length: float | None = None
        wanted = _length(lines[0].path.segments[0])
        for line in lines:
            if line.index is None:
                continue
            pieces = page.paths[line.index].moved(line.transform.inverse())[:MOST_PIECES]
            worst = max(worst, _deviation(line.path, pieces))
            if line is lines[0]:
                length = max(math.dist(piece[0], piece[-1]) for piece in pieces)
                # The paper of a turned page went through the printer upright.
                turned = laid.paper.width > laid.paper.height
                along = {"across": "down", "down": "across"}[way] if turned else way
                self.scales.append((along, length / wanted))
        missing = any(line.index is None for line in lines)
        if length is None:
            note = say("is missing")
        elif missing:
            note = say(
                "{length:.3f} mm of {wanted:.3f} mm, ticks missing", length=length, wanted=wanted
            )
        else:
            note = say("{length:.3f} mm of {wanted:.3f} mm", length=length, wanted=wanted)
        self.bars.append(
            Row(
                sheet=laid.number,
                what=say("bar across") if way == "across" else say("bar down"),
                deviation=None if length is None else worst,
                note=note,
                is_true=length is not None and not missing and worst <= self.tolerance,
            )
        )

    def _part_lines(self, laid: LaidPage, part: LaidPart) -> list[_Wanted]:
        """The lines of a part, or of what its tile shows, with the registration marks."""
        window = _mapped(part.window, part.transform.inverse())
        paths = self.by_key[part.key].drawing.paths()
        # The lines next to a window's edge may be drawn or not: they do not show.
        wanted = [
            _Wanted(
                path=path,
                transform=part.transform,
                is_needed=not part.tile or path.bounds().meets(window),
            )
            for path in paths
            if not part.tile or path.bounds().meets(window, gap=2.0)
        ]
        return wanted + [
            _Wanted(path=item, transform=part.transform)
            for mark in laid.marks
            if (mark.key, mark.tile) == (part.key, part.tile)
            for item in mark_items(mark.point)
            if isinstance(item, Path)
        ]

    def _part(self, laid: LaidPage, part: LaidPart, page: _Page, lines: list[_Wanted]) -> None:
        model = self.by_key[part.key]
        back = part.transform.inverse()
        marks = [m for m in laid.marks if (m.key, m.tile) == (part.key, part.tile)]
        worst, missing, hidden = 0.0, 0, 0.0
        for line in lines:
            if line.index is None:
                missing += line.is_needed
                continue
            drawn = page.paths[line.index]
            if len(drawn.pieces) > MOST_PIECES:
                missing += 1
                continue
            worst = max(worst, _deviation(line.path, drawn.moved(back)))
            hidden = max(hidden, _hidden(line.path, drawn, part))
            if line.path.line_width > 0 and drawn.width <= 0:
                missing += 1
        for mark in marks:
            self._mark(laid, part, mark.label, mark.point, page)
        notes = []
        if missing:
            notes.append(say_count("{count} line missing", "{count} lines missing", missing))
        if hidden > self.tolerance:
            notes.append(say("{length:.2f} mm cut off by its window", length=hidden))
        if part.tile and len(marks) < 2:
            notes.append(say("fewer than two registration marks"))
        self.parts.append(
            Row(
                sheet=laid.number,
                what=f"{model.title} {part.tile}".strip(),
                deviation=worst,
                note=", ".join(notes),
                is_true=not notes and worst <= self.tolerance,
            )
        )

    def whole_rows(self) -> list[Row]:
        """The parts that some line of is on no sheet of the recipe."""
        windows: dict[str, list[tuple[int, str, Box]]] = {}
        for page in self.recipe.pages:
            for part in page.parts:
                window = _mapped(part.window, part.transform.inverse()).grown(INK_SLACK)
                windows.setdefault(part.key, []).append((page.number, part.tile, window))
        rows = []
        for key, model in self.by_key.items():
            shown = [window for _, _, window in windows[key]]
            lost = any(
                not any(w.left <= x <= w.right and w.bottom <= y <= w.top for w in shown)
                for x, y in samples(model.drawing, step=2.0)
            )
            if lost:
                note = say("is not printed whole")
                rows.append(_untrue(windows[key][0][0], model.title, note))
        return rows

    def _mark(self, laid: LaidPage, part: LaidPart, label: str, point: Point, page: _Page) -> None:
        """Where a mark's ring really is, part mm."""
        wanted = _moved_box(circle(point, MARK_ARM / 2).bounds(), part.transform)
        box = min(page.rings, key=lambda b: _apart(b, wanted), default=None)
        centre = None
        if box is not None:
            centre = part.transform.inverse().apply(
                Point((box.left + box.right) / 2, (box.bottom + box.top) / 2)
            )
        self.marks.setdefault(label, []).append((laid.number, part.key, part.tile, centre))

    def seam_rows(self) -> list[Row]:
        """How far the two prints of each mark lie apart when the tiles are laid together."""
        seams: dict[tuple[str, str], list[tuple[int, float | None]]] = {}
        for found in self.marks.values():
            first = found[0]
            names = "-".join(tile for _, _, tile, _ in found)
            closure = None
            if len(found) == 2 and found[0][3] is not None and found[1][3] is not None:
                closure = math.dist(found[0][3], found[1][3])
            seams.setdefault((first[1], names), []).append((first[0], closure))
        rows = []
        for (key, names), closures in seams.items():
            known = [c for _, c in closures if c is not None]
            is_whole = len(known) == len(closures) and len(known) >= 2
            rows.append(
                Row(
                    sheet=closures[0][0],
                    what=f"{self.by_key[key].title} {names}",
                    deviation=max(known, default=None),
                    note="" if is_whole else say("a registration mark has no partner"),
                    is_true=is_whole and max(known) <= self.tolerance,
                )
            )
        return rows

    def scale(self) -> tuple[float, float] | None:
        """The scale of the pages across and down, where all bars agree and are not true."""
        ways = {way: [s for w, s in self.scales if w == way] for way in ("across", "down")}
        if not all(ways.values()):
            return None
        middles = [sorted(values)[len(values) // 2] for values in ways.values()]
        agree = all(
            abs(value - middle) < 2e-4
            for values, middle in zip(ways.values(), middles, strict=True)
            for value in values
        )
        if not agree or all(abs(m - 1) < 2e-4 for m in middles):
            return None
        return middles[0], middles[1]


def _length(segment: Segment) -> float:
    return math.dist(segment.start, segment.end)


def _apart(one: Box, two: Box) -> float:
    return max(abs(a - b) for a, b in zip(one, two, strict=True))


def _mapped(box: Box, transform: Transform) -> Box:
    one = transform.apply(Point(box.left, box.bottom))
    two = transform.apply(Point(box.right, box.top))
    return Box(min(one.x, two.x), min(one.y, two.y), max(one.x, two.x), max(one.y, two.y))


_moved_box = _mapped


def _box_of(pieces: Sequence[tuple[Point, ...]]) -> Box:
    """The box round lines and cubics, to about a thousandth of a cubic's length."""
    points = [p for piece in pieces for p in _along(piece)]
    xs, ys = [p.x for p in points], [p.y for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _along(piece: tuple[Point, ...], steps: int = CUBIC_STEPS) -> list[Point]:
    if len(piece) == 2:
        (x0, y0), (x1, y1) = piece
        return [piece[0], Point((x0 + x1) / 2, (y0 + y1) / 2), piece[1]]
    return [_cubic(piece, n / steps) for n in range(steps + 1)]


def _cubic(piece: tuple[Point, ...], t: float) -> Point:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = piece
    u = 1 - t
    a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
    return Point(a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3)


def _to_segment(point: Point, segment: Segment) -> float:
    match segment:
        case Line((x0, y0), (x1, y1)):
            dx, dy = x1 - x0, y1 - y0
            long = dx * dx + dy * dy
            t = ((point.x - x0) * dx + (point.y - y0) * dy) / long if long else 0.0
            t = min(1.0, max(0.0, t))
            return math.hypot(point.x - x0 - t * dx, point.y - y0 - t * dy)
        case Arc():
            dx, dy = point.x - segment.centre.x, point.y - segment.centre.y
            if not segment.is_circle:
                turn = math.atan2(dy, dx) - segment.from_angle
                turn = turn % math.tau if segment.sweep > 0 else -(-turn % math.tau)
                if abs(turn) > abs(segment.sweep):
                    return min(math.dist(point, segment.start), math.dist(point, segment.end))
            return abs(math.hypot(dx, dy) - segment.radius)


def _to_piece(point: Point, piece: tuple[Point, ...]) -> float:
    if len(piece) == 2:
        return _to_segment(point, Line(piece[0], piece[1]))
    steps = CUBIC_STEPS
    best = min(range(steps + 1), key=lambda n: math.dist(point, _cubic(piece, n / steps)))
    low, high = max(0.0, (best - 1) / steps), min(1.0, (best + 1) / steps)
    for _ in range(40):
        one, two = low + (high - low) * 0.382, low + (high - low) * 0.618
        if math.dist(point, _cubic(piece, one)) <= math.dist(point, _cubic(piece, two)):
            high = two
        else:
            low = one
    return math.dist(point, _cubic(piece, (low + high) / 2))


def _deviation(path: Path, pieces: Sequence[tuple[Point, ...]]) -> float:
    """The greatest distance between a model path and a drawn one, both ways, mm.

    Every drawn piece is sampled against the true lines and arcs; the ends and middles of those are
    sought on the drawn pieces, so that nothing of the model is left out.
    """
    worst = 0.0
    for piece in pieces:
        for point in _along(piece):
            worst = max(worst, min(_to_segment(point, s) for s in path.segments))
    for segment in path.segments:
        for point in _posts(segment):
            near = sorted(
                pieces,
                key=lambda p: min(math.dist(point, q) for q in _along(p, 4)),
            )[:2]
            worst = max(worst, min(_to_piece(point, piece) for piece in near))
    return worst


def _posts(segment: Segment) -> list[Point]:
    """Points of a model segment that must be drawn: ends and middle, or every 45° or less."""
    match segment:
        case Line(start, end):
            return [start, Point((start.x + end.x) / 2, (start.y + end.y) / 2), end]
        case Arc():
            count = max(2, math.ceil(abs(segment.sweep) / (math.pi / 4)))
            turn = segment.sweep / count
            return [segment.at(segment.from_angle + turn * n) for n in range(count + 1)]


def _hidden(path: Path, drawn: DrawnPath, part: LaidPart) -> float:
    """How much narrower than its window a part's line is clipped, mm, where that hides any."""
    if drawn.clip is None:
        return 0.0
    box = _mapped(path.bounds(), part.transform)
    cut = 0.0
    sides = (
        (drawn.clip.left - part.window.left, drawn.clip.left - box.left),
        (drawn.clip.bottom - part.window.bottom, drawn.clip.bottom - box.bottom),
        (part.window.right - drawn.clip.right, box.right - drawn.clip.right),
        (part.window.top - drawn.clip.top, box.top - drawn.clip.top),
    )
    for narrower, hides in sides:
        if narrower > 0 and hides > 0:
            cut = max(cut, min(narrower, hides))
    return cut
