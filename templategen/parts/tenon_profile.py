"""Tenon profile: a notch gauge for the shoulder, the length and the dovetail of a tenon."""

import math

from templategen.geometry.shapes import Point
from templategen.inputs.records import Jaws
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.labels import LEADING, block, job_line, length
from templategen.parts.lettering import shortened, text_width
from templategen.trade.jaws import tenon_length_limit
from templategen.units import Units

LIP = 14.0  # mm that the gauge reaches over the end face
ROOM = 76.0  # mm for the wording
WIDEST = 96.0  # mm for the widest wording


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One gauge for each set of jaws and tenon length that the plan uses.

    Without pieces: one for each set of the shop's jaws, the tenon as long as jobs ask by default
    and the jaws take.
    """
    used = {(p.jaws.id, p.tenon_length): p.jaws for p in plan.pieces if p.jaws}
    if not plan.pieces:
        wished = plan.job.tenon.length
        used = {(j.id, min(wished, tenon_length_limit(j))): j for j in plan.shop.jaws}
    return tuple(
        _gauge(plan, jaws, number, tenon_length, units)
        for number, ((_, tenon_length), jaws) in enumerate(used.items(), start=1)
    )


def _gauge(plan: Plan, jaws: Jaws, number: int, tenon_length: float, units: Units) -> Part:
    """The gauge lies in the half section: y along the axis, the shoulder at y = 0.

    The tenon stands to its left and is widest at its end face, where the tenon ring measures it;
    its root at the shoulder is the origin.
    """
    flare = tenon_length * math.tan(math.radians(jaws.dovetail_angle))
    lines = [
        f"Tenon profile, jaws {jaws.id}",
        "cut on the line",
        f"Ø {length(jaws.true_circle, units)} at the end face",
        f"length {length(tenon_length, units)}, dovetail {jaws.dovetail_angle:g}°",
        f"shoulder flat {length(plan.job.tenon.shoulder, units)}, to the tick",
        f"dashed: jaw bottom, {length(jaws.depth - tenon_length, units)} clear",
        "",
    ]
    wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(lines))
    room = min(max(wide, ROOM), WIDEST)
    lines = [shortened(t, width=room, size=BODY, bold=n == 0) for n, t in enumerate(lines)]
    lines[-1] = job_line(plan, room=room)
    left = flare + 5.0
    right = left + room + 4.0
    top = max(len(lines) * LEADING + 5.0, jaws.depth + 5.0)
    outline = polyline(
        (
            (0.0, 0.0),
            (right, 0.0),
            (right, top),
            (-LIP, top),
            (-LIP, tenon_length),
            (flare, tenon_length),
        ),
        closed=True,
    )
    items: list[Item] = [
        outline,
        line(-LIP, jaws.depth, flare + 2.0, jaws.depth, dashed=True),
        line(plan.job.tenon.shoulder, 0.0, plan.job.tenon.shoulder, 1.5),
        *block([t for t in lines if t], at=Point(left, top - 2.0 - 0.76 * BODY)),
    ]
    return Part(
        kind="tenon profile",
        key=f"tenon-profile-{number}",
        title=f"Tenon profile, jaws {jaws.id}",
        drawing=Drawing(items=tuple(items)),
    )
