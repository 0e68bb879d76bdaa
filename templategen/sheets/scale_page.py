"""The scale sheet on a page of its own, as large as home printers can reach."""

from templategen.geometry.shapes import Box, Transform
from templategen.parts.scale_sheet import scale_part
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Pack, Page, PageFrame, Placement
from templategen.trade.paper import Paper
from templategen.units import MM_PER_INCH, Units

SIDE, END = 15.0, 20.0  # mm from the sides and the ends: what home printers can reach


def bar_steps(paper: Paper, units: Units) -> tuple[int, int]:
    """How many steps (10 mm or 1 in) the bars across and down have on a paper.

    >>> from templategen.trade.paper import paper_named
    >>> bar_steps(paper_named("a4"), Units.MM)
    (18, 25)
    """
    step = MM_PER_INCH if units.first is Units.IN else 10.0
    return int((paper.width - 2 * SIDE) / step), int((paper.height - 2 * END) / step)


def scale_pack(frame: PageFrame, style: PrintStyle) -> Pack:
    """The scale sheet as a pack of one page.

    Args:
        frame: upright; a profile in it prints the sheet corrected, to see whether the correction
            is right.
        style: units of the bars (tens of millimetres, or whole inches), and the language.
    """
    paper, profile = frame.paper, frame.profile
    step = MM_PER_INCH if style.units.first is Units.IN else 10.0
    across, down = bar_steps(paper, style.units)
    heading = style.say(
        "Paper {paper}. Print at 100 % or actual size, never fitted to the page.", paper=paper.name
    )
    note = ""
    if profile:
        note = style.say(
            "Corrected for {printer}: all four lengths should be true now.", printer=profile.name
        )
    left, bottom = (paper.width - across * step) / 2, (paper.height - down * step) / 2
    place = Placement(
        part=scale_part((across, down), style, heading=heading, note=note),
        transform=Transform.move(left, bottom),
        clip=Box(0.0, 0.0, paper.width, paper.height),
    )
    title = style.say("Scale sheet")
    page = Page(
        number=1,
        label=title,
        paper=paper,
        title=title,
        placements=(place,),
        correction=frame.correction,
    )
    return Pack(pages=(page,), job_title=title, frame=frame, style=style)
