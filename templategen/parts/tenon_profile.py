"""Tenon profile: a notch gauge for the shoulder, the length and the dovetail of a tenon."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.labels import LEADING, JobLabel, block, flag_rows, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import tenon_length_limit
from templategen.trade.records import Jaws, Shop

LIP = 14.0  # mm that the gauge reaches over the end face
ROOM = 76.0  # mm for the wording
WIDEST = 96.0  # mm for the widest wording


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One gauge for each set of jaws and tenon length that the plan uses."""
    used = {(b.jaws.id, b.tenon_length): b.jaws for b in plan.bowls if b.jaws}
    sizes = [_Tenon(jaws, length, plan.job.tenon.shoulder) for (_, length), jaws in used.items()]
    return _gauges(sizes, job_label(plan, style), style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """One gauge for each set of the shop's jaws.

    The tenon is as long as the shop's jobs ask by default and the jaws take.
    """
    usual = shop.rules.tenon_of(shop.units)
    sizes = [
        _Tenon(jaws, min(usual.length, tenon_length_limit(jaws)), usual.shoulder)
        for jaws in shop.jaws
    ]
    return _gauges(sizes, label, style)


@dataclass(frozen=True, slots=True)
class _Tenon:
    """A tenon in its jaws: its length and the flat beside it, mm."""

    jaws: Jaws
    length: float
    shoulder: float


def _gauges(tenons: Sequence[_Tenon], label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    return tuple(_gauge(tenon, n, label, style) for n, tenon in enumerate(tenons, start=1))


def _gauge(tenon: _Tenon, number: int, label: JobLabel, style: PrintStyle) -> Part:
    """The gauge lies in the half section: y along the axis, the shoulder at y = 0.

    The tenon stands to its left and is widest at its end face, where the tenon ring measures it;
    its root at the shoulder is the origin.
    """
    jaws = tenon.jaws
    flare = tenon.length * math.tan(math.radians(jaws.dovetail_angle))
    title = style.say("Tenon profile, jaws {jaws}", jaws=jaws.id)
    phrases = [
        title,
        style.say("cut on the line"),
        style.say("Ø {size} at the end face", size=style.length(jaws.true_circle)),
        style.say(
            "length {length}, dovetail {angle:g}°",
            length=style.length(tenon.length),
            angle=jaws.dovetail_angle,
        ),
        style.say("shoulder flat {width}, to the tick", width=style.length(tenon.shoulder)),
        style.say("dashed: jaw bottom, {rest} clear", rest=style.length(jaws.depth - tenon.length)),
    ]
    wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(phrases))
    room = min(max(wide, ROOM), WIDEST)
    lines = [*flag_rows(phrases, width=room), label.fitted(room)]
    left = flare + 5.0
    right = left + room + 4.0
    top = max(len(lines) * LEADING + 5.0, jaws.depth + 5.0)
    outline = polyline(
        (
            (0.0, 0.0),
            (right, 0.0),
            (right, top),
            (-LIP, top),
            (-LIP, tenon.length),
            (flare, tenon.length),
        ),
        closed=True,
    )
    items: list[Item] = [
        outline,
        line(-LIP, jaws.depth, flare + 2.0, jaws.depth, dashed=True),
        line(tenon.shoulder, 0.0, tenon.shoulder, 1.5),
        *block(lines, at=Point(left, top - 2.0 - 0.76 * BODY)),
    ]
    return Part(
        kind="tenon profile",
        key=f"tenon-profile-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )
