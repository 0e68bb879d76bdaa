"""Wording that every part carries."""

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Item, Text
from templategen.units import Units, format_length

LEADING = BODY * 1.35  # mm from baseline to baseline


def length(value: float, units: Units) -> str:
    """A length as printed: tenths of a millimetre, or inches to 1/32."""
    return format_length(value, units, places=1, denominator=64)


def job_line(plan: Plan) -> str:
    """Job title and date."""
    return " · ".join(t for t in (plan.job.title, plan.job.date) if t)


def block(lines: list[str], *, at: Point, bold_first: bool = True) -> list[Item]:
    """Lines of text below one another, the first baseline at the point."""
    return [
        Text(text=t, at=Point(at.x, at.y - n * LEADING), bold=bold_first and n == 0)
        for n, t in enumerate(lines)
    ]
