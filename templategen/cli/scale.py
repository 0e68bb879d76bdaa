"""The command ``scale``: the sheet by which a printer is measured."""

import typer

from templategen.app.scale_sheets import write_scale_sheet
from templategen.cli import options
from templategen.cli.screen import screen_of
from templategen.messages import ENGLISH, Wording


def scale(
    ctx: typer.Context,
    *,
    paper: options.PaperOpt = None,
    units: options.FileUnitsOpt = None,
    out: options.OutOpt = options.PACK_FOLDER,
    printer: options.PrinterOpt = None,
) -> None:
    """Prints the scale sheet, to measure a printer by."""
    screen = screen_of(ctx)
    language = screen.language
    bars = options.file_units(units)
    file = write_scale_sheet(out, paper=paper, units=bars, printer=printer, language=language)
    screen.wording = Wording(language or ENGLISH)  # as the sheet that the person now holds
    screen.tell(
        "{file}: print it at 100 %. Then measure it with a rule: templategen printer add; or with "
        "a scanner: templategen scan",
        file=file,
    )
