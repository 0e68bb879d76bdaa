"""Points, affine maps, lines and true arcs. Lengths mm, angles radians, y up."""

import math
from dataclasses import dataclass
from typing import NamedTuple


class Point(NamedTuple):
    """A point, mm."""

    x: float
    y: float


class Transform(NamedTuple):
    """An affine map ``x' = a x + c y + e``, ``y' = b x + d y + f``, the order PDF uses.

    >>> Transform.move(10, 0).apply(Point(1, 2))
    Point(x=11.0, y=2.0)
    >>> Transform.rotate(math.pi / 2).then(Transform.move(5, 0)).apply(Point(1, 0))
    Point(x=5.0, y=1.0)
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @classmethod
    def move(cls, dx: float, dy: float) -> "Transform":
        """A shift by (dx, dy), mm."""
        return cls(1.0, 0.0, 0.0, 1.0, float(dx), float(dy))

    @classmethod
    def rotate(cls, angle: float) -> "Transform":
        """A turn about the origin, radians, anticlockwise; exact for whole quarter turns."""
        quarter = angle / (math.pi / 2)
        if abs(quarter - round(quarter)) < 1e-12:
            cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
        else:
            cos, sin = math.cos(angle), math.sin(angle)
        return cls(cos, sin, -sin, cos, 0.0, 0.0)

    @classmethod
    def scale(cls, across: float, down: float) -> "Transform":
        """A stretch about the origin."""
        return cls(float(across), 0.0, 0.0, float(down), 0.0, 0.0)

    def then(self, other: "Transform") -> "Transform":
        """This map first, then `other`."""
        a, b, c, d, e, f = self
        g, h, i, j, k, m = other
        return Transform(
            g * a + i * b,
            h * a + j * b,
            g * c + i * d,
            h * c + j * d,
            g * e + i * f + k,
            h * e + j * f + m,
        )

    def apply(self, point: Point) -> Point:
        """The mapped point."""
        return Point(
            self.a * point.x + self.c * point.y + self.e,
            self.b * point.x + self.d * point.y + self.f,
        )

    def inverse(self) -> "Transform":
        """The map back.

        Raises:
            ZeroDivisionError: the map flattens the plane.
        """
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Transform(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))

    @property
    def angle(self) -> float:
        """How far the map turns the x axis, radians."""
        return math.atan2(self.b, self.a)


class Box(NamedTuple):
    """An upright rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Mm."""
        return self.top - self.bottom

    def grown(self, by: float) -> "Box":
        """The box with each side moved out by `by` mm (in, if negative)."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def moved(self, transform: Transform) -> "Box":
        """The least box round the mapped corners."""
        corners = [
            transform.apply(Point(x, y))
            for x in (self.left, self.right)
            for y in (self.bottom, self.top)
        ]
        xs, ys = zip(*corners, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    def overlap(self, other: "Box") -> "Box":
        """What both boxes cover, where they meet."""
        return Box(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )

    def meets(self, other: "Box", *, gap: float = 0.0) -> bool:
        """Whether the boxes overlap, or come nearer than `gap` mm."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.bottom < other.top + gap
            and other.bottom < self.top + gap
        )

    def holds(self, other: "Box", *, slack: float = 0.0) -> bool:
        """Whether `other` lies inside this box grown by `slack` mm."""
        return (
            other.left >= self.left - slack
            and other.right <= self.right + slack
            and other.bottom >= self.bottom - slack
            and other.top <= self.top + slack
        )


def union(boxes: "list[Box] | tuple[Box, ...]") -> Box:
    """The least box round all `boxes` (at least one)."""
    if len(boxes) == 1:
        return boxes[0]
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return Box(min(lefts), min(bottoms), max(rights), max(tops))


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point

    def reversed(self) -> "Line":
        """The same segment run the other way."""
        return Line(self.end, self.start)

    def moved(self, transform: Transform) -> "Line":
        """The mapped segment."""
        return Line(transform.apply(self.start), transform.apply(self.end))

    def bounds(self) -> Box:
        """The bounding box."""
        (x0, y0), (x1, y1) = self.start, self.end
        return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


@dataclass(frozen=True, slots=True)
class Arc:
    """A true circular arc.

    Args:
        centre: mm.
        radius: mm, > 0.
        from_angle: where it starts, radians from the x axis, anticlockwise.
        sweep: how far it runs, radians, signed (positive anticlockwise), at most a full turn.
    """

    centre: Point
    radius: float
    from_angle: float
    sweep: float

    def at(self, angle: float) -> Point:
        """The point of the circle at an angle, mm."""
        return Point(
            self.centre.x + self.radius * math.cos(angle),
            self.centre.y + self.radius * math.sin(angle),
        )

    @property
    def start(self) -> Point:
        """Where it starts, mm."""
        return self.at(self.from_angle)

    @property
    def end(self) -> Point:
        """Where it ends, mm."""
        return self.at(self.from_angle + self.sweep)

    @property
    def is_circle(self) -> bool:
        """Whether it runs a full turn."""
        return abs(abs(self.sweep) - 2 * math.pi) < 1e-12

    def reversed(self) -> "Arc":
        """The same arc run the other way."""
        return Arc(self.centre, self.radius, self.from_angle + self.sweep, -self.sweep)

    def moved(self, transform: Transform) -> "Arc":
        """The arc under a map that turns, shifts and scales evenly.

        Raises:
            ValueError: the map would make an ellipse of it or mirrors it unevenly.
        """
        a, b, c, d, _, _ = transform
        size = math.hypot(a, b)
        if abs(math.hypot(c, d) - size) > 1e-9 * size or abs(a * c + b * d) > 1e-9 * size * size:
            raise ValueError("a circle stretched unevenly is no circle")
        mirrored = a * d - b * c < 0
        start = -self.from_angle if mirrored else self.from_angle
        sweep = -self.sweep if mirrored else self.sweep
        return Arc(transform.apply(self.centre), self.radius * size, start + transform.angle, sweep)

    def bounds(self) -> Box:
        """The bounding box."""
        low = min(self.from_angle, self.from_angle + self.sweep)
        high = max(self.from_angle, self.from_angle + self.sweep)
        points = [self.start, self.end]
        first = math.ceil(low / (math.pi / 2))
        last = math.floor(high / (math.pi / 2))
        points += [self.at(n * math.pi / 2) for n in range(first, last + 1)]
        xs = [p.x for p in points]
        ys = [p.y for p in points]
        return Box(min(xs), min(ys), max(xs), max(ys))


Segment = Line | Arc


def circle(centre: Point, radius: float) -> Arc:
    """A full circle."""
    return Arc(centre, radius, 0.0, 2 * math.pi)


def bezier_arc(arc: Arc) -> list[tuple[Point, Point, Point]]:
    """Cubic segments that draw an arc of any sweep, each at most 30° of it.

    The error is about 1.81e-5 R α⁶: less than 0.4 µm at a radius of 1000 mm.

    Returns: (first control point, second control point, end point) a segment, mm.
    """
    count = max(1, math.ceil(abs(arc.sweep) / (math.pi / 6) - 1e-12))
    step = arc.sweep / count
    arm = 4.0 / 3.0 * math.tan(step / 4.0) * arc.radius
    cubics = []
    for n in range(count):
        a0 = arc.from_angle + n * step
        a1 = arc.from_angle + (n + 1) * step
        p0, p3 = arc.at(a0), arc.at(a1)
        cubics.append(
            (
                Point(p0.x - arm * math.sin(a0), p0.y + arm * math.cos(a0)),
                Point(p3.x + arm * math.sin(a1), p3.y - arm * math.cos(a1)),
                p3,
            )
        )
    return cubics
