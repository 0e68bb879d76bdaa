"""Finds the drawn line of a page that stands for a line of the model."""

import bisect
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Transform
from templategen.parts.drawing import Path
from templategen.proof.deviation import box_distance, mapped_box, pieces_box
from templategen.proof.pdf_reader import DrawnPage, DrawnPath
from templategen.sheets.tiling import MARK_ARM

SAME_PLACE = 0.05  # mm: how near a drawn line's box lies to its model's to be found at once
MOST_PAIRS = 3_000_000  # comparisons spent on the lines of one page that are not where they belong


@dataclass(slots=True)
class DrawnLines:
    """The drawn paths of a page, found by their boxes, each used once."""

    paths: tuple[DrawnPath, ...]
    boxes: list[Box]
    order: list[int]
    lefts: list[float]
    used: set[int]
    pairs: int
    rings: list[Box]

    @classmethod
    def of(cls, page: DrawnPage) -> "DrawnLines":
        """The paths of a page, none used yet."""
        boxes = [pieces_box(path.pieces) for path in page.paths]
        order = sorted(range(len(boxes)), key=lambda n: boxes[n].left)
        rings = [
            box
            for box, path in zip(boxes, page.paths, strict=True)
            if abs(box.width - MARK_ARM) < 0.5
            and abs(box.height - MARK_ARM) < 0.5
            and len(path.pieces) > 4
        ]
        lefts = [boxes[n].left for n in order]
        return cls(page.paths, boxes, order, lefts, set(), MOST_PAIRS, rings)

    def near(self, box: Box) -> int | None:
        """The unused path whose box is this one, within `SAME_PLACE`."""
        best: tuple[float, int] | None = None
        first = bisect.bisect_left(self.lefts, box.left - SAME_PLACE)
        for n in range(first, len(self.order)):
            self.pairs -= 1
            if self.lefts[n] > box.left + SAME_PLACE or self.pairs < 0:
                break
            index = self.order[n]
            if index not in self.used:
                apart = box_distance(self.boxes[index], box)
                if apart <= SAME_PLACE and (best is None or apart < best[0]):
                    best = apart, index
        return best[1] if best else None

    def nearest(self, box: Box, width: float) -> int | None:
        """The unused path of about this width whose box is most like this one.

        None if there is none, or once too much was compared.
        """
        self.pairs -= len(self.paths)
        if self.pairs < 0:
            return None
        left = [
            n
            for n, path in enumerate(self.paths)
            if n not in self.used and 0.8 * width <= path.width <= 1.25 * width
        ]
        return min(left, key=lambda n: box_distance(self.boxes[n], box), default=None)


@dataclass(slots=True)
class WantedLine:
    """A line of the model, and the drawn path found for it."""

    path: Path
    transform: Transform
    is_needed: bool = True
    index: int | None = None


def match_lines(page: DrawnLines, wanted: Sequence[WantedLine]) -> None:
    """Finds the drawn path of each line: first what is in its place, then what is nearest.

    Lines that may be left out, because they do not show, are not sought elsewhere.
    """
    for line in sorted(wanted, key=lambda w: not w.is_needed):
        line.index = page.near(mapped_box(line.path.bounds(), line.transform))
        if line.index is not None:
            page.used.add(line.index)
    for line in wanted:
        if line.index is None and line.is_needed:
            box = mapped_box(line.path.bounds(), line.transform)
            line.index = page.nearest(box, line.path.line_width)
            if line.index is not None:
                page.used.add(line.index)
