"""Drying sheet: one a rough-out, to write its weighings on."""

import math

from templategen.geometry.shapes import Box, Point
from templategen.nest.estimates import BowlFigures, figures_of, mass_number
from templategen.nest.plan import Bowl, Plan
from templategen.parts.columns import TextColumn
from templategen.parts.drawing import BODY, Item, Part, Role, Text, line, part_of, rectangle
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
from templategen.trade.drying import mass_at
from templategen.trade.part_kinds import PartKind
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter
WORDING = 106.0  # mm: width of the wording, left of the weighing table
BLOCKS = 2  # of the weighing table
LEAST_ROWS = 7  # in a block of it
ROW = 6.0  # mm
LINE = 3.75  # mm from baseline to baseline, so that four sheets fit a page
SHARES = (0.0, 0.41, 0.80)  # of a block, where its columns begin
ON_THE_WAY = (60, 30, 20, 15, 12)  # %, moistures whose mass is printed


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One sheet for each bowl; four fit a page of A4."""
    figures = figures_of(plan)
    return tuple(
        _sheet(plan, bowl, own, style) for bowl, own in zip(plan.bowls, figures.bowls, strict=True)
    )


def _sheet(plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle) -> Part:
    title = style.say("Drying sheet {identity}", identity=style.text(figures.identity))
    column = TextColumn(WORDING, first=-2.0 - 0.76 * BODY, leading=LINE)
    column.write(title, bold=True)
    _write_figures(column, plan, bowl, figures, style)
    unit = "mass_lb" if style.units.first is Units.IN else "mass_g"
    columns = f"identity,date,{unit}"
    column.write(style.say('as a CSV file for "dry": {columns}', columns=columns))
    column.write(style.say("Ready when the mass holds still or meets the target."))
    column.skip(0.4)
    boxes = sealed_boxes(style, at=Point(3.0, column.y))
    column.items += boxes
    foot = style.say("Estimates, never ratings.")
    after = max(item.bounds().right for item in boxes) + 4.0
    if after + text_width(foot, size=BODY) > WORDING + 3.0:
        column.skip(LINE)
        after = 3.0
    column.items.append(Text(text=foot, at=Point(after, column.y)))
    top = -2.5
    low = min(column.y - 0.24 * BODY - 2.0, top - (LEAST_ROWS + 1) * ROW - 2.5)
    rows = int((top - low - 2.5) / ROW) - 1
    items = [
        rectangle(Box(0.0, low, WIDTH, 0.0), role=Role.NOTE),
        *column.items,
        *_weighing_table(top, rows, style),
    ]
    key = f"drying-sheet-{bowl.number}"
    return part_of(PartKind.DRYING_SHEET, key, title, items, may_turn=False, may_tile=False)


def _write_figures(
    column: TextColumn, plan: Plan, bowl: Bowl, figures: BowlFigures, style: PrintStyle
) -> None:
    """Job, wood, sizes now and dried, masses now, on the way and dried."""
    job = job_label(plan, style).fitted(80.0)
    wood = wood_words(plan, style)
    column.write(f"{job} · {wood}" if job else wood)
    column.write(
        style.say(
            "bowl {number} of {all}: rim Ø {rim}, depth {depth}, {wall}",
            number=bowl.number,
            all=len(plan.bowls),
            rim=style.length(bowl.rim_diameter),
            depth=style.length(bowl.depth),
            wall=wall_words(figures, style),
        )
    )
    column.write("; ".join(finished_size(plan, bowl, figures, style)))
    column.write(f"{green_mass(figures, style)}; {target_mass(plan, figures, style)}")
    if figures.dry_mass is None:
        return

    def mass(moisture: float) -> str:
        assert figures.dry_mass is not None
        return style.text(mass_number(mass_at(figures.dry_mass, moisture), units=style.units))

    dry, green = figures.dry_mass, math.inf if figures.wet is None else figures.wet.low
    final = plan.job.nest.final_moisture
    moistures = [m for m in ON_THE_WAY if m > final and mass_at(dry, m) < green]
    column.write(
        style.say(
            "by estimate: {way} · dry {mass}",
            way=" · ".join(f"{m} % {mass(m)}" for m in moistures),
            mass=mass_number(figures.dry_mass, units=style.units),
        )
    )
    column.write(style.say("moisture in % is 100 × (mass / dry mass - 1)"))


def _weighing_table(top: float, rows: int, style: PrintStyle) -> list[Item]:
    """Blocks of columns for date, mass and moisture, with empty rows to write on.

    Args:
        top: y of the upper edge, mm.
        rows: below the headings.
        style: of the headings.
    """
    first = WORDING + 6.0
    column = (WIDTH - 3.0 - first) / BLOCKS
    heads = (style.say("date"), style.say("mass"), "%")
    lefts = [first + n * column for n in range(BLOCKS)]
    low = top - (rows + 1) * ROW
    y = top - 1.4 - 0.76 * BODY
    items: list[Item] = [
        Text(text=head, at=Point(left + 1.0 + share * column, y))
        for left in lefts
        for share, head in zip(SHARES, heads, strict=True)
    ]
    levels = [top - n * ROW for n in range(rows + 2)]
    items += [line(first, y, WIDTH - 3.0, y, role=Role.NOTE) for y in levels]
    edges = [first + (n + share) * column for n in range(BLOCKS) for share in SHARES]
    items += [line(x, top, x, low, role=Role.NOTE) for x in (*edges, WIDTH - 3.0)]
    return items
