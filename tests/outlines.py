"""Outlines as shapely's polygons, which know nothing of how they were made, and points of ink."""

from collections.abc import Sequence

import shapely
from compare import as_polyline
from shapely.geometry import Polygon

from templategen.geometry.shapes import Point, Segment
from templategen.parts.beam import cut_outlines
from templategen.parts.drawing import Drawing, Role
from templategen.sheets.silhouette import sampled

FINE = 1e-4  # mm: the most that an arc may be off its chords


def points_of(outline: Sequence[Segment], *, fine: float = FINE) -> list[tuple[float, float]]:
    """Points along a closed outline, its arcs as chords."""
    return list(as_polyline(outline, max_gap=fine).coords)


def ink_points(drawing: Drawing, *roles: Role, step: float = 1.0) -> list[Point]:
    """Points along the paths of the roles (of all, if none is given), `step` mm apart or less."""
    return [
        Point(float(x), float(y)) for x, y in zip(*sampled(drawing, *roles, step=step), strict=True)
    ]


def material_of(drawing: Drawing, *, fine: float = FINE) -> shapely.Geometry:
    """What the cut lines of a drawing leave, holes left out."""
    rings = [Polygon(points_of(run, fine=fine)) for run in cut_outlines(drawing)[0]]
    rings.sort(key=lambda ring: -ring.area)
    material = rings[0]
    for ring in rings[1:]:
        material = material.symmetric_difference(ring)
    return material
