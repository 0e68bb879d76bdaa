"""Pictures from outside: checked before anything is made, then put on a page.

A picture is untrusted input. A PNG is decoded whole once; an SVG is read as XML without a
document type, rebuilt from a short list of shapes, and may refer to nothing outside itself.
"""

import io
import logging
import re
import struct
from pathlib import Path
from xml.etree import ElementTree

from PIL import Image
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Box
from templategen.inputs.toml_table import read_bounded
from templategen.messages import say
from templategen.sheets.letterhead import Logo, Picture, PictureKind
from templategen.units import MM_PER_INCH, POINTS_PER_INCH

MOST_BYTES = 2_000_000
MOST_SVG = 300_000  # bytes: two megabytes of shapes would take half a minute to read
MOST_PIXELS = 4000  # a side
MOST_ELEMENTS = 5000
DEEPEST = 40  # elements within elements
SLIMMEST = 20.0  # greatest ratio of the sides
SPACE = "{http://www.w3.org/2000/svg}"
SIGNATURE = b"\x89PNG\r\n\x1a\n"  # PNG specification (ISO/IEC 15948), 5.2
SHAPES = frozenset(
    {"svg", "g", "defs", "title", "desc", "metadata", "path", "rect", "circle", "ellipse", "line"}
    | {"polyline", "polygon", "linearGradient", "radialGradient", "stop", "clipPath", "style"}
)
PT = POINTS_PER_INCH / MM_PER_INCH


def read_logo(path: Path) -> Logo:
    """The picture of a file, checked.

    Args:
        path: a PNG or an SVG of up to 2 MB.

    Raises:
        InputError: missing, unreadable, neither PNG nor SVG, broken, too large, or an SVG that
            holds text, scripts, pictures or anything from outside.
    """
    mend = say("use a smaller picture")
    data = read_bounded(path, most=MOST_BYTES, ending=say(".png or .svg"), mend=mend)
    return checked_logo(data, where=path.name)


def checked_logo(data: bytes, *, where: str) -> Logo:
    """The picture that bytes hold, checked.

    Args:
        data: a PNG or an SVG, of up to 2 MB; a checked picture's own bytes give it again.
        where: names it in faults.

    Raises:
        InputError: as `read_logo`.
    """
    if len(data) > MOST_BYTES:
        bound = MOST_BYTES // 1_000_000
        raise LimitError(
            say("larger than {bound} MB", bound=bound),
            where=where,
            mend=say("use a smaller picture"),
        )
    logo = _png(data, where) if data.startswith(SIGNATURE) else _svg(data, where)
    if max(logo.width / logo.height, logo.height / logo.width) > SLIMMEST:
        raise InputError(
            say("is too long and thin"), where=where, mend=say("cut the picture to size")
        )
    return logo


def _png(data: bytes, where: str) -> Logo:
    # The heading comes first and states the size (ISO/IEC 15948, 11.2.2): nothing is decoded yet.
    if len(data) < 33 or data[12:16] != b"IHDR":
        raise InputError(say("is a broken PNG"), where=where, mend=say("save it again"))
    width, height = struct.unpack(">II", data[16:24])
    if max(width, height) > MOST_PIXELS:
        raise LimitError(
            say("{width} × {height} pixels", width=width, height=height),
            where=where,
            mend=say("use at most {most} a side", most=MOST_PIXELS),
        )
    try:
        with Image.open(io.BytesIO(data), formats=["PNG"]) as image:
            image.load()
    except (OSError, SyntaxError, ValueError) as error:
        raise InputError(say("is a broken PNG"), where=where, mend=say("save it again")) from error
    return Logo(data=data, kind=PictureKind.PNG, width=float(width), height=float(height))


def _svg(data: bytes, where: str) -> Logo:
    mend = say("use a PNG, or an SVG of plain shapes with its text turned into paths")
    if len(data) > MOST_SVG and data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        raise LimitError(
            say("larger than {bound}", bound=f"{MOST_SVG // 1000} kB"),
            where=where,
            mend=say("use a smaller picture"),
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(say("is neither PNG nor SVG"), where=where, mend=mend) from error
    text = re.sub(r"<!DOCTYPE[^>\[]{0,300}>", "", text, count=1)
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise InputError(say("declares entities"), where=where, mend=mend)
    try:
        root = ElementTree.fromstring(text.strip())
    except (ElementTree.ParseError, ValueError) as error:
        raise InputError(say("is neither PNG nor SVG"), where=where, mend=mend) from error
    if root.tag != f"{SPACE}svg":
        raise InputError(say("is neither PNG nor SVG"), where=where, mend=mend)
    count = [0]
    clean = _cleaned(root, where, mend, 1, count)
    ElementTree.register_namespace("", SPACE[1:-1])
    plain = ElementTree.tostring(clean, encoding="utf-8")
    drawing = _drawing(plain)
    if drawing is None or not 0.01 < drawing.width < 1e6 or not 0.01 < drawing.height < 1e6:
        raise InputError(
            say("shows nothing"), where=where, mend=say("give it a viewBox and some shapes")
        )
    logo = Logo(
        data=plain, kind=PictureKind.SVG, width=float(drawing.width), height=float(drawing.height)
    )
    if not _can_be_drawn(logo):
        raise InputError(say("holds figures that cannot be drawn"), where=where, mend=mend)
    return logo


def _can_be_drawn(logo: Logo) -> bool:
    """Whether the picture gets onto a page: tried once, before a run of many packs is begun."""
    canvas = Canvas(io.BytesIO())
    try:
        draw_picture(canvas, Picture(box=Box(0, 0, 30, 20), logo=logo), font="Helvetica")
        canvas.showPage()
        canvas.save()
    except (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError):
        return False  # the library has no error of its own
    return True


def _cleaned(
    element: ElementTree.Element, where: str, mend: str, depth: int, count: list[int]
) -> ElementTree.Element:
    """The element again, of known shapes only; names of other makers' own spaces fall away."""
    count[0] += 1
    if count[0] > MOST_ELEMENTS or depth > DEEPEST:
        raise LimitError(
            say("holds too many shapes"), where=where, mend=say("use a simpler picture, or PNG")
        )
    tag = element.tag.removeprefix(SPACE)
    if tag not in SHAPES:
        raise InputError(say("holds <{tag}>", tag=tag[:40]), where=where, mend=mend)
    made = ElementTree.Element(f"{SPACE}{tag}")
    for key, value in element.attrib.items():
        name = key.rsplit("}", 1)[-1]
        if name.lower().startswith("on"):
            raise InputError(say("holds a script ({name})", name=name[:40]), where=where, mend=mend)
        if name == "href" and not value.startswith("#"):
            raise InputError(say("refers to something outside itself"), where=where, mend=mend)
        _check_style(value, where, mend)
        if not key.startswith("{") or name == "href":
            made.set(key, value)
    if tag in ("title", "desc", "metadata"):
        return made
    made.text = element.text
    if tag == "style":
        _check_style(element.text or "", where, mend)
    for child in element:
        if child.tag.startswith(SPACE):
            made.append(_cleaned(child, where, mend, depth + 1, count))
    return made


def _check_style(text: str, where: str, mend: str) -> None:
    inside = re.sub(r"url\(\s*['\"]?#[^)]*\)", "", text, flags=re.IGNORECASE)
    if re.search(r"url\s*\(|@|\\|javascript:|expression\s*\(", inside, flags=re.IGNORECASE):
        raise InputError(say("refers to something outside itself"), where=where, mend=mend)


def _drawing(data: bytes) -> Drawing | None:
    from svglib.svglib import svg2rlg

    logging.getLogger("svglib").setLevel(logging.CRITICAL)  # what it leaves out is seen in print
    try:
        made = svg2rlg(io.BytesIO(data))
    except (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError):
        return None  # the library has no error of its own
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
    drawing = _drawing(logo.data)
    if drawing is None:
        return
    drawing.initialFontName = font  # type: ignore[attr-defined] # missing from the stub
    canvas.saveState()
    try:
        canvas.translate(box.left * PT, box.bottom * PT)
        canvas.scale(box.width * PT / drawing.width, box.height * PT / drawing.height)
        renderPDF.draw(drawing, canvas, 0, 0)
    finally:
        canvas.restoreState()
