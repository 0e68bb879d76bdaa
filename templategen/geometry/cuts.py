"""One cut as numbers (design.md §3). mm and radians; x from the axis in the cutter's plane."""

import math

from templategen.errors import GeometryError


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
        raise GeometryError("no arc of that radius joins the entry and the depth")
    m = math.sqrt(rest)
    return entry / 2 - m * depth / chord, m * entry / chord - depth / 2


def edge_x(*, radius: float, pivot_offset: float, pivot_standoff: float, z: float) -> float:
    """X of an edge of the given radius at depth z, mm.

    Raises:
        GeometryError: the edge does not reach that depth.
    """
    rest = radius * radius - (z + pivot_standoff) ** 2
    if rest < 0:
        raise GeometryError("the edge does not reach that depth")
    return pivot_offset + math.sqrt(rest)


def edge_z(*, radius: float, pivot_offset: float, pivot_standoff: float, x: float) -> float:
    """Depth of an edge at distance x from the axis, mm (on the side away from the face).

    Raises:
        GeometryError: the edge does not reach that far.
    """
    rest = radius * radius - (x - pivot_offset) ** 2
    if rest < 0:
        raise GeometryError("the edge does not reach that distance from the axis")
    return math.sqrt(rest) - pivot_standoff


def deepest_point(*, radius: float, pivot_offset: float, pivot_standoff: float) -> float:
    """The deepest the edge runs, mm: a ring at x = p when p ≥ 0, else on the axis."""
    if pivot_offset >= 0:
        return radius - pivot_standoff
    return edge_z(radius=radius, pivot_offset=pivot_offset, pivot_standoff=pivot_standoff, x=0.0)


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
        raise GeometryError("a chord and its rise must both be above zero")
    return chord * chord / (8 * rise) + rise / 2


def edge_points(
    *,
    radius: float,
    pivot_offset: float,
    pivot_standoff: float,
    height: float = 0.0,
    shift: float = 0.0,
    shift_depth: float = 0.0,
    max_gap: float = 0.01,
) -> list[tuple[float, float]]:
    """An edge as (r, z) points from the face to the axis, true radii r = hypot(x, h).

    Args:
        radius: of the edge, mm.
        pivot_offset: p, mm.
        pivot_standoff: q, mm.
        height: cutter height above centre h, mm.
        shift: relief step towards the axis, mm, taken down to `shift_depth`.
        shift_depth: mm below the face; 0 for no relief.
        max_gap: largest distance between a chord and the edge, mm.

    Returns: points of the edge, the relief step included; the last lies on the stub (r = h).
    """
    start = math.asin(pivot_standoff / radius)
    end = math.acos(max(-1.0, min(1.0, -pivot_offset / radius)))
    step = 2 * math.acos(1 - min(max_gap, radius) / radius)
    pieces = max(5, math.ceil((end - start) / step))
    angles = [start + (end - start) * n / pieces for n in range(pieces + 1)]
    if shift > 0 and shift_depth > 0:
        turn = math.asin(min(1.0, (shift_depth + pivot_standoff) / radius))
        if start < turn < end:
            upper = [a for a in angles if a < turn - 1e-9] + [turn]
            lower = [turn] + [a for a in angles if a > turn + 1e-9]
            points = [_at(radius, pivot_offset - shift, pivot_standoff, height, a) for a in upper]
            points += [_at(radius, pivot_offset, pivot_standoff, height, a) for a in lower]
            return points
    return [_at(radius, pivot_offset, pivot_standoff, height, a) for a in angles]


def _at(radius: float, p: float, q: float, h: float, angle: float) -> tuple[float, float]:
    x = max(0.0, p + radius * math.cos(angle))
    return math.hypot(x, h), max(0.0, radius * math.sin(angle) - q)


def distance_to_edge(
    point: tuple[float, float],
    *,
    radius: float,
    pivot_offset: float,
    pivot_standoff: float,
    height: float,
) -> float:
    """True distance in the half section from an (r, z) point to a cut's edge, mm."""
    r, z = point
    start = math.asin(pivot_standoff / radius)
    end = math.acos(max(-1.0, min(1.0, -pivot_offset / radius)))

    def gap(angle: float) -> float:
        x = pivot_offset + radius * math.cos(angle)
        return math.hypot(math.hypot(x, height) - r, radius * math.sin(angle) - pivot_standoff - z)

    x = math.sqrt(max(0.0, r * r - height * height))
    guess = math.atan2(z + pivot_standoff, x - pivot_offset)
    low, high = max(start, guess - 0.1), min(end, guess + 0.1)
    if low >= high:
        return min(gap(start), gap(end))
    golden = (math.sqrt(5) - 1) / 2
    a, b = high - golden * (high - low), low + golden * (high - low)
    fa, fb = gap(a), gap(b)
    for _ in range(20):
        if fa < fb:
            high, b, fb = b, a, fa
            a = high - golden * (high - low)
            fa = gap(a)
        else:
            low, a, fa = a, b, fb
            b = low + golden * (high - low)
            fb = gap(b)
    return min(fa, fb, gap(start), gap(end))
