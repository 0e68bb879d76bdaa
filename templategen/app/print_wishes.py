"""What is to be printed and how, checked; and what was written."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from templategen.app.printers import profile_named
from templategen.app.typed import typed_length
from templategen.errors import InputError
from templategen.messages import Text, tr
from templategen.parts.registry import kinds_of_group
from templategen.parts.style import PrintStyle
from templategen.trade.cutting_sheet import (
    LEAST_GAP,
    MOST_GAP,
    NARROWEST,
    USUAL_GAP,
    USUAL_GAP_IN,
    WIDEST,
    WIDEST_BEAM,
    CuttingSheet,
    HeldPieces,
)
from templategen.trade.printer import PrinterProfile
from templategen.units import Units, parse_size, typed_units

FORMATS = ("pdf", "svg", "dxf")
MACHINE_FORMATS = ("svg", "dxf")


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
        live_text: whether cutting files hold letters as text; else they hold their outlines.
        sheet: that parts are nested on in cutting files; None for one file a part.
    """

    formats: tuple[str, ...] = ("pdf",)
    paper: str = ""
    units: Units | None = None
    kinds: tuple[str, ...] = ()
    profile: PrinterProfile | None = None
    beam: float = 0.0
    live_text: bool = False
    sheet: CuttingSheet | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingWords:
    """What a person typed of cutting files.

    Args:
        beam: a length above 0, up to `WIDEST_BEAM` mm.
        live_text: letters as text.
        sheet: a size as ``300x600`` or ``12x24in``.
        gap: a length, `LEAST_GAP` to `MOST_GAP` mm; None for the usual one.
    """

    beam: str | None = None
    live_text: bool = False
    sheet: str | None = None
    gap: str | None = None


NO_CUTTING = CuttingWords()


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingFolder:
    """A folder of cutting files: its format, how many, and files of another run beside them."""

    folder: Path
    kind: str
    count: int
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheetFiles:
    """A nested sheet as it was written.

    Args:
        title: what it is of and which one it is, in the language of the print.
        files: one a format.
        held: what lies on it.
        share: of its area that the pieces take, 0..1.
    """

    title: str
    files: tuple[Path, ...]
    held: tuple[HeldPieces, ...]
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenSheets:
    """Nested sheets as they were written.

    Args:
        folder: that holds them.
        sheets: in the order of materials and thicknesses.
        picture: SVG of all sheets with the names of the pieces.
        contents: text file with what each sheet holds.
        others: names of files of another run beside them.
    """

    folder: Path
    sheets: tuple[CutSheetFiles, ...]
    picture: Path
    contents: Path
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilesToCut:
    """The cutting files of a pack: folders of one file a part, or sheets.

    Args:
        folders: one a format.
        nested: sheets to cut, where a size of sheet was asked for.
        open_lines: cut lines left where they are, because they enclose nothing.
        notes: what a person should know: parts left out, holes that are only marked, corners that
            stay round.
    """

    folders: tuple[CuttingFolder, ...] = ()
    nested: WrittenSheets | None = None
    open_lines: int = 0
    notes: tuple[Text, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPack:
    """What was written of a pack.

    Args:
        parts: how many.
        pdf: the PDF, or None where only cutting files were asked for.
        sheets: of the PDF.
        paper: its name.
        cut: the cutting files, or None where only a PDF was asked for.
        beam: that they allow for, mm.
        missing: letters that the font lacks, each once.
    """

    parts: int
    pdf: Path | None = None
    sheets: int = 0
    paper: str = ""
    cut: FilesToCut | None = None
    beam: float = 0.0
    missing: str = ""

    @property
    def missing_note(self) -> Text:
        """A sentence on the letters that the font lacks; empty where it has all."""
        if not self.missing:
            return ""
        letters = " ".join(self.missing[:20])
        return tr("the font has no {letters}: an empty box is printed", letters=letters)


@dataclass(frozen=True, slots=True)
class PackTarget:
    """Where a pack goes: folder, name of its files, title of its PDF, and how it is worded."""

    out: Path
    name: str
    title: str
    style: PrintStyle


def checked_wishes(
    formats: str | None = None,
    *,
    cutting: CuttingWords = NO_CUTTING,
    paper: str | None = None,
    printer: str | None = None,
) -> PrintWishes:
    """The wishes of texts that a person wrote.

    Args:
        formats: some of `FORMATS`, with commas; None for a PDF, or for SVG and DXF where a sheet
            to cut from is named.
        cutting: for SVG and DXF only.
        paper: by name, or None.
        printer: name of a measured printer, or None.

    Raises:
        InputError: an unknown format, paper or printer; a beam, a sheet or a gap out of bounds,
            or for a PDF alone.
    """
    wanted = _formats(formats, cutting)
    _check_for_machines(wanted, cutting)
    width = 0.0
    if cutting.beam is not None:
        mend = tr('write 0.2 or "0.008 in"')
        width = typed_length(cutting.beam, "--beam", most=WIDEST_BEAM, mend=mend)
    return PrintWishes(
        formats=wanted,
        paper=paper or "",
        profile=profile_named(printer),
        beam=width,
        live_text=cutting.live_text,
        sheet=None if cutting.sheet is None else _sheet(cutting.sheet, cutting.gap),
    )


def _formats(formats: str | None, cutting: CuttingWords) -> tuple[str, ...]:
    if formats is None:
        return ("pdf",) if cutting.sheet is None else MACHINE_FORMATS
    asked = [word.strip().lower() for word in formats.split(",")]
    for word in asked:
        if word not in FORMATS:
            raise InputError(
                tr("{word!r} is no format", word=word),
                where="--format",
                mend=tr("use pdf, svg or dxf, as pdf,svg"),
            )
    return tuple(name for name in FORMATS if name in asked)


def _check_for_machines(wanted: tuple[str, ...], cutting: CuttingWords) -> None:
    """Refuses what has no use without cutting files, or without sheets."""
    named = (
        ("--live-text", cutting.live_text),
        ("--beam", cutting.beam is not None),
        ("--sheet", cutting.sheet is not None),
    )
    for option, given in named:
        if given and wanted == ("pdf",):
            raise InputError(
                tr("is for SVG and DXF, which are cut by machine"),
                where=option,
                mend=tr("add --format svg or --format dxf"),
            )
    if cutting.gap is not None and cutting.sheet is None:
        raise InputError(
            tr("is for parts on sheets to cut"),
            where="--gap",
            mend=tr("add --sheet with a size, as 300x600"),
        )


def _sheet(size: str, gap: str | None) -> CuttingSheet:
    try:
        width, height = parse_size(size, Units.MM)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is no size", text=size),
            where="--sheet",
            mend=tr('write 300x600 or "12x24in"'),
        ) from error
    if not all(NARROWEST <= side <= WIDEST for side in (width, height)):
        raise InputError(
            tr("{text} is out of bounds", text=size),
            where="--sheet",
            mend=tr("give sides of {least:g} to {most:g} mm", least=NARROWEST, most=WIDEST),
        )
    room = USUAL_GAP if typed_units(size, Units.MM) is Units.MM else USUAL_GAP_IN
    if gap is not None:
        mend = tr('write 3 or "1/8 in"')
        room = typed_length(gap, "--gap", most=MOST_GAP, mend=mend, least=LEAST_GAP)
    if 4 * room > min(width, height):
        raise InputError(
            tr("a gap of {gap:g} mm leaves too little of the sheet", gap=room),
            where="--gap",
            mend=tr("name a smaller gap, or a larger sheet"),
        )
    return CuttingSheet(width=width, height=height, gap=room)


def wished_kinds(parts: Sequence[str] | None, groups: Sequence[str] | None) -> tuple[str, ...]:
    """The kinds of parts that a person named, by their own names or by steps of the work.

    Raises:
        InputError: an unknown step.
    """
    named = [kind for group in groups or () for kind in kinds_of_group(group)]
    return (*(parts or ()), *named)
