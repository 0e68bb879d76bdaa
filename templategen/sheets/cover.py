"""The cover: cautions, scale check, how the sheets go together, and the list of parts."""

import dataclasses
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point, Transform
from templategen.nest.plan import Plan
from templategen.parts.cautions import CAUTIONS
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Role, Text, rectangle
from templategen.parts.lettering import wrap
from templategen.sheets.layout import content_area, lay_out, page_furniture
from templategen.sheets.page import Pack, Page, Placement
from templategen.sheets.paper import Paper
from templategen.units import Units, format_length

LEADING = BODY * 1.4
CELL = 11.0  # mm: a sheet in the assembly sketch

HOW_TO = (
    "Print at 100 %, never fitted to the page. Measure both bars on every sheet with a rule: "
    "print again if either is out by more than 1 part in 300.",
    "Fix the sheets to card or thin ply with a light spray of adhesive; paper grows when wet, so "
    "measure the bars again after gluing.",
    "Tiled parts: trim one sheet at the dashed line, lay it over its neighbour until the "
    "registration marks meet, and glue.",
    "Cut out with a fine saw just outside the line and sand to the line. Stand an engineer's "
    "square on the blank to bring a template's line over it.",
)


def make_pack(
    plan: Plan, parts: Sequence[Part], *, paper: Paper, units: Units, head: float = 0.0
) -> Pack:
    """Cover pages and all parts.

    Args:
        plan: for the title, the date and the cautions.
        parts: at least one.
        paper: of every page.
        units: of the bars and the wording.
        head: mm left free at the head of the first page, for a letterhead.
    """
    job = plan.job
    covers = 1
    while True:
        pack = lay_out(
            parts,
            paper=paper,
            units=units,
            job_title=job.title,
            date=job.date,
            first_page=covers + 1,
        )
        pages = _cover_pages(plan, parts, pack, paper, units, head)
        if len(pages) <= covers:
            return dataclasses.replace(pack, pages=tuple(pages) + pack.pages)
        covers = len(pages)


def _cover_pages(
    plan: Plan, parts: Sequence[Part], pack: Pack, paper: Paper, units: Units, head: float
) -> list[Page]:
    area = content_area(paper)
    job = plan.job
    blank = (
        f"Blank {format_length(job.blank.diameter, units)} × "
        f"{format_length(job.blank.height, units)} {job.blank.wood}".strip()
    )
    pages: list[list[Item]] = [[]]
    y = area.top - head - 6.0

    def room(need: float) -> None:
        nonlocal y
        if y - need < area.bottom:
            pages.append([])
            y = area.top - 6.0

    def write(text: str, *, size: float = BODY, bold: bool = False, indent: float = 0.0) -> None:
        nonlocal y
        for row in wrap(text, width=area.width - indent - 2, size=size, bold=bold):
            room(size)
            at = Point(area.left + indent, y)
            pages[-1].append(Text(text=row, at=at, size=size, bold=bold))
            y -= size * 1.4

    def heading(text: str) -> None:
        nonlocal y
        y -= 2.0
        room(3 * LEADING)
        write(text, size=4.2, bold=True)

    write(job.title, size=6.0, bold=True)
    facts = (job.date, blank, f"{len(plan.pieces)} pieces", plan.shop.name)
    if not plan.pieces:
        sets = f"{len(plan.shop.cutters)} cutters, {len(plan.shop.jaws)} sets of jaws"
        facts = (job.date, "Shop set", sets, "")
    write(" · ".join(t for t in facts if t))
    heading("Cautions")
    for caution in CAUTIONS:
        write(f"• {caution}", indent=2.0)
    heading("How to use the sheets")
    for n, step in enumerate(HOW_TO, start=1):
        write(f"{n}. {step}", indent=2.0)
    heading("Parts and their sheets")
    where: dict[str, list[Page]] = {}
    for page in pack.pages:
        for placement in page.placements:
            where.setdefault(placement.part.key, []).append(page)
    for part in parts:
        sheets = where[part.key]
        names = ", ".join(str(p.number) for p in sheets)
        write(f"{part.title}: sheet{'s' if len(sheets) > 1 else ''} {names}", indent=2.0)
    tiled = [p for p in parts if len(where[p.key]) > 1]
    if tiled:
        room(2 * CELL + 6 * LEADING)
        heading("How tiled parts go together")
    for part in tiled:
        sheets = where[part.key]
        cells = [_cell(p.title) for p in sheets]
        rows = max(r for _, r in cells) + 1
        room((rows * CELL) + 2 * LEADING)
        write(part.title, indent=2.0)
        for (column, row), page in zip(cells, sheets, strict=True):
            left = area.left + 4 + column * CELL
            top = y + 2.0 - row * CELL
            box = Box(left, top - CELL, left + CELL, top)
            pages[-1].append(rectangle(box, role=Role.NOTE))
            at = Point(left + CELL / 2, top - CELL / 2 - 1.1)
            pages[-1].append(Text(text=str(page.number), at=at, anchor=Anchor.MIDDLE))
        y -= rows * CELL + 3.0
    made = []
    for n, items in enumerate(pages, start=1):
        label = f"Sheet {n}"
        cover = Part(
            kind="cover", key=f"cover-{n}", title="Cover", drawing=Drawing(items=tuple(items))
        )
        made.append(
            Page(
                number=n,
                label=label,
                paper=paper,
                title="Cover",
                placements=(Placement(part=cover, transform=Transform(), clip=area.grown(0.5)),),
                marks=(),
                furniture=page_furniture(paper, units, label, "Cover", job.title, job.date, 10.0),
            )
        )
    return made


def _cell(title: str) -> tuple[int, int]:
    """Column and row of a tile, from the name at the end of its page's title."""
    name = title.rsplit(", ", 1)[-1].split(" ")[0]
    return ord(name[0]) - ord("A"), int(name[1:]) - 1
