"""Standoff block: the way from the face to the near side of the post's body."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.dimension import dimension
from templategen.parts.drawing import BODY, Item, Part, line, part_of, polyline
from templategen.parts.labels import LEADING, block, flag_rows, flag_size, job_label
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
        for cut in plan.working_order
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


def _tail(plan: Plan, cut: Cut) -> tuple[float, float]:
    """Half width and depth of the tail that the hollow inside a cut has room for, mm."""
    hollow = plan.cuts[cut.number]
    deep = min(TAIL, 0.5 * hollow.deepest)
    reach = math.sqrt(hollow.cutter.radius**2 - (hollow.pivot_standoff + deep) ** 2)
    room = hollow.pivot_offset + reach - abs(cut.pivot_offset) - 2.0
    return max(NARROW, min(TOUCH, room)), deep


def _extent(rows: Sequence[str], size: float, body: float) -> tuple[float, float, float]:
    """The block that holds the rows: end of its bar, right end and top, mm.

    Where the bar is high enough the rows stand on it and it has no tab: its end is 0.

    Args:
        rows: its wording.
        size: height of the bar, mm.
        body: of the post, mm.
    """
    wide, tall = flag_size(rows)
    if size >= tall + 1.0:
        return 0.0, max(wide + 2.0, WIDE), size
    bar = 2 * TOUCH + body / 2 + CLEAR
    return bar, bar + wide, max(tall + 1.0, size + 6.0)


def _phrases(plan: Plan, cut: Cut, size: float, style: PrintStyle) -> list[str]:
    body = style.length(plan.shop.post.body or 0.0)
    title = style.say("Standoff block, cut {number}", number=cut.number)
    return [
        f"{title}: {style.length(size)}",
        style.say("from the face to the post's body, Ø {body}", body=body),
        style.say("upper edge on the post; the line level with a straightedge across the face")
        if is_over_hollow(plan, cut)
        else style.say("lower edge on the face, upper edge on the post"),
        style.say("cut flat to the line"),
    ]


def _block(plan: Plan, cut: Cut, size: float, body: float, style: PrintStyle) -> Part:
    phrases, label = _phrases(plan, cut, size, style), job_label(plan, style)
    wordings = [flag_rows([*phrases, label.fitted(width)], width=width) for width in ROWS]
    found = [(rows, *_extent(rows, size, body)) for rows in wordings]
    rows, bar, right, top = min(found, key=lambda one: one[2] * one[3])
    tail: list[tuple[float, float]] = []
    items: list[Item] = []
    if is_over_hollow(plan, cut):
        half, deep = _tail(plan, cut)
        start, end = TOUCH - half, TOUCH + half
        tail = [(start, 0.0), (start, -deep), (end, -deep), (end, 0.0)]
        items.append(line(start, 0.0, end, 0.0))
    tab = [(bar, top), (bar, size)] if bar else []
    corners = [(0.0, 0.0), *tail, (right, 0.0), (right, top), *tab, (0.0, size)]
    first = (top + (len(rows) - 1) * LEADING) / 2 - 0.26 * BODY
    at = TOUCH if bar else right - 4.0
    return part_of(
        PartKind.STANDOFF_BLOCK,
        f"standoff-block-{cut.number}",
        style.say("Standoff block, cut {number}", number=cut.number),
        [
            polyline(dict.fromkeys(corners), closed=True),
            *items,
            *block(rows, at=Point(bar + 3.0 if bar else 4.0, first)),
            *dimension(Point(at, size), Point(at, 0.0)),
        ],
    )
