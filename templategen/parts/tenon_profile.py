"""Tenon profile: the notch of a tenon ring as a gauge of its own, on request."""

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.columns import balanced_rows
from templategen.parts.drawing import BODY, Item, Part, line, part_of, polyline
from templategen.parts.labels import LEADING, JobLabel, block, job_label
from templategen.parts.style import PrintStyle
from templategen.parts.tenon_ring import TenonSizes, sizes_used
from templategen.trade.part_kinds import PartKind

LIP = 12.0  # mm that the gauge reaches over the end face
ROOM = 62.0  # mm for the wording
ABOVE = 5.0  # mm of gauge over the end face at least


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One gauge for each set of jaws and tenon length that the plan uses."""
    shoulder, label = plan.job.tenon.shoulder, job_label(plan, style)
    return tuple(
        _gauge(tenon, shoulder, number, label, style)
        for number, tenon in enumerate(sizes_used(plan), start=1)
    )


def _gauge(
    tenon: TenonSizes, shoulder: float, number: int, label: JobLabel, style: PrintStyle
) -> Part:
    """The gauge lies in the half section: y along the axis, the shoulder at y = 0.

    The tenon stands to its left and is widest at its end face; its neck, at the shoulder, is the
    origin.
    """
    jaws = tenon.jaws
    flare = tenon.flare
    title = style.say("Tenon profile, jaws {jaws}", jaws=jaws.id)
    phrases = [title, *_phrases(tenon, shoulder, style), label.fitted(ROOM)]
    rows = balanced_rows(phrases, width=ROOM)
    left = flare + 4.0
    right = max(left + ROOM + 3.0, shoulder + 3.0)
    top = max(len(rows) * LEADING + 5.0, jaws.depth + ABOVE)
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
        line(shoulder, 0.0, shoulder, 1.5),
        *block(rows, at=Point(left, top - 2.0 - 0.76 * BODY)),
    ]
    return part_of(PartKind.TENON_PROFILE, f"tenon-profile-{number}", title, items)


def _phrases(tenon: TenonSizes, shoulder: float, style: PrintStyle) -> list[str]:
    jaws = tenon.jaws
    return [
        style.say(
            "neck Ø {neck}, end Ø {end}",
            neck=style.length(tenon.neck),
            end=style.length(tenon.closed),
        ),
        style.say(
            "length {length}, dovetail {angle:g}°",
            length=style.length(tenon.length),
            angle=jaws.dovetail_angle,
        ),
        style.say("shoulder flat {width}, to the tick", width=style.length(shoulder)),
        style.say("dashed: jaw bottom, {rest} clear", rest=style.length(jaws.depth - tenon.length)),
        style.say("cut on the line"),
    ]
