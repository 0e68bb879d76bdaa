"""Use sketches of the parts held at the lathe, seen from above."""

import math

from templategen.geometry.shapes import Point, Transform
from templategen.parts.drawing import Path
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
from templategen.parts.sketches.workshop import (
    AXIS,
    BACK,
    FACE,
    KERF,
    PIVOT,
    RIM,
    SWING,
    at_lathe,
    bed,
    hand,
    hollowed_blank,
    jaws,
    kerf,
    outside,
    outside_arc,
    post,
    reach,
    solid_blank,
    swung_cutter,
)


def setting_plate() -> list[Path]:
    """Straight edge on the face, hook over the rim, slot over the post's pin."""
    edge = AXIS - RIM
    entry = PIVOT.y + SWING * math.sin(math.radians(reach(SWING)))
    outline: list[Corner] = [
        (FACE, AXIS + 3.4),
        *points("0,0.9 1.8,0 0,-0.9", FACE, entry),
        *points("0,0 -2,0 -2,-1.6 3,-1.6", FACE, edge),
        *points("7.4,-2.2 7.4,3.4", FACE, AXIS),
    ]
    slot = capsule(PIVOT, (PIVOT.x, PIVOT.y + 1.5), 0.75, width=BOLD)
    return [
        *at_lathe(solid_blank()),
        plate(outline),
        slot,
        ring(*PIVOT, 0.65, fill=STEEL),
        ring(*PIVOT, 2.0, dashed=True),
        *hand(FACE + 6.2, AXIS - 4.2, 155),
    ]


def standoff_block() -> list[Path]:
    """Between the face and the post."""
    gap = 4.6
    pivot = Point(FACE + gap + 2.2, AXIS)
    block = box(FACE, AXIS - 1.7, FACE + gap, AXIS + 1.7, width=BOLD, fill=PAPER)
    return [
        *at_lathe(solid_blank()),
        *post(pivot, body=2.2),
        block,
        *arrow(pivot.x + 7.0, AXIS, pivot.x + 3.0, AXIS),
        *hand(FACE + 3.4, AXIS - 1.0, 128),
    ]


def cut_plate() -> list[Path]:
    """In the hollow: hook over the rim, curved edge along the wall, hole over the pin."""
    edge = AXIS - RIM
    bottom = PIVOT.x - SWING
    outline: list[Corner] = [
        (bottom, AXIS),
        arc(*PIVOT, SWING, 180, reach(SWING)),
        *points("0,0 -2,0 -2,-1.6 2.2,-1.6", FACE, edge),
        *points("2.2,-5 5.4,-2.4 5.4,1.9 0,1.9 0,0", FACE, AXIS),
    ]
    inner = arc(*PIVOT, SWING - KERF, 180, reach(SWING - KERF))
    depths = points("14.5,0 15.5,0 16.5,0 17.5,0", 0.0, AXIS)
    return [
        *at_lathe(hollowed_blank()),
        plate(outline),
        trace([inner], width=FINE),
        *ticks(depths, 0.0, -0.9),
        ring(*PIVOT, 1.6, width=FINE),
        ring(*PIVOT, 0.8, width=BOLD, fill=STEEL),
        *hand(FACE + 3.4, AXIS - 3.9, 150),
    ]


def stop_dial() -> list[Path]:
    """On the post under the arm of the cutter; the arm swings to the bold mark."""
    tip, stop = 222.0, 296.0
    dial = plate([arc(*PIVOT, 6.4, 272, 372), arc(*PIVOT, 1.6, 372, 272)])

    def mark(angle: float, start: float, width: float) -> Path:
        ends = (arc(*PIVOT, radius, angle, angle).start for radius in (start, 6.4))
        return trace(list(ends), width=width)

    return [
        *at_lathe(solid_blank(), kerf(tip)),
        *post(),
        dial,
        *(mark(angle, 5.2, FINE) for angle in range(280, 371, 10)),
        mark(stop, 2.4, BOLD),
        *swung_cutter(tip),
        *turning_arrow(*PIVOT, 10.6, 376, 346),
    ]


def depth_stick() -> list[Path]:
    """From a straightedge over the rim to the bottom of the hollow."""
    bottom = PIVOT.x - SWING
    stick = box(bottom, AXIS - 1.0, 30.0, AXIS + 1.0, width=BOLD, fill=PAPER)
    straightedge = box(FACE, AXIS - RIM - 1.6, FACE + 1.4, AXIS + RIM + 1.6, fill=METAL)
    marks = [(x, AXIS + 1.0) for x in (FACE - 1.2, FACE + 2.6, FACE + 3.8)]
    return [
        *at_lathe(hollowed_blank()),
        straightedge,
        stick,
        *ticks(marks, 0.0, -1.0),
        stroke(FACE, AXIS - 1.0, FACE, AXIS + 1.0, width=BOLD),
        *hand(24.8, AXIS - 0.4, 155),
    ]


def outside_template() -> list[Path]:
    """Hooked on the face, its hollow edge along the outside as far as the shoulder."""
    outline: list[Corner] = [
        outside(-1).reversed(),
        *points("0,0 0,2.2 1.7,2.2", FACE, AXIS - RIM),
        (FACE + 1.7, 0.8),
        (BACK - 0.6, 0.8),
        *points("-0.6,-6 0,-6", BACK, AXIS),
    ]
    return [
        *at_lathe(solid_blank()),
        plate(outline),
        *hand(FACE + 0.8, 3.6, 176, size=0.8),
    ]


def tenon_profile() -> list[Path]:
    """A blank held by its face, its tenon free: the notch on shoulder, flank and end face."""
    face, shoulder, end = 4.6, 14.0, 18.6
    neck, flare = 4.6, 5.4
    upper, lower = (
        outside_arc(side, face=face, rim=10.6, foot=7.6, deep=shoulder - face) for side in (1, -1)
    )
    tenon = [(shoulder, neck), (end, flare), (end, -flare), (shoulder, -neck)]
    blank = solid([upper, *((x, AXIS + away) for x, away in tenon), lower.reversed()], WOOD)
    gauge = plate(
        [
            (shoulder, AXIS - 7.4),
            (shoulder, AXIS - neck),
            (end, AXIS - flare),
            (end, AXIS - 1.4),
            *points("23,-1.4 23,-10.6 14,-10.6", 0.0, AXIS),
        ]
    )
    return [
        box(0.5, AXIS - 1.4, 2.4, AXIS + 1.4, fill=PAPER),
        box(2.4, AXIS - 7.0, face, AXIS + 7.0, fill=METAL),
        blank,
        stroke(1.0, AXIS, 26.0, AXIS, width=FINE, dashed=True),
        gauge,
        *hand(21.4, AXIS - 6.2, 175),
    ]


def holding_card() -> list[Path]:
    """A dried bowl over a disc on the chuck, the tail centre on its foot."""
    mouth, foot = 12.4, 20.4
    turned = Transform.scale(-1.0, 1.0).then(Transform.move(mouth + FACE, 0.0))
    end = foot + 1.5
    disc = [(9.6, AXIS + 8.3), (mouth + 1.2, AXIS + 7.7)]
    disc += [(x, 2 * AXIS - y) for x, y in reversed(disc)]
    return [
        *bed(),
        box(0.5, AXIS - 4.6, 4.0, AXIS + 4.6, fill=PAPER),
        box(4.0, AXIS - 1.4, 5.0, AXIS + 1.4, fill=PAPER),
        box(5.0, AXIS - 4.2, 7.4, AXIS + 4.2, fill=METAL),
        box(7.4, AXIS - 2.8, 9.6, AXIS + 2.8, fill=METAL),
        hollowed_blank().moved(turned),
        plate(disc),
        stroke(7.4, AXIS, end, AXIS, width=FINE, dashed=True),
        solid(points("0,0 2.4,1.2 2.4,-1.2", end, AXIS), STEEL),
        box(end + 2.4, AXIS - 1.2, end + 4.8, AXIS + 1.2, fill=METAL),
        box(end + 4.8, AXIS - 3.6, 34.5, AXIS + 3.6, fill=PAPER),
    ]


def jaw_depth_block() -> list[Path]:
    """Between the open jaws, its end level with their ends."""
    bottom, end = 13.0, 20.0
    return [
        box(0.5, AXIS - 7.0, 4.6, AXIS + 7.0, fill=PAPER),
        box(4.6, AXIS - 2.4, 6.6, AXIS + 2.4, fill=PAPER),
        box(6.6, AXIS - 10.5, bottom, AXIS + 10.5, fill=METAL),
        *jaws([(bottom, 6.6), (end, 5.4), (end, 8.8), (bottom, 8.8)]),
        box(bottom, AXIS - 4.6, end, AXIS + 4.6, width=BOLD, fill=PAPER),
        stroke(end, AXIS - 11.5, end, AXIS + 11.5, width=FINE, dashed=True),
        *hand(end - 1.0, AXIS - 1.5, 170),
    ]
