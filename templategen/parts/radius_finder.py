"""Radius finder: nested labelled arcs to lay a cutter of unknown radius on."""

import math

from templategen.geometry.shapes import Arc, Box, Point
from templategen.messages import tr_noop
from templategen.nest.plan import Plan
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Role,
    Text,
    arc_path,
    line,
    rectangle,
)
from templategen.parts.labels import LEADING, block, flag_rows, job_line
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.units import Units, format_length

HALF = 82.0  # mm from the middle to the end of a long arc: as wide as A4 and letter take
WIDEST = math.radians(60)  # of an arc to each side: more than any cutter's own length
TALL = 190.0  # mm of arcs on one part; the next radii go on a further part
SMALLEST = 20.0  # mm: the least radius that a shop file may state
FEWEST = 4  # steps on a finder, however few cutters there are
CLEAR = 10.0  # mm from the middle to the ticks at least: half a label and half a tick
TICK = 3.0  # mm, length of a tick
HOW = tr_noop(
    "Lay the outer edge of the cutter on the arcs and slide it until it runs level with them all "
    "along: the arc it follows is its radius. Between two arcs read the ticks. Then measure chord "
    "and rise for the exact figure."
)


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Arcs from three quarters of the shop's least radius to a quarter over its greatest."""
    fine, count = (25.4 / 16, 4) if style.units is Units.IN else (1.0, 5)
    step = fine * count
    radii = [cutter.radius for cutter in plan.shop.cutters]
    first = math.floor(max(SMALLEST, 0.75 * min(radii)) / step)
    last = max(first + FEWEST, math.ceil(1.25 * max(radii) / step))
    bands: list[list[int]] = [[]]
    for number in range(first, last + 1):
        band = bands[-1]
        if band and number * step - _foot(band[0] * step) > TALL:
            bands.append([band[-1]])  # the arc on the seam stands on both parts
        bands[-1].append(number)
    return tuple(
        _sheet(plan, [n * step for n in band], fine, count, number, style)
        for number, band in enumerate(bands, start=1)
    )


def _half_angle(radius: float) -> float:
    return min(WIDEST, math.asin(min(1.0, HALF / radius)))


def _foot(radius: float) -> float:
    """How high the ends of an arc lie over its centre, mm."""
    return radius * math.cos(_half_angle(radius))


def _beside(radius: float, lean: float, style: PrintStyle) -> Text:
    """The radius in inches, beside the ticks on the right, along its arc."""
    text = format_length(radius, Units.IN, wording=style.wording)
    room = text_width(text, size=BODY) / 2 + TICK / 2 + 1.5
    turn = -lean - room / radius
    at = Arc(Point(0.0, 0.0), radius - 1.0 - 0.76 * BODY, math.pi / 2 + turn, 1.0).start
    return Text(text=text, at=at, angle=turn, anchor=Anchor.MIDDLE)


def _sheet(
    plan: Plan, radii: list[float], fine: float, count: int, number: int, style: PrintStyle
) -> Part:
    origin = Point(0.0, 0.0)
    items: list[Item] = []
    lean = 0.6 * _half_angle(radii[-1])
    shown = (
        PrintStyle(units=Units.MM, wording=style.wording) if style.units is Units.BOTH else style
    )
    for radius in radii:
        half = _half_angle(radius)
        arc = Arc(origin, radius, math.pi / 2 - half, 2 * half)
        items.append(arc_path(arc, role=Role.MARK))
        at = Point(0.0, radius - 1.0 - 0.76 * BODY)
        items.append(Text(text=shown.length(radius), at=at, anchor=Anchor.MIDDLE))
        if style.units is Units.BOTH:
            items.append(_beside(radius, max(lean, CLEAR / (radius - 2 * BODY)), style))
    for n in range(round((radii[-1] - radii[0]) / fine) + 1):
        if n % count == 0:
            continue
        radius = radii[0] + n * fine
        for side in (-1, 1):
            angle = math.pi / 2 + side * max(lean, CLEAR / radius)
            wide = TICK / 2 / radius
            one = Arc(origin, radius, angle - wide, 2 * wide)
            items.append(line(*one.start, *one.end))
    title = style.say(
        "Radius finder {low} to {high}",
        low=style.length(radii[0]),
        high=style.length(radii[-1]),
    )
    said = [
        style.say("{part}, cut on the line", part=title),
        style.say(HOW),
        style.say("Ticks: {step}", step=shown.length(fine)),
        job_line(plan, room=2 * HALF - 4),
    ]
    lines = flag_rows(said, width=2 * HALF - 4)
    top = radii[-1] + 3.0
    low = _foot(radii[0]) - (14.0 if style.units is Units.BOTH else 8.0)
    items += block(lines, at=Point(2 - HALF, low))
    bottom = low - (len(lines) - 1) * LEADING - 3.0
    items.insert(0, rectangle(Box(-HALF - 2, bottom, HALF + 2, top)))
    return Part(
        kind="radius finder",
        key=f"radius-finder-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )
