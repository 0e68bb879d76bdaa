"""Writes packs: one PDF, and cutting files, one SVG or DXF a part at 1:1."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from templategen.app.jobs import OpenedJob, OpenedShop
from templategen.app.printers import profile_named
from templategen.errors import InputError
from templategen.messages import Wording, tr
from templategen.nest.check import check_plan
from templategen.nest.plan import Plan
from templategen.output.dxf import drawing_dxf
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name, unique_names
from templategen.output.pdf import write_pdf
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.beam import WIDEST, beamed
from templategen.parts.drawing import Part
from templategen.parts.lettering import missing_letters
from templategen.parts.registry import make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.cover import make_pack
from templategen.sheets.page import PageFrame
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.units import Units, parse_length

FORMATS = ("pdf", "svg", "dxf")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintWishes:
    """What is printed of a plan or a shop, and how.

    Args:
        formats: in the order of `FORMATS`, at least one.
        paper: by name; empty for the job's own.
        units: of the print; None for the job's own.
        kinds: of parts; empty for the job's own, else all.
        profile: the printer that pages are corrected for, or None.
        beam: width of the beam or bit that cutting files allow for, mm; 0 for none.
        outlines: whether cutting files hold letters as outlines.
    """

    formats: tuple[str, ...] = ("pdf",)
    paper: str = ""
    units: Units | None = None
    kinds: tuple[str, ...] = ()
    profile: PrinterProfile | None = None
    beam: float = 0.0
    outlines: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingFolder:
    """A folder of cutting files: its format, how many, and files of another run beside them."""

    folder: Path
    kind: str
    count: int
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPack:
    """What was written of a pack.

    Args:
        parts: how many.
        pdf: the PDF, or None where only cutting files were asked for.
        sheets: of the PDF.
        paper: its name.
        folders: of cutting files.
        beam: that they allow for, mm.
        open_lines: cut lines left where they are, because they enclose nothing.
        missing: letters that the font lacks, each once.
    """

    parts: int
    pdf: Path | None = None
    sheets: int = 0
    paper: str = ""
    folders: tuple[CuttingFolder, ...] = ()
    beam: float = 0.0
    open_lines: int = 0
    missing: tuple[str, ...] = ()


class StoppedPlanError(Exception):
    """A pack was asked for of a plan that has a stop finding; nothing is written."""


def checked_wishes(
    formats: str = "pdf",
    *,
    beam: str | None = None,
    outlines: bool = False,
    paper: str | None = None,
    printer: str | None = None,
) -> PrintWishes:
    """The wishes of texts that a person wrote.

    Args:
        formats: some of `FORMATS`, with commas.
        beam: a length above 0, up to `WIDEST` mm; for cutting files only.
        outlines: letters as outlines; for cutting files only.
        paper: by name, or None.
        printer: name of a measured printer, or None.

    Raises:
        InputError: an unknown format, paper or printer; a beam out of bounds or for a PDF alone.
    """
    asked = [word.strip().lower() for word in formats.split(",")]
    for word in asked:
        if word not in FORMATS:
            raise InputError(
                tr("{word!r} is no format", word=word),
                where="--format",
                mend=tr("use pdf, svg or dxf, as pdf,svg"),
            )
    wanted = tuple(name for name in FORMATS if name in asked)
    for option, given in (("--outlines", outlines), ("--beam", beam is not None)):
        if given and wanted == ("pdf",):
            raise InputError(
                tr("is for SVG and DXF, which are cut by machine"),
                where=option,
                mend=tr("add --format svg or --format dxf"),
            )
    return PrintWishes(
        formats=wanted,
        paper=paper or "",
        profile=None if printer is None else profile_named(printer),
        beam=0.0 if beam is None else _beam(beam),
        outlines=outlines,
    )


def _beam(text: str) -> float:
    try:
        width = parse_length(text, Units.MM)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not a length", text=text),
            where="--beam",
            mend=tr('write 0.2 or "0.008 in"'),
        ) from error
    if not 0 < width <= WIDEST:
        raise InputError(
            tr("{text} is out of bounds", text=text),
            where="--beam",
            mend=tr("give more than 0, up to {most:g}", most=WIDEST),
        )
    return width


def write_pack(opened: OpenedJob, plan: Plan, wishes: PrintWishes, out: Path) -> WrittenPack:
    """Writes the templates of a plan.

    Args:
        opened: the job that was planned.
        plan: of that job.
        wishes: what to print.
        out: folder of the pack; made where it is missing.

    Raises:
        StoppedPlanError: the plan has a stop.
        InputError: an unknown paper or kind of part, or no part is left.
        GeometryError: the beam cannot be allowed for, or the plan breaks a rule.
        OutputError: the disk.
    """
    paper_named(wishes.paper or plan.job.print.paper)
    style = PrintStyle(units=wishes.units or plan.job.units, wording=opened.wording)
    parts = make_parts(plan, kinds=wishes.kinds or plan.job.print.parts, style=style)
    if plan.has_stop:
        raise StoppedPlanError
    check_plan(plan)
    name = safe_name(plan.job.title, fallback="pack")
    return _written(plan, parts, wishes, _Target(out, name, plan.job.title, style))


def write_shop_set(
    opened: OpenedShop, wishes: PrintWishes, out: Path, *, date: str = ""
) -> WrittenPack:
    """Writes the templates that a shop needs once, whatever the blank.

    Args:
        opened: the shop.
        wishes: what to print.
        out: folder of the set; made where it is missing.
        date: ISO date to print, or empty.

    Raises:
        InputError: an unknown paper or kind of part, or one that needs a job.
        GeometryError: the beam cannot be allowed for.
        OutputError: the disk.
    """
    shop = opened.shop
    style = PrintStyle(units=wishes.units or shop.units, wording=opened.wording)
    parts = shop_parts(shop, kinds=wishes.kinds, date=date, style=style)
    name = f"{safe_name(shop.name, fallback='shop')}-set"
    title = shop_set_title(shop.name, opened.wording)
    return _written(shop_plan(shop, date=date), parts, wishes, _Target(out, name, title, style))


def shop_set_title(shop: str, wording: Wording) -> str:
    """The title of the PDF of a shop's set."""
    return wording.say("{shop}: shop set", shop=shop)


def nothing_to_print(where: str) -> InputError:
    """The fault that no part is left of those asked for."""
    return InputError(tr("nothing to print"), where=where, mend=tr("name another kind of part"))


@dataclass(frozen=True, slots=True)
class _Target:
    """Where a pack goes: folder, name of its files, title of its PDF, and how it is worded."""

    out: Path
    name: str
    title: str
    style: PrintStyle


def _written(
    plan: Plan, parts: Sequence[Part], wishes: PrintWishes, target: _Target
) -> WrittenPack:
    if not parts:
        raise nothing_to_print("--part")
    pdf, sheets = None, 0
    paper = paper_named(wishes.paper or plan.job.print.paper)
    if "pdf" in wishes.formats:
        frame = PageFrame(paper=paper, profile=wishes.profile)
        laid = make_pack(plan, parts, frame=frame, style=target.style)
        data = write_pdf(laid, title=target.title, attachments={NAME: recipe_bytes(plan, laid)})
        make_folder(target.out)
        pdf, sheets = target.out / f"{target.name}.pdf", len(laid.pages)
        write_atomically(pdf, data)
    folders, open_lines = _cutting_files(parts, wishes, target)
    words = "".join(text.text for part in parts for text in part.drawing.texts())
    return WrittenPack(
        parts=len(parts),
        pdf=pdf,
        sheets=sheets,
        paper=paper.name,
        folders=folders,
        beam=wishes.beam,
        open_lines=open_lines,
        missing=tuple(missing_letters(words)),
    )


def _cutting_files(
    parts: Sequence[Part], wishes: PrintWishes, target: _Target
) -> tuple[tuple[CuttingFolder, ...], int]:
    """One file a part and format in a folder beside the PDF; and the open lines left as they are.

    Nothing is written where the beam cannot be allowed for.
    """
    kinds = [kind for kind in wishes.formats if kind != "pdf"]
    if not kinds:
        return (), 0
    drawings, left = [part.drawing for part in parts], 0
    if wishes.beam:
        made = [beamed(part, beam=wishes.beam) for part in parts]
        drawings, left = [b.drawing for b in made], sum(b.left for b in made)
    names = unique_names([part.title for part in parts])
    note = _note(wishes.beam, target.style.wording)
    folders = []
    for kind in kinds:
        folder = target.out / f"{target.name}-{kind}"
        make_folder(folder)
        for part, drawing, own in zip(parts, drawings, names, strict=True):
            if kind == "svg":
                look = SvgLook(outlines=wishes.outlines, wording=target.style.wording)
                data = drawing_svg(drawing, title=part.title, note=note, look=look)
            else:
                data = drawing_dxf(drawing, outlines=wishes.outlines, wording=target.style.wording)
            write_atomically(folder / f"{own}.{kind}", data)
        others = sorted(p.name for p in folder.glob(f"*.{kind}") if p.stem not in names)
        folders.append(
            CuttingFolder(folder=folder, kind=kind, count=len(parts), others=tuple(others))
        )
    return tuple(folders), left


def _note(beam: float, wording: Wording) -> str:
    """What a cutting file says of itself."""
    if not beam:
        return wording.say("Full size in millimetres. Cut on the lines of the layer 'cut'.")
    return wording.say(
        "Full size in millimetres. Cut on the lines of the layer 'cut'. They are moved aside "
        "for a beam of {beam:g} mm.",
        beam=beam,
    )
