"""PDF from settled pages: the only place that knows points."""

import io
from collections.abc import Mapping

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from templategen.geometry.shapes import Arc, Line, Point, Transform, bezier_arc
from templategen.parts.drawing import Anchor, Path, Role, Text
from templategen.parts.lettering import font_path
from templategen.sheets.page import Pack, Page
from templategen.units import MM_PER_INCH, POINTS_PER_INCH
from templategen.wording import say, say_count, spoken

PT = POINTS_PER_INCH / MM_PER_INCH  # points in a millimetre
REGULAR, BOLD = "TemplateSans", "TemplateSans-Bold"
_GREY = {Role.CUT: 0.0, Role.MARK: 0.0, Role.NOTE: 0.25}


class PdfPen:
    """Draws onto a reportlab canvas through a part-to-page map in millimetres."""

    def __init__(self, canvas: Canvas, transform: Transform) -> None:
        self.canvas = canvas
        self.transform = transform

    def _pt(self, point: Point) -> tuple[float, float]:
        return point.x * PT, point.y * PT

    def path(self, path: Path) -> None:
        """Lines as lines, true arcs as cubics of 30° or less."""
        canvas, moved = self.canvas, path.moved(self.transform)
        canvas.setLineWidth(moved.line_width * PT)
        canvas.setStrokeGray(_GREY[moved.role])
        canvas.setDash([2 * PT, 1.2 * PT] if moved.dashed else [])
        run = canvas.beginPath()
        run.moveTo(*self._pt(moved.segments[0].start))
        for segment in moved.segments:
            match segment:
                case Line():
                    run.lineTo(*self._pt(segment.end))
                case Arc():
                    for one, two, end in bezier_arc(segment):
                        run.curveTo(*self._pt(one), *self._pt(two), *self._pt(end))
        if moved.closed:
            run.close()
        if moved.fill is not None:
            canvas.setFillGray(moved.fill)
        canvas.drawPath(run, stroke=int(moved.line_width > 0), fill=int(moved.fill is not None))

    def text(self, text: Text) -> None:
        """One line of text in the embedded font."""
        canvas, moved = self.canvas, text.moved(self.transform)
        width = moved.width
        shift = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[moved.anchor]
        turn = Transform.rotate(moved.angle)
        place = Transform.move(shift, 0).then(turn).then(Transform.move(*moved.at))
        canvas.setFillGray(0.0)
        run = canvas.beginText()
        run.setFont(BOLD if moved.bold else REGULAR, moved.size * PT)
        run.setTextTransform(place.a, place.b, place.c, place.d, place.e * PT, place.f * PT)
        run.textOut(moved.text)
        canvas.drawText(run)


def write_pdf(pack: Pack, *, title: str, attachments: Mapping[str, bytes]) -> bytes:
    """The pack as a PDF file.

    Args:
        pack: settled pages, at least one.
        title: the document's title.
        attachments: files to carry inside, by name.

    Returns: the file; the same input gives the same bytes.
    """
    rl_config.useA85 = 0
    for name, bold in ((REGULAR, False), (BOLD, True)):
        pdfmetrics.registerFont(TTFont(name, io.BytesIO(font_path(bold=bold).read_bytes())))
    buffer = io.BytesIO()
    first = pack.pages[0].paper
    canvas = Canvas(
        buffer,
        pagesize=(first.width * PT, first.height * PT),
        invariant=1,
        pdfVersion=(1, 7),  # Duplex and PickTrayByPDFSize came with 1.7
        pageCompression=1,
        initialFontName=REGULAR,  # type: ignore[arg-type] # the stub is wrong: a name
        lang=spoken(),
    )
    canvas.setTitle(title)
    canvas.setCreator("templategen")
    canvas.setAuthor("")
    canvas.setSubject(say("Full-size templates for coring nested bowls"))
    _ask_for_true_prints(canvas)
    for index, page in enumerate(pack.pages):
        _draw_page(canvas, page, index)
    _attach(canvas, attachments)
    canvas.save()
    return buffer.getvalue()


def _ask_for_true_prints(canvas: Canvas) -> None:
    """What a print dialog is asked for: no scaling, one-sided, paper by page size (ISO 32000-2)."""
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("Duplex", "Simplex")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    wishes = canvas._doc.Catalog.ViewerPreferences  # type: ignore[attr-defined] # no public way
    # The library does not know this key, so it is set past its check.
    pdfdoc.PDFDictionary.__setitem__(wishes, "PickTrayByPDFSize", "true")


def _bookmarks(canvas: Canvas, page: Page) -> None:
    """The sheet, and below it every part on it by its whole name."""
    key = f"page-{page.number}"
    canvas.bookmarkPage(key)
    names = [f"{p.part.title} {p.tile}".strip() for p in page.placements]
    if len(names) == 1:
        canvas.addOutlineEntry(f"{page.label}: {names[0]}", key, level=0)
        return
    entry = say_count(
        "{sheet}: {count} part", "{sheet}: {count} parts", len(names), sheet=page.label
    )
    canvas.addOutlineEntry(entry, key, level=0, closed=True)
    for n, name in enumerate(names, start=1):
        canvas.bookmarkPage(f"{key}-{n}")  # an entry needs a target of its own
        canvas.addOutlineEntry(name, f"{key}-{n}", level=1)


def _draw_page(canvas: Canvas, page: Page, index: int) -> None:
    canvas.setPageSize((page.paper.width * PT, page.paper.height * PT))
    canvas.addPageLabel(index, prefix=page.label)
    _bookmarks(canvas, page)
    if page.correction != Transform():
        a, b, c, d, e, f = page.correction
        canvas.transform(a, b, c, d, e * PT, f * PT)
    for placement in page.placements:
        clip = placement.clip
        canvas.saveState()
        try:
            window = canvas.beginPath()
            window.rect(clip.left * PT, clip.bottom * PT, clip.width * PT, clip.height * PT)
            canvas.clipPath(window, stroke=0, fill=0)
            placement.part.drawing.draw(PdfPen(canvas, placement.transform))
        finally:
            canvas.restoreState()
    page.furniture.draw(PdfPen(canvas, Transform()))
    if page.picture is not None:
        from templategen.output.logo import draw_picture

        draw_picture(canvas, page.picture, font=REGULAR)
    canvas.showPage()


def _attach(canvas: Canvas, attachments: Mapping[str, bytes]) -> None:
    if not attachments:
        return
    document = canvas._doc  # type: ignore[attr-defined] # no public way
    names: list[object] = []
    for name in sorted(attachments):
        stream = pdfdoc.PDFStream(
            dictionary=pdfdoc.PDFDictionary({"Type": pdfdoc.PDFName("EmbeddedFile")}),
            content=attachments[name],
        )
        held = document.Reference(stream)
        spec = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Filespec"),
                "F": pdfdoc.PDFString(name),
                "UF": pdfdoc.PDFString(name),
                "EF": pdfdoc.PDFDictionary({"F": held}),
            }
        )
        names += [pdfdoc.PDFString(name), document.Reference(spec)]
    tree = pdfdoc.PDFDictionary({"Names": pdfdoc.PDFArray(names)})
    catalog = document.Catalog
    catalog.Names = pdfdoc.PDFDictionary({"EmbeddedFiles": tree})
    catalog.__NoDefault__ = [*catalog.__NoDefault__, "Names"]
