"""Cutter arc: a plate with the cutter's own convex edge, to check and set it by."""

import math

from templategen.geometry.shapes import Arc, Line, Point, circle
from templategen.inputs.records import Cutter
from templategen.nest.plan import Plan
from templategen.parts.drawing import Anchor, Drawing, Item, Part, Path, Role, Text, arc_path, line
from templategen.parts.labels import LEADING, length
from templategen.units import Units

SPAN = math.radians(70)  # of the plate


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One plate for each cutter that the plan uses (all of the shop's, if it uses none)."""
    used = {cut.cutter.id for cut in plan.cuts}
    cutters = [c for c in plan.shop.cutters if not used or c.id in used]
    return tuple(_plate(c, n, units) for n, c in enumerate(cutters, start=1))


def _plate(cutter: Cutter, number: int, units: Units) -> Part:
    radius, inner = cutter.radius, cutter.radius - cutter.kerf
    origin = Point(0.0, 0.0)
    low, _high = math.pi / 2 - SPAN / 2, math.pi / 2 + SPAN / 2
    edge = Arc(origin, radius, low, SPAN)
    foot = 7.0  # half width of the plate at the pivot
    right, left = edge.start, edge.end
    heel = Point(foot, -foot)
    toe = Point(-foot, -foot)
    outline = Path(
        segments=(edge, Line(left, toe), Line(toe, heel), Line(heel, right)), closed=True
    )
    items: list[Item] = [
        outline,
        arc_path(Arc(origin, inner, low + 0.02, SPAN - 0.04), role=Role.MARK, dashed=True),
        Path(segments=(circle(origin, 1.5),), role=Role.CUT, closed=True),
        line(-4, 0, 4, 0),
        line(0, -4, 0, 4),
    ]
    for step in range(-3, 4):
        angle = math.pi / 2 - math.radians(10 * step)
        tick = Arc(origin, inner - 4, angle, 0.1).start
        top = Arc(origin, inner, angle, 0.1).start
        items.append(line(tick.x, tick.y, top.x, top.y))
        at = Arc(origin, inner - 9, angle, 0.1).start
        items.append(
            Text(text=f"{abs(10 * step)}°", at=at, angle=angle - math.pi / 2, anchor=Anchor.MIDDLE)
        )
    lines = [
        f"Cutter {cutter.id}",
        f"R {length(radius, units)}",
        f"kerf {length(cutter.kerf, units)}",
        "cut on the line",
    ]
    for n, text in enumerate(lines):
        at = Point(0.0, inner - 18 - n * LEADING)
        items.append(Text(text=text, at=at, anchor=Anchor.MIDDLE, bold=n == 0))
    return Part(
        kind="cutter arc",
        key=f"cutter-arc-{number}",
        title=f"Cutter arc {cutter.id}",
        drawing=Drawing(items=tuple(items)),
    )
