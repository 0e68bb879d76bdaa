"""The drawing model: lines, true arcs and text at full size, drawn onto any pen.

A drawing never learns whether its pen writes PDF, SVG or DXF, measures or records. Frame:
millimetres, y up, angles radians anticlockwise.
"""

import enum
import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform, union
from templategen.parts.lettering import text_width
from templategen.trade.part_kinds import Group, Material, PartKind


class Role(enum.StrEnum):
    """What a line is for; its name is the layer in SVG and DXF files."""

    CUT = "cut"  # the line that is cut
    MARK = "mark"  # scribed or read against: ticks, centres, fold lines
    NOTE = "note"  # wording, dimensions, frames


LINE_WIDTH = {Role.CUT: 0.3, Role.MARK: 0.15, Role.NOTE: 0.1}  # mm (design.md §8)

_KINDS = frozenset(kind.value for kind in PartKind)

BODY = 9.0 * 25.4 / 72  # 9 pt, the least size of body text, mm
SAME = 1e-6  # mm: points this near are one
ORIGIN = Point(0.0, 0.0)


class Anchor(enum.StrEnum):
    """Which point of a text its position is."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A run of segments, each starting where the one before ends.

    Args:
        segments: at least one.
        role: what the line is for.
        closed: whether the end meets the start.
        dashed: drawn as dashes (hidden or inner edges).
        fill: grey level of an inside fill, 0 black to 1 white, or None.
        width: line width, mm, or None for the role's own; 0 draws no line.
    """

    segments: tuple[Segment, ...]
    role: Role = Role.CUT
    closed: bool = False
    dashed: bool = False
    fill: float | None = None
    width: float | None = None

    @property
    def line_width(self) -> float:
        """Mm."""
        return LINE_WIDTH[self.role] if self.width is None else self.width

    def moved(self, transform: Transform) -> "Path":
        """The path under a map that turns, shifts and scales evenly."""
        return Path(
            segments=tuple(s.moved(transform) for s in self.segments),
            role=self.role,
            closed=self.closed,
            dashed=self.dashed,
            fill=self.fill,
            width=self.width,
        )

    def bounds(self) -> Box:
        """The least upright box round it, line width left out."""
        return union([s.bounds() for s in self.segments])


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text on its baseline.

    Args:
        text: plain text, any characters.
        at: the anchor point on the baseline, mm.
        size: font size, mm (9 pt = 3.175 mm).
        angle: direction of the baseline, radians.
        anchor: which point of the line `at` is.
        bold: in the bold cut.
    """

    text: str
    at: Point
    size: float = BODY
    angle: float = 0.0
    anchor: Anchor = Anchor.START
    bold: bool = False

    @property
    def width(self) -> float:
        """Length of the line, mm."""
        return text_width(self.text, size=self.size, bold=self.bold)

    def moved(self, transform: Transform) -> "Text":
        """The text under a map that turns, shifts and scales evenly."""
        return Text(
            text=self.text,
            at=transform.apply(self.at),
            size=self.size * math.hypot(transform.a, transform.b),
            angle=self.angle + transform.angle,
            anchor=self.anchor,
            bold=self.bold,
        )

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The four corners of the line's box (descent -0.24, ascent 0.76 of the size), mm."""
        width = self.width
        shift = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[self.anchor]
        place = Transform.rotate(self.angle).then(Transform.move(*self.at))
        low, high = -0.24 * self.size, 0.76 * self.size
        corners = ((shift, low), (shift + width, low), (shift + width, high), (shift, high))
        one, two, three, four = (place.apply(Point(*c)) for c in corners)
        return one, two, three, four

    def bounds(self) -> Box:
        """The least upright box round it."""
        if self.angle == 0:  # as most are
            width, (x, y) = self.width, self.at
            shift = 0.0
            if self.anchor is not Anchor.START:
                shift = -width if self.anchor is Anchor.END else -width / 2
            low, high = y - 0.24 * self.size, y + 0.76 * self.size
            return Box(x + shift, low, x + (shift + width), high)
        corners = self.corners()
        xs, ys = [p.x for p in corners], [p.y for p in corners]
        return Box(min(xs), min(ys), max(xs), max(ys))


Item = Path | Text


class Pen(Protocol):
    """What a drawing is drawn onto."""

    def path(self, path: Path) -> None:
        """Draws a run of lines and true arcs."""

    def text(self, text: Text) -> None:
        """Draws a line of text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A full-size drawing: paths and texts in one frame."""

    items: tuple[Item, ...]

    def draw(self, pen: Pen) -> None:
        """Draws every item onto the pen, in order."""
        for item in self.items:
            match item:
                case Path():
                    pen.path(item)
                case Text():
                    pen.text(item)

    def moved(self, transform: Transform) -> "Drawing":
        """The drawing under a map that turns, shifts and scales evenly."""
        return Drawing(items=tuple(item.moved(transform) for item in self.items))

    def bounds(self) -> Box:
        """The least upright box round everything, mm."""
        return union([item.bounds() for item in self.items])

    def paths(self, *roles: Role) -> tuple[Path, ...]:
        """The paths of the given roles (of all roles, if none is given)."""
        return tuple(
            i for i in self.items if isinstance(i, Path) and (not roles or i.role in roles)
        )

    def texts(self) -> tuple[Text, ...]:
        """The texts."""
        return tuple(i for i in self.items if isinstance(i, Text))

    def __add__(self, other: "Drawing") -> "Drawing":
        """Both drawings, this one below."""
        return Drawing(items=self.items + other.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing to print: a template to cut out, or a sheet to read.

    Args:
        kind: the part's kind, as a turner names it on the command line, such as ``cut plate``.
        key: unique in a pack, lower-case words joined by ``-``; names files and bookmarks.
        title: what a person calls it, such as ``Cut plate 2, cutter R105``.
        drawing: full size, in the part's own frame.
        may_turn: whether the packer may give it a quarter turn on the page.
        may_tile: whether it may run over several sheets.
        plies: of a part that is a stack of plies of this outline: (count, thickness in mm), from
            the thickest down; empty for a part that is cut once.
    """

    kind: str
    key: str
    title: str
    drawing: Drawing
    may_turn: bool = True
    may_tile: bool = True
    plies: tuple[tuple[int, float], ...] = ()

    @property
    def group(self) -> Group:
        """The step of the work it serves; covers and charts are read first."""
        return PartKind(self.kind).group if self.kind in _KINDS else Group.READ_FIRST

    @property
    def material(self) -> Material:
        """What it is glued to; covers and charts are paper."""
        return PartKind(self.kind).material if self.kind in _KINDS else Material.PAPER


def part_of(
    kind: str,
    key: str,
    title: str,
    items: Iterable[Item],
    *,
    may_turn: bool = True,
    may_tile: bool = True,
) -> Part:
    """A part that is cut once, or a sheet to read, from what is drawn on it; see `Part`."""
    drawing = Drawing(items=tuple(items))
    return Part(
        kind=str(kind),  # shown to people, so never a member of `PartKind`
        key=key,
        title=title,
        drawing=drawing,
        may_turn=may_turn,
        may_tile=may_tile,
    )


def polar(radius: float, angle: float, centre: Point = ORIGIN) -> Point:
    """The point at a distance from a centre, mm, in a direction, radians."""
    return Point(centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle))


def run_through(corners: Iterable[Point | Segment]) -> tuple[Segment, ...]:
    """Points, lines and arcs in their order, with a straight line wherever two do not meet."""
    segments: list[Segment] = []
    at: Point | None = None
    for corner in corners:
        start, end = (corner, corner) if isinstance(corner, Point) else (corner.start, corner.end)
        if at is not None and math.dist(at, start) > SAME:
            segments.append(Line(at, start))
        if not isinstance(corner, Point):
            segments.append(corner)
        at = end
    return tuple(segments)


def polyline(
    points: Iterable[tuple[float, float]],
    *,
    role: Role = Role.CUT,
    closed: bool = False,
    dashed: bool = False,
    fill: float | None = None,
    width: float | None = None,
) -> Path:
    """A path of straight segments through the points (at least two)."""
    corners = [Point(*p) for p in points]
    if closed:
        corners.append(corners[0])
    segments = tuple(Line(a, b) for a, b in itertools.pairwise(corners))
    return Path(segments=segments, role=role, closed=closed, dashed=dashed, fill=fill, width=width)


def line(
    x0: float, y0: float, x1: float, y1: float, *, role: Role = Role.MARK, dashed: bool = False
) -> Path:
    """One straight line."""
    return polyline(((x0, y0), (x1, y1)), role=role, dashed=dashed)


def cross(at: Point, arm: float) -> tuple[Path, Path]:
    """Two marks that cross at a point, `arm` mm to each side."""
    x, y = at
    return line(x - arm, y, x + arm, y), line(x, y - arm, x, y + arm)


def rectangle(
    box: Box, *, role: Role = Role.CUT, fill: float | None = None, width: float | None = None
) -> Path:
    """An upright rectangle."""
    corners = (
        (box.left, box.bottom),
        (box.right, box.bottom),
        (box.right, box.top),
        (box.left, box.top),
    )
    return polyline(corners, role=role, closed=True, fill=fill, width=width)


def arc_path(arc: Arc, *, role: Role = Role.CUT, dashed: bool = False) -> Path:
    """One true arc, or a circle."""
    return Path(segments=(arc,), role=role, closed=arc.is_circle, dashed=dashed)
