"""What is printed along a seam of two tiles: trim line, landing line, fold marks, what to do.

The sheet above is trimmed or folded along its trim line. Its edge is laid on the landing line of
the sheet below and slid along it until the halves of both registration marks meet.
"""

import dataclasses
import math

from templategen.geometry.shapes import Box, Point, Transform
from templategen.parts.drawing import BODY, Anchor, Item, Path, Role, Text, line, rectangle
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.sheets.registration_marks import MARK_ARM
from templategen.sheets.silhouette import points_within, sampled
from templategen.sheets.tiling import LAP, RIM, Place, Tile, Tiling, tile_name

TINT = 0.91  # grey level of a lap that another sheet is glued over
TRIMMED = ("left", "above")  # sides of a tile that are trimmed and glued over the tile beside them
SMALL = BODY * 0.85  # mm, of wording that has little room
FOLD = 6.0  # mm of a trim line drawn through at each end


def _lap(window: Box, side: str) -> Box:
    """The lap of a tile on its right or below it, in the frame of the window."""
    if side == "right":
        return Box(window.right - LAP, window.bottom, window.right, window.top)
    return Box(window.left, window.bottom, window.right, window.bottom + LAP)


def lap_tints(tiling: Tiling, tile: Tile, shift: Transform) -> list[Path]:
    """The laps of a tile that another sheet is glued over, tinted, page mm."""
    return [
        rectangle(_lap(tile.window, side), role=Role.NOTE, fill=TINT, width=0.0).moved(shift)
        for side in tiling.neighbours(tile.place)
        if side not in TRIMMED
    ]


def edge_items(
    tiling: Tiling, tile: Tile, shift: Transform, sheets: dict[Place, int], style: PrintStyle
) -> list[Item]:
    """Trim and landing lines, fold marks and wording along a tile's seams, page mm.

    Args:
        tiling: of the part.
        tile: one of its tiles.
        shift: turned frame to page.
        sheets: the number of the sheet each tile is on.
        style: the language of the wording.
    """
    left, bottom, right, top = tile.window.moved(shift)
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
        trims = side in TRIMMED
        seam = _seam_words(style, tile_name(other), sheets[other], trims)
        if trims:
            items += _fold_marks(start, end)
        else:
            items.append(_landing_line(tile.window, side).moved(shift))
            items += _glue_words(tiling, tile, side, shift, style)
        text, size = _fitting(tiling.part.title, tile.name, seam, math.dist(start, end))
        items.append(
            Text(
                text=text,
                at=words_at[side],
                size=size,
                angle=math.pi / 2 if side in ("left", "right") else 0.0,
                anchor=Anchor.MIDDLE,
            )
        )
    return items


def _landing_line(window: Box, side: str) -> Path:
    """Where the edge of the sheet that goes over a lap is laid, in the frame of the window."""
    lap = _lap(window, side)
    if side == "right":
        return line(lap.left, lap.bottom, lap.left, lap.top)
    return line(lap.left, lap.top, lap.right, lap.top)


def _glue_words(
    tiling: Tiling, tile: Tile, side: str, shift: Transform, style: PrintStyle
) -> list[Item]:
    """'glue here' in the middle of a lap, where it is clearest of what is drawn there; or nothing.

    The two marks of the seam and all wording are kept clear of.
    """
    lap = _lap(tile.window, side)
    upright = lap.height > lap.width
    words = Text(text=style.say("glue here"), at=Point(0.0, 0.0), anchor=Anchor.MIDDLE)
    low, high = (lap.bottom, lap.top) if upright else (lap.left, lap.right)
    reach = words.width / 2 + 1.0
    if high - low < 2 * reach:
        return []
    kept = [t.bounds() for t in tile.drawing.texts()]
    kept += [Box(*s.point, *s.point).grown(MARK_ARM + 1.0) for s in tiling.seams]
    ink = sampled(tile.drawing, step=2.0)
    best: tuple[tuple[int, int], Text] | None = None
    for n in range(21):
        along = low + reach + (high - low - 2 * reach) * n / 20
        if upright:
            at = Point((lap.left + lap.right) / 2 + 0.36 * BODY, along)
            text = dataclasses.replace(words, at=at, angle=math.pi / 2)
        else:
            at = Point(along, (lap.bottom + lap.top) / 2 - 0.36 * BODY)
            text = dataclasses.replace(words, at=at)
        box = text.bounds().grown(0.8)
        if any(box.meets(other) for other in kept):
            continue
        score = len(points_within(ink, box)[0]), abs(n - 10)
        if best is None or score < best[0]:
            best = score, text
    return [] if best is None else [best[1].moved(shift)]


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


def _fitting(title: str, own: str, seam: tuple[str, str], room: float) -> tuple[str, float]:
    """The fullest wording of a seam that `room` mm hold, and its size; it always names the part."""
    long, short = seam
    for size in (BODY, SMALL):
        for words in (f"{title} {own}: {long}", f"{title} {own}: {short}"):
            if text_width(words, size=size) <= room:
                return words, size
    named = title
    while text_width(f"{named}… {own}: {short}", size=SMALL) > room and " " in named:
        named = named.rpartition(" ")[0]
    return f"{named}… {own}: {short}", SMALL
