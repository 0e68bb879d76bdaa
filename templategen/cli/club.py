"""The command ``club``: packs for many blanks and papers in one run."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.clubs import ClubRun, ClubWishes, open_club, run_club
from templategen.cli import options
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import Screen, screen_of
from templategen.cli.written import measure_first
from templategen.messages import tr, tr_noop
from templategen.units import Units, printed_units

FOLDER = Path("templategen-club")


def club(
    ctx: typer.Context,
    list_file: Annotated[
        Path, typer.Argument(metavar=tr_noop("LIST"), help=tr_noop("List of blanks, TOML or CSV."))
    ],
    *,
    out: Annotated[Path, typer.Option(help=tr_noop("Folder for the packs."))] = FOLDER,
    name: Annotated[
        str | None, typer.Option(help=tr_noop("Name of the club, for the covers."))
    ] = None,
    logo: Annotated[
        Path | None, typer.Option(help=tr_noop("Picture for the covers, PNG or SVG."))
    ] = None,
    shop: Annotated[
        Path | None, typer.Option(help=tr_noop("Shop file for entries that name none."))
    ] = None,
    paper: Annotated[
        list[str] | None,
        typer.Option(help=tr_noop("Paper for entries that name none; may repeat.")),
    ] = None,
    part: options.PartOpt = None,
    units: options.UnitsOpt = None,
    printer: options.PrinterOpt = None,
    jobs: Annotated[
        int | None,
        typer.Option(help=tr_noop("Processes at a time; default as many as cores, up to 4.")),
    ] = None,
) -> None:
    """Prints packs for many blanks and papers, with an index page and a zip of them all."""
    screen = screen_of(ctx)
    wishes = ClubWishes(
        name=name,
        logo=logo,
        shop=shop,
        papers=tuple(paper or ()),
        kinds=tuple(part or ()),
        units=None if units is None else printed_units(units, Units.MM),
        printer=printer,
        processes=jobs,
        language=screen.language,
    )
    opened = open_club(list_file, wishes)
    screen.wording = opened.print.wording
    count = opened.listed.count
    with ProgressBar(screen.say("Packs")) as bar:

        def report(done: int, faults: tuple[str, ...]) -> None:
            for fault in faults:
                bar.note(screen.say("skipped: {fault}", fault=fault))
            bar(done, count)

        done = run_club(opened, out, report)
    if done.archive is not None:
        _show(done, out, screen)
    if done.skipped:
        screen.show(
            tr("{bad} of {count} entries skipped, each named above.",
               bad=done.skipped, count=count),
            err=True,
        )  # fmt: skip
        raise typer.Exit(1)


def _show(done: ClubRun, out: Path, screen: Screen) -> None:
    count = done.made + done.kept
    if done.kept:
        screen.tell(
            "{file}: {count} packs, {kept} kept from an earlier run",
            file=done.archive,
            count=count,
            kept=done.kept,
        )
    else:
        screen.tell("{file}: {count} packs", file=done.archive, count=count)
    screen.tell("{file}: pictures of all nests", file=done.index)
    if done.others:
        screen.tell(
            "note: {folder} also holds {count} packs of another run; not in the zip",
            folder=out,
            count=done.others,
        )
    measure_first(screen)
