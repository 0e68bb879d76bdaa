"""The command ``log``: which blanks a log gives, and how many bowls each of them gives."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.logs import (
    HOW,
    WAYS,
    LogChart,
    LogWishes,
    log_chart_to_json,
    log_tables,
    log_title,
    make_log_chart,
    open_log,
    write_log_chart,
)
from templategen.cli import options
from templategen.cli.chart import show_letters
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import Screen, screen_of, show_columns, show_json
from templategen.messages import tr, tr_noop
from templategen.parts.style import PrintStyle
from templategen.units import printed_units

SizeArg = Annotated[
    str | None,
    typer.Argument(
        metavar=tr_noop("log"),
        help=tr_noop("Diameter without bark x length, as 460x900; or the log of --job."),
    ),
]
PithOpt = Annotated[
    str | None, typer.Option(help=tr_noop("From the pith to the nearer face of the blank."))
]
RimOpt = Annotated[
    str | None, typer.Option(help=tr_noop("Only rim to the pith or to the bark: pith, bark."))
]
EndTrimOpt = Annotated[
    str | None, typer.Option(help=tr_noop("What is cut off each end of the log."))
]
SawOpt = Annotated[str | None, typer.Option(help=tr_noop("Width of a saw cut."))]
JsonOpt = Annotated[bool, typer.Option("--json", help=tr_noop("Print the blanks as JSON."))]
PdfOpt = Annotated[Path | None, typer.Option(help=tr_noop("Write the tables as a PDF."))]


def log(
    ctx: typer.Context,
    size: SizeArg = None,
    *,
    shop: options.ShopOpt = None,
    job: options.WishesOpt = None,
    pith: PithOpt = None,
    rim: RimOpt = None,
    end_trim: EndTrimOpt = None,
    saw: SawOpt = None,
    wood: options.WoodOpt = None,
    as_json: JsonOpt = False,
    pdf: PdfOpt = None,
    paper: options.PaperOpt = None,
    units: options.UnitsOpt = None,
) -> None:
    """Shows which blanks a log gives and how many bowls each of them gives."""
    screen = screen_of(ctx)
    wishes = LogWishes(
        size=size,
        pith=pith,
        end_trim=end_trim,
        saw=saw,
        rim=rim,
        wood=wood,
        shop=shop,
        job=job,
        language=screen.language,
    )
    opened = open_log(wishes)
    screen.wording = opened.wording
    style = PrintStyle(units=printed_units(units, opened.job.units), wording=opened.wording)
    with ProgressBar(screen.say("Blanks")) as progress:
        made = make_log_chart(opened, rim=rim, progress=progress)
    if pdf is not None:
        write_log_chart(made, pdf, paper=paper, style=style)
    if as_json:
        show_json(log_chart_to_json(made, opened.wording))
        return
    _show(made, style, screen)
    if pdf is not None:
        screen.tell("{file} written", file=pdf)


def _show(made: LogChart, style: PrintStyle, screen: Screen) -> None:
    screen.show(log_title(made, style=style))
    show_letters(made.shop, screen)
    for rim, rows in log_tables(made, style=style).items():
        screen.show()
        screen.tell(WAYS[rim])
        show_columns(rows)
    screen.show()
    screen.show_wrapped(tr(HOW))
    screen.tell("Estimates of geometry only: the makers' limits and sound wood come first.")
