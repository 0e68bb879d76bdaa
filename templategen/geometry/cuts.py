"""One cut as numbers (design.md §3). mm and radians; x from the axis in the cutter's plane."""

import math

from templategen.errors import GeometryError
from templategen.messages import tr


def pivot_from_entry_and_depth(*, radius: float, entry: float, depth: float) -> tuple[float, float]:
    """The pivot (offset p, standoff q) of a cut by its entry and its depth at the axis.

    Args:
        radius: pivot to outermost tip corner, mm, > 0.
        entry: x where the tip meets the face, mm, > 0.
        depth: z where the edge meets the axis, mm, > 0.

    Returns: (p, q), mm.

    Raises:
        GeometryError: no circle of that radius runs through both points.
    """
    chord = math.hypot(entry, depth)
    rest = radius * radius - chord * chord / 4
    if chord <= 0 or rest < 0:
        raise GeometryError(tr("no arc of that radius joins the entry and the depth"))
    m = math.sqrt(rest)
    return entry / 2 - m * depth / chord, m * entry / chord - depth / 2


def deepest_point(*, radius: float, pivot_offset: float, pivot_standoff: float) -> float:
    """The deepest the edge runs, mm: a ring at x = p when p ≥ 0, else on the axis."""
    reach = radius if pivot_offset >= 0 else math.sqrt(radius**2 - pivot_offset**2)
    return reach - pivot_standoff


def swing_angle(*, radius: float, pivot_offset: float, pivot_standoff: float) -> float:
    """How far the cutter swings from the face to the axis, radians."""
    return math.acos(-pivot_offset / radius) - math.asin(pivot_standoff / radius)


def slope_at_axis(*, radius: float, pivot_offset: float) -> float:
    """Slope of the edge at the axis, radians: positive leaves a dimple, negative a point."""
    return math.asin(pivot_offset / radius)


def radius_from_chord(*, chord: float, rise: float) -> float:
    """Radius of an arc from a measured chord and its rise, mm.

    Args:
        chord: mm, > 0.
        rise: mm, > 0, at most half the chord for an arc up to a half circle.

    Raises:
        GeometryError: a figure is not above zero.

    >>> radius_from_chord(chord=120.0, rise=20.0)
    100.0
    """
    if not (chord > 0 and rise > 0):
        raise GeometryError(tr("a chord and its rise must both be above zero"))
    return chord * chord / (8 * rise) + rise / 2


def radius_uncertainty(*, chord: float, rise: float, rise_error: float) -> float:
    """How far the radius of `radius_from_chord` may be out when the rise is, mm.

    The radius changes with the rise s of a chord c by ``1/2 - c²/(8 s²)``; it is taken as
    straight over the error, so keep that well under the rise. A long chord measures better.

    Args:
        chord: mm, > 0.
        rise: mm, > 0.
        rise_error: the rise is read to ± this, mm, ≥ 0.

    >>> radius_uncertainty(chord=120.0, rise=20.0, rise_error=0.25)
    1.0
    """
    return rise_error * abs(0.5 - chord * chord / (8 * rise * rise))
