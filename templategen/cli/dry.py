"""The command ``dry``: how far a rough-out has dried, from its weighings."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.drying import DryingBowl, DryingWishes, OpenedWeighings, open_weighings
from templategen.app.drying_words import drying_lines, weighings_line
from templategen.cli.screen import Screen, screen_of
from templategen.errors import InputError
from templategen.messages import Joined, tr, tr_noop

RecordArg = Annotated[
    Path,
    typer.Argument(
        metavar=tr_noop("record"), help=tr_noop("CSV file with the columns date and mass.")
    ),
]
BowlOpt = Annotated[str | None, typer.Option(help=tr_noop("Only this bowl, by its tag."))]
JobOpt = Annotated[Path | None, typer.Option(help=tr_noop("Job file the tag comes from."))]
ShopOpt = Annotated[Path | None, typer.Option(help=tr_noop("Shop file, if the job names none."))]
WoodOpt = Annotated[str | None, typer.Option(help=tr_noop("Wood, where there is no job file."))]
TargetOpt = Annotated[
    float | None, typer.Option(help=tr_noop("Wished moisture, %; the job's, or 10."))
]
TemperatureOpt = Annotated[float, typer.Option(help=tr_noop("Of the drying room, °C."))]
HumidityOpt = Annotated[float, typer.Option(help=tr_noop("Of the drying room, %."))]
DryMassOpt = Annotated[str | None, typer.Option(help=tr_noop('Ovendry mass if known, "1.9 kg".'))]
PlotOpt = Annotated[
    Path | None, typer.Option(help=tr_noop("Plot as .svg or .png; else beside it."))
]
NoPlotOpt = Annotated[bool, typer.Option("--no-plot", help=tr_noop("Draw no plot."))]


def dry(
    ctx: typer.Context,
    record: RecordArg,
    *,
    bowl: BowlOpt = None,
    job: JobOpt = None,
    shop: ShopOpt = None,
    wood: WoodOpt = None,
    target: TargetOpt = None,
    temperature: TemperatureOpt = 20.0,
    humidity: HumidityOpt = 50.0,
    dry_mass: DryMassOpt = None,
    plot: PlotOpt = None,
    no_plot: NoPlotOpt = False,
) -> None:
    """Tells from a weighing record how dry a rough-out is, and draws it."""
    screen = screen_of(ctx)
    wishes = DryingWishes(
        bowl=bowl,
        job=job,
        shop=shop,
        wood=wood,
        target=target,
        temperature=temperature,
        humidity=humidity,
        dry_mass=dry_mass,
        plot=plot,
        draw=not no_plot,
        language=screen.language,
    )
    opened = open_weighings(record, wishes)
    screen.wording = opened.wording
    _show_faults(opened, record.name, screen)
    screen.tell(
        "Room {temperature:g} °C, {humidity:g} % humidity: wood settles at about {rest:.1f} %",
        temperature=temperature,
        humidity=humidity,
        rest=opened.rest_moisture,
    )
    for found in opened.bowls:
        _show(found, screen)
        if found.plot is not None:
            # Loaded here because the library for plots takes longest of all to load.
            from templategen.app.drying_plots import write_plot  # noqa: PLC0415

            write_plot(found, opened.wording)
            screen.show(Joined(("  ", tr("plot: {file}", file=found.plot)), ""))
    screen.tell("Estimates, never ratings: weigh until the mass holds still.")
    if opened.faults:
        raise typer.Exit(2)


def _show_faults(opened: OpenedWeighings, record: str, screen: Screen) -> None:
    """Names the rows that were left out.

    Raises:
        InputError: no row is left.
    """
    for fault in opened.faults:
        for text in fault.lines(screen.wording):
            screen.show(tr("{fault} (row left out)", fault=text), err=True)
    if not opened.bowls:
        raise InputError(
            tr("has no row that can be read"), where=record, mend=tr("mend those rows")
        )


def _show(bowl: DryingBowl, screen: Screen) -> None:
    screen.show()
    screen.show(Joined((bowl.name, weighings_line(bowl)), ": "))
    for line in drying_lines(bowl):
        screen.show(Joined(("  ", line), ""))
