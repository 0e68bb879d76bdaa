"""The work order: what a person follows through the work, with the sheets that each step needs.

Each block of it is a drawing whose top left corner is the origin; `sheets/` lays them on pages.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Point, Transform
from templategen.messages import Message, tr
from templategen.nest.plan import Bowl, Cut, Level, Plan, Rule
from templategen.parts.cautions import SPEED_OF_BLANK, SPEED_ON_THE_CARD, cautions_for
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Path, Role, Text, run_through
from templategen.parts.grouped_findings import grouped_texts
from templategen.parts.labels import LEADING
from templategen.parts.lettering import shortened, text_width, wrap
from templategen.parts.nest_picture import nest_picture
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import Group, PartKind
from templategen.trade.printer import PART_TOLERANCE, bar_tolerance
from templategen.units import Units

# ISO/IEC 7810 ID-1, any bank card (design.md §8): mm.
CARD_WIDTH, CARD_HEIGHT, CARD_RADIUS = 85.60, 53.98, 3.18
QUARTER = math.pi / 2
INDENT = 6.0  # mm from a step's number to its wording
HEADING = 3.6  # mm: size of a step's heading
LEAST_NEST = 44.0  # mm: least height of the picture with its line
LEAST_NUMBER = 2.2  # mm: smaller numbers of bowls do not stand in their walls
SMALLER = BODY - 0.5 * 25.4 / 72  # 8.5 pt, mm: the least size of the work order

Sheets = Mapping[PartKind, Sequence[int]]  # by the kind of part: the sheets it is on


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of the page: its items hang from (0, 0) to (width, -height), mm."""

    items: tuple[Item, ...]
    height: float


@dataclass(frozen=True, slots=True)
class Lettering:
    """How closely the wording of the page is set.

    Args:
        size: of steps and cautions, mm.
        spacing: of their lines and of the gaps between them, as a factor.
    """

    size: float
    spacing: float

    def leading(self, size: float) -> float:
        """From baseline to baseline of lettering of some size, mm."""
        return LEADING / BODY * size * self.spacing


USUAL = Lettering(BODY, 1.0)
CLOSER = (
    *(Lettering(BODY, spacing) for spacing in (0.95, 0.91, 0.87)),
    Lettering(SMALLER, 0.87),
)


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the work: heading, what is done, and the parts with their sheets."""

    heading: Message
    line: Message
    kinds: Sheets


def steps(plan: Plan, groups: Mapping[Group, Sheets], *, is_tiled: bool) -> list[Step]:
    """The steps of a pack in the order of the work.

    Args:
        plan: with cuts, or that of a shop's set.
        groups: the parts of the pack and their sheets.
        is_tiled: whether a part takes several sheets.
    """
    found: list[Step] = []
    if any(group is not Group.READ_FIRST for group in groups):
        line = tr(
            "Spray lightly: paper grows when wet. Let it dry, measure the bars again. Saw just "
            "outside the line (hatched: waste), sand to it."
        )
        if is_tiled:
            line = tr("Glue tiles together first. {then}", then=line)
        found.append(Step(tr("Glue and cut out"), line, {}))
    lines = _lines(plan)
    for group in Group:
        if group in groups:
            at = 0 if group is Group.READ_FIRST else len(found)
            line = lines[group]
            if group is Group.READ_FIRST and PartKind.SETTING_CARD not in groups[group]:
                line = tr("Read it before you glue and cut.")
            found.insert(at, Step(group.heading, line, groups[group]))
    return found


def _lines(plan: Plan) -> dict[Group, Message]:
    """What is done in each step."""
    order = ", ".join(f"{cut.number} ({cut.cutter.id})" for cut in plan.working_order)
    has_stops = all(cut.stop_angle is not None for cut in plan.cuts)
    stop = tr("Stop at the stop mark") if has_stops else tr("Stop early")
    cutting = tr(
        "In this order: {cuts}. The blank stays on its own tenon. {stop}, lathe off, break the "
        "core out by hand.",
        cuts=order,
        stop=stop,
    )
    if plan.job.nest.order is Order.OUTER_FIRST:
        cutting = tr(
            "In this order: {cuts}. {stop}, lathe off, break the core out by hand; turn its tenon "
            "and hold it by that before you set the next cut.",
            cuts=order,
            stop=stop,
        )
    return {
        Group.READ_FIRST: tr("The setting card goes to the lathe, the section sheet on the wall."),
        Group.LOG: tr("Lay out the log, saw the disc and mark its centre.")
        if plan.job.log
        else tr("Draw the disc, saw it and mark its centre."),
        Group.TURN: tr("Turn the outside to its template, the tenon to its ring and notch."),
        Group.SET: tr("Anew for each cut. Lock everything, then swing through by hand."),
        Group.CUT: cutting,
        Group.AFTER: tr("Tag, weigh and seal each bowl the same day. Hold it again when dry."),
        Group.SHOP: tr("Not for each blank: keep them with the cutters."),
    }


def step_block(
    number: int, step: Step, width: float, style: PrintStyle, lettering: Lettering = USUAL
) -> Block:
    """A step: its number, heading and sheets, what is done, and the parts.

    Args:
        number: from 1.
        step: of the work.
        width: mm.
        style: language.
        lettering: of the lines.
    """
    sheets = sorted({n for held in step.kinds.values() for n in held})
    right = sheet_numbers(sheets, style)
    room = width - (text_width(right, size=lettering.size) + 3.0 if sheets else 0.0)
    column = _Column(width, lettering)
    column.write(f"{number}  {style.text(step.heading)}", bold=True, size=HEADING, room=room)
    if sheets:
        at = Point(width, -0.76 * HEADING)
        column.items.append(Text(text=right, at=at, size=lettering.size, anchor=Anchor.END))
    column.write(style.text(step.line), indent=INDENT)
    if step.kinds:
        names = [f"{style.text(kind.label)} {runs(held)}" for kind, held in step.kinds.items()]
        column.list(names, indent=INDENT)
    return column.block(1.4 * lettering.spacing)


def sheet_numbers(sheets: Sequence[int], style: PrintStyle) -> str:
    """One or more sheets by their numbers, as in 'sheets 3–5'."""
    return style.say_count("sheet {sheets}", "sheets {sheets}", len(sheets), sheets=runs(sheets))


def runs(numbers: Sequence[int]) -> str:
    """Numbers in rising order, those that follow one another as a run.

    >>> runs([3, 4, 5, 8, 10, 11])
    '3–5, 8, 10, 11'
    """
    found: list[list[int]] = []
    for n in sorted(set(numbers)):
        if found and n == found[-1][-1] + 1:
            found[-1].append(n)
        else:
            found.append([n])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in found
    )


class _Column:
    """Lines of text that hang down from the top left corner of a block."""

    def __init__(self, width: float, lettering: Lettering = USUAL) -> None:
        self.width = width
        self.lettering = lettering
        self.items: list[Item] = []
        self.y = 0.0

    def write(
        self,
        text: str,
        *,
        size: float = 0.0,
        bold: bool = False,
        indent: float = 0.0,
        room: float | None = None,
    ) -> None:
        """A paragraph; `size` in mm, or 0 for that of the lettering."""
        size = size or self.lettering.size
        for row in wrap(text, width=(room or self.width) - indent, size=size, bold=bold):
            at = Point(indent, self.y - 0.76 * size)
            self.items.append(Text(text=row, at=at, size=size, bold=bold))
            self.y -= self.lettering.leading(size)

    def list(self, names: Sequence[str], *, indent: float) -> None:
        """Names with dots between them, none of them broken."""
        rows = [names[0]]
        for name in names[1:]:
            longer = f"{rows[-1]} · {name}"
            if text_width(longer, size=self.lettering.size) <= self.width - indent:
                rows[-1] = longer
            else:
                rows.append(name)
        for row in rows:
            self.write(row, indent=indent)

    def block(self, gap: float) -> Block:
        """The block, with room below it."""
        return Block(tuple(self.items), gap - self.y)


def paragraph(
    text: str, width: float, *, size: float = BODY, bold: bool = False, gap: float = 1.0
) -> Block:
    """A paragraph, with `gap` mm below it."""
    column = _Column(width)
    column.write(text, size=size, bold=bold)
    return column.block(gap)


def finding_blocks(
    plan: Plan, width: float, style: PrintStyle, lettering: Lettering = USUAL
) -> list[Block]:
    """What forbids this plan and what to watch in it, a block each, the gravest first."""
    watched = [f for f in plan.findings if f.level is Level.CAUTION]
    stop = style.say(Level.STOP.value)
    stops = [f"{stop}: {style.text(f.text)}" for f in plan.findings if f.level is Level.STOP]
    speeds = [Message(SPEED_OF_BLANK, f.text.values) for f in watched if f.rule is Rule.SPEED]
    others = grouped_texts([f for f in watched if f.rule is not Rule.SPEED])
    return _dotted([*stops, *map(style.text, [*others, *speeds])], width, lettering)


def caution_blocks(
    plan: Plan, width: float, style: PrintStyle, lettering: Lettering = USUAL
) -> list[Block]:
    """The cautions that hold for any plan, a block each; not that on speed where a finding is."""
    cautions = cautions_for(plan.shop)
    if any(f.rule is Rule.SPEED for f in plan.findings):
        cautions = tuple(c for c in cautions if c is not SPEED_ON_THE_CARD)
    return _dotted([style.text(caution) for caution in cautions], width, lettering)


def _dotted(texts: Sequence[str], width: float, lettering: Lettering) -> list[Block]:
    """Paragraphs with a dot before each, a block each."""
    blocks = []
    for text in texts:
        column = _Column(width, lettering)
        at = Point(0.0, -0.76 * lettering.size)
        column.items.append(Text(text="•", at=at, size=lettering.size))
        column.write(text[:1].upper() + text[1:], indent=3.0)
        blocks.append(column.block(0.5 * lettering.spacing))
    return blocks


def nest_block(plan: Plan, width: float, height: float, style: PrintStyle) -> Block:
    """The picture of the nest with the numbers of bowls and cuts, and what the numbers are.

    Args:
        plan: with at least one bowl.
        width: mm.
        height: mm.
        style: language.
    """
    picture = nest_picture(plan)
    box = picture.bounds()
    above = BODY + 2.0  # mm: the numbers over the face
    room = height - above - LEADING - 4.0
    scale = min(width / box.width, room / box.height)
    shift = Transform.scale(scale, scale).then(
        Transform.move(width / 2 - scale * (box.left + box.right) / 2, -above)
    )
    items = list(picture.moved(shift).items)
    numbers = [(str(cut.number), _kerf_middle(cut), True) for cut in plan.cuts]
    words = style.say("In the wood: bowls and core. Above the face: cuts.")
    if any(isinstance(item, Text) and item.size < LEAST_NUMBER for item in items):
        items = [item for item in items if not isinstance(item, Text)]
        numbers += [(str(bowl.number), -_rim_middle(plan, bowl), False) for bowl in plan.bowls]
        words = style.say("Above the face: bowls left, cuts right.")
    for number, x, bold in numbers:
        at = shift.apply(Point(x, 0.0))
        over = Point(at.x, at.y + 1.4)
        items.append(Text(text=number, at=over, anchor=Anchor.MIDDLE, bold=bold))
    y = -above - scale * box.height - 1.0 - 0.76 * BODY
    items.append(Text(text=shortened(words, width=width, size=BODY), at=Point(0.0, y)))
    return Block(tuple(items), height)


def _kerf_middle(cut: Cut) -> float:
    """The middle of a cut's kerf at the face, mm from the axis."""
    return cut.entry_radius - cut.cutter.kerf / 2


def _rim_middle(plan: Plan, bowl: Bowl) -> float:
    """The middle of a bowl's wall at the face, mm from the axis; the axis for the core."""
    inside = plan.cut_in(bowl)
    if inside is None:
        return 0.0
    return (bowl.rim_diameter / 2 + inside.entry_radius) / 2


def card_block(style: PrintStyle, *, bar: float, span: float) -> Block:
    """The outline of a bank card at full size, and how far the bars of the sheets may be out.

    Args:
        style: language and units.
        bar: length of the bars, mm.
        span: greatest width or height of the parts that are cut out, mm; 0 where there are none.
    """
    box = Box(0.0, -CARD_HEIGHT, CARD_WIDTH, 0.0)
    column = _Column(CARD_WIDTH - 6.0)
    column.write(style.say("Any bank card fits: the print is true."), bold=True, size=3.8)
    column.y -= 1.0
    column.write(
        style.say(
            "Print at 100 %, never fitted to the page. Lay a card on this outline (ISO/IEC 7810 "
            "ID-1) and a rule along both bars of every sheet."
        )
    )
    if span:
        is_inch = style.units.first is Units.IN
        most, true = bar_tolerance(bar, span) / style.units.mm, PART_TOLERANCE / style.units.mm
        column.write(
            style.say(
                "Each {bar} bar may be out by {most}: then the largest part, {span}, is true to "
                "{true}. Finer than your rule shows: measure the printer (templategen scale).",
                span=style.length(span),
                true=f"{style.figure(true, '.3f' if is_inch else '.1f')} {style.units.first}",
                bar=f"{bar / style.units.mm:g} {style.units.first}",
                most=f"{style.figure(most, '.3f' if is_inch else '.2f')} {style.units.first}",
            )
        )
    drop = Transform.move(3.0, -(CARD_HEIGHT + column.y) / 2)
    words = Drawing(items=tuple(column.items)).moved(drop).items
    return Block((card_outline(box), *words), CARD_HEIGHT + 3.0)


def card_outline(box: Box) -> Path:
    """An upright rectangle with the corners of a bank card, as a mark."""
    r = CARD_RADIUS
    corners = [
        (Point(box.right - r, box.bottom + r), -QUARTER),
        (Point(box.right - r, box.top - r), 0.0),
        (Point(box.left + r, box.top - r), QUARTER),
        (Point(box.left + r, box.bottom + r), 2 * QUARTER),
    ]
    arcs = [Arc(centre=c, radius=r, from_angle=a, sweep=QUARTER) for c, a in corners]
    return Path(segments=run_through([*arcs, arcs[0].start]), role=Role.MARK, closed=True)
