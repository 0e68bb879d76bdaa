"""Where a swinging tip and its holder are (design.md §3, rule 8). mm and radians.

Angles are measured at the pivot from the direction parallel to the face, so that the tip's outer
corner is at ``x = p + R cos φ`` and ``z = R sin φ - q``. A dial on the post starts where the tip
touches the face: its reading is ``φ - touch_angle()``.
"""

import math
from dataclasses import dataclass

HOLDER_AIR = 5.0  # mm between the holder and the spinning wood; chosen here, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class TipPath:
    """A tip on its way from the face to the axis.

    The cutting edge of the tip lies on a straight line through the pivot, from R - k to R.

    Args:
        radius: R, pivot to the outermost corner of the tip, mm, > 0.
        kerf: k, width of the tip, mm, 0 to R.
        pivot_offset: p, mm.
        pivot_standoff: q, mm, over 0 and under R.
        height: h of the tip above the lathe's centre, mm, ≥ 0.

    >>> path = TipPath(radius=100, kerf=10, pivot_offset=0, pivot_standoff=50, height=0)
    >>> round(math.degrees(path.touch_angle()), 6), round(path.depth(math.pi / 2), 6)
    (30.0, 50.0)
    """

    radius: float
    kerf: float
    pivot_offset: float
    pivot_standoff: float
    height: float

    def touch_angle(self) -> float:
        """Angle at which the tip's outer corner touches the face, radians: asin(q/R)."""
        return math.asin(self.pivot_standoff / self.radius)

    def depth(self, angle: float) -> float:
        """Depth of the tip's outer corner below the face, mm: R sin φ - q."""
        return self.radius * math.sin(angle) - self.pivot_standoff

    def angle_at_depth(self, depth: float) -> float | None:
        """Angle at which the tip's outer corner first has a depth, radians.

        Returns: at most π/2, or None where the tip never runs that deep or that high.
        """
        sine = (depth + self.pivot_standoff) / self.radius
        return math.asin(sine) if -1 <= sine <= 1 else None

    def nearest_x(self, angle: float) -> float:
        """Least x of the part of the cutting edge that is in the wood, mm.

        Before a quarter turn (φ < π/2) the tip's inner corner runs ahead, after it the outer
        corner. Just after the touch the inner corner is still in front of the face: then the edge
        is cut off at the face.

        Args:
            angle: radians, from the touch to π.
        """
        if math.cos(angle) <= 0:
            return self.pivot_offset + self.radius * math.cos(angle)
        inner = self.radius - self.kerf
        if inner * math.sin(angle) < self.pivot_standoff:
            return self.pivot_offset + self.pivot_standoff / math.tan(angle)
        return self.pivot_offset + inner * math.cos(angle)

    def neck_radius(self, angle: float) -> float:
        """Radius of the wood that still carries the core, mm: hypot(x, h) of the tip.

        It falls until the tip reaches the axis; h is the stub that a tip above centre leaves.
        """
        return math.hypot(self.nearest_x(angle), self.height)

    def angle_at_neck_radius(self, neck: float) -> float | None:
        """Angle at which the neck has a radius, radians; the inverse of `neck_radius`.

        Args:
            neck: mm.

        Returns: None where the neck is under h, wider than the entry or out of the tip's reach.
        """
        if neck < self.height:
            return None
        x = math.sqrt(neck * neck - self.height * self.height) - self.pivot_offset
        inner, standoff = self.radius - self.kerf, self.pivot_standoff
        if not -self.radius <= x or (math.hypot(x, standoff) > self.radius and x > 0):
            return None
        if x <= 0:
            return math.acos(x / self.radius)
        if math.hypot(x, standoff) > inner and standoff > 0:
            return max(math.atan2(standoff, x), self.touch_angle())
        return math.acos(min(1.0, x / inner))

    def through_angle(self) -> float | None:
        """Angle at which a corner of the tip reaches the axis, radians, or None if none does.

        The core is then parted but for the stub of radius h. With p < 0 the inner corner arrives
        first, earlier than the outer edge that ends the swing of `cuts.swing_angle`.
        """
        return self.angle_at_neck_radius(self.height)


def holder_reach(
    *, radius: float, pivot_offset: float, pivot_standoff: float, holder: float
) -> float | None:
    """Bare blade that keeps the holder out of the wood until the core is free, radians.

    Rule 8 of design.md §4: ``swing + asin(q/R) - asin((q - c)/R)`` with c = half of the holder's
    width + 5 mm. The bare blade ends on radius R, where the middle of the holder's front is; the
    holder runs back from there, away from the tip. At the end of the swing that point is then
    c in front of the face, so that the nearest corner of the holder is at least 5 mm from it.
    Not covered: at the touch a bare blade that is longer by a quarter turn than asin(q/R) has its
    holder behind the pivot, where a long straight one runs back towards the face.

    Args:
        radius: R, pivot to the outermost corner of the tip, mm, > 0.
        pivot_offset: p, mm, -R to R.
        pivot_standoff: q, mm, over 0 and under R.
        holder: width of the holder in the plane of the blade, mm, ≥ 0.

    Returns: the angle from the tip back to the holder, or None where no blade is long enough:
        the holder is so wide that it meets the face even behind the pivot (c > R + q).

    >>> reach = holder_reach(radius=105, pivot_offset=0, pivot_standoff=25, holder=40)
    >>> round(math.degrees(reach), 6)
    90.0
    """
    sine = (pivot_standoff - holder / 2 - HOLDER_AIR) / radius
    if sine < -1:
        return None
    return math.acos(-pivot_offset / radius) - math.asin(sine)
