"""The command ``shop``: the job-free set of a shop."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.cli import cutting as cutting_files
from templategen.cli import printing, speech
from templategen.cli.usage import Command
from templategen.errors import InputError
from templategen.messages import say, wording_in_use

ShopArg = Annotated[
    Path | None,
    typer.Argument(metavar=say("shop"), help=say("Shop file; leave out for the built-in demo.")),
]


def register(app: typer.Typer) -> None:
    """Adds the command to the program."""
    said = say(
        "Prints the templates that a shop needs once: cutters, jaws, heights, whatever the blank."
    )
    app.command("shop", cls=Command, help=said)(shop_set)


def shop_set(
    shop: ShopArg = None,
    *,
    out: Annotated[Path, typer.Option(help=say("Folder for the set."))] = printing.FOLDER,
    paper: printing.PaperOpt = None,
    part: printing.PartOpt = None,
    units: printing.UnitsOpt = None,
    formats: cutting_files.FormatOpt = "pdf",
    beam: cutting_files.BeamOpt = None,
    outlines: cutting_files.OutlinesOpt = False,
    date: printing.DateOpt = "",
    printer: printing.PrinterOpt = None,
) -> None:
    """Prints the templates that a shop needs once: cutters, jaws, heights, whatever the blank."""
    from templategen.cli.cutting import cutting_from, write_cutting_files
    from templategen.inputs.shop_file import read_shop
    from templategen.inputs.starters import demo_shop
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.parts.shop_set import shop_parts, shop_plan
    from templategen.parts.style import PrintStyle
    from templategen.proof.recipe import NAME, recipe_bytes
    from templategen.sheets.cover import make_pack
    from templategen.trade.paper import paper_named
    from templategen.units import printed_units

    cutting = cutting_from(formats, beam=beam, outlines=outlines)
    profile = printing.profile_named(printer)
    owned = speech.settle_shop(read_shop(shop) if shop is not None else demo_shop())
    unit = printed_units(units, owned.units)
    made = shop_plan(owned, date=_date(date))
    sheet = paper_named(paper or made.job.print.paper)
    style = PrintStyle(units=unit, wording=wording_in_use())
    parts = shop_parts(owned, kinds=part or (), date=made.job.date, style=style)
    if not parts:
        raise printing.nothing_to_print("--part")
    name, done = f"{safe_name(owned.name, fallback='shop')}-set", list[str]()
    if "pdf" in cutting.formats:
        laid = make_pack(made, parts, paper=sheet, units=unit, profile=profile)
        attached = {NAME: recipe_bytes(made, laid)}
        data = write_pdf(laid, title=printing.shop_set_title(owned.name), attachments=attached)
        make_folder(out)
        target = out / f"{name}.pdf"
        write_atomically(target, data)
        done += printing.written(target, laid, len(parts))
    done += write_cutting_files(parts, cutting, out=out, name=name)
    for text in done:
        typer.echo(text)


def _date(text: str) -> str:
    import datetime

    try:
        return datetime.date.fromisoformat(text).isoformat() if text else ""
    except ValueError as error:
        raise InputError(
            say("{text!r} is not a date", text=text),
            where="--date",
            mend=say("write it as {example}", example="2026-05-02"),
        ) from error
