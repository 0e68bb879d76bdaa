"""Depth stick: how deep each cut runs, from the face in the hollow and from the jaws outside."""

import math
from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Item, Part, Role, Text, line, part_of, polyline
from templategen.parts.face_plate import held_bowl
from templategen.parts.labels import LEADING, block, fill_rows, flag_rows, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

WIDTH = 26.0  # mm: of the stick; it fits into the hollow of a small cutter
FOOT = 4.0  # mm: width of the foot that stands in the hollow or on the jaws
TAPER = 14.0  # mm: height over which the foot widens to the stick, less for a shallow cut
TICK = 6.0  # mm
STEP = 4.6  # mm between two labels of an edge at least
NECK = 5.0  # mm from the highest mark to the head
SHORT = 176.0  # mm: a stick for shallow cuts is no longer, so that it lies across a sheet
MOST_ROWS = 40  # of wording with whole words
LEAST = 60.0  # mm: least length of the wording
LONGEST = 250.3  # mm: of a stick whose wording runs along it; a longer one has it across
BROAD = 170.0  # mm: most length of wording across


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
    longest = (SHORT if neck < SHORT / 2 else LONGEST) - neck
    rows, long = _wording(plan, longest, style)
    upright = long <= longest
    if not upright and neck + _height(rows) > LONGEST:  # a deep cut: few and long rows
        rows, long = _wording(plan, BROAD, style)
    head: list[Item] = block(rows, at=Point(2.0, -1.5 - 0.76 * BODY))
    wide, tall = long, _height(rows)
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
    return (part_of(PartKind.DEPTH_STICK, "depth-stick", style.say("Depth stick"), items),)


def _height(rows: Sequence[str]) -> float:
    """Of a head with these rows, mm."""
    return max(WIDTH, len(rows) * LEADING + 2.5)


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


def _wording(plan: Plan, longest: float, style: PrintStyle) -> tuple[list[str], float]:
    """What the stick says and the length of its rows with their margins, mm.

    As many rows as the stick is wide, and more where they would be longer than `longest`.
    """
    phrases = [
        style.say("{part}, cut on the line", part=style.say("Depth stick")),
        style.say("left: foot on the deepest point, the mark meets a straightedge on the rim"),
        style.say("right: foot on the jaw face, outside; the mark is level with that point"),
    ]
    for cut in plan.cuts:
        lengths = cut.deepest, held_bowl(plan, cut).depth - cut.deepest
        phrases.append(
            style.say(
                "{cut}: left {left}, right {right}",
                cut=f"{cut.number}: {cut.cutter.id}",
                left=style.length(lengths[0]),
                right=style.length(lengths[1]),
            )
        )
    widest = max(longest, LEAST) - 4.0
    whole = [p for p in phrases[3:] if text_width(p, size=BODY) <= widest]
    phrases.append(job_label(plan, style).fitted(80.0))
    for most in range(int((WIDTH - 2.5) / LEADING), MOST_ROWS):
        for step in range(int((widest + 4.0 - LEAST) / 4.0) + 1):
            long = min(LEAST + 4.0 * step, widest + 4.0)
            rows = fill_rows(phrases, _rooms(long - 4.0), most=most, joined=True)
            if rows is not None and all(
                any(row.startswith(p) if n == 0 else p in row for row in rows)
                for n, p in enumerate(whole)
            ):
                return [row for row in rows if row], long
    return flag_rows(phrases, width=widest), widest + 4.0


def _rooms(width: float) -> Callable[[int], float]:
    """The same width for every row, mm."""
    return lambda _: width
