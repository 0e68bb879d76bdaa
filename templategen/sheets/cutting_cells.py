"""What a part covers of a cutting sheet, in cells: its material with half the gap round it."""

import itertools
import math
from collections.abc import Sequence

import numpy as np

from templategen.geometry.offset import Outline, is_inside, offset_outline, signed_area
from templategen.geometry.shapes import Arc, Box, Line, union
from templategen.parts.beam import outline_box
from templategen.sheets.silhouette import (
    Cells,
    Floats,
    Grid,
    Silhouette,
    cells_for,
    packed_rows,
)

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
    columns, rows = cells_for(box.width, cell), cells_for(box.height, cell)
    grid = Grid(box=box, left=box.left, top=box.top, columns=columns, rows=rows, cell=cell)
    cells = np.zeros((rows, columns), dtype=np.bool_)
    for group in grown:
        cells |= _covered(grid, group)
    return Silhouette(rows=tuple(packed_rows(cells)), columns=columns), box


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


def _covered(grid: Grid, outlines: Sequence[Outline]) -> Cells:
    """The cells on the outlines and those between them."""
    # Every point of an outline is at most half a step from one of these.
    runs = [outline_points(outline, grid.cell / SAMPLES) for outline in outlines]
    ends = list(itertools.accumulate(map(len, runs), initial=0))
    xs, ys = np.concatenate(runs).T
    cells = grid.inside(xs, ys, list(itertools.pairwise(ends)))
    near = NEAR * grid.cell
    for dx, dy in itertools.product((-near, near), repeat=2):
        cells |= grid.touched(xs + dx, ys + dy)
    return cells


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
