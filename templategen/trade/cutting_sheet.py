"""Sheets of card or ply that parts are cut from."""

from dataclasses import dataclass

from templategen.messages import tr

NARROWEST, WIDEST = 50.0, 3000.0  # mm: sides of a sheet
WIDEST_BEAM = 6.0  # mm: a beam is some tenths, a milling bit a few millimetres
LEAST_GAP, MOST_GAP = 0.5, 50.0  # mm
MACHINE_CAUTION = tr("Laser, router or saw: its maker's instructions and the local rules go first.")
USUAL_GAP, USUAL_GAP_IN = 3.0, 3.175  # mm, and 1/8 in; common practice, no source


@dataclass(frozen=True, slots=True)
class HeldPieces:
    """Pieces of one part on a sheet: its title and how many."""

    title: str
    copies: int

    @property
    def text(self) -> str:
        """The title, with the number of copies before it where there are several."""
        return f"{self.copies} × {self.title}" if self.copies > 1 else self.title


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingSheet:
    """A sheet to cut from.

    Args:
        width: mm.
        height: mm.
        gap: least material between two cuts, and between a cut and the sheet's edge, mm.
    """

    width: float
    height: float
    gap: float
