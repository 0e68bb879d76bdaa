"""Pictures on a page: a PNG as it is, an SVG by svglib."""

import io
import logging

from PIL import Image
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from svglib.svglib import svg2rlg

from templategen.geometry.shapes import Box
from templategen.sheets.letterhead import Logo, Picture, PictureKind
from templategen.units import MM_PER_INCH, POINTS_PER_INCH

PT = POINTS_PER_INCH / MM_PER_INCH  # points in a millimetre


def svg_size(data: bytes) -> tuple[float, float] | None:
    """Width and height of an SVG in any unit, or None where it cannot be read."""
    drawing = _svg_drawing(data)
    return None if drawing is None else (float(drawing.width), float(drawing.height))


def can_be_drawn(logo: Logo) -> bool:
    """Whether the picture gets onto a page: tried once, before a run of many packs is begun."""
    canvas = Canvas(io.BytesIO())
    try:
        draw_picture(canvas, Picture(box=Box(0, 0, 30, 20), logo=logo), font="Helvetica")
        canvas.showPage()
        canvas.save()
    except Exception:  # svglib and reportlab have no error of their own: odd paths fail anyhow
        return False
    return True


def _svg_drawing(data: bytes) -> Drawing | None:
    logging.getLogger("svglib").setLevel(logging.CRITICAL)  # what it leaves out is seen in print
    try:
        made = svg2rlg(io.BytesIO(data))
    except Exception:  # it has no error of its own for what it cannot read
        return None
    return made if isinstance(made, Drawing) else None


def draw_picture(canvas: Canvas, picture: Picture, *, font: str) -> None:
    """Puts a picture on the page, filling its box.

    Args:
        canvas: open at the page.
        picture: checked.
        font: an embedded font; the library names one even where there is no text.
    """
    box, logo = picture.box, picture.logo
    if logo.kind is PictureKind.PNG:
        with Image.open(io.BytesIO(logo.data), formats=["PNG"]) as image:
            reader = ImageReader(image.convert("RGBA"))
            canvas.drawImage(
                reader,
                box.left * PT,
                box.bottom * PT,
                box.width * PT,
                box.height * PT,
                mask="auto",
            )
        return
    drawing = _svg_drawing(logo.data)
    assert drawing is not None  # it was checked
    drawing.initialFontName = font  # type: ignore[attr-defined] # missing from the stub
    canvas.saveState()
    try:
        canvas.translate(box.left * PT, box.bottom * PT)
        canvas.scale(box.width * PT / drawing.width, box.height * PT / drawing.height)
        renderPDF.draw(drawing, canvas, 0, 0)
    finally:
        canvas.restoreState()
