"""Dried shape of a bowl from a half log, by the growth rings (design.md §5). mm and fractions.

In the plane across the grain wood shrinks by S_R along the radii from the pith and by S_T along
the rings. A point at distance r' from the pith and at angle φ from the line that runs from the
pith to the middle of the bowl goes to ``r' (1 - S_R)`` and ``φ (1 - S_T)/(1 - S_R)``. Along the
grain everything shrinks by S_0. Left out: twist, crooked or leaning grain, the free middle of the
rings that a bowl no longer has, reaction wood; so the figures are estimates.

Coordinates: u across the grain in the plane of the rim, v from the pith towards the middle of the
bowl, w along the grain.
"""

import math
from dataclasses import dataclass

import numpy as np

RIM_STEPS = 90  # places in a quarter of the rim; a place between two differs by under 0.001 mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RingShrinkage:
    """Shrinkage from green to the final moisture, fractions of the green size, 0 to under 1.

    Args:
        radial: S_R.
        tangential: S_T.
        along: S_0, along the grain.
    """

    radial: float
    tangential: float
    along: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DriedRim:
    """A round rim after drying, mm.

    Args:
        across: its width across the grain.
        along: its length along the grain.
        circle: diameter of the largest circle about the lathe axis that it still holds.
        sides_lifted: how far its two places across the grain are farther from the pith than its
            two places along the grain, which is how far the rim leaves its plane. Where the
            rings shrink more than the radii it is ≥ 0: in a bowl with its rim to the pith the
            sides drop below the ends of the grain, with its rim to the bark they rise above them.
    """

    across: float
    along: float
    circle: float
    sides_lifted: float


def dried_place(u: float, v: float, shrinkage: RingShrinkage) -> tuple[float, float]:
    """Where a point of the plane across the grain goes: (u, v) after drying, mm.

    Args:
        u: across the grain from the middle of the bowl, mm.
        v: distance from the pith towards the middle of the bowl, mm, ≥ 0.
        shrinkage: to the final moisture.

    >>> even = RingShrinkage(radial=0.1, tangential=0.1, along=0.0)
    >>> [round(x, 9) for x in dried_place(30.0, 40.0, even)]
    [27.0, 36.0]
    """
    distance = math.hypot(u, v) * (1 - shrinkage.radial)
    angle = math.atan2(u, v) * (1 - shrinkage.tangential) / (1 - shrinkage.radial)
    return distance * math.sin(angle), distance * math.cos(angle)


def dried_rim(rim_radius: float, *, rim_to_pith: float, shrinkage: RingShrinkage) -> DriedRim:
    """What a round rim becomes.

    Args:
        rim_radius: green, outside, mm, > 0.
        rim_to_pith: distance of the plane of the rim from the pith, mm, ≥ 0. Of a blank with its
            rim to the bark that is the distance of its foot plane plus its height.
        shrinkage: to the final moisture.
    """
    along = 1 - shrinkage.along
    turns = np.linspace(0.0, np.pi / 2, RIM_STEPS + 1)
    u = rim_radius * np.cos(turns)
    distance = np.hypot(u, rim_to_pith) * (1 - shrinkage.radial)
    angles = np.arctan2(u, rim_to_pith) * (1 - shrinkage.tangential) / (1 - shrinkage.radial)
    across = distance * np.sin(angles)
    side, lifted = dried_place(rim_radius, rim_to_pith, shrinkage)
    return DriedRim(
        across=2 * side,
        along=2 * rim_radius * along,
        circle=2 * float(np.hypot(across, rim_radius * np.sin(turns) * along).min()),
        sides_lifted=lifted - rim_to_pith * (1 - shrinkage.radial),
    )


def dried_tenon(diameter: float, shrinkage: RingShrinkage) -> tuple[float, float]:
    """A round tenon after drying: (across, along) the grain, mm, across as if all on the rings.

    Across the grain it keeps between 1 - S_T and 1 - S_R of its width, the less the farther it is
    from the pith; the smaller is taken, so that what jaws are to hold later is there.

    Args:
        diameter: green, mm, ≥ 0: at the neck, or at the end face.
        shrinkage: to the final moisture.
    """
    across = min(1 - shrinkage.tangential, 1 - shrinkage.radial)
    return diameter * across, diameter * (1 - shrinkage.along)
