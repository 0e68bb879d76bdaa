"""Gauge blocks: the spacing from one entry mark to the next, and the depth of the jaws."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.nest.plan import Plan
from templategen.parts.columns import SLACK, balanced_rows
from templategen.parts.dimension import dimension
from templategen.parts.drawing import BODY, Drawing, Item, Part, polyline, rectangle
from templategen.parts.labels import LEADING, JobLabel, block, flag_size, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Shop
from templategen.units import Rounding, Units, format_length

WIDTHS = (50.0, 60.0, 75.0, 95.0, 120.0)  # mm: widest row of wording; the first that fits
FLAGGED = 60.0  # mm: of the wording on a tab
LONGEST_TITLE = 120.0  # mm: a longer title is broken
BAR = 40.0  # mm: length of the gauging bar of a block too thin for its wording
BIN = 0.005  # mm; two stacks of plies this near count as one
NEAR = 0.25  # mm: a stack that is nearer to the size does; chosen here, half of a marked step


@dataclass(frozen=True, slots=True)
class BlockWish:
    """A block to draw: end of its key, title, what lies between its faces, and its size, mm."""

    key: str
    title: str
    between: str
    size: float


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Blocks as high as the spacing of the entry marks: wall, kerf and relief.

    An arrow shows which way a block measures; its wording says how to make it of the stock.
    """
    wishes = _own_marks if plan.job.nest.order is Order.OUTER_FIRST else _steps
    label, stock = job_label(plan, style), plan.job.print.stock
    return tuple(
        _block(PartKind.GAUGE_BLOCK, wish, stock, label, style)
        for wish in wishes(plan, style)
        if wish.size > 0
    )


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """A block as high as each set of the shop's jaws is deep."""
    stock = shop.rules.print_of(shop.units).stock
    wishes = [
        BlockWish(
            f"jaws-{n}",
            style.say("Jaw depth, jaws {jaws}", jaws=jaws.id),
            style.say("from the mouth to the bottom of the jaws; stand it on the bottom"),
            jaws.depth,
        )
        for n, jaws in enumerate(shop.jaws, start=1)
    ]
    return tuple(_block(PartKind.JAW_DEPTH_BLOCK, wish, stock, label, style) for wish in wishes)


def _steps(plan: Plan, style: PrintStyle) -> list[BlockWish]:
    """From the entry mark of one cut to that of the next, both on the face."""
    wishes = []
    for outer, inner in itertools.pairwise(plan.cuts):
        one, next_ = outer.number, inner.number
        title = style.say("Spacing block, cut {one} to {next}", one=one, next=next_)
        between = tr_noop("between the entry marks of cuts {one} and {next}, flat on the face")
        size = outer.entry_radius - inner.entry_radius
        said = style.say(between, one=one, next=next_)
        wishes.append(BlockWish(f"rim-{one}-{next_}", title, said, size))
    return wishes


def _own_marks(plan: Plan, style: PrintStyle) -> list[BlockWish]:
    """From the rim of the bowl that is held to the mark of its cut.

    When the next cut comes, the mark of the last one has gone with the bowl it freed.
    """
    between = tr_noop("between the rim of bowl {number} and the mark, flat on the face")
    return [
        BlockWish(
            f"rim-{cut.number}",
            style.say("Spacing block, cut {number}", number=cut.number),
            style.say(between, number=bowl.number),
            cut.entry_from_rim,
        )
        for bowl, cut in zip(plan.bowls, plan.cuts, strict=False)
    ]


@dataclass(frozen=True, slots=True)
class Stack:
    """Plies on one another: (count, thickness) from the thickest down, and how far they are over.

    `over` is their height less the size, mm: negative where they are under it.
    """

    plies: tuple[tuple[int, float], ...]
    over: float


def nearest_stack(size: float, stock: Sequence[float]) -> Stack:
    """Plies that together come nearest to a size, over or under, as few as will do.

    Args:
        size: mm, > 0.
        stock: thicknesses in use, mm, > 0; at least one.

    >>> nearest_stack(41.0, (3.0, 6.0, 18.0))
    Stack(plies=((2, 18.0), (1, 6.0)), over=1.0)
    """
    plies = sorted(set(stock), reverse=True)
    found: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, (0,) * len(plies))}
    for n, ply in enumerate(plies):
        waiting = list(found)
        while waiting:
            total, counts = found[waiting.pop()]
            if total >= size:  # one ply over is enough
                continue
            tall = total + ply
            more = (*counts[:n], counts[n] + 1, *counts[n + 1 :])
            key = round(tall / BIN)
            if key not in found or sum(more) < sum(found[key][1]):
                found[key] = (tall, more)
                waiting.append(key)
    real = [one for one in found.values() if sum(one[1])]
    total, counts = min(real, key=lambda one: (round(abs(one[0] - size) / BIN), sum(one[1])))
    chosen = tuple((c, ply) for c, ply in zip(counts, plies, strict=True) if c)
    return Stack(chosen, total - size)


def _making(stack: Stack | None, style: PrintStyle) -> str:
    """How to make a block: a stack of plies where one meets the size, else one piece cut flat."""
    if stack is None:
        return style.say("one copy, cut on the line; no stack of plies meets it")
    plies = " + ".join(f"{count} × {ply_text(ply, style)}" for count, ply in stack.plies)
    copies = sum(count for count, _ in stack.plies)
    shown = style.say_count(
        "stack {count} ply: {plies}", "stack {count} plies: {plies}", copies, plies=plies
    )
    if abs(stack.over) < 0.05:
        return shown
    off = style.lengths((abs(stack.over),))
    side = style.say("{off} over", off=off) if stack.over > 0 else style.say("{off} under", off=off)
    return f"{shown}, {side}"


def ply_text(ply: float, style: PrintStyle) -> str:
    """A thickness by the name it is sold under: millimetres where no 1/64 in meets it."""
    step = Units.IN.grid
    if style.units is Units.IN and abs(ply / step - round(ply / step)) * step < 0.01:
        return format_length(
            ply, Units.IN, rounding=Rounding(denominator=64), wording=style.wording
        )
    return format_length(ply, Units.MM, rounding=Rounding(places=2), wording=style.wording)


def _block(
    kind: PartKind, wish: BlockWish, stock: Sequence[float], label: JobLabel, style: PrintStyle
) -> Part:
    nearest = nearest_stack(wish.size, stock)
    stack = nearest if abs(nearest.over) <= NEAR + BIN else None
    title = f"{wish.title}: {style.length(wish.size)}"
    phrases = [title, wish.between, _making(stack, style)]
    if stack is not None:
        phrases.append(style.say("cut on the line"))
    own = min(text_width(title, size=BODY, bold=True), LONGEST_TITLE)

    def rows_of(width: float) -> list[str]:
        width = max(own, width)
        return balanced_rows([*phrases, label.fitted(width)], width=width + SLACK)

    shapes = (rows for rows in map(rows_of, WIDTHS) if len(rows) * LEADING + 2.0 <= wish.size)
    rows = next(shapes, None)
    items = _plain(rows, wish.size) if rows else _flagged(rows_of(FLAGGED), wish.size)
    return Part(
        kind=kind.value,
        key=f"gauge-block-{wish.key}",
        title=wish.title,
        drawing=Drawing(items=items),
        plies=() if stack is None else stack.plies,
    )


def _plain(rows: Sequence[str], size: float) -> tuple[Item, ...]:
    """A block that holds its wording."""
    wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(rows)) + 11.0
    return (
        rectangle(Box(0.0, 0.0, wide, size)),
        *dimension(Point(wide - 3.0, size), Point(wide - 3.0, 0.0)),
        *block(rows, at=Point(4.0, _first_baseline(rows, size))),
    )


def _first_baseline(rows: Sequence[str], size: float) -> float:
    """Of rows about the middle of a block, mm."""
    return size / 2 + (len(rows) - 1) * LEADING / 2 - 1.1


def _flagged(rows: Sequence[str], size: float) -> tuple[Item, ...]:
    """A bar as thick as the spacing, with a label tab at its end to hold and to read."""
    wide, tall = flag_size(rows)
    tall = max(tall, size + 4.0)
    low, high = (size - tall) / 2, (size + tall) / 2
    corners = (
        (0.0, 0.0),
        (BAR, 0.0),
        (BAR, low),
        (BAR + wide, low),
        (BAR + wide, high),
        (BAR, high),
        (BAR, size),
        (0.0, size),
    )
    return (
        polyline(corners, closed=True),
        *dimension(Point(BAR / 2, size), Point(BAR / 2, 0.0)),
        *block(rows, at=Point(BAR + 3.0, _first_baseline(rows, size))),
    )
