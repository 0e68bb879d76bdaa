"""Holding card: how a bowl is held to turn its tenon, and held again when it is dry."""

import math

from templategen.geometry.shapes import Box, Point, circle
from templategen.nest.estimates import BowlFigures, figures_of
from templategen.nest.plan import Bowl, DriedBowl, Plan
from templategen.parts.columns import TextColumn
from templategen.parts.dimension import arrow
from templategen.parts.drawing import (
    BODY,
    Item,
    Part,
    Path,
    Role,
    arc_path,
    line,
    part_of,
    polyline,
    rectangle,
)
from templategen.parts.held_bowl import dried_disc, green_disc
from templategen.parts.labels import job_label
from templategen.parts.style import PrintStyle
from templategen.parts.tag import HEIGHT, LINE, WIDTH
from templategen.trade.part_kinds import PartKind

PICTURE = 18.0  # mm: diameter of the green rim in the picture
OVAL_POINTS = 72  # of the oval in the picture, which is not to scale


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One card for each bowl and the core."""
    figures = figures_of(plan).bowls
    return tuple(_card(plan, b, own, style) for b, own in zip(plan.bowls, figures, strict=True))


def _card(plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle) -> Part:
    title = style.say("Holding card, {bowl}", bowl=bowl.shown_name)
    column = TextColumn(WIDTH - 6.0, first=-2.0 - 0.76 * BODY, leading=LINE)
    beside = WIDTH - 6.0 - (PICTURE + 4.0 if bowl.dried else 0.0)
    column.write(title, width=beside, bold=True)
    label = job_label(plan, style).fitted(beside)
    if label:
        column.write(label, width=beside)
    low = PICTURE + 2.0 + BODY if bowl.dried else 0.0
    for heading, lines in (_green(plan, bowl, style), _dry(plan, bowl, figures, style)):
        column.skip(0.3)
        column.write(heading, width=beside if -column.y < low else None, bold=True)
        for text in lines:
            column.write(text, width=beside if -column.y < low else None)
    column.write(style.say("estimates, never ratings · cut on the line"))
    bottom = min(-HEIGHT, column.y + LINE - 0.24 * BODY - 1.5)
    items: list[Item] = [rectangle(Box(0.0, bottom, WIDTH, 0.0)), *column.items]
    if bowl.dried:
        half = PICTURE / 2
        items += _picture(bowl, bowl.dried, Point(WIDTH - 2.5 - half, -2.5 - half))
    return part_of(PartKind.HOLDING_CARD, f"holding-card-{bowl.number}", title, items)


def _green(plan: Plan, bowl: Bowl, style: PrintStyle) -> tuple[str, list[str]]:
    """What holds its tenon while the wood is green, and how that is turned."""
    heading = style.say("green: none of the shop's jaws hold it")
    if bowl.jaws is not None:
        heading = style.say("green: jaws {jaws}", jaws=bowl.jaws.id)
    size = style.say(
        "neck Ø {neck}, end Ø {end}, length {length}",
        neck=style.length(bowl.tenon_diameter),
        end=style.length(bowl.tenon_end_diameter),
        length=style.length(bowl.tenon_length),
    )
    if bowl.number == 1:
        return heading, [size, style.say("turned before the cuts")]
    how = _turned(green_disc(plan, bowl), bowl.rim_diameter, style)
    return heading, [size, how]


def _turned(disc: float | None, across: float, style: PrintStyle) -> str:
    """How a bowl is held while its tenon is turned.

    Args:
        disc: diameter of the disc in its mouth, mm; None for a solid core.
        across: the greatest width of the core's face, mm.
        style: units and language.
    """
    how = style.say("turn it: face on a flat disc, in a circle Ø {rim}", rim=style.length(across))
    if disc is not None:
        how = style.say("turn it: mouth over a disc Ø {disc}", disc=style.length(disc))
    tail = style.say("tail centre on the foot")
    return f"{how}, {tail}"


def _dry(plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle) -> tuple[str, list[str]]:
    """What holds it when dry, how its tenon is turned for that, and what it has become."""
    dried = bowl.dried
    if dried is None:
        return style.say("dry: not known for this wood"), [style.say("measure it when it is dry")]
    heading = style.say("dry: none of the shop's jaws hold it")
    if bowl.held_again is not None:
        heading = style.say(
            "dry: jaws {jaws}, neck Ø {neck}",
            jaws=bowl.held_again.jaws.id,
            neck=style.length(bowl.held_again.neck),
        )
    lines = [
        _turned(dried_disc(plan, bowl), max(dried.rim_across, dried.rim_along), style),
        style.say(
            "oval {rim}, neck {neck}",
            rim=style.lengths((dried.rim_across, dried.rim_along)),
            neck=style.lengths((dried.tenon_across, dried.tenon_along)),
        ),
        style.say(
            "largest circle Ø {circle}, rim {flat} out of flat",
            circle=style.length(dried.largest_circle),
            flat=style.length(abs(dried.rim_out_of_flat)),
        ),
    ]
    is_hollow = figures.wall is not None
    if is_hollow and figures.wall_left is not None:
        wall = style.length(figures.wall_left)
        lines.append(style.say("wall left when turned true: {wall}", wall=wall))
    return heading, lines


def _picture(bowl: Bowl, dried: DriedBowl, middle: Point) -> list[Item]:
    """The dried oval in the green rim, its largest circle, and an arrow along the grain."""
    scale = PICTURE / bowl.rim_diameter
    across, along = dried.rim_across / 2 * scale, dried.rim_along / 2 * scale
    turns = [2 * math.pi * n / OVAL_POINTS for n in range(OVAL_POINTS)]
    oval = [
        (middle.x + along * math.cos(turn), middle.y + across * math.sin(turn)) for turn in turns
    ]
    reach = 0.5 * along
    tips = Point(middle.x - reach, middle.y), Point(middle.x + reach, middle.y)
    green = arc_path(circle(middle, PICTURE / 2), role=Role.NOTE, dashed=True)
    largest = Path(
        segments=(circle(middle, dried.largest_circle / 2 * scale),), role=Role.NOTE, closed=True
    )
    return [
        polyline(oval, role=Role.NOTE, closed=True, fill=0.9, width=0.25),
        green,
        largest,
        line(*tips[0], *tips[1], role=Role.NOTE),
        arrow(tips[0], tips[1]),
        arrow(tips[1], tips[0]),
    ]
