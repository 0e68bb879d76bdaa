"""The command ``shop``: the job-free set of a shop."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.cli import printing
from templategen.errors import InputError


def register(app: typer.Typer) -> None:
    """Adds the command to the program."""
    app.command("shop")(shop_set)


def shop_set(
    shop: Annotated[
        Path | None, typer.Argument(help="Shop file; leave out for the built-in demo.")
    ] = None,
    *,
    out: Annotated[Path, typer.Option(help="Folder for the set.")] = Path("templategen-pack"),
    paper: Annotated[str | None, typer.Option(help="a4, letter, a3 or a size as 210x330.")] = None,
    part: Annotated[list[str] | None, typer.Option(help="Only this kind; may repeat.")] = None,
    units: Annotated[str | None, typer.Option(help="mm, in or both.")] = None,
    formats: Annotated[
        str, typer.Option("--format", help="pdf, svg, dxf, or several with commas: pdf,svg.")
    ] = "pdf",
    beam: Annotated[
        str | None, typer.Option(help="Width of the beam or bit, as 0.2: SVG and DXF only.")
    ] = None,
    outlines: Annotated[
        bool, typer.Option("--outlines", help="Letters as outlines, SVG and DXF.")
    ] = False,
    date: Annotated[str, typer.Option(help="Date to print, as 2026-05-02.")] = "",
    printer: printing.PrinterOpt = None,
) -> None:
    """Prints the templates that a shop needs once: cutters, jaws, heights, whatever the blank."""
    from templategen.cli.cutting import cutting_from, write_cutting_files
    from templategen.inputs.shop import read_shop
    from templategen.inputs.starters import demo_shop
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.output.recipe import NAME, recipe_bytes
    from templategen.parts.shop_set import shop_parts, shop_plan
    from templategen.sheets.cover import make_pack
    from templategen.sheets.paper import paper_named
    from templategen.units import printed_units

    cutting = cutting_from(formats, beam=beam, outlines=outlines)
    profile = printing.profile_named(printer)
    owned = read_shop(shop) if shop is not None else demo_shop()
    unit = printed_units(units, owned.units)
    made = shop_plan(owned, date=_date(date))
    sheet = paper_named(paper or made.job.print.paper)
    parts = shop_parts(made, kinds=part or (), units=unit)
    if not parts:
        raise InputError("nothing to print", where="--part", mend="name another kind of part")
    name, done = f"{safe_name(owned.name, fallback='shop')}-set", list[str]()
    if "pdf" in cutting.formats:
        laid = make_pack(made, parts, paper=sheet, units=unit, profile=profile)
        attached = {NAME: recipe_bytes(made, laid)}
        data = write_pdf(laid, title=f"{owned.name}: shop set", attachments=attached)
        make_folder(out)
        target = out / f"{name}.pdf"
        write_atomically(target, data)
        done.append(f"{target}: {len(laid.pages)} sheets of {sheet.name}, {len(parts)} parts")
        done.append("Print at 100 % and measure both bars on every sheet before you cut.")
    done += write_cutting_files(parts, cutting, out=out, name=name)
    for text in done:
        typer.echo(text)


def _date(text: str) -> str:
    import datetime

    try:
        return datetime.date.fromisoformat(text).isoformat() if text else ""
    except ValueError as error:
        raise InputError(
            f"{text!r} is not a date", where="--date", mend="write it as 2026-05-02"
        ) from error
