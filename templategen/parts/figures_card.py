"""Figures card: every figure behind the setting card, with its ground; all of it estimates."""

import math
from collections.abc import Callable, Mapping, Sequence

from templategen.messages import Written, tr_noop
from templategen.nest.estimates import (
    BowlFigures,
    Figures,
    energy_text,
    figures_of,
    force_text,
    mass_number,
    mass_text,
    speed_text,
    torque_text,
)
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.card import UNKNOWN, Card, Rows, known_rows
from templategen.parts.drawing import Part
from templategen.parts.labels import LEADING, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.units import Units, format_length

CUT = {Units.MM: tr_noop("Cut (lengths in mm)"), Units.IN: tr_noop("Cut (lengths in inches)")}
BOWL = {Units.MM: tr_noop("Bowl (lengths in mm)"), Units.IN: tr_noop("Bowl (lengths in inches)")}
NOTHING = "–"  # of what a bowl does not have
WIDE_COLUMNS = 3  # in one table at most, for three changes of a wall in a cell
STUB_HOLDS = tr_noop("stub holds")  # the core's weight breaks no neck
GROUNDS = (
    tr_noop(
        "Worst: both pivots out by the tolerance. Release: the core's weight breaks its neck; stop "
        "at 1.5 times that. Strength: d³ against half the rim. Break: by a force at the rim."
    ),
    tr_noop(
        "Estimates, never ratings. The makers' limits, local codes and qualified instruction come "
        "first."
    ),
)
SENSE = tr_noop(
    "Wall for each unit that offset / standoff / height is out: + is thicker, - is thinner."
)
OTHERS = tr_noop("Other sets of bowls from this blank")
CATCH = tr_noop(
    "At {speed:.0f} rpm the blank holds about {energy}: a catch can break any tenon, whatever the "
    "motor."
)


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One card; where the bowls make it taller than a sheet they have a card of their own."""
    figures, label = figures_of(plan), job_label(plan, style)
    title = style.say("Figures and grounds")
    card = Card()
    card.heading(tr_noop("Figures and grounds: {job}"), label, style)
    for text in _lathe_lines(plan, figures, style):
        card.write(text)
    card.skip(LEADING * 0.3)
    cuts = plan.working_order
    card.tables(cuts, lambda some: _cut_rows(some, style))
    if cuts:
        card.skip(-1.0)
        card.write(style.say(SENSE))
        card.skip(0.5)
    rest = card.continued()
    _write_bowls(rest, plan, figures, style)
    if rest.fits_a_sheet:
        card.append(rest)
        return (card.part(PartKind.FIGURES_CARD, key="figures-card", title=title),)
    bowls = Card()
    bowls.heading(tr_noop("Figures and grounds, bowls: {job}"), label, style)
    _write_bowls(bowls, plan, figures, style)
    second = style.say("Figures and grounds, bowls")
    return (
        card.part(PartKind.FIGURES_CARD, key="figures-card", title=title),
        bowls.part(PartKind.FIGURES_CARD, key="figures-card-bowls", title=second),
    )


def _write_bowls(card: Card, plan: Plan, figures: Figures, style: PrintStyle) -> None:
    """The bowls, the other sets that a turner would weigh against them, and the grounds."""
    pairs = list(zip(plan.bowls, figures.bowls, strict=True))
    card.tables(pairs, lambda some: _bowl_rows(some, style))
    if plan.sets:
        card.write(style.say(OTHERS), bold=True)
    for other in plan.sets:
        card.write(
            style.say(
                "{label}: rims {rims}; cutters {cutters}",
                label=other.label,
                rims=slashed(other.rims, style, unit=True),
                cutters=", ".join(other.cutters),
            )
        )
    for text in GROUNDS:
        card.write(style.say(text))


def _lathe_lines(plan: Plan, figures: Figures, style: PrintStyle) -> list[str]:
    """Wood, mass and speed; what a catch meets; limits of mass; the motor."""
    wood = style.text(figures.wood.shown_name) if figures.wood else style.say("wood not named")
    mass = style.say("not known: weigh it")
    if figures.mass:
        mass = style.text(mass_text(figures.mass, units=style.units))
    lines = [
        style.say(
            "{wood}, green blank {mass}. {speed:.0f} rpm (rim at {rim}): the least of the shop's "
            "and makers' limits and 6000 over the inches across (common practice, no source).",
            wood=wood,
            mass=mass,
            speed=figures.speed.max_rpm,
            rim=speed_text(figures.rim_speed, units=style.units),
        )
    ]
    if figures.speed.energy_j is not None:
        energy = energy_text(figures.speed.energy_j, units=style.units)
        lines.append(style.say(CATCH, speed=figures.speed.max_rpm, energy=energy))
    limits = [
        style.say(template, limit=mass_number(limit, units=style.units))
        for template, limit in (
            (tr_noop("lathe {limit}"), plan.shop.lathe.max_mass_kg),
            (tr_noop("chuck {limit}"), plan.shop.chuck.max_mass_kg),
        )
        if limit is not None
    ]
    last = []
    if limits:
        last.append(style.say("Mass limits: {limits}.", limits=", ".join(limits)))
    if figures.driving is not None:
        last.append(
            style.say(
                "Motor: {torque} at {speed:.0f} rpm; forces at the tip are for that.",
                torque=torque_text(figures.driving.torque_nm, units=style.units),
                speed=figures.driving.speed_rpm,
            )
        )
    return [*lines, " ".join(last)] if last else lines


def _known_or(style: PrintStyle, text: str | Written | None) -> str:
    """A text, or `UNKNOWN` for None."""
    return style.say(UNKNOWN) if text is None else style.text(text)


def _cut_rows(cuts: Sequence[Cut], style: PrintStyle) -> Rows:
    """Where the cuts run, how they end, what drives them and what their settings do to a wall."""

    def row(name: str, cell: Callable[[Cut], str]) -> list[str]:
        return [name, *[cell(cut) for cut in cuts]]

    known = [
        row(style.say("release: swing, neck"), lambda cut: _release(cut, style)),
        row(style.say("force: entry / half / stop"), lambda cut: _forces(cut, style)),
        row(style.say("droops / rubs inside radius"), lambda cut: _droop_and_rub(cut, style)),
    ]
    return [
        [_with_unit(CUT, style), *[str(c.number) for c in cuts]],
        row(style.say("entry radius"), lambda cut: slashed((cut.entry_radius,), style)),
        row(
            style.say("depth: axis / deepest"),
            lambda cut: slashed((cut.depth_at_axis, cut.deepest), style),
        ),
        *known_rows(known, style),
        *_sense_rows(cuts, style),
    ]


def _sense_rows(cuts: Sequence[Cut], style: PrintStyle) -> Rows:
    """How each setting changes the wall; in two rows where the columns are narrow."""
    found = [cut.sensitivity for cut in cuts]

    def row(name: str, changes: Sequence[tuple[float, ...]]) -> list[str]:
        return [name, *[" / ".join(style.figure(c, "+.2f") for c in own) for own in changes]]

    if len(cuts) <= WIDE_COLUMNS:
        changes = [(s.offset, s.standoff, s.height) for s in found]
        return [row(style.say("wall, per 1 out"), changes)]
    return [
        row(style.say("wall, per 1 offset / standoff"), [(s.offset, s.standoff) for s in found]),
        row(style.say("wall, per 1 height"), [(s.height,) for s in found]),
    ]


def _release(cut: Cut, style: PrintStyle) -> str:
    """Where the core's weight breaks its neck."""
    if cut.release_angle is None or cut.release_neck is None:
        return style.say(UNKNOWN if cut.stop_angle is None else STUB_HOLDS)
    angle = style.figure(math.degrees(cut.release_angle), ".1f")
    return f"{angle}°, Ø {style.length(cut.release_neck)}"


def _forces(cut: Cut, style: PrintStyle) -> str:
    """What full power does at the tip."""
    found = (cut.force_entry_n, cut.force_half_n, cut.force_release_n)
    if all(force is None for force in found):
        return style.say(UNKNOWN)
    return " / ".join(
        NOTHING if f is None else style.text(force_text(f, units=style.units)) for f in found
    )


def _droop_and_rub(cut: Cut, style: PrintStyle) -> str:
    """The radii inside which the tip droops below centre, and rubs."""
    droop = cut.droop_radius
    if droop is None and cut.rub_radius is None:
        return style.say(UNKNOWN)
    if droop is not None:  # past the entry: it droops in all of the cut
        droop = min(droop, cut.entry_radius)
    return slashed((droop, cut.rub_radius), style)


def _with_unit(headings: Mapping[Units, str], style: PrintStyle) -> str:
    """The heading of a table whose lengths stand without their unit."""
    return style.say(headings[style.units.first])


def slashed(values: Sequence[float | None], style: PrintStyle, *, unit: bool = False) -> str:
    """Lengths with strokes between them, a dash for one that is not known.

    Args:
        values: mm.
        style: units and language; with both units the second ones follow in brackets.
        unit: whether the first unit is named, for lengths outside a table.
    """
    main, *other = (
        " / ".join(
            NOTHING if v is None else format_length(v, units, unit=False, wording=style.wording)
            for v in values
        )
        for units in style.units.shown
    )
    named = f"{main} {style.units.first.value}" if unit else main
    return f"{named} ({other[0]} {style.units.shown[1].value})" if other else named


def _bowl_rows(bowls: Sequence[tuple[Bowl, BowlFigures]], style: PrintStyle) -> Rows:
    """Size, walls and floors with what was wanted, tenon and strength, masses."""
    units = style.units

    def row(name: str, cell: Callable[[Bowl, BowlFigures], str]) -> list[str]:
        return [name, *[cell(bowl, figures) for bowl, figures in bowls]]

    def breaks_at(_: Bowl, figures: BowlFigures) -> str:
        force = figures.break_force
        return _known_or(style, None if force is None else force_text(force, units=units))

    def held(bowl: Bowl, figures: BowlFigures) -> str:
        share, strength = (
            style.figure(bowl.tenon_share, ".0%"),
            style.figure(figures.strength, ".2f"),
        )
        return f"{share} / {strength}"

    def lengths(values: Callable[[Bowl], Sequence[float | None]]) -> Callable[..., str]:
        def shown(bowl: Bowl, _: BowlFigures) -> str:
            return NOTHING if bowl.wall is None else slashed(values(bowl), style)

        return shown

    masses = [
        row(
            style.say("green mass"),
            lambda _, f: _known_or(style, mass_text(f.wet, units=units) if f.wet else None),
        ),
        row(style.say("tenon breaks at about"), breaks_at),
    ]
    return [
        [_with_unit(BOWL, style), *[str(b.number) for b, _ in bowls]],
        row(style.say("wall: least / greatest"), lengths(lambda b: (b.wall, b.wall_greatest))),
        row(style.say("wall: wanted / worst"), lengths(lambda b: (b.wall_required, b.wall_worst))),
        row(
            style.say("floor: wanted / worst"), lengths(lambda b: (b.floor_required, b.floor_worst))
        ),
        row(style.say("tenon: share / strength"), held),
        *known_rows(masses, style),
    ]
