"""The commands that make prints come out true: scale, printer, verify and reprint."""

import dataclasses
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templategen.cli import speech
from templategen.cli.usage import Command, Group
from templategen.errors import InputError
from templategen.messages import figure, say

if TYPE_CHECKING:
    from templategen.proof.verify import Report
    from templategen.sheets.page import Pack
    from templategen.trade.printer import PrinterProfile

PackArg = Annotated[
    Path, typer.Argument(metavar=say("pack"), help=say("A PDF that templategen printed."))
]
PaperOpt = Annotated[str | None, typer.Option(help=say("a4, letter, a3 or a size as 210x330."))]
PartOpt = Annotated[list[str] | None, typer.Option(help=say("Only this kind; may repeat."))]
UnitsOpt = Annotated[str | None, typer.Option(help=say("mm, in or both."))]
DateOpt = Annotated[str, typer.Option(help=say("Date to print, as 2026-05-02."))]
OutOpt = Annotated[Path, typer.Option(help=say("Folder for the PDF."))]
PrinterOpt = Annotated[
    str | None, typer.Option("--printer", help=say("Correct for this measured printer."))
]
BarUnitsOpt = Annotated[str | None, typer.Option(help=say("mm or in."))]
PrinterArg = Annotated[
    str, typer.Argument(metavar=say("name"), help=say("What you call the printer."))
]
KeptArg = Annotated[str, typer.Argument(metavar=say("name"), help=say("The printer's name."))]
AcrossOpt = Annotated[
    str, typer.Option(help=say("Measured/wanted length, as {example}.", example="179.2/180"))
]
DownOpt = Annotated[
    str, typer.Option(help=say("Measured/wanted length, as {example}.", example="251.0/250"))
]
FITTED = 0.02  # a printer itself is seldom out by more: common practice, no source
FOLDER = Path("templategen-pack")

printers = typer.Typer(
    cls=Group, help=say("Keeps what you measured on your printers."), no_args_is_help=True
)


def register(app: typer.Typer) -> None:
    """Adds the commands to the program."""
    said = {
        "scale": say("Prints the scale sheet, to measure a printer by."),
        "verify": say(
            "Measures every part, seam and bar of a pack against the model; exit 1 if not true."
        ),
        "reprint": say(
            "Prints a pack anew from the recipe inside it, on other paper or for another printer."
        ),
    }
    app.command("scale", cls=Command, help=said["scale"])(scale)
    app.command("verify", cls=Command, help=said["verify"])(verify_pack)
    app.command("reprint", cls=Command, help=said["reprint"])(reprint)
    app.add_typer(printers, name="printer")


def profile_named(name: str | None) -> "PrinterProfile | None":
    """The measured printer of a name; None for no name.

    Raises:
        InputError: there is no such printer.
    """
    if name is None:
        return None
    from templategen.app.printers import printer_named, printers_path

    return printer_named(printers_path(), name)


def nothing_to_print(where: str) -> InputError:
    """The fault that no part is left of those asked for."""
    return InputError(say("nothing to print"), where=where, mend=say("name another kind of part"))


def written(target: Path, laid: "Pack", parts: int) -> list[str]:
    """What is told of a pack once it is written, line by line."""
    told = say(
        "{file}: {sheets} sheets of {paper}, {parts} parts",
        file=target,
        sheets=len(laid.pages),
        paper=laid.paper.name,
        parts=parts,
    )
    return [told, measure_first()]


def shop_set_title(shop: str) -> str:
    """The title of the PDF of a shop's set."""
    return say("{shop}: shop set", shop=shop)


def measure_first() -> str:
    """What to do with every print before a tool touches wood."""
    return say("Print at 100 % and measure both bars on every sheet before you cut.")


def scale(
    *,
    paper: PaperOpt = None,
    units: BarUnitsOpt = None,
    out: OutOpt = FOLDER,
    printer: PrinterOpt = None,
) -> None:
    """Prints the scale sheet, to measure a printer by."""
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.sheets.scale_page import scale_pack
    from templategen.trade.paper import paper_named
    from templategen.units import Units

    if units is not None and units not in ("mm", "in"):
        raise InputError(
            say("{text!r} is no unit", text=units), where="--units", mend=say("use mm or in")
        )
    speech.settled("", speech.asked())  # what is printed does not hang on the machine
    inches = units == "in" or (units is None and paper in ("letter", "legal", "tabloid"))
    unit = Units.IN if inches else Units.MM
    sheet = paper_named(paper or ("letter" if inches else "a4"))
    profile = profile_named(printer)
    data = write_pdf(
        scale_pack(sheet, unit, profile=profile), title=say("Scale sheet"), attachments={}
    )
    make_folder(out)
    name = f"scale-{sheet.name}-{profile.name}" if profile else f"scale-{sheet.name}"
    target = out / f"{safe_name(name)}.pdf"
    write_atomically(target, data)
    typer.echo(
        say(
            "{file}: print it at 100 %, measure both bars, then: templategen printer add",
            file=target,
        )
    )


@printers.command("add", cls=Command, help=say("Keeps a printer's measured scale across and down."))
def add(name: PrinterArg, *, across: AcrossOpt, down: DownOpt) -> None:
    """Keeps a printer's measured scale across and down."""
    from templategen.app.printers import (
        MOST_PRINTERS,
        checked_name,
        printers_path,
        read_printers,
        write_printers,
    )
    from templategen.output.files import alone_in, make_folder
    from templategen.trade.printer import PrinterProfile, factor_from

    profile = PrinterProfile(
        name=checked_name(name),
        across=factor_from(across, where="--across"),
        down=factor_from(down, where="--down"),
    )
    path = printers_path()
    make_folder(path.parent)
    with alone_in(path.parent):  # two at once, and one of them would be forgotten
        known = read_printers(path)
        if len(known) >= MOST_PRINTERS and profile.name not in known:
            raise InputError(
                say("{count} printers are kept already", count=MOST_PRINTERS),
                where="printer",
                mend=say("remove one"),
            )
        write_printers(path, {**known, profile.name: profile})
    typer.echo(say("{printer}; kept in {file}", printer=_shown(profile), file=path))
    if max(abs(profile.across - 1), abs(profile.down - 1)) > FITTED:
        percent = 100 * min((profile.across, profile.down), key=lambda f: -abs(f - 1))
        typer.echo(
            say(
                "caution: {percent:.1f} % is more than printers are out by; was the page fitted "
                "to the paper? Print the scale sheet at 100 % and measure again.",
                percent=percent,
            ),
            err=True,
        )
    typer.echo(say("Print with --printer {name!r} and measure the bars again.", name=profile.name))


@printers.command("list", cls=Command, help=say("Shows the printers that are kept."))
def list_() -> None:
    """Shows the printers that are kept."""
    from templategen.app.printers import printers_path, read_printers

    known = read_printers(printers_path())
    for profile in known.values():
        typer.echo(_shown(profile))
    if not known:
        typer.echo(say("No printer is kept. Print the scale sheet: templategen scale"))


@printers.command("remove", cls=Command, help=say("Forgets a printer."))
def remove(name: KeptArg) -> None:
    """Forgets a printer."""
    from templategen.app.printers import (
        printer_named,
        printers_path,
        read_printers,
        write_printers,
    )
    from templategen.output.files import alone_in, make_folder

    path = printers_path()
    make_folder(path.parent)
    with alone_in(path.parent):
        profile = printer_named(path, name)
        known = read_printers(path)
        del known[profile.name]
        write_printers(path, known)
    typer.echo(say("{name} removed", name=profile.name))


def _shown(profile: "PrinterProfile") -> str:
    return say(
        "{name}: prints {across:.4f} across and {down:.4f} down "
        "({across_percent:+.2f} %, {down_percent:+.2f} %)",
        name=profile.name,
        across=profile.across,
        down=profile.down,
        across_percent=(profile.across - 1) * 100,
        down_percent=(profile.down - 1) * 100,
    )


def verify_pack(pack: PackArg) -> None:
    """Measures every part, seam and bar of a pack against the model; exit 1 if not true."""
    from templategen.proof.sandbox import GuardedPack
    from templategen.proof.verify import verify

    with GuardedPack(pack) as file:
        report = verify(file)
    _tell(report)
    if not report.is_true:
        raise typer.Exit(1)


def _tell(report: "Report") -> None:
    for name, rows in (
        (say("Sheets"), report.pages),
        (say("Parts and tiles"), report.parts),
        (say("Seams, as the two prints of their marks meet"), report.seams),
        (say("Bars"), report.bars),
    ):
        if not rows:
            continue
        typer.echo(name)
        for row in rows:
            far = "      -" if row.deviation is None else figure(row.deviation, "7.4f")
            note = f"  {row.note}" if row.note else ""
            verdict = "" if row.is_true else "  " + say("NOT TRUE")
            sheet = say("sheet {number:>3}", number=row.sheet)
            typer.echo(f"  {sheet}  {far} mm  {row.what}{note}{verdict}")
    bad = sum(not row.is_true for row in report.rows)
    if report.is_true:
        typer.echo(
            say(
                "True: {parts} parts and tiles, {seams} seams, largest deviation {worst:.4f} mm, "
                "allowed {allowed:g} mm",
                parts=len(report.parts),
                seams=len(report.seams),
                worst=report.worst,
                allowed=report.tolerance,
            )
        )
        return
    typer.echo(
        say(
            "Not true: {bad} of {count} measured, largest deviation {worst:.3f} mm",
            bad=bad,
            count=len(report.rows),
            worst=report.worst,
        )
    )
    if report.scale is not None:
        across, down = report.scale
        typer.echo(
            say(
                "The pages are scaled to {across:.2f} % across and {down:.2f} % down: some "
                "program fitted them to a page; print the first file, at 100 %",
                across=across * 100,
                down=down * 100,
            )
        )


def reprint(
    pack: PackArg,
    *,
    paper: PaperOpt = None,
    printer: PrinterOpt = None,
    out: OutOpt = FOLDER,
) -> None:
    """Prints a pack anew from the recipe inside it, on other paper or for another printer."""
    from templategen.messages import speak
    from templategen.nest.check import check_plan
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.proof.recipe import (
        MOST_BYTES,
        NAME,
        is_shop_set,
        read_recipe,
        recipe_bytes,
        remake,
    )
    from templategen.proof.sandbox import GuardedPack
    from templategen.sheets.cover import make_pack
    from templategen.sheets.letterhead import Letterhead, with_letterhead
    from templategen.trade.paper import paper_named

    sheet = paper_named(paper) if paper is not None else None
    other = profile_named(printer)
    with GuardedPack(pack) as file:
        recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=file.name)
    recipe = dataclasses.replace(recipe, job=speech.settle(recipe.job))
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
        title, words = shop_set_title(title), [safe_name(title, fallback="shop"), "set"]
    data = write_pdf(laid, title=title, attachments={NAME: recipe_bytes(plan, laid)})
    if paper is not None:
        words.append(safe_name(sheet.name))
    if other is not None:
        words.append(safe_name(other.name, fallback="printer"))
    if speech.asked():
        words.append(speech.asked())
    make_folder(out)
    target = out / f"{'-'.join(words)}.pdf"
    write_atomically(target, data)
    told, last = written(target, laid, len(parts))
    typer.echo(told)
    if profile is not None:
        typer.echo(say("Corrected for {printer}", printer=_shown(profile)))
    typer.echo(last)
