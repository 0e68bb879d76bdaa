"""Setting card: all settings of the cuts for the lathe, with findings and cautions."""

import math
from collections.abc import Callable, Sequence

from templategen.messages import tr_noop
from templategen.nest.estimates import Figures, figures_of
from templategen.nest.plan import Bowl, Cut, Level, Plan
from templategen.parts import estimates_card
from templategen.parts.card import Card, Rows
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import Part
from templategen.parts.labels import LEADING, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order

STAYS = tr_noop(
    "Innermost cut first; the blank stays on its own tenon until the last core is parted."
)
AGAIN = tr_noop(
    "Outermost cut first. After each cut turn the core's tenon and hold the core by it, true to "
    "its face and rim, before its own cut; measure from its own rim and from the face of its jaws."
)
MOST_FINDINGS = 8  # gravest first; one that forbids the work is never left out


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The settings, and what wood, jaws and lathe make of them; findings apart if need be."""
    figures = figures_of(plan)
    return *_settings(plan, figures, style), *estimates_card.make(plan, figures, style=style)


def _settings(plan: Plan, figures: Figures, style: PrintStyle) -> tuple[Part, ...]:
    """Cuts in working order as columns, then the bowls, findings and cautions.

    Where the findings would make the card taller than a sheet they have a card of their own.
    """
    label = job_label(plan, style)
    card = Card()
    card.heading(tr_noop("Setting card: {job}"), label, style)
    card.write(_speed_line(plan, figures, style))
    if len(plan.cuts) > 1:
        card.write(style.say(AGAIN if plan.job.nest.order is Order.OUTER_FIRST else STAYS))
    card.skip(LEADING * 0.3)
    cuts = [c for n in plan.sequence for c in plan.cuts if c.number == n]
    card.tables(cuts, lambda some: _cut_rows(plan, some, style))
    card.tables(plan.bowls, lambda some: _bowl_rows(some, style))
    title = style.say("Setting card")
    rest = card.continued()
    _write_findings(rest, plan, style)
    _write_cautions(rest, plan, style)
    if rest.fits_a_sheet or not plan.findings:
        card.append(rest)
        return (card.part(key="setting-card", title=title),)
    _write_cautions(card, plan, style)
    findings = Card()
    findings.heading(tr_noop("Findings: {job}"), label, style)
    _write_findings(findings, plan, style)
    return (
        card.part(key="setting-card", title=title),
        findings.part(key="findings-card", title=style.say("Setting card, findings")),
    )


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


def _write_findings(card: Card, plan: Plan, style: PrintStyle) -> None:
    """The findings, gravest first; one that forbids the work is never left out."""
    ranked = sorted(plan.findings, key=lambda f: list(Level).index(f.level))
    shown = max(MOST_FINDINGS, sum(f.level is Level.STOP for f in ranked))
    for finding in ranked[:shown]:
        card.write(f"{style.say(finding.level.value)}: {style.text(finding.text)}")
    if len(ranked) > shown:
        more = "and {count} more: see the plan"
        card.write(style.say_count(more, more, len(ranked) - shown))
    card.skip(2)


def _write_cautions(card: Card, plan: Plan, style: PrintStyle) -> None:
    card.write(style.say("Cautions"), bold=True)
    for caution in cautions_for(plan.shop):
        card.write(f"• {style.text(caution)}")


def _cut_rows(plan: Plan, cuts: Sequence[Cut], style: PrintStyle) -> Rows:
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


def _relief(cut: Cut, style: PrintStyle) -> str:
    if cut.relief is None:
        return style.say("none")
    return f"{style.length(cut.relief.shift)} / {style.length(cut.relief.depth)}"


def _bowl_rows(bowls: Sequence[Bowl], style: PrintStyle) -> Rows:
    def row(name: str, figure: Callable[[Bowl], float | None], *, missing: str = "") -> list[str]:
        figures = [figure(p) for p in bowls]
        return [name, *[missing if f is None else style.length(f) for f in figures]]

    return [
        [style.say("Bowl"), *[str(p.number) for p in bowls]],
        row(style.say("rim Ø"), lambda p: p.rim_diameter),
        row(style.say("depth to shoulder"), lambda p: p.depth),
        row(style.say("wall"), lambda p: p.wall, missing=style.say("solid")),
        row(style.say("wall wanted"), lambda p: p.wall_required),
        row(style.say("wall, worst setting"), lambda p: p.wall_worst),
        row(style.say("floor"), lambda p: p.floor),
        row(style.say("floor wanted"), lambda p: p.floor_required),
        row(style.say("tenon Ø"), lambda p: p.tenon_diameter),
        row(style.say("tenon length"), lambda p: p.tenon_length),
        [style.say("jaws"), *[p.jaws.id if p.jaws else style.say("none") for p in bowls]],
    ]
