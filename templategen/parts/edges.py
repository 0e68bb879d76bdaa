"""Edges of a cut as drawn: true arcs in the cutter's plane, x from the axis and y = -z, mm."""

import math

from templategen.geometry.shapes import Arc, Line, Point
from templategen.nest.plan import Cut
from templategen.parts.drawing import Path, Role, arc_path


def edge_arc(cut: Cut, radius: float, *, shift: float = 0.0) -> Arc:
    """An edge of a cut from the face to the axis.

    Args:
        cut: the cut.
        radius: of the outer or the inner edge, about the pivot, mm.
        shift: of the pivot towards the axis, for the relief cut, mm.
    """
    p, q = cut.pivot_offset - shift, cut.pivot_standoff
    start = -math.asin(q / radius)
    end = -math.acos(-p / radius)
    return Arc(Point(p, q), radius, start, end - start)


def outer_edge(cut: Cut) -> Arc:
    """The edge that the inside of the bowl keeps."""
    return edge_arc(cut, cut.cutter.radius)


def inner_edge(cut: Cut) -> Arc:
    """The edge that the outside of the next bowl keeps."""
    return edge_arc(cut, cut.cutter.inner_radius)


def innermost_edge(cut: Cut) -> Arc:
    """The inner edge of the relief cut, or of the cut itself where it has none."""
    shift = cut.relief.shift if cut.relief else 0.0
    return edge_arc(cut, cut.cutter.inner_radius, shift=shift)


def edge_marks(cut: Cut) -> list[Path]:
    """The inner edge and the relief step down to the relief's depth, dashed."""
    return [arc_path(inner_edge(cut), role=Role.MARK, dashed=True), *relief_marks(cut)]


def relief_marks(cut: Cut) -> list[Path]:
    """The relief step, dashed: the inner edge shifted towards the axis, down to its depth."""
    if cut.relief is None:
        return []
    whole = innermost_edge(cut)
    turn = math.asin(min(1.0, (cut.relief.depth + cut.pivot_standoff) / whole.radius))
    arc = Arc(whole.centre, whole.radius, whole.from_angle, -turn - whole.from_angle)
    foot = Line(arc.end, Point(arc.end.x + cut.relief.shift, arc.end.y))
    return [Path(segments=(arc, foot), role=Role.MARK, dashed=True)]
