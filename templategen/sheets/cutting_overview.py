"""A picture of all sheets to cut, reduced, each piece numbered and named."""

import itertools
from collections.abc import Sequence

import numpy as np

from templategen.geometry.offset import Outline
from templategen.geometry.shapes import Box, Point, Transform
from templategen.parts.beam import cut_outlines, lies_inside
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Path, Role, Text, rectangle
from templategen.parts.lettering import balanced
from templategen.parts.machine_lines import inner_first
from templategen.parts.style import PrintStyle
from templategen.sheets.cutting_cells import outline_points
from templategen.sheets.cutting_list import held_on, sheet_title
from templategen.sheets.cutting_sheets import NestedSheet, Nesting
from templategen.sheets.silhouette import Cells, Floats
from templategen.trade.cutting_sheet import MACHINE_CAUTION

PICTURE = Box(0.0, 0.0, 95.0, 120.0)  # mm: the most that the picture of a sheet takes
LEGEND = 90.0  # mm: width of the names beside it
BETWEEN = 6.0  # mm
LEADING = 1.35 * BODY
TITLE = 1.4 * BODY
NUMBER = 0.8 * BODY
TINT = 0.9  # grey of the material of a piece
STEPS = 40  # places tried across and down for the number of a piece


def overview(nesting: Nesting, *, title: str, style: PrintStyle) -> Drawing:
    """The picture: sheet under sheet, the names of the pieces beside each.

    Args:
        nesting: at least one sheet.
        title: of the job.
        style: units and language.
    """
    size = style.lengths((nesting.sheet.width, nesting.sheet.height))
    heading = style.say("{title}: sheets of {size} to cut", title=title, size=size)
    items: list[Item] = []
    y = 0.0
    for row in balanced(heading, width=PICTURE.width + LEGEND, size=TITLE, bold=True):
        items.append(Text(text=row, at=Point(0.0, y), size=TITLE, bold=True))
        y -= 1.3 * TITLE
    for sheet in nesting.sheets:
        y -= BETWEEN
        items.append(Text(text=sheet_title(sheet, style), at=Point(0.0, y), bold=True))
        block, tall = _block(sheet, nesting)
        items += block.moved(Transform.move(0.0, y - LEADING)).items
        y -= LEADING + tall
    for row in balanced(style.text(MACHINE_CAUTION), width=PICTURE.width + LEGEND, size=BODY):
        y -= BETWEEN if items[-1].bounds().bottom > y else LEADING
        items.append(Text(text=row, at=Point(0.0, y)))
    return Drawing(items=tuple(items))


def _block(sheet: NestedSheet, nesting: Nesting) -> tuple[Drawing, float]:
    """A sheet with the names of its pieces, from its top left down, and how high both are."""
    wide, tall = nesting.sheet.width, nesting.sheet.height
    scale = min(PICTURE.width / wide, PICTURE.height / tall, 1.0)
    place = Transform.scale(scale, scale).then(Transform.move(0.0, -tall * scale))
    keys = dict.fromkeys(laid.piece.part.key for laid in sheet.pieces)
    numbers = {key: str(n) for n, key in enumerate(keys, start=1)}
    items: list[Item] = [rectangle(Box(0.0, -tall * scale, wide * scale, 0.0), role=Role.NOTE)]
    outlines: list[Outline] = []
    labels: list[Item] = []
    for laid in sheet.pieces:
        whole, _ = cut_outlines(laid.drawing())
        outlines += whole
        at = place.apply(_middle(whole))
        number = numbers[laid.piece.part.key]
        below = Point(at.x, at.y - 0.36 * NUMBER)
        labels.append(Text(text=number, at=below, size=NUMBER, anchor=Anchor.MIDDLE, bold=True))
    # From the outside in, so that what lies in a hole is seen on it.
    run = list(reversed(inner_first(outlines)))
    for outline in run:
        inside = sum(lies_inside(outline, other) for other in run)
        shade = 1.0 if inside % 2 else TINT
        path = Path(segments=outline, role=Role.NOTE, closed=True, fill=shade, width=0.2)
        items.append(path.moved(place))
    legend, high = _legend(sheet, wide * scale + BETWEEN)
    return Drawing(items=(*items, *labels, *legend)), max(tall * scale, high)


def _legend(sheet: NestedSheet, left: float) -> tuple[list[Item], float]:
    items: list[Item] = []
    y = -BODY
    for number, held in enumerate(held_on(sheet), start=1):
        number_at = Point(left + 7.0, y)
        items.append(Text(text=str(number), at=number_at, anchor=Anchor.END, bold=True))
        for row in balanced(held.text, width=LEGEND - 9.0, size=BODY):
            items.append(Text(text=row, at=Point(left + 9.0, y)))
            y -= LEADING
    return items, -y - BODY


def _inside(at: Floats, outlines: Sequence[Floats]) -> Cells:
    """Whether points lie inside an odd number of polygons."""
    x, y = at[:, 0:1], at[:, 1:2]
    inside = np.zeros(len(at), dtype=np.bool_)
    for points in outlines:
        x0, y0 = points[:, 0], points[:, 1]
        x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
        crossed = (y0 > y) != (y1 > y)
        rise = np.where(y1 == y0, 1.0, y1 - y0)
        hit = crossed & (x < x0 + (y - y0) * (x1 - x0) / rise)
        inside ^= hit.sum(axis=1) % 2 == 1
    return inside


def _middle(outlines: Sequence[Outline]) -> Point:
    """A point in the material, far from its edges: where a number is read best."""
    runs = [outline_points(outline, 3.0) for outline in outlines]
    edge = np.concatenate(runs)
    low, high = edge.min(axis=0), edge.max(axis=0)
    shares = (np.arange(STEPS) + 0.5) / STEPS
    grid = np.array(list(itertools.product(shares, shares))) * (high - low) + low
    grid = grid[_inside(grid, runs)]
    away = np.hypot(*(grid[:, None, :] - edge[None, :, :]).transpose(2, 0, 1)).min(axis=1)
    x, y = grid[int(np.argmax(away))]
    return Point(float(x), float(y))
