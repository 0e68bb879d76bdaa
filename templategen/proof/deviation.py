"""Distances between lines of the model and lines that a PDF draws. Millimetres."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform
from templategen.parts.drawing import Path

CUBIC_STEPS = 8
Piece = tuple[Point, ...]  # a line as two points, a cubic Bézier curve as four


def segment_length(segment: Segment) -> float:
    """Distance between the ends of a segment, mm."""
    return math.dist(segment.start, segment.end)


def box_distance(one: Box, two: Box) -> float:
    """Greatest distance between like sides of two boxes, mm."""
    return max(abs(a - b) for a, b in zip(one, two, strict=True))


def mapped_box(box: Box, transform: Transform) -> Box:
    """The box round the corners of a box under a map."""
    corners = [transform.apply(Point(x, y)) for x in (box.left, box.right)
               for y in (box.bottom, box.top)]  # fmt: skip
    xs, ys = [p.x for p in corners], [p.y for p in corners]
    return Box(min(xs), min(ys), max(xs), max(ys))


def pieces_box(pieces: Sequence[Piece]) -> Box:
    """The box round lines and cubics, to about a thousandth of a cubic's length."""
    points = [p for piece in pieces for p in _along(piece)]
    xs, ys = [p.x for p in points], [p.y for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _along(piece: Piece, steps: int = CUBIC_STEPS) -> list[Point]:
    if len(piece) == 2:
        (x0, y0), (x1, y1) = piece
        return [piece[0], Point((x0 + x1) / 2, (y0 + y1) / 2), piece[1]]
    return [_cubic(piece, n / steps) for n in range(steps + 1)]


def _cubic(piece: Piece, t: float) -> Point:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = piece
    u = 1 - t
    a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
    return Point(a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3)


def _to_segment(point: Point, segment: Segment) -> float:
    match segment:
        case Line((x0, y0), (x1, y1)):
            dx, dy = x1 - x0, y1 - y0
            long = dx * dx + dy * dy
            t = ((point.x - x0) * dx + (point.y - y0) * dy) / long if long else 0.0
            t = min(1.0, max(0.0, t))
            return math.hypot(point.x - x0 - t * dx, point.y - y0 - t * dy)
        case Arc():
            dx, dy = point.x - segment.centre.x, point.y - segment.centre.y
            if not segment.is_circle:
                turn = math.atan2(dy, dx) - segment.from_angle
                turn = turn % math.tau if segment.sweep > 0 else -(-turn % math.tau)
                if abs(turn) > abs(segment.sweep):
                    return min(math.dist(point, segment.start), math.dist(point, segment.end))
            return abs(math.hypot(dx, dy) - segment.radius)


def _to_piece(point: Point, piece: Piece) -> float:
    if len(piece) == 2:
        return _to_segment(point, Line(piece[0], piece[1]))
    steps = CUBIC_STEPS
    best = min(range(steps + 1), key=lambda n: math.dist(point, _cubic(piece, n / steps)))
    low, high = max(0.0, (best - 1) / steps), min(1.0, (best + 1) / steps)
    for _ in range(40):
        one, two = low + (high - low) * 0.382, low + (high - low) * 0.618
        if math.dist(point, _cubic(piece, one)) <= math.dist(point, _cubic(piece, two)):
            high = two
        else:
            low = one
    return math.dist(point, _cubic(piece, (low + high) / 2))


def deviation(path: Path, pieces: Sequence[Piece]) -> float:
    """The greatest distance between a model path and a drawn one, both ways, mm.

    Points of every drawn piece are measured to the lines and arcs of the model, and points of
    these to the drawn pieces, so that a missing piece is found as well.
    """
    worst = 0.0
    for piece in pieces:
        for point in _along(piece):
            worst = max(worst, min(_to_segment(point, s) for s in path.segments))
    for segment in path.segments:
        for point in _sample_points(segment):
            near = sorted(
                pieces,
                key=lambda p: min(math.dist(point, q) for q in _along(p, 4)),
            )[:2]
            worst = max(worst, min(_to_piece(point, piece) for piece in near))
    return worst


def _sample_points(segment: Segment) -> list[Point]:
    """Points of a model segment that must be drawn: ends and middle, or every 45° or less."""
    match segment:
        case Line(start, end):
            return [start, Point((start.x + end.x) / 2, (start.y + end.y) / 2), end]
        case Arc():
            count = max(2, math.ceil(abs(segment.sweep) / (math.pi / 4)))
            turn = segment.sweep / count
            return [segment.at(segment.from_angle + turn * n) for n in range(count + 1)]


def hidden_width(line: Box, clip: Box, window: Box) -> float:
    """How much of a line a clip hides that its window would show, mm; 0 if none.

    Args:
        line: box round the line, page mm.
        clip: box that the line shows through in the file, page mm.
        window: box that it should show through, page mm.
    """
    cut = 0.0
    sides = (
        (clip.left - window.left, clip.left - line.left),
        (clip.bottom - window.bottom, clip.bottom - line.bottom),
        (window.right - clip.right, line.right - clip.right),
        (window.top - clip.top, line.top - clip.top),
    )
    for narrower, hides in sides:
        if narrower > 0 and hides > 0:
            cut = max(cut, min(narrower, hides))
    return cut
