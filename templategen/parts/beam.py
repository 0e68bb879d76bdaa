"""Cut lines moved aside for the width of a beam or a bit, so that what is cut comes out true."""

import math
from dataclasses import dataclass

from templategen.errors import GeometryError
from templategen.geometry.offset import (
    SAME,
    Outline,
    chained,
    is_inside,
    offset_outline,
    outlines_meet,
)
from templategen.geometry.shapes import Line
from templategen.messages import tr
from templategen.parts.drawing import Drawing, Part, Path, Role

WIDEST = 6.0  # mm: a beam is some tenths, a milling bit a few millimetres


@dataclass(frozen=True, slots=True, kw_only=True)
class Beamed:
    """A drawing whose cut lines are moved, and how many of them are open and were left."""

    drawing: Drawing
    left: int


def beamed(part: Part, *, beam: float) -> Beamed:
    """The part's drawing with its cut lines half a beam farther from what is kept.

    An outside goes outward and a hole inward; a line that closes nothing stays where it is.

    Args:
        part: full size.
        beam: width of the cut, mm, more than 0.

    Raises:
        GeometryError: a hole is narrower than the beam, or cut lines touch.
    """
    cut = part.drawing.paths(Role.CUT)
    whole, loose = chained([_run(path) for path in cut])
    try:
        moved = _moved(whole, beam / 2)
    except GeometryError as error:
        mend = tr("leave out --beam, or leave this kind of part out with --part")
        raise GeometryError(error.what, where=part.title, mend=mend) from error
    kept = [i for i in part.drawing.items if not (isinstance(i, Path) and i.role is Role.CUT)]
    paths = [Path(segments=outline, closed=True) for outline in moved]
    paths += [Path(segments=run) for run in loose]
    return Beamed(drawing=Drawing(items=(*kept, *paths)), left=len(loose))


def _run(path: Path) -> Outline:
    """The path's segments, with the straight one that closes it where it is only implied."""
    first, last = path.segments[0].start, path.segments[-1].end
    if path.closed and math.dist(first, last) > SAME:
        return (*path.segments, Line(last, first))
    return path.segments


def _moved(whole: list[Outline], half: float) -> list[Outline]:
    moved: list[Outline] = []
    for n, outline in enumerate(whole):
        others = whole[:n] + whole[n + 1 :]
        if any(outlines_meet(outline, other) for other in others):
            raise GeometryError(tr("cut lines cross or touch, so no beam can be allowed for"))
        depth = sum(is_inside(outline[0].start, other) for other in others)
        new = offset_outline(outline, half if depth % 2 == 0 else -half)
        if not new or (depth % 2 and len(new) != 1):
            raise GeometryError(tr("the beam of {beam:g} mm is wider than a hole", beam=2 * half))
        moved += new
    _check_apart(moved)
    return moved


def _check_apart(moved: list[Outline]) -> None:
    for n, outline in enumerate(moved):
        if any(outlines_meet(outline, other) for other in moved[:n]):
            raise GeometryError(tr("the beam is wider than the room between two cut lines"))
