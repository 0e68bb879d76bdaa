"""Use sketches of the parts held at the face or the end of the wood, seen along the axis."""

import functools
import math

from templategen.geometry.shapes import Box, Point
from templategen.parts.drawing import Path, polar
from templategen.parts.sketches.strokes import (
    BOLD,
    FINE,
    METAL,
    PAPER,
    STEEL,
    WOOD,
    Corner,
    arc,
    arrow,
    box,
    capsule,
    plate,
    points,
    ring,
    solid,
    stroke,
    ticks,
    trace,
    turning_arrow,
)
from templategen.parts.sketches.workshop import hand, pencil, ruled

X, Y = 14.2, 13.4  # the axis


def _cross(x: float, y: float, size: float = 0.8) -> list[Path]:
    return [stroke(x - size, y, x + size, y), stroke(x, y - size, x, y + size)]


def _wood(radius: float) -> list[Path]:
    """Both ways of the bed, cut through, and the wood over them."""
    ways = [box(X + s * 4.6 - 1.9, 0.5, X + s * 4.6 + 1.9, 2.4, fill=METAL) for s in (-1, 1)]
    return [*ways, ring(X, Y, radius, fill=WOOD)]


def gauge_stick() -> list[Path]:
    """On the face from the rim inwards; the marks go to the wood by pencil."""
    rim = 10.4
    stick = box(X - rim, Y - 1.3, X + 3.4, Y + 1.3, width=BOLD, fill=PAPER)
    marks = [(X - 8.2, Y + 1.3), (X - 7.5, Y + 1.3), (X - 4.6, Y + 1.3)]
    return [
        *_wood(rim),
        ring(X, Y, 8.2, width=FINE, dashed=True),
        ring(X, Y, 4.6, width=FINE, dashed=True),
        stick,
        *ticks(marks, 0.0, -1.5),
        *pencil(X - 8.2, Y + 1.5, 62, length=9.0),
        *hand(X + 1.6, Y - 1.0, 155),
    ]


def gauge_block() -> list[Path]:
    """On the face from one mark to the place of the next."""
    rim = 10.4
    return [
        *_wood(rim),
        *_cross(X, Y),
        ring(X, Y, 8.4, width=0.3),
        ring(X, Y, 4.4, width=FINE, dashed=True),
        box(X - 8.4, Y - 1.7, X - 4.4, Y + 1.7, width=BOLD, fill=PAPER),
        *pencil(X - 4.2, Y + 0.4, 40, length=10.0),
        *hand(X - 5.4, Y - 0.9, 135, size=0.75),
    ]


def height_stick() -> list[Path]:
    """On a way of the bed: the tip's top level with the one step, the centre with the other."""
    left, right = X - 6.3, X - 3.3
    stick = plate([(left, 2.4), (right, 2.4), *points("3,0 1.5,0 1.5,1.8 0,1.8", left, Y)])
    blade = solid([(0.5, Y + 1.8), (left, Y + 1.8), (left - 0.9, Y - 0.4), (0.5, Y - 0.4)], STEEL)
    return [
        *_wood(10.2),
        stroke(X - 12.0, Y, 28.0, Y, width=FINE, dashed=True),
        *_cross(X, Y, 1.4),
        blade,
        stick,
        *hand(right - 0.4, 7.4, 178),
    ]


def tenon_ring() -> list[Path]:
    """Over the tenon from the side: the lips pass, the round stops."""
    tenon = 3.4
    outline: list[Corner] = [
        *points("-5.4,3.9 0,3.9", X, Y),
        arc(X, Y, tenon, 90, -90),
        *points("0,-3.9 -5.4,-3.9 -5.4,-7.2", X, Y),
        arc(X, Y, 7.2, -90, -26),
        *points("12,-3.2 12,3.2", X, Y),
        arc(X, Y, 7.2, 26, 90),
        (X - 5.4, Y + 7.2),
    ]
    return [
        *_wood(10.4),
        plate(outline),
        ring(X, Y, tenon - 0.25, fill=METAL),
        *_cross(X, Y),
        *arrow(X + 17.8, Y + 0.8, X + 13.0, Y + 0.8),
        *hand(X + 9.8, Y - 1.6, 158),
    ]


def full_circle() -> list[Path]:
    """A closed ring slid over the end of the tenon."""
    tenon = 3.6
    return [
        *_wood(10.4),
        plate([arc(X, Y, 7.0, 24, 336), *points("12,-2.85 12,2.85", X, Y)]),
        ring(X, Y, tenon, width=BOLD, fill=PAPER),
        ring(X, Y, tenon - 0.4, fill=METAL),
        *_cross(X, Y),
        *hand(X + 9.8, Y - 1.6, 158),
    ]


def log_card() -> list[Path]:
    """The end of the log marked as the card beside it shows."""
    x, y, bark = 11.4, 12.5, 11.0
    card = Box(24.0, 4.4, 34.6, 20.8)
    middle, scale = (card.left + card.right) / 2, 0.36
    high = card.top - bark * scale - 1.4
    saw = 7.0
    half, sawn = math.sqrt((bark - 0.9) ** 2 - saw**2), high + saw * scale
    return [
        ring(x, y, bark, fill=0.6),
        ring(x, y, bark - 0.9, fill=WOOD),
        *(ring(x, y, r, width=FINE) for r in (1.4, 3.6, 6.0, 8.4)),
        stroke(x - bark + 0.9, y, x + bark - 0.9, y, width=0.3),
        stroke(x - half, y + saw, x + half, y + saw, width=0.3),
        ring(x, y, 0.5, fill=0.0),
        *pencil(x + half, y + saw, 36, length=7.0),
        box(*card, width=BOLD, fill=PAPER),
        ring(middle, high, bark * scale, fill=WOOD),
        stroke(middle - bark * scale, high, middle + bark * scale, high),
        stroke(middle - half * scale, sawn, middle + half * scale, sawn),
        *ruled(card.left + 1.4, card.right - 1.4, [10.6, 8.8, 7.0]),
    ]


def log_end() -> list[Path]:
    """Overlay on the end of the log: its pith line on the pith."""
    x, y, bark = 12.6, 12.5, 11.9
    rings = [ring(x, y, r, width=FINE) for r in (1.4, 3.6, 6.0, 8.4)]
    profile = trace(points("-8,1.2 8,1.2 8,7 -8,7", x, y), width=FINE, closed=True)
    card = box(x - 9.2, y - 1.6, x + 9.2, y + 8.0, width=BOLD, fill=PAPER)
    sides = arc(x + 1.8, y + 1.2, 6.2, 0, 68), arc(x - 1.8, y + 1.2, 6.2, 112, 180)
    bowl = solid([(x - 8.0, y + 1.2), *sides], WOOD)
    return [
        ring(x, y, bark, fill=0.6),
        ring(x, y, bark - 0.9, fill=WOOD),
        *rings,
        card,
        profile,
        bowl,
        stroke(x - 12.0, y, x + 12.0, y, width=0.3),
        stroke(x - 10.4, y + 7.0, x + 10.4, y + 7.0, width=0.3, dashed=True),
        ring(x, y, 0.6, fill=0.0),
        *hand(x + 8.2, y + 4.6, 175),
    ]


def blank_disc() -> list[Path]:
    """A strip pinned at the centre draws the disc on a sawn half log."""
    x, y, radius = 13.0, 13.0, 9.2
    low = points("0.6,1.4 6,0.8 12,1.3 19,0.7 26,1.3 33,0.9")
    high = points("33,24 26,24.4 19,23.8 12,24.3 6,23.8 0.6,24.2")
    within = [(a, b + 0.9) for a, b in low] + [(a, b - 0.9) for a, b in high]
    slab = [
        solid([*low, *high], 0.6),
        solid(within, WOOD),
        *(stroke(0.6, b, 33.0, b, width=FINE) for b in (5.2, 9.0, 17.0, 20.8)),
    ]
    at = functools.partial(polar, angle=math.radians(24), centre=Point(x, y))
    return [
        *slab,
        ring(x, y, radius, width=FINE, fill=WOOD),
        trace([arc(x, y, radius, 24, 300)], width=0.3),
        capsule((x, y), at(radius + 1.0), 1.5, width=BOLD),
        *(ring(*at(r), 0.4, width=FINE, fill=PAPER) for r in (4.4, 6.8)),
        ring(x, y, 0.6, fill=STEEL),
        *pencil(*at(radius), 40, length=10.0),
        *turning_arrow(x, y, radius + 2.2, -8, 10),
    ]
