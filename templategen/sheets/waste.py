"""Light hatching on the waste side of cut lines, so that nobody cuts on the wrong side.

A band beside the line, drawn as a wide line in short dashes: ticks square to the cut line, for the
bytes of one more line.
"""

import functools
import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.offset import is_inside, signed_area
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment
from templategen.parts.drawing import Drawing, Path, Role
from templategen.sheets.silhouette import Floats, sampled

STEP = 2.0  # mm along a cut line between the points that are looked at
NEAR, FAR = 0.4, 1.6  # mm from the cut line to both ends of a tick; parts lie 4 mm apart
CLEAR = 1.1  # mm from the far end of a tick to any line
SHORTEST = 4.0  # mm of a band
AT_ONCE = 32  # points of a cut line that are looked at together


@functools.lru_cache(maxsize=32)
def hatching(drawing: Drawing) -> Drawing:
    """Bands along the waste side of the closed cut lines of a part, in the frame of the part.

    Outside outer lines, inside those of holes; none over wording or near another line. Each is a
    dashed path as wide as its ticks are long.
    """
    closed = [path for path in drawing.paths(Role.CUT) if path.closed]
    if not closed:
        return Drawing(items=())
    ink = np.stack(sampled(drawing), axis=1)
    ink = ink[np.argsort(ink[:, 0], kind="stable")]
    words = [text.bounds().grown(0.4) for text in drawing.texts()]
    items: list[Path] = []
    for path in closed:
        start = path.segments[0].start
        holds = [is_inside(start, other.segments) for other in closed if other is not path]
        side = math.copysign(1.0, signed_area(path.segments)) * (-1.0) ** sum(holds)
        for segment in path.segments:
            points, normals = _stations(segment)
            is_free = _free(points, side * normals, ink, words)
            items += [
                Path(segments=(band,), role=Role.NOTE, dashed=True, width=FAR - NEAR)
                for band in _bands(segment, side * (NEAR + FAR) / 2, is_free)
            ]
    return Drawing(items=tuple(items))


def _free(points: Floats, outward: Floats, ink: Floats, words: Sequence[Box]) -> NDArray[np.bool_]:
    """At which points of a cut line a tick touches nothing."""
    ends = points + outward * FAR
    free = _clear(ends, ink)
    for box in words:
        x, y = ends.T
        free &= ~((box.left <= x) & (x <= box.right) & (box.bottom <= y) & (y <= box.top))
    return free


def _bands(segment: Segment, off: float, is_free: NDArray[np.bool_]) -> Iterator[Segment]:
    """The free stretches of a segment, moved to its right by `off` mm."""
    count = len(is_free)
    for free, run in itertools.groupby(range(count), key=lambda n: bool(is_free[n])):
        places = list(run)
        first, last = places[0] / count, (places[-1] + 1) / count
        if not free:
            continue
        match segment:
            case Line(start, end):
                length = math.dist(start, end)
                if length * (last - first) < SHORTEST:
                    continue
                dx, dy = (end.x - start.x), (end.y - start.y)
                x, y = start.x + dy / length * off, start.y - dx / length * off
                yield Line(
                    Point(x + dx * first, y + dy * first), Point(x + dx * last, y + dy * last)
                )
            case Arc():
                radius = segment.radius + math.copysign(off, off * segment.sweep)
                if radius * abs(segment.sweep) * (last - first) < SHORTEST or radius < FAR:
                    continue
                yield Arc(
                    centre=segment.centre,
                    radius=radius,
                    from_angle=segment.from_angle + segment.sweep * first,
                    sweep=segment.sweep * (last - first),
                )


def within(drawing: Drawing, window: Box) -> Drawing:
    """The paths of a drawing that reach into a window."""
    return Drawing(items=tuple(i for i in drawing.items if i.bounds().meets(window)))


def _stations(segment: Segment) -> tuple[Floats, Floats]:
    """Points along a segment, in the middle of like stretches, and the normals to its right."""
    match segment:
        case Line(start, end):
            length = math.dist(start, end)
            count = max(1, round(length / STEP))
            t = ((np.arange(count) + 0.5) / count)[:, None]
            at = np.array(start) + t * (np.array(end) - np.array(start))
            right = np.array([end.y - start.y, start.x - end.x]) / max(length, 1e-9)
            return at, np.broadcast_to(right, at.shape)
        case Arc():
            count = max(1, round(abs(segment.sweep) * segment.radius / STEP))
            angle = segment.from_angle + segment.sweep * (np.arange(count) + 0.5) / count
            ray = np.stack([np.cos(angle), np.sin(angle)], axis=1)
            at = np.array(segment.centre) + segment.radius * ray
            return at, ray * math.copysign(1.0, segment.sweep)


def _clear(points: Floats, ink: Floats) -> NDArray[np.bool_]:
    """Which points keep clear of all ink, which is sorted by its x."""
    found = np.ones(len(points), dtype=np.bool_)
    for start in range(0, len(points), AT_ONCE):
        some = points[start : start + AT_ONCE]
        (left, low), (right, high) = some.min(axis=0) - CLEAR, some.max(axis=0) + CLEAR
        near = ink[np.searchsorted(ink[:, 0], left) : np.searchsorted(ink[:, 0], right)]
        near = near[(low < near[:, 1]) & (near[:, 1] < high)]
        apart = some[:, None, :] - near
        squares = apart[..., 0] ** 2 + apart[..., 1] ** 2
        found[start : start + AT_ONCE] = ~(squares < CLEAR * CLEAR).any(axis=1)
    return found
