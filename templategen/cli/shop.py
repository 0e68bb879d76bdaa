"""The command ``shop``: the templates that a shop needs once."""

import datetime
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.jobs import open_shop
from templategen.app.packs import write_shop_set
from templategen.app.print_wishes import CuttingWords, checked_wishes
from templategen.cli import options
from templategen.cli.progress import ProgressBar
from templategen.cli.screen import screen_of
from templategen.cli.written import show_written
from templategen.errors import InputError
from templategen.messages import tr, tr_noop
from templategen.units import printed_units

DateOpt = Annotated[str, typer.Option(help=tr_noop("Date to print, as 2026-05-02."))]


def shop(
    ctx: typer.Context,
    shop: options.ShopArg = None,
    *,
    out: Annotated[Path, typer.Option(help=tr_noop("Folder for the set."))] = options.PACK_FOLDER,
    paper: options.PaperOpt = None,
    part: options.PartOpt = None,
    units: options.UnitsOpt = None,
    formats: options.FormatOpt = None,
    sheet: options.SheetOpt = None,
    gap: options.GapOpt = None,
    beam: options.BeamOpt = None,
    live_text: options.LiveTextOpt = False,
    date: DateOpt = "",
    printer: options.PrinterOpt = None,
) -> None:
    """Prints the templates that a shop needs once: cutters, jaws, heights, whatever the blank."""
    screen = screen_of(ctx)
    cutting = CuttingWords(beam=beam, live_text=live_text, sheet=sheet, gap=gap)
    wishes = checked_wishes(formats, cutting=cutting, paper=paper, printer=printer)
    opened = open_shop(shop, language=screen.language)
    screen.wording = opened.wording
    wishes = replace(wishes, units=printed_units(units, opened.shop.units), kinds=tuple(part or ()))
    day = _date(date)
    with ProgressBar(screen.say("sheets")) as progress:
        written = write_shop_set(opened, wishes, out, date=day, progress=progress)
    show_written(written, screen)


def _date(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat() if text else ""
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not a date", text=text),
            where="--date",
            mend=tr("write it as {example}", example="2026-05-02"),
        ) from error
