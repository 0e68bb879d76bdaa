"""Dimensions on a drawing: arrows between two points, and figures set where they touch nothing."""

import itertools
import math
from collections.abc import Iterable, Sequence

from templategen.geometry.shapes import Arc, Box, Point
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    Anchor,
    Item,
    Path,
    Role,
    Text,
    line,
    polar,
    polyline,
)
from templategen.parts.lettering import text_width

HEAD = 2.4  # mm: length of an arrow head, about a third as wide
CELL = 1.0  # mm: how finely lines are watched when a figure looks for its place
CLEAR = 0.8  # mm between a figure and any line
BESIDE = 0.9  # mm between a figure and the dimension line that it stands along
NEVER = 1000  # crossings
FAR = 60.0  # mm: how far from its dimension a figure may stand
_ANGLES = [math.pi / 12 * turn for turn in range(24)]
_DIRECTIONS = [(math.cos(angle), math.sin(angle)) for angle in _ANGLES]


def arrow(tip: Point, tail: Point) -> Path:
    """A filled head at `tip`, pointing away from `tail`."""
    span = math.dist(tip, tail) or 1.0
    ux, uy = (tip.x - tail.x) / span, (tip.y - tail.y) / span
    base = Point(tip.x - ux * HEAD, tip.y - uy * HEAD)
    left = Point(base.x - uy * HEAD / 6, base.y + ux * HEAD / 6)
    right = Point(base.x + uy * HEAD / 6, base.y - ux * HEAD / 6)
    return polyline((tip, left, right), role=Role.NOTE, closed=True, fill=0.0, width=0.0)


def dimension(one: Point, two: Point) -> list[Item]:
    """A dimension line with a head at each end; outside the points where they are too near."""
    if math.dist(one, two) >= 3 * HEAD:
        return [line(*one, *two, role=Role.NOTE), arrow(one, two), arrow(two, one)]
    span = math.dist(one, two) or 1.0
    ux, uy = (two.x - one.x) / span * 2 * HEAD, (two.y - one.y) / span * 2 * HEAD
    before, after = Point(one.x - ux, one.y - uy), Point(two.x + ux, two.y + uy)
    return [line(*before, *after, role=Role.NOTE), arrow(one, before), arrow(two, after)]


def _walk(start: Point, end: Point) -> list[tuple[float, float]]:
    count = max(1, math.ceil(math.dist(start, end) / (CELL / 2)))
    (x, y), across, down = start, end.x - start.x, end.y - start.y
    shares = [n / count for n in range(count + 1)]
    return [(x + across * share, y + down * share) for share in shares]


def _cells_of(item: Item) -> set[tuple[int, int]]:
    """The cells that the lines of an item run through; none of a text."""
    cells: set[tuple[int, int]] = set()
    for segment in item.segments if isinstance(item, Path) else ():
        if isinstance(segment, Arc):
            count = max(8, math.ceil(abs(segment.sweep) * segment.radius / (CELL / 2)))
            (x, y), radius, first = segment.centre, segment.radius, segment.from_angle
            angles = [first + segment.sweep * n / count for n in range(count + 1)]
            points = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
        else:
            points = _walk(segment.start, segment.end)
        cells.update([(math.floor(x / CELL), math.floor(y / CELL)) for x, y in points])
    return cells


def _cells_under(label: Text) -> set[tuple[int, int]]:
    """The cells that a text in any direction covers."""
    one, two, three, _ = label.corners()
    rows = _walk(two, three)
    across = _walk(ORIGIN, Point(one.x - two.x, one.y - two.y))
    points = itertools.product(rows, across)
    return {(math.floor((x + u) / CELL), math.floor((y + v) / CELL)) for (x, y), (u, v) in points}


class Surroundings:
    """What is already drawn, so that figures find a free place. Grows as figures are set.

    Args:
        items: what is drawn.
    """

    def __init__(self, items: Iterable[Item]) -> None:
        self._cells: set[tuple[int, int]] = set()
        self._texts: list[Box] = []
        self._turned: set[tuple[int, int]] = set()  # cells under texts along a dimension
        for item in items:
            self.add(item)

    def add(self, item: Item) -> None:
        """Takes one more item into account."""
        if isinstance(item, Text):
            self._texts.append(item.bounds())
        else:
            self._cells |= _cells_of(item)

    def is_free(self, box: Box) -> bool:
        """Whether a box grown by the clearance meets no line and no text."""
        wide = box.grown(CLEAR)
        if any(wide.meets(text) for text in self._texts):
            return False
        left, bottom, right, top = (math.floor(side / CELL) for side in wide)
        columns = range(left, right + 1)
        return all(
            self._cells.isdisjoint([(x, y) for x in columns]) for y in range(bottom, top + 1)
        )

    def crossings(self, start: Point, end: Point) -> int:
        """How many lines a straight leader would cross, its last 2 mm left out.

        One that runs over a text counts as crossing no end of lines.
        """
        crossed, inside = 0, False
        for x, y in _walk(start, end):
            for t in self._texts:
                if t.left <= x <= t.right and t.bottom <= y <= t.top:
                    return NEVER
            cell = math.floor(x / CELL), math.floor(y / CELL)
            if cell in self._turned:
                return NEVER
            if math.dist((x, y), end) < 2.0:
                continue
            hit = cell in self._cells
            crossed += hit and not inside
            inside = hit
        return crossed

    def set_figure(self, wordings: Sequence[str], *, at: Point) -> list[Item]:
        """A figure near a point, with a leader to it unless it stands right beside.

        Args:
            wordings: the figure; the first that finds a free place with a leader that crosses
                nothing is taken, else the last, across as few lines as can be.
            at: the place it belongs to, mm.

        Returns: the text and its leader; both are taken into account for the next one.
        """
        last = wordings[-1]
        tries = [
            *((w, 0, FAR) for w in wordings),
            (last, NEVER - 1, FAR),
            (last, NEVER - 1, 3 * FAR),
        ]
        for wording, most, far in tries:
            found = self._best_place(text_width(wording, size=BODY), at, most, far)
            if found is not None:
                place, start = found
                items: list[Item] = [Text(text=wording, at=place, anchor=Anchor.MIDDLE)]
                if math.dist(start, at) > 2.5:
                    items.append(line(*start, *at, role=Role.NOTE))
                for item in items:
                    self.add(item)
                return items
        return []

    def _best_place(
        self, width: float, at: Point, most: int, far: float
    ) -> tuple[Point, Point] | None:
        """Where a figure stands best: the middle of its baseline, and the start of its leader.

        Args:
            width: of the figure, mm.
            at: the place it belongs to.
            most: lines that the leader may cross.
            far: greatest distance from the place, mm.
        """
        least, best, half = math.inf, None, width / 2
        for step in range(1, round(far / 2)):
            reach = 2.0 * step
            if reach - half > least:
                break
            for across, down in _DIRECTIONS:
                x, y = at.x + reach * across, at.y + reach * down - 0.26 * BODY
                box = Box(x - half, y - 0.24 * BODY, x + (width - half), y + 0.76 * BODY)
                start = _nearest(box, at)
                if start is None or math.dist(start, at) >= least or not self.is_free(box):
                    continue
                crossed = self.crossings(start, at)
                cost = math.dist(start, at) + 20.0 * crossed
                if crossed <= most and cost < least:
                    least, best = cost, (Point(x, y), start)
        return best

    def set_along(
        self, wordings: Sequence[str], one: Point, two: Point, *, others: Iterable[Item] = ()
    ) -> list[Item]:
        """A figure along its dimension line, as drawings in engineering have it.

        Args:
            wordings: the figure; the first that finds room beside the line is taken.
            one: an end of the line, mm.
            two: the other end, mm.
            others: lines of other dimensions, which are not taken into account yet.

        Returns: the text, taken into account for the next one; nothing where there is no room.
        """
        blocked = self._cells.union(*map(_cells_of, others))
        if one.x > two.x or (one.x == two.x and one.y > two.y):
            one, two = two, one
        length = math.dist(one, two)
        ux, uy = (two.x - one.x) / length, (two.y - one.y) / length
        angle = math.atan2(uy, ux)
        for wording in wordings:
            slack = (length - text_width(wording, size=BODY)) / 2 - CLEAR
            if slack < 0:
                continue
            for shift in (0.0, slack / 2, -slack / 2, slack, -slack):
                for off in (-(BESIDE + 0.76 * BODY), BESIDE + 0.24 * BODY):
                    x = (one.x + two.x) / 2 + shift * ux - off * uy
                    y = (one.y + two.y) / 2 + shift * uy + off * ux
                    label = Text(text=wording, at=Point(x, y), angle=angle, anchor=Anchor.MIDDLE)
                    cells = _cells_under(label)
                    if blocked.isdisjoint(cells) and not any(
                        t.meets(label.bounds()) for t in self._texts
                    ):
                        self._cells |= cells
                        self._turned |= cells
                        return [label]
        return []

    def set_name(self, text: str, *, near: Point) -> list[Item]:
        """A name in bold as near a point as there is room; none if there is no room.

        Args:
            text: the name.
            near: where it would stand best, mm.
        """
        for step in range(round(FAR / 4)):
            for turn in range(16 if step else 1):
                spot = polar(2.0 * step, math.pi / 8 * turn, near)
                label = Text(text=text, at=spot, anchor=Anchor.MIDDLE, bold=True)
                if self.is_free(label.bounds()) and not self.crossings(near, spot):
                    self.add(label)
                    return [label]
        return []


def _nearest(box: Box, point: Point) -> Point | None:
    """The middle of the nearest side of a box that faces a point outside it."""
    middle_x, middle_y = (box.left + box.right) / 2, (box.bottom + box.top) / 2
    sides = (
        (point.x < box.left, Point(box.left - 0.5, middle_y)),
        (point.x > box.right, Point(box.right + 0.5, middle_y)),
        (point.y < box.bottom, Point(middle_x, box.bottom - 0.3)),
        (point.y > box.top, Point(middle_x, box.top + 0.3)),
    )
    facing = [side for faces, side in sides if faces]
    return min(facing, key=lambda p: math.dist(p, point), default=None)


def moved_apart(places: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Middles of things of some widths, in their order, that do not run over one another.

    Each is as near to its own place as the others let it; a cluster is centred on the mean of
    its places.
    """
    clusters: list[list[int]] = []

    def span(cluster: list[int]) -> tuple[float, float]:
        wide = sum(widths[n] for n in cluster)
        middle = sum(places[n] for n in cluster) / len(cluster)
        return middle - wide / 2, middle + wide / 2

    for n in range(len(places)):
        clusters.append([n])
        while len(clusters) > 1 and span(clusters[-1])[0] < span(clusters[-2])[1]:
            last = clusters.pop()
            clusters[-1] += last
    found = []
    for cluster in clusters:
        start, _ = span(cluster)
        for n in cluster:
            found.append(start + widths[n] / 2)
            start += widths[n]
    return found
