"""Standoff block: the way from the face to the near side of the post's body."""

import math

from templategen.geometry.shapes import Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.dimension import dimension
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.face_plate import working_order
from templategen.parts.labels import LEADING, block, flag_rows, flag_size, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind

WIDE = 66.0  # mm: width of a block that holds its wording
TOUCH = 10.0  # mm: from the left end to where the post's body touches
CLEAR = 4.0  # mm between the post's body and the tab of a thin block
NARROW = 4.0  # mm: least half width of the tail
TAIL = 18.0  # mm: how far a block for a cored face reaches into the hollow, less in a shallow one
LEAST = 8.0  # mm: a thinner block breaks in ply (common practice, no source)
TOUCHING = 0.5  # mm: a smaller gap is none
SHOWN = 7.5  # mm: a thinner bar has no room for the arrows of its size


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One block for each cut, in working order; none where the shop states no ``post.body``.

    A block thinner than `LEAST` would break: the setting plate names the gap, and a drill shank or
    feelers gauge it.

    Its height is the pivot's standoff less half of the body; its lower edge lies on the face under
    the post. Where that part of the face is cored already, the block has a tail that hangs into the
    hollow, and the line over the tail is brought level with the edge of a straightedge that lies
    across the face.
    """
    body = plan.shop.post.body
    if body is None:
        return ()
    return tuple(
        _block(plan, cut, cut.pivot_standoff - body / 2, body, style)
        for cut in working_order(plan)
        if cut.pivot_standoff - body / 2 >= LEAST
    )


def narrow_gap(plan: Plan, cut: Cut) -> float | None:
    """From the face to the post's body, mm, where it is too narrow for a block; else None."""
    body = plan.shop.post.body
    if body is None:
        return None
    gap = cut.pivot_standoff - body / 2
    return gap if TOUCHING <= gap < LEAST else None


def is_over_hollow(plan: Plan, cut: Cut) -> bool:
    """Whether cores inside a cut have been parted before, so that the face is open there."""
    return plan.job.nest.order is Order.INNER_FIRST and cut.number < len(plan.cuts)


def _tail(plan: Plan, cut: Cut) -> tuple[float, float] | None:
    """Half width and depth of the tail that the hollow has room for, mm; None on a whole face.

    The face is open under the post where cores inside this cut have been parted before.
    """
    if not is_over_hollow(plan, cut):
        return None
    hollow = plan.cuts[cut.number]
    deep = min(TAIL, 0.5 * hollow.deepest)
    reach = math.sqrt(hollow.cutter.radius**2 - (hollow.pivot_standoff + deep) ** 2)
    room = hollow.pivot_offset + reach - abs(cut.pivot_offset) - 2.0
    return max(NARROW, min(TOUCH, room)), deep


def _block(plan: Plan, cut: Cut, size: float, body: float, style: PrintStyle) -> Part:
    tail = _tail(plan, cut)
    title = style.say("Standoff block, cut {number}", number=cut.number)
    phrases = [
        f"{title}: {style.length(size)}",
        style.say("from the face to the post's body, {body} thick", body=style.length(body)),
        style.say("upper edge on the post; the line level with a straightedge across the face")
        if tail
        else style.say("lower edge on the face, upper edge on the post"),
        style.say("cut flat to the line"),
        job_label(plan, style).fitted(1.6 * WIDE),
    ]
    lines = flag_rows([phrase for phrase in phrases if phrase], width=WIDE - 12.0)
    wide, tall = flag_size(lines)
    if size >= tall + 1.0:
        x, right, top = 4.0, WIDE, size
        shown = WIDE - 4.0
        over = [(right, size)]
    else:
        bar = 2 * TOUCH + body / 2 + CLEAR
        x, right, top = bar + 3.0, bar + wide, max(tall + 1.0, size + 6.0)
        shown = TOUCH
        over = [(right, top), (bar, top), (bar, size)]
    corners = [(0.0, 0.0), (right, 0.0), *over, (0.0, size)]
    items: list[Item] = []
    if tail:
        half, deep = tail
        start, end = TOUCH - half, TOUCH + half
        corners[1:1] = [(start, 0.0), (start, -deep), (end, -deep), (end, 0.0)]
        if start == 0.0:
            corners = corners[1:]
        items.append(line(start, 0.0, end, 0.0))
    first = (top + (len(lines) - 1) * LEADING) / 2 - 0.26 * BODY
    items = [polyline(corners, closed=True), *items, *block(lines, at=Point(x, first))]
    if size >= SHOWN:
        items += dimension(Point(shown, size), Point(shown, 0.0))
    return Part(
        kind=PartKind.STANDOFF_BLOCK.value,
        key=f"standoff-block-{cut.number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )
