"""Writes parts that are pages of their own, such as a chart, as a PDF."""

from collections.abc import Sequence
from pathlib import Path

from templategen.output.files import clear_leftovers, require_ending, write_atomically
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part
from templategen.parts.style import PrintStyle
from templategen.sheets.layout import lay_out
from templategen.sheets.page import PageFrame
from templategen.trade.paper import paper_named
from templategen.trade.records import Job


def write_pages(
    parts: Sequence[Part],
    target: Path,
    *,
    job: Job,
    title: str,
    paper: str | None,
    style: PrintStyle,
) -> None:
    """Writes the parts.

    Args:
        parts: at least one.
        target: the PDF.
        job: whose date and usual paper are used.
        title: of the PDF and in every footer.
        paper: by name; None for the job's own.
        style: units and language of the print.

    Raises:
        InputError: an unknown paper, or the name is not that of a PDF.
        OutputError: the disk.
    """
    require_ending(target, ".pdf")
    frame = PageFrame(paper=paper_named(paper or job.print.paper))
    laid = lay_out(parts, frame=frame, style=style, job_title=title, date=job.date)
    clear_leftovers(target.parent)
    write_atomically(target, write_pdf(laid, title=title, attachments={}))
