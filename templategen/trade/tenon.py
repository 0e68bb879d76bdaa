"""How strong a tenon is (design.md §6): estimates, never ratings. Lengths mm, forces N."""

import math

WANTED_SHARE = 0.5  # of the rim: the tenon strength is measured against; common practice


def strength_share(diameter: float, rim_diameter: float) -> float:
    """Bending strength over that of a tenon of half the rim's diameter.

    The section modulus of a round bar is π d³/32, so strength grows as d³.

    >>> strength_share(100, 400)
    0.125
    """
    return (diameter / (WANTED_SHARE * rim_diameter)) ** 3


def break_moment(diameter: float, tension_kpa: float) -> float:
    """Bending moment at which the tenon's outermost fibre reaches a tension, N·m.

    Args:
        diameter: of the tenon where it breaks, mm.
        tension_kpa: strength in tension across the grain, kPa: a blank with its face along the
            grain has its tenon bent across the grain.
    """
    return tension_kpa / 1000 * math.pi * diameter**3 / 32 / 1000


def break_force(diameter: float, tension_kpa: float, lever: float) -> float:
    """Force square to the axis that breaks the tenon at a distance from its shoulder, N.

    Args:
        diameter: of the tenon where it breaks, mm.
        tension_kpa: strength in tension across the grain, kPa.
        lever: from the shoulder to the force, along the axis, mm, over 0.
    """
    return break_moment(diameter, tension_kpa) / (lever / 1000)
