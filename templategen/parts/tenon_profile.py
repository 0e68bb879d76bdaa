"""Tenon profile: the notch of a tenon ring as a gauge of its own, on request."""

from collections.abc import Sequence

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.labels import LEADING, JobLabel, block, job_label
from templategen.parts.lettering import balanced
from templategen.parts.style import PrintStyle
from templategen.parts.tenon_ring import TenonSizes, sizes_used
from templategen.trade.part_kinds import PartKind

LIP = 12.0  # mm that the gauge reaches over the end face
ROOM = 62.0  # mm for the wording
ABOVE = 5.0  # mm of gauge over the end face at least


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One gauge for each set of jaws and tenon length that the plan uses."""
    return _gauges(sizes_used(plan), plan.job.tenon.shoulder, job_label(plan, style), style)


def _gauges(
    tenons: Sequence[TenonSizes], shoulder: float, label: JobLabel, style: PrintStyle
) -> tuple[Part, ...]:
    return tuple(_gauge(t, shoulder, n, label, style) for n, t in enumerate(tenons, start=1))


def _gauge(
    tenon: TenonSizes, shoulder: float, number: int, label: JobLabel, style: PrintStyle
) -> Part:
    """The gauge lies in the half section: y along the axis, the shoulder at y = 0.

    The tenon stands to its left and is widest at its end face; its neck, at the shoulder, is the
    origin.
    """
    jaws = tenon.jaws
    flare = (tenon.closed - tenon.neck) / 2
    title = style.say("Tenon profile, jaws {jaws}", jaws=jaws.id)
    rows = _rows([title, *_phrases(tenon, shoulder, style)], label)
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
    return Part(
        kind=PartKind.TENON_PROFILE,
        key=f"tenon-profile-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )


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


def _rows(phrases: Sequence[str], label: JobLabel) -> list[str]:
    """The wording in rows, and the job's label where it has one."""
    rows = [
        row
        for n, phrase in enumerate(phrases)
        for row in balanced(phrase, width=ROOM, size=BODY, bold=n == 0)
    ]
    job = label.fitted(ROOM)
    return [*rows, job] if job else rows
