"""Pages ready for a writer: every position settled. Millimetres from the page's lower left."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import say
from templategen.parts.drawing import Drawing, Part
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

IDENTITY = Transform()

if TYPE_CHECKING:
    from templategen.sheets.letterhead import Letterhead, Picture


def sheet_label(number: int) -> str:
    """What a page is called, at its foot and in a viewer.

    >>> sheet_label(3)
    'Sheet 3'
    """
    return say("Sheet {number}", number=number)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A part, or one tile of it, on a page.

    Args:
        part: what is drawn: for a tile, only what its window shows, and its registration marks.
        transform: part to page.
        clip: the window it shows through, page mm.
        tile: the tile's name, column letter and row number such as ``B1``; empty for a whole part.
    """

    part: Part
    transform: Transform
    clip: Box
    tile: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Registration:
    """A registration mark at a point of a part, mm in the part's own frame.

    Args:
        part_key: the part.
        tile: the tile it is drawn on here.
        label: the same on both of the tiles that carry it.
        point: part mm.
    """

    part_key: str
    tile: str
    label: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One printed page. `furniture` is drawn in page millimetres over the placements.

    `correction` is laid over everything on the page, to undo what the printer stretches.
    """

    number: int
    label: str
    paper: Paper
    title: str
    placements: tuple[Placement, ...]
    marks: tuple[Registration, ...]
    furniture: Drawing
    correction: Transform = IDENTITY
    picture: "Picture | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """All pages of one job, in order.

    Args:
        pages: at least one.
        job_title: printed on each page.
        paper: upright; single pages may lie turned.
        units: of the bars and the wording.
        profile: the printer the pages are corrected for, if any.
        letterhead: at the head of the first page, if any.
    """

    pages: tuple[Page, ...]
    job_title: str
    paper: Paper
    units: Units
    profile: PrinterProfile | None = None
    letterhead: "Letterhead | None" = None
