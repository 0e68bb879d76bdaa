"""The cover: cautions, scale check, how the sheets go together, and the list of parts."""

import dataclasses
import itertools
import math
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point, Transform, union
from templategen.messages import mark, say, say_count
from templategen.nest.plan import Plan
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Path, Role, Text, rectangle
from templategen.parts.lettering import text_width, wrap
from templategen.sheets.furniture import MARGIN, content_area, page_furniture
from templategen.sheets.layout import arrange, numbered
from templategen.sheets.page import Pack, Page, Placement, sheet_label
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.units import Units, printed_length

LEADING = BODY * 1.4
# The longer side of the largest assembly sketch, and the least room across for one with its
# title, mm: the first pair that lets all sketches stay on the page is taken.
SKETCHES = ((38.0, 48.0), (34.0, 39.0), (28.0, 29.0))
TALLEST_SKETCH = 150.0  # mm
SKETCH_GAP = 6.0  # mm between sketches
LAP_GREY = 0.82

HOW_TO = (
    mark(
        "Print at 100 %, never fitted to the page. Measure both bars on every sheet with a rule: "
        "print again if either is out by more than 1 part in 300."
    ),
    mark(
        "Parts lie inside one another to save paper: glue tiled parts together before you part "
        "them."
    ),
    mark(
        "Fix them to card or thin ply with a light spray of adhesive. Paper grows when wet: let it "
        "dry, and measure the bars again after gluing."
    ),
    mark(
        "Cut out with a fine saw just outside the line and sand to the line. Stand an engineer's "
        "square on the blank to bring a template's line over it."
    ),
)
ASSEMBLY = (
    mark(
        "Sheets stand in brackets. Where a lap says trim or fold, cut along the dashed line, or "
        "crease it between the fold marks (its two ends drawn through). Glue it over the shaded "
        "lap that says glue, both registration marks of the seam meeting."
    ),
)


def make_pack(
    plan: Plan,
    parts: Sequence[Part],
    *,
    paper: Paper,
    units: Units,
    profile: PrinterProfile | None = None,
    head: float = 0.0,
) -> Pack:
    """Cover pages and all parts.

    Args:
        plan: for the title, the date and the cautions.
        parts: at least one.
        paper: of every page.
        units: of the bars and the wording.
        profile: the printer the pages are corrected for.
        head: mm left free at the head of the first page, for a letterhead.
    """
    job = plan.job
    arrangement = arrange(parts, paper=paper, profile=profile)
    covers = 1
    while True:
        pack = numbered(
            arrangement,
            units=units,
            job_title=job.title,
            date=job.date,
            first_page=covers + 1,
        )
        pages = _cover_pages(plan, parts, pack, paper, units, head)
        if len(pages) <= covers:
            return dataclasses.replace(pack, pages=tuple(pages) + pack.pages)
        covers = len(pages)


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


def _cover_pages(
    plan: Plan, parts: Sequence[Part], pack: Pack, paper: Paper, units: Units, head: float
) -> list[Page]:
    profile = pack.profile
    margin = profile.margin(paper, MARGIN) if profile else MARGIN
    area = content_area(paper, margin)
    job = plan.job
    blank = say(
        "Blank {diameter} × {height} {wood}",
        diameter=printed_length(job.blank.diameter, units),
        height=printed_length(job.blank.height, units),
        wood=job.blank.wood,
    ).strip()
    page = _Column(area)
    page.y -= head
    page.write(job.title, size=6.0, bold=True)
    facts: tuple[str, ...]
    if plan.bowls:
        pieces = say_count("{count} piece", "{count} pieces", len(plan.bowls))
        facts = (job.date, blank, pieces, plan.shop.name)
    else:
        cutters = say_count("{count} cutter", "{count} cutters", len(plan.shop.cutters))
        jaws = say_count("{count} set of jaws", "{count} sets of jaws", len(plan.shop.jaws))
        facts = (job.date, say("Shop set"), f"{cutters}, {jaws}")
    page.write(" · ".join(t for t in facts if t))
    if profile:
        page.write(
            say(
                "Corrected for the printer {printer}, which prints {across:.4g} across and "
                "{down:.4g} down: print this pack on that printer only.",
                printer=profile.name,
                across=profile.across,
                down=profile.down,
            ),
            bold=True,
        )
    page.heading(say("Cautions"))
    for caution in cautions_for(plan.shop):
        page.write(f"• {caution}", indent=2.0)
    page.heading(say("How to use the sheets"))
    for n, step in enumerate(HOW_TO, start=1):
        page.write(f"{n}. {say(step)}", indent=2.0)
    page.heading(say("Parts and their sheets"))
    where: dict[str, list[int]] = {}
    tiled: dict[str, list[tuple[int, Placement]]] = {}
    for sheet in pack.pages:
        for placement in sheet.placements:
            key = placement.part.key
            if sheet.number not in where.setdefault(key, []):
                where[key].append(sheet.number)
            if placement.tile:
                tiled.setdefault(key, []).append((sheet.number, placement))
    page.columns([f"{p.title}: {', '.join(map(str, where[p.key]))}" for p in parts])
    sketched = [p for p in parts if p.key in tiled]
    if sketched:
        _assembly(page, sketched, tiled)
    made = []
    for n, items in enumerate(page.pages, start=1):
        label, title = sheet_label(n), say("Cover")
        cover = Part(
            kind="cover", key=f"cover-{n}", title=title, drawing=Drawing(items=tuple(items))
        )
        made.append(
            Page(
                number=n,
                label=label,
                paper=paper,
                title=title,
                placements=(Placement(part=cover, transform=Transform(), clip=area.grown(0.5)),),
                marks=(),
                furniture=page_furniture(
                    paper, units, label, (title,), job.title, job.date, margin, profile
                ),
                correction=profile.correction(paper) if profile else Transform(),
            )
        )
    return made


Windows = list[tuple[str, int, Box]]  # tile, its sheet, its window in the turned part's frame
Cell = tuple[Drawing, Box, list[str]]  # a sketch, the room it takes, its title in lines


def _assembly(
    page: _Column, parts: Sequence[Part], tiled: dict[str, list[tuple[int, Placement]]]
) -> None:
    """The tiled parts drawn small with their sheet grids, in rows."""
    steps = [say(step) for step in ASSEMBLY]
    lines = sum(len(wrap(t, width=page.area.width - 4, size=BODY)) for t in steps)
    head = lines * LEADING + 8.0
    for sizes in SKETCHES:
        rows = _rows(parts, tiled, *sizes, width=page.area.width - 4.0)
        if page.y - head - sum(map(_height, rows)) >= page.area.bottom:
            break
    else:
        rows = _rows(parts, tiled, *SKETCHES[0], width=page.area.width - 4.0)
    page.room(head + _height(rows[0]))
    page.heading(say("How tiled parts go together"))
    for step in steps:
        page.write(step, indent=2.0)
    for row in rows:
        page.room(_height(row))
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
        page.y -= _height(row)


def _height(row: list[Cell]) -> float:
    return max(box.height for _, box, _ in row) + max(len(t) for *_, t in row) * LEADING + 3.0


def _rows(
    parts: Sequence[Part],
    tiled: dict[str, list[tuple[int, Placement]]],
    size: float,
    least: float,
    *,
    width: float,
) -> list[list[Cell]]:
    """The sketches in rows no wider than `width`.

    Args:
        parts: those that are tiled.
        tiled: the sheets and placements of each.
        size: the longer side of the largest part's sketch, mm; a sketch whose tiles would be too
            small for their names is drawn larger.
        least: room across for a sketch, mm.
        width: mm.
    """
    windows = {part.key: _tile_windows(tiled[part.key]) for part in parts}
    boxes = {key: union([box for *_, box in held]) for key, held in windows.items()}
    scale = size / max(max(box.width, box.height) for box in boxes.values())
    rows: list[list[Cell]] = [[]]
    used = 0.0
    for part in parts:
        turn = Transform.rotate(tiled[part.key][0][1].transform.angle)
        own = legible_scale(windows[part.key], scale, width=width)
        drawing = sketch(part.drawing.moved(turn), windows[part.key], own)
        box = _scaled(boxes[part.key], own)
        room = max(box.width, least)
        if rows[-1] and used + room > width:
            rows.append([])
            used = 0.0
        title = wrap(part.title, width=room, size=BODY)
        box = Box(box.left, box.bottom, box.left + room, box.top)
        rows[-1].append((drawing, box, title))
        used += room + SKETCH_GAP
    return rows


def _scaled(box: Box, scale: float) -> Box:
    return Box(box.left * scale, box.bottom * scale, box.right * scale, box.top * scale)


def _tile_windows(tiles: Sequence[tuple[int, Placement]]) -> Windows:
    """Where each tile's window lies on the part, in the frame the part is printed in."""
    turn = Transform.rotate(tiles[0][1].transform.angle)
    windows: Windows = []
    for number, placement in tiles:
        back = placement.transform.inverse().then(turn)
        one = back.apply(Point(placement.clip.left, placement.clip.bottom))
        two = back.apply(Point(placement.clip.right, placement.clip.top))
        window = Box(min(one.x, two.x), min(one.y, two.y), max(one.x, two.x), max(one.y, two.y))
        windows.append((placement.tile, number, window))
    return windows


def _name(tile: str, number: int, window: Box) -> tuple[list[str], Box]:
    """A tile's name and sheet as set in its window: one line in a low tile, else two."""
    flat = f"{tile} ({number})"
    rows = [flat] if window.height < 10.0 else [tile, f"({number})"]
    half = max(text_width(row, size=BODY, bold=row == tile) for row in rows) / 2
    x = (window.left + window.right) / 2
    y = (window.bottom + window.top) / 2 + 4.0 * (len(rows) - 1) / 2 - 0.36 * BODY
    return rows, Box(x - half, y - 4.0 * (len(rows) - 1) - 0.8, x + half, y + 0.8 * BODY)


def legible_scale(windows: Windows, scale: float, *, width: float) -> float:
    """A scale from `scale` up at which the names of the tiles stand clear of one another.

    A sketch that would need more room than there is has the scale with the fewest names in touch.
    """
    whole = union([box for *_, box in windows])
    most = max(scale, min(width / whole.width, TALLEST_SKETCH / whole.height))
    tries = [scale * 1.15**n for n in range(40) if scale * 1.15**n <= most]

    def touching(trial: float) -> int:
        names = [_name(tile, number, _scaled(box, trial))[1] for tile, number, box in windows]
        return sum(a.meets(b) for a, b in itertools.combinations(names, 2))

    best = math.inf, scale
    for trial in tries:
        best = min(best, (touching(trial), trial))
        if best[0] == 0:
            break  # a greater scale is no better
    return best[1]


def sketch(drawing: Drawing, windows: Windows, scale: float) -> Drawing:
    """A turned part drawn small, with its windows, their names and sheets, and shaded laps."""
    small = [(tile, number, _scaled(window, scale)) for tile, number, window in windows]
    items: list[Item] = []
    for n, (*_, window) in enumerate(small):
        for *_, other in small[:n]:
            if window.meets(other):
                lap = Box(
                    max(window.left, other.left),
                    max(window.bottom, other.bottom),
                    min(window.right, other.right),
                    min(window.top, other.top),
                )
                items.append(rectangle(lap, role=Role.NOTE, fill=LAP_GREY, width=0.0))
    items += [
        Path(segments=p.segments, role=Role.MARK, closed=p.closed)
        for p in drawing.moved(Transform.scale(scale, scale)).paths(Role.CUT, Role.MARK)
        if not p.dashed
    ]
    items += [rectangle(window, role=Role.NOTE, width=0.25) for *_, window in small]
    for tile, number, window in small:
        rows, behind = _name(tile, number, window)
        x = (window.left + window.right) / 2
        y = behind.top - 0.8 * BODY
        items.append(rectangle(behind, role=Role.NOTE, fill=1.0, width=0.0))
        for n, row in enumerate(rows):
            at = Point(x, y - 4.0 * n)
            items.append(Text(text=row, at=at, anchor=Anchor.MIDDLE, bold=row == tile))
    return Drawing(items=tuple(items))
