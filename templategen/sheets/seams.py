"""What is printed along a seam of two tiles: trim line, fold marks and what to do there."""

import math

from templategen.geometry.shapes import Point, Transform
from templategen.parts.drawing import BODY, Anchor, Item, Role, Text, line
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.sheets.tiling import RIM, Place, Tile, Tiling, tile_name

FOLD = 6.0  # mm of a trim line drawn through at each end


def edge_items(
    tiling: Tiling, tile: Tile, shift: Transform, sheets: dict[Place, int], style: PrintStyle
) -> list[Item]:
    """Trim lines, fold marks and wording along a tile's seams, page mm.

    Args:
        tiling: of the part.
        tile: one of its tiles.
        shift: turned frame to page.
        sheets: the number of the sheet each tile is on.
        style: the language of the wording.
    """
    left, bottom = shift.apply(Point(tile.window.left, tile.window.bottom))
    right, top = shift.apply(Point(tile.window.right, tile.window.top))
    lines = {
        "left": (Point(left, bottom), Point(left, top)),
        "right": (Point(right, bottom), Point(right, top)),
        "above": (Point(left, top), Point(right, top)),
        "below": (Point(left, bottom), Point(right, bottom)),
    }
    words_at = {
        "left": Point(left - 1.6, (bottom + top) / 2),
        "right": Point(right + 4.0, (bottom + top) / 2),
        "above": Point((left + right) / 2, top + 1.6),
        "below": Point((left + right) / 2, bottom - 4.0),
    }
    items: list[Item] = []
    for side, other in tiling.neighbours(tile.place).items():
        start, end = lines[side]
        items.append(line(*start, *end, role=Role.MARK, dashed=True))
        trims = side in ("left", "above")
        if trims:
            items += _fold_marks(start, end)
        seam = _seam_words(style, tile_name(other), sheets[other], trims)
        items.append(
            Text(
                text=_fitting(tiling.part.title, tile.name, seam, math.dist(start, end)),
                at=words_at[side],
                angle=math.pi / 2 if side in ("left", "right") else 0.0,
                anchor=Anchor.MIDDLE,
            )
        )
    return items


def _fold_marks(start: Point, end: Point) -> list[Item]:
    """Both ends of a trim line drawn through, with a tick towards the offcut."""
    (x0, y0), (x1, y1) = start, end
    out = RIM - 1.5
    if x0 == x1:
        ends = [line(x0, y0, x0, y0 + FOLD), line(x1, y1, x1, y1 - FOLD)]
        return [*ends, *[line(x0 - out, y, x0, y) for y in (y0, y1)]]
    ends = [line(x0, y0, x0 + FOLD, y0), line(x1, y1, x1 - FOLD, y1)]
    return [*ends, *[line(x, y0, x, y0 + out) for x in (x0, x1)]]


def _seam_words(style: PrintStyle, other: str, sheet: int, trims: bool) -> tuple[str, str]:
    """What is done at a seam with the tile beside it, at length and in short."""
    there = {"tile": other, "sheet": sheet}
    if trims:
        return (
            style.say("trim or fold here and glue over {tile} (sheet {sheet})", **there),
            style.say("trim, over {tile} ({sheet})", **there),
        )
    return (
        style.say("glue: {tile} (sheet {sheet}) goes over this lap", **there),
        style.say("glue under {tile} ({sheet})", **there),
    )


def _fitting(title: str, own: str, seam: tuple[str, str], room: float) -> str:
    """The fullest wording of a seam that `room` mm hold."""
    long, short = seam
    for words in (f"{title} {own}: {long}", f"{own}: {long}", f"{own}: {short}"):
        if text_width(words, size=BODY) <= room:
            return words
    return short
