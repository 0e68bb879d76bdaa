"""Half section of a nest as it is sawn through the lathe axis: true radii, y = -z, mm.

A cutter h above centre leaves the true radius r = hypot(x, h), so its edges are no circles here;
arcs follow them within `MAX_GAP`. At h = 0 they are the true arcs themselves.
"""

import functools
import math
from collections.abc import Iterable

from templategen.geometry.curves import Curve, Side, Span
from templategen.geometry.shapes import Arc, Line, Point, Segment
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.drawing import run_through

MAX_GAP = 0.005  # mm between a curve that is no circle and the arcs drawn for it
TENON_CORNERS = 2  # last points of a plan's outside: edge of the tenon's end face, axis
FINEST = 1e-7  # radians: a shorter piece of a curve is drawn straight


@functools.lru_cache(maxsize=256)  # of a plan each is drawn several times
def curve_segments(curve: Curve) -> tuple[Segment, ...]:
    """A curve as drawn: a circle stays a true arc."""
    match curve:
        case Span(height=0.0):
            centre = Point(curve.x, -curve.z)
            return (Arc(centre, curve.radius, -curve.start, curve.start - curve.end),)
        case Span():
            return tuple(_arcs_near(curve, curve.start, curve.end))
        case Side():
            return (Line(Point(curve.r0, -curve.z0), Point(curve.r1, -curve.z1)),)


def joined(curves: Iterable[Curve]) -> tuple[Segment, ...]:
    """Curves as drawn, with straight steps between those that do not meet."""
    return run_through(piece for curve in curves for piece in curve_segments(curve))


def _arcs_near(span: Span, start: float, end: float) -> list[Segment]:
    """Arcs that follow a part of a circle above centre within `MAX_GAP`."""

    def at(share: float) -> Point:
        r, z = span.at(start + share * (end - start))
        return Point(r, -z)

    first, middle, last = at(0.0), at(0.5), at(1.0)
    if end - start < FINEST:
        return [Line(first, last)]
    arc = arc_through(first, middle, last)
    gaps = [abs(math.dist(at(share), arc.centre) - arc.radius) for share in (0.25, 0.75)]
    if max(gaps) <= MAX_GAP:
        return [arc]
    half = (start + end) / 2
    return [*_arcs_near(span, start, half), *_arcs_near(span, half, end)]


def arc_through(start: Point, middle: Point, end: Point) -> Arc:
    """The arc from `start` over `middle` to `end`, three points that are not in line."""
    ax, ay = middle.x - start.x, middle.y - start.y
    bx, by = end.x - start.x, end.y - start.y
    twice = 2 * (ax * by - ay * bx)
    a, b = ax * ax + ay * ay, bx * bx + by * by
    centre = Point(start.x + (by * a - ay * b) / twice, start.y + (ax * b - bx * a) / twice)
    first = math.atan2(start.y - centre.y, start.x - centre.x)
    last = math.atan2(end.y - centre.y, end.x - centre.x)
    turn = (last - first) % (2 * math.pi)
    sweep = turn if twice > 0 else turn - 2 * math.pi
    return Arc(centre, math.dist(start, centre), first, sweep)


def outside_edge(bowl: Bowl) -> tuple[Segment, ...]:
    """The outside of a bowl from the rim to the neck of its tenon."""
    segments = joined(bowl.curves)
    neck = Point(bowl.tenon_diameter / 2, -bowl.depth)
    is_there = math.dist(segments[-1].end, neck) <= MAX_GAP
    return segments if is_there else run_through([*segments, neck])


def outside_segments(plan: Plan) -> tuple[Segment, ...]:
    """The turned outside of the blank from the rim to the axis, with its tenon."""
    edge = outside_edge(plan.bowls[0])
    return run_through([*edge, *(Point(r, -z) for r, z in plan.outside[-TENON_CORNERS:])])


def cut_edge(cut: Cut, radius: float) -> tuple[Segment, ...]:
    """An edge of a cut from the face to the stub on the axis.

    Args:
        cut: the cut.
        radius: of the outer or the inner edge, about the pivot, mm.
    """
    p, q = cut.pivot_offset, cut.pivot_standoff
    start, end = math.asin(q / radius), math.acos(-p / radius)
    span = Span(x=p, z=-q, radius=radius, start=start, end=end, height=cut.cutter_height)
    return curve_segments(span)


def cut_edges(cut: Cut) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    """The outer and the inner edge of a cut, from the face to the stub on the axis."""
    return cut_edge(cut, cut.cutter.radius), cut_edge(cut, cut.cutter.inner_radius)


def relief_step(core: Bowl, cut: Cut) -> tuple[Segment, ...]:
    """What the relief cut takes from a core: from the face down to the inner edge; none if none.

    Args:
        core: the bowl that the cut frees.
        cut: the cut.
    """
    if cut.relief is None:
        return ()
    segments = joined(core.curves)
    foot = next((n for n, s in enumerate(segments, start=1) if isinstance(s, Line)), 0)
    return segments[:foot]


def stub(cut: Cut) -> tuple[Point, Point, Point, Point] | None:
    """The four corners of the wood that a cutter above centre leaves on the axis, or None."""
    if cut.cutter_height <= 0:
        return None
    outer, inner = (edge[-1].end for edge in cut_edges(cut))
    return Point(0.0, inner.y), inner, outer, Point(0.0, outer.y)


def bowl_outline(plan: Plan, bowl: Bowl) -> tuple[Segment, ...]:
    """The half section of a bowl, from its rim round its outside to the axis and back inside."""
    freed, hollowed = plan.cut_freeing(bowl), plan.cut_in(bowl)
    outside = outside_segments(plan) if freed is None else joined(bowl.curves)
    inside: tuple[Segment, ...] = ()
    if hollowed is not None:
        inside = tuple(s.reversed() for s in reversed(cut_edges(hollowed)[0]))
    low, top = outside[-1].end.y, inside[0].start.y if inside else 0.0
    axis = Point(0.0, low), Point(0.0, top)
    return run_through([*outside, *axis, *inside, outside[0].start])


def wall_ends(at: tuple[tuple[float, float], tuple[float, float]]) -> tuple[Point, Point]:
    """The two ends of a wall as drawn, from its (r, z) points outside and inside."""
    (r, z), (edge_r, edge_z) = at
    return Point(r, -z), Point(edge_r, -edge_z)
