"""Takes out the lines that lie under something, so that a sketch also reads as lines alone."""

import dataclasses
import itertools
from collections.abc import Iterator, Sequence

from templategen.geometry.offset import crossings, is_inside, piece_of
from templategen.geometry.shapes import Point, Segment
from templategen.parts.drawing import Path
from templategen.parts.sketches.strokes import SAME


def without_covered_lines(paths: Sequence[Path]) -> list[Path]:
    """The sketch as a painter would leave it: first all tints, then the lines that are seen.

    Files for machines keep lines and drop tints, so no line may rely on being painted over.

    Args:
        paths: from the lowest to the topmost; those with a fill hide what is under them.
    """
    tints = [dataclasses.replace(path, width=0.0) for path in paths if path.fill is not None]
    lines = [
        line
        for n, path in enumerate(paths)
        if path.line_width > 0
        for line in _seen_lines(path, [over for over in paths[n + 1 :] if _covers(over, path)])
    ]
    return tints + lines


def _covers(over: Path, path: Path) -> bool:
    """Whether one path may hide a piece of another."""
    return over.fill is not None and over.bounds().meets(path.bounds())


def _seen_lines(path: Path, above: Sequence[Path]) -> Iterator[Path]:
    """The runs of a path that nothing above it hides."""
    if not above:
        yield dataclasses.replace(path, fill=None)
        return
    seen = [piece for segment in path.segments for piece in _seen_pieces(segment, above)]
    while seen:
        run = [seen.pop(0)]
        while seen and _apart(run[-1].end, seen[0].start) < SAME:
            run.append(seen.pop(0))
        whole = path.closed and run == list(path.segments)
        yield dataclasses.replace(path, segments=tuple(run), closed=whole, fill=None)


def _apart(one: Point, other: Point) -> float:
    return max(abs(one.x - other.x), abs(one.y - other.y))


def _seen_pieces(segment: Segment, above: Sequence[Path]) -> Iterator[Segment]:
    """The pieces of a segment that nothing above it hides, as long as they can be."""
    shares = {0.0, 1.0}
    for over in above:
        for edge in over.segments:
            shares.update(share for _, share, _ in crossings(segment, edge))
    ends = [share for share in sorted(shares) if share == 0.0 or share > SAME]
    runs: list[tuple[float, float]] = []
    for low, high in itertools.pairwise(ends):
        if high - low < SAME or _is_hidden(piece_of(segment, low, high), above):
            continue
        if runs and low - runs[-1][1] < SAME:
            runs[-1] = (runs[-1][0], high)
        else:
            runs.append((low, high))
    for run in runs:
        yield segment if run == (0.0, 1.0) else piece_of(segment, *run)


def _is_hidden(piece: Segment, above: Sequence[Path]) -> bool:
    """Whether the middle of a piece, which crosses no edge, lies under a tint."""
    middle = piece_of(piece, 0.0, 0.5).end
    return any(is_inside(middle, over.segments) for over in above)
