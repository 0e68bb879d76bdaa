"""Paper by name or by size, mm."""

import re
from dataclasses import dataclass

from templategen.errors import InputError, suggestion
from templategen.messages import tr

_SIZES = {  # A-sizes: ISO 216; letter, tabloid: ANSI/ASME Y14.1; legal from memory
    "a5": (148.0, 210.0),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "a2": (420.0, 594.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A sheet, mm: as it goes through the printer, or turned a quarter."""

    name: str
    width: float
    height: float

    def turned(self) -> "Paper":
        """The sheet with its sides exchanged."""
        return Paper(name=self.name, width=self.height, height=self.width)


def paper_named(name: str) -> Paper:
    """The paper of a name, or of a size such as ``210x330`` mm.

    Raises:
        InputError: unknown name, or a side outside 140 to 1200 mm.
    """
    clean = name.strip().lower()
    if clean in _SIZES:
        width, height = _SIZES[clean]
        return Paper(name=clean, width=width, height=height)
    match = re.fullmatch(r"(\d{2,4}(?:\.\d{1,3})?)x(\d{2,4}(?:\.\d{1,3})?)", clean)
    if match:
        width, height = float(match[1]), float(match[2])
        if 140 <= width <= 1200 and 140 <= height <= 1200:
            return Paper(name=clean, width=width, height=height)
        raise InputError(
            tr("{name!r} is out of bounds", name=name),
            where="paper",
            mend=tr("give sides of 140 to 1200 mm"),
        )
    usable = tr("use a4, letter or a size such as 210x330")
    raise InputError(
        tr("unknown paper {name!r}", name=name),
        where="paper",
        mend=suggestion(clean, _SIZES, usable, cutoff=0.3),
    )
