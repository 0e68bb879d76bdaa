"""Second setting card: what wood, jaws and lathe make of the settings; all of it estimates."""

from collections.abc import Callable, Sequence

from templategen.messages import Written, tr_noop
from templategen.nest.estimates import (
    BowlFigures,
    Figures,
    force_text,
    mass_number,
    mass_text,
    speed_text,
    torque_text,
)
from templategen.nest.plan import Cut, Plan
from templategen.parts.card import UNKNOWN, Card, Rows, known_rows
from templategen.parts.drawing import Part
from templategen.parts.labels import LEADING, job_label
from templategen.parts.style import PrintStyle

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


def make(plan: Plan, figures: Figures, *, style: PrintStyle) -> tuple[Part, ...]:
    """Speeds and forces, then each bowl green and dried and how it is held.

    Where that is taller than a sheet, how the bowls are held has a card of its own.
    """
    label = job_label(plan, style)
    card = Card()
    card.heading(tr_noop("Wood, holding and driving: {job}"), label, style)
    for text in _lathe_lines(plan, figures, style):
        card.write(text)
    card.skip(LEADING * 0.3)
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n]
    card.tables(cuts, lambda some: _drive_rows(some, figures, style))
    if cuts:
        card.write(style.say(SENSE))
        card.skip(2)
    card.tables(figures.bowls, lambda some: _dried_rows(some, plan, style))
    rest = card.continued()
    _write_holding(rest, figures, style)
    if rest.fits_a_sheet or not figures.bowls:
        card.append(rest)
        return (card.part(key="holding-card", title=style.say("Setting card, wood and holding")),)
    _write_notes(card, style)
    held = Card()
    held.heading(tr_noop("Holding: {job}"), label, style)
    _write_holding(held, figures, style)
    return (
        card.part(key="holding-card", title=style.say("Setting card, wood and driving")),
        held.part(key="held-card", title=style.say("Setting card, holding")),
    )


def _write_holding(card: Card, figures: Figures, style: PrintStyle) -> None:
    card.tables(figures.bowls, lambda some: _held_rows(some, style))
    _write_notes(card, style)


def _write_notes(card: Card, style: PrintStyle) -> None:
    for text in ESTIMATES:
        card.write(style.say(text))


def _known_or(style: PrintStyle, text: str | Written | None) -> str:
    """A text, or `UNKNOWN` for None."""
    return style.say(UNKNOWN) if text is None else style.text(text)


def _lathe_lines(plan: Plan, figures: Figures, style: PrintStyle) -> list[str]:
    wood = style.text(figures.wood.shown_name) if figures.wood else style.say("wood not named")
    mass = style.say("not known: weigh it")
    if figures.mass:
        mass = style.text(mass_text(figures.mass, units=style.units))
    lines = [
        style.say(
            "{wood}, green blank {mass}. At {speed:.0f} rpm the rim runs at {rim}. 6000 to 9000 "
            "over the diameter in inches (common practice) gives {low:.0f} to {high:.0f} rpm.",
            wood=wood,
            mass=mass,
            speed=figures.coring_speed,
            rim=speed_text(figures.rim_speed, units=style.units),
            low=figures.rough_speed,
            high=figures.rule_speed,
        )
    ]
    limits = [
        style.say(template, limit=mass_number(limit, units=style.units))
        for template, limit in (
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
                torque=torque_text(figures.torque, units=style.units),
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


def _drive_rows(cuts: Sequence[Cut], figures: Figures, style: PrintStyle) -> Rows:
    driven = {c.number: c for c in figures.cuts}

    def force(cut: Cut) -> str:
        value = driven[cut.number].tip_force if cut.number in driven else None
        return _known_or(style, None if value is None else force_text(value, units=style.units))

    def droop(cut: Cut) -> str:
        value = driven[cut.number].droop if cut.number in driven else None
        return _known_or(style, None if value is None else style.length(value))

    def growth(name: str, changes: Sequence[float]) -> list[str]:
        """How much thicker the wall around each cut is for each unit that a setting is out."""
        return [name, *[style.figure(change, "+.2f") for change in changes]]

    driving = [
        [style.say("force at the tip"), *[force(c) for c in cuts]],
        [style.say("droop of the cutter"), *[droop(c) for c in cuts]],
    ]
    return [
        [style.say("Cut, in working order"), *[str(c.number) for c in cuts]],
        *known_rows(driving, style),
        growth(style.say("wall, per 1 of offset"), [c.sensitivity.offset for c in cuts]),
        growth(style.say("wall, per 1 of standoff"), [c.sensitivity.standoff for c in cuts]),
        growth(style.say("wall, per 1 of height"), [c.sensitivity.height for c in cuts]),
    ]


def _dried_rows(bowls: Sequence[BowlFigures], plan: Plan, style: PrintStyle) -> Rows:
    units = style.units

    def row(name: str, value: Callable[[BowlFigures], str | Written | None]) -> list[str]:
        return [name, *[_known_or(style, value(b)) for b in bowls]]

    def lengths(name: str, value: Callable[[BowlFigures], float | None]) -> list[str]:
        found = [value(b) for b in bowls]
        return [name, *[_known_or(style, None if f is None else style.length(f)) for f in found]]

    def target(bowl: BowlFigures) -> Written | None:
        mass = bowl.target_mass
        return None if mass is None else mass_number(mass, units=units)

    def jaws(bowl: BowlFigures) -> str | None:
        if bowl.dried_tenon is None:
            return None
        return bowl.dried_jaws.id if bowl.dried_jaws else style.say("none")

    final = style.say("mass at {moisture:g} %", moisture=plan.job.nest.final_moisture)
    rows = [
        [style.say("Bowl"), *[str(b.number) for b in bowls]],
        row(style.say("green mass"), lambda b: mass_text(b.wet, units=units) if b.wet else None),
        row(final, target),
        lengths(style.say("tenth of diameter"), lambda b: b.thumb_wall),
        lengths(style.say("dried, across grain"), lambda b: b.dried.across if b.dried else None),
        lengths(style.say("dried, along grain"), lambda b: b.dried.along if b.dried else None),
        lengths(style.say("largest true circle"), lambda b: b.dried.circle if b.dried else None),
        lengths(
            style.say("wall left, turned true"), lambda b: b.dried.wall_left if b.dried else None
        ),
        lengths(style.say("depth then"), lambda b: b.dried.depth if b.dried else None),
        row(
            style.say("tenon dried"),
            lambda b: style.lengths(b.dried_tenon) if b.dried_tenon else None,
        ),
        row(style.say("jaws for it, turned true"), jaws),
    ]
    return known_rows(rows, style)


def _held_rows(bowls: Sequence[BowlFigures], style: PrintStyle) -> Rows:
    held = [b.hold for b in bowls]

    def breaks_at(bowl: BowlFigures) -> str:
        force = bowl.break_force
        return _known_or(style, None if force is None else force_text(force, units=style.units))

    def margin(bowl: BowlFigures) -> str:
        value = bowl.margin
        return _known_or(style, None if value is None else f"{style.figure(value, '.1f')} ×")

    rows = [
        [style.say("Held green, bowl"), *[str(b.number) for b in bowls]],
        [style.say("jaws"), *[h.jaws.id if h else style.say("none") for h in held]],
        [style.say("tenon ring, closed"), *[style.length(h.closed) if h else "-" for h in held]],
        [style.say("tenon ring, widest"), *[style.length(h.widest) if h else "-" for h in held]],
        [style.say("grip"), *[style.say(h.grip.value) if h else "-" for h in held]],
        [
            style.say("share of the rim"),
            *[style.figure(h.share, ".0%") if h else "-" for h in held],
        ],
        [style.say("strength, half = 1"), *[style.figure(b.strength, ".2f") for b in bowls]],
        [style.say("tenon breaks at about"), *[breaks_at(b) for b in bowls]],
        [style.say("times motor's force"), *[margin(b) for b in bowls]],
    ]
    return known_rows(rows, style)
