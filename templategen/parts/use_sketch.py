"""Use sketches: where on the blank or at the lathe a kind of part is held, and one line on it."""

import functools
from collections.abc import Callable

from templategen.messages import Message, tr
from templategen.parts.drawing import BODY, Drawing, Path
from templategen.parts.lettering import balanced
from templategen.parts.sketches import at_bench, at_lathe, end_on
from templategen.parts.sketches.covered import without_covered_lines
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

_SKETCHES: dict[PartKind, Callable[[], list[Path]]] = {
    PartKind.WORK_ORDER: at_bench.work_order,
    PartKind.SETTING_CARD: at_bench.setting_card,
    PartKind.FIGURES_CARD: at_bench.figures_card,
    PartKind.SECTION_SHEET: at_bench.section_sheet,
    PartKind.HAND_OUT: at_bench.hand_out,
    PartKind.BLANK_DISC: end_on.blank_disc,
    PartKind.LOG_END: end_on.log_card,
    PartKind.LOG_OVERLAY: end_on.log_end,
    PartKind.OUTSIDE_TEMPLATE: at_lathe.outside_template,
    PartKind.TENON_RING: end_on.tenon_ring,
    PartKind.FULL_CIRCLE: end_on.full_circle,
    PartKind.TENON_PROFILE: at_lathe.tenon_profile,
    PartKind.SETTING_PLATE: at_lathe.setting_plate,
    PartKind.STANDOFF_BLOCK: at_lathe.standoff_block,
    PartKind.GAUGE_STICK: end_on.gauge_stick,
    PartKind.GAUGE_BLOCK: end_on.gauge_block,
    PartKind.HEIGHT_STICK: end_on.height_stick,
    PartKind.CUT_PLATE: at_lathe.cut_plate,
    PartKind.STOP_DIAL: at_lathe.stop_dial,
    PartKind.DEPTH_STICK: at_lathe.depth_stick,
    PartKind.TAG: at_bench.tag,
    PartKind.DRYING_SHEET: at_bench.drying_sheet,
    PartKind.HOLDING_CARD: at_lathe.holding_card,
    PartKind.CUTTER_ARC: at_bench.cutter_arc,
    PartKind.RADIUS_FINDER: at_bench.radius_finder,
    PartKind.JAW_DEPTH_BLOCK: at_lathe.jaw_depth_block,
    PartKind.SCALE_SHEET: at_bench.scale_sheet,
}
USE_LINES: dict[PartKind, Message] = {  # one sentence of at most 60 letters
    PartKind.WORK_ORDER: tr("Hang it by the lathe and tick off each step."),
    PartKind.SETTING_CARD: tr("Stand it on the headstock: one column for each cut."),
    PartKind.FIGURES_CARD: tr("Read it before the work: every figure and its ground."),
    PartKind.SECTION_SHEET: tr("Pin it on the wall: all bowls and cuts, full size."),
    PartKind.HAND_OUT: tr("Pin it up at the bench: whose blank, and every figure."),
    PartKind.BLANK_DISC: tr("Nail through the centre, pencil in the hole, draw round."),
    PartKind.LOG_END: tr("Mark the pith line and the saw lines as the card shows."),
    PartKind.LOG_OVERLAY: tr("Bold line on the pith, then mark the saw lines."),
    PartKind.OUTSIDE_TEMPLATE: tr("Lathe off. Hook on the face, then look for light."),
    PartKind.TENON_RING: tr("Lathe off. The lips pass the tenon, the round stops."),
    PartKind.FULL_CIRCLE: tr("Lathe off. Tailstock away. It passes the tenon, or stops."),
    PartKind.TENON_PROFILE: tr("Lathe off. Press it on the shoulder, look for light."),
    PartKind.SETTING_PLATE: tr("Lathe off. Against face and rim, pin in the slot."),
    PartKind.STANDOFF_BLOCK: tr("Lathe off. Slide the post against it, lock the post."),
    PartKind.GAUGE_STICK: tr("Lathe off. End at the rim; mark the entries on the face."),
    PartKind.GAUGE_BLOCK: tr("Lathe off. One end at rim or mark; mark the other end."),
    PartKind.HEIGHT_STICK: tr("Lathe off. Stand it on the bed, tip level with the top."),
    PartKind.CUT_PLATE: tr("Lathe off. Hook on the rim, curved edge on the wood."),
    PartKind.STOP_DIAL: tr("Tape it to the post; stop at STOP, or early without one."),
    PartKind.DEPTH_STICK: tr("Lathe off. From a straightedge on the rim to the bottom."),
    PartKind.TAG: tr("Tie it to the bowl as soon as the bowl is free."),
    PartKind.DRYING_SHEET: tr("Weigh the bowl, write down date and mass."),
    PartKind.HOLDING_CARD: tr("Lathe off. Bowl over the disc, tail centre on its foot."),
    PartKind.CUTTER_ARC: tr("Lay the blade on it: edge and tip follow the arc."),
    PartKind.RADIUS_FINDER: tr("Lay the blade on it: the arc that fits is its radius."),
    PartKind.JAW_DEPTH_BLOCK: tr("Lathe off. Push it to the bottom, level with the jaws."),
    PartKind.SCALE_SHEET: tr("Print it first; measure both bars with a steel rule."),
}


@functools.cache
def use_sketch(kind: PartKind) -> Drawing:
    """Where the part is held: bold the part, thin the lathe, the wood and the hand.

    Returns: a drawing of 35 × 25 mm or less, its lower left corner at the origin, without any
        text; all of it notes, never cut.
    """
    return Drawing(items=tuple(without_covered_lines(_SKETCHES[kind]())))


def use_rows(kind: PartKind, style: PrintStyle, *, room: float) -> list[str]:
    """The line of a kind as rows of body text of about equal length, at most `room` mm wide."""
    return balanced(style.text(USE_LINES[kind]), width=room, size=BODY)
