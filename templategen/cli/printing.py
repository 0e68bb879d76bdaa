"""The commands that make prints come out true: scale, printer, verify and reprint."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templategen.errors import InputError

if TYPE_CHECKING:
    from templategen.output.verify import Report
    from templategen.sheets.profile import PrinterProfile

PackArg = Annotated[Path, typer.Argument(help="A PDF that templategen printed.")]
PaperOpt = Annotated[str | None, typer.Option(help="a4, letter, a3 or a size as 210x330.")]
OutOpt = Annotated[Path, typer.Option(help="Folder for the PDF.")]
PrinterOpt = Annotated[
    str | None, typer.Option("--printer", help="Correct for this measured printer.")
]
UnitsOpt = Annotated[str | None, typer.Option(help="mm or in.")]
FITTED = 0.02  # a printer itself is seldom out by more: common practice, no source
FOLDER = Path("templategen-pack")

printers = typer.Typer(help="Keeps what you measured on your printers.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Adds the commands to the program."""
    app.command("scale")(scale)
    app.command("verify")(verify_pack)
    app.command("reprint")(reprint)
    app.add_typer(printers, name="printer")


def profile_named(name: str | None) -> "PrinterProfile | None":
    """The measured printer of a name; None for no name.

    Raises:
        InputError: there is no such printer.
    """
    if name is None:
        return None
    from templategen.output.printers import printer_named, printers_path

    return printer_named(printers_path(), name)


def scale(
    *,
    paper: PaperOpt = None,
    units: UnitsOpt = None,
    out: OutOpt = FOLDER,
    printer: PrinterOpt = None,
) -> None:
    """Prints the scale sheet, to measure a printer by."""
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.sheets.paper import paper_named
    from templategen.sheets.scale_page import scale_pack
    from templategen.units import Units

    if units is not None and units not in ("mm", "in"):
        raise InputError(f"{units!r} is no unit", where="--units", mend="use mm or in")
    inches = units == "in" or (units is None and paper in ("letter", "legal", "tabloid"))
    unit = Units.IN if inches else Units.MM
    sheet = paper_named(paper or ("letter" if inches else "a4"))
    profile = profile_named(printer)
    data = write_pdf(scale_pack(sheet, unit, profile=profile), title="Scale sheet", attachments={})
    make_folder(out)
    name = f"scale-{sheet.name}-{profile.name}" if profile else f"scale-{sheet.name}"
    target = out / f"{safe_name(name)}.pdf"
    write_atomically(target, data)
    typer.echo(f"{target}: print it at 100 %, measure both bars, then: templategen printer add")


@printers.command("add")
def add(
    name: Annotated[str, typer.Argument(help="What you call the printer.")],
    *,
    across: Annotated[str, typer.Option(help="Measured/wanted length, as 179.2/180.")],
    down: Annotated[str, typer.Option(help="Measured/wanted length, as 251.0/250.")],
) -> None:
    """Keeps a printer's measured scale across and down."""
    from templategen.output.printers import (
        MOST_PRINTERS,
        checked_name,
        printers_path,
        read_printers,
        write_printers,
    )
    from templategen.sheets.profile import PrinterProfile, factor_from

    profile = PrinterProfile(
        name=checked_name(name),
        across=factor_from(across, where="--across"),
        down=factor_from(down, where="--down"),
    )
    path = printers_path()
    known = read_printers(path)
    if len(known) >= MOST_PRINTERS and profile.name not in known:
        raise InputError(
            f"{MOST_PRINTERS} printers are kept already", where="printer", mend="remove one"
        )
    write_printers(path, {**known, profile.name: profile})
    typer.echo(f"{_shown(profile)}; kept in {path}")
    if max(abs(profile.across - 1), abs(profile.down - 1)) > FITTED:
        percent = 100 * min((profile.across, profile.down), key=lambda f: -abs(f - 1))
        typer.echo(
            f"caution: {percent:.1f} % is more than printers are out by; was the page fitted to "
            "the paper? Print the scale sheet at 100 % and measure again.",
            err=True,
        )
    typer.echo(f"Print with --printer {profile.name!r} and measure the bars again.")


@printers.command("list")
def list_() -> None:
    """Shows the printers that are kept."""
    from templategen.output.printers import printers_path, read_printers

    known = read_printers(printers_path())
    for profile in known.values():
        typer.echo(_shown(profile))
    if not known:
        typer.echo("No printer is kept. Print the scale sheet: templategen scale")


@printers.command("remove")
def remove(name: Annotated[str, typer.Argument(help="The printer's name.")]) -> None:
    """Forgets a printer."""
    from templategen.output.printers import (
        printer_named,
        printers_path,
        read_printers,
        write_printers,
    )

    path = printers_path()
    profile = printer_named(path, name)
    known = read_printers(path)
    del known[profile.name]
    write_printers(path, known)
    typer.echo(f"{profile.name} removed")


def _shown(profile: "PrinterProfile") -> str:
    return (
        f"{profile.name}: prints {profile.across:.4f} across and {profile.down:.4f} down "
        f"({(profile.across - 1) * 100:+.2f} %, {(profile.down - 1) * 100:+.2f} %)"
    )


def verify_pack(pack: PackArg) -> None:
    """Measures every part, seam and bar of a pack against the model; exit 1 if not true."""
    from templategen.output.drawn import PackFile
    from templategen.output.verify import verify

    with PackFile(pack) as file:
        report = verify(file)
    _tell(report)
    if not report.is_true:
        raise typer.Exit(1)


def _tell(report: "Report") -> None:
    for name, rows in (
        ("Sheets", report.pages),
        ("Parts and tiles", report.parts),
        ("Seams, as the two prints of their marks meet", report.seams),
        ("Bars", report.bars),
    ):
        if not rows:
            continue
        typer.echo(name)
        for row in rows:
            far = "      -" if row.deviation is None else f"{row.deviation:7.4f}"
            note = f"  {row.note}" if row.note else ""
            verdict = "" if row.is_true else "  NOT TRUE"
            typer.echo(f"  sheet {row.sheet:>3}  {far} mm  {row.what}{note}{verdict}")
    bad = sum(not row.is_true for row in report.rows)
    if report.is_true:
        typer.echo(
            f"True: {len(report.parts)} parts and tiles, {len(report.seams)} seams, largest "
            f"deviation {report.worst:.4f} mm, allowed {report.tolerance:g} mm"
        )
        return
    typer.echo(
        f"Not true: {bad} of {len(report.rows)} measured, largest deviation {report.worst:.3f} mm"
    )
    if report.scale is not None:
        across, down = report.scale
        typer.echo(
            f"The pages are scaled to {across * 100:.2f} % across and {down * 100:.2f} % down: "
            "some program fitted them to a page; print the first file, at 100 %"
        )


def reprint(
    pack: PackArg,
    *,
    paper: PaperOpt = None,
    printer: PrinterOpt = None,
    out: OutOpt = FOLDER,
) -> None:
    """Prints a pack anew from the recipe inside it, on other paper or for another printer."""
    from templategen.nest.check import check_plan
    from templategen.output.drawn import PackFile
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.output.recipe import (
        MOST_BYTES,
        NAME,
        is_shop_set,
        read_recipe,
        recipe_bytes,
        remake,
    )
    from templategen.sheets.cover import make_pack
    from templategen.sheets.letterhead import Letterhead, with_letterhead
    from templategen.sheets.paper import paper_named
    from templategen.wording import speak

    sheet = paper_named(paper) if paper is not None else None
    other = profile_named(printer)
    with PackFile(pack) as file:
        recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=file.name)
    plan, parts = remake(recipe)
    if not is_shop_set(recipe):
        check_plan(plan)
    sheet = sheet or recipe.paper
    profile = other or recipe.profile
    speak(recipe.language)
    head = recipe.letterhead or Letterhead(name="")
    laid = make_pack(
        plan, parts, paper=sheet, units=recipe.units, profile=profile, head=head.height
    )
    laid = with_letterhead(laid, head)
    title, words = plan.job.title, [safe_name(plan.job.title, fallback="pack")]
    if is_shop_set(recipe):
        title, words = f"{title}: shop set", [safe_name(title, fallback="shop"), "set"]
    data = write_pdf(laid, title=title, attachments={NAME: recipe_bytes(plan, laid)})
    if paper is not None:
        words.append(safe_name(sheet.name))
    if other is not None:
        words.append(safe_name(other.name, fallback="printer"))
    make_folder(out)
    target = out / f"{'-'.join(words)}.pdf"
    write_atomically(target, data)
    typer.echo(f"{target}: {len(laid.pages)} sheets of {sheet.name}, {len(parts)} parts")
    if profile is not None:
        typer.echo(f"Corrected for {_shown(profile)}")
    typer.echo("Print at 100 % and measure both bars on every sheet before you cut.")
