"""Depth stick: how deep each cut runs, from the face in the hollow and from the jaws outside."""

import math
from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.columns import TableLayout, ruled_table
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Role, Text, line, polyline
from templategen.parts.face_plate import held_bowl
from templategen.parts.labels import LEADING, block, flag_rows, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

WIDTH = 26.0  # mm: of the stick; it fits into the hollow of a small cutter
FOOT = 4.0  # mm: width of the foot that stands in the hollow or on the jaws
TAPER = 14.0  # mm: height over which the foot widens to the stick, less for a shallow cut
TICK = 6.0  # mm
STEP = 4.6  # mm between two labels of an edge at least
NECK = 10.0  # mm from the highest mark to the head
NAMES = (20.0, 46.0)  # mm: least and greatest width of the column of cutters
LONGEST = 250.3  # mm: of a stick whose wording runs along it; a longer one has it across
COLUMN = 35.0  # mm: least width of a column of figures


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One stick for all cuts, its foot at y = 0.

    Left edge: with the foot on the deepest point of the hollow, the mark of the cut is level with
    a straightedge laid over the rim. Right edge: with the foot on the face of the jaws outside the
    bowl, the mark is level with the deepest point of the cut.
    """
    if not plan.cuts:
        return ()
    face = [(cut.deepest, cut.number) for cut in plan.cuts]
    jaws = [(held_bowl(plan, cut).depth - cut.deepest, cut.number) for cut in plan.cuts]
    jaws = [(height, number) for height, number in jaws if height > 0]
    taper = min(TAPER, 0.8 * min(height for height, _ in face))
    slant = (WIDTH - FOOT) / taper
    left, left_end = _marks(face, lambda y: max(0.0, (taper - y) * slant), 1.0, low=taper + 1.8)
    right, right_end = _marks(jaws, lambda _: WIDTH, -1.0, low=taper + 1.8)
    neck = max(left_end, right_end, taper) + NECK
    head, wide, tall = _head(plan, style)
    upright = neck + wide <= LONGEST
    if upright:  # read along the stick, so that it is narrow
        head = [item.moved(Transform.rotate(math.pi / 2)) for item in head]
        wide, tall = tall, wide
    corners = (
        (WIDTH - FOOT, 0.0),
        (WIDTH, 0.0),
        (WIDTH, neck + tall),
        (WIDTH - wide, neck + tall),
        (WIDTH - wide, neck),
        (0.0, neck),
        (0.0, taper),
    )
    placed = Transform.move(WIDTH - wide, neck if upright else neck + tall)
    items: list[Item] = [polyline(corners, closed=True), *left, *right]
    items += [item.moved(placed) for item in head]
    return (
        Part(
            kind=PartKind.DEPTH_STICK.value,
            key="depth-stick",
            title=style.say("Depth stick"),
            drawing=Drawing(items=tuple(items)),
        ),
    )


def _marks(
    marks: Sequence[tuple[float, int]], edge: Callable[[float], float], inward: float, *, low: float
) -> tuple[list[Item], float]:
    """Ticks on an edge with the numbers of their cuts, kept apart, and how high they reach, mm.

    Args:
        marks: height and number of each cut.
        edge: x of the edge at a height, mm.
        inward: 1 where the stick lies right of the edge, -1 left of it.
        low: least height of a number, mm.
    """
    items: list[Item] = []
    last = low - STEP
    for height, number in sorted(marks):
        y = max(height, last + STEP)
        last = y
        start = edge(height)
        bend = start + inward * TICK
        items.append(polyline(((start, height), (bend, height)), role=Role.MARK))
        if y > height:
            items.append(line(bend, height, bend + inward * 1.5, y))
        text = Text(
            text=str(number),
            at=Point(bend + inward * 2.0, y - 0.26 * BODY * 1.3),
            anchor=Anchor.START if inward > 0 else Anchor.END,
            bold=True,
        )
        items.append(text)
    return items, last


def _head(plan: Plan, style: PrintStyle) -> tuple[list[Item], float, float]:
    """The head's table and wording below its upper left corner (0, 0), its width and height, mm."""
    rows = [
        [
            style.say("cut"),
            style.say("left edge: from the face"),
            style.say("right edge: from the jaw face"),
        ]
    ]
    for cut in plan.cuts:
        from_jaws = held_bowl(plan, cut).depth - cut.deepest
        rows.append(
            [
                f"{cut.number}: {cut.cutter.id}",
                style.length(cut.deepest),
                style.length(from_jaws),
            ]
        )
    cells = [text_width(cell, size=BODY) for row in rows[1:] for cell in row[1:]]
    column = max(COLUMN, *(width + 4.0 for width in cells))
    longest = max(text_width(row[0], size=BODY, bold=True) for row in rows)
    names = min(max(NAMES[0], longest + 5.0), NAMES[1])
    wide = names + 2 * column
    wording = flag_rows(
        [
            style.say("{part}, cut on the line", part=style.say("Depth stick")),
            style.say("left: foot on the deepest point, the mark meets a straightedge on the rim"),
            style.say("right: foot on the jaw face, outside; the mark is level with that point"),
            job_label(plan, style).fitted(wide - 8.0),
        ],
        width=wide - 8.0,
    )
    top = -1.5 - BODY
    items: list[Item] = [*block([row for row in wording if row], at=Point(3.0, top))]
    under = top - len(wording) * LEADING - 0.8
    table, end = ruled_table(rows, TableLayout(names=names, column=column), y=under)
    return [*items, *table], wide, -(end + BODY) + 2.0
