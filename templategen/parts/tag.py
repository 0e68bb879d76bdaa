"""Tag: goes with one rough-out to the drying shelf and takes its weighings."""

from templategen.geometry.shapes import Box, Point, circle
from templategen.nest.estimates import BowlFigures, figures_of
from templategen.nest.plan import Bowl, Plan
from templategen.parts.columns import TextColumn
from templategen.parts.drawing import (
    BODY,
    Item,
    Part,
    Role,
    Text,
    arc_path,
    line,
    part_of,
    rectangle,
)
from templategen.parts.drying_words import (
    finished_size,
    green_mass,
    sealed_boxes,
    target_mass,
    wall_words,
    wood_words,
)
from templategen.parts.labels import job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

WIDTH = 87.0  # mm: two side by side on A4 and letter
LINE = 3.75  # mm from baseline to baseline, so that tags and holding cards share a sheet
HEIGHT = 56.0  # mm, of tags and holding cards: those of four bowls fit a sheet of A4 or letter
ROW = 5.0  # mm: least height of a row to write on
HEAD = 4.2  # mm: height of the heading over these rows
BLOCKS, LEAST_ROWS = 3, 3  # of the weighing table: beside one another, and rows in each
MASS_AT = 0.5  # of a block, where the mass stands beside the date
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
    column = TextColumn(WIDTH - 6.0, first=-2.0 - 0.76 * BODY, leading=LINE)
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
    column.write(target_mass(plan, figures, style))
    column.write(finished_size(plan, bowl, figures, style)[-1])
    column.items += sealed_boxes(style, at=Point(3.0, column.y))
    column.skip(LINE)
    column.write(style.say("estimates, never ratings · cut on the line"))
    top = column.y + LINE - 0.24 * BODY - 1.2
    bottom = min(-HEIGHT, top - HEAD - LEAST_ROWS * ROW)
    outline = rectangle(Box(0.0, bottom, WIDTH, 0.0))
    hole = arc_path(circle(Point(WIDTH - 6.0, -6.0), HOLE))
    table = _weighing_table(top, bottom, style)
    title = style.say("Tag {identity}", identity=identity)
    items = (outline, hole, *column.items, *table)
    return part_of(PartKind.TAG, f"tag-{bowl.number}", title, items)


def _weighing_table(top: float, bottom: float, style: PrintStyle) -> list[Item]:
    """Date and mass of the weighings, the green one first, down to the lower edge of the tag."""
    rows = int((top - HEAD - bottom) / ROW + 1e-9)
    low, block = top - HEAD, WIDTH / BLOCKS
    step = (low - bottom) / rows
    items: list[Item] = []
    for n in range(BLOCKS):
        left = n * block
        middle = left + MASS_AT * block
        y = top - 0.5 * HEAD - 0.26 * BODY
        items.append(Text(text=style.say("date"), at=Point(left + 3.0, y)))
        items.append(Text(text=style.say("mass"), at=Point(middle + 1.5, y)))
        items.append(line(middle, top, middle, bottom, role=Role.NOTE))
        if n:
            items.append(line(left, top, left, bottom, role=Role.NOTE))
    items.append(line(0.0, top, WIDTH, top, role=Role.NOTE))
    items += [line(0.0, low - n * step, WIDTH, low - n * step, role=Role.NOTE) for n in range(rows)]
    return items
