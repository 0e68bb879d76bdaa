"""The scale sheet on a page of its own, as large as home printers can reach."""

from templategen.geometry.shapes import Box, Transform
from templategen.messages import say
from templategen.parts.drawing import Drawing
from templategen.parts.scale_sheet import scale_part
from templategen.sheets.page import IDENTITY, Pack, Page, Placement
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.units import MM_PER_INCH, Units

SIDE, END = 15.0, 20.0  # mm from the sides and the ends: what home printers can reach


def bar_steps(paper: Paper, units: Units) -> tuple[int, int]:
    """How many steps (10 mm or 1 in) the bars across and down have on a paper.

    >>> from templategen.trade.paper import paper_named
    >>> bar_steps(paper_named("a4"), Units.MM)
    (18, 25)
    """
    step = MM_PER_INCH if units is Units.IN else 10.0
    return int((paper.width - 2 * SIDE) / step), int((paper.height - 2 * END) / step)


def scale_pack(paper: Paper, units: Units, *, profile: PrinterProfile | None = None) -> Pack:
    """The scale sheet as a pack of one page.

    Args:
        paper: upright.
        units: of the bars: tens of millimetres, or whole inches.
        profile: print it corrected for this printer, to see whether the correction is right.
    """
    step = MM_PER_INCH if units is Units.IN else 10.0
    across, down = bar_steps(paper, units)
    part = scale_part(
        (across, down),
        units,
        heading=say(
            "Paper {paper}. Print at 100 % or actual size, never fitted to the page.",
            paper=paper.name,
        ),
        note=say(
            "Corrected for {printer}: all four lengths should be true now.", printer=profile.name
        )
        if profile
        else "",
    )
    left, bottom = (paper.width - across * step) / 2, (paper.height - down * step) / 2
    place = Placement(
        part=part,
        transform=Transform.move(left, bottom),
        clip=Box(0.0, 0.0, paper.width, paper.height),
    )
    title = say("Scale sheet")
    page = Page(
        number=1,
        label=title,
        paper=paper,
        title=title,
        placements=(place,),
        marks=(),
        furniture=Drawing(items=()),
        correction=profile.correction(paper) if profile else IDENTITY,
    )
    return Pack(pages=(page,), job_title=title, paper=paper, units=units, profile=profile)
