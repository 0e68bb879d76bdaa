"""Shapes that several use sketches share: lathe, blank, post, blade, hand, pencil, rule.

Seen from above, as a turner stands at the lathe: headstock left, face of the blank right, the
turner below. The cutter's plane is the plane of the sketch; the cut enters below the axis.
"""

import math
from collections.abc import Iterable

from templategen.geometry.shapes import Arc, Box, Point, Transform
from templategen.parts.drawing import Path, polar
from templategen.parts.sketches.strokes import (
    BOLD,
    FINE,
    METAL,
    PAPER,
    STEEL,
    THIN,
    WOOD,
    Corner,
    arc,
    box,
    capsule,
    points,
    ring,
    solid,
    stroke,
    trace,
)

AXIS = 13.4  # y of the lathe's axis
FACE = 19.0  # x of the blank's face
BACK = 11.0  # x of the tenon's shoulder
RIM = 9.8  # radius of the blank
FOOT = 3.6  # where the outside meets the shoulder, from the axis
TENON = 2.4  # radius of the tenon's end face
NECK = 2.1  # radius of the tenon at its shoulder
PIVOT = Point(22.4, AXIS)  # of the outer cut
SWING = 9.0  # radius of its cutter
KERF = 1.0


def bed() -> list[Path]:
    """Both ways of the bed from above."""
    return [box(0.5, AXIS + s - 0.9, 34.5, AXIS + s + 0.9, width=FINE) for s in (-2.6, 2.6)]


def headstock_and_chuck() -> list[Path]:
    """Headstock, spindle, chuck, and jaws closed on a tenon; over the bed."""
    inside = [(9.2, TENON + 0.1), (BACK, NECK + 0.05)]
    return [
        box(0.5, AXIS - 4.6, 5.2, AXIS + 4.6, fill=PAPER),
        box(5.2, AXIS - 1.4, 6.6, AXIS + 1.4, fill=PAPER),
        box(6.6, AXIS - 4.2, 9.2, AXIS + 4.2, fill=METAL),
        *jaws([*inside, (BACK, 3.6), (9.2, 3.6)]),
    ]


def at_lathe(*wood: Path) -> list[Path]:
    """The lathe with the wood on it."""
    return [*bed(), *wood, *headstock_and_chuck()]


def jaws(corners: list[tuple[float, float]]) -> list[Path]:
    """A jaw on either side of the axis, its corners given as x and the way from the axis."""
    return [solid([(x, AXIS + side * away) for x, away in corners], METAL) for side in (-1, 1)]


def outside(side: int) -> Arc:
    """The turned outside from rim to foot, above (side 1) or below (-1) the axis."""
    return outside_arc(side, face=FACE, rim=RIM, foot=FOOT, deep=BACK - FACE)


def outside_arc(side: int, *, face: float, rim: float, foot: float, deep: float) -> Arc:
    """An outside from its rim at `face` to the foot, which lies `deep` from there along x."""
    middle = (rim**2 - foot**2 - deep**2) / (2 * (rim - foot))  # design.md §10, "arc"
    end = math.degrees(math.atan2(foot - middle, deep))
    return arc(face, AXIS + side * middle, rim - middle, side * 90.0, side * end)


def solid_blank() -> Path:
    """The turned blank before its cuts."""
    return solid(_shell(), WOOD)


def _shell() -> list[Corner]:
    """Round the outside and the tenon from the rim above the axis to the rim below it."""
    tenon = [(BACK, NECK), (BACK - 1.5, TENON), (BACK - 1.5, -TENON), (BACK, -NECK)]
    return [outside(1), *((x, AXIS + away) for x, away in tenon), outside(-1).reversed()]


def reach(radius: float) -> float:
    """Angle at which a tip on that radius meets the face below the axis, degrees."""
    return 180.0 + math.degrees(math.acos((PIVOT.x - FACE) / radius))


def hollowed_blank() -> Path:
    """The outer bowl on the chuck with its core gone."""
    return solid([*_shell(), arc(*PIVOT, SWING, reach(SWING), 360.0 - reach(SWING))], WOOD)


def kerf(cut_to: float) -> Path:
    """The kerf of the cut on the entry side as far as an angle, degrees, white in the wood."""
    inner = SWING - KERF
    edges = arc(*PIVOT, SWING, cut_to, reach(SWING)), arc(*PIVOT, inner, reach(inner), cut_to)
    return solid(edges, PAPER)


def post(at: Point = PIVOT, *, body: float = 1.9) -> list[Path]:
    """The post from above: its body and its pin."""
    return [ring(*at, body, fill=METAL), ring(*at, 0.7, fill=PAPER)]


def swung_cutter(tip: float) -> list[Path]:
    """A curved cutter on its post with the tip at an angle, degrees; the handle points outwards."""
    root, inner = tip + 108.0, SWING - KERF
    blade = solid([arc(*PIVOT, SWING, tip, root), arc(*PIVOT, inner, root, tip + 6.0)], STEEL)
    elbow, start, end = (polar(SWING + way, math.radians(root), PIVOT) for way in (1.2, 1.9, 3.9))
    arm, handle = capsule(PIVOT, elbow, 0.75, fill=METAL), capsule(start, end, 0.9)
    return [blade, handle, arm, ring(*PIVOT, 0.7, fill=PAPER)]


def hand(x: float, y: float, angle: float, *, size: float = 0.85) -> list[Path]:
    """A hand, fingertips at (x, y), that points along the angle, degrees; the thumb to its left."""
    sleeve = solid(points("-9,1.8 -11.6,2 -11.6,-2 -9,-1.8"), PAPER)
    cuff = box(-9.6, -2.1, -8.6, 2.1, fill=PAPER)
    thumb = capsule((-6.6, 1.6), (-3.6, 3.3), 0.65)
    tips = points("-1.45,1.65 -0.75,0.55 -1.05,-0.55 -2.05,-1.65")
    fingers = [capsule((-4.6, row), (tip, row), 0.55) for tip, row in tips]
    palm = solid(
        points("-8.6,1.6 -7,2.1 -4.4,2.2 -4,1.6 -4,-1.6 -4.4,-2.2 -7,-2.1 -8.6,-1.6"),
        PAPER,
        width=0,
    )
    edges = [
        trace(points(written))
        for written in (
            "-8.6,1.6 -7.2,2 -6.6,2.2",
            "-8.6,-1.6 -7,-2.1 -4.6,-2.2",
            "-5.6,2.1 -4.6,2.2",
        )
    ]
    return _placed([sleeve, thumb, *fingers, palm, *edges, cuff], x, y, angle, size=size)


def _placed(
    paths: Iterable[Path], x: float, y: float, angle: float, *, size: float = 1.0
) -> list[Path]:
    """Paths made larger, turned by degrees, and moved to (x, y)."""
    turn = Transform.scale(size, size).then(Transform.rotate(math.radians(angle)))
    return [path.moved(turn.then(Transform.move(x, y))) for path in paths]


def pencil(x: float, y: float, angle: float, *, length: float = 8.0) -> list[Path]:
    """A pencil whose point is at (x, y) and that lies along the angle from there, degrees."""
    strokes = [
        solid([*points("0,0 2,0.65"), (length, 0.65), (length, -0.65), (2.0, -0.65)], PAPER),
        solid(points("0,0 0.8,0.26 0.8,-0.26"), 0.0),
        stroke(2.0, 0.65, 2.0, -0.65, width=FINE),
        stroke(2.0, 0.0, length, 0.0, width=FINE),
    ]
    return _placed(strokes, x, y, angle)


def ruled(left: float, right: float, rows: list[float]) -> list[Path]:
    """Fine lines that stand for writing."""
    return [stroke(left, y, right, y, width=FINE) for y in rows]


def table(area: Box, *, across: int, down: int) -> list[Path]:
    """A ruled table of equal columns and rows."""
    left, bottom, right, top = area
    columns = [left + n * area.width / across for n in range(1, across)]
    rows = [bottom + n * area.height / down for n in range(1, down)]
    return [
        box(left, bottom, right, top, width=THIN),
        *(stroke(x, bottom, x, top, width=FINE) for x in columns),
        *ruled(left, right, rows),
    ]


def sheet(left: float, bottom: float, right: float, top: float) -> Path:
    """The printed part as a sheet of paper."""
    return box(left, bottom, right, top, width=BOLD, fill=PAPER)


def lathe_front() -> list[Path]:
    """The lathe as the turner sees it from the front, in the lower half of the sketch."""
    return [
        box(0.6, 0.5, 34.4, 1.0, fill=METAL),
        box(2.0, 1.0, 4.6, 3.0, fill=PAPER),
        box(29.0, 1.0, 31.6, 3.0, fill=PAPER),
        box(1.2, 3.0, 33.4, 4.6, fill=METAL),
        box(1.8, 4.6, 8.0, 11.4, fill=PAPER),
        box(8.0, 7.2, 8.9, 8.8, fill=PAPER),
        box(8.9, 6.2, 10.4, 9.8, fill=METAL),
        solid([arc(14.6, 8.8, 3.8, 90, 165), arc(14.6, 7.2, 3.8, 195, 270)], WOOD),
    ]


def post_front() -> list[Path]:
    """The post and a cutter on it, for the lathe from the front."""
    return [
        box(17.4, 4.6, 21.6, 5.6, fill=METAL),
        box(18.8, 5.6, 20.2, 9.2, fill=METAL),
        capsule((16.0, 8.2), (24.0, 8.2), 0.45, fill=STEEL),
        capsule((24.0, 8.2), (32.6, 8.2), 0.8),
    ]


def long_cutter(x: float, y: float, radius: float, tip: float, root: float) -> list[Path]:
    """A curved cutter laid down: its blade along an arc about (x, y), tang and handle beyond."""
    inner = radius - 1.7
    end = arc(x, y, radius - 0.85, tip, root).end
    tang = [box(0.0, -0.55, 3.4, 0.55, fill=STEEL), capsule((4.2, 0.0), (9.0, 0.0), 1.1)]
    blade = solid([arc(x, y, radius, tip, root), arc(x, y, inner, root, tip - 3.0)], STEEL)
    return [*_placed(tang, *end, root - 90.0), blade]


def standing_bowl(x: float, rim: float, radius: float, foot: list[tuple[float, float]]) -> Path:
    """A bowl from the side, its rim about (x, rim), on the two ends of its foot."""
    sides = arc(x, rim, radius, 180, 246), arc(x, rim, radius, 294, 360)
    return solid([sides[0], *foot, sides[1]], WOOD)


def half_bowls(left: float, top: float, rim: float) -> list[Path]:
    """A half section of nested bowls: axis at the left, face at the top, `rim` its radius."""

    def curve(share: float, start: float, end: float) -> Arc:
        return arc(left, top, rim * share, start, end)

    return [
        solid([(left, top), curve(1.0, 0, -90)], WOOD),
        solid([curve(0.8, 0, -90), curve(0.72, -90, 0)], PAPER, width=FINE),
        solid([curve(0.5, 0, -90), curve(0.42, -90, 0)], PAPER, width=FINE),
    ]
