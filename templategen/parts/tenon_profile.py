"""Tenon profile: a notch gauge for the shoulder, the length and the dovetail of a tenon."""

import math

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.labels import LEADING, block, flag_rows, job_line
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import tenon_length_limit
from templategen.trade.records import Jaws

LIP = 14.0  # mm that the gauge reaches over the end face
ROOM = 76.0  # mm for the wording
WIDEST = 96.0  # mm for the widest wording


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One gauge for each set of jaws and tenon length that the plan uses.

    Without pieces: one for each set of the shop's jaws, the tenon as long as jobs ask by default
    and the jaws take.
    """
    used = {(p.jaws.id, p.tenon_length): p.jaws for p in plan.bowls if p.jaws}
    if not plan.bowls:
        wished = plan.job.tenon.length
        used = {(j.id, min(wished, tenon_length_limit(j))): j for j in plan.shop.jaws}
    return tuple(
        _gauge(plan, jaws, number, tenon_length, style)
        for number, ((_, tenon_length), jaws) in enumerate(used.items(), start=1)
    )


def _gauge(plan: Plan, jaws: Jaws, number: int, tenon_length: float, style: PrintStyle) -> Part:
    """The gauge lies in the half section: y along the axis, the shoulder at y = 0.

    The tenon stands to its left and is widest at its end face, where the tenon ring measures it;
    its root at the shoulder is the origin.
    """
    flare = tenon_length * math.tan(math.radians(jaws.dovetail_angle))
    title = style.say("Tenon profile, jaws {jaws}", jaws=jaws.id)
    said = [
        title,
        style.say("cut on the line"),
        style.say("Ø {size} at the end face", size=style.length(jaws.true_circle)),
        style.say(
            "length {length}, dovetail {angle:g}°",
            length=style.length(tenon_length),
            angle=jaws.dovetail_angle,
        ),
        style.say(
            "shoulder flat {width}, to the tick", width=style.length(plan.job.tenon.shoulder)
        ),
        style.say("dashed: jaw bottom, {rest} clear", rest=style.length(jaws.depth - tenon_length)),
    ]
    wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(said))
    room = min(max(wide, ROOM), WIDEST)
    lines = [*flag_rows(said, width=room), job_line(plan, room=room)]
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
        title=title,
        drawing=Drawing(items=tuple(items)),
    )
