"""PDF from settled pages: the only place that knows points."""

import functools
import io
import math
from collections.abc import Mapping

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from templategen.geometry.shapes import Arc, Line, Point, Transform, bezier_arc
from templategen.messages import Wording
from templategen.output import reportlab_internals as internals
from templategen.parts.drawing import Anchor, Path, Role, Text
from templategen.parts.lettering import font_path
from templategen.sheets.page import Pack, Page
from templategen.units import MM_PER_INCH, POINTS_PER_INCH

PT = POINTS_PER_INCH / MM_PER_INCH  # points in a millimetre
REGULAR, BOLD = "TemplateSans", "TemplateSans-Bold"
_GREY = {Role.CUT: 0.0, Role.MARK: 0.0, Role.NOTE: 0.25}
_PAINT = {(True, False): "S", (False, True): "f*", (True, True): "B*", (False, False): "n"}
_ESCAPED = {n: chr(n) if 32 <= n < 127 else f"\\{n:03o}" for n in range(256)} | {
    ord(c): f"\\{c}" for c in "\\()"
}


@functools.lru_cache(maxsize=4096)
def number(value: float) -> str:
    """A number as the content of a page takes it: six digits or so, as reportlab writes them.

    >>> number(0.5), number(-12.3456789), number(1e-9)
    ('.5', '-12.34568', '0')
    """
    size = abs(value)
    if size <= 1e-7:
        return "0"
    if size < 10:
        text = f"{value:.6f}"
    elif size < 100:
        text = f"{value:.5f}"
    elif size < 1000:
        text = f"{value:.4f}"
    else:
        places = max(0, 6 - int(math.log10(size)))
        text = f"{value:.{places}f}"
        if not places:
            return text
    text = text.rstrip("0").rstrip(".")
    return text[1:] if text[0] == "0" and len(text) > 1 else text


class PdfPen:
    """Draws onto a reportlab canvas through a part-to-page map in millimetres.

    The operators (ISO 32000-2 §8 and §9) are written straight into the canvas: its own path and
    text objects take three times as long for the same bytes.
    """

    def __init__(self, canvas: Canvas, transform: Transform, *, dashes: str = "") -> None:
        self.canvas = canvas
        self.transform = transform
        self.dashes = dashes or _DASHES
        self._put = internals.operators(canvas).append

    def path(self, path: Path) -> None:
        """Lines as lines, true arcs as cubics of 30° or less."""
        put, (a, b, c, d, e, f) = self._put, self.transform

        def at(x: float, y: float) -> str:
            return f"{number((a * x + c * y + e) * PT)} {number((b * x + d * y + f) * PT)}"

        width = path.line_width
        put(f"{number(width * PT)} w")
        put(f"{number(_GREY[path.role])} G")
        put(self.dashes if path.dashed else "[] 0 d")
        first = path.segments[0]
        run = ["n", at(*first.start) if isinstance(first, Line) else "", "m"]
        for segment in path.segments:
            match segment:
                case Line(_, end):
                    run += (at(*end), "l")
                case Arc():
                    arc = segment.moved(self.transform)
                    if not run[1]:
                        run[1] = _written(arc.start)
                    for cubic in bezier_arc(arc):
                        run += [_written(point) for point in cubic]
                        run.append("c")
        if path.closed:
            run.append("h")
        if path.fill is not None:
            put(f"{number(path.fill)} g")
        put(" ".join(run))
        put(_PAINT[width > 0, path.fill is not None])

    def text(self, text: Text) -> None:
        """One line of text in the embedded font."""
        moved, document = text.moved(self.transform), internals.document(self.canvas)
        width, (x, y) = moved.width, moved.at
        shift = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[moved.anchor]
        a, b, c, d, _, _ = Transform.rotate(moved.angle)
        place = (a, b, c, d, (a * shift + x) * PT, (b * shift + y) * PT)
        size = f"{number(moved.size * PT)} Tf {number(moved.size * PT * 1.2)} TL"
        font, last = _fonts()[moved.bold], -1
        run = ["BT 1 0 0 1 0 0 Tm", *map(number, place), "Tm"]
        for subset, letters in font.splitString(moved.text, document):
            if subset != last:
                last = subset
                run.append(f"{font.getSubsetInternalName(subset, document)} {size}")
            run.append(f"({letters.decode('latin-1').translate(_ESCAPED)}) Tj")
        run.append("ET")
        self._put("0 g")
        self._put(" ".join(run))


def _written(point: Point) -> str:
    return f"{number(point.x * PT)} {number(point.y * PT)}"


_TICKS = f"[{number(0.12 * PT)} {number(1.88 * PT)}] 0 d"  # of the hatching, 0.12 mm wide
_DASHES = f"[{number(2 * PT)} {number(1.2 * PT)}] 0 d"


@functools.cache
def _fonts() -> tuple[TTFont, TTFont]:
    """The embedded fonts, plain and bold: read once, for each document keeps a list of its own."""
    plain, bold = (
        TTFont(name, io.BytesIO(font_path(bold=bold).read_bytes()))
        for name, bold in ((REGULAR, False), (BOLD, True))
    )
    return plain, bold


def write_pdf(pack: Pack, *, title: str, attachments: Mapping[str, bytes]) -> bytes:
    """The pack as a PDF file.

    Args:
        pack: settled pages, at least one.
        title: the document's title.
        attachments: files to carry inside, by name.

    Returns: the file; the same input gives the same bytes.
    """
    rl_config.useA85 = 0
    for font in _fonts():
        pdfmetrics.registerFont(font)
    wording, buffer = pack.style.wording, io.BytesIO()
    first = pack.pages[0].paper
    canvas = Canvas(
        buffer,
        pagesize=(first.width * PT, first.height * PT),
        invariant=1,
        pdfVersion=(1, 7),  # Duplex and PickTrayByPDFSize came with 1.7
        pageCompression=1,
        initialFontName=REGULAR,  # type: ignore[arg-type] # the stub is wrong: a name
        lang=wording.language,
    )
    canvas.setTitle(title)
    canvas.setCreator("templategen")
    canvas.setAuthor("")
    canvas.setSubject(wording.say("Full-size templates for coring nested bowls"))
    internals.ask_for_true_prints(canvas)
    internals.set_date(canvas, pack.date)
    step = None
    for index, page in enumerate(pack.pages):
        own = page.use and page.use.group
        _bookmarks(canvas, page, wording, is_first_of_step=own != step)
        step = own
        _draw_page(canvas, page, index)
    internals.attach(canvas, attachments)
    canvas.save()
    return buffer.getvalue()


def _bookmarks(canvas: Canvas, page: Page, wording: Wording, *, is_first_of_step: bool) -> None:
    """The step of the work, in it the sheet, and below it every part on it by its whole name."""
    key, level = f"page-{page.number}", 0
    canvas.bookmarkPage(key)
    if page.use is not None:
        level = 1
        if is_first_of_step:
            canvas.bookmarkPage(f"{key}-step")
            canvas.addOutlineEntry(wording.text(page.use.group.heading), f"{key}-step", level=0)
    titled = [placement for placement in page.placements if placement.part.title]
    names = [f"{p.part.title} {p.tile}".strip() for p in titled]
    if len(names) == 1:
        canvas.addOutlineEntry(f"{page.label}: {names[0]}", key, level=level)
        return
    entry = wording.say_count(
        "{sheet}: {count} part", "{sheet}: {count} parts", len(names), sheet=page.label
    )
    canvas.addOutlineEntry(entry, key, level=level, closed=True)
    for n, name in enumerate(names, start=1):
        canvas.bookmarkPage(f"{key}-{n}")  # an entry needs a target of its own
        canvas.addOutlineEntry(name, f"{key}-{n}", level=level + 1)


def _draw_page(canvas: Canvas, page: Page, index: int) -> None:
    canvas.setPageSize((page.paper.width * PT, page.paper.height * PT))
    canvas.addPageLabel(index, prefix=page.label)
    if page.correction != Transform():
        a, b, c, d, e, f = page.correction
        canvas.transform(a, b, c, d, e * PT, f * PT)
    page.underlay.draw(PdfPen(canvas, Transform()))
    for placement in page.placements:
        clip = placement.clip
        canvas.saveState()
        try:
            window = canvas.beginPath()
            window.rect(clip.left * PT, clip.bottom * PT, clip.width * PT, clip.height * PT)
            canvas.clipPath(window, stroke=0, fill=0)
            placement.waste.draw(PdfPen(canvas, placement.transform, dashes=_TICKS))
            placement.part.drawing.draw(PdfPen(canvas, placement.transform))
        finally:
            canvas.restoreState()
    page.furniture.draw(PdfPen(canvas, Transform()))
    if page.picture is not None:
        from templategen.output.logo import draw_picture  # 0.1 s that few packs need  # noqa: PLC0415

        draw_picture(canvas, page.picture, font=REGULAR)
    canvas.showPage()
