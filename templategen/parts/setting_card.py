"""Setting cards: one for the lathe, one for what wood and jaws make of the settings."""

import math
from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.nest.estimates import (
    BowlFigures,
    CutFigures,
    Figures,
    figures_of,
    force_text,
    mass_number,
    mass_text,
    speed_text,
    torque_text,
)
from templategen.nest.plan import Bowl, Cut, Level, Plan
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.labels import LEADING, job_line
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order

WIDTH = 174.0  # mm: fits A4 and letter
TALLEST = 235.0  # mm: one sheet of A4 or letter; a taller card runs over several sheets
UNKNOWN = tr_noop("not known")
ESTIMATES = (
    tr_noop(
        "The wall left is for the wall as parted; for the solid core, for the wall the job asks. "
        "Strength is that of the tenon against one of half the rim (d³). The break is reckoned "
        "from tension across the grain, for a force at the rim."
    ),
    tr_noop(
        "All of these are estimates from averages of clear wood, never ratings. The makers' limits "
        "come first; local codes and qualified instruction come before anything printed here."
    ),
)
SENSE = tr_noop(
    "Each unit by which the pivot's offset, its standoff or the cutter's height is out makes the "
    "wall around the cut so much thicker (+) or thinner (-)."
)
STAYS = tr_noop(
    "Innermost cut first; the blank stays on its own tenon until the last core is parted."
)
AGAIN = tr_noop(
    "Outermost cut first. After each cut turn the core's tenon and hold the core by it, true to "
    "its face and rim, before its own cut; measure from its own rim and from the face of its jaws."
)
LEAST_NAMES, MOST_NAMES = 46.0, 58.0  # mm, of the first column of a table
MOST_COLUMNS = 6  # in one table; more cuts or pieces go into a further table
MOST_FINDINGS = 8  # gravest first; one that forbids the work is never left out


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The settings, and what wood, jaws and lathe make of them; findings apart if need be."""
    figures = figures_of(plan)
    return *_settings(plan, figures, style), *_holding(plan, figures, style)


def _settings(plan: Plan, figures: Figures, style: PrintStyle) -> tuple[Part, ...]:
    """Cuts in working order as columns, then the pieces, findings and cautions.

    Where the findings would make the card taller than a sheet they have a card of their own.
    """
    items: list[Item] = []
    y = -6.0
    items.append(_heading(tr_noop("Setting card: {job}"), plan, style, y))
    y -= LEADING
    y = _wrapped(items, _speed_line(plan, figures, style), y)
    if len(plan.cuts) > 1:
        y = _wrapped(
            items, style.say(AGAIN if plan.job.nest.order is Order.OUTER_FIRST else STAYS), y
        )
    y -= LEADING * 0.3
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n]
    for first in range(0, len(cuts), MOST_COLUMNS):
        y = _table(items, _cut_rows(plan, cuts[first : first + MOST_COLUMNS], style), y) - 2
    for first in range(0, len(plan.bowls), MOST_COLUMNS):
        y = _table(items, _piece_rows(plan.bowls[first : first + MOST_COLUMNS], style), y) - 2
    told: list[Item] = []
    below = _findings(told, plan, style, y)
    said: list[Item] = []
    end = _cautions(said, plan, style, below)
    if -end <= TALLEST or not plan.findings:
        return (
            _card([*items, *told, *said], end, key="setting-card", title=style.say("Setting card")),
        )
    end = _cautions(items, plan, style, y)
    apart: list[Item] = []
    apart.append(_heading(tr_noop("Findings: {job}"), plan, style, -6.0))
    below = _findings(apart, plan, style, -6.0 - LEADING)
    return (
        _card(items, end, key="setting-card", title=style.say("Setting card")),
        _card(apart, below, key="findings-card", title=style.say("Setting card, findings")),
    )


def _heading(text: str, plan: Plan, style: PrintStyle, y: float) -> Text:
    """A heading with the job's title, cut short where there is no more room."""
    own = text_width(style.say(text, job=""), size=BODY, bold=True)
    room = min(130.0, (WIDTH - 6.0 - own) / 1.15)  # the bold cut is wider by less than that
    return Text(text=style.say(text, job=job_line(plan, room=room)), at=Point(3, y), bold=True)


def _speed_line(plan: Plan, figures: Figures, style: PrintStyle) -> str:
    height = style.length(plan.job.nest.height_above_centre)
    if figures.start_speed < figures.coring_speed:
        return style.say(
            "Core at {speed:.0f} rpm or slower, start at {start:.0f}. Cutter {height} above "
            "centre, never below.",
            speed=figures.coring_speed,
            start=figures.start_speed,
            height=height,
        )
    return style.say(
        "Core at {speed:.0f} rpm or slower. Cutter {height} above centre, never below.",
        speed=figures.coring_speed,
        height=height,
    )


def _findings(items: list[Item], plan: Plan, style: PrintStyle, y: float) -> float:
    """The findings, gravest first; one that forbids the work is never left out."""
    ranked = sorted(plan.findings, key=lambda f: list(Level).index(f.level))
    shown = max(MOST_FINDINGS, sum(f.level is Level.STOP for f in ranked))
    for finding in ranked[:shown]:
        y = _wrapped(items, f"{style.say(finding.level.value)}: {style.text(finding.text)}", y)
    if len(ranked) > shown:
        more = style.say_count(
            "and {count} more: see the plan",
            "and {count} more: see the plan",
            len(ranked) - shown,
        )
        y = _wrapped(items, more, y)
    return y - 2


def _cautions(items: list[Item], plan: Plan, style: PrintStyle, y: float) -> float:
    items.append(Text(text=style.say("Cautions"), at=Point(3, y), bold=True))
    y -= LEADING
    for caution in cautions_for(plan.shop):
        y = _wrapped(items, f"• {style.text(caution)}", y)
    return y


def _holding(plan: Plan, figures: Figures, style: PrintStyle) -> tuple[Part, ...]:
    """Speeds and forces, then each piece green and dried and how it is held: estimates.

    Where that is taller than a sheet, how the pieces are held has a card of its own.
    """
    items: list[Item] = []
    y = -6.0
    items.append(_heading(tr_noop("Wood, holding and driving: {job}"), plan, style, y))
    y -= LEADING
    for text in _lathe_lines(plan, figures, style):
        y = _wrapped(items, text, y)
    y -= LEADING * 0.3
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n]
    driven = {c.number: c for c in figures.cuts}
    for first in range(0, len(cuts), MOST_COLUMNS):
        rows = _drive_rows(cuts[first : first + MOST_COLUMNS], driven, style)
        y = _table(items, rows, y) - 2
    if cuts:
        y = _wrapped(items, style.say(SENSE), y) - 2
    groups = [
        figures.bowls[first : first + MOST_COLUMNS]
        for first in range(0, len(figures.bowls), MOST_COLUMNS)
    ]
    for pieces in groups:
        y = _table(items, _dried_rows(pieces, plan, style), y) - 2
    title = style.say("Setting card, wood and holding")
    held: list[Item] = []
    end = _held(held, groups, style, y)
    if -end <= TALLEST or not groups:
        return (_card([*items, *held], end, key="holding-card", title=title),)
    for text in ESTIMATES:
        y = _wrapped(items, style.say(text), y)
    apart: list[Item] = []
    apart.append(_heading(tr_noop("Holding: {job}"), plan, style, -6.0))
    end = _held(apart, groups, style, -6.0 - LEADING)
    return (
        _card(items, y, key="holding-card", title=style.say("Setting card, wood and driving")),
        _card(apart, end, key="held-card", title=style.say("Setting card, holding")),
    )


def _held(
    items: list[Item], groups: Sequence[Sequence[BowlFigures]], style: PrintStyle, y: float
) -> float:
    for group in groups:
        y = _table(items, _held_rows(group, style), y) - 2
    for text in ESTIMATES:
        y = _wrapped(items, style.say(text), y)
    return y


def _card(items: list[Item], y: float, *, key: str, title: str) -> Part:
    items.insert(0, rectangle(Box(0.0, y, WIDTH, 0.0), role=Role.NOTE))
    return Part(
        kind="setting card",
        key=key,
        title=title,
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=-y > TALLEST,
    )


def _lathe_lines(plan: Plan, figures: Figures, style: PrintStyle) -> list[str]:
    wood = style.text(figures.wood.shown_name) if figures.wood else style.say("wood not named")
    mass = (
        style.text(mass_text(figures.mass, units=style.units))
        if figures.mass
        else style.say("not known: weigh it")
    )
    lines = [
        style.say(
            "{wood}, green blank {mass}. At {speed:.0f} rpm the rim runs at {rim}. 6000 to 9000 "
            "over the diameter in inches (common practice) gives {low:.0f} to {high:.0f} rpm.",
            wood=wood,
            mass=mass,
            speed=figures.coring_speed,
            rim=style.text(speed_text(figures.rim_speed, units=style.units)),
            low=figures.rough_speed,
            high=figures.rule_speed,
        )
    ]
    limits = [
        style.say(told, limit=style.text(mass_number(limit, units=style.units)))
        for told, limit in (
            (tr_noop("lathe {limit}"), plan.shop.lathe.max_mass_kg),
            (tr_noop("chuck {limit}"), plan.shop.chuck.max_mass_kg),
        )
        if limit is not None
    ]
    if limits:
        lines.append(style.say("Mass limits: {limits}.", limits=", ".join(limits)))
    if figures.torque is not None:
        lines.append(
            style.say(
                "Motor at that speed: {torque}; the force at the tip below is all of it at the "
                "entry mark.",
                torque=style.text(torque_text(figures.torque, units=style.units)),
            )
        )
    if figures.least_height is not None:
        lines.append(
            style.say(
                "Least height above centre against droop: {height}.",
                height=style.length(figures.least_height),
            )
        )
    return lines


def _drive_rows(
    cuts: Sequence[Cut], driven: dict[int, CutFigures], style: PrintStyle
) -> list[list[str]]:

    def force(cut: Cut) -> str:
        figure = driven[cut.number].tip_force if cut.number in driven else None
        return (
            style.say(UNKNOWN)
            if figure is None
            else style.text(force_text(figure, units=style.units))
        )

    def droop(cut: Cut) -> str:
        figure = driven[cut.number].droop if cut.number in driven else None
        return style.say(UNKNOWN) if figure is None else style.length(figure)

    told = [
        [style.say("force at the tip"), *[force(c) for c in cuts]],
        [style.say("droop of the cutter"), *[droop(c) for c in cuts]],
    ]
    return [
        [style.say("Cut, in working order"), *[str(c.number) for c in cuts]],
        *_known(style, told),
        _sense(style, style.say("wall, per 1 of offset"), [c.sensitivity.offset for c in cuts]),
        _sense(style, style.say("wall, per 1 of standoff"), [c.sensitivity.standoff for c in cuts]),
        _sense(style, style.say("wall, per 1 of height"), [c.sensitivity.height for c in cuts]),
    ]


def _dried_rows(pieces: Sequence[BowlFigures], plan: Plan, style: PrintStyle) -> list[list[str]]:

    def row(name: str, figure: Callable[[BowlFigures], float | None]) -> list[str]:
        figures = [figure(p) for p in pieces]
        return [name, *[style.say(UNKNOWN) if f is None else style.length(f) for f in figures]]

    rows = [
        [style.say("Piece"), *[str(p.number) for p in pieces]],
        [
            style.say("green mass"),
            *[
                style.text(mass_text(p.wet, units=style.units)) if p.wet else style.say(UNKNOWN)
                for p in pieces
            ],
        ],
        [
            style.say("mass at {moisture:g} %", moisture=plan.job.nest.final_moisture),
            *[
                style.say(UNKNOWN)
                if p.target_mass is None
                else style.text(mass_number(p.target_mass, units=style.units))
                for p in pieces
            ],
        ],
        row(style.say("tenth of diameter"), lambda p: p.thumb_wall),
        row(style.say("dried, across grain"), lambda p: p.dried.across if p.dried else None),
        row(style.say("dried, along grain"), lambda p: p.dried.along if p.dried else None),
        row(style.say("largest true circle"), lambda p: p.dried.circle if p.dried else None),
        row(style.say("wall left, turned true"), lambda p: p.dried.wall_left if p.dried else None),
        row(style.say("depth then"), lambda p: p.dried.depth if p.dried else None),
        [
            style.say("tenon dried"),
            *[
                style.lengths(p.dried_tenon) if p.dried_tenon else style.say(UNKNOWN)
                for p in pieces
            ],
        ],
        [style.say("jaws for it, turned true"), *[_jaws_then(p, style) for p in pieces]],
    ]
    return _known(style, rows)


def _known(style: PrintStyle, rows: list[list[str]]) -> list[list[str]]:
    """The rows of which at least one figure is known."""
    return [row for row in rows if set(row[1:]) != {style.say(UNKNOWN)}]


def _jaws_then(piece: BowlFigures, style: PrintStyle) -> str:
    if piece.dried_tenon is None:
        return style.say(UNKNOWN)
    return piece.dried_jaws.id if piece.dried_jaws else style.say("none")


def _held_rows(pieces: Sequence[BowlFigures], style: PrintStyle) -> list[list[str]]:
    held = [p.hold for p in pieces]
    rows = [
        [style.say("Held green, piece"), *[str(p.number) for p in pieces]],
        [style.say("jaws"), *[h.jaws.id if h else style.say("none") for h in held]],
        [style.say("tenon ring, closed"), *[style.length(h.closed) if h else "-" for h in held]],
        [style.say("tenon ring, widest"), *[style.length(h.widest) if h else "-" for h in held]],
        [style.say("grip"), *[style.say(h.grip.value) if h else "-" for h in held]],
        [
            style.say("share of the rim"),
            *[style.figure(h.share, ".0%") if h else "-" for h in held],
        ],
        [style.say("strength, half = 1"), *[style.figure(p.strength, ".2f") for p in pieces]],
        [
            style.say("tenon breaks at about"),
            *[
                style.say(UNKNOWN)
                if p.break_force is None
                else style.text(force_text(p.break_force, units=style.units))
                for p in pieces
            ],
        ],
        [
            style.say("times motor's force"),
            *[
                style.say(UNKNOWN) if p.margin is None else f"{style.figure(p.margin, '.1f')} ×"
                for p in pieces
            ],
        ],
    ]
    return _known(style, rows)


def _cut_rows(plan: Plan, cuts: Sequence[Cut], style: PrintStyle) -> list[list[str]]:
    again = plan.job.nest.order is Order.OUTER_FIRST

    def jaws(cut: Cut) -> str:
        held = plan.bowls[cut.number - 1 if again else 0].jaws
        return held.id if held else style.say("none")

    def row(name: str, figure: Callable[[Cut], float]) -> list[str]:
        return [name, *[style.length(figure(c)) for c in cuts]]

    return [
        [style.say("Cut, in working order"), *[str(c.number) for c in cuts]],
        [style.say("cutter"), *[c.cutter.id for c in cuts]],
        [style.say("work held in jaws"), *[jaws(c) for c in cuts]],
        row(style.say("mark from own rim"), lambda c: c.entry_from_rim),
        row(style.say("entry radius"), lambda c: c.entry_radius),
        row(style.say("pivot in front of face"), lambda c: c.pivot_standoff),
        row(style.say("pivot offset, + to entry"), lambda c: c.pivot_offset),
        row(style.say("cutter above centre"), lambda c: c.cutter_height),
        row(style.say("depth at axis"), lambda c: c.depth_at_axis),
        row(style.say("deepest"), lambda c: c.deepest),
        [style.say("swing"), *[f"{math.degrees(c.swing):.0f}°" for c in cuts]],
        [style.say("relief: shift / depth"), *[_relief(c, style) for c in cuts]],
    ]


def _sense(style: PrintStyle, name: str, figures: Sequence[float]) -> list[str]:
    """How much thicker the wall around a cut grows for each unit a setting is out."""
    return [name, *[style.figure(f, "+.2f") for f in figures]]


def _relief(cut: Cut, style: PrintStyle) -> str:
    if cut.relief is None:
        return style.say("none")
    return f"{style.length(cut.relief.shift)} / {style.length(cut.relief.depth)}"


def _piece_rows(pieces: Sequence[Bowl], style: PrintStyle) -> list[list[str]]:
    def row(name: str, figure: Callable[[Bowl], float | None], *, missing: str = "") -> list[str]:
        figures = [figure(p) for p in pieces]
        return [name, *[missing if f is None else style.length(f) for f in figures]]

    return [
        [style.say("Piece"), *[str(p.number) for p in pieces]],
        row(style.say("rim Ø"), lambda p: p.rim_diameter),
        row(style.say("depth to shoulder"), lambda p: p.depth),
        row(style.say("wall"), lambda p: p.wall, missing=style.say("solid")),
        row(style.say("wall wanted"), lambda p: p.wall_required),
        row(style.say("wall, worst setting"), lambda p: p.wall_worst),
        row(style.say("floor"), lambda p: p.floor),
        row(style.say("floor wanted"), lambda p: p.floor_required),
        row(style.say("tenon Ø"), lambda p: p.tenon_diameter),
        row(style.say("tenon length"), lambda p: p.tenon_length),
        [style.say("jaws"), *[p.jaws.id if p.jaws else style.say("none") for p in pieces]],
    ]


def _wrapped(items: list[Item], text: str, y: float) -> float:
    for part in wrap(text, width=WIDTH - 8, size=BODY):
        items.append(Text(text=part, at=Point(3, y)))
        y -= LEADING
    return y


def _table(items: list[Item], rows: list[list[str]], y: float) -> float:
    widest = max(text_width(row[0], size=BODY, bold=n == 0) for n, row in enumerate(rows))
    first = min(max(LEAST_NAMES, widest + 5.0), MOST_NAMES)
    column = (WIDTH - first) / max(1, len(rows[0]) - 1)
    for n, row in enumerate(rows):
        items.append(line(0, y + BODY + 0.4, WIDTH, y + BODY + 0.4, role=Role.NOTE))
        cells = [(3.0, wrap(row[0], width=first - 4.0, size=BODY, bold=n == 0))]
        cells += [
            (first + k * column + 1.5, wrap(cell, width=column - 3, size=BODY, bold=n == 0))
            for k, cell in enumerate(row[1:])
        ]
        for x, parts in cells:
            items += [
                Text(text=part, at=Point(x, y - m * LEADING), bold=n == 0)
                for m, part in enumerate(parts)
            ]
        y -= max(1, *(len(parts) for _, parts in cells)) * LEADING + 0.6
    items.append(line(0, y + BODY + 0.4, WIDTH, y + BODY + 0.4, role=Role.NOTE))
    return y - 1
