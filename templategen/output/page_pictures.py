"""Pictures of the pages of our own PDFs, drawn by pdfium."""

import io

import pypdfium2

WIDEST = 1600  # pixels


def page_png(pdf: bytes, number: int, *, width: int) -> bytes | None:
    """A page as PNG.

    Args:
        pdf: written by this program.
        number: of the page, from 1.
        width: pixels, up to `WIDEST`.

    Returns: None where there is no such page.
    """
    document = pypdfium2.PdfDocument(pdf)
    try:
        if not 1 <= number <= len(document):
            return None
        page = document[number - 1]
        scale = min(width, WIDEST) / page.get_width()
        out = io.BytesIO()
        page.render(scale=scale).to_pil().convert("L").save(out, "PNG")
        return out.getvalue()
    finally:
        document.close()
