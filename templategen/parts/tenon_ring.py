"""Tenon rings: closed and widest size of the jaws, as a full ring and as a mouthed gauge."""

import math

from templategen.geometry.shapes import Arc, Line, Point, circle
from templategen.inputs.records import Jaws
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Path, Text, arc_path
from templategen.parts.labels import job_line, length
from templategen.parts.lettering import shortened
from templategen.trade.jaws import widest
from templategen.units import Units

BAND = 16.0  # mm of material round the hole


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """Four gauges for each set of jaws that the plan uses (all of the shop's, without pieces)."""
    parts: list[Part] = []
    jaws = {p.jaws.id: p.jaws for p in plan.pieces if p.jaws}
    if not plan.pieces:
        jaws = {j.id: j for j in plan.shop.jaws}
    for n, owned in enumerate(jaws.values(), start=1):
        sizes = (("closed", owned.true_circle), ("widest", widest(owned)))
        for name, diameter in sizes:
            for mouthed in (False, True):
                parts.append(_ring(plan, owned, n, name, diameter, units, mouthed=mouthed))
    return tuple(parts)


def _ring(
    plan: Plan, jaws: Jaws, number: int, name: str, diameter: float, units: Units, *, mouthed: bool
) -> Part:
    hole, outer = diameter / 2, diameter / 2 + BAND
    origin = Point(0.0, 0.0)
    items: list[Item] = []
    if mouthed:
        low = -hole * 0.35
        items.append(
            Path(
                segments=(
                    Line(Point(outer, low), Point(outer, 0.0)),
                    Arc(origin, outer, 0.0, math.pi),
                    Line(Point(-outer, 0.0), Point(-outer, low)),
                    Line(Point(-outer, low), Point(-hole, low)),
                    Line(Point(-hole, low), Point(-hole, 0.0)),
                    Arc(origin, hole, math.pi, -math.pi),
                    Line(Point(hole, 0.0), Point(hole, low)),
                    Line(Point(hole, low), Point(outer, low)),
                ),
                closed=True,
            )
        )
    else:
        items += [arc_path(circle(origin, outer)), arc_path(circle(origin, hole))]
    # The wording stands on the band, so that it stays on the gauge when the hole falls out.
    lines = (
        f"Ø {length(diameter, units)}",
        f"{jaws.id} {name}, cut on the line",
        "",
    )
    for n, text in enumerate(lines):
        at = Point(0.0, hole + 10.6 - n * 4.2)
        room = 2 * math.sqrt(outer**2 - (at.y + 0.76 * BODY) ** 2) - 3.0
        shown = text or job_line(plan, room=room)
        shown = shortened(shown, width=room, size=BODY, bold=n == 0)
        items.append(Text(text=shown, at=at, anchor=Anchor.MIDDLE, bold=n == 0))
    shape = "mouthed" if mouthed else "full"
    return Part(
        kind="tenon ring",
        key=f"tenon-ring-{number}-{name}-{shape}",
        title=f"Tenon ring {jaws.id}, {name}, {shape}",
        drawing=Drawing(items=tuple(items)),
    )
