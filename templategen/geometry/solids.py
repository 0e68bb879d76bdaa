"""Solids of revolution. Lengths mm, volumes mm³."""

import math
from collections.abc import Sequence


def volume_of_revolution(outline: Sequence[tuple[float, float]]) -> float:
    """Volume swept by a closed half section about the axis r = 0.

    Args:
        outline: corners (r, z) of the closed outline, r ≥ 0, at least three, mm.

    Returns: mm³, never negative; each side sweeps a frustum, which is exact for straight sides.

    >>> round(volume_of_revolution([(0, 0), (3, 0), (0, 4)]) / math.pi, 6)
    12.0
    """
    total = 0.0
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        total += (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0)
    return abs(total) * math.pi / 3
