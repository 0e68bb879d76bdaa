"""A small picture of the nest: the whole section with the bowls' numbers, to look at only."""

from templategen.geometry.shapes import Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.drawing import Anchor, Drawing, Item, Role, Text, arc_path, line, polyline
from templategen.parts.edges import inner_edge, outer_edge

LETTER = 0.05  # of the blank's diameter: still read when the picture is 60 mm wide
LEAST = 0.7  # of the room between two lines, for a number to stand there


def nest_picture(plan: Plan) -> Drawing:
    """Both halves of the section, mm: x from the axis, the face at the top.

    Args:
        plan: with at least one bowl.
    """
    rim = plan.bowls[0].rim_diameter / 2
    half: list[Item] = [polyline([(r, -z) for r, z in plan.outside], role=Role.MARK)]
    for cut in plan.cuts:
        half += [arc_path(edge(cut), role=Role.MARK) for edge in (outer_edge, inner_edge)]
    right = Drawing(items=tuple(half))
    left = right.moved(Transform.scale(-1.0, 1.0))
    size = LETTER * 2 * rim
    extra: list[Item] = [line(-rim, 0, rim, 0)]
    for bowl in plan.bowls:
        inner = plan.cut_in(bowl)
        top = 0.0 if inner is None else inner.deepest
        own = min(size, LEAST * (bowl.depth - top))
        at = Point(0.0, -(top + bowl.depth) / 2 - 0.36 * own)
        extra.append(Text(text=str(bowl.number), at=at, size=own, anchor=Anchor.MIDDLE))
    return right + left + Drawing(items=tuple(extra))
