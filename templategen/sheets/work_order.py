"""A pack with its work order: the first page, which tells the steps and the sheets they need."""

import dataclasses
import itertools
from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from templategen.geometry.shapes import Box, Transform, union
from templategen.messages import tr
from templategen.nest.plan import Plan
from templategen.parts.drawing import Drawing, Item, Part, Role
from templategen.parts.labels import plan_facts
from templategen.parts.style import PrintStyle
from templategen.parts.work_order import (
    CARD_WIDTH,
    CLOSER,
    LEAST_NEST,
    USUAL,
    Block,
    Lettering,
    card_block,
    caution_blocks,
    finding_blocks,
    nest_block,
    paragraph,
    step_block,
    steps,
)
from templategen.sheets.assembly import Tiled, assembly_parts
from templategen.sheets.furniture import Contents, bar_scales, content_area, page_furniture
from templategen.sheets.groups import KINDS, heading, use_of
from templategen.sheets.hand_out import hand_out_pack, is_hand_out
from templategen.sheets.layout import Arrangement, arrange, numbered, tiled_parts
from templategen.sheets.letterhead import Letterhead, letterhead_drawing
from templategen.sheets.page import Imprint, Pack, Page, PageFrame, Placement, sheet_label
from templategen.sheets.use_notes import SKETCHED, USE_NOTE, has_sketch, noted_kind, sketch_strip
from templategen.trade.part_kinds import Group, KindUse, Material, PartKind

TITLE = tr("Work order")
READ = KindUse(Group.READ_FIRST, Material.PAPER)
GUTTER = 5.0  # mm between columns
TWO_COLUMNS = 2 * CARD_WIDTH + GUTTER  # mm: the least width for two
STRIP_GAP = 0.5  # mm above the use sketches
# Steps whose parts want their sketch first where there is room for some only.
_RANK = (Group.SET, Group.CUT, Group.TURN, Group.LOG, Group.AFTER, Group.SHOP, Group.READ_FIRST)
MOST_TRIES = 4  # of laying the assembly sketches among the sheets they show


def make_pack(
    plan: Plan, parts: Sequence[Part], *, frame: PageFrame, style: PrintStyle, head: float = 0.0
) -> Pack:
    """The work order and all parts; a hand-out alone has no work order.

    Args:
        plan: for the title, the date, the steps and the cautions; that of a shop's set has no cuts.
        parts: at least one.
        frame: of every page, upright.
        style: units of the bars, and the language of the wording.
        head: mm left free at the head of the first page, for a letterhead.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    imprint = Imprint(job_title=style.text(plan.job.shown_title), date=plan.job.date)
    if is_hand_out(parts, frame, head):
        return hand_out_pack(parts, frame=frame, style=style, imprint=imprint, head=head)
    bare = arrange(parts, frame=frame, is_shop_set=not plan.bowls)
    pack = numbered(bare, style, imprint, first_page=2)
    sketches = _assembly(_tiled(pack), parts, content_area(frame), style)
    pages = _front_items(plan, pack, head, sketches)
    if len(pages) > 1:
        # The sketches, if any, lie among the sheets to read.
        arrangement = _with_assembly(plan, parts, bare, style)
        pack = numbered(arrangement, style, imprint, first_page=2)
        pages = _front_items(plan, pack, head, ())
        if len(pages) > 1:
            pack = numbered(arrangement, style, imprint, first_page=len(pages) + 1)
            pages = _front_items(plan, pack, head, ())
        pack = _with_true_numbers(pack, parts)
    front = [_front_page(n, items, frame, style, imprint) for n, items in enumerate(pages, start=1)]
    return dataclasses.replace(pack, pages=(*front, *pack.pages))


def with_letterhead(pack: Pack, letterhead: Letterhead) -> Pack:
    """The pack with the letterhead on its first page, whose head was left free for it."""
    if not letterhead.height:
        return pack
    first = pack.pages[0]
    drawing, picture = letterhead_drawing(letterhead, content_area(pack.frame))
    first = dataclasses.replace(first, furniture=first.furniture + drawing, picture=picture)
    return dataclasses.replace(pack, pages=(first, *pack.pages[1:]), letterhead=letterhead)


def _with_assembly(
    plan: Plan, parts: Sequence[Part], bare: Arrangement, style: PrintStyle
) -> Arrangement:
    """The arranged parts, with sketches of how tiled ones go together among the sheets to read.

    Args:
        plan: of the pack.
        parts: of the pack.
        bare: the parts arranged without the sketches.
        style: language.
    """
    is_shop_set, frame, arrangement = not plan.bowls, bare.frame, bare
    area = content_area(frame)
    sketches: list[Part] = []
    for _ in range(MOST_TRIES):
        found = _assembly(tiled_parts(arrangement), parts, area, style)
        if [p.drawing.bounds() for p in found] == [p.drawing.bounds() for p in sketches]:
            return arrangement
        sketches = found
        arrangement = arrange([*parts, *sketches], frame=frame, is_shop_set=is_shop_set)
    # The sketches change what they show: they get sheets of their own.
    sketches = _assembly(tiled_parts(bare), parts, area, style)
    alone = arrange(sketches, frame=frame, is_shop_set=is_shop_set)
    return dataclasses.replace(bare, sections=(*alone.sections, *bare.sections))


def _assembly(tiled: Tiled, parts: Sequence[Part], area: Box, style: PrintStyle) -> list[Part]:
    """The sketches of parts of three tiles and more: two tiles have one seam, which says enough."""
    return assembly_parts([p for p in parts if len(tiled.get(p.key, ())) > 2], tiled, area, style)


def _tiled(pack: Pack) -> Tiled:
    """The tiles of the tiled parts of a pack with their sheets."""
    found: Tiled = {}
    for sheet in pack.pages:
        for placement in sheet.placements:
            if placement.tile:
                found.setdefault(placement.part.key, []).append((sheet.number, placement))
    return found


def _with_true_numbers(pack: Pack, parts: Sequence[Part]) -> Pack:
    """The pack with the numbers of its sheets in the sketches of tiled parts."""
    found = _assembly(_tiled(pack), parts, content_area(pack.frame), pack.style)
    drawn = {part.key: part for part in found}
    pages = [
        dataclasses.replace(
            page,
            placements=tuple(
                dataclasses.replace(p, part=drawn.get(p.part.key, p.part)) for p in page.placements
            ),
        )
        for page in pack.pages
    ]
    return dataclasses.replace(pack, pages=tuple(pages))


class _Flow:
    """Blocks down the pages of the work order, in one column or several."""

    def __init__(self, area: Box, head: float) -> None:
        self.area = area
        self.pages: list[list[Item]] = [[]]
        self.y = area.top - head - 1.0
        self.shown = 0  # kinds of parts whose use is shown here alone

    @property
    def left_over(self) -> float:
        """Height that is left on the page, mm."""
        return self.y - self.area.bottom

    def _draw(self, block: Block, x: float, y: float) -> None:
        drawing = Drawing(items=block.items).moved(Transform.move(x, y))
        self.pages[-1] += drawing.items

    def _turn_over(self) -> None:
        self.pages.append([])
        self.y = self.area.top - 1.0

    def put(self, block: Block, *, after: float = 0.0) -> None:
        """A block across the page, on a new page where this one lacks room for it and `after`."""
        if block.height + after > self.left_over and self.pages[-1]:
            self._turn_over()
        self._draw(block, self.area.left, self.y)
        self.y -= block.height

    def columns(self, blocks: Sequence[Block], count: int, *, heading: Block | None = None) -> None:
        """Blocks in columns of like height, read downwards; over several pages where needed.

        Args:
            blocks: in their order.
            count: of columns, ≥ 1.
            heading: put above those on the following pages, where both have room.
        """
        waiting = list(blocks)
        wide = (self.area.width + GUTTER) / count
        while waiting:
            limit = _column_height(waiting, count, self.left_over)
            top, lowest, taken = self.y, self.y, 0
            for column in range(count):
                y = top
                while taken < len(waiting) and top - y + waiting[taken].height <= limit + 1e-6:
                    self._draw(waiting[taken], self.area.left + column * wide, y)
                    y -= waiting[taken].height
                    taken += 1
                lowest = min(lowest, y)
            if (
                not taken and not self.pages[-1]
            ):  # higher than a page: off its foot rather than lost
                self._draw(waiting[0], self.area.left, self.y)
                taken = 1
            waiting = waiting[taken:]
            self.y = lowest
            if waiting:
                self._turn_over()
                if heading and heading.height + waiting[0].height <= self.left_over:
                    self.put(heading)


def _column_height(blocks: Sequence[Block], count: int, most: float) -> float:
    """The least height of `count` columns that hold the blocks in order, at most `most` mm."""
    heights = [block.height for block in blocks]
    tries = {sum(heights[a:b]) for a, b in itertools.combinations(range(len(heights) + 1), 2)}
    for limit in sorted(tries):
        if limit > most:
            break
        used, columns = 0.0, 1
        for height in heights:
            if used + height > limit + 1e-6:
                used, columns = 0.0, columns + 1
            used += height
        if columns <= count and max(heights) <= limit + 1e-6:
            return limit
    return most


def _front_items(plan: Plan, pack: Pack, head: float, sketches: Sequence[Part]) -> list[list[Item]]:
    """What is drawn on each page of the work order.

    It is set closer where that saves a page, or makes room for the use sketches of kinds that no
    sheet shows.
    """
    unseen = _unseen(pack)
    best: _Flow | None = None
    for lettering in (USUAL, *CLOSER):
        flow = _set_front(plan, pack, head, lettering, sketches)
        flow.shown = _sketched(flow, pack, unseen)
        if best is None or (-len(flow.pages), flow.shown) > (-len(best.pages), best.shown):
            best = flow
        if len(best.pages) == 1 and best.shown >= len(unseen):
            break
    return best.pages if best else []


def _unseen(pack: Pack) -> set[PartKind]:
    """The kinds of parts whose use no sheet of the pack shows by a sketch."""
    placed = [placement.part for page in pack.pages for placement in page.placements]
    kinds = {KINDS[part.kind] for part in placed if part.kind in KINDS} & SKETCHED
    notes = (part for part in placed if part.kind == USE_NOTE and has_sketch(part))
    return kinds - {noted_kind(note) for note in notes}


def _sketched(flow: _Flow, pack: Pack, unseen: AbstractSet[PartKind]) -> int:
    """Draws use sketches on what is left of the page, those that no sheet shows before others.

    Returns: how many kinds it shows that no sheet shows.
    """
    kinds = {kind for held in _sheets_by_group(pack).values() for kind in held} & SKETCHED
    ranked = sorted(kinds, key=lambda kind: (kind not in unseen, _RANK.index(kind.use.group), kind))
    room = flow.left_over - STRIP_GAP
    _, count = sketch_strip(ranked, flow.area.width, room, pack.style)
    ordered = sorted(ranked[:count], key=lambda kind: (list(Group).index(kind.use.group), kind))
    strip, count = sketch_strip(ordered, flow.area.width, room, pack.style)
    if count:
        flow.y -= STRIP_GAP
        flow.put(Block(strip.items, 0.0))
    return len(unseen & set(ordered[:count]))


def _set_front(
    plan: Plan, pack: Pack, head: float, lettering: Lettering, sketches: Sequence[Part]
) -> _Flow:
    style, area = pack.style, content_area(pack.frame)
    flow = _Flow(area, head)
    flow.put(paragraph(style.text(plan.job.shown_title), area.width, size=5.2, bold=True, gap=0.3))
    flow.put(paragraph(" · ".join(t for t in _facts(plan, style) if t), area.width, gap=1.0))
    if pack.profile:
        words = style.say(
            "Corrected for the printer {printer}, which prints {across:.4g} across and "
            "{down:.4g} down: print this pack on that printer only.",
            printer=pack.profile.name,
            across=pack.profile.across,
            down=pack.profile.down,
        )
        if pack.profile.skew:
            lean = style.say("Its skew of {skew:+.2f} mm in 100 mm is taken out too.",
                             skew=pack.profile.skew * 100)  # fmt: skip
            words = f"{words} {lean}"
        flow.put(paragraph(words, area.width, bold=True, gap=1.5))
    count = 2 if area.width >= TWO_COLUMNS else 1
    wide = (area.width + GUTTER) / count - GUTTER
    flow.columns(_work_blocks(plan, pack, wide, count, lettering), count)
    found = finding_blocks(plan, wide, style, lettering)
    cautions = style.say("Cautions")
    if found:
        cautions = style.say("Cautions, first those of this plan")
    flow.put(_heading(cautions), after=20.0)
    rules = caution_blocks(plan, wide, style, lettering)
    flow.columns([*found, *rules], count, heading=_heading(style.say("Cautions")))
    for sketch in sketches:
        flow.y -= 1.5
        flow.put(Block(sketch.drawing.items, sketch.drawing.bounds().height))
    return flow


def _work_blocks(
    plan: Plan, pack: Pack, wide: float, count: int, lettering: Lettering
) -> list[Block]:
    """The picture of the nest, the outline of a card and the steps, for columns of like height.

    Args:
        plan: a picture is drawn where it has bowls.
        pack: of the sheets.
        wide: width of a column, mm.
        count: of columns; with two the card is the head of the second.
        lettering: of the steps.
    """
    style = pack.style
    scale = bar_scales(pack.frame, style.units)[0]
    bar = min(scale.across, scale.down) * scale.step
    card = card_block(style, bar=bar, span=_largest_span(pack))
    listed = steps(plan, _sheets_by_group(pack), is_tiled=bool(_tiled(pack)))
    blocks = [step_block(n, step, wide, style, lettering) for n, step in enumerate(listed, 1)]
    if not plan.bowls:
        return [card, *blocks]
    if count == 1:
        return [nest_block(plan, wide, card.height, style), card, *blocks]
    heights = [block.height for block in blocks]

    def height(left: int) -> float:
        """Of the page, with the first `left` steps under the picture and the others."""
        return max(LEAST_NEST + sum(heights[:left]), card.height + sum(heights[left:]))

    left = min(range(len(blocks) + 1), key=height)
    room = min(card.height, height(left) - sum(heights[:left]))
    return [nest_block(plan, wide, room, style), *blocks[:left], card, *blocks[left:]]


def _largest_span(pack: Pack) -> float:
    """The greatest width or height of a part that is cut out of card or ply, mm; 0 for none.

    Those for the log are not among them: they are laid on rough wood.
    """
    boxes: dict[str, list[Box]] = {}
    for page in pack.pages:
        use = page.use
        if use is None or use.group is Group.LOG or use.material is Material.PAPER:
            continue
        for placement in page.placements:
            cuts = placement.part.drawing.paths(Role.CUT)
            if cuts:  # of a tile, what it shows, in the frame of the whole part
                boxes.setdefault(placement.part.key, []).extend(path.bounds() for path in cuts)
    whole = [union(found) for found in boxes.values()]
    return max((max(box.width, box.height) for box in whole), default=0.0)


def _heading(text: str) -> Block:
    block = paragraph(text, 1000.0, size=4.2, bold=True, gap=0.4)
    down = Drawing(items=block.items).moved(Transform.move(0.0, -2.0))
    return Block(down.items, block.height + 2.0)


def _sheets_by_group(pack: Pack) -> dict[Group, dict[PartKind, list[int]]]:
    """By step of the work: the kinds of parts and the sheets they are on."""
    found: dict[Group, dict[PartKind, list[int]]] = {}
    for page in pack.pages:
        if page.use is None:
            continue
        for placement in page.placements:
            use = use_of(placement.part.kind, is_shop_set=page.use.group is Group.SHOP)
            if use is not None:
                kinds = found.setdefault(use.group, {})
                held = kinds.setdefault(KINDS[placement.part.kind], [])
                if page.number not in held:
                    held.append(page.number)
    return found


def _facts(plan: Plan, style: PrintStyle) -> tuple[str, ...]:
    """Date, blank or shop, and how many bowls or tools: some may be empty."""
    job, shop = plan.job, plan.shop
    if not plan.bowls:
        cutters = style.say_count("{count} cutter", "{count} cutters", len(shop.cutters))
        jaws = style.say_count("{count} set of jaws", "{count} sets of jaws", len(shop.jaws))
        return job.date, style.say("Shop set"), f"{cutters}, {jaws}"
    return plan_facts(plan, style)


def _front_page(
    number: int, items: list[Item], frame: PageFrame, style: PrintStyle, imprint: Imprint
) -> Page:
    label, title = style.text(sheet_label(number)), style.text(TITLE)
    part = Part(
        kind=PartKind.WORK_ORDER,
        key=f"work-order-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )
    contents = Contents(f"{title} · {heading((READ,), style)}", (title,))
    return Page(
        number=number,
        label=label,
        paper=frame.paper,
        title=title,
        placements=(
            Placement(part=part, transform=Transform(), clip=content_area(frame).grown(0.5)),
        ),
        marks=(),
        furniture=page_furniture(frame, style, imprint, label=label, contents=contents),
        correction=frame.correction,
        use=READ,
    )
