"""A bench's hand-out on its pages: the parts below one another, nothing to cut or glue."""

from collections.abc import Sequence

from templategen.geometry.shapes import Transform
from templategen.parts.drawing import Part
from templategen.parts.hand_out import GAP
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import Contents, content_area, page_furniture
from templategen.sheets.groups import heading
from templategen.sheets.page import Imprint, Pack, Page, PageFrame, Placement, sheet_label
from templategen.trade.part_kinds import PartKind

SLACK = 1e-6  # mm
BELOW_HEADING = 3.0  # mm free below the heading of a page after the first, where there is room


def is_hand_out(parts: Sequence[Part], frame: PageFrame, head: float) -> bool:
    """Whether the parts are a hand-out alone, and the paper takes each of them in one piece.

    Args:
        parts: of a pack.
        frame: of every page.
        head: mm left free at the head of the first page.
    """
    area = content_area(frame)
    boxes = [part.drawing.bounds() for part in parts if part.kind == PartKind.HAND_OUT]
    return len(boxes) == len(parts) and all(
        box.width <= area.width + SLACK and box.height + head <= area.height + SLACK
        for box in boxes
    )


def hand_out_pack(
    parts: Sequence[Part], *, frame: PageFrame, style: PrintStyle, imprint: Imprint, head: float
) -> Pack:
    """The parts in their order on the fewest pages.

    Args:
        parts: of a hand-out, see `is_hand_out`.
        frame: of every page, upright.
        style: units of the bars, and the language.
        imprint: the foot of every page.
        head: mm left free at the head of the first page, for a letterhead.
    """
    area = content_area(frame)
    pages: list[list[Placement]] = [[]]
    y = area.top - head
    for part in parts:
        box = part.drawing.bounds()
        if y - box.height < area.bottom - SLACK:
            pages.append([])
            y = area.top - min(BELOW_HEADING, area.height - box.height)
        move = Transform.move(area.left - box.left, y - box.top)
        pages[-1].append(Placement(part=part, transform=move, clip=area.grown(0.5)))
        y -= box.height + GAP
    return Pack(
        pages=tuple(
            _page(number, placements, frame, style, imprint)
            for number, placements in enumerate(pages, start=1)
        ),
        job_title=imprint.job_title,
        frame=frame,
        style=style,
        date=imprint.date,
    )


def _page(
    number: int,
    placements: Sequence[Placement],
    frame: PageFrame,
    style: PrintStyle,
    imprint: Imprint,
) -> Page:
    label = style.text(sheet_label(number))
    title = style.say("Hand-out")
    use = PartKind.HAND_OUT.use
    contents = Contents(f"{title} · {heading((use,), style)}", (title,))
    return Page(
        number=number,
        label=label,
        paper=frame.paper,
        title=title,
        placements=tuple(placements),
        furniture=page_furniture(frame, style, imprint, label=label, contents=contents),
        correction=frame.correction,
        use=use,
    )
