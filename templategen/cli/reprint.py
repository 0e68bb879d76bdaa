"""The command ``reprint``: a pack anew, from its own recipe."""

import typer

from templategen.app import reprinting
from templategen.cli import options
from templategen.cli.printer import shown_printer
from templategen.cli.screen import screen_of
from templategen.cli.written import measure_first, show_pdf
from templategen.messages import Wording


def reprint(
    ctx: typer.Context,
    pack: options.PackArg,
    *,
    paper: options.PaperOpt = None,
    printer: options.PrinterOpt = None,
    out: options.OutOpt = options.PACK_FOLDER,
) -> None:
    """Prints a pack anew from the recipe inside it, on other paper or for another printer."""
    screen = screen_of(ctx)
    language = screen.language
    pdf, made = reprinting.reprint(pack, out, paper=paper, printer=printer, language=language)
    screen.wording = Wording(made.language)
    show_pdf(screen, pdf, (made.sheets, made.paper, made.parts))
    if made.profile is not None:
        screen.tell("Corrected for {printer}", printer=shown_printer(made.profile))
    measure_first(screen)
