"""Drying sheet: one a rough-out, to write its weighings on."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.holding import PieceFigures, figures_of, mass_number
from templategen.nest.plan import Piece, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.drying_words import (
    finished_size,
    green_mass,
    sealed_boxes,
    target_mass,
    wall_words,
    wood_words,
)
from templategen.parts.labels import LEADING, job_line, length
from templategen.parts.lettering import wrap
from templategen.trade.drying import mass_at
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter
BLOCKS, ROWS = 3, 8  # of the weighing table
ROW = 6.5  # mm
ON_THE_WAY = (60, 30, 20, 15, 12)  # %, moistures whose mass is told


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One sheet for each piece; two fit a page of A4 or letter."""
    figures = figures_of(plan)
    return tuple(
        _sheet(plan, piece, told, units)
        for piece, told in zip(plan.pieces, figures.pieces, strict=True)
    )


def _sheet(plan: Plan, piece: Piece, told: PieceFigures, units: Units) -> Part:
    y = -3.0 - 0.76 * BODY
    items: list[Item] = []

    def write(text: str, *, bold: bool = False) -> None:
        nonlocal y
        for row in wrap(text, width=WIDTH - 6.0, size=BODY, bold=bold):
            items.append(Text(text=row, at=Point(3.0, y), bold=bold))
            y -= LEADING

    write(f"Drying sheet {told.identity}", bold=True)
    job = job_line(plan, room=80.0)
    write(f"{job} · {wood_words(plan)}" if job else wood_words(plan))
    write(
        f"piece {piece.number} of {len(plan.pieces)}: rim Ø {length(piece.rim_diameter, units)}, "
        f"depth {length(piece.depth, units)}, {wall_words(told, units)}"
    )
    write("; ".join(finished_size(plan, told, units)))
    write(f"{green_mass(told, units)}; {target_mass(plan, told, units)}")
    if told.dry_mass is not None:
        inch = units is Units.IN
        final = plan.job.nest.final_moisture
        way = [
            f"{m} % {mass_number(mass_at(told.dry_mass, m), inch=inch)}"
            for m in ON_THE_WAY
            if m > final
        ]
        write(f"by estimate: {' · '.join(way)} · dry {mass_number(told.dry_mass, inch=inch)}")
        write("moisture in % is 100 × (mass / dry mass - 1)")
    unit = "mass_lb" if units is Units.IN else "mass_g"
    write(f'keep it as a CSV file, columns identity,date,{unit}, for the command "dry"')
    items += sealed_boxes(at=Point(3.0, y))
    y -= LEADING + 0.5
    top = y + BODY
    column = (WIDTH - 6.0) / BLOCKS
    for block in range(BLOCKS):
        left = 3.0 + block * column
        for k, head in enumerate(("date", "mass", "%")):
            at = Point(left + 1.5 + (0.0, 0.38, 0.68)[k] * column, top - 1.4 - 0.76 * BODY)
            items.append(Text(text=head, at=at, bold=True))
    low = top - (ROWS + 1) * ROW
    for n in range(ROWS + 2):
        items.append(line(3.0, top - n * ROW, WIDTH - 3.0, top - n * ROW, role=Role.NOTE))
    for block in range(BLOCKS):
        for share in (0.0, 0.38, 0.68):
            x = 3.0 + (block + share) * column
            items.append(line(x, top, x, low, role=Role.NOTE))
    items.append(line(WIDTH - 3.0, top, WIDTH - 3.0, low, role=Role.NOTE))
    foot = "Ready when the mass holds still or meets the target. Estimates, never ratings."
    items.append(Text(text=foot, at=Point(3.0, low - 1.5 - 0.76 * BODY)))
    bottom = low - 3.0 - BODY
    items.insert(0, rectangle(Box(0.0, bottom, WIDTH, 0.0), role=Role.NOTE))
    return Part(
        kind="drying sheet",
        key=f"drying-sheet-{piece.number}",
        title=f"Drying sheet {told.identity}",
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
    )
