"""Curves of the half section and the least distance between two of them. mm and radians.

A cut is an arc in the cutter's plane, h above centre; its true radius is r = hypot(x, h). The
turned outside of a blank is drawn in true radii at once (height 0). Distances are true ones,
measured in the half section (r, z).
"""

import math
import operator
from collections.abc import Iterable
from dataclasses import dataclass

SAMPLES = 12  # start points of the search for the least distance along a curve
AXIS_END = 0.001  # mm off the axis: Newton's method goes no nearer
AXIS_START = 0.1  # mm off the axis: it starts no nearer
MANY = 20  # curves of an outside, or places: more are gone through by how near they come
SPARE = 3.0  # mm; a start this much further apart than the best result is skipped
SAME_PLACE = 0.05  # mm; places nearer than this are one
STEPS = 40  # most Newton steps; three or four are usual
FEWEST_CHORDS = 5  # of an arc drawn as points
SMALLEST_STEP = 1e-9  # radians or shares
SMALLEST_GAIN = 1e-9  # mm²; a step that reduces the squared distance by less is the last

Derivatives = tuple[float, float, float, float, float, float]  # r, z; their first, their second


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Part of a circle from angle `start` to `end`, angles from the x axis towards +z.

    Args:
        x: centre, mm.
        z: centre, mm.
        radius: mm, > 0.
        start: radians.
        end: radians, ≥ start.
        height: of the circle's plane above centre, mm; 0 where x is a true radius.
    """

    x: float
    z: float
    radius: float
    start: float
    end: float
    height: float = 0.0

    def at(self, angle: float) -> tuple[float, float]:
        """The (r, z) point at an angle, mm."""
        x = max(0.0, self.x + self.radius * math.cos(angle))
        return math.hypot(x, self.height), self.z + self.radius * math.sin(angle)

    def derivatives(self, angle: float) -> Derivatives:
        """R, z and their first and second derivatives by the angle."""
        cos, sin = self.radius * math.cos(angle), self.radius * math.sin(angle)
        x = self.x + cos
        z = self.z + sin
        if self.height == 0.0:
            return x, z, -sin, cos, -cos, -sin
        r = math.hypot(x, self.height)
        slope = -x * sin / r
        return r, z, slope, cos, (sin * sin - x * cos - slope * slope) / r, -sin

    def nearest(self, point: tuple[float, float]) -> float:
        """A first guess of the angle nearest a point, from the cutter's plane."""
        r, z = point
        x = math.sqrt(max(0.0, r * r - self.height * self.height))
        angle = math.atan2(z - self.z, x - self.x)
        return min(max(angle, self.start), self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A straight side in true radii, from (r0, z0) at 0 to (r1, z1) at 1, mm."""

    r0: float
    z0: float
    r1: float
    z1: float
    start: float = 0.0
    end: float = 1.0

    def at(self, share: float) -> tuple[float, float]:
        """The (r, z) point at a share of the way, mm."""
        return self.r0 + share * (self.r1 - self.r0), self.z0 + share * (self.z1 - self.z0)

    def nearest(self, point: tuple[float, float]) -> float:
        """The share of the way nearest a point."""
        run, fall = self.r1 - self.r0, self.z1 - self.z0
        square = run * run + fall * fall
        if square == 0:
            return 0.0
        share = ((point[0] - self.r0) * run + (point[1] - self.z0) * fall) / square
        return min(max(share, self.start), self.end)

    def derivatives(self, share: float) -> Derivatives:
        """R, z and their first and second derivatives by the share of the way."""
        r, z = self.at(share)
        return r, z, self.r1 - self.r0, self.z1 - self.z0, 0.0, 0.0


Curve = Span | Side
Pair = tuple[tuple[float, float], tuple[float, float]]


def least_distance(
    outside: Iterable[Curve],
    edge: Span,
    *,
    near: Iterable[Pair] | None = None,
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """The least true distance between an outside and an edge, and where it is.

    Args:
        outside: the curves of the outside.
        edge: the edge of a cut.
        near: places where the distance was least for curves nearby (`least_places`); then only
            these are start points, unless they are many.

    Returns: distance, the (r, z) point of the outside, the (r, z) point of the edge; mm.
    """
    best = (math.inf, (0.0, 0.0), (0.0, 0.0))
    places = None if near is None else tuple(near)
    if places is not None and len(places) > MANY:
        places = None  # of a drawn outside: every place from every side is the longer way
    for bound, curve in _bounded(outside, edge):
        if bound > best[0]:
            break
        if places is None:
            starts = _starts(curve, edge)
        else:
            # From every curve: beside a relief step the other one may have become the nearer.
            starts = [(curve.nearest(a), edge.nearest(b)) for a, b in places]
        for s, t in starts:
            if math.dist(curve.at(s), edge.at(t)) - _spare(edge) > best[0]:
                continue
            found = _settle(curve, edge, s, t)
            if found[2] < best[0]:
                best = (found[2], curve.at(found[0]), edge.at(found[1]))
    return best


def least_places(outside: Iterable[Curve], edge: Span, *, within: float) -> tuple[Pair, ...]:
    """The places where the distance of an outside and an edge has a small local minimum.

    Args:
        outside: the curves of the outside.
        edge: the edge of a cut.
        within: greatest difference between a local minimum and the least distance, mm.

    Returns: pairs of (r, z) points of the outside and of the edge, nearest first.
    """
    settled: list[tuple[float, Pair]] = []
    least = math.inf
    for bound, curve in _bounded(outside, edge):
        if bound > least + within:
            break
        for s, t in _starts(curve, edge):
            a, b, gap = _settle(curve, edge, s, t)
            settled.append((gap, (curve.at(a), edge.at(b))))
            least = min(least, gap)
    found: list[Pair] = []
    for gap, pair in sorted(settled):
        if gap > least + within:
            break
        if all(_apart(pair, other) > SAME_PLACE for other in found):
            found.append(pair)
    return tuple(found)


def _apart(one: Pair, other: Pair) -> float:
    """How far two places are from each other, on the outside or on the edge, mm."""
    return max(math.dist(one[0], other[0]), math.dist(one[1], other[1]))


def _bounded(outside: Iterable[Curve], edge: Span) -> list[tuple[float, Curve]]:
    """Curves with a distance, mm, that no point of theirs lies nearer to the edge; least first.

    Of a drawn outside of hundreds of sides only those near the edge are then looked at.
    """
    curves = list(outside)
    if len(curves) <= MANY:
        return [(0.0, curve) for curve in curves]
    return sorted(((_bound(curve, edge), curve) for curve in curves), key=operator.itemgetter(0))


def _bound(curve: Curve, edge: Span) -> float:
    """A distance that no point of a side comes nearer to the edge, mm; 0 for an arc.

    That of the side's middle less half its length. The nearest place of an edge is found in the
    cutter's plane, where no distance differs from the true one by more than the cutter's height.
    """
    if isinstance(curve, Span):
        return 0.0
    middle = curve.at((curve.start + curve.end) / 2)
    places = edge.nearest(middle), edge.start, edge.end
    reach = math.dist(curve.at(curve.start), curve.at(curve.end)) / 2
    return min(math.dist(middle, edge.at(t)) for t in places) - reach - 2 * edge.height


def _spare(edge: Span) -> float:
    """How much further apart than the best result a start may be and is still tried, mm."""
    return 3 * edge.height + SPARE


def _starts(curve: Curve, edge: Span) -> list[tuple[float, float]]:
    """Start parameters of the search for the least distance of a curve and an edge."""
    starts = _dips(curve, edge)
    # Near the axis dr/dx is small: another local minimum may lie there.
    asides = [max(edge.start, edge.end - share * edge.height / edge.radius) for share in (1.0, 0.5)]
    ends = dict.fromkeys((edge.start, *asides, edge.end))  # only two on centre height
    starts += [(curve.nearest(edge.at(t)), t) for t in ends]
    if isinstance(curve, Span) and edge.height > 0:
        inward = max(curve.start, curve.end - edge.height / curve.radius)
        starts += [(inward, edge.end), *((curve.end, t) for t in asides)]
    return starts


def _dips(curve: Curve, edge: Span) -> list[tuple[float, float]]:
    """Start parameters of local minima of the distance among samples, nearest first."""
    width = (curve.end - curve.start) / SAMPLES
    tried: list[tuple[float, float, float]] = []
    # One more sample before the last: two minima may lie close together near the axis.
    for place in (*range(SAMPLES), SAMPLES - 0.5, SAMPLES):
        a = curve.start + place * width
        point = curve.at(a)
        b = edge.nearest(point)
        tried.append((math.dist(point, edge.at(b)), a, b))
    away = [math.inf, *(gap for gap, _, _ in tried), math.inf]
    dips = [
        here
        for before, here, after in zip(away, tried, away[2:], strict=False)
        if here[0] <= before and here[0] <= after
    ]
    return [(a, b) for _, a, b in sorted(dips)]


def _settle(curve: Curve, edge: Span, s: float, t: float) -> tuple[float, float, float]:
    """The nearest places by Newton's method on the squared distance, kept within both curves.

    On the axis dr/dx of r = hypot(x, h) is 0 and would stop Newton's method: it starts off the
    axis and stays off it, and the end points on the axis are tested last.

    Returns: parameter of the curve, parameter of the edge, distance in mm.
    """
    s, t = min(s, _off_axis(curve, AXIS_START)), min(t, _off_axis(edge, AXIS_START))
    last_s, last_t = _off_axis(curve, AXIS_END), _off_axis(edge, AXIS_END)
    on_curve, on_edge = curve.derivatives(s), edge.derivatives(t)
    have = (on_curve[0] - on_edge[0]) ** 2 + (on_curve[1] - on_edge[1]) ** 2
    for _ in range(STEPS):
        (gs, gt), (ss, tt, st) = _square_derivatives(on_curve, on_edge)
        held_s = (s <= curve.start and gs > 0) or (s >= last_s and gs < 0)
        held_t = (t <= edge.start and gt > 0) or (t >= last_t and gt < 0)
        if held_s and held_t:
            break
        if held_s:
            ds, dt = 0.0, -gt / (abs(tt) or 1.0)
        elif held_t:
            ds, dt = -gs / (abs(ss) or 1.0), 0.0
        else:
            ds, dt = _newton_step((gs, gt), (ss, tt, st))
            # Shortened by one factor to stay on both curves the step still leads down.
            on_s = _share(s, ds, curve.start, last_s)
            on_t = _share(t, dt, edge.start, last_t)
            if min(on_s, on_t) > 1e-9:
                ds, dt = ds * min(on_s, on_t), dt * min(on_s, on_t)
        won = 0.0
        for _half in range(8):
            a = min(max(s + ds, curve.start), last_s)
            b = min(max(t + dt, edge.start), last_t)
            if abs(a - s) + abs(b - t) < SMALLEST_STEP:
                break
            there, here = curve.derivatives(a), edge.derivatives(b)
            run, fall = there[0] - here[0], there[1] - here[1]
            now = run * run + fall * fall
            if now < have:
                won, have, s, t, on_curve, on_edge = have - now, now, a, b, there, here
                break
            ds, dt = ds / 2, dt / 2
        if won < SMALLEST_GAIN:
            break
    ends = [(s, t)]
    if s >= last_s or t >= last_t:
        ends.append((curve.end if s >= last_s else s, edge.end if t >= last_t else t))
    found = [(a, b, math.dist(curve.at(a), edge.at(b))) for a, b in ends]
    return min(found, key=operator.itemgetter(2))


def _square_derivatives(
    on_curve: Derivatives, on_edge: Derivatives
) -> tuple[tuple[float, float], tuple[float, float, float]]:
    """Half the gradient and second derivatives of the squared distance: (s, t), (ss, tt, st)."""
    r1, z1, r1s, z1s, r1ss, z1ss = on_curve
    r2, z2, r2t, z2t, r2tt, z2tt = on_edge
    dr, dz = r1 - r2, z1 - z2
    ss = r1s * r1s + z1s * z1s + dr * r1ss + dz * z1ss
    tt = r2t * r2t + z2t * z2t - dr * r2tt - dz * z2tt
    return (dr * r1s + dz * z1s, -(dr * r2t + dz * z2t)), (ss, tt, -(r1s * r2t + z1s * z2t))


def _newton_step(
    gradient: tuple[float, float], curvature: tuple[float, float, float]
) -> tuple[float, float]:
    """The Newton step for two parameters; the matrix is made positive definite first."""
    (gs, gt), (ss, tt, st) = gradient, curvature
    lowest = (ss + tt) / 2 - math.hypot((ss - tt) / 2, st)  # eigenvalue
    size = abs(ss) + abs(tt) + abs(st)
    lift = 0.0 if lowest > 1e-6 * size else 0.02 * size - lowest
    ss, tt = ss + lift, tt + lift
    full = ss * tt - st * st
    return (st * gt - tt * gs) / full, (st * gs - ss * gt) / full


def _share(place: float, step: float, start: float, end: float) -> float:
    """The share of a step that stays between start and end, 0..1."""
    if step > 0:
        return min(1.0, (end - place) / step)
    return min(1.0, (start - place) / step) if step < 0 else 1.0


def _off_axis(curve: Curve, by: float) -> float:
    """The end of a curve, or a parameter `by` mm before it where it may lie on the axis."""
    if isinstance(curve, Side) or curve.height == 0:
        return curve.end
    if curve.x + curve.radius * math.cos(curve.end) > by:  # it ends before, on a relief step
        return curve.end
    return max(curve.start, curve.end - by / curve.radius)


def points_along(curves: Iterable[Curve], *, max_gap: float = 0.005) -> list[tuple[float, float]]:
    """Points along curves that follow one another, mm.

    Args:
        curves: in order, each beginning where the one before ends or a step beside it.
        max_gap: largest distance between a chord and a true arc, mm.

    Returns: (r, z) points without repeats.
    """
    points: list[tuple[float, float]] = []
    for curve in curves:
        count = 1
        if isinstance(curve, Span):
            step = 2 * math.acos(1 - min(max_gap, curve.radius) / curve.radius)
            count = max(FEWEST_CHORDS, math.ceil((curve.end - curve.start) / step))
        width = (curve.end - curve.start) / count
        for n in range(count + 1):
            point = curve.at(curve.start + n * width)
            if not points or math.dist(point, points[-1]) > 1e-9:
                points.append(point)
    return points
