"""Setting card: one table for the lathe."""

import math
from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Cut, Level, Piece, Plan
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.labels import LEADING, job_line, length
from templategen.parts.lettering import wrap
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter
TALLEST = 235.0  # mm: one sheet of A4 or letter; a taller card runs over several sheets
MOST_COLUMNS = 6  # in one table; more cuts or pieces go into a further table
MOST_FINDINGS = 8  # gravest first; one that forbids the work is never left out


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """The card: cuts in working order as columns, then the pieces, findings and cautions."""
    items: list[Item] = []
    y = -6.0
    items.append(
        Text(text=f"Setting card: {job_line(plan, room=130.0)}", at=Point(3, y), bold=True)
    )
    y -= LEADING
    speed = plan.shop.rules.max_coring_speed
    note = (
        f"Core at {speed:.0f} rpm or slower. Cutter "
        f"{length(plan.job.nest.height_above_centre, units)} above centre, never below."
    )
    items.append(Text(text=note, at=Point(3, y)))
    y -= LEADING * 1.3
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n]
    for first in range(0, len(cuts), MOST_COLUMNS):
        y = _table(items, _cut_rows(cuts[first : first + MOST_COLUMNS], units), y) - 2
    for first in range(0, len(plan.pieces), MOST_COLUMNS):
        y = _table(items, _piece_rows(plan.pieces[first : first + MOST_COLUMNS], units), y) - 2
    ranked = sorted(plan.findings, key=lambda f: list(Level).index(f.level))
    shown = max(MOST_FINDINGS, sum(f.level is Level.STOP for f in ranked))
    for finding in ranked[:shown]:
        y = _wrapped(items, f"{finding.level.value}: {finding.text}", y)
    if len(ranked) > shown:
        y = _wrapped(items, f"and {len(ranked) - shown} more: see the plan", y)
    y -= 2
    items.append(Text(text="Cautions", at=Point(3, y), bold=True))
    y -= LEADING
    for caution in cautions_for(plan.shop):
        y = _wrapped(items, f"• {caution}", y)
    items.insert(0, rectangle(Box(0.0, y, WIDTH, 0.0), role=Role.NOTE))
    return (
        Part(
            kind="setting card",
            key="setting-card",
            title="Setting card",
            drawing=Drawing(items=tuple(items)),
            may_turn=False,
            may_tile=-y > TALLEST,
        ),
    )


def _cut_rows(cuts: Sequence[Cut], units: Units) -> list[list[str]]:
    def row(name: str, figure: Callable[[Cut], float]) -> list[str]:
        return [name, *[length(figure(c), units) for c in cuts]]

    return [
        ["Cut, in working order", *[str(c.number) for c in cuts]],
        ["cutter", *[c.cutter.id for c in cuts]],
        row("mark from own rim", lambda c: c.entry_from_rim),
        row("entry radius", lambda c: c.entry_radius),
        row("pivot in front of face", lambda c: c.pivot_standoff),
        row("pivot offset, + to entry", lambda c: c.pivot_offset),
        row("cutter above centre", lambda c: c.cutter_height),
        row("depth at axis", lambda c: c.depth_at_axis),
        row("deepest", lambda c: c.deepest),
        ["swing", *[f"{math.degrees(c.swing):.0f}°" for c in cuts]],
        ["relief: shift / depth", *[_relief(c, units) for c in cuts]],
    ]


def _relief(cut: Cut, units: Units) -> str:
    if cut.relief is None:
        return "none"
    return f"{length(cut.relief.shift, units)} / {length(cut.relief.depth, units)}"


def _piece_rows(pieces: Sequence[Piece], units: Units) -> list[list[str]]:
    def row(name: str, figure: Callable[[Piece], float | None], *, missing: str = "") -> list[str]:
        figures = [figure(p) for p in pieces]
        return [name, *[missing if f is None else length(f, units) for f in figures]]

    return [
        ["Piece", *[str(p.number) for p in pieces]],
        row("rim Ø", lambda p: p.rim_diameter),
        row("depth to shoulder", lambda p: p.depth),
        row("wall", lambda p: p.wall, missing="solid"),
        row("wall wanted", lambda p: p.wall_required),
        row("wall, worst setting", lambda p: p.wall_worst),
        row("floor", lambda p: p.floor),
        row("floor wanted", lambda p: p.floor_required),
        row("tenon Ø", lambda p: p.tenon_diameter),
        row("tenon length", lambda p: p.tenon_length),
        ["jaws", *[p.jaws.id if p.jaws else "none" for p in pieces]],
    ]


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
