"""Wording that tag and drying sheet share. Every figure is an estimate."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.holding import PieceFigures, mass_number, mass_text
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Item, Role, Text, rectangle
from templategen.parts.labels import length, lengths
from templategen.parts.lettering import text_width
from templategen.units import Units

BOX = 3.0  # mm, side of a box to tick


def wood_words(plan: Plan) -> str:
    """Species, with room for the date where the job gives none (else `job_line` tells it)."""
    wood = plan.job.blank.wood or ("own wood" if plan.job.wood else "wood: ______________")
    return f"{wood}, turned green" + ("" if plan.job.date else " on: ______________")


def wall_words(told: PieceFigures, units: Units) -> str:
    """The wall as parted."""
    return "solid core" if told.wall is None else f"wall {length(told.wall, units)}"


def green_mass(told: PieceFigures, units: Units) -> str:
    """The green mass by estimate."""
    if told.wet is None:
        return "green mass not known: weigh it"
    return f"green mass about {mass_text(told.wet, inch=units is Units.IN)}"


def target_mass(plan: Plan, told: PieceFigures, units: Units) -> str:
    """The mass at the final moisture, and its share of the weighed green mass."""
    if told.target_mass is None:
        return f"mass at {plan.job.nest.final_moisture:g} % not known: weigh until it holds still"
    text = (
        f"at {plan.job.nest.final_moisture:g} % about "
        f"{mass_number(told.target_mass, inch=units is Units.IN)}"
    )
    if told.target_share is not None:
        low, high = (f"{share:.2f}" for share in told.target_share)
        text += f", or weighed × {low}" + (f" to {high}" if low != high else "")
    return text


def finished_size(plan: Plan, told: PieceFigures, units: Units) -> tuple[str, ...]:
    """The size it dries to, and what is left of it turned true; one line or two."""
    dried = told.dried
    if dried is None:
        return ("finished size not known: no shrinkage figure",)
    true = f"turned true Ø {length(dried.circle, units)}"
    if dried.wall_left is not None and told.wall is not None:
        true += f", wall {length(dried.wall_left, units)}"
    moisture = f"{plan.job.nest.final_moisture:g} %"
    return f"at {moisture} {lengths((dried.across, dried.along), units)}", true


def sealed_boxes(*, at: Point) -> list[Item]:
    """``end grain sealed`` with two boxes to tick, the baseline from the point."""
    items: list[Item] = []
    x = at.x
    for text, box in (("end grain sealed:", False), ("yes", True), ("no", True)):
        if box:
            items.append(
                rectangle(Box(x, at.y - 0.3, x + BOX, at.y - 0.3 + BOX), role=Role.NOTE, width=0.15)
            )
            x += BOX + 1.2
        items.append(Text(text=text, at=Point(x, at.y)))
        x += text_width(text, size=BODY) + 4.0
    return items
