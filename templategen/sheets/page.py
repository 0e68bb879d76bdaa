"""Pages ready for a writer: every position settled. Millimetres from the page's lower left."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from templategen.geometry.shapes import Box, Point, Transform
from templategen.parts.drawing import Drawing, Part
from templategen.sheets.paper import Paper

if TYPE_CHECKING:
    from templategen.sheets.letterhead import Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A part on a page: its part-to-page map and the window it shows through, page mm."""

    part: Part
    transform: Transform
    clip: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class Registration:
    """A registration mark at a point of a part, mm in the part's own frame."""

    part_key: str
    label: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One printed page. `furniture` is drawn in page millimetres over the placements."""

    number: int
    label: str
    paper: Paper
    title: str
    placements: tuple[Placement, ...]
    marks: tuple[Registration, ...]
    furniture: Drawing
    picture: "Picture | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """All pages of one job, in order."""

    pages: tuple[Page, ...]
    job_title: str
