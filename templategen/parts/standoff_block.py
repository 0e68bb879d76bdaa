"""Standoff block: the way from the face to the near side of the post's body."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.dimension import dimension
from templategen.parts.drawing import BODY, Drawing, Item, Part, line, polyline
from templategen.parts.face_plate import working_order
from templategen.parts.labels import LEADING, JobLabel, block, flag_rows, flag_size, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind

WIDE = 40.0  # mm: least width of a block that holds its wording
ROWS = (54.0, 68.0, 82.0, 100.0)  # mm: widths of its rows, the one with the least block is taken
TOUCH = 10.0  # mm: from the left end to where the post's body touches
CLEAR = 4.0  # mm between the post's body and the tab of a thin block
NARROW = 4.0  # mm: least half width of the tail
TAIL = 18.0  # mm: how far a block for a cored face reaches into the hollow, less in a shallow one
LEAST = 8.0  # mm: a thinner block breaks in ply (common practice, no source)
TOUCHING = 0.5  # mm: a smaller gap is none


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """A block with its wording.

    Args:
        lines: rows of wording.
        left: x of them, mm.
        top: of the part that holds them, mm.
        right: end of the block, mm.
        corners: of its upper side, from the right to the left, mm.
        arrows: x of the dimension of its size, mm.
    """

    lines: tuple[str, ...]
    left: float
    top: float
    right: float
    corners: tuple[tuple[float, float], ...]
    arrows: float


def _shape(
    phrases: Sequence[str], label: JobLabel, width: float, size: float, body: float
) -> _Shape:
    """The block with its wording in rows of `width` mm, on the bar itself where it is high enough.

    Args:
        phrases: its wording.
        label: the job's title and date, the last row.
        width: of a row, mm.
        size: height of the bar, mm.
        body: of the post, mm.
    """
    lines = tuple(flag_rows([*phrases, label.fitted(width)], width=width))
    wide, tall = flag_size(lines)
    if size >= tall + 1.0:
        right = max(wide + 2.0, WIDE)
        return _Shape(
            lines=lines,
            left=4.0,
            top=size,
            right=right,
            corners=((right, size),),
            arrows=right - 4.0,
        )
    bar = 2 * TOUCH + body / 2 + CLEAR
    top = max(tall + 1.0, size + 6.0)
    return _Shape(
        lines=lines,
        left=bar + 3.0,
        top=top,
        right=bar + wide,
        corners=((bar + wide, top), (bar, top), (bar, size)),
        arrows=TOUCH,
    )


def _phrases(plan: Plan, cut: Cut, size: float, style: PrintStyle) -> list[str]:
    body = style.length(plan.shop.post.body or 0.0)
    title = style.say("Standoff block, cut {number}", number=cut.number)
    return [
        f"{title}: {style.length(size)}",
        style.say("from the face to the post's body, {body} thick", body=body),
        style.say("upper edge on the post; the line level with a straightedge across the face")
        if is_over_hollow(plan, cut)
        else style.say("lower edge on the face, upper edge on the post"),
        style.say("cut flat to the line"),
    ]


def _block(plan: Plan, cut: Cut, size: float, body: float, style: PrintStyle) -> Part:
    tail = _tail(plan, cut)
    phrases, label = _phrases(plan, cut, size, style), job_label(plan, style)
    shapes = [_shape(phrases, label, width, size, body) for width in ROWS]
    shape = min(shapes, key=lambda found: found.right * found.top)
    corners = [(0.0, 0.0), (shape.right, 0.0), *shape.corners, (0.0, size)]
    items: list[Item] = []
    if tail:
        half, deep = tail
        start, end = TOUCH - half, TOUCH + half
        corners[1:1] = [(start, 0.0), (start, -deep), (end, -deep), (end, 0.0)]
        if start == 0.0:
            corners = corners[1:]
        items.append(line(start, 0.0, end, 0.0))
    first = (shape.top + (len(shape.lines) - 1) * LEADING) / 2 - 0.26 * BODY
    rows = block([row for row in shape.lines if row], at=Point(shape.left, first))
    items = [polyline(corners, closed=True), *items, *rows]
    items += dimension(Point(shape.arrows, size), Point(shape.arrows, 0.0))
    return Part(
        kind=PartKind.STANDOFF_BLOCK,
        key=f"standoff-block-{cut.number}",
        title=style.say("Standoff block, cut {number}", number=cut.number),
        drawing=Drawing(items=tuple(items)),
    )
