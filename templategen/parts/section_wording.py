"""Wording of the section sheet: its title, the bowls, the pivots and notes, as blocks to place."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.columns import TableLayout, ruled_table
from templategen.parts.drawing import BODY, Drawing, Item, Text
from templategen.parts.labels import LEADING, job_label
from templategen.parts.lettering import balanced, text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.units import format_length

GAP = 4.5  # mm between blocks, and between a block and the drawing
SLACK = 1e-9  # mm
STEP = 1.0  # mm: how finely a place for a block is sought
NOTES = 2  # blocks at the end that a sheet without room leaves out
COLUMNS = 2  # of blocks under a section
NOTE_WIDTHS = (
    100.0,
    84.0,
    70.0,
    60.0,
    44.0,
    34.0,
)  # mm: of running text, the first that finds a place
LEAST_COLUMN = 14.0  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Something to place: its upper left corner is the origin.

    Args:
        items: what is drawn.
        width: mm.
        height: mm.
        others: the same in other shapes, wider ones first.
    """

    items: tuple[Item, ...]
    width: float
    height: float
    others: tuple["Block", ...] = ()

    def at(self, x: float, y: float) -> list[Item]:
        """The block with its upper left corner at a place."""
        return list(Drawing(items=self.items).moved(Transform.move(x, y)).items)


def wording_blocks(plan: Plan, style: PrintStyle) -> list[Block]:
    """Title, bowls, pivots and notes, the least needed ones last."""
    blocks = [_text(_title(plan, style), bold_first=True), _bowls(plan, style)]
    if plan.cuts:
        legend = style.say(
            "min, max: wall where it is least and greatest; dashed: relief, tenons to turn"
        )
        cutter = style.say(
            "grey: Ø {stub} uncut on the axis, cutter {height} above centre",
            height=style.length(plan.cuts[0].cutter_height),
            stub=style.length(plan.cuts[0].stub),
        )
        blocks += [_pivots(plan, style), _text([legend, _order(plan, style)]), _text([cutter])]
    return blocks


def _title(plan: Plan, style: PrintStyle) -> list[str]:
    size = style.lengths((plan.bowls[0].rim_diameter, plan.job.blank.height))
    blank = style.say("blank {size} {wood}", size=size, wood=plan.job.blank.shown_wood)
    label = job_label(plan, style)
    return [style.say("Section, half, full size: {job}", job=label.fitted(100.0)), blank.strip()]


def _order(plan: Plan, style: PrintStyle) -> str:
    """The working order of the cuts, and what holds the work."""
    cuts = ", ".join(str(n) for n in plan.sequence)
    if plan.job.nest.order is Order.OUTER_FIRST:
        return style.say(
            "cuts in order {cuts}: hold each core by its own tenon for the next", cuts=cuts
        )
    return style.say("cuts in order {cuts}: all from the blank's tenon", cuts=cuts)


def _text(phrases: Sequence[str], *, bold_first: bool = False) -> Block:
    """Running text in several widths."""
    shapes = []
    for width in NOTE_WIDTHS:
        rows = [
            (row, bold_first and n == 0)
            for n, phrase in enumerate(phrases)
            for row in balanced(phrase, width=width, size=BODY, bold=bold_first and n == 0)
        ]
        items = tuple(
            Text(text=row, at=Point(0.0, -0.76 * BODY - n * LEADING), bold=bold)
            for n, (row, bold) in enumerate(rows)
        )
        wide = max(item.bounds().right for item in items)
        shapes.append(Block(items=items, width=wide, height=(len(rows) - 1) * LEADING + BODY))
    first, *others = shapes
    return Block(items=first.items, width=first.width, height=first.height, others=tuple(others))


def _plain(length: float, style: PrintStyle) -> str:
    """A length of a table whose unit stands over it."""
    return format_length(length, style.units.first, unit=False, wording=style.wording)


def _bowls(plan: Plan, style: PrintStyle) -> Block:
    """A table of the bowls: rim, depth and tenon."""
    rows = [
        [
            style.units.first.value,
            style.say("rim Ø"),
            style.say("depth"),
            style.say("tenon"),
        ]
    ]
    for bowl in plan.bowls:
        tenon = f"{_plain(bowl.tenon_diameter, style)} × {_plain(bowl.tenon_length, style)}"
        figures = (_plain(bowl.rim_diameter, style), _plain(bowl.depth, style), tenon)
        rows.append([style.text(bowl.shown_name), *figures])
    return _table(rows)


def _pivots(plan: Plan, style: PrintStyle) -> Block:
    """A table of the cuts: where each pivot is."""
    rows = [
        [
            style.say("pivot, {unit}", unit=style.units.first.value),
            style.say("beside the axis"),
            style.say("in front of the face"),
        ]
    ]
    for cut in plan.cuts:
        offset = _plain(abs(cut.pivot_offset), style)
        if cut.pivot_offset < 0:
            offset = style.say("{offset} past", offset=offset)
        name = style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)
        rows.append([name, offset, _plain(cut.pivot_standoff, style)])
    return _table(rows)


def _table(rows: Sequence[Sequence[str]]) -> Block:
    """A ruled table; its heading has two rows at most, its figures one."""
    names = max(text_width(row[0], size=BODY, bold=n == 0) for n, row in enumerate(rows)) + 2.0
    words = max(
        text_width(word, size=BODY, bold=True) for cell in rows[0][1:] for word in cell.split()
    )
    cells = max(text_width(cell, size=BODY) for row in rows[1:] for cell in row[1:])
    column = max(LEAST_COLUMN, words + 3.2, cells + 3.2)
    while any(
        len(wrap(cell, width=column - 3.0, size=BODY, bold=True)) > 2 for cell in rows[0][1:]
    ):
        column += 1.0
    layout = TableLayout(names=names, column=column, indent=0.0)
    items, end = ruled_table(rows, layout, y=-BODY - layout.above)
    width = names + column * (len(rows[0]) - 1)
    return Block(items=tuple(items), width=width, height=-(end + BODY + layout.above))


def under(drawn: Sequence[Item], blocks: Sequence[Block], room: Box) -> list[Item] | None:
    """The blocks in two columns under a section; None where they have no room there."""
    bottom = min(item.bounds().bottom for item in drawn) - 2 * GAP
    column = (room.width - GAP) / COLUMNS
    chosen = [_widest(block, column) for block in blocks]
    if None in chosen:
        return None
    fitting = [block for block in chosen if block is not None]
    items: list[Item] = []
    for n, group in enumerate((fitting[:2], fitting[2:])):  # title and bowls; cuts and notes
        y = bottom
        for block in group:
            items += block.at(room.left + n * (column + GAP), y)
            y -= block.height + GAP
        if y + GAP < room.bottom:
            return None
    return items


def _widest(block: Block, width: float) -> Block | None:
    """The widest shape of a block that is no wider."""
    return next((b for b in (block, *block.others) if b.width <= width), None)


def column(blocks: Sequence[Block], left: float) -> list[Item]:
    """The blocks one under the other, from the face down."""
    items: list[Item] = []
    y = 0.0
    for block in blocks:
        items += block.at(left, y)
        y -= block.height + GAP
    return items


def beside(drawn: Sequence[Item], blocks: Sequence[Block], room: Box) -> list[Item] | None:
    """The blocks along the right edge of a room, each as high as the drawing leaves it a place.

    Returns: what is drawn; None where a block has no room.
    """
    edges = _Edges(drawn)
    taken: list[Box] = []
    items: list[Item] = []
    for block in blocks:
        found = _place_beside(block, edges, taken, room)
        if found is None:
            return None
        shape, spot = found
        taken.append(spot)
        items += shape.at(spot.left, spot.top)
    return items


def _place_beside(
    block: Block, edges: "_Edges", taken: Sequence[Box], room: Box
) -> tuple[Block, Box] | None:
    """The highest place for a block, in the widest shape that fits there."""
    top = room.top
    while top - LEADING >= room.bottom:
        for shape in (block, *block.others):
            spot = Box(room.right - shape.width, top - shape.height, room.right, top)
            if (
                spot.bottom >= room.bottom - SLACK
                and not any(spot.meets(other, gap=GAP) for other in taken)
                and spot.left >= GAP + edges.right_of(top + GAP / 2, spot.bottom - GAP / 2)
            ):
                return shape, spot
        top -= STEP
    return None


class _Edges:
    """How far to the right a drawing reaches at each level."""

    def __init__(self, drawn: Sequence[Item]) -> None:
        self._boxes: list[Box] = []
        for item in drawn:
            if isinstance(item, Text):
                self._boxes.append(item.bounds())
                continue
            for segment in item.segments:
                if isinstance(segment, Arc):
                    self._boxes += _pieces(segment)
                else:
                    self._boxes.append(segment.bounds())

    def right_of(self, top: float, bottom: float) -> float:
        """The greatest x between two levels, mm; minus infinity where nothing is."""
        return max(
            (box.right for box in self._boxes if box.bottom <= top and box.top >= bottom),
            default=-1e9,
        )


def _pieces(arc: Arc) -> list[Box]:
    """Boxes of short pieces of an arc."""
    count = max(1, round(abs(arc.sweep) * arc.radius / 4.0))
    step = arc.sweep / count
    return [
        Arc(arc.centre, arc.radius, arc.from_angle + n * step, step).bounds() for n in range(count)
    ]
