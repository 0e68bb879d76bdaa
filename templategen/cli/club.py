"""The command ``club``: hand-outs or packs for many benches in one run."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.clubs import ClubRun, ClubWishes, club_folder, open_club, run_club
from templategen.cli import options
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import Screen, screen_of
from templategen.cli.written import measure_first
from templategen.errors import plain
from templategen.messages import tr, tr_count, tr_noop
from templategen.units import Units, printed_units

ListFileArg = Annotated[
    Path, typer.Argument(metavar=tr_noop("LIST"), help=tr_noop("List of blanks, TOML or CSV."))
]
OutOpt = Annotated[
    Path | None,
    typer.Option(help=tr_noop("Folder for the packs; default one for each list.")),
]
FullOpt = Annotated[
    bool, typer.Option("--full", help=tr_noop("A full pack for each bench, not a hand-out."))
]
NameOpt = Annotated[str | None, typer.Option(help=tr_noop("Name of the club, for the covers."))]
LogoOpt = Annotated[Path | None, typer.Option(help=tr_noop("Picture for the covers, PNG or SVG."))]
ShopOpt = Annotated[
    Path | None, typer.Option(help=tr_noop("Shop file for entries that name none."))
]
PaperOpt = Annotated[
    list[str] | None,
    typer.Option(help=tr_noop("Paper for entries that name none; may repeat.")),
]
JobsOpt = Annotated[
    int | None,
    typer.Option(help=tr_noop("Processes at a time; default as many as cores, up to 4.")),
]


def club(
    ctx: typer.Context,
    list_file: ListFileArg,
    *,
    out: OutOpt = None,
    full: FullOpt = False,
    name: NameOpt = None,
    logo: LogoOpt = None,
    shop: ShopOpt = None,
    paper: PaperOpt = None,
    part: options.PartOpt = None,
    units: options.UnitsOpt = None,
    printer: options.PrinterOpt = None,
    jobs: JobsOpt = None,
) -> None:
    """Prints a hand-out for each bench of a list, each shop's set once, an index page and a zip."""
    screen = screen_of(ctx)
    wishes = ClubWishes(
        name=name,
        logo=logo,
        shop=shop,
        papers=tuple(paper or ()),
        kinds=tuple(part or ()),
        full=full,
        units=None if units is None else printed_units(units, Units.MM),
        printer=printer,
        processes=jobs,
        language=screen.language,
    )
    opened = open_club(list_file, wishes)
    screen.wording = opened.print.wording
    for note in opened.notes:
        screen.show(tr("note: {note}", note=note), err=True)
    folder = out or club_folder(list_file)
    count = opened.listed.count
    try:
        with ProgressBar(screen.say("Benches")) as bar:

            def report(done: int, faults: tuple[str, ...], notes: tuple[str, ...]) -> None:
                for fault in faults:
                    bar.note(screen.say("skipped: {fault}", fault=fault))
                for note in notes:
                    bar.note(screen.say("note: {note}", note=note))
                bar(done, count)

            done = run_club(opened, folder, report)
    except KeyboardInterrupt:
        screen.show(tr("Stopped. The same command goes on from here."), err=True)
        raise
    if done.archive is not None:
        _show(done, folder, screen)
    if done.skipped:
        screen.show(
            tr("{bad} of {count} entries skipped, each named above.",
               bad=done.skipped, count=count),
            err=True,
        )  # fmt: skip
        raise typer.Exit(1)


def _show(done: ClubRun, folder: Path, screen: Screen) -> None:
    """Prints what there is now, how much paper it takes, and what was set aside."""
    count, archive = done.made + done.kept, plain(str(done.archive))
    if done.kept:
        screen.show(
            tr_count(
                "{file}: {count} PDF, kept from an earlier run: {kept}",
                "{file}: {count} PDFs, kept from an earlier run: {kept}",
                count,
                file=archive,
                kept=done.kept,
            )
        )
    else:
        screen.show(tr_count("{file}: {count} PDF", "{file}: {count} PDFs", count, file=archive))
    screen.tell("{file}: pictures of all nests", file=done.index)
    for paper, sheets in done.sheets.items():
        screen.tell("To print: {sheets} sheets of {paper}", sheets=sheets, paper=paper)
    if done.moved:
        screen.show(
            tr_count(
                "note: {count} PDF that is no longer in the list is in {folder}",
                "note: {count} PDFs that are no longer in the list are in {folder}",
                done.moved,
                folder=plain(str(folder / "old")),
            )
        )
    measure_first(screen)
