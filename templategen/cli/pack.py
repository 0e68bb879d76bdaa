"""The command ``pack``: a plan's templates full size."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.packs import StoppedPlanError, write_pack
from templategen.app.plans import make_plan
from templategen.app.print_wishes import CuttingWords, checked_wishes, wished_kinds
from templategen.cli import options
from templategen.cli.findings import show_finding, show_findings
from templategen.cli.opening import opened_job
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import screen_of
from templategen.cli.written import show_written
from templategen.messages import tr, tr_noop
from templategen.units import printed_units


def pack(
    ctx: typer.Context,
    job: options.JobArg = None,
    *,
    out: Annotated[Path, typer.Option(help=tr_noop("Folder for the pack."))] = options.PACK_FOLDER,
    paper: options.PaperOpt = None,
    part: options.PartOpt = None,
    group: options.GroupOpt = None,
    units: options.UnitsOpt = None,
    formats: options.FormatOpt = None,
    sheet: options.SheetOpt = None,
    gap: options.GapOpt = None,
    beam: options.BeamOpt = None,
    live_text: options.LiveTextOpt = False,
    printer: options.PrinterOpt = None,
    blank: options.BlankOpt = None,
    wood: options.WoodOpt = None,
    shop: options.ShopOpt = None,
) -> None:
    """Prints the templates full size into one PDF, or into cutting files, one a part."""
    screen = screen_of(ctx)
    cutting = CuttingWords(beam=beam, live_text=live_text, sheet=sheet, gap=gap)
    wishes = checked_wishes(formats, cutting=cutting, paper=paper, printer=printer)
    opened = opened_job(screen, job=job, blank=blank, wood=wood, shop=shop)
    made = make_plan(opened)
    wishes = replace(
        wishes, units=printed_units(units, opened.job.units), kinds=wished_kinds(part, group)
    )
    try:
        with ProgressBar(screen.say("sheets")) as progress:
            written = write_pack(opened, made, wishes, out, progress=progress)
    except StoppedPlanError:
        show_findings(made, screen, err=True)
        screen.show(tr("No pack written: the plan has a stop."), err=True)
        raise typer.Exit(1) from None
    show_findings(made, screen)
    if written.missing:
        show_finding(screen, (tr_noop("caution"), tr_noop("print"), written.missing_note))
    show_written(written, screen)
