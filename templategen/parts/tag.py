"""Tag: goes with one rough-out to the drying shelf."""

from templategen.geometry.shapes import Box, Point, circle
from templategen.nest.estimates import BowlFigures, figures_of
from templategen.nest.plan import Bowl, Plan
from templategen.parts.columns import TextColumn
from templategen.parts.drawing import BODY, Drawing, Part, Role, Text, arc_path, line, rectangle
from templategen.parts.drying_words import (
    finished_size,
    green_mass,
    sealed_boxes,
    target_mass,
    wall_words,
    wood_words,
)
from templategen.parts.labels import job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

WIDTH = 87.0  # mm: two side by side on A4 and letter
LINE = 3.75  # mm from baseline to baseline, so that tags and holding cards share a sheet
WRITING = 3.0  # mm more over a line to write on: handwriting is taller than print
HOLE = 2.5  # mm, radius of the hole for a string


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One tag for each bowl."""
    figures = figures_of(plan)
    return tuple(
        _tag(plan, bowl, own, style) for bowl, own in zip(plan.bowls, figures.bowls, strict=True)
    )


def _tag(plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle) -> Part:
    identity = style.text(figures.identity)
    beside_hole = WIDTH - 6.0 - 4 * HOLE
    column = TextColumn(WIDTH - 6.0, first=-2.5 - 0.76 * BODY, leading=LINE)
    column.write(identity, width=beside_hole, bold=True)
    job = job_label(plan, style).fitted(beside_hole)
    column.write(job or style.say("cut on the line"), width=beside_hole)
    column.write(wood_words(plan, style))
    column.write(
        style.say(
            "bowl {number} of {all}: rim Ø {rim}, {wall}",
            number=bowl.number,
            all=len(plan.bowls),
            rim=style.length(bowl.rim_diameter),
            wall=wall_words(figures, style),
        )
    )
    column.write(green_mass(figures, style))
    _add_writing_line(column, style.say("weighed green:"))
    for text in (target_mass(plan, figures, style), *finished_size(plan, figures, style)):
        column.write(text)
    column.items += sealed_boxes(style, at=Point(3.0, column.y))
    column.skip(LINE)
    column.write(style.say("estimates, never ratings · cut on the line"))
    bottom = column.y + LINE - 0.24 * BODY - 2.0
    outline = rectangle(Box(0.0, bottom, WIDTH, 0.0))
    hole = arc_path(circle(Point(WIDTH - 6.0, -6.0), HOLE))
    return Part(
        kind=PartKind.TAG,
        key=f"tag-{bowl.number}",
        title=style.say("Tag {identity}", identity=identity),
        drawing=Drawing(items=(outline, hole, *column.items)),
    )


def _add_writing_line(column: TextColumn, text: str) -> None:
    """A text with a line to write on behind it, clear of the row above and of the row below."""
    column.skip(WRITING)
    y = column.y
    column.items.append(Text(text=text, at=Point(3.0, y)))
    after = 3.0 + text_width(text, size=BODY) + 2.0
    column.items.append(line(after, y - 0.8, WIDTH - 3.0, y - 0.8, role=Role.NOTE))
    column.skip(LINE + 0.5)
