"""Pages ready for a writer: every position settled. Millimetres from the page's lower left."""

import dataclasses
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import Message, tr
from templategen.parts.drawing import Drawing, Part
from templategen.parts.style import PrintStyle
from templategen.sheets.letterhead import Letterhead, Picture
from templategen.trade.paper import Paper
from templategen.trade.part_kinds import KindUse
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

IDENTITY = Transform()
NOTHING = Drawing(items=())
MARGIN = 10.0  # mm of a page left free, unless a printer needs more


def sheet_label(number: int) -> Message:
    """What a page is called, at its foot and in a viewer.

    >>> str(sheet_label(3))
    'Sheet 3'
    """
    return tr("Sheet {number}", number=number)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFrame:
    """The paper of a page and its free margin.

    Args:
        paper: as it lies.
        margin: mm left free on each side, at least 5; raised to what the printer needs.
        profile: the printer the page is corrected for, or None.
    """

    paper: Paper
    margin: float = MARGIN
    profile: PrinterProfile | None = None

    def __post_init__(self) -> None:
        if self.profile is not None:
            object.__setattr__(self, "margin", self.profile.margin(self.paper, self.margin))

    @property
    def correction(self) -> Transform:
        """The map that undoes what the printer stretches."""
        return self.profile.correction(self.paper) if self.profile else Transform()

    def turned(self) -> "PageFrame":
        """The same paper turned by a quarter."""
        return dataclasses.replace(self, paper=self.paper.turned())


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """What the foot of every page says of the job: its title, and its date or ''."""

    job_title: str
    date: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A part, or one tile of it, on a page.

    Args:
        part: what is drawn: for a tile, only what its window shows, and its registration marks.
        transform: part to page.
        clip: the window it shows through, page mm.
        tile: the tile's name, column letter and row number such as ``B1``; empty for a whole part.
        waste: hatching beside the cut lines, in the part's frame; drawn below the part, its dashes
            as ticks.
    """

    part: Part
    transform: Transform
    clip: Box
    tile: str = ""
    waste: Drawing = NOTHING


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
    """One printed page.

    Args:
        number: from 1.
        label: what the foot and a viewer call it.
        paper: as it lies.
        title: names of the parts on it.
        placements: the parts, and the sketches of their use.
        marks: of the tiles on it.
        furniture: drawn over the placements, page mm.
        correction: laid over everything on the page, to undo what the printer stretches.
        picture: at its head, if any.
        underlay: drawn below the placements, page mm: the tint of the laps.
        use: the step of the work and the material of all parts on it; None for no step.
    """

    number: int
    label: str
    paper: Paper
    title: str
    placements: tuple[Placement, ...]
    marks: tuple[Registration, ...] = ()
    furniture: Drawing = NOTHING
    correction: Transform = IDENTITY
    picture: Picture | None = None
    underlay: Drawing = NOTHING
    use: KindUse | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """All pages of one job, in order.

    Args:
        pages: at least one.
        job_title: printed on each page.
        frame: upright; single pages may lie turned.
        style: units of the bars, and the language of the wording.
        letterhead: at the head of the first page, if any.
        date: ISO 8601, of the job; empty where it states none.
    """

    pages: tuple[Page, ...]
    job_title: str
    frame: PageFrame
    style: PrintStyle
    letterhead: Letterhead | None = None
    date: str = ""

    @property
    def paper(self) -> Paper:
        """Of the upright pages."""
        return self.frame.paper

    @property
    def units(self) -> Units:
        """Of the bars and the wording."""
        return self.style.units

    @property
    def profile(self) -> PrinterProfile | None:
        """The printer the pages are corrected for, if any."""
        return self.frame.profile
