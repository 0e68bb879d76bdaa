"""Small sketches of tiled parts: their sheets, tile names and laps; parts of the work order."""

import itertools
import math
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point, Transform, union
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Path, Role, Text, rectangle
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Placement
from templategen.trade.part_kinds import PartKind

LEADING = BODY * 1.4
TALLEST_SKETCH = 150.0  # mm
SKETCH_GAP = 6.0  # mm between sketches
LAP_GREY = 0.82
SKETCHES = 34.0, 39.0  # mm: the longer side of the largest sketch, and the least room across
WIDEST = 174.0  # mm of a card, as the setting card
MOST_NUMBER = 88  # stands for any number of a sheet where room is measured

Tiled = dict[str, list[tuple[int, Placement]]]  # by the part's key: sheets and placements
Windows = list[tuple[str, int, Box]]  # tile, its sheet, its window in the turned part's frame
Sketch = tuple[Drawing, Box, list[str]]  # what is drawn, the room it takes, its title in lines


def assembly_parts(parts: Sequence[Part], tiled: Tiled, area: Box, style: PrintStyle) -> list[Part]:
    """How tiled parts go together, as cards that are laid out like parts.

    Their sizes do not depend on the numbers of the sheets.

    Args:
        parts: those that are tiled.
        tiled: the sheets and placements of each, by its key.
        area: of a page.
        style: language.
    """
    if not parts:
        return []
    width = min(area.width, WIDEST)
    rows = sketch_rows(parts, tiled, *SKETCHES, width=width - 4.0)
    column = _Rows(width, area.height)
    title = style.say("How tiled parts go together")
    column.write(title, bold=True)
    column.write(
        style.say(
            "Numbers in brackets are sheets. Where a lap says trim or fold, cut along the dashed "
            "line, or crease it between the fold marks (its two ends drawn through). Lay this edge "
            "on the line beside the shaded lap that says glue here, and slide it along the line "
            "until both crosses of the seam are whole; then glue."
        )
    )
    for row in rows:
        column.row(row)
    return [
        Part(
            kind=PartKind.WORK_ORDER,
            key=f"assembly-{n}",
            title=title,
            drawing=drawing,
            may_turn=False,
            may_tile=False,
        )
        for n, drawing in enumerate(column.drawings(), start=1)
    ]


class _Rows:
    """Rows of sketches on as many cards as they need; y runs down from 0 on each."""

    def __init__(self, width: float, tallest: float) -> None:
        self.width = width
        self.tallest = tallest
        self.cards: list[tuple[list[Item], float]] = []
        self.items: list[Item] = []
        self.y = 0.0

    def write(self, text: str, *, bold: bool = False) -> None:
        for words in wrap(text, width=self.width - 2.0, size=BODY, bold=bold):
            at = Point(1.0, self.y - 0.9 * BODY)
            self.items.append(Text(text=words, at=at, bold=bold))
            self.y -= LEADING

    def row(self, row: list[Sketch]) -> None:
        """A row of sketches with their titles below, on a new card where this one is full."""
        if self.y - row_height(row) - 2.0 < -self.tallest and self.items:
            self.end_card()
        x = 2.0
        tall = max(box.height for _, box, _ in row)
        top = self.y - 2.0
        for drawing, box, title in row:
            shift = Transform.move(x - box.left, top - box.top)
            self.items += drawing.moved(shift).items
            for n, words in enumerate(title):
                at = Point(x, top - tall - 4.0 - n * LEADING)
                self.items.append(Text(text=words, at=at))
            x += box.width + SKETCH_GAP
        self.y -= row_height(row) + 2.0

    def end_card(self) -> None:
        self.cards.append((self.items, self.y))
        self.items, self.y = [], 0.0

    def drawings(self) -> list[Drawing]:
        """The cards, each in a frame of its size."""
        self.end_card()
        return [
            Drawing(items=(rectangle(Box(0.0, y, self.width, 0.0), role=Role.NOTE), *items))
            for items, y in self.cards
        ]


def row_height(row: list[Sketch]) -> float:
    """Room a row of sketches takes down the page, mm."""
    return max(box.height for _, box, _ in row) + max(len(t) for *_, t in row) * LEADING + 3.0


def sketch_rows(
    parts: Sequence[Part],
    tiled: Tiled,
    size: float,
    least: float,
    *,
    width: float,
) -> list[list[Sketch]]:
    """The sketches of tiled parts in rows no wider than `width`.

    Args:
        parts: those that are tiled.
        tiled: the sheets and placements of each, by its key.
        size: the longer side of the largest part's sketch, mm; a sketch whose tiles would be too
            small for their names is drawn larger.
        least: room across for a sketch, mm.
        width: mm.
    """
    windows = {part.key: _tile_windows(tiled[part.key]) for part in parts}
    boxes = {key: union([box for *_, box in held]) for key, held in windows.items()}
    scale = size / max(max(box.width, box.height) for box in boxes.values())
    rows: list[list[Sketch]] = [[]]
    used = 0.0
    for part in parts:
        turn = Transform.rotate(tiled[part.key][0][1].transform.angle)
        own = legible_scale(windows[part.key], scale, width=width)
        drawing = sketch(part.drawing.moved(turn), windows[part.key], own)
        box = _scaled(boxes[part.key], own)
        room = max(box.width, least)
        if rows[-1] and used + room > width:
            rows.append([])
            used = 0.0
        title = wrap(part.title, width=room, size=BODY)
        box = Box(box.left, box.bottom, box.left + room, box.top)
        rows[-1].append((drawing, box, title))
        used += room + SKETCH_GAP
    return rows


def _scaled(box: Box, scale: float) -> Box:
    return Box(box.left * scale, box.bottom * scale, box.right * scale, box.top * scale)


def _tile_windows(tiles: Sequence[tuple[int, Placement]]) -> Windows:
    """Where each tile's window lies on the part, in the frame the part is printed in."""
    turn = Transform.rotate(tiles[0][1].transform.angle)
    windows: Windows = []
    for number, placement in tiles:
        back = placement.transform.inverse().then(turn)
        windows.append((placement.tile, number, placement.clip.moved(back)))
    return windows


def _name(tile: str, number: int, window: Box) -> tuple[list[str], Box]:
    """A tile's name and sheet as set in its window: one line in a low tile, else two."""
    flat = f"{tile} ({number})"
    rows = [flat] if window.height < 10.0 else [tile, f"({number})"]
    half = max(text_width(row, size=BODY, bold=row == tile) for row in rows) / 2
    x = (window.left + window.right) / 2
    y = (window.bottom + window.top) / 2 + 4.0 * (len(rows) - 1) / 2 - 0.36 * BODY
    return rows, Box(x - half, y - 4.0 * (len(rows) - 1) - 0.8, x + half, y + 0.8 * BODY)


def legible_scale(windows: Windows, scale: float, *, width: float) -> float:
    """A scale from `scale` up at which the names of the tiles stand clear of one another.

    A sketch that would need more room than there is has the scale with the fewest names in touch.
    """
    whole = union([box for *_, box in windows])
    most = max(scale, min(width / whole.width, TALLEST_SKETCH / whole.height))
    tries = [scale * 1.15**n for n in range(40) if scale * 1.15**n <= most]

    def touching(trial: float) -> int:
        names = [
            _name(tile, max(number, MOST_NUMBER), _scaled(box, trial))[1]
            for tile, number, box in windows
        ]
        return sum(a.meets(b) for a, b in itertools.combinations(names, 2))

    best = math.inf, scale
    for trial in tries:
        best = min(best, (touching(trial), trial))
        if best[0] == 0:
            break  # a greater scale is no better
    return best[1]


def sketch(drawing: Drawing, windows: Windows, scale: float) -> Drawing:
    """A turned part drawn small, with its windows, their names and sheets, and shaded laps."""
    small = [(tile, number, _scaled(window, scale)) for tile, number, window in windows]
    items: list[Item] = []
    for (*_, window), (*_, other) in itertools.combinations(small, 2):
        if window.meets(other):
            lap = window.overlap(other)
            items.append(rectangle(lap, role=Role.NOTE, fill=LAP_GREY, width=0.0))
    items += [
        Path(segments=p.segments, role=Role.MARK, closed=p.closed)
        for p in drawing.moved(Transform.scale(scale, scale)).paths(Role.CUT, Role.MARK)
        if not p.dashed
    ]
    items += [rectangle(window, role=Role.NOTE, width=0.25) for *_, window in small]
    for tile, number, window in small:
        rows, behind = _name(tile, number, window)
        x = (window.left + window.right) / 2
        y = behind.top - 0.8 * BODY
        items.append(rectangle(behind, role=Role.NOTE, fill=1.0, width=0.0))
        for n, row in enumerate(rows):
            at = Point(x, y - 4.0 * n)
            items.append(Text(text=row, at=at, anchor=Anchor.MIDDLE, bold=row == tile))
    return Drawing(items=tuple(items))
