"""Volume, centre of mass and moment of inertia of solids of revolution. Lengths mm.

Outlines are closed half sections of straight sides, corners (r, z) with r ≥ 0; each side adds the
frustum between it and the axis, which is exact. Either way round gives the same result.
"""

import math
from collections.abc import Sequence

Corner = tuple[float, float]


def volume_of_revolution(outline: Sequence[Corner]) -> float:
    """Volume swept by a closed half section about the axis r = 0.

    Args:
        outline: corners (r, z) of the closed half section, at least three, mm.

    Returns: mm³, never negative.

    >>> round(volume_of_revolution([(0, 0), (3, 0), (0, 4)]) / math.pi, 6)
    12.0
    """
    total = 0.0
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        total += (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0)
    return abs(total) * math.pi / 3


def centre_of_mass_depth(outline: Sequence[Corner]) -> float:
    """Depth z of the centre of mass of an even solid of revolution, mm.

    Args:
        outline: corners (r, z) of the closed half section, at least three, mm; it must enclose
            an area.

    >>> round(centre_of_mass_depth([(0, 0), (3, 0), (0, 4)]), 6)  # a cone: a quarter of its height
    1.0
    """
    volume = moment = 0.0
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        rise = z1 - z0
        volume += rise * (r0 * r0 + r0 * r1 + r1 * r1) / 3
        moment += rise * (
            z0 * (r0 * r0 + r0 * r1 + r1 * r1) / 3
            + rise * (r0 * r0 / 12 + r0 * r1 / 6 + r1 * r1 / 4)
        )
    return moment / volume


def inertia_of_revolution(outline: Sequence[Corner]) -> float:
    """Moment of inertia about the axis for a density of 1, mm⁵: (π/2) ∫ r⁴ dz.

    Args:
        outline: corners (r, z) of the closed half section, at least three, mm.

    Returns: mm⁵, never negative; times a density in kg/mm³ it is in kg mm².

    >>> round(inertia_of_revolution([(0, 0), (2, 0), (2, 3), (0, 3)]) / math.pi, 6)
    24.0
    """
    total = 0.0
    for (r0, z0), (r1, z1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        powers = r0**4 + r0**3 * r1 + r0**2 * r1**2 + r0 * r1**3 + r1**4
        total += (z1 - z0) * powers / 5
    return abs(total) * math.pi / 2
