"""Closed outlines of lines and arcs moved sideways: lines stay lines, arcs stay arcs.

The offset is that of a disc rolled along the outline: a corner it goes round becomes an arc
about the corner, a corner it cannot reach into is where the two moved sides meet. Nothing is
approximated. Lengths mm, angles radians.
"""

import itertools
import math
from collections.abc import Sequence

from templategen.errors import GeometryError
from templategen.geometry.shapes import Arc, Line, Point, Segment
from templategen.messages import tr

SAME = 1e-6  # mm: ends nearer than this meet; a thousandth of what any saw can follow
TINY = 1e-9  # mm or radians: smaller figures count as zero
JOINT = 0.01  # mm: a line and an arc that join smoothly may cross this near their joint
DEEP = 1e-7  # mm: a piece nearer to the outline than the offset by more is dropped

Outline = tuple[Segment, ...]


def signed_area(outline: Sequence[Segment]) -> float:
    """The area inside a closed outline, mm², positive where it runs anticlockwise."""
    total = 0.0
    for segment in outline:
        match segment:
            case Line((x0, y0), (x1, y1)):
                total += (x0 * y1 - x1 * y0) / 2
            case Arc((x, y), radius, start, sweep):
                end = start + sweep
                total += (
                    radius**2 * sweep
                    + radius * x * (math.sin(end) - math.sin(start))
                    - radius * y * (math.cos(end) - math.cos(start))
                ) / 2
    return total


def is_inside(point: Point, outline: Sequence[Segment]) -> bool:
    """Whether a point lies inside a closed outline.

    A ray to the right crosses the chords of the outline an odd number of times, and each arc whose
    bow holds the point counts once more.

    Args:
        point: not on the outline.
        outline: closed, in either direction.
    """
    inside = False
    ends = [segment.start for segment in outline]
    for segment, (x0, y0), (x1, y1) in zip(outline, ends, ends[1:] + ends[:1], strict=True):
        if (y0 > point.y) != (y1 > point.y):
            inside ^= point.x < x0 + (point.y - y0) / (y1 - y0) * (x1 - x0)
        if isinstance(segment, Arc):
            inside ^= _is_in_bow(point, segment)
    return inside


def _is_in_bow(point: Point, arc: Arc) -> bool:
    """Whether a point lies between an arc and its chord; inside a full circle, for one."""
    if math.dist(point, arc.centre) >= arc.radius:
        return False
    (x0, y0), (x1, y1) = arc.start, arc.end
    right = (x1 - x0) * (point.y - y0) < (y1 - y0) * (point.x - x0)
    return abs(arc.sweep) > 2 * math.pi - TINY / arc.radius or right == (arc.sweep > 0)


def outlines_meet(one: Sequence[Segment], other: Sequence[Segment]) -> bool:
    """Whether two outlines cross, touch or run over one another."""
    ends = [(s.start, other) for s in one] + [(s.start, one) for s in other]
    return any(crossings(a, b) for a in one for b in other) or any(
        min(distance_to(point, s) for s in outline) < SAME for point, outline in ends
    )


def distance_to(point: Point, segment: Segment) -> float:
    """The least distance from a point to a line or an arc, mm."""
    match segment:
        case Line((x0, y0), (x1, y1)):
            dx, dy = x1 - x0, y1 - y0
            square = dx * dx + dy * dy
            along = 0.0
            if square > 0:
                along = min(1.0, max(0.0, ((point.x - x0) * dx + (point.y - y0) * dy) / square))
            return math.hypot(point.x - x0 - along * dx, point.y - y0 - along * dy)
        case Arc(centre, radius):
            ends = min(math.dist(point, segment.start), math.dist(point, segment.end))
            angle = math.atan2(point.y - centre.y, point.x - centre.x)
            if _share_of(segment, angle) is not None:
                return min(abs(math.dist(point, centre) - radius), ends)
            return ends


def offset_outline(outline: Sequence[Segment], distance: float) -> tuple[Outline, ...]:
    """A closed outline offset outward or inward.

    Args:
        outline: closed, in either direction; it neither crosses nor touches itself.
        distance: mm; positive outward, negative inward.

    Returns: the new outlines, anticlockwise; several where an inward offset parts the shape,
        none where nothing is left. Where an outward offset closes a bay, the bay follows,
        clockwise.

    Raises:
        GeometryError: the outline is open, has no area, crosses itself or has a gap.
    """
    area = signed_area(outline)
    if not outline or abs(area) < TINY or math.dist(outline[0].start, outline[-1].end) > SAME:
        raise GeometryError(tr("an outline that is not closed cannot be offset"))
    if _crosses_itself(outline):
        raise GeometryError(tr("this outline cannot be offset: it crosses or touches itself"))
    run = list(outline) if area > 0 else [s.reversed() for s in reversed(outline)]
    if abs(distance) < TINY:
        return (tuple(run),)
    pieces = [
        piece
        for piece in _split(_moved_sides(run, distance))
        if min(distance_to(_middle(piece), s) for s in run) > abs(distance) - DEEP
    ]
    loops = _chained(pieces)
    if distance > 0:
        return tuple(loop for loop in loops if abs(signed_area(loop)) > TINY)
    return tuple(loop for loop in loops if signed_area(loop) > TINY)


def _crosses_itself(outline: Sequence[Segment]) -> bool:
    """Whether two of its segments meet anywhere but where their ends do."""
    for one, other in itertools.combinations(outline, 2):
        if not one.bounds().meets(other.bounds(), gap=SAME):
            continue
        ends = (one.start, one.end), (other.start, other.end)
        for point, _, _ in crossings(one, other):
            if any(min(math.dist(point, e) for e in pair) > JOINT for pair in ends):
                return True
    return False


def chained(runs: Sequence[Outline]) -> tuple[list[Outline], list[Outline]]:
    """Runs of segments joined where their ends meet: those that close, and those that do not.

    Args:
        runs: each of them one segment or more, end to start, in either direction.
    """
    left = list(runs)
    whole: list[Outline] = []
    loose: list[Outline] = []
    while left:
        run = left.pop(0)
        grown = True
        while grown and not _closes(run):
            grown = False
            for n, other in enumerate(left):
                joined = _joined(run, other)
                if joined is not None:
                    run, grown = joined, True
                    left.pop(n)
                    break
        (whole if _closes(run) else loose).append(run)
    return whole, loose


def _closes(run: Outline) -> bool:
    return math.dist(run[0].start, run[-1].end) < SAME


def _joined(run: Outline, other: Outline) -> Outline | None:
    back = tuple(s.reversed() for s in reversed(other))
    for more in (other, back):
        if math.dist(run[-1].end, more[0].start) < SAME:
            return run + more
        if math.dist(more[-1].end, run[0].start) < SAME:
            return more + run
    return None


def _heading(segment: Segment, *, at_end: bool) -> float:
    match segment:
        case Line((x0, y0), (x1, y1)):
            return math.atan2(y1 - y0, x1 - x0)
        case Arc(_, _, start, sweep):
            angle = start + sweep if at_end else start
            return angle + math.copysign(math.pi / 2, sweep)


def _moved_sides(run: list[Segment], distance: float) -> list[Segment]:
    """Every side moved to its right by the distance, with an arc round each open corner."""
    moved: list[Segment] = []
    for segment, following in zip(run, [*run[1:], run[0]], strict=True):
        match segment:
            case Line(start, end):
                angle = _heading(segment, at_end=False) - math.pi / 2
                dx, dy = distance * math.cos(angle), distance * math.sin(angle)
                side = Line(Point(start.x + dx, start.y + dy), Point(end.x + dx, end.y + dy))
                moved.append(side)
            case Arc(centre, radius, from_angle, sweep):
                grown = radius + math.copysign(distance, distance * sweep)
                if grown > TINY:
                    moved.append(Arc(centre, grown, from_angle, sweep))
        leaving = _heading(segment, at_end=True)
        turn = math.remainder(_heading(following, at_end=False) - leaving, 2 * math.pi)
        if turn * distance > TINY:
            first = leaving - math.copysign(math.pi / 2, distance)
            moved.append(Arc(segment.end, abs(distance), first, turn))
    return moved


def _middle(segment: Segment) -> Point:
    match segment:
        case Line((x0, y0), (x1, y1)):
            return Point((x0 + x1) / 2, (y0 + y1) / 2)
        case Arc():
            return segment.at(segment.from_angle + segment.sweep / 2)


def _share_of(arc: Arc, angle: float) -> float | None:
    """How far along an arc an angle lies, 0..1, or None off its ends."""
    way = math.copysign(1.0, arc.sweep)
    along = ((angle - arc.from_angle) * way) % (2 * math.pi)
    slack = TINY / arc.radius + 1e-12
    if along > 2 * math.pi - slack:
        along = 0.0
    return min(1.0, along / abs(arc.sweep)) if along <= abs(arc.sweep) + slack else None


def _share(segment: Segment, point: Point) -> float | None:
    match segment:
        case Line((x0, y0), (x1, y1)):
            dx, dy = x1 - x0, y1 - y0
            long = math.hypot(dx, dy)
            along = ((point.x - x0) * dx + (point.y - y0) * dy) / long
            if -TINY <= along <= long + TINY:
                return min(1.0, max(0.0, along / long))
            return None
        case Arc(centre):
            return _share_of(segment, math.atan2(point.y - centre.y, point.x - centre.x))


def crossings(one: Segment, other: Segment) -> list[tuple[Point, float, float]]:
    """Where two segments cross or touch, and how far along each, 0..1.

    Not where they run over one another.
    """
    if isinstance(one, Line):
        points = _line_line(one, other) if isinstance(other, Line) else _line_circle(one, other)
    elif isinstance(other, Line):
        points = _line_circle(other, one)
    else:
        points = _circle_circle(one, other)
    met = ((p, _share(one, p), _share(other, p)) for p in points)
    return [(p, a, b) for p, a, b in met if a is not None and b is not None]


def _line_line(one: Line, other: Line) -> list[Point]:
    (x0, y0), (x1, y1) = one.start, one.end
    (x2, y2), (x3, y3) = other.start, other.end
    ux, uy, vx, vy = x1 - x0, y1 - y0, x3 - x2, y3 - y2
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    along = ((x2 - x0) * vy - (y2 - y0) * vx) / cross
    return [Point(x0 + along * ux, y0 + along * uy)]


def _line_circle(line: Line, arc: Arc) -> list[Point]:
    (x0, y0), (x1, y1) = line.start, line.end
    long = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    along = (arc.centre.x - x0) * ux + (arc.centre.y - y0) * uy
    foot = Point(x0 + along * ux, y0 + along * uy)
    square = arc.radius**2 - math.dist(foot, arc.centre) ** 2
    if square < -TINY * arc.radius:
        return []
    half = math.sqrt(max(0.0, square))
    return [Point(foot.x + s * half * ux, foot.y + s * half * uy) for s in (-1, 1)]


def _circle_circle(one: Arc, other: Arc) -> list[Point]:
    apart = math.dist(one.centre, other.centre)
    if apart < TINY:
        return []
    along = (apart**2 + one.radius**2 - other.radius**2) / (2 * apart)
    square = one.radius**2 - along**2
    if square < -TINY * max(one.radius, other.radius):
        return []
    half = math.sqrt(max(0.0, square))
    ux, uy = (other.centre.x - one.centre.x) / apart, (other.centre.y - one.centre.y) / apart
    x, y = one.centre.x + along * ux, one.centre.y + along * uy
    return [Point(x - s * half * uy, y + s * half * ux) for s in (-1, 1)]


def piece_of(segment: Segment, low: float, high: float) -> Segment:
    """The piece of a segment from one share of its length to another, 0..1."""
    match segment:
        case Line((x0, y0), (x1, y1)):
            dx, dy = x1 - x0, y1 - y0
            return Line(Point(x0 + low * dx, y0 + low * dy), Point(x0 + high * dx, y0 + high * dy))
        case Arc(centre, radius, start, sweep):
            return Arc(centre, radius, start + low * sweep, (high - low) * sweep)


def segment_length(segment: Segment) -> float:
    """The length of a line or an arc, mm."""
    match segment:
        case Line(start, end):
            return math.dist(start, end)
        case Arc():
            return segment.radius * abs(segment.sweep)


def _split(sides: list[Segment]) -> list[Segment]:
    """The sides cut wherever two of them meet."""
    sides = [s for s in sides if segment_length(s) > TINY]
    shares: list[set[float]] = [{0.0, 1.0} for _ in sides]
    for (n, one), (m, other) in itertools.combinations(enumerate(sides), 2):
        if not one.bounds().meets(other.bounds(), gap=SAME):
            continue
        for _, along_one, along_other in crossings(one, other):
            shares[n].add(along_one)
            shares[m].add(along_other)
    pieces: list[Segment] = []
    for side, cuts in zip(sides, shares, strict=True):
        if cuts == {0.0, 1.0}:
            pieces.append(side)
            continue
        for low, high in itertools.pairwise(sorted(cuts)):
            if (high - low) * segment_length(side) > TINY:
                pieces.append(piece_of(side, low, high))
    return pieces


def _chained(pieces: list[Segment]) -> list[Outline]:
    """Loops of pieces that meet; a tiny leftover piece may form a loop with no area."""
    left = list(pieces)
    loops: list[Outline] = []
    while left:
        loop = [left.pop(0)]
        while math.dist(loop[0].start, loop[-1].end) > SAME:
            end = loop[-1].end
            nearest = min(left, key=lambda s: math.dist(s.start, end), default=None)
            if nearest is None or math.dist(nearest.start, end) > SAME:
                raise GeometryError(
                    tr("this outline cannot be offset: it crosses or touches itself")
                )
            left.remove(nearest)
            loop.append(nearest)
        loops.append(tuple(loop))
    return loops
