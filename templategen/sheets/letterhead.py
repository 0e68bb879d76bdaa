"""A club's name and picture at the head of the first cover page."""

import enum
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point
from templategen.parts.drawing import Drawing, Item, Role, Text, line
from templategen.parts.lettering import text_width, wrap

MOST_LOGO = 2_000_000  # bytes of a picture's file
HEIGHT = 18.0  # mm: room for the picture
BARE = 9.0  # mm: room for the name alone
WIDEST = 60.0  # mm: of the picture
SIZES = (5.0, 4.2, 3.5)  # mm, of the name: the first that fits
SHORT = 100.0  # mm: a shorter name stands on one line on any paper


class PictureKind(enum.StrEnum):
    """How a picture is written."""

    PNG = "png"
    SVG = "svg"


@dataclass(frozen=True, slots=True, kw_only=True)
class Logo:
    """A checked picture: its file, and its sides in any unit, for its shape."""

    data: bytes
    kind: PictureKind
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """Who hands the pack out: a name, which may be empty, and a picture or None."""

    name: str
    logo: Logo | None = None

    @property
    def height(self) -> float:
        """Room it takes at the head of the cover, mm."""
        long = text_width(self.name, size=SIZES[0], bold=True) > SHORT
        if self.logo is not None or long:
            return HEIGHT + 4.0
        return BARE + 2.0 if self.name else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture on a page, filling a box of its own shape, page mm."""

    logo: Logo
    box: Box


def letterhead_drawing(letterhead: Letterhead, area: Box) -> tuple[Drawing, Picture | None]:
    """The name with a line below it, and the picture, at the head of a page.

    Args:
        letterhead: with a name or a picture.
        area: of the page that parts and letterhead may use, page mm.
    """
    low = area.top - letterhead.height + 3.0
    items: list[Item] = [line(area.left, low, area.right, low, role=Role.NOTE)]
    room, picture = area.width, None
    if letterhead.logo is not None:
        logo = letterhead.logo
        scale = min(HEIGHT / logo.height, WIDEST / logo.width)
        wide, tall = logo.width * scale, logo.height * scale
        bottom = area.top - (HEIGHT + tall) / 2
        picture = Picture(logo=logo, box=Box(area.right - wide, bottom, area.right, bottom + tall))
        room -= wide + 4.0
    items += _name(letterhead.name, Box(area.left, low, area.left + room, area.top))
    return Drawing(items=tuple(items)), picture


def _name(name: str, box: Box) -> list[Item]:
    """The name in as few lines as its size allows, in the middle of the box's height."""
    rows, size = [name], SIZES[0]
    for size in SIZES:
        rows = wrap(name, width=box.width, size=size, bold=True)
        if len(rows) * size * 1.3 <= box.height - 1.0:
            break
    middle = (box.bottom + box.top) / 2 - 0.36 * size
    first = middle + (len(rows) - 1) * size * 1.3 / 2
    return [
        Text(text=row, at=Point(box.left, first - n * size * 1.3), size=size, bold=True)
        for n, row in enumerate(rows)
    ]
