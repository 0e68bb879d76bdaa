"""Wording that tag and drying sheet share. Every figure is an estimate."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.estimates import BowlFigures, mass_number, mass_text
from templategen.nest.plan import Bowl, Plan
from templategen.parts.drawing import BODY, Item, Role, Text, rectangle
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle

BOX = 3.0  # mm, side of a box to tick
TO_FILL_IN = "_" * 14


def wood_words(plan: Plan, style: PrintStyle) -> str:
    """Species, with room for the date where the job gives none (else `job_label` tells it)."""
    wood = style.text(plan.job.blank.shown_wood) or (
        style.say("own wood") if plan.job.wood else style.say("wood: {blank}", blank=TO_FILL_IN)
    )
    if plan.job.date:
        return style.say("{wood}, turned green", wood=wood)
    return style.say("{wood}, turned green on: {blank}", wood=wood, blank=TO_FILL_IN)


def wall_words(figures: BowlFigures, style: PrintStyle) -> str:
    """The wall as parted."""
    if figures.wall is None:
        return style.say("solid core")
    return style.say("wall {wall}", wall=style.length(figures.wall))


def green_mass(figures: BowlFigures, style: PrintStyle) -> str:
    """The green mass by estimate."""
    if figures.wet is None:
        return style.say("green mass not known: weigh it")
    return style.say(
        "green mass about {mass}", mass=style.text(mass_text(figures.wet, units=style.units))
    )


def target_mass(plan: Plan, figures: BowlFigures, style: PrintStyle) -> str:
    """The mass at the final moisture, and its share of the weighed green mass."""
    moisture = plan.job.nest.final_moisture
    if figures.target_mass is None:
        return style.say(
            "mass at {moisture:g} % not known: weigh until it holds still", moisture=moisture
        )
    mass = style.text(mass_number(figures.target_mass, units=style.units))
    if figures.target_share is None:
        return style.say("at {moisture:g} % about {mass}", moisture=moisture, mass=mass)
    low, high = (style.figure(share, ".2f") for share in figures.target_share)
    if low == high:
        return style.say(
            "at {moisture:g} % about {mass}, or weighed × {share}",
            moisture=moisture,
            mass=mass,
            share=low,
        )
    return style.say(
        "at {moisture:g} % about {mass}, or weighed × {low} to {high}",
        moisture=moisture,
        mass=mass,
        low=low,
        high=high,
    )


def finished_size(
    plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle
) -> tuple[str, ...]:
    """The size it dries to, and what is left of it turned true; one line or two."""
    dried = bowl.dried
    if dried is None:
        return (style.say("finished size not known: no shrinkage figure"),)
    circle = style.length(dried.largest_circle)
    true = style.say("turned true Ø {circle}", circle=circle)
    if figures.wall_left is not None and figures.wall is not None:
        left = style.length(figures.wall_left)
        true = style.say("turned true Ø {circle}, wall {wall}", circle=circle, wall=left)
    sizes = style.lengths((dried.rim_across, dried.rim_along))
    moisture = plan.job.nest.final_moisture
    return style.say("at {moisture:g} % {sizes}", moisture=moisture, sizes=sizes), true


def sealed_boxes(style: PrintStyle, *, at: Point) -> list[Item]:
    """``end grain sealed`` with two boxes to tick, the baseline from the point."""
    items: list[Item] = []
    x = at.x
    for text, box in (
        (style.say("end grain sealed:"), False),
        (style.say("yes"), True),
        (style.say("no"), True),
    ):
        if box:
            items.append(
                rectangle(Box(x, at.y - 0.3, x + BOX, at.y - 0.3 + BOX), role=Role.NOTE, width=0.15)
            )
            x += BOX + 1.2
        items.append(Text(text=text, at=Point(x, at.y)))
        x += text_width(text, size=BODY) + 4.0
    return items
