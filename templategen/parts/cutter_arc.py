"""Cutter arc: a plate with the cutter's own convex edge, to check and set it by."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Arc, Box, Point, circle
from templategen.nest.plan import Plan
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    Anchor,
    Item,
    Part,
    Path,
    Role,
    Text,
    arc_path,
    cross,
    line,
    part_of,
    polar,
    run_through,
)
from templategen.parts.labels import LEADING, JobLabel, block, fill_rows, flag_rows, flag_size
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Cutter, Shop
from templategen.units import Units, format_length

SPAN = math.radians(70)  # of the plate
FOOT = 7.0  # mm: half width of the plate at the pivot
TAB = 80.0  # mm: widest label tab
LETTERS = 13.0  # mm from the inner edge to the lettering: below the swing figures


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cutter that the plan uses; all of the shop's where there is no cut."""
    used = {cut.cutter.id for cut in plan.cuts}
    return _plates([c for c in plan.shop.cutters if not used or c.id in used], style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each of the shop's cutters; free of title and date."""
    del label
    return _plates(shop.cutters, style)


def _plates(cutters: Sequence[Cutter], style: PrintStyle) -> tuple[Part, ...]:
    """Plates with ticks for swing and depth.

    Ticks under the inner edge give the swing. Ticks along the sides give the depth: with the
    middle of the plate square to the face, the tick at the face tells how deep the tip stands.
    """
    return tuple(_plate(c, n, style) for n, c in enumerate(cutters, start=1))


def _side(radius: float, y: float) -> float:
    """Half width of the plate at a height above the pivot, mm."""
    x, top = radius * math.sin(SPAN / 2), radius * math.cos(SPAN / 2)
    return FOOT + (x - FOOT) * (y + FOOT) / (top + FOOT)


def _plate(cutter: Cutter, number: int, style: PrintStyle) -> Part:
    radius, inner = cutter.radius, cutter.inner_radius
    low = math.pi / 2 - SPAN / 2
    edge = Arc(ORIGIN, radius, low, SPAN)
    phrases = [
        style.say("Cutter {cutter}", cutter=cutter.id),
        style.say("R {radius}", radius=style.length(radius)),
        style.say("kerf {kerf}", kerf=style.length(cutter.kerf)),
        style.say("cut on the line"),
        style.say("side ticks: depth of the tip"),
    ]
    texts, tab = _lettering(phrases, radius, inner)
    heel, toe = Point(FOOT, -FOOT), Point(-FOOT, -FOOT)
    items: list[Item] = [
        Path(segments=run_through([edge, toe, *tab, heel, edge.start]), closed=True),
        arc_path(Arc(ORIGIN, inner, low + 0.02, SPAN - 0.04), role=Role.MARK, dashed=True),
        arc_path(circle(ORIGIN, 1.5)),
        *cross(ORIGIN, 4.0),
        *texts,
    ]
    items += _swing_ticks(radius, inner)
    written = [item for item in items if isinstance(item, Text)]
    items += _depth_ticks(radius, inner, style, written)
    title = style.say("Cutter arc {cutter}", cutter=cutter.id)
    return part_of(PartKind.CUTTER_ARC, f"cutter-arc-{number}", title, items)


def _lettering(phrases: list[str], radius: float, inner: float) -> tuple[list[Item], list[Point]]:
    """The wording on the plate, or on a tab below the pivot where the plate is too small."""
    first = inner - LETTERS - BODY

    def room(row: int) -> float:
        y = first - row * LEADING
        above = (inner - 10.5) ** 2 - (y + BODY) ** 2  # below the swing figures
        return 2 * min(_side(radius, y - 1.0) - 9.0, math.sqrt(max(0.0, above)))

    most = int((first - 14.0) / LEADING)
    rows = fill_rows(phrases, room, most=most)
    if rows is not None:
        return block(rows, at=Point(0.0, first), anchor=Anchor.MIDDLE), []
    rows = flag_rows(phrases, width=TAB)
    wide, tall = flag_size(rows)
    top = -FOOT - 2.0
    texts = block(rows, at=Point(0.0, top - 1.0 - BODY * 0.8), anchor=Anchor.MIDDLE)
    half = max(wide / 2, FOOT)
    left = [Point(-FOOT, top), Point(-half, top), Point(-half, top - tall)]
    return texts, [*left, *(Point(-x, y) for x, y in reversed(left))]


def _swing_ticks(radius: float, inner: float) -> list[Item]:
    """Every 10 degrees a tick; figures only where they have room."""
    items: list[Item] = []
    arm = max(0.0, inner - 9.0)
    every = next((n for n in (1, 3) if arm * math.radians(10 * n) > 7.5), 99)
    for step in range(-3, 4):
        angle = math.pi / 2 - math.radians(10 * step)
        items.append(line(*polar(inner - min(4.0, inner / 3), angle), *polar(inner, angle)))
        if step % every == 0 and arm > 10.0:
            at, turn, text = polar(arm, angle), angle - math.pi / 2, f"{abs(10 * step)}°"
            figure = Text(text=text, at=at, angle=turn, anchor=Anchor.MIDDLE)
            if all(abs(c.x) < _side(radius, c.y) - 0.6 for c in figure.corners()):
                items.append(figure)
    return items


def _depth_ticks(radius: float, inner: float, style: PrintStyle, texts: list[Text]) -> list[Item]:
    """Depth of the tip along both sides, figures on the right."""
    step, every = (
        (25.4 / 2, 2) if style.units.first is Units.IN else (10.0, 5 if radius > 90 else 2)
    )
    items: list[Item] = []
    taken = [t.bounds() for t in texts]
    top = inner * math.cos(SPAN / 2) - 2.0  # below the end of the inner edge
    for n in range(1, int(radius / step) + 1):
        y = radius - n * step
        if not 8.0 <= y <= top:
            continue
        x = _side(radius, y)
        reach = min(5.0 if n % every == 0 else 3.0, x / 3)
        tick = Box(x - reach, y, x, y)
        if any(tick.meets(t, gap=0.5) for t in taken):
            continue
        items += [line(x - reach, y, x, y), line(-x, y, -x + reach, y)]
        if n % every:
            continue
        text = format_length(n * step, style.units, unit=False, wording=style.wording)
        label = Text(text=text, at=Point(x - 6.0, y - 1.1), anchor=Anchor.END)
        box = label.bounds()
        below = math.hypot(box.right, box.top) < inner - 10.0
        if below and box.left > 5.0 and not any(box.meets(t, gap=2.5) for t in taken):
            items.append(label)
    return items
