"""What a part covers of a page, in cells, so that small parts may lie in the holes of large."""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.shapes import Arc, Box, Line
from templategen.parts.drawing import Drawing, Role

CELL = 2.0  # mm: side of a cell; finer cells save no page of the examples and cost four times

Place = tuple[float, float]
Floats = NDArray[np.float64]
Rows = NDArray[np.int64]
Cells = NDArray[np.bool_]  # by row and column
Columns = tuple[Floats, Floats]  # x and y of points, mm


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
        return sum(map(int.bit_count, self.rows))

    def turned(self) -> "Silhouette":
        """A quarter turn anticlockwise.

        >>> Silhouette(rows=(0b011, 0b001), columns=3).turned()
        Silhouette(rows=(0, 1, 3), columns=2)
        """
        lines = "".join([format(row, f"0{self.columns}b") for row in reversed(self.rows)])
        turned = tuple([int(lines[n :: self.columns], 2) for n in range(self.columns)])
        return Silhouette(rows=turned, columns=len(self.rows))

    def grown(self, by: int) -> "Silhouette":
        """Every covered cell also covers `by` cells to its right and below: a gap to the next."""
        wide = list(self.rows)
        for n in range(1, by + 1):
            wide = [grown | row << n for grown, row in zip(wide, self.rows, strict=True)]
        wide += [0] * by
        rows = list(wide)
        for n in range(1, by + 1):
            rows[n:] = [row | above for row, above in zip(rows[n:], wide, strict=False)]
        return Silhouette(rows=tuple(rows), columns=self.columns + by)


def cells_for(length: float, cell: float = CELL) -> int:
    """How many cells of a side a length needs, both in mm."""
    return max(1, math.ceil(length / cell - 1e-9))


def solid(width: float, height: float) -> Silhouette:
    """A full rectangle, mm."""
    columns = cells_for(width)
    return Silhouette(rows=((1 << columns) - 1,) * cells_for(height), columns=columns)


def sampled(drawing: Drawing, *roles: Role, step: float = 1.0) -> Columns:
    """Points along the paths of the roles (of all, if none is given), `step` mm apart or less."""
    points = [p for path in drawing.paths(*roles) for p in _along(path.segments, step)]
    return _columns(points)


def points_within(points: Columns, box: Box) -> Columns:
    """The points that lie in a box or on its edge."""
    xs, ys = points
    seen = (box.left <= xs) & (xs <= box.right) & (box.bottom <= ys) & (ys <= box.top)
    return xs[seen], ys[seen]


def _columns(points: list[Place]) -> Columns:
    both = np.array(points, dtype=np.float64).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def _along(segments: tuple[Line | Arc, ...], step: float) -> list[Place]:
    points: list[Place] = []
    for segment in segments:
        match segment:
            case Line(start, end):
                (x, y), (x1, y1) = start, end
                count = max(1, math.ceil(math.dist(start, end) / step))
                dx, dy = (x1 - x) / count, (y1 - y) / count
                points += [(x + dx * n, y + dy * n) for n in range(count + 1)]
            case Arc():
                points += _arc_points(segment, step)
    return points


@functools.lru_cache(maxsize=1024)
def _arc_points(arc: Arc, step: float) -> list[Place]:
    """Points along an arc; the list is cached, so callers must not change it."""
    count = max(8, math.ceil(abs(arc.sweep) * arc.radius / step))
    (x, y), radius, first, turn = arc.centre, arc.radius, arc.from_angle, arc.sweep / count
    angles = [first + turn * n for n in range(count + 1)]
    return [(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells over a box.

    Args:
        box: what is looked at, mm.
        left: of the first column, mm.
        top: of the first row, mm.
        columns: how many there are.
        rows: how many there are.
        cell: side of a cell, mm.
    """

    box: Box
    left: float
    top: float
    columns: int
    rows: int
    cell: float

    def touched(self, xs: Floats, ys: Floats) -> Cells:
        """The cells that hold points of the box."""
        xs, ys = points_within((xs, ys), self.box)
        row = np.minimum(self.rows - 1, ((self.top - ys) / self.cell).astype(np.int64))
        column = np.minimum(self.columns - 1, ((xs - self.left) / self.cell).astype(np.int64))
        cells = np.zeros((self.rows, self.columns), dtype=np.bool_)
        cells[row, column] = True
        return cells

    def inside(self, xs: Floats, ys: Floats, outlines: Sequence[tuple[int, int]]) -> Cells:
        """The cells inside closed lines, by even and odd, along the middle of each row.

        Args:
            xs: of all points, mm.
            ys: of all points, mm.
            outlines: the first point of each line, and the one after its last.
        """
        ends = np.concatenate([np.arange(first, last) for first, last in outlines])
        starts = np.concatenate(
            [np.concatenate(([last - 1], np.arange(first, last - 1))) for first, last in outlines]
        )
        x0, y0, x1, y1 = xs[starts], ys[starts], xs[ends], ys[ends]
        low, high = np.minimum(y0, y1), np.maximum(y0, y1)
        # Row n is crossed where its middle, top - (n + ½) cells, lies in (low, high].
        first = np.ceil((self.top - high) / self.cell - 0.5).astype(np.int64)
        last = np.ceil((self.top - low) / self.cell - 0.5).astype(np.int64) - 1
        first, last = np.maximum(0, first), np.minimum(self.rows - 1, last)
        rows = np.maximum(0, last - first + 1)
        side = np.repeat(np.arange(len(rows)), rows)
        row = first[side] + np.arange(len(side)) - np.repeat(np.cumsum(rows) - rows, rows)
        y = self.top - (row + 0.5) * self.cell
        x0, y0, x1, y1 = x0[side], y0[side], x1[side], y1[side]
        x = x0 + (x1 - x0) * (y - y0) / (y1 - y0)
        order = np.lexsort((x, row))
        row, x = row[order], x[order]
        # In each row the crossings go in pairs; one left over counts for nothing.
        place = np.arange(len(row)) - np.searchsorted(row, row)
        begins = np.flatnonzero((place[:-1] % 2 == 0) & (row[:-1] == row[1:]))
        return self.covered(row[begins], x[begins], x[begins + 1])

    def covered(self, row: Rows, x0: Floats, x1: Floats) -> Cells:
        """The cells from x0 to x1, mm, in the rows: one run for each entry."""
        first = np.maximum(0, ((x0 - self.left) / self.cell).astype(np.int64))
        last = np.minimum(self.columns - 1, ((x1 - self.left) / self.cell).astype(np.int64))
        met = (first <= last) & (x1 >= self.box.left) & (x0 <= self.box.right)
        # Difference array: +1 at the start of a run, -1 after its end.
        steps = np.zeros((self.rows, self.columns + 1), dtype=np.int32)
        np.add.at(steps, (row[met], first[met]), 1)
        np.add.at(steps, (row[met], last[met] + 1), -1)
        return np.cumsum(steps[:, :-1], axis=1) > 0

    def rows_of(self, box: Box) -> range:
        """The rows that a box lies in."""
        first = max(0, int((self.top - box.top) / self.cell))
        return range(first, min(self.rows, int((self.top - box.bottom) / self.cell) + 1))


def packed_rows(cells: Cells) -> list[int]:
    """The rows of cells as the bits of numbers, see `Silhouette`."""
    packed = np.packbits(cells, axis=1, bitorder="little")
    return [int.from_bytes(row.tobytes(), "little") for row in packed]


def silhouette(drawing: Drawing, box: Box) -> Silhouette:
    """What a drawing covers of a box: its ink, its wording, and the material inside its cut lines.

    A hole cut out of a closed outline is free. A drawing without a closed cut line covers whatever
    lies between its ink both across and down. The cells are centred on the box.
    """
    columns, rows = cells_for(box.width), cells_for(box.height)
    left, top = (
        box.left - (columns * CELL - box.width) / 2,
        box.top + (rows * CELL - box.height) / 2,
    )
    grid = Grid(box=box, left=left, top=top, columns=columns, rows=rows, cell=CELL)
    ink: list[Place] = []
    outlines: list[tuple[int, int]] = []  # of closed cut lines
    for path in drawing.paths():
        first = len(ink)
        ink += _along(path.segments, CELL)
        if path.closed and path.role is Role.CUT:
            outlines.append((first, len(ink)))
    xs, ys = _columns(ink)
    cells = grid.touched(xs, ys)
    if outlines:
        cells |= grid.inside(xs, ys, outlines)
    words = [text.bounds() for text in drawing.texts()]
    spans = [(row, text.left, text.right) for text in words for row in grid.rows_of(text)]
    if spans:
        row_, x0, x1 = np.array(spans, dtype=np.float64).T
        cells |= grid.covered(row_.astype(np.int64), x0, x1)
    lines = packed_rows(cells) if outlines else _between(packed_rows(cells))
    return Silhouette(rows=tuple(lines), columns=columns)


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
