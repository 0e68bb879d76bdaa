"""Registration marks: how one is drawn, and where on the trim line of a seam its two marks lie."""

import math

import numpy as np

from templategen.geometry.shapes import Box, Point, circle
from templategen.parts.drawing import Item, Role, arc_path, cross
from templategen.sheets.silhouette import Columns, Floats, points_within

MARK_CLEAR = 6.0  # mm from a registration mark's centre to any line, where there is room
MARK_ARM = 4.0  # mm from a registration mark's centre to the end of its cross
MARKS_APART = 60.0  # mm between the two marks of a seam: a slip of 0.2 turns little
MARK_STEP = 1.0  # mm along a seam between the places where a mark may lie
CLEARANCES = (  # mm from a mark to any line and to a cut line, from the best to the least
    (MARK_CLEAR, MARK_CLEAR),
    (MARK_ARM + 0.5, MARK_ARM + 0.5),
    (2.5, 2.5),
    (1.0, 2.5),
    (-math.inf, 2.5),
)


def mark_items(point: Point) -> list[Item]:
    """A registration mark: a cross 8 mm wide in a ring of 4 mm."""
    return [*cross(point, MARK_ARM), arc_path(circle(point, MARK_ARM / 2), role=Role.MARK)]


def mark_points(
    start: Point, end: Point, lines: Columns, cuts: Columns, words: list[Box]
) -> tuple[Point, Point] | None:
    """Where on a seam's trim line, from `start` up or right to `end`, its two marks lie.

    As clear of lines as places allow that are far enough apart, and there as far apart as can be;
    None where all such places lie over wording or at a cut line.
    """
    length = math.dist(start, end)
    if length < MARKS_APART - 1e-6:
        return None
    count = math.ceil(length / MARK_STEP)
    points = [
        Point(start.x + (end.x - start.x) * n / count, start.y + (end.y - start.y) * n / count)
        for n in range(count + 1)
    ]
    strip = Box(*start, *end).grown(2 * MARK_CLEAR)
    texts = [t for t in words if t.meets(strip)]
    places = [p for p in points if not any(_mark_box(p).meets(t, gap=0.5) for t in texts)]
    if not places:
        return None
    to_line, to_cut = (_distances(places, points_within(found, strip)) for found in (lines, cuts))
    for of_line, of_cut in CLEARANCES:
        clear = np.flatnonzero((to_line >= of_line) & (to_cut >= of_cut))
        if not len(clear):
            continue
        marks = places[clear[0]], places[clear[-1]]
        if math.dist(*marks) >= MARKS_APART - 1e-6:
            return marks
    return None


def _mark_box(point: Point) -> Box:
    return Box(*point, *point).grown(MARK_ARM)


def _distances(points: list[Point], others: Columns) -> Floats:
    """How far each point is from the nearest of others, mm; infinite where there are none."""
    xs, ys = others
    if not len(xs):
        return np.full(len(points), np.inf)
    across, down = np.array(points, dtype=np.float64).T
    squares = (across[:, None] - xs) ** 2 + (down[:, None] - ys) ** 2
    return np.asarray(np.sqrt(squares.min(axis=1)))
