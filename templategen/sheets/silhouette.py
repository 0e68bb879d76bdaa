"""What a part covers of a page, in cells, so that small parts may lie in the holes of large."""

import functools
import math
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Line, Point
from templategen.parts.drawing import Drawing, Role

CELL = 2.0  # mm: side of a cell; finer cells save no page of the examples and cost four times


@dataclass(frozen=True, slots=True, kw_only=True)
class Silhouette:
    """Which cells a shape covers.

    Args:
        rows: the top row first; bit n of a row is column n from the left.
        columns: how many columns the shape spans.
    """

    rows: tuple[int, ...]
    columns: int

    @property
    def cells(self) -> int:
        """How many cells are covered."""
        return sum(row.bit_count() for row in self.rows)

    def turned(self) -> "Silhouette":
        """A quarter turn anticlockwise.

        >>> Silhouette(rows=(0b011, 0b001), columns=3).turned()
        Silhouette(rows=(0, 1, 3), columns=2)
        """
        lines = [format(row, f"0{self.columns}b") for row in self.rows]
        turned = tuple(int("".join(reversed(column)), 2) for column in zip(*lines, strict=True))
        return Silhouette(rows=turned, columns=len(self.rows))

    def grown(self, by: int) -> "Silhouette":
        """Every covered cell also covers `by` cells to its right and below: a gap to the next."""
        wide = [
            functools.reduce(int.__or__, (row << n for n in range(by + 1))) for row in self.rows
        ]
        wide += [0] * by
        rows = tuple(
            functools.reduce(int.__or__, wide[max(0, n - by) : n + 1]) for n in range(len(wide))
        )
        return Silhouette(rows=rows, columns=self.columns + by)


def cells_for(length: float) -> int:
    """How many cells a length in mm needs."""
    return max(1, math.ceil(length / CELL - 1e-9))


def solid(width: float, height: float) -> Silhouette:
    """A full rectangle, mm."""
    columns = cells_for(width)
    return Silhouette(rows=((1 << columns) - 1,) * cells_for(height), columns=columns)


def samples(drawing: Drawing, *roles: Role, step: float = 1.0) -> list[Point]:
    """Points along the paths of the roles (of all, if none is given), `step` mm apart or less."""
    return [p for path in drawing.paths(*roles) for p in _along(path.segments, step)]


def _along(segments: tuple[Line | Arc, ...], step: float) -> list[Point]:
    points: list[Point] = []
    for segment in segments:
        match segment:
            case Line(start, end):
                count = max(1, math.ceil(math.dist(start, end) / step))
                dx, dy = (end.x - start.x) / count, (end.y - start.y) / count
                points += [Point(start.x + dx * n, start.y + dy * n) for n in range(count + 1)]
            case Arc():
                count = max(8, math.ceil(abs(segment.sweep) * segment.radius / step))
                turn = segment.sweep / count
                points += [segment.at(segment.from_angle + turn * n) for n in range(count + 1)]
    return points


def silhouette(drawing: Drawing, box: Box) -> Silhouette:
    """What a drawing covers of a box: its ink, its wording, and the material inside its cut lines.

    A hole cut out of a closed outline is free. A drawing without a closed cut line covers whatever
    lies between its ink both across and down. The cells are centred on the box.
    """
    columns, count = cells_for(box.width), cells_for(box.height)
    left = box.left - (columns * CELL - box.width) / 2
    top = box.top + (count * CELL - box.height) / 2
    rows = [0] * count
    crossings: list[list[float]] = [[] for _ in range(count)]
    closed = False

    def cover(x0: float, x1: float, row: int) -> None:
        first, last = max(0, int((x0 - left) / CELL)), min(columns - 1, int((x1 - left) / CELL))
        if first <= last and x1 >= box.left and x0 <= box.right:
            rows[row] |= (1 << (last + 1)) - (1 << first)

    for path in drawing.paths():
        points = _along(path.segments, CELL)
        for x, y in points:
            if box.left <= x <= box.right and box.bottom <= y <= box.top:
                rows[min(count - 1, int((top - y) / CELL))] |= 1 << min(
                    columns - 1, int((x - left) / CELL)
                )
        if path.closed and path.role is Role.CUT:
            closed = True
            x0, y0 = points[-1]
            for x1, y1 in points:
                low, high = (y0, y1) if y0 < y1 else (y1, y0)
                # Row n is crossed where its middle, top - (n + ½) cells, lies in (low, high].
                first = max(0, math.ceil((top - high) / CELL - 0.5))
                last = min(count - 1, math.ceil((top - low) / CELL - 0.5) - 1)
                for row in range(first, last + 1):
                    y = top - (row + 0.5) * CELL
                    crossings[row].append(x0 + (x1 - x0) * (y - y0) / (y1 - y0))
                x0, y0 = x1, y1
    for row, xs in enumerate(crossings):
        xs.sort()
        for x0, x1 in zip(xs[::2], xs[1::2], strict=False):
            cover(x0, x1, row)
    for text in drawing.texts():
        words = text.bounds()
        first = max(0, int((top - words.top) / CELL))
        for row in range(first, min(count, int((top - words.bottom) / CELL) + 1)):
            cover(words.left, words.right, row)
    if not closed:
        rows = _between(rows)
    return Silhouette(rows=tuple(rows), columns=columns)


def _between(rows: list[int]) -> list[int]:
    """The cells that have a covered cell on either side both across and down, or are covered."""
    above = list(rows)
    for n in range(1, len(rows)):
        above[n] |= above[n - 1]
    below = list(rows)
    for n in range(len(rows) - 2, -1, -1):
        below[n] |= below[n + 1]
    filled = []
    for row, over, under in zip(rows, above, below, strict=True):
        across = (1 << row.bit_length()) - (row & -row) if row else 0
        filled.append(row | (across & over & under))
    return filled
