"""Cut lines moved aside for the width of a beam or a bit, so that what is cut comes out true."""

import itertools
import math
from dataclasses import dataclass

from templategen.errors import GeometryError
from templategen.geometry.offset import (
    SAME,
    TINY,
    Outline,
    chained,
    distance_to,
    is_inside,
    offset_outline,
    outlines_meet,
    segment_length,
)
from templategen.geometry.shapes import Arc, Box, Line, Point, union
from templategen.messages import tr
from templategen.parts.drawing import Drawing, Item, Part, Path, Role, cross

SHARP = 0.05  # mm left in a corner that counts as sharp: half of the tenths that lengths are in
ROUND = 0.001  # mm: arcs with centres and radii this near are one circle


@dataclass(frozen=True, slots=True)
class BluntPlace:
    """A place of a part that the beam cannot reach into.

    Args:
        at: in the part's frame.
        gap: from there to the nearest edge of the cut, mm.
    """

    at: Point
    gap: float


@dataclass(frozen=True, slots=True)
class SmallHole:
    """A hole that the beam does not go into, which is marked and not cut.

    Args:
        at: its middle, in the part's frame.
        diameter: of a round hole, mm; None for another shape.
    """

    at: Point
    diameter: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Beamed:
    """A drawing whose cut lines are moved.

    Args:
        drawing: full size.
        open_lines: how many cut lines that close nothing stay where they are.
        holes: those that are marked only.
        blunt: inner corners and narrow places that stay fuller than drawn.
    """

    drawing: Drawing
    open_lines: int = 0
    holes: tuple[SmallHole, ...] = ()
    blunt: tuple[BluntPlace, ...] = ()


def cut_outlines(drawing: Drawing) -> tuple[list[Outline], list[Outline]]:
    """The cut lines of a drawing joined to outlines: those that close, and those that do not."""
    return chained([closed_run(path) for path in drawing.paths(Role.CUT)])


def beamed(part: Part, *, beam: float) -> Beamed:
    """The part's drawing with its cut lines half a beam farther from what is kept.

    An outside goes outward and a hole inward; a line that closes nothing stays where it is. A
    round hole not wider than the beam becomes a cross as wide as the hole, for a drill; another
    hole that the beam does not go into becomes a mark line.

    Args:
        part: full size.
        beam: width of the cut, mm, more than 0.

    Raises:
        GeometryError: cut lines touch, or the room between two of them is narrower than the beam.
    """
    whole, loose = cut_outlines(part.drawing)
    try:
        moved, blocked = _moved(whole, beam / 2)
    except GeometryError as error:
        mend = tr("leave out --beam, or leave this kind of part out with --part")
        raise GeometryError(error.what, where=part.title, mend=mend) from error
    kept = [i for i in part.drawing.items if not (isinstance(i, Path) and i.role is Role.CUT)]
    holes = [_small_hole(outline) for outline in blocked]
    marks = [m for hole, o in zip(holes, blocked, strict=True) for m in _hole_marks(hole, o)]
    paths = [Path(segments=outline, closed=True) for outline in moved]
    paths += [Path(segments=run) for run in loose]
    lines = [outline for outline in whole if outline not in blocked]
    return Beamed(
        drawing=Drawing(items=(*kept, *marks, *paths)),
        open_lines=len(loose),
        holes=tuple(holes),
        blunt=_blunt_places(lines, moved, beam / 2),
    )


def closed_run(path: Path) -> Outline:
    """The path's segments, with the straight one that closes it where it is only implied.

    Those of no length are left out, for nothing is cut along them.
    """
    segments = tuple(s for s in path.segments if segment_length(s) > TINY) or path.segments
    first, last = segments[0].start, segments[-1].end
    if path.closed and math.dist(first, last) > SAME:
        return (*segments, Line(last, first))
    return segments


def _moved(whole: list[Outline], half: float) -> tuple[list[Outline], list[Outline]]:
    """The moved outlines, and the holes that nothing is left of."""
    moved: list[Outline] = []
    blocked: list[Outline] = []
    for n, outline in enumerate(whole):
        others = whole[:n] + whole[n + 1 :]
        if any(outlines_meet(outline, other) for other in others):
            raise GeometryError(tr("cut lines cross or touch, so no beam can be allowed for"))
        depth = sum(is_inside(outline[0].start, other) for other in others)
        new = offset_outline(outline, half if depth % 2 == 0 else -half)
        if new:
            moved += new
        else:
            blocked.append(outline)
    if any(outlines_meet(one, other) for one, other in itertools.combinations(moved, 2)):
        raise GeometryError(tr("the beam is wider than the room between two cut lines"))
    return moved, blocked


def outline_box(outline: Outline) -> Box:
    """The least upright box round an outline, mm."""
    return union([segment.bounds() for segment in outline])


def lies_inside(inner: Outline, outer: Outline) -> bool:
    """Whether a closed outline lies inside another one that it does not cross."""
    if inner is outer or not outline_box(outer).holds(outline_box(inner)):
        return False
    return is_inside(inner[0].start, outer)


def _small_hole(outline: Outline) -> SmallHole:
    first = outline[0]
    if isinstance(first, Arc) and all(
        isinstance(s, Arc)
        and math.dist(s.centre, first.centre) < ROUND
        and abs(s.radius - first.radius) < ROUND
        for s in outline
    ):
        return SmallHole(first.centre, 2 * first.radius)
    box = outline_box(outline)
    return SmallHole(Point((box.left + box.right) / 2, (box.bottom + box.top) / 2), None)


def _hole_marks(hole: SmallHole, outline: Outline) -> tuple[Item, ...]:
    if hole.diameter is None:
        return (Path(segments=outline, role=Role.MARK, closed=True),)
    return cross(hole.at, hole.diameter / 2)


def _blunt_places(
    whole: list[Outline], moved: list[Outline], half: float
) -> tuple[BluntPlace, ...]:
    """Corners and middles of sides that no point of the beam comes near to.

    What stays of a corner is farthest from the path of the beam's middle at the corner itself, of
    a slot at its ends, and of an arc narrower than the beam at the arc's middle.
    """
    found: list[BluntPlace] = []
    path = [segment for outline in moved for segment in outline]
    for outline in whole:
        for segment in outline:
            points = [segment.start]
            if isinstance(segment, Arc):
                points.append(segment.at(segment.from_angle + segment.sweep / 2))
            for point in points:
                gap = min(distance_to(point, other) for other in path) - half
                if gap > SHARP:
                    found.append(BluntPlace(point, gap))
    return tuple(found)
