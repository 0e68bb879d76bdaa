"""What is to be printed and how, checked; and what was written."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from templategen.app.printers import profile_named
from templategen.app.typed import typed_length
from templategen.errors import InputError
from templategen.messages import tr
from templategen.parts.beam import WIDEST
from templategen.parts.registry import kinds_of_group
from templategen.parts.style import PrintStyle
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

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


@dataclass(frozen=True, slots=True)
class PackTarget:
    """Where a pack goes: folder, name of its files, title of its PDF, and how it is worded."""

    out: Path
    name: str
    title: str
    style: PrintStyle


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
    width = 0.0
    if beam is not None:
        width = typed_length(beam, "--beam", most=WIDEST, mend=tr('write 0.2 or "0.008 in"'))
    return PrintWishes(
        formats=wanted,
        paper=paper or "",
        profile=profile_named(printer),
        beam=width,
        outlines=outlines,
    )


def wished_kinds(parts: Sequence[str] | None, groups: Sequence[str] | None) -> tuple[str, ...]:
    """The kinds of parts that a person named, by their own names or by steps of the work.

    Raises:
        InputError: an unknown step.
    """
    named = [kind for group in groups or () for kind in kinds_of_group(group)]
    return (*(parts or ()), *named)
