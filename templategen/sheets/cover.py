"""The cover: cautions, scale check, how the sheets go together, and the list of parts."""

import dataclasses
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import tr_noop
from templategen.nest.plan import Plan
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import BODY, Drawing, Item, Part, Text
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.sheets.assembly import LEADING, SKETCH_GAP, Tiled, row_height, sketch_rows
from templategen.sheets.furniture import content_area, page_furniture
from templategen.sheets.layout import arrange, numbered
from templategen.sheets.letterhead import Letterhead, letterhead_drawing
from templategen.sheets.page import Imprint, Pack, Page, PageFrame, Placement, sheet_label

# The longer side of the largest assembly sketch, and the least room across for one with its
# title, mm: the first pair that lets all sketches stay on the page is taken.
SKETCHES = ((38.0, 48.0), (34.0, 39.0), (28.0, 29.0))

HOW_TO = (
    tr_noop(
        "Print at 100 %, never fitted to the page. Measure both bars on every sheet with a rule: "
        "print again if either is out by more than 1 part in 300."
    ),
    tr_noop(
        "Parts lie inside one another to save paper: glue tiled parts together before you part "
        "them."
    ),
    tr_noop(
        "Fix them to card or thin ply with a light spray of adhesive. Paper grows when wet: let it "
        "dry, and measure the bars again after gluing."
    ),
    tr_noop(
        "Cut out with a fine saw just outside the line and sand to the line. Stand an engineer's "
        "square on the blank to bring a template's line over it."
    ),
)
ASSEMBLY = (
    tr_noop(
        "Sheets stand in brackets. Where a lap says trim or fold, cut along the dashed line, or "
        "crease it between the fold marks (its two ends drawn through). Glue it over the shaded "
        "lap that says glue, both registration marks of the seam meeting."
    ),
)


def make_pack(
    plan: Plan, parts: Sequence[Part], *, frame: PageFrame, style: PrintStyle, head: float = 0.0
) -> Pack:
    """Cover pages and all parts.

    Args:
        plan: for the title, the date and the cautions.
        parts: at least one.
        frame: of every page, upright.
        style: units of the bars, and the language of the wording.
        head: mm left free at the head of the first page, for a letterhead.

    Raises:
        LimitError: a part would need more than 100 tiles, or the pack more than 400 pages.
    """
    arrangement = arrange(parts, frame=frame)
    imprint = Imprint(job_title=plan.job.title, date=plan.job.date)
    covers = 1
    while True:
        pack = numbered(arrangement, style, imprint, first_page=covers + 1)
        columns = _cover_columns(plan, parts, pack, head)
        if len(columns) <= covers:
            pages = [
                _cover_page(n, items, frame, style, imprint)
                for n, items in enumerate(columns, start=1)
            ]
            return dataclasses.replace(pack, pages=(*pages, *pack.pages))
        covers = len(columns)


def with_letterhead(pack: Pack, letterhead: Letterhead) -> Pack:
    """The pack with the letterhead on its first page, whose head was left free for it."""
    if not letterhead.height:
        return pack
    first = pack.pages[0]
    drawing, picture = letterhead_drawing(letterhead, content_area(pack.frame))
    first = dataclasses.replace(first, furniture=first.furniture + drawing, picture=picture)
    return dataclasses.replace(pack, pages=(first, *pack.pages[1:]), letterhead=letterhead)


class _Column:
    """Words and drawings down the cover, on as many pages as they need."""

    def __init__(self, area: Box) -> None:
        self.area = area
        self.pages: list[list[Item]] = [[]]
        self.y = area.top - 6.0

    def room(self, need: float) -> None:
        """Begins a new page if less than `need` mm is left."""
        if self.y - need < self.area.bottom:
            self.pages.append([])
            self.y = self.area.top - 6.0

    def write(
        self, text: str, *, size: float = BODY, bold: bool = False, indent: float = 0.0
    ) -> None:
        """A paragraph."""
        for row in wrap(text, width=self.area.width - indent - 2, size=size, bold=bold):
            self.room(size)
            at = Point(self.area.left + indent, self.y)
            self.pages[-1].append(Text(text=row, at=at, size=size, bold=bold))
            self.y -= size * 1.4

    def heading(self, text: str) -> None:
        """A heading with room for two lines below it."""
        self.y -= 2.0
        self.room(3 * LEADING)
        self.write(text, size=4.2, bold=True)

    def columns(self, texts: Sequence[str]) -> None:
        """Short lines in as many columns as their widths allow, read downwards."""
        wide = max(text_width(t, size=BODY) for t in texts) + 4.0
        count = max(1, min(3, int((self.area.width - 2.0) / wide)))
        rows = -(-len(texts) // count)
        done = 0
        while done < len(texts):
            self.room(BODY)
            fit = max(1, min(rows, int((self.y - self.area.bottom) / LEADING)))
            block = texts[done : done + fit * count]
            fit = -(-len(block) // count)
            for n, text in enumerate(block):
                x = self.area.left + 2.0 + (n // fit) * (self.area.width - 2.0) / count
                at = Point(x, self.y - (n % fit) * LEADING)
                # A title too long even for a line of its own runs over several.
                if count == 1 and wide > self.area.width:
                    self.write(text, indent=2.0)
                else:
                    self.pages[-1].append(Text(text=text, at=at))
            if not (count == 1 and wide > self.area.width):
                self.y -= fit * LEADING
            done += len(block)
            rows -= fit


def _cover_columns(plan: Plan, parts: Sequence[Part], pack: Pack, head: float) -> list[list[Item]]:
    """What is drawn on each cover page."""
    style, profile = pack.style, pack.profile
    page = _Column(content_area(pack.frame))
    page.y -= head
    page.write(plan.job.title, size=6.0, bold=True)
    page.write(" · ".join(t for t in _facts(plan, style) if t))
    if profile:
        page.write(
            style.say(
                "Corrected for the printer {printer}, which prints {across:.4g} across and "
                "{down:.4g} down: print this pack on that printer only.",
                printer=profile.name,
                across=profile.across,
                down=profile.down,
            ),
            bold=True,
        )
    page.heading(style.say("Cautions"))
    for caution in cautions_for(plan.shop):
        page.write(f"• {style.text(caution)}", indent=2.0)
    page.heading(style.say("How to use the sheets"))
    for n, step in enumerate(HOW_TO, start=1):
        page.write(f"{n}. {style.say(step)}", indent=2.0)
    page.heading(style.say("Parts and their sheets"))
    where: dict[str, list[int]] = {}
    tiled: Tiled = {}
    for sheet in pack.pages:
        for placement in sheet.placements:
            key = placement.part.key
            if sheet.number not in where.setdefault(key, []):
                where[key].append(sheet.number)
            if placement.tile:
                tiled.setdefault(key, []).append((sheet.number, placement))
    page.columns([f"{p.title}: {', '.join(map(str, where[p.key]))}" for p in parts])
    if tiled:
        _assembly(page, [p for p in parts if p.key in tiled], tiled, style)
    return page.pages


def _facts(plan: Plan, style: PrintStyle) -> tuple[str, ...]:
    """Date, blank or shop, and how many bowls or tools: some may be empty."""
    job, shop = plan.job, plan.shop
    if not plan.bowls:
        cutters = style.say_count("{count} cutter", "{count} cutters", len(shop.cutters))
        jaws = style.say_count("{count} set of jaws", "{count} sets of jaws", len(shop.jaws))
        return job.date, style.say("Shop set"), f"{cutters}, {jaws}"
    blank = style.say(
        "Blank {diameter} × {height} {wood}",
        diameter=style.length(job.blank.diameter),
        height=style.length(job.blank.height),
        wood=job.blank.shown_wood,
    ).strip()
    pieces = style.say_count("{count} piece", "{count} pieces", len(plan.bowls))
    return job.date, blank, pieces, shop.name


def _cover_page(
    number: int, items: list[Item], frame: PageFrame, style: PrintStyle, imprint: Imprint
) -> Page:
    label, title = style.text(sheet_label(number)), style.say("Cover")
    drawing = Drawing(items=tuple(items))
    cover = Part(kind="cover", key=f"cover-{number}", title=title, drawing=drawing)
    clip = content_area(frame).grown(0.5)
    return Page(
        number=number,
        label=label,
        paper=frame.paper,
        title=title,
        placements=(Placement(part=cover, transform=Transform(), clip=clip),),
        marks=(),
        furniture=page_furniture(frame, style, imprint, label=label, titles=(title,)),
        correction=frame.correction,
    )


def _assembly(page: _Column, parts: Sequence[Part], tiled: Tiled, style: PrintStyle) -> None:
    """The tiled parts drawn small with their sheet grids, in rows."""
    steps = [style.say(step) for step in ASSEMBLY]
    lines = sum(len(wrap(t, width=page.area.width - 4, size=BODY)) for t in steps)
    head = lines * LEADING + 8.0
    for sizes in SKETCHES:
        rows = sketch_rows(parts, tiled, *sizes, width=page.area.width - 4.0)
        if page.y - head - sum(map(row_height, rows)) >= page.area.bottom:
            break
    else:
        rows = sketch_rows(parts, tiled, *SKETCHES[0], width=page.area.width - 4.0)
    page.room(head + row_height(rows[0]))
    page.heading(style.say("How tiled parts go together"))
    for step in steps:
        page.write(step, indent=2.0)
    for row in rows:
        page.room(row_height(row))
        x = page.area.left + 2.0
        tall = max(box.height for _, box, _ in row)
        top = page.y + 0.76 * BODY
        for drawing, box, title in row:
            shift = Transform.move(x - box.left, top - box.top)
            page.pages[-1] += drawing.moved(shift).items
            for n, words in enumerate(title):
                at = Point(x, top - tall - 4.0 - n * LEADING)
                page.pages[-1].append(Text(text=words, at=at))
            x += box.width + SKETCH_GAP
        page.y -= row_height(row)
