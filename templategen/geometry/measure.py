"""Finished outlines measured as the points they are, with no knowledge of how they were made.

Lengths mm, volumes mm³. Nothing here calls `curves` or `solids`: it is the second opinion on them.
"""

import itertools
import math
from collections.abc import Sequence

Place = tuple[float, float]


def least_gap(one: Sequence[Place], other: Sequence[Place]) -> float:
    """The least distance between two lines of straight sides, mm; 0 where they cross.

    Args:
        one: at least two corners.
        other: at least two corners.

    >>> least_gap([(0, 0), (10, 0)], [(4, 3), (4, 9)])
    3.0
    """
    best = min(min(math.dist(p, q) for q in other) for p in one)
    for points, sides in ((one, other), (other, one)):
        longest = max(math.dist(a, b) for a, b in itertools.pairwise(sides))
        for point in points:
            # The foot of a point lies within half a side of one of that side's ends.
            reach = math.hypot(best, longest / 2)
            for a, b in itertools.pairwise(sides):
                if math.dist(point, a) <= reach or math.dist(point, b) <= reach:
                    best = min(best, _from_side(point, a, b))
    if best > 0 and any(
        _cross(a, b, c, d)
        for a, b in itertools.pairwise(one)
        for c, d in itertools.pairwise(other)
        if _boxes_meet(a, b, c, d)
    ):
        return 0.0
    return best


def _from_side(point: Place, a: Place, b: Place) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    if square == 0:
        return math.dist(point, a)
    share = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square
    share = min(1.0, max(0.0, share))
    return math.dist(point, (a[0] + share * dx, a[1] + share * dy))


def _boxes_meet(a: Place, b: Place, c: Place, d: Place) -> bool:
    return (
        min(a[0], b[0]) <= max(c[0], d[0])
        and min(c[0], d[0]) <= max(a[0], b[0])
        and min(a[1], b[1]) <= max(c[1], d[1])
        and min(c[1], d[1]) <= max(a[1], b[1])
    )


def _cross(a: Place, b: Place, c: Place, d: Place) -> bool:
    return _turn(a, b, c) * _turn(a, b, d) <= 0 and _turn(c, d, a) * _turn(c, d, b) <= 0


def _turn(a: Place, b: Place, c: Place) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def depth_at_radius(line: Sequence[Place], radius: float) -> float | None:
    """The greatest depth at which a line of straight sides has a radius, mm, or None.

    Args:
        line: (r, z) corners.
        radius: mm.

    >>> depth_at_radius([(20, 0), (10, 40), (0, 40)], 15)
    20.0
    """
    found = [
        a[1] + (a[0] - radius) / (a[0] - b[0]) * (b[1] - a[1])
        for a, b in itertools.pairwise(line)
        if min(a[0], b[0]) <= radius <= max(a[0], b[0]) and a[0] != b[0]
    ]
    return max(found, default=None)


def swept_volume(outline: Sequence[Place]) -> float:
    """Volume a closed half section sweeps about r = 0, mm³, by Pappus: area by centre's path.

    >>> round(swept_volume([(0, 0), (3, 0), (0, 4)]) / math.pi, 6)
    12.0
    """
    area = moment = 0.0
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        cross = r0 * z1 - r1 * z0
        area += cross / 2
        moment += cross * (r0 + r1) / 6
    return abs(2 * math.pi * moment) if area else 0.0
