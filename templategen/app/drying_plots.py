"""Draws the weighings of a piece; a module of its own, for its library is slow to load."""

from templategen.app.drying import GRAMS, DryingPiece
from templategen.messages import Wording
from templategen.output.drying_plot import DryingRecord, drying_plot
from templategen.output.files import clear_leftovers, write_atomically


def write_plot(piece: DryingPiece, wording: Wording) -> None:
    """Draws the record of a piece into its file, if it has one.

    Raises:
        OutputError: the disk.
    """
    if piece.plot is None:
        return
    record = DryingRecord(
        title=piece.name,
        dates=[w.when for w in piece.weighings],
        masses_g=[w.mass_g for w in piece.weighings],
        progress=piece.told,
        target=piece.target,
        unit=piece.unit,
        grams=GRAMS[piece.unit],
    )
    data = drying_plot(record, kind=piece.plot.suffix.lower(), wording=wording)
    clear_leftovers(piece.plot.parent)
    write_atomically(piece.plot, data)
