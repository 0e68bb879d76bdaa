"""Drawings made ready for machines that cut: whole contours in order, dashes as lines, no doubles.

A machine that cuts knows no dashes, hides nothing behind anything, and runs a line that is drawn
twice twice.
"""

import math
from collections.abc import Iterator, Sequence

from templategen.geometry.offset import (
    Outline,
    piece_of,
    segment_length,
    signed_area,
)
from templategen.geometry.shapes import Arc, Line, Segment
from templategen.parts.beam import closed_run, cut_outlines, lies_inside
from templategen.parts.drawing import Drawing, Path, Role, Text

DASH, DASH_GAP = 2.0, 1.2  # mm
NEAR = 0.001  # mm: lines this near run over one another
SHORTEST = 0.05  # mm: what is left of a line beside another is not drawn if it is shorter
WHITE = 0.99  # grey of an inside that only hides


def machine_drawing(drawings: Sequence[Drawing]) -> Drawing:
    """One drawing of several, in the order in which a machine should run it.

    First wording and notes, then marks, then the contours to cut: each after all that lies inside
    it, so that nothing is cut in a piece that has dropped out. Dashes are lines of their own, an
    inside is shown by its outline, and of lines that run over one another one is kept: the one to
    cut before the mark, the mark before the note.

    Args:
        drawings: full size, in one frame; they do not overlap.
    """
    texts: list[Text] = []
    lines: dict[Role, list[Path]] = {Role.NOTE: [], Role.MARK: []}
    contours: list[Outline] = []
    loose: list[Outline] = []
    for drawing in drawings:
        texts += drawing.texts()
        whole, left = cut_outlines(drawing)
        contours += whole
        loose += left
        taken = [segment for run in (*whole, *left) for segment in run]
        for role in (Role.MARK, Role.NOTE):
            for path in drawing.paths(role):
                lines[role] += _drawn_once(path, taken)
    cuts = [Path(segments=run) for run in loose]
    cuts += [Path(segments=run, closed=True) for run in inner_first(contours)]
    return Drawing(items=(*texts, *lines[Role.NOTE], *lines[Role.MARK], *cuts))


def inner_first(contours: Sequence[Outline]) -> list[Outline]:
    """Closed contours that do not cross, each after those inside it, else in the given order."""
    sizes = [abs(signed_area(contour)) for contour in contours]
    inside: list[list[int]] = [[] for _ in contours]
    outermost: list[int] = []
    for n, contour in enumerate(contours):
        around = [
            m
            for m, other in enumerate(contours)
            if sizes[m] > sizes[n] and lies_inside(contour, other)
        ]
        (inside[min(around, key=sizes.__getitem__)] if around else outermost).append(n)

    def run(numbers: list[int]) -> Iterator[int]:
        for n in numbers:
            yield from run(inside[n])
            yield n

    return [contours[n] for n in run(outermost)]


def _drawn_once(path: Path, taken: list[Segment]) -> Iterator[Path]:
    """What of a path lies on none of the lines taken, which it is added to."""
    if path.line_width <= 0 and (path.fill is None or path.fill > WHITE):
        return
    segments = closed_run(path)
    for piece in _dashes(segments) if path.dashed else [segments]:
        run: list[Segment] = []
        for segment in piece:
            for part in uncovered(segment, taken):
                if run and math.dist(run[-1].end, part.start) > NEAR:
                    yield Path(segments=tuple(run), role=path.role)
                    run = []
                run.append(part)
        taken += piece
        if run:
            closed = math.dist(run[-1].end, run[0].start) < NEAR
            yield Path(segments=tuple(run), role=path.role, closed=closed)


def _dashes(segments: Outline) -> Iterator[Outline]:
    """The dashes of a run of segments; the pattern goes on round its corners."""
    left, drawn = DASH, True
    run: list[Segment] = []
    for segment in segments:
        length = segment_length(segment)
        at = 0.0
        while length - at > left:
            if drawn:
                run.append(piece_of(segment, at / length, (at + left) / length))
                yield tuple(run)
                run = []
            at += left
            drawn = not drawn
            left = DASH if drawn else DASH_GAP
        if length - at > SHORTEST:
            if drawn:
                run.append(piece_of(segment, at / length, 1.0))
            left -= length - at
    if run:
        yield tuple(run)


def uncovered(segment: Segment, others: Sequence[Segment]) -> list[Segment]:
    """The pieces of a segment that run over none of the others."""
    length = segment_length(segment)
    if length < SHORTEST:
        return []
    spans = sorted(span for other in others for span in _shared(segment, other))
    if not spans:
        return [segment]
    pieces = []
    at = 0.0
    for low, high in [*spans, (1.0, 1.0)]:
        if (low - at) * length > SHORTEST:
            pieces.append(piece_of(segment, at, min(low, 1.0)))
        at = max(at, high)
    return pieces


def _shared(one: Segment, other: Segment) -> list[tuple[float, float]]:
    """Where a segment runs over another, as shares of its length."""
    match one, other:
        case Line(), Line():
            return _shared_by_lines(one, other)
        case Arc(), Arc():
            return _shared_by_arcs(one, other)
        case _:
            return []


def _shared_by_lines(one: Line, other: Line) -> list[tuple[float, float]]:
    (x, y), length = one.start, math.dist(one.start, one.end)
    ux, uy = (one.end.x - x) / length, (one.end.y - y) / length
    along = []
    for px, py in (other.start, other.end):
        if abs((px - x) * uy - (py - y) * ux) > NEAR:
            return []
        along.append(((px - x) * ux + (py - y) * uy) / length)
    return _within(min(along), max(along))


def _shared_by_arcs(one: Arc, other: Arc) -> list[tuple[float, float]]:
    if math.dist(one.centre, other.centre) > NEAR or abs(one.radius - other.radius) > NEAR:
        return []
    way = math.copysign(1.0, one.sweep)
    first = other.from_angle if other.sweep * way > 0 else other.from_angle + other.sweep
    turn = 2 * math.pi
    begin = ((first - one.from_angle) * way) % turn
    spans = [(begin + n * turn, begin + n * turn + abs(other.sweep)) for n in (-1, 0)]
    wide = abs(one.sweep)
    return [span for low, high in spans for span in _within(low / wide, high / wide)]


def _within(low: float, high: float) -> list[tuple[float, float]]:
    low, high = max(0.0, low), min(1.0, high)
    return [(low, high)] if high > low else []
