"""Use sketches of the parts read at the wall or laid on the bench."""

import math

from templategen.geometry.shapes import Box
from templategen.parts.drawing import Path
from templategen.parts.sketches.strokes import (
    BOLD,
    FINE,
    METAL,
    PAPER,
    arc,
    box,
    plate,
    points,
    ring,
    round_box,
    solid,
    stroke,
    ticks,
    trace,
)
from templategen.parts.sketches.workshop import (
    half_bowls,
    hand,
    lathe_front,
    long_cutter,
    pencil,
    post_front,
    ruled,
    sheet,
    standing_bowl,
    table,
)


def work_order() -> list[Path]:
    """A list with boxes to tick and the picture of the nest, on the wall behind the lathe."""
    rows = [12.4, 10.6, 8.8, 7.0]
    return [
        *lathe_front(),
        sheet(18.6, 5.6, 30.6, 24.0),
        *half_bowls(20.0, 22.6, 6.0),
        *(box(20.0, y - 0.5, 21.0, y + 0.5, width=FINE) for y in rows),
        *(trace(points("0,0 0.4,-0.5 1.2,0.8", 20.1, y), width=0.35) for y in (12.5, 10.7)),
        *ruled(22.0, 29.2, rows),
        *ruled(27.0, 29.4, [22.2, 20.8, 19.4, 18.0]),
        ring(24.6, 23.2, 0.35, fill=0.0),
    ]


def setting_card() -> list[Path]:
    """A table of large figures that stands on the headstock."""
    rows = [14.2 + 2.5 * n for n in range(4)]
    return [
        *lathe_front(),
        *post_front(),
        sheet(1.0, 11.7, 12.6, 24.2),
        *table(Box(2.0, 12.9, 11.6, 23.0), across=4, down=4),
        *(stroke(2.6 + 2.4 * n, y, 3.8 + 2.4 * n, y, width=0.35) for n in range(4) for y in rows),
    ]


def figures_card() -> list[Path]:
    """A card full of small figures on the desk, with spectacles and a pencil."""
    rows = [21.6 - 1.6 * n for n in range(11)]
    return [
        sheet(5.0, 2.0, 20.6, 23.4),
        *ruled(6.2, 11.0, rows),
        *ruled(12.0, 15.0, rows),
        *ruled(16.0, 19.4, rows),
        ring(24.4, 7.6, 2.4, fill=PAPER),
        ring(30.8, 7.6, 2.4, fill=PAPER),
        trace([arc(27.6, 7.6, 0.8, 165, 15)]),
        trace(points("22,7.8 22.6,15 23.6,16.4")),
        trace(points("33.2,7.8 32.6,15 31.6,16.4")),
    ]


def section_sheet() -> list[Path]:
    """The whole nest on a large sheet pinned to the wall."""
    boards = [stroke(0.5, y, 34.5, y, width=FINE) for y in (5.0, 10.5, 16.0, 21.5)]
    pins = [ring(x, y, 0.4, fill=0.0) for x in (7.2, 27.8) for y in (2.4, 22.6)]
    return [
        *boards,
        sheet(6.0, 1.2, 29.0, 23.8),
        *half_bowls(9.0, 20.4, 16.0),
        stroke(9.0, 2.6, 9.0, 22.0, width=FINE),
        *pins,
    ]


def hand_out() -> list[Path]:
    """A page with a large number, a nest and a table, pinned above the bench."""
    return [
        stroke(0.5, 3.4, 34.5, 3.4),
        stroke(0.5, 1.6, 34.5, 1.6),
        sheet(9.0, 4.6, 26.0, 24.4),
        ring(17.5, 23.4, 0.4, fill=0.0),
        stroke(11.6, 19.6, 11.6, 22.8, width=BOLD),
        *half_bowls(14.2, 22.2, 8.0),
        *table(Box(10.6, 6.2, 24.4, 14.2), across=3, down=4),
    ]


def tag() -> list[Path]:
    """Tied to a bowl as soon as it is free."""
    return [
        stroke(0.5, 9.2, 24.0, 9.2),
        standing_bowl(11.2, 19.0, 9.2, points("-3.8,-9.8 3.8,-9.8", 11.2, 19.0)),
        ring(18.6, 17.6, 0.45, fill=PAPER),
        trace([arc(19.6, 11.6, 6.0, 100, 30)]),
        plate(points("22.4,12.6 24.4,15.2 34,15.2 34,5.4 24.4,5.4 22.4,8")),
        ring(24.6, 13.4, 0.6, width=0.3, fill=PAPER),
        *ruled(26.4, 32.6, [13.2, 11.2, 9.2, 7.2]),
    ]


def drying_sheet() -> list[Path]:
    """A bowl on the scale; its masses go on the sheet."""
    rows = [20.4 - 2.2 * (n + 0.5) for n in range(3)]
    scale = [
        solid(points("2,2.6 14.4,2.6 12.8,8.4 3.6,8.4"), METAL),
        ring(8.2, 5.4, 2.1, fill=PAPER),
        stroke(8.2, 5.4, 9.4, 6.8, width=0.3),
        box(2.6, 8.4, 13.8, 9.4, fill=PAPER),
    ]
    return [
        stroke(0.5, 2.6, 17.0, 2.6),
        *scale,
        standing_bowl(8.2, 17.4, 6.8, points("6,9.4 10.4,9.4")),
        sheet(18.4, 1.4, 33.8, 23.6),
        *ruled(19.8, 28.0, [22.0]),
        *table(Box(19.8, 2.8, 32.4, 20.4), across=3, down=8),
        *(stroke(20.8 + 4.2 * n, y, 22.8 + 4.2 * n, y, width=0.3) for y in rows for n in range(3)),
        *pencil(20.8, 12.6, -38, length=10.0),
    ]


def cutter_arc() -> list[Path]:
    """The blade laid on its arc: tip and edge follow the line."""
    x, y, radius = 15.6, 2.4, 17.5
    return [
        plate([arc(x, y, radius, 136, 54), *points("10,2 -12.2,2", x, y)]),
        trace([arc(x, y, radius - 1.7, 136, 54)], width=FINE, dashed=True),
        *long_cutter(x, y, radius, 128, 62),
        *ruled(x - 6.0, x + 5.0, [10.4, 8.6]),
    ]


def radius_finder() -> list[Path]:
    """A blade of unknown radius on nested arcs: one of them fits."""
    x, y, half = 15.6, -5.0, 11.2
    arcs = []
    for radius in (9.0, 12.5, 16.0, 19.5, 23.0, 26.5):
        across = math.degrees(math.acos(min(half / radius, math.cos(math.radians(50)))))
        arcs.append(trace([arc(x, y, radius, 180 - across, across)], width=0.3))
    return [
        sheet(x - 12.0, 1.2, x + 12.0, 23.8),
        *arcs,
        *long_cutter(x, y, 19.5, 118, 66),
    ]


def scale_sheet() -> list[Path]:
    """The first print; a steel rule checks its bars."""
    marks = [(9.0 + n, 12.2) for n in range(23)]
    return [
        sheet(3.0, 1.0, 24.0, 24.0),
        stroke(6.0, 3.4, 6.0, 21.6, width=0.3),
        stroke(5.2, 3.4, 6.8, 3.4, width=0.3),
        stroke(5.2, 21.6, 6.8, 21.6, width=0.3),
        stroke(9.0, 14.0, 22.0, 14.0, width=0.3),
        stroke(9.0, 13.2, 9.0, 14.8, width=0.3),
        stroke(22.0, 13.2, 22.0, 14.8, width=0.3),
        box(9.0, 9.4, 32.0, 13.0, fill=METAL),
        *ticks(marks, 0.0, -1.0),
        *hand(26.6, 9.8, 168, size=0.7),
        round_box(Box(9.0, 2.6, 17.6, 8.0), 0.4, width=FINE),
    ]
