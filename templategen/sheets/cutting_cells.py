"""What a part covers of a cutting sheet, in cells: its material with half the gap round it."""

import itertools
import math
from collections.abc import Sequence

import numpy as np

from templategen.geometry.offset import Outline, is_inside, offset_outline, signed_area
from templategen.geometry.shapes import Arc, Box, Line, union
from templategen.parts.beam import outline_box
from templategen.sheets.silhouette import Cells, Floats, Silhouette

SAMPLES = 8  # points of an outline for the side of a cell
NEAR = 0.5 / SAMPLES  # cells: half of a step between them


def covered_cells(
    contours: Sequence[Outline], *, room: float, cell: float
) -> tuple[Silhouette, Box]:
    """The cells that the material inside contours touches, grown by `room` on all sides.

    Shapes whose cells lie apart are at least twice `room` apart.

    Args:
        contours: closed, none crosses another; at least one.
        room: mm, more than 0.
        cell: side of a cell, mm.

    Returns: the cells, and the box whose top left they are laid from: that of the grown shape.

    Raises:
        GeometryError: a contour crosses itself.
    """
    grown = [_grown(outer, holes, room) for outer, holes in _plates(contours)]
    box = union([outline_box(outline) for group in grown for outline in group])
    columns, rows = _count(box.width, cell), _count(box.height, cell)
    cells = np.zeros((rows, columns), dtype=np.bool_)
    for group in grown:
        _cover(cells, group, box, cell)
    packed = np.packbits(cells, axis=1, bitorder="little")
    lines = tuple([int.from_bytes(line.tobytes(), "little") for line in packed])
    return Silhouette(rows=lines, columns=columns), box


def _count(length: float, cell: float) -> int:
    return max(1, math.ceil(length / cell - 1e-9))


def _plates(contours: Sequence[Outline]) -> list[tuple[Outline, list[Outline]]]:
    """Each outside with the holes right inside it."""
    depths = [
        sum(is_inside(one[0].start, other) for other in contours if other is not one)
        for one in contours
    ]
    plates = []
    for outer, depth in zip(contours, depths, strict=True):
        if depth % 2 == 0:
            holes = [
                hole
                for hole, deep in zip(contours, depths, strict=True)
                if deep == depth + 1 and is_inside(hole[0].start, outer)
            ]
            plates.append((outer, holes))
    return plates


def _grown(outer: Outline, holes: Sequence[Outline], room: float) -> list[Outline]:
    outlines = list(offset_outline(outer, room))  # bays that close are among them
    for hole in holes:
        outlines += offset_outline(hole, -room)
    return outlines


def _cover(cells: Cells, outlines: Sequence[Outline], box: Box, cell: float) -> None:
    """Marks the cells on the outlines and those between them."""
    rows, columns = cells.shape
    crossings: list[list[float]] = [[] for _ in range(rows)]
    for outline in outlines:
        # Every point of the outline is at most half a step from one of these.
        points = outline_points(outline, cell / SAMPLES)
        xs, ys = (points[:, 0] - box.left) / cell, (box.top - points[:, 1]) / cell
        for dx, dy in itertools.product((-NEAR, NEAR), repeat=2):
            row_of = np.clip((ys + dy).astype(int), 0, rows - 1)
            cells[row_of, np.clip((xs + dx).astype(int), 0, columns - 1)] = True
        xn, yn = np.roll(xs, -1), np.roll(ys, -1)
        # Row n is crossed where its middle, n + ½, lies between the ends of a short side.
        first = np.ceil(np.minimum(ys, yn) - 0.5)
        for k in np.flatnonzero(first < np.ceil(np.maximum(ys, yn) - 0.5)):
            row = int(first[k])
            if 0 <= row < rows:
                share = (row + 0.5 - ys[k]) / (yn[k] - ys[k])
                crossings[row].append(xs[k] + share * (xn[k] - xs[k]))
    for row, met in enumerate(crossings):
        met.sort()
        for x0, x1 in zip(met[::2], met[1::2], strict=False):
            cells[row, max(0, int(x0)) : min(columns, int(x1) + 1)] = True


def outline_points(outline: Outline, step: float) -> Floats:
    """Points along a closed outline, `step` or less apart, its last end left out."""
    runs = []
    for segment in outline:
        match segment:
            case Line(start, end):
                count = max(1, math.ceil(math.dist(start, end) / step))
                at = np.arange(count)[:, None] / count
                runs.append(np.array(start) + at * (np.array(end) - np.array(start)))
            case Arc(centre, radius, first, sweep):
                count = max(math.ceil(radius * abs(sweep) / step), 4)
                angles = first + sweep * np.arange(count) / count
                ring = np.stack((np.cos(angles), np.sin(angles)), axis=1)
                runs.append(np.array(centre) + radius * ring)
    return np.concatenate(runs)


def material_area(contours: Sequence[Outline]) -> float:
    """The area of the material inside contours, holes left out, mm²."""
    return sum(
        abs(signed_area(outer)) - sum(abs(signed_area(hole)) for hole in holes)
        for outer, holes in _plates(contours)
    )
