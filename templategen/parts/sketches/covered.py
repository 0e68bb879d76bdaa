"""Takes out the lines that lie under something, so that a sketch also reads as lines alone."""

import dataclasses
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from templategen.geometry.offset import crossings, is_inside, piece_of
from templategen.geometry.shapes import Box, Point, Segment
from templategen.parts.drawing import Path

SAME = 1e-9  # mm, or share of a segment: nearer points are one


@dataclass(frozen=True, slots=True)
class _Cover:
    """A tint that hides what is under it, its edges with their boxes."""

    outline: tuple[Segment, ...]
    box: Box
    edges: list[tuple[Segment, Box]]

    def hides(self, point: Point) -> bool:
        """Whether a point, which is not on an edge, lies under the tint."""
        return self.box.holds(Box(*point, *point)) and is_inside(point, self.outline)


def without_covered_lines(paths: Sequence[Path]) -> list[Path]:
    """The sketch as a painter would leave it: first all tints, then the lines that are seen.

    Files for machines keep lines and drop tints, so no line may rely on being painted over.

    Args:
        paths: from the lowest to the topmost; those with a fill hide what is under them.
    """
    tints = [dataclasses.replace(path, width=0.0) for path in paths if path.fill is not None]
    lines: list[Path] = []
    covers: list[_Cover] = []
    for path in reversed(paths):
        box = path.bounds()
        if path.line_width > 0:
            lines[:0] = _seen_lines(path, [cover for cover in covers if cover.box.meets(box)])
        if path.fill is not None:
            edges = [(edge, edge.bounds().grown(SAME)) for edge in path.segments]
            covers.append(_Cover(outline=path.segments, box=box, edges=edges))
    return tints + lines


def _seen_lines(path: Path, above: Sequence[_Cover]) -> Iterator[Path]:
    """The runs of a path that nothing above it hides."""
    if not above:
        yield dataclasses.replace(path, fill=None)
        return
    seen = [piece for segment in path.segments for piece in _seen_pieces(segment, above)]
    while seen:
        run = [seen.pop(0)]
        while seen and math.dist(run[-1].end, seen[0].start) < SAME:
            run.append(seen.pop(0))
        whole = path.closed and run == list(path.segments)
        yield dataclasses.replace(path, segments=tuple(run), closed=whole, fill=None)


def _seen_pieces(segment: Segment, above: Sequence[_Cover]) -> Iterator[Segment]:
    """The pieces of a segment that nothing above it hides, as long as they can be."""
    box = segment.bounds().grown(SAME)
    shares = {0.0, 1.0}
    for cover in above:
        for edge, around in cover.edges:
            if around.meets(box):
                shares.update(share for _, share, _ in crossings(segment, edge))
    ends = [share for share in sorted(shares) if share == 0.0 or share > SAME]
    runs: list[tuple[float, float]] = []
    for low, high in itertools.pairwise(ends):
        if high - low < SAME:
            continue
        middle = piece_of(piece_of(segment, low, high), 0.0, 0.5).end
        if any(cover.hides(middle) for cover in above):
            continue
        if runs and low - runs[-1][1] < SAME:
            runs[-1] = (runs[-1][0], high)
        else:
            runs.append((low, high))
    for run in runs:
        yield segment if run == (0.0, 1.0) else piece_of(segment, *run)
