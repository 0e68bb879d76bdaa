"""Setting card: one table for the lathe."""

import math

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.cautions import CAUTIONS
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.labels import LEADING, job_line, length
from templategen.parts.lettering import wrap
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """The card: cuts in working order as columns, then the pieces, findings and cautions."""
    items: list[Item] = []
    y = -6.0
    items.append(Text(text=f"Setting card: {job_line(plan)}"[:80], at=Point(3, y), bold=True))
    y -= LEADING
    speed = plan.shop.rules.max_coring_speed
    note = (
        f"Core at {speed:.0f} rpm or slower. Cutter "
        f"{length(plan.job.nest.height_above_centre, units)} above centre, never below."
    )
    items.append(Text(text=note, at=Point(3, y)))
    y -= LEADING * 1.3
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n][:6]

    def signed(value: float) -> str:
        return length(value, units)

    rows: list[list[str]] = [["Cut, in working order", *[str(c.number) for c in cuts]]]
    rows.append(["cutter", *[c.cutter.id for c in cuts]])
    rows.append(["mark from own rim", *[signed(c.entry_from_rim) for c in cuts]])
    rows.append(["entry radius", *[signed(c.entry_radius) for c in cuts]])
    rows.append(["pivot in front of face", *[signed(c.pivot_standoff) for c in cuts]])
    rows.append(["pivot off axis", *[signed(c.pivot_offset) for c in cuts]])
    rows.append(["depth at axis", *[signed(c.depth_at_axis) for c in cuts]])
    rows.append(["deepest", *[signed(c.deepest) for c in cuts]])
    rows.append(["swing", *[f"{math.degrees(c.swing):.0f}°" for c in cuts]])
    rows.append(
        [
            "relief: shift / depth",
            *[
                f"{length(c.relief.shift, units)} / {length(c.relief.depth, units)}"
                if c.relief
                else "none"
                for c in cuts
            ],
        ]
    )
    if cuts:
        y = _table(items, rows, y)
    pieces = plan.pieces[:7]
    rows = [["Piece", *[str(p.number) for p in pieces]]]
    rows.append(["rim Ø", *[signed(p.rim_diameter) for p in pieces]])
    rows.append(["depth to shoulder", *[signed(p.depth) for p in pieces]])
    rows.append(["wall", *["solid" if p.wall is None else signed(p.wall) for p in pieces]])
    rows.append(
        [
            "wall, worst setting",
            *["" if p.wall_worst is None else signed(p.wall_worst) for p in pieces],
        ]
    )
    rows.append(["floor", *["" if p.floor is None else signed(p.floor) for p in pieces]])
    rows.append(["tenon Ø", *[signed(p.tenon_diameter) for p in pieces]])
    rows.append(["tenon length", *[signed(p.tenon_length) for p in pieces]])
    rows.append(["jaws", *[p.jaws.id if p.jaws else "none" for p in pieces]])
    y = _table(items, rows, y - 2)
    y -= 2
    for finding in plan.findings[:8]:
        y = _wrapped(items, f"{finding.level.value}: {finding.text}", y)
    y -= 2
    items.append(Text(text="Cautions", at=Point(3, y), bold=True))
    y -= LEADING
    for caution in CAUTIONS:
        y = _wrapped(items, f"• {caution}", y)
    items.insert(0, rectangle(Box(0.0, y, WIDTH, 0.0), role=Role.NOTE))
    return (
        Part(
            kind="setting card",
            key="setting-card",
            title="Setting card",
            drawing=Drawing(items=tuple(items)),
            may_turn=False,
            may_tile=False,
        ),
    )


def _wrapped(items: list[Item], text: str, y: float) -> float:
    for part in wrap(text, width=WIDTH - 8, size=BODY):
        items.append(Text(text=part, at=Point(3, y)))
        y -= LEADING
    return y


def _table(items: list[Item], rows: list[list[str]], y: float) -> float:
    first = 46.0
    column = (WIDTH - first) / max(1, len(rows[0]) - 1)
    for n, row in enumerate(rows):
        tall = max(len(wrap(c, width=column - 3, size=BODY)) or 1 for c in row[1:])
        items.append(line(0, y + BODY + 0.4, WIDTH, y + BODY + 0.4, role=Role.NOTE))
        items.append(Text(text=row[0], at=Point(3, y), bold=n == 0))
        for k, cell in enumerate(row[1:]):
            for m, part in enumerate(wrap(cell, width=column - 3, size=BODY)):
                at = Point(first + k * column + 1.5, y - m * LEADING)
                items.append(Text(text=part, at=at, bold=n == 0))
        y -= tall * LEADING + 0.6
    items.append(line(0, y + BODY + 0.4, WIDTH, y + BODY + 0.4, role=Role.NOTE))
    return y - 1
