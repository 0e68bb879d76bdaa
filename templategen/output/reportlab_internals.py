"""What the PDF writer needs of reportlab beside its public calls: nowhere else is it touched.

Its private attributes give the raw operators of a page, the embedded files and one viewer
preference that its own check does not know.
"""

from collections.abc import Mapping
from typing import Any

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas


def operators(canvas: Canvas) -> list[str]:
    """The content of the open page so far, one operator with its operands each."""
    code: list[str] = canvas._code  # type: ignore[attr-defined] # no public way
    return code


def document(canvas: Canvas) -> Any:  # noqa: ANN401 - not in the stubs
    """The document that a canvas writes into."""
    return canvas._doc  # type: ignore[attr-defined] # no public way


def ask_for_true_prints(canvas: Canvas) -> None:
    """Sets what a print dialog starts with: no scaling, one-sided, paper by page size.

    ISO 32000-2, 12.2, viewer preferences.
    """
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("Duplex", "Simplex")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    wishes = document(canvas).Catalog.ViewerPreferences
    # The library does not know this key, so it is set past its check.
    pdfdoc.PDFDictionary.__setitem__(wishes, "PickTrayByPDFSize", "true")


class _Undated(pdfdoc.PDFInfo):
    """What the document says of itself, without dates: the library's own are those of a clock."""

    def format(self, document: Any) -> Any:  # noqa: ANN401 - not in the stubs
        entries = {
            "Title": pdfdoc.PDFString(self.title),
            "Author": pdfdoc.PDFString(self.author),
            "Producer": pdfdoc.PDFString(self.producer),
            "Creator": pdfdoc.PDFString(self.creator),
            "Subject": pdfdoc.PDFString(self.subject),
        }
        return pdfdoc.PDFDictionary(entries).format(document)


def set_date(canvas: Canvas, date: str) -> None:
    """Sets the dates of the document (ISO 32000-2, 14.3.3 and 7.9.4).

    Args:
        canvas: its title and subject are set.
        date: ISO 8601; empty for a document that states no date.
    """
    if date:
        canvas.setDateFormatter(lambda *_: f"D:{date.replace('-', '')}")
        return
    held_by = document(canvas)
    undated = _Undated()
    undated.__dict__.update(held_by.info.__dict__)
    held_by.info = undated


def attach(canvas: Canvas, attachments: Mapping[str, bytes]) -> None:
    """Embeds files by name (ISO 32000-2, 7.11.4)."""
    if not attachments:
        return
    held_by = document(canvas)
    names: list[object] = []
    for name in sorted(attachments):
        stream = pdfdoc.PDFStream(
            dictionary=pdfdoc.PDFDictionary({"Type": pdfdoc.PDFName("EmbeddedFile")}),
            content=attachments[name],
        )
        held = held_by.Reference(stream)
        spec = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Filespec"),
                "F": pdfdoc.PDFString(name),
                "UF": pdfdoc.PDFString(name),
                "EF": pdfdoc.PDFDictionary({"F": held}),
            }
        )
        names += [pdfdoc.PDFString(name), held_by.Reference(spec)]
    tree = pdfdoc.PDFDictionary({"Names": pdfdoc.PDFArray(names)})
    catalog = held_by.Catalog
    catalog.Names = pdfdoc.PDFDictionary({"EmbeddedFiles": tree})
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "Names"]
