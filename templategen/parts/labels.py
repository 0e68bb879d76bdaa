"""Wording that every part carries."""

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Item, Text
from templategen.parts.lettering import shortened
from templategen.units import Units, printed_length

LEADING = BODY * 1.35  # mm from baseline to baseline


def length(value: float, units: Units) -> str:
    """A length as printed: tenths of a millimetre, or inches to 1/32 with thousandths."""
    return printed_length(value, units)


def job_line(plan: Plan, *, room: float | None = None) -> str:
    """Job title and date; in a `room` of so many mm the title is cut short, never the date."""
    title, date = plan.job.title, plan.job.date
    tail = f" · {date}" if title and date else date
    if room is None:
        return title + tail
    return shortened(title, width=room, size=BODY, tail=tail)


def block(lines: list[str], *, at: Point, bold_first: bool = True) -> list[Item]:
    """Lines of text below one another, the first baseline at the point."""
    return [
        Text(text=t, at=Point(at.x, at.y - n * LEADING), bold=bold_first and n == 0)
        for n, t in enumerate(lines)
    ]
