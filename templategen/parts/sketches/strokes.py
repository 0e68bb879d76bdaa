"""Strokes of the use sketches: thin for the lathe and the wood, bold for the part.

Frame of a sketch: millimetres, origin lower left, y up; angles here are degrees, anticlockwise
from the x axis. All strokes are notes, so that no cutting file cuts them.
"""

import math
from collections.abc import Iterable, Sequence

from templategen.geometry.shapes import Arc, Box, Point, Segment, circle
from templategen.parts.drawing import Path, Role, polar, run_through

WIDTH = 35.0  # mm, of every sketch
HEIGHT = 25.0  # mm
FINE = 0.15  # mm: growth rings, ticks, ruled lines
THIN = 0.2  # mm: lathe, wood, tools
BOLD = 0.5  # mm: the part
PAPER = 1.0  # grey levels, 0 black to 1 white
WOOD = 0.88
METAL = 0.72
STEEL = 0.35  # blades

Corner = tuple[float, float] | Arc


def trace(
    corners: Sequence[Corner],
    *,
    width: float = THIN,
    closed: bool = False,
    dashed: bool = False,
    fill: float | None = None,
) -> Path:
    """A run through points and arcs in their order, straight from one to the next.

    Args:
        corners: at least two points, or one arc.
        width: of the line, mm; 0 draws none.
        closed: whether it runs back to its start.
        dashed: drawn as dashes.
        fill: grey level inside, or None.
    """
    run: list[Point | Segment] = [c if isinstance(c, Arc) else Point(*c) for c in corners]
    if closed:
        run.append(run[0].start if isinstance(run[0], Arc) else run[0])
    return Path(
        segments=run_through(run),
        role=Role.NOTE,
        closed=closed,
        dashed=dashed,
        fill=fill,
        width=width,
    )


def plate(corners: Sequence[Corner]) -> Path:
    """The outline of the part, bold and white inside."""
    return trace(corners, width=BOLD, closed=True, fill=PAPER)


def solid(corners: Sequence[Corner], fill: float, *, width: float = THIN) -> Path:
    """A closed shape with a tint inside."""
    return trace(corners, width=width, closed=True, fill=fill)


def points(written: str, x: float = 0.0, y: float = 0.0) -> list[tuple[float, float]]:
    """Points written as in SVG, ``1.5,2 3,-4``, counted from (x, y)."""
    pairs = (pair.split(",") for pair in written.split())
    return [(x + float(across), y + float(up)) for across, up in pairs]


def stroke(
    x0: float, y0: float, x1: float, y1: float, *, width: float = THIN, dashed: bool = False
) -> Path:
    """A straight stroke."""
    return trace([(x0, y0), (x1, y1)], width=width, dashed=dashed)


def box(
    left: float,
    bottom: float,
    right: float,
    top: float,
    *,
    width: float = THIN,
    fill: float | None = None,
) -> Path:
    """An upright rectangle."""
    corners = [(left, bottom), (right, bottom), (right, top), (left, top)]
    return trace(corners, width=width, closed=True, fill=fill)


def round_box(area: Box, radius: float, *, width: float = THIN) -> Path:
    """An upright rectangle with rounded corners."""
    left, bottom, right, top = area.grown(-radius)
    corners = (
        arc(left, bottom, radius, 180, 270),
        arc(right, bottom, radius, 270, 360),
        arc(right, top, radius, 0, 90),
        arc(left, top, radius, 90, 180),
    )
    return trace(corners, width=width, closed=True)


def arc(x: float, y: float, radius: float, start: float, end: float) -> Arc:
    """An arc about (x, y) from one angle to another, degrees; the sign of the way is its sense."""
    return Arc(Point(x, y), radius, math.radians(start), math.radians(end - start))


def ring(
    x: float,
    y: float,
    radius: float,
    *,
    width: float = THIN,
    dashed: bool = False,
    fill: float | None = None,
) -> Path:
    """A circle."""
    whole = circle(Point(x, y), radius)
    return trace([whole], width=width, closed=True, dashed=dashed, fill=fill)


def capsule(
    start: tuple[float, float],
    end: tuple[float, float],
    radius: float,
    *,
    width: float = THIN,
    fill: float = PAPER,
) -> Path:
    """A bar with round ends about two points."""
    (x0, y0), (x1, y1) = start, end
    along = math.degrees(math.atan2(y1 - y0, x1 - x0))
    ends = (
        arc(x1, y1, radius, along - 90, along + 90),
        arc(x0, y0, radius, along + 90, along + 270),
    )
    return solid(ends, fill, width=width)


def arrow_head(x: float, y: float, angle: float) -> Path:
    """A filled head whose point is at (x, y) and that flies along the angle, degrees."""
    sides = [polar(1.3, math.radians(angle + side), Point(x, y)) for side in (160.0, 200.0)]
    return solid([(x, y), *sides], 0.0, width=FINE)


def arrow(x0: float, y0: float, x1: float, y1: float) -> list[Path]:
    """A straight arrow from one point to another."""
    along = math.degrees(math.atan2(y1 - y0, x1 - x0))
    return [stroke(x0, y0, x1, y1, width=THIN), arrow_head(x1, y1, along)]


def turning_arrow(x: float, y: float, radius: float, start: float, end: float) -> list[Path]:
    """An arrow along an arc, its head at the end."""
    curve = arc(x, y, radius, start, end)
    ahead = end + (90.0 if end > start else -90.0)
    lag = math.degrees(0.6 / radius) * (1 if end > start else -1)  # the chord of the head
    return [trace([curve]), arrow_head(curve.end.x, curve.end.y, ahead - lag)]


def ticks(points: Iterable[tuple[float, float]], dx: float, dy: float) -> list[Path]:
    """Fine ticks from the points by (dx, dy)."""
    return [stroke(x, y, x + dx, y + dy, width=FINE) for x, y in points]
