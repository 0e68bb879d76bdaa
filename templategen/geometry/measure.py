"""Finished outlines measured with shapely, with no knowledge of how they were made.

Lengths mm, volumes mm³. Nothing here calls `curves` or `solids`: this is the second opinion on
them. shapely holds straight sides only, so arcs arrive as dense polylines; the caller states their
chord error.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

Place = tuple[float, float]  # (r, z), mm


def least_gap(one: Sequence[Place], other: Sequence[Place]) -> float:
    """The least distance between two polylines, mm; 0 where they cross.

    Args:
        one: at least two corners.
        other: at least two corners.

    >>> least_gap([(0, 0), (10, 0)], [(4, 3), (4, 9)])
    3.0
    """
    return float(shapely.distance(shapely.LineString(one), shapely.LineString(other)))


def greatest_gap(one: Sequence[Place], other: Sequence[Place]) -> float:
    """How far the place of a polyline that is farthest from another is from it, mm.

    Args:
        one: at least two corners; places 0.5 mm apart are examined, near the best one 0.005 mm.
        other: at least two corners.

    >>> round(greatest_gap([(0, 0), (10, 0)], [(0, 3), (10, 5)]), 3)
    4.903
    """
    line, beside = shapely.LineString(one), shapely.LineString(other)

    def gaps(where: NDArray[np.float64]) -> NDArray[np.float64]:
        found: NDArray[np.float64] = shapely.distance(
            shapely.line_interpolate_point(line, where), beside
        )
        return found

    step = 0.5
    first = np.arange(0.0, line.length + step, step)
    far = first[int(np.argmax(gaps(first)))]
    near = np.clip(np.arange(far - step, far + step, step / 100), 0.0, line.length)
    return float(gaps(near).max())


def radius_at_depth(line: Sequence[Place], depth: float) -> float:
    """The greatest radius that a polyline has at a depth, mm; 0 where it has none.

    >>> radius_at_depth([(20, 0), (10, 40), (0, 40)], 20)
    15.0
    """
    level = shapely.LineString([(-1.0, depth), (max(r for r, _ in line) + 1.0, depth)])
    met = shapely.intersection(shapely.LineString(line), level)
    return 0.0 if met.is_empty else float(met.bounds[2])


def depth_at_radius(line: Sequence[Place], radius: float) -> float | None:
    """The greatest depth at which a polyline has a radius, mm, or None.

    Args:
        line: (r, z) corners.
        radius: mm.

    >>> depth_at_radius([(20, 0), (10, 40), (0, 40)], 15)
    20.0
    """
    depths = [z for _, z in line]
    upright = shapely.LineString([(radius, min(depths) - 1.0), (radius, max(depths) + 1.0)])
    met = shapely.intersection(shapely.LineString(line), upright)
    return None if met.is_empty else float(met.bounds[3])


def swept_volume(outline: Sequence[Place]) -> float:
    """Volume a closed half section sweeps about r = 0, mm³: area by the way of its centroid.

    Pappus's second theorem.

    >>> round(swept_volume([(0, 0), (3, 0), (0, 4)]) / math.pi, 6)
    12.0
    """
    section = shapely.Polygon(outline)
    return 2 * math.pi * section.centroid.x * section.area
