"""Draws the weighings of a bowl; a module of its own, for its library is slow to load."""

from templategen.app.drying import PLOTS, DryingBowl
from templategen.messages import Wording
from templategen.output.drying_plot import DryingRecord, drying_plot
from templategen.output.files import clear_leftovers, require_ending, write_atomically
from templategen.trade.quantities import GRAMS


def write_plot(bowl: DryingBowl, wording: Wording) -> None:
    """Draws the record of a bowl into its file, if it has one.

    Raises:
        InputError: a file of that name is no drawing.
        OutputError: the disk.
    """
    if bowl.plot is None:
        return
    require_ending(bowl.plot, *PLOTS)
    data = drying_plot(_record(bowl), kind=bowl.plot.suffix.lower(), wording=wording)
    clear_leftovers(bowl.plot.parent)
    write_atomically(bowl.plot, data)


def plot_svg(bowl: DryingBowl, wording: Wording) -> str:
    """The record of a bowl as SVG."""
    return drying_plot(_record(bowl), kind=".svg", wording=wording).decode("utf-8")


def _record(bowl: DryingBowl) -> DryingRecord:
    return DryingRecord(
        title=bowl.name,
        dates=[w.when for w in bowl.weighings],
        masses_g=[w.mass_g for w in bowl.weighings],
        progress=bowl.progress,
        target=bowl.target,
        unit=bowl.unit,
        grams=GRAMS[bowl.unit],
    )
