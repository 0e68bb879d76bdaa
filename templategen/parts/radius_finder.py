"""Radius finder: nested labelled arcs to lay a cutter of unknown radius on."""

import math
from dataclasses import dataclass, replace

from templategen.geometry.shapes import Arc, Box, Point
from templategen.messages import tr_noop
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    Anchor,
    Item,
    Part,
    Role,
    Text,
    arc_path,
    line,
    part_of,
    polar,
    rectangle,
)
from templategen.parts.labels import LEADING, JobLabel, block, flag_rows
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Shop
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


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """Arcs from three quarters of the shop's least radius to a quarter over its greatest."""
    scale = _Scale(25.4 / 16, 4) if style.units.first is Units.IN else _Scale(1.0, 5)
    radii = [cutter.radius for cutter in shop.cutters]
    first = math.floor(max(SMALLEST, 0.75 * min(radii)) / scale.step)
    last = max(first + FEWEST, math.ceil(1.25 * max(radii) / scale.step))
    bands: list[list[float]] = [[]]
    for radius in (number * scale.step for number in range(first, last + 1)):
        band = bands[-1]
        if band and radius - _foot(band[0]) > TALL:
            bands.append([band[-1]])  # the arc on the seam stands on both parts
        bands[-1].append(radius)
    return tuple(
        _sheet(band, scale, number, label, style) for number, band in enumerate(bands, start=1)
    )


@dataclass(frozen=True, slots=True)
class _Scale:
    """Radii of the arcs and the ticks between them.

    Args:
        fine: from tick to tick, mm.
        count: ticks from arc to arc.
    """

    fine: float
    count: int

    @property
    def step(self) -> float:
        """From arc to arc, mm."""
        return self.fine * self.count


def _half_angle(radius: float) -> float:
    return min(WIDEST, math.asin(min(1.0, HALF / radius)))


def _foot(radius: float) -> float:
    """How high the ends of an arc lie over its centre, mm."""
    return radius * math.cos(_half_angle(radius))


def _beside(radius: float, lean: float, style: PrintStyle) -> Text:
    """The radius in the second unit, beside the ticks on the right, along its arc."""
    text = format_length(radius, style.units.shown[1], wording=style.wording)
    room = text_width(text, size=BODY) / 2 + TICK / 2 + 1.5
    turn = -lean - room / radius
    at = polar(radius - 1.0 - 0.76 * BODY, math.pi / 2 + turn)
    return Text(text=text, at=at, angle=turn, anchor=Anchor.MIDDLE)


def _arcs(radii: list[float], lean: float, style: PrintStyle) -> list[Item]:
    """The arcs with their radii at the top; a second unit stands beside the ticks."""
    items: list[Item] = []
    for radius in radii:
        half = _half_angle(radius)
        arc = Arc(ORIGIN, radius, math.pi / 2 - half, 2 * half)
        items.append(arc_path(arc, role=Role.MARK))
        at = Point(0.0, radius - 1.0 - 0.76 * BODY)
        items.append(Text(text=_one_unit(style).length(radius), at=at, anchor=Anchor.MIDDLE))
        if style.units.is_both:
            items.append(_beside(radius, max(lean, CLEAR / (radius - 2 * BODY)), style))
    return items


def _ticks(radii: list[float], lean: float, scale: _Scale) -> list[Item]:
    """Short marks between the arcs, on both sides of the middle."""
    items: list[Item] = []
    for n in range(round((radii[-1] - radii[0]) / scale.fine) + 1):
        if n % scale.count == 0:
            continue
        radius = radii[0] + n * scale.fine
        for side in (-1, 1):
            angle = math.pi / 2 + side * max(lean, CLEAR / radius)
            wide = TICK / 2 / radius
            items.append(line(*polar(radius, angle - wide), *polar(radius, angle + wide)))
    return items


def _one_unit(style: PrintStyle) -> PrintStyle:
    """The style with the main unit alone where it has both."""
    return replace(style, units=style.units.first) if style.units.is_both else style


def _sheet(
    radii: list[float], scale: _Scale, number: int, label: JobLabel, style: PrintStyle
) -> Part:
    lean = 0.6 * _half_angle(radii[-1])
    title = style.say(
        "Radius finder {low} to {high}",
        low=style.length(radii[0]),
        high=style.length(radii[-1]),
    )
    width = 2 * HALF - 4
    phrases = [
        style.say("{part}, cut on the line", part=title),
        style.say(HOW),
        style.say("Ticks: {step}", step=_one_unit(style).length(scale.fine)),
        label.fitted(width),
    ]
    rows = flag_rows(phrases, width=width)
    low = _foot(radii[0]) - (14.0 if style.units.is_both else 8.0)
    bottom = low - (len(rows) - 1) * LEADING - 3.0
    items: list[Item] = [
        rectangle(Box(-HALF - 2, bottom, HALF + 2, radii[-1] + 3.0)),
        *_arcs(radii, lean, style),
        *_ticks(radii, lean, scale),
        *block(rows, at=Point(2 - HALF, low)),
    ]
    return part_of(PartKind.RADIUS_FINDER, f"radius-finder-{number}", title, items)
