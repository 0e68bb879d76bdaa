"""The command ``chart``: how many bowls a shop's cutters give, over a range of blanks."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.charts import (
    chart_rows,
    chart_to_json,
    empty_reasons,
    letters_of,
    make_chart,
    open_wishes,
    wishes,
    write_chart,
)
from templategen.cli import options
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import Screen, screen_of, show_columns, show_json
from templategen.messages import Joined, tr_noop
from templategen.nest.chart import Chart
from templategen.parts.style import PrintStyle
from templategen.trade.records import Shop
from templategen.units import printed_units

DiametersOpt = Annotated[
    str | None, typer.Option(help=tr_noop("From, to and step of the blanks, as 200-500/25."))
]
HeightsOpt = Annotated[str | None, typer.Option(help=tr_noop("As for the diameters: 80-200/20."))]
JsonOpt = Annotated[bool, typer.Option("--json", help=tr_noop("Print the chart as JSON."))]
PdfOpt = Annotated[Path | None, typer.Option(help=tr_noop("Write the chart as a PDF."))]


def chart(
    ctx: typer.Context,
    shop: options.ShopArg = None,
    *,
    job: options.WishesOpt = None,
    diameters: DiametersOpt = None,
    heights: HeightsOpt = None,
    as_json: JsonOpt = False,
    pdf: PdfOpt = None,
    paper: options.PaperOpt = None,
    units: options.UnitsOpt = None,
) -> None:
    """Charts how many bowls blanks of many sizes give, and by which cutters."""
    screen = screen_of(ctx)
    opened = open_wishes(shop, job=job, language=screen.language)
    screen.wording = opened.wording
    style = PrintStyle(units=printed_units(units, opened.job.units), wording=opened.wording)
    with ProgressBar(screen.say("Blanks")) as progress:
        made = make_chart(opened, diameters=diameters, heights=heights, progress=progress)
    if pdf is not None:
        write_chart(made, pdf, paper=paper, style=style)
    if as_json:
        show_json(chart_to_json(made))
        return
    _show(made, style, screen)
    if pdf is not None:
        screen.tell("{file} written", file=pdf)


def _show(made: Chart, style: PrintStyle, screen: Screen) -> None:
    screen.show(f"{made.shop.name}: {wishes(made, style=style)}")
    screen.tell("bowls and cutters from the rim inward; blanks by diameter (down) and height")
    show_letters(made.shop, screen)
    screen.show()
    show_columns(chart_rows(made, style))
    screen.show()
    screen.tell("– no core; empty: the shop cannot turn or hold such a blank")
    reasons = empty_reasons(made)
    if reasons:
        screen.tell("empty because: {reasons}", reasons=Joined(reasons))
    screen.tell("Plan each blank before you cut; the makers' limits and sound wood come first.")


def show_letters(shop: Shop, screen: Screen) -> None:
    """Prints which letter stands for which cutter."""
    screen.show("  ".join(f"{letter} = {name}" for name, letter in letters_of(shop).items()))
