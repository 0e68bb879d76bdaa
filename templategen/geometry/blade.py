"""Room of a blade in the kerf that its own tip cut (design.md §4, rule 9). Lengths mm.

Assumed of the cutter: its blade is an arc about the pivot; the top of the blade is level with the
cutting edge of the tip, h above the lathe's centre, so that its lower edge is at h - b; seen from
above the blade is in the middle of the kerf, (kerf - width)/2 from each side.

The tip cuts at true radius hypot(x, h). A part of the blade at another height y passes the same
place of the turning wood at hypot(x, y), so the wood meets it as if it stood at
``x' = sqrt(x² + y² - h²)`` in the plane of the tip, which is farther from the pivot by
``f = (x' - p)² - (x - p)²`` in the square of the distance. A face of the blade at distance ρ from
the pivot keeps inside the outer wall of the kerf where ``ρ² + f ≤ R²``, and outside the inner wall
where ``ρ² + f ≥ (R - k)²``.
"""

import math
from dataclasses import dataclass

BLADE_AIR = 0.5  # mm on each side, over what touches; chosen here, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class BladeRoom:
    """Room beside a blade, and the room at which it would touch the wood, mm.

    Args:
        outside: from the outer face of the blade to the arc of the tip's outer corner.
        inside: from the inner face of the blade to the arc of the tip's inner corner.
        outside_needed: least room outside; with less the lower edge rubs.
        inside_needed: least room inside; with less a part of the blade below the tip rubs.
    """

    outside: float
    inside: float
    outside_needed: float
    inside_needed: float

    @property
    def touches(self) -> bool:
        """Whether the blade rubs or jams in its kerf, on either side."""
        return self.outside < self.outside_needed or self.inside < self.inside_needed

    @property
    def has_air(self) -> bool:
        """Whether each side keeps `BLADE_AIR` more than what touches."""
        return (
            self.outside >= self.outside_needed + BLADE_AIR
            and self.inside >= self.inside_needed + BLADE_AIR
        )


def blade_room(
    *,
    radius: float,
    kerf: float,
    section: tuple[float, float],
    height: float,
    pivot_offset: float,
    nearest_x: float,
) -> BladeRoom:
    """The room beside a blade in its kerf, there and needed.

    With the pivot on the axis (p = 0) the room needed outside is ``R - sqrt(R² - b (b - 2h))``,
    nearly ``b (b - 2h)/(2R)``. With p < 0 more is needed outside, with p > 0 inside, and most
    where the blade comes nearest to the axis.

    Args:
        radius: R, pivot to the outermost corner of the tip, mm, > 0.
        kerf: k, width of the tip, mm, over 0 and under R.
        section: width of the blade in the plane of the arc and its height b, mm, > 0.
        height: h of the tip above the lathe's centre, mm, ≥ 0.
        pivot_offset: p, mm.
        nearest_x: least x that the blade reaches in the wood, mm, > 0: that of the tip where the
            lathe is stopped.

    >>> room = blade_room(
    ...     radius=105, kerf=12, section=(9, 20), height=5, pivot_offset=0, nearest_x=12
    ... )
    >>> room.outside, round(room.outside_needed, 3), round(room.inside_needed, 3)
    (1.5, 0.957, 0.134)
    """
    width, blade_height = section
    side = (kerf - width) / 2
    lowest = height - blade_height
    squares = [  # y² - h² of the part of the blade nearest to the centre height, and farthest
        min(0.0, max(0.0, lowest) ** 2 - height**2),
        max(0.0, lowest**2 - height**2),
    ]
    shifts = []  # f; along the blade it rises or falls, so its limits are at the two ends
    for x in (nearest_x, max(nearest_x, pivot_offset + radius)):
        seen = [math.sqrt(max(0.0, x**2 + square)) for square in squares]
        if seen[0] < pivot_offset < seen[1]:
            seen.append(pivot_offset)  # beside the pivot f is least
        shifts += [(s - pivot_offset) ** 2 - (x - pivot_offset) ** 2 for s in seen]
    inner = radius - kerf
    return BladeRoom(
        outside=side,
        inside=side,
        outside_needed=radius - math.sqrt(max(0.0, radius**2 - max(shifts))),
        inside_needed=math.sqrt(inner**2 - min(shifts)) - inner,
    )
