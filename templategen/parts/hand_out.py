"""Hand-out: what one bench of a demonstration needs on paper, on a page or two.

Parts that are laid below one another: whose it is with the picture of the nest, what to watch in
this plan, the figures of each cut, and the cautions.
"""

import dataclasses
import re
from collections.abc import Iterable

from templategen.geometry.shapes import Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.card import WIDTH
from templategen.parts.columns import TableLayout, ruled_table
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Role, Text, line, part_of
from templategen.parts.figure_table import figure_table
from templategen.parts.labels import plan_facts
from templategen.parts.lettering import text_width, wrap
from templategen.parts.nest_picture import nest_picture
from templategen.parts.setting_card import AGAIN, last_line, table_rows
from templategen.parts.style import PrintStyle
from templategen.parts.work_order import Block, caution_blocks, finding_blocks, paragraph
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind

NUMBER = 17.0  # mm: size of the running number, read across a table
NAMES = (8.0, 6.4, 5.2)  # mm: sizes of the name, the first that fits on two lines
NEST_WIDTH, NEST_HEIGHT = 118.0, 64.0  # mm: room for the picture
NAME_WIDTH = 28.0  # mm: the column of the bowls' names
LEAST = 0.8  # of the size of body text: a smaller number has no room in its wall
NOTHING = "–"
GAP = 4.0  # mm between two parts on a page
GUTTER = 5.0  # mm between columns
MOST_CUTS = 8  # in one table: narrow columns rather than a third page
FEWEST_FINDINGS = 6  # that are shown, whatever room they take
FIRST_PAGE = 216.0  # mm: room on a letter page below a letterhead, the lowest of the usual pages
NUMBERED = re.compile(r"(\d{1,5}) · (.+)")
BETWEEN = " · "  # what the list calls a bench, and the title of its job


def numbered_title(number: int, name: str, title: str = "") -> str:
    """The title of a bench's job: its running number, what the list calls it, the job's own title.

    Args:
        number: in the list, from 1.
        name: may be empty: then the number stands alone.
        title: of the bench's job file; left out where it says the same as the name.

    >>> numbered_title(3, "Anna", "Mill Road ash")
    '3 · Anna · Mill Road ash'
    """
    texts = dict.fromkeys(text for text in (name, title) if text)
    return BETWEEN.join((str(number), *texts))


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The nest, the findings, the figures and the cautions of a plan, at most `WIDTH` wide each."""
    nest = _nest_items(plan, style)
    room = FIRST_PAGE - Drawing(items=tuple(nest)).bounds().height - GAP
    sections = (
        ("nest", style.say("Hand-out: nest"), nest),
        ("findings", style.say("Hand-out: findings"), _finding_items(plan, room, style)),
        ("figures", style.say("Hand-out: figures"), _figure_items(plan, style)),
        ("cautions", style.say("Hand-out: cautions"), _caution_items(plan, style)),
    )
    return tuple(
        part_of(PartKind.HAND_OUT, f"hand-out-{key}", title, items, may_turn=False)
        for key, title, items in sections
        if items
    )


def _stacked(blocks: Iterable[Block], y: float, *, left: float = 0.0) -> tuple[list[Item], float]:
    """Blocks below one another from y down, and the y below them, mm."""
    items: list[Item] = []
    for block in blocks:
        items += Drawing(items=block.items).moved(Transform.move(left, y)).items
        y -= block.height
    return items, y


def _nest_items(plan: Plan, style: PrintStyle) -> list[Item]:
    """Number and name, the picture with the facts beside it, and a row for each bowl."""
    items, y = _heading(plan, style)
    items.append(line(0.0, y, WIDTH, y, role=Role.NOTE))
    y -= 2.0
    picture, low = _picture(plan, y)
    items += picture
    left = NEST_WIDTH + GUTTER
    words = style.say(
        "Numbers in the wood: bowls, the last one the core. Above the face: cuts, at their entry."
    )
    date, blank, *others = plan_facts(plan, style)
    wood = style.text(plan.job.blank.shown_wood)  # below the size: its words stay together
    texts = filter(None, (date, blank.removesuffix(wood).strip(), wood, *others, words))
    facts, down = _stacked((paragraph(t, WIDTH - left, gap=1.2) for t in texts), y, left=left)
    rows = _bowl_rows(plan, style)
    layout = TableLayout(names=NAME_WIDTH, column=(WIDTH - NAME_WIDTH) / (len(rows[0]) - 1))
    table, _ = ruled_table(rows, layout, y=min(low, down) - BODY - 4.0)
    return [*items, *facts, *table]


def _picture(plan: Plan, top: float) -> tuple[list[Item], float]:
    """The picture of the nest, a number above each cut's entry; and the y below it.

    A number is never smaller than body text; one that its wall has no room for is left out.
    """
    picture = nest_picture(plan)
    box = picture.bounds()
    room = NEST_HEIGHT - BODY - 2.0
    scale = min(NEST_WIDTH / box.width, room / box.height)
    shift = Transform.scale(scale, scale).then(
        Transform.move(NEST_WIDTH / 2 - scale * (box.left + box.right) / 2, top - BODY - 2.0)
    )
    items: list[Item] = []
    for item in picture.moved(shift).items:
        if not isinstance(item, Text):
            items.append(item)
        elif item.size >= LEAST * BODY:
            size = max(item.size, BODY)
            lower = Point(item.at.x, item.at.y - 0.36 * (size - item.size))
            items.append(dataclasses.replace(item, size=size, at=lower))
    for cut in plan.cuts:
        at = shift.apply(Point(cut.entry_radius - cut.cutter.kerf / 2, 0.0))
        at = Point(at.x, at.y + 1.4)
        items.append(Text(text=str(cut.number), at=at, anchor=Anchor.MIDDLE, bold=True))
    return items, top - BODY - 2.0 - scale * box.height


def _bowl_rows(plan: Plan, style: PrintStyle) -> list[list[str]]:
    """A heading, and for each bowl its size, wall and how it is held."""
    say = style.say
    heads = [say("rim Ø"), say("depth"), say("least wall"), say("tenon Ø × length"), say("jaws")]
    return [
        ["", *heads],
        *(
            [
                style.text(bowl.shown_name),
                style.lengths((bowl.rim_diameter,)),
                style.lengths((bowl.depth,)),
                NOTHING if bowl.wall is None else style.lengths((bowl.wall,)),
                style.lengths((bowl.tenon_diameter, bowl.tenon_length)),
                NOTHING if bowl.jaws is None else bowl.jaws.id,
            ]
            for bowl in plan.bowls
        ),
    ]


def _heading(plan: Plan, style: PrintStyle) -> tuple[list[Item], float]:
    """Number and name large; and the y below them."""
    title = style.text(plan.job.shown_title)
    found = NUMBERED.fullmatch(title)
    number, name = found.groups() if found else ("", title)
    items: list[Item] = []
    left = 0.0
    if number:
        items.append(Text(text=number, at=Point(0.0, -0.76 * NUMBER), size=NUMBER, bold=True))
        left = text_width(number, size=NUMBER, bold=True) + 7.0
    name, _, subtitle = name.partition(BETWEEN)
    room, size, rows = WIDTH - left, NAMES[0], [name]
    for size in NAMES:
        rows = wrap(name, width=room, size=size, bold=True)
        if len(rows) <= (1 if subtitle else 2):
            break
    y = -1.0
    for row in rows:
        items.append(Text(text=row, at=Point(left, y - 0.76 * size), size=size, bold=True))
        y -= size * 1.15
    if subtitle:
        more, y = _stacked([paragraph(subtitle, room, gap=0.0)], y - 0.6, left=left)
        items += more
    return items, min(y, -0.8 * NUMBER if number else y) - 2.0


def _figure_items(plan: Plan, style: PrintStyle) -> list[Item]:
    items: list[Item] = []
    y = 0.0
    cuts = plan.working_order
    for first in range(0, len(cuts), MOST_CUTS):
        rows = table_rows(plan, cuts[first : first + MOST_CUTS], style)
        table, y = figure_table(rows, top=y, width=WIDTH)
        items += table
        y -= 2.5
    blocks = [paragraph(style.say(last_line(cuts)), WIDTH, bold=True, gap=0.8)]
    if len(plan.cuts) > 1 and plan.job.nest.order is Order.OUTER_FIRST:
        blocks.insert(0, paragraph(style.say(AGAIN), WIDTH, gap=0.8))
    return [*items, *_stacked(blocks, y)[0]]


def _finding_items(plan: Plan, room: float, style: PrintStyle) -> list[Item]:
    """What forbids the plan or is to be watched in it; nothing where it is without a caution.

    Findings that `room` (mm) does not hold below the first few are only counted.
    """
    found = finding_blocks(plan, WIDTH, style)
    if not found:
        return []
    heading = _section_heading(style.say("Watch in this plan"))
    room -= heading.height
    shown = len(found)
    while shown > FEWEST_FINDINGS and sum(block.height for block in found[:shown]) > room:
        shown -= 1
    if shown < len(found):
        more = style.say("and {count} more: see the plan", count=len(found) - shown)
        found[shown:] = [paragraph(more, WIDTH, gap=0.5)]
    return _stacked([heading, *found], 0.0)[0]


def _section_heading(text: str) -> Block:
    return paragraph(text, WIDTH, size=4.2, bold=True, gap=0.6)


def _caution_items(plan: Plan, style: PrintStyle) -> list[Item]:
    """The cautions in two columns."""
    items, y = _stacked([_section_heading(style.say("Cautions"))], 0.0)
    wide = (WIDTH - GUTTER) / 2
    blocks = caution_blocks(plan, wide, style)
    half = sum(block.height for block in blocks) / 2
    count, down = 0, y
    while count < len(blocks) and y - down + blocks[count].height / 2 < half:
        down -= blocks[count].height
        count += 1
    left, _ = _stacked(blocks[:count], y)
    right, _ = _stacked(blocks[count:], y, left=wide + GUTTER)
    return [*items, *left, *right]
