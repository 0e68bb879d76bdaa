"""Setting plate: lies against the face, hooks over the rim and holds the post's pin in place."""

import math

from templategen.geometry.shapes import Arc, Box, Point, Segment
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Item,
    Part,
    Path,
    Role,
    Text,
    cross,
    line,
    part_of,
    run_through,
)
from templategen.parts.face_plate import (
    CROSS,
    FacePlate,
    between_bowls,
    chosen_pin_phrase,
    held_phrases,
    hook_size,
    pin_diameters,
    pin_outline,
    pivot_phrase,
    rim_x,
)
from templategen.parts.labels import job_label
from templategen.parts.lettering import text_width
from templategen.parts.standoff_block import is_over_hollow, narrow_gap
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

NOTCH = 2.0  # mm: half the width of the notch at the entry; it is twice as high
WEB = 4.0  # mm: least wood between the slot and the straight edge
EDGE, SHORT_EDGE = 8.0, 6.0  # mm: beyond the slot and its labels
LABELS = 8.0  # mm: height of the row of labels along the straight edge
LONGEST = (
    249.0  # mm: what a sheet of letter that lies holds; a longer plate has less beside its slot
)
LABEL_AT = 2.4  # mm: baseline of that row


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cut, in working order.

    The plate lies flat in the cutter's plane in front of the face. With its straight edge on the
    face and its hook over the rim that is on the lathe, the slot's end away from the axis holds
    the post's pin where the pivot of the cut is, the other end where the relief cut has it.
    """
    return tuple(_plate(plan, cut, style) for cut in plan.working_order)


def _plate(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    shift = cut.relief.shift if cut.relief else 0.0
    pins = _pins(plan, cut, style)
    radius = max(pins, default=0.0) / 2
    entry = pivot.x + math.sqrt(cut.cutter.radius**2 - pivot.y**2)
    rim = rim_x(plan, cut)
    slot = Box(pivot.x - shift - radius, pivot.y - radius, pivot.x + radius, pivot.y + radius)
    left, axis, ends = _beside_slot(slot, pivot, shift, rim, style)
    arm = min(CROSS, max(1.0, 0.4 * shift)) if shift > 0 else CROSS
    right = max([slot.right + 4.0, *[t.bounds().right for t in ends]])
    pin_box = Box(left, slot.bottom, right, max(slot.top, pivot.y + arm))
    title = style.say("Setting plate, cut {number}", number=cut.number)
    plate = FacePlate(
        [f"{title}: {cut.cutter.id}", *_phrases(plan, cut, pins, style)],
        pin=pin_box,
        rim=rim,
        entry=entry,
        low=LABELS,
    )
    half = min(NOTCH, (rim - entry) / 3)
    is_open = plan.shop.post.pin is not None and slot.bottom < WEB
    edge = _straight_edge(
        Point(left, 0.0), Point(rim - plate.corner, 0.0), entry, half, slot if is_open else None
    )
    outline = Path(segments=(*edge, *plate.hook_and_back()), closed=True)
    items: list[Item] = [outline, *axis, *ends, *plate.texts]
    if plan.shop.post.pin is None:
        items += [pin_outline(pivot, d, shift, role=Role.MARK) for d in pins]
    elif not is_open:
        items.append(pin_outline(pivot, plan.shop.post.pin, shift))
    for x in dict.fromkeys((pivot.x, pivot.x - shift)):
        items += cross(Point(x, pivot.y), arm)
    items += _edge_labels(entry, half, rim, slot, style)
    return part_of(PartKind.SETTING_PLATE, f"setting-plate-{cut.number}", title, items)


def _beside_slot(
    slot: Box, pivot: Point, shift: float, rim: float, style: PrintStyle
) -> tuple[float, list[Item], list[Text]]:
    """Left end of the plate, mm, the mark of the axis and the names of the slot's ends.

    A plate that would be longer than a sheet has less beside its slot.
    """

    def drawn(*, is_short: bool) -> tuple[float, list[Item], list[Text]]:
        axis = _axis_mark(slot, style, to_the_right=is_short)
        ends = _end_labels(pivot, slot.height / 2, shift, style)[1 if is_short else 0 :]
        boxes = [t.bounds() for t in (*ends, *axis) if isinstance(t, Text)]
        edge = slot.left - (SHORT_EDGE if is_short else EDGE)
        left = min([edge, pivot.x - shift - CROSS - 2.0, *[b.left - 3.0 for b in boxes]])
        return left, axis, ends

    whole = drawn(is_short=False)
    return whole if rim + hook_size(rim) - whole[0] <= LONGEST else drawn(is_short=True)


def _pins(plan: Plan, cut: Cut, style: PrintStyle) -> tuple[float, ...]:
    """The pin's diameter, or those to choose from that fit between pivot and face, mm."""
    pins = pin_diameters(plan.shop, style)
    if plan.shop.post.pin is not None:
        return pins
    return tuple(d for d in pins if cut.pivot_standoff - d / 2 >= WEB)


def _straight_edge(
    start: Point, end: Point, entry: float, half: float, slot: Box | None
) -> tuple[Segment, ...]:
    """The edge on the face with the notch at the entry, and the slot where it opens to the face."""
    corners: list[Point | Segment] = [start]
    if slot is not None:
        radius = (slot.top - slot.bottom) / 2
        middle = slot.top - radius
        inner = Arc(Point(slot.left + radius, middle), radius, math.pi, -math.pi / 2)
        outer = Arc(Point(slot.right - radius, middle), radius, math.pi / 2, -math.pi / 2)
        corners += [Point(slot.left, 0.0), inner, outer, Point(slot.right, 0.0)]
    corners += [Point(entry - half, 0.0), Point(entry, 2 * half), Point(entry + half, 0.0), end]
    return run_through(corners)


def _end_labels(pivot: Point, radius: float, shift: float, style: PrintStyle) -> list[Text]:
    """Which end of the slot is the relief cut's and which the cut's; none for a hole."""
    if shift <= 0:
        return []
    y = pivot.y - 0.26 * BODY
    gap = max(radius, CROSS) + 1.5
    return [
        Text(
            text=style.say("relief →"),
            at=Point(pivot.x - shift - gap, y),
            anchor=Anchor.END,
            bold=True,
        ),
        Text(text=style.say("← cut"), at=Point(pivot.x + gap, y), bold=True),
    ]


def _axis_mark(slot: Box, style: PrintStyle, *, to_the_right: bool) -> list[Item]:
    """The axis on the straight edge, with its name; none where the slot is in the way."""
    covered = slot.bottom < LABELS and slot.left - 1.0 < 0.0 < slot.right + 1.0
    if covered:
        return []
    name = style.say("axis")
    label = Text(text=name, at=Point(1.5, LABEL_AT))
    if slot.bottom < LABELS or not to_the_right:
        right = min(-1.5, slot.left - 1.5) if slot.bottom < LABELS else -1.5
        label = Text(text=name, at=Point(right, LABEL_AT), anchor=Anchor.END)
    return [line(0.0, 0.0, 0.0, 6.0), label]


def _edge_labels(entry: float, half: float, rim: float, slot: Box, style: PrintStyle) -> list[Text]:
    """Names along the straight edge: the notch, and the way to the axis and to the rim."""
    texts: list[Text] = []
    name = style.say("← axis · entry")
    right = entry - half - 1.5
    if right - text_width(name, size=BODY) > max(slot.right, 0.0) + 3.0:
        texts.append(Text(text=name, at=Point(right, LABEL_AT), anchor=Anchor.END))
    name, left = style.say("rim →"), entry + half + 1.5
    if left + text_width(name, size=BODY) < rim - 2.5:
        texts.append(Text(text=name, at=Point(left, LABEL_AT)))
    return texts


def _gap_phrase(plan: Plan, cut: Cut, style: PrintStyle) -> str:
    """How a gap too narrow for a block is gauged; '' for a wider one."""
    gap = narrow_gap(plan, cut)
    if gap is None:
        return ""
    if is_over_hollow(plan, cut):
        return style.say(
            "post {gap} off the face: lay a straightedge over the hollow; a drill shank of {gap} "
            "less its thickness fits between the two",
            gap=style.length(gap),
        )
    return style.say(
        "post {gap} off the face: a drill shank of that size fits between the two",
        gap=style.length(gap),
    )


def _phrases(plan: Plan, cut: Cut, pins: tuple[float, ...], style: PrintStyle) -> list[str]:
    phrases = [between_bowls(plan, cut, style), *held_phrases(plan, cut, style)]
    if plan.shop.post.pin is not None:
        phrases.append(
            style.say("slot over the pin: right end for the cut, left end for the relief")
            if cut.relief
            else style.say("hole over the pin")
        )
    elif pins:
        phrases.append(chosen_pin_phrase(pins, style))
    else:
        phrases.append(style.say("cross: centre of the pin"))
    phrases += [
        pivot_phrase(cut, style),
        _gap_phrase(plan, cut, style),
        style.say("cut on the line"),
        job_label(plan, style).fitted(80.0),
    ]
    return [phrase for phrase in phrases if phrase]
