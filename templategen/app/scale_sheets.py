"""Writes the scale sheet, by which a printer is measured."""

from pathlib import Path

from templategen.app.printers import profile_named
from templategen.messages import ENGLISH, Wording
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.output.pdf import write_pdf
from templategen.parts.style import PrintStyle
from templategen.sheets.page import PageFrame
from templategen.sheets.scale_page import scale_pack
from templategen.trade.paper import paper_named
from templategen.units import Units

INCH_PAPERS = ("letter", "legal", "tabloid")


def write_scale_sheet(
    out: Path,
    *,
    paper: str | None = None,
    units: Units | None = None,
    printer: str | None = None,
    language: str = "",
) -> Path:
    """Writes the sheet and gives its file.

    Args:
        out: folder of the PDF.
        paper: by name; None for A4, or letter with inches.
        units: millimetres or inches; None for those usual with the paper.
        printer: name of a measured printer to correct for, or None.
        language: ISO 639-1, or empty for English.

    Raises:
        InputError: an unknown paper or printer.
        OutputError: the disk.
    """
    wording = Wording(language or ENGLISH)
    inches = units is Units.IN or (units is None and paper in INCH_PAPERS)
    sheet = paper_named(paper or ("letter" if inches else "a4"))
    profile = profile_named(printer)
    style = PrintStyle(units=Units.IN if inches else Units.MM, wording=wording)
    laid = scale_pack(PageFrame(paper=sheet, profile=profile), style)
    data = write_pdf(laid, title=wording.say("Scale sheet"), attachments={})
    make_folder(out)
    name = f"scale-{sheet.name}-{profile.name}" if profile else f"scale-{sheet.name}"
    target = out / f"{safe_name(name)}.pdf"
    write_atomically(target, data)
    return target
