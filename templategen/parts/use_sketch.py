"""Use sketches: where on the blank or at the lathe a kind of part is held, and one line on it."""

import functools
from collections.abc import Callable
from dataclasses import dataclass

from templategen.geometry.shapes import Transform
from templategen.messages import Message, tr
from templategen.parts.drawing import BODY, Drawing, Path
from templategen.parts.lettering import balanced
from templategen.parts.sketches import at_bench, at_lathe, end_on
from templategen.parts.sketches.covered import without_covered_lines
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind


@dataclass(frozen=True, slots=True)
class _Use:
    """The sketch of a kind and how to use it, in one sentence of at most 60 letters."""

    draw: Callable[[], list[Path]]
    line: Message


_USES: dict[PartKind, _Use] = {
    PartKind.WORK_ORDER: _Use(
        at_bench.work_order, tr("Hang it by the lathe and tick off each step.")
    ),
    PartKind.SETTING_CARD: _Use(
        at_bench.setting_card, tr("Stand it on the headstock: one column for each cut.")
    ),
    PartKind.FIGURES_CARD: _Use(
        at_bench.figures_card, tr("Read it before the work: every figure and its ground.")
    ),
    PartKind.SECTION_SHEET: _Use(
        at_bench.section_sheet, tr("Pin it on the wall: all bowls and cuts, full size.")
    ),
    PartKind.HAND_OUT: _Use(
        at_bench.hand_out, tr("Pin it up at the bench: whose blank, and every figure.")
    ),
    PartKind.BLANK_DISC: _Use(
        end_on.blank_disc, tr("Nail through the centre, pencil in the hole, draw round.")
    ),
    PartKind.LOG_END: _Use(
        end_on.log_card, tr("Mark the pith line and the saw lines as the card shows.")
    ),
    PartKind.LOG_OVERLAY: _Use(
        end_on.log_end, tr("Bold line on the pith, then mark the saw lines.")
    ),
    PartKind.OUTSIDE_TEMPLATE: _Use(
        at_lathe.outside_template, tr("Lathe off. Hook on the face, then look for light.")
    ),
    PartKind.TENON_RING: _Use(
        end_on.tenon_ring, tr("Lathe off. The lips pass the tenon, the round stops.")
    ),
    PartKind.FULL_CIRCLE: _Use(
        end_on.full_circle, tr("Lathe off. Tailstock away. It passes the tenon, or stops.")
    ),
    PartKind.TENON_PROFILE: _Use(
        at_lathe.tenon_profile, tr("Lathe off. Press it on the shoulder, look for light.")
    ),
    PartKind.SETTING_PLATE: _Use(
        at_lathe.setting_plate, tr("Lathe off. Against face and rim, pin in the slot.")
    ),
    PartKind.STANDOFF_BLOCK: _Use(
        at_lathe.standoff_block, tr("Lathe off. Slide the post against it, lock the post.")
    ),
    PartKind.GAUGE_STICK: _Use(
        end_on.gauge_stick, tr("Lathe off. End at the rim; mark the entries on the face.")
    ),
    PartKind.GAUGE_BLOCK: _Use(
        end_on.gauge_block, tr("Lathe off. One end at rim or mark; mark the other end.")
    ),
    PartKind.HEIGHT_STICK: _Use(
        end_on.height_stick, tr("Lathe off. Stand it on the bed, tip level with the top.")
    ),
    PartKind.CUT_PLATE: _Use(
        at_lathe.cut_plate, tr("Lathe off. Hook on the rim, curved edge on the wood.")
    ),
    PartKind.STOP_DIAL: _Use(
        at_lathe.stop_dial, tr("Put it on the post; stop the swing where the dial says.")
    ),
    PartKind.DEPTH_STICK: _Use(
        at_lathe.depth_stick, tr("Lathe off. From a straightedge on the rim to the bottom.")
    ),
    PartKind.TAG: _Use(at_bench.tag, tr("Tie it to the bowl as soon as the bowl is free.")),
    PartKind.DRYING_SHEET: _Use(
        at_bench.drying_sheet, tr("Weigh the bowl, write down date and mass.")
    ),
    PartKind.HOLDING_CARD: _Use(
        at_lathe.holding_card, tr("Lathe off. Bowl over the disc, tail centre on its foot.")
    ),
    PartKind.CUTTER_ARC: _Use(
        at_bench.cutter_arc, tr("Lay the blade on it: edge and tip follow the arc.")
    ),
    PartKind.RADIUS_FINDER: _Use(
        at_bench.radius_finder, tr("Lay the blade on it: the arc that fits is its radius.")
    ),
    PartKind.JAW_DEPTH_BLOCK: _Use(
        at_lathe.jaw_depth_block, tr("Lathe off. Push it to the bottom, level with the jaws.")
    ),
    PartKind.SCALE_SHEET: _Use(
        at_bench.scale_sheet, tr("Print it first; measure both bars with a steel rule.")
    ),
}


def use_sketch(kind: PartKind, *, left: float = 0.0, bottom: float = 0.0) -> Drawing:
    """Where the part is held: bold the part, thin the lathe, the wood and the hand.

    Args:
        kind: of the part.
        left: x of the lower left corner of the sketch, mm.
        bottom: y of it, mm.

    Returns: a drawing within 35 × 25 mm, without any text; all of it notes, never cut.
    """
    sketch = _sketch(kind)
    return sketch.moved(Transform.move(left, bottom)) if left or bottom else sketch


@functools.cache
def _sketch(kind: PartKind) -> Drawing:
    """The sketch at its own place."""
    return Drawing(items=tuple(without_covered_lines(_USES[kind].draw())))


def use_line(kind: PartKind) -> Message:
    """How the part is used, in one sentence of at most 60 letters."""
    return _USES[kind].line


def use_rows(kind: PartKind, style: PrintStyle, *, room: float) -> list[str]:
    """The line of a kind as rows of body text of about equal length, at most `room` mm wide."""
    return balanced(style.text(use_line(kind)), width=room, size=BODY)
