"""Gauge blocks: the step from one cut to the next, and a block the depth of the jaws."""

from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.dimension import dimension
from templategen.parts.drawing import BODY, Drawing, Item, Part, polyline, rectangle
from templategen.parts.labels import (
    LEADING,
    block,
    flag_rows,
    flag_size,
    jaws_used,
    job_label,
)
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.units import Units, format_length

WIDE = 120.0  # mm: the longest row of wording
BAR = 40.0  # mm: length of the gauging bar of a block too thin for its wording
BIN = 0.005  # mm; two stacks of plies this near count as one


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Blocks whose height is the spacing: rim and depth for each step, and the jaw depths.

    An arrow shows which way a block measures; its wording says which plies of the stock build it.
    """
    steps = _own_steps if plan.job.nest.order is Order.OUTER_FIRST else _steps
    rows = steps(plan, style)
    for n, owned in enumerate(jaws_used(plan), start=1):
        title = style.say("Jaw depth, jaws {jaws}", jaws=owned.id)
        rows.append((f"jaws-{n}", title, owned.depth))
    return tuple(_block(plan, key, title, size, style) for key, title, size in rows if size > 0)


def _steps(plan: Plan, style: PrintStyle) -> list[tuple[str, str, float]]:
    """Key, title and size of the steps from one cut to the next."""
    rows: list[tuple[str, str, float]] = []
    for outer, inner in zip(plan.cuts, plan.cuts[1:], strict=False):
        one, next_ = outer.number, inner.number
        key = f"{one}-{next_}"
        title = style.say("Rim step, cut {one} to {next}", one=one, next=next_)
        rows.append((f"rim-{key}", title, outer.entry_radius - inner.entry_radius))
        title = style.say("Depth step, cut {one} to {next}", one=one, next=next_)
        rows.append((f"depth-{key}", title, outer.deepest - inner.deepest))
    return rows


def _own_steps(plan: Plan, style: PrintStyle) -> list[tuple[str, str, float]]:
    """Key, title and size of the steps within the bowl that a cut is made in.

    When the next cut comes, the mark of the last one has gone with the bowl it freed.
    """
    rows: list[tuple[str, str, float]] = []
    for bowl, cut in zip(plan.bowls, plan.cuts, strict=False):
        n = cut.number
        title = style.say("Own rim to mark, cut {number}", number=n)
        rows.append((f"rim-{n}", title, cut.entry_from_rim))
        title = style.say("Jaw face to deepest, cut {number}", number=n)
        rows.append((f"depth-{n}", title, bowl.depth - cut.deepest))
    return rows


def laminations(size: float, stock: Sequence[float]) -> tuple[tuple[tuple[int, float], ...], float]:
    """Plies that together come nearest to a size from below, as few as will do.

    Args:
        size: mm, > 0.
        stock: thicknesses in use, mm, > 0.

    Returns: (count, thickness) from the thickest down, and what remains to the size, mm.

    >>> laminations(40.0, (3.0, 6.0, 18.0))
    (((2, 18.0), (1, 3.0)), 1.0)
    """
    plies = sorted(set(stock), reverse=True)
    found: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, (0,) * len(plies))}
    for n, ply in enumerate(plies):
        waiting = list(found)
        while waiting:
            total, counts = found[waiting.pop()]
            tall = total + ply
            if tall > size + BIN / 2:
                continue
            more = (*counts[:n], counts[n] + 1, *counts[n + 1 :])
            key = round(tall / BIN)
            if key not in found or sum(more) < sum(found[key][1]):
                found[key] = (tall, more)
                waiting.append(key)
    total, counts = found[max(found)]
    chosen = tuple((c, ply) for c, ply in zip(counts, plies, strict=True) if c)
    return chosen, max(0.0, size - total)


def _plies(size: float, stock: Sequence[float], style: PrintStyle) -> str:
    chosen, rest = laminations(size, stock)
    if not chosen:
        return style.say("thinner than any ply in use: cut it from the solid")
    counted = " + ".join(f"{count} × {_ply(ply, style)}" for count, ply in chosen)
    left = style.length(rest)
    if left[:2] == "0 ":
        return style.say("plies {plies}, no rest", plies=counted)
    return style.say("plies {plies}, rest {rest}", plies=counted, rest=left)


def _ply(ply: float, style: PrintStyle) -> str:
    """A thickness by the name it is sold under: millimetres where no 1/64 in meets it."""
    step = Units.IN.grid
    if style.units.first is Units.IN and abs(ply / step - round(ply / step)) * step < 0.01:
        return format_length(ply, Units.IN, denominator=64, wording=style.wording)
    return format_length(ply, Units.MM, places=2, wording=style.wording)


def _block(plan: Plan, key: str, title: str, size: float, style: PrintStyle) -> Part:
    name = f"{title}: {style.length(size)}"
    plies = _plies(size, plan.job.print.stock, style)
    foot = f"{style.say('cut on the line')} · {job_label(plan, style).fitted(80.0)}"
    lines = flag_rows([name, plies, foot], width=WIDE)
    if not _fits(lines, size):
        lines = flag_rows([f"{name} · {plies}", foot], width=WIDE)
    items: tuple[Item, ...]
    if _fits(lines, size):
        wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(lines)) + 11
        middle = size / 2 + (len(lines) - 1) * LEADING / 2 - 1.1
        items = (
            rectangle(Box(0.0, 0.0, wide, size)),
            *dimension(Point(wide - 3.0, size), Point(wide - 3.0, 0.0)),
            *block(lines, at=Point(4.0, middle)),
        )
    else:
        items = _flagged(flag_rows([name, plies, foot], width=WIDE), size)
    return Part(
        kind="gauge block",
        key=f"gauge-block-{key}",
        title=title,
        drawing=Drawing(items=items),
    )


def _fits(lines: list[str], size: float) -> bool:
    return size >= len(lines) * LEADING + 2.0


def _flagged(lines: list[str], size: float) -> tuple[Item, ...]:
    """A bar as thick as the spacing, with a label tab at its end to hold and to read."""
    wide, tall = flag_size(lines)
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
    outline = polyline(corners, closed=True)
    middle = size / 2 + (len(lines) - 1) * LEADING / 2 - 1.1
    shown = dimension(Point(BAR / 2, size), Point(BAR / 2, 0.0))
    return (outline, *shown, *block(lines, at=Point(BAR + 3.0, middle)))
