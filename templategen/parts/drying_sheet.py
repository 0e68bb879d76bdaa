"""Drying sheet: one a rough-out, to write its weighings on."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.estimates import BowlFigures, figures_of, mass_number
from templategen.nest.plan import Bowl, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.drying_words import (
    finished_size,
    green_mass,
    sealed_boxes,
    target_mass,
    wall_words,
    wood_words,
)
from templategen.parts.labels import LEADING, block, job_line
from templategen.parts.lettering import wrap
from templategen.parts.style import PrintStyle
from templategen.trade.drying import mass_at
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter
BLOCKS, ROWS = 3, 8  # of the weighing table; fewer rows where the wording is long
TALLEST = 116.0  # mm: two sheets on a page of letter
ROW = 6.5  # mm
ON_THE_WAY = (60, 30, 20, 15, 12)  # %, moistures whose mass is told


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One sheet for each piece; two fit a page of A4 or letter."""
    figures = figures_of(plan)
    return tuple(
        _sheet(plan, piece, told, style)
        for piece, told in zip(plan.bowls, figures.bowls, strict=True)
    )


def _sheet(plan: Plan, piece: Bowl, told: BowlFigures, style: PrintStyle) -> Part:
    y = -3.0 - 0.76 * BODY
    items: list[Item] = []

    def write(text: str, *, bold: bool = False) -> None:
        nonlocal y
        for row in wrap(text, width=WIDTH - 6.0, size=BODY, bold=bold):
            items.append(Text(text=row, at=Point(3.0, y), bold=bold))
            y -= LEADING

    title = style.say("Drying sheet {identity}", identity=style.text(told.identity))
    write(title, bold=True)
    job = job_line(plan, room=80.0)
    write(f"{job} · {wood_words(plan, style)}" if job else wood_words(plan, style))
    write(
        style.say(
            "piece {number} of {all}: rim Ø {rim}, depth {depth}, {wall}",
            number=piece.number,
            all=len(plan.bowls),
            rim=style.length(piece.rim_diameter),
            depth=style.length(piece.depth),
            wall=wall_words(told, style),
        )
    )
    write("; ".join(finished_size(plan, told, style)))
    write(f"{green_mass(told, style)}; {target_mass(plan, told, style)}")
    if told.dry_mass is not None:
        final = plan.job.nest.final_moisture
        way = [
            f"{m} % {style.text(mass_number(mass_at(told.dry_mass, m), units=style.units))}"
            for m in ON_THE_WAY
            if m > final
        ]
        write(
            style.say(
                "by estimate: {way} · dry {mass}",
                way=" · ".join(way),
                mass=style.text(mass_number(told.dry_mass, units=style.units)),
            )
        )
        write(style.say("moisture in % is 100 × (mass / dry mass - 1)"))
    unit = "mass_lb" if style.units is Units.IN else "mass_g"
    write(
        style.say(
            'keep it as a CSV file, columns {columns}, for the command "dry"',
            columns=f"identity,date,{unit}",
        )
    )
    items += sealed_boxes(style, at=Point(3.0, y))
    y -= LEADING + 0.5
    top = y + BODY
    foot = style.say(
        "Ready when the mass holds still or meets the target. Estimates, never ratings."
    )
    ending = wrap(foot, width=WIDTH - 6.0, size=BODY)
    below = 3.0 + BODY + (len(ending) - 1) * LEADING
    rows = min(ROWS, int((TALLEST + top - below) / ROW) - 1)  # two sheets to a page come first
    column = (WIDTH - 6.0) / BLOCKS
    for n in range(BLOCKS):
        left = 3.0 + n * column
        for k, head in enumerate((style.say("date"), style.say("mass"), "%")):
            at = Point(left + 1.5 + (0.0, 0.38, 0.68)[k] * column, top - 1.4 - 0.76 * BODY)
            items.append(Text(text=head, at=at, bold=True))
    low = top - (rows + 1) * ROW
    for n in range(rows + 2):
        items.append(line(3.0, top - n * ROW, WIDTH - 3.0, top - n * ROW, role=Role.NOTE))
    for n in range(BLOCKS):
        for share in (0.0, 0.38, 0.68):
            x = 3.0 + (n + share) * column
            items.append(line(x, top, x, low, role=Role.NOTE))
    items.append(line(WIDTH - 3.0, top, WIDTH - 3.0, low, role=Role.NOTE))
    items += block(ending, at=Point(3.0, low - 1.5 - 0.76 * BODY), bold_first=False)
    bottom = low - below
    items.insert(0, rectangle(Box(0.0, bottom, WIDTH, 0.0), role=Role.NOTE))
    return Part(
        kind="drying sheet",
        key=f"drying-sheet-{piece.number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
    )
