"""Setting card: the ten figures that each cut needs at the lathe, large, a column a cut."""

import math
from collections.abc import Sequence

from templategen.messages import tr_noop
from templategen.nest.plan import Cut, Level, Plan
from templategen.parts.card import WIDTH, Card
from templategen.parts.drawing import BODY, Part
from templategen.parts.face_plate import held_bowl
from templategen.parts.figure_table import Figure, Row, figure_table
from templategen.parts.labels import job_label
from templategen.parts.standoff_block import narrow_gap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind
from templategen.units import MM_PER_INCH, Units, format_length

AGAIN = tr_noop(
    "Outermost cut first. After each cut turn the core's tenon and hold the core by it, true to "
    "its face and rim, before its own cut."
)
EARLY, BEFORE, OF = tr_noop("early"), tr_noop("before {figure}"), tr_noop("of {depth}")
MOST_CUTS = 5  # in one table
NOTHING = "–"


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One card: the figures, the working order and what forbids the work, if anything."""
    card = Card()
    card.heading(tr_noop("Setting card: {job}"), job_label(plan, style), style)
    card.skip(0.5)
    cuts = plan.working_order
    for first in range(0, len(cuts), MOST_CUTS):
        rows = table_rows(plan, cuts[first : first + MOST_CUTS], style)
        items, low = figure_table(rows, top=card.y + BODY + 0.6, width=WIDTH)
        card.items += items
        card.y = low - BODY - 2.6
    if len(plan.cuts) > 1 and plan.job.nest.order is Order.OUTER_FIRST:
        card.write(style.say(AGAIN))
    card.write(style.say(last_line(cuts)), bold=True)
    for finding in plan.findings:
        if finding.level is Level.STOP:
            card.write(f"{style.say(finding.level.value)}: {style.text(finding.text)}", bold=True)
    return (card.part(PartKind.SETTING_CARD, key="setting-card", title=style.say("Setting card")),)


def last_line(cuts: Sequence[Cut]) -> str:
    """What is done at the end of a cut; without a stop mark where the wood is not known."""
    if all(cut.stop_angle is not None for cut in cuts):
        return tr_noop("At the stop: lathe off, then break the core out by hand, wedge or bar.")
    return tr_noop("Stop early: lathe off, then break the core out by hand, wedge or bar.")


def table_rows(plan: Plan, cuts: Sequence[Cut], style: PrintStyle) -> list[Row]:
    """The heading and the ten figures of some cuts."""

    def row(template: str, figures: Sequence[Figure]) -> Row:
        return Row(style.say(template), tuple(figures))

    return [
        row(_cut_heading(style), [_numbered(plan, c, style) for c in cuts]),
        row(tr_noop("cutter"), [Figure(c.cutter.id) for c in cuts]),
        row(tr_noop("work held in jaws"), [_jaws(plan, c) for c in cuts]),
        row(_entry_name(plan), [_length(c.entry_from_rim, style) for c in cuts]),
        row(tr_noop("pivot in front of the face"), [_standoff(plan, c, style) for c in cuts]),
        row(tr_noop("pivot beside the axis"), [_offset(c, style) for c in cuts]),
        row(tr_noop("cutter above centre"), [_length(c.cutter_height, style) for c in cuts]),
        row(tr_noop("relief: shift, then depth"), [_relief(c, style) for c in cuts]),
        row(tr_noop("stop: swing from the face"), [_stop(c, style) for c in cuts]),
        row(tr_noop("stop: depth, of deepest"), [_depth(c, style) for c in cuts]),
        row(tr_noop("rpm, at most"), [_speed(plan, style) for _ in cuts]),
    ]


def _cut_heading(style: PrintStyle) -> str:
    if style.units.first is Units.IN:
        return tr_noop("Cut, in working order (lengths in inches)")
    return tr_noop("Cut, in working order (lengths in mm)")


def _entry_name(plan: Plan) -> str:
    """What the entry is measured from: outermost first, each cut has a rim of its own."""
    if plan.job.nest.order is Order.OUTER_FIRST:
        return tr_noop("entry mark, from the rim on the lathe")
    return tr_noop("entry mark, from the rim")


def _numbered(plan: Plan, cut: Cut, style: PrintStyle) -> Figure:
    freed = plan.bowls[cut.number].shown_name
    return Figure(str(cut.number), style.say("frees {bowl}", bowl=freed))


def _jaws(plan: Plan, cut: Cut) -> Figure:
    held = held_bowl(plan, cut)
    return Figure(held.jaws.id) if held.jaws else Figure(NOTHING)


def _length(value: float, style: PrintStyle) -> Figure:
    """A length without its unit; below it thousandths of an inch, or the other unit."""
    units, wording = style.units, style.wording
    large = format_length(value, units.first, unit=False, wording=wording)
    small = []
    if units.first is Units.IN:
        small.append(style.figure(value / MM_PER_INCH, ".3f"))
    for other in units.shown[1:]:
        small.append(format_length(value, other, wording=wording))
    return Figure(large, ", ".join(small))


def _small(value: float, style: PrintStyle) -> str:
    """A length beside a figure: without the unit that stands in the heading, or in both units."""
    units = style.units
    if units.is_both:
        return style.lengths((value,))
    return format_length(value, units, unit=False, wording=style.wording)


def _standoff(plan: Plan, cut: Cut, style: PrintStyle) -> Figure:
    """How far the pivot is off the face; with it the gap of a post too near for a block."""
    shown, gap = _length(cut.pivot_standoff, style), narrow_gap(plan, cut)
    if gap is None:
        return shown
    near = style.say("post: {gap} off", gap=_small(gap, style))
    return Figure(shown.large, ", ".join(filter(None, (shown.small, near))))


def _offset(cut: Cut, style: PrintStyle) -> Figure:
    shown = _length(abs(cut.pivot_offset), style)
    if abs(cut.pivot_offset) < 0.05:
        return Figure(shown.large, style.say("on the axis"))
    side = style.say("towards the entry") if cut.pivot_offset > 0 else style.say("past the axis")
    return Figure(shown.large, f"{shown.small} {side}".strip())


def _relief(cut: Cut, style: PrintStyle) -> Figure:
    if cut.relief is None:
        return Figure(NOTHING)
    shift, depth = _length(cut.relief.shift, style), _length(cut.relief.depth, style)
    small = f"{shift.small} / {depth.small}" if shift.small else ""
    return Figure(f"{shift.large} / {depth.large}", small)


def _stop(cut: Cut, style: PrintStyle) -> Figure:
    """Where to stop the lathe; early where the strength of the wood is not known."""
    if cut.stop_angle is None:
        swing = f"{math.degrees(cut.swing):.0f}°"
        return Figure(style.say(EARLY), style.say(BEFORE, figure=swing))
    neck = ""
    if cut.stop_neck is not None:
        neck = style.say("neck Ø {neck}", neck=_small(cut.stop_neck, style))
    angle = style.figure(math.degrees(cut.stop_angle), ".1f")  # as on the stop dial
    return Figure(f"{angle}°", neck)


def _depth(cut: Cut, style: PrintStyle) -> Figure:
    if cut.stop_depth is None:
        before = style.say(BEFORE, figure=_small(cut.deepest, style))
        return Figure(style.say(EARLY), before)
    deepest = style.say(OF, depth=_small(cut.deepest, style))
    shown = _length(cut.stop_depth, style)
    return Figure(shown.large, ", ".join(filter(None, (shown.small, deepest))))


def _speed(plan: Plan, style: PrintStyle) -> Figure:
    if plan.speed is None:
        return Figure(NOTHING)
    start = style.say("start at {speed:.0f}", speed=plan.speed.start_rpm)
    return Figure(f"{plan.speed.max_rpm:.0f}", start)
