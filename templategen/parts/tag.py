"""Tag: goes with one rough-out to the drying shelf."""

from templategen.geometry.shapes import Box, Point, circle
from templategen.nest.estimates import BowlFigures, figures_of
from templategen.nest.plan import Bowl, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, arc_path, rectangle
from templategen.parts.drying_words import (
    finished_size,
    green_mass,
    sealed_boxes,
    target_mass,
    wall_words,
    wood_words,
)
from templategen.parts.labels import LEADING, job_line
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle

WIDTH = 87.0  # mm: two side by side on A4 and letter
HOLE = 2.5  # mm, radius of the hole for a string


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One tag for each piece."""
    figures = figures_of(plan)
    return tuple(
        _tag(plan, piece, told, style)
        for piece, told in zip(plan.bowls, figures.bowls, strict=True)
    )


def _tag(plan: Plan, piece: Bowl, told: BowlFigures, style: PrintStyle) -> Part:
    room = WIDTH - 6.0
    y = -3.0 - 0.76 * BODY
    items: list[Item] = []

    def write(text: str, *, width: float = room, bold: bool = False) -> None:
        nonlocal y
        for row in wrap(text, width=width, size=BODY, bold=bold):
            items.append(Text(text=row, at=Point(3.0, y), bold=bold))
            y -= LEADING

    write(style.text(told.identity), width=room - 4 * HOLE, bold=True)
    shown = job_line(plan, room=room - 4 * HOLE)
    write(shown or style.say("cut on the line"), width=room - 4 * HOLE)
    write(wood_words(plan, style))
    write(
        style.say(
            "piece {number} of {all}: rim Ø {rim}, {wall}",
            number=piece.number,
            all=len(plan.bowls),
            rim=style.length(piece.rim_diameter),
            wall=wall_words(told, style),
        )
    )
    write(green_mass(told, style))
    weighed = style.say("weighed green:")
    items.append(Text(text=weighed, at=Point(3.0, y - 1.5)))
    after = 3.0 + max(30.0, text_width(weighed, size=BODY) + 2.0)
    items.append(rectangle(Box(after, y - 2.3, WIDTH - 3.0, y - 2.2), role=Role.NOTE))
    y -= LEADING + 1.5
    for text in (target_mass(plan, told, style), *finished_size(plan, told, style)):
        write(text)
    items += sealed_boxes(style, at=Point(3.0, y))
    y -= LEADING
    write(style.say("estimates, never ratings · cut on the line"))
    bottom = y + LEADING - 0.24 * BODY - 3.0
    return Part(
        kind="tag",
        key=f"tag-{piece.number}",
        title=style.say("Tag {identity}", identity=style.text(told.identity)),
        drawing=Drawing(
            items=(
                rectangle(Box(0.0, bottom, WIDTH, 0.0)),
                arc_path(circle(Point(WIDTH - 6.0, -6.0), HOLE)),
                *items,
            )
        ),
    )
