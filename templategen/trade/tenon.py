"""How strong a tenon is (design.md §6): estimates, never ratings. Lengths mm, forces N."""

import math

WANTED_SHARE = 0.5  # of the rim: the tenon strength is measured against; common practice
# Share of the shear strength along the grain that is left where the wood slides across it: the
# least of 18 to 28 %, Wood Handbook FPL-GTR-190 ch. 5, rolling shear; from memory.
ACROSS_SHARE = 0.18


def strength_share(diameter: float, rim_diameter: float) -> float:
    """Bending strength over that of a tenon of half the rim's diameter.

    The section modulus of a round bar is π d³/32, so strength grows as d³.

    >>> strength_share(100, 400)
    0.125
    """
    return (diameter / (WANTED_SHARE * rim_diameter)) ** 3


def bending_moment(diameter: float, tension_kpa: float) -> float:
    """Bending moment at which the tenon's outermost fibre reaches a tension, N·m.

    Args:
        diameter: of the tenon where it breaks, mm.
        tension_kpa: strength in tension across the grain, kPa: a blank with its face along the
            grain has its tenon bent across the grain.
    """
    return tension_kpa / 1000 * math.pi * diameter**3 / 32 / 1000


def shear_moment(diameter: float, *, length: float, jaw_count: int, shear_kpa: float) -> float:
    """Moment at which the wood that one jaw holds shears off the tenon, N·m.

    The bowl tips over the far edge of its tenon and one jaw alone holds it down. Its part of the
    round, π d/n wide and as long as the tenon, slides along the axis. At the side of the tenon
    that is across the grain, where the wood is weakest (`ACROSS_SHARE`). The middle of that part
    lies (d/2) sin(π/n)/(π/n) from the axis.

    Args:
        diameter: of the neck, mm.
        length: of the tenon, mm.
        jaw_count: n, at least 2.
        shear_kpa: strength in shear along the grain, kPa.
    """
    half_angle = math.pi / jaw_count
    area = diameter * half_angle * length
    lever = diameter / 2 * (1 + math.sin(half_angle) / half_angle)
    return ACROSS_SHARE * shear_kpa / 1000 * area * lever / 1000


def break_force(moments: tuple[float, float], lever: float) -> float:
    """Force square to the axis that breaks the tenon at a distance from its shoulder, N.

    Args:
        moments: that break it in bending and in shear, N·m; the lesser counts.
        lever: from the shoulder to the force, along the axis, mm, over 0.
    """
    return min(moments) / (lever / 1000)
