"""Finished outlines measured as the points they are, with no knowledge of how they were made.

Lengths mm, volumes mm³. Nothing here calls `curves` or `solids`: it is the second opinion on them.
"""

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Place = tuple[float, float]
Places = NDArray[np.float64]  # one place a row


def least_gap(one: Sequence[Place], other: Sequence[Place]) -> float:
    """The least distance between two lines of straight sides, mm; 0 where they cross.

    Args:
        one: at least two corners.
        other: at least two corners.

    >>> least_gap([(0, 0), (10, 0)], [(4, 3), (4, 9)])
    3.0
    """
    p, q = np.array(one, dtype=np.float64), np.array(other, dtype=np.float64)
    best = min(_from_sides(p, q), _from_sides(q, p))
    return 0.0 if _any_cross(p, q) else best


def _from_sides(points: Places, corners: Places) -> float:
    """The least distance from points to the straight sides between corners, mm."""
    a, along = corners[:-1], np.diff(corners, axis=0)
    square = (along**2).sum(axis=1)
    aside_x = points[:, None, 0] - a[:, 0]
    aside_y = points[:, None, 1] - a[:, 1]
    share = aside_x * along[:, 0] + aside_y * along[:, 1]
    np.divide(share, square, out=share, where=square > 0)
    np.clip(share, 0.0, 1.0, out=share)  # of a side without length both ends are the same
    aside_x -= share * along[:, 0]
    aside_y -= share * along[:, 1]
    return float(np.hypot(aside_x, aside_y).min())


def _any_cross(one: Places, other: Places) -> bool:
    """Whether a side of one line meets a side of the other."""
    a, b, c, d = one[:-1, None], one[1:, None], other[None, :-1], other[None, 1:]
    near = np.ones((len(one) - 1, len(other) - 1), dtype=np.bool_)
    for n in (0, 1):
        near &= np.minimum(a[..., n], b[..., n]) <= np.maximum(c[..., n], d[..., n])
        near &= np.minimum(c[..., n], d[..., n]) <= np.maximum(a[..., n], b[..., n])
    i, j = np.nonzero(near)
    a, b, c, d = one[i], one[i + 1], other[j], other[j + 1]
    cross = (_turn(a, b, c) * _turn(a, b, d) <= 0) & (_turn(c, d, a) * _turn(c, d, b) <= 0)
    return bool(cross.any())


def _turn(a: Places, b: Places, c: Places) -> NDArray[np.float64]:
    """For each row: which way b turns round a to reach c."""
    return (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])


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
    moment = 0.0  # of the area
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        moment += (r0 * z1 - r1 * z0) * (r0 + r1) / 6
    return abs(2 * math.pi * moment)
