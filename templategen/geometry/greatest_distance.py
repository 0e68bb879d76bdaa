"""The greatest distance of an edge from an outside: where a wall is thickest. mm and radians."""

from collections.abc import Sequence
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Pair, Span

SAMPLES = 160  # places along the edge that are examined first
PEAKS = 3  # places farther than those beside them that are looked at closer
REFINED = 24  # places in the two steps beside a peak, thrice

Corner = tuple[float, float]
Column = NDArray[np.float64]


def greatest_distance(edge: Span, outside: Sequence[Corner]) -> tuple[float, Pair]:
    """How far the place of an edge that is farthest from an outside is from it, and where.

    For each place of the edge the nearest place of the outside counts, so this is the thickness
    of a wall where it is greatest (the directed Hausdorff distance).

    Args:
        edge: the inside of the wall.
        outside: corners (r, z) of straight sides, at least two.

    Returns: the distance, and the nearest place of the outside with the place of the edge.

    >>> ring = Span(x=0, z=0, radius=10, start=0, end=1.5)
    >>> round(greatest_distance(ring, [(15, 0), (15, 15), (0, 15)])[0], 4)  # towards the corner
    7.9289
    """
    corners = np.array(outside)
    angles = np.linspace(edge.start, edge.end, SAMPLES + 1)
    gaps = _nearest(_places(edge, angles), corners)[0]
    beside = np.concatenate([[-np.inf], gaps, [-np.inf]])
    peaks = np.flatnonzero((gaps >= beside[:-2]) & (gaps >= beside[2:]))
    peaks = peaks[np.argsort(-gaps[peaks], kind="stable")][:PEAKS]
    within = float(gaps.max()) - edge.radius * float(angles[1] - angles[0])
    cells = [
        (angles[max(0, n - 1)], angles[min(SAMPLES, n + 1)])
        for n in peaks.tolist()
        if gaps[n] > within
    ]
    return max((_greatest_between(edge, corners, *cell) for cell in cells), key=itemgetter(0))


def _greatest_between(edge: Span, corners: Column, low: float, high: float) -> tuple[float, Pair]:
    """As `greatest_distance`, of the places of the edge between two angles."""
    for _ in range(2):
        angles = np.linspace(low, high, REFINED + 1)
        best = int(np.argmax(_nearest(_places(edge, angles), corners)[0]))
        low, high = angles[max(0, best - 1)], angles[min(REFINED, best + 1)]
    places = _places(edge, np.linspace(low, high, REFINED + 1))
    gaps, nearest = _nearest(places, corners)
    best = int(np.argmax(gaps))
    (r1, z1), (r2, z2) = nearest[best].tolist(), places[best].tolist()
    return float(gaps[best]), ((r1, z1), (r2, z2))


def _places(edge: Span, angles: Column) -> Column:
    across = np.maximum(0.0, edge.x + edge.radius * np.cos(angles))
    return np.stack([np.hypot(across, edge.height), edge.z + edge.radius * np.sin(angles)], axis=1)


def _nearest(places: Column, corners: Column) -> tuple[Column, Column]:
    """For each place its distance from the sides between the corners, and the nearest point."""
    r0, z0 = corners[:-1].T
    run, fall = np.diff(corners, axis=0).T
    square = np.maximum(run * run + fall * fall, 1e-18)
    dr, dz = places[:, :1] - r0, places[:, 1:] - z0
    share = np.clip((dr * run + dz * fall) / square, 0.0, 1.0)
    dr -= share * run
    dz -= share * fall
    away = dr * dr + dz * dz
    side = np.argmin(away, axis=1)
    rows = np.arange(len(places))
    to = np.stack([dr[rows, side], dz[rows, side]], axis=1)
    return np.sqrt(away[rows, side]), places - to
