"""Reads what the pages of a PDF show, with pdfium, which has no part in writing it. Millimetres.

The recipe is read with pdfium as well, and the names in the file from a copy that pdfium writes
of what it understood: one parser for all leaves no room for a file that shows two things.
"""

import contextlib
import ctypes
import functools
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Self

import numpy as np
import numpy.typing as npt
import pypdfium2
import pypdfium2.raw as pdfium

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import tr, tr_count
from templategen.units import MM_PER_INCH, POINTS_PER_INCH

MM = MM_PER_INCH / POINTS_PER_INCH  # mm in a point
PIXEL = MM_PER_INCH / 200  # mm of a picture's pixel: 200 dpi
MOST_PAGES = 1000
MOST_SEGMENTS = 300_000  # of one file; 400 full sheets have less
MOST_ON_A_PAGE = 60_000  # segments
MOST_LETTERS = 50_000  # on a page
MOST_PIXELS = 8_000_000  # of a picture; larger pages are drawn in bands
DEEPEST = 8  # forms within forms

Grey = npt.NDArray[np.uint8]
NO_PACK = tr("this is no pack")
_TOKENS = re.compile(
    rb"\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f\s]*>|/([^\s()<>\[\]{}/%]*)|\b(stream|endobj)\b", re.DOTALL
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPath:
    """One drawn path, page mm.

    Args:
        kinds: of its segments, a letter each: ``m`` move, ``l`` line, ``c`` point of a curve,
            ``h`` end of a closed run.
        points: one for each segment.
        width: of the stroke, mm, or 0 if it is not stroked.
        dashes: lengths on and off, mm; empty for a whole line.
        colours: of stroke and inside, red, green, blue and opacity 0..255; None where not drawn.
    """

    kinds: str
    points: tuple[Point, ...]
    width: float
    dashes: tuple[float, ...]
    colours: tuple[tuple[int, ...] | None, tuple[int, ...] | None]


@dataclass(frozen=True, slots=True)
class Word:
    """A word on a page and where it begins, mm."""

    text: str
    at: Point


class PackFile:
    """An open PDF file; a context manager.

    Args:
        data: of the file; may be anything.
        name: of the file, for faults.

    Raises:
        InputError: not a PDF, locked, or of too many pages.
    """

    def __init__(self, data: bytes, name: str) -> None:
        self.name = name
        self.left = MOST_SEGMENTS
        try:
            self.document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise InputError(
                tr("is not a PDF that can be read"), where=name, mend=tr("name a pack's .pdf file")
            ) from error
        if not 1 <= len(self.document) <= MOST_PAGES:
            count = len(self.document)
            self.document.close()
            what = tr_count("has {count} page", "has {count} pages", count)
            raise LimitError(what, where=name, mend=NO_PACK)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.document.close()

    @property
    def title(self) -> str:
        """The title of the document."""
        return str(self.document.get_metadata_dict().get("Title", ""))

    @property
    def forbids_scaling(self) -> bool:
        """Whether print dialogs are asked to start without scaling (ISO 32000-2, 12.2)."""
        return not pdfium.FPDF_VIEWERREF_GetPrintScaling(self.document.raw)

    def bookmarks(self) -> list[tuple[int, str, int | None]]:
        """The bookmarks: how deep, their wording, and the page they lead to, from 0."""
        found = []
        for entry in self.document.get_toc(max_depth=5):
            target = entry.get_dest()
            page = None if target is None else target.get_index()
            found.append((entry.level, entry.get_title(), page))
        return found

    def attachment(self, name: str, *, most: int) -> bytes:
        """The bytes of the only attached file.

        Args:
            name: of the attachment.
            most: bytes.

        Raises:
            InputError: there is none, there are others, or it is larger.
        """
        if self.document.count_attachments() == 1:
            with contextlib.suppress(pypdfium2.PdfiumError, UnicodeDecodeError):
                held = self.document.get_attachment(0)
                size = ctypes.c_ulong()
                pdfium.FPDFAttachment_GetFile(held.raw, None, 0, size)
                if size.value > most:
                    what = tr("{name} is larger than {most} MB", name=name, most=most // 1_000_000)
                    raise LimitError(what, where=self.name, mend=NO_PACK)
                if held.get_name() == name:
                    return bytes(held.get_data())
        raise InputError(
            tr("carries no {name}", name=name)
            if self.document.count_attachments() < 2
            else tr("carries more files than {name}", name=name),
            where=self.name,
            mend=tr("name a PDF that templategen printed"),
        )

    def names(self) -> set[str]:
        """The names that stand in the file outside its streams, as pdfium understood them.

        A name is a key or a value such as ``/UserUnit`` (ISO 32000-2, 7.3.5).
        """
        copy = io.BytesIO()
        self.document.save(copy, flags=pdfium.FPDF_REMOVE_SECURITY)
        data = copy.getvalue()
        found = set()
        # The copy ends with a table of where its objects begin, ten digits each.
        table = data.rfind(b"xref", 0, data.rfind(b"startxref"))
        for place in re.findall(rb"(\d{10}) \d{5} n", data[table:]):
            for token in _TOKENS.finditer(data, int(place)):
                if token[2]:
                    break
                if token[1] is not None:
                    found.add(token[1].decode("latin-1"))
        return found

    def pages(self) -> Iterator["DrawnPage"]:
        """Each page, open until the next is asked for.

        Raises:
            InputError: a page cannot be read.
        """
        for index in range(len(self.document)):
            with self.page(index) as page:
                yield page

    @contextlib.contextmanager
    def page(self, index: int) -> Iterator["DrawnPage"]:
        """A page by its number from 0, open within the context.

        Raises:
            InputError: it cannot be read.
        """
        try:
            opened = self.document[index]
        except pypdfium2.PdfiumError as error:
            what = tr("page {number} cannot be read", number=index + 1)
            raise InputError(what, where=self.name, mend=tr("print it anew")) from error
        try:
            yield DrawnPage(self, opened, self.document.get_page_label(index) or "")
        finally:
            opened.close()


class DrawnPage:
    """An open page of a file; `label` is what viewers call it."""

    def __init__(self, file: PackFile, page: pypdfium2.PdfPage, label: str) -> None:
        self.file = file
        self.page = page
        self.label = label

    @property
    def boxes(self) -> tuple[Box, Box]:
        """The page's box and the part of it that is shown, mm."""
        both = self.page.get_mediabox(), self.page.get_cropbox()
        one, other = (Box(*(c * MM for c in corners)) for corners in both)
        return one, other

    @property
    def is_turned(self) -> bool:
        """Whether viewers turn the page."""
        return bool(self.page.get_rotation())

    @functools.cached_property
    def pictures(self) -> int:
        """How many pictures and shadings are on the page."""
        return sum(
            pdfium.FPDFPageObj_GetType(raw) in (pdfium.FPDF_PAGEOBJ_IMAGE,
                                                pdfium.FPDF_PAGEOBJ_SHADING)
            for raw, _ in self._objects
        )  # fmt: skip

    @functools.cached_property
    def words(self) -> list[Word]:
        """The words on the page, in the order of the file.

        Raises:
            LimitError: far too many.
        """
        page = self.page.get_textpage()
        try:
            if page.count_chars() > MOST_LETTERS:
                self._refuse()
            found = []
            for word in re.finditer(r"\S+", page.get_text_range(errors="replace")):
                left, bottom, _, _ = page.get_charbox(word.start())
                found.append(Word(word[0], Point(left * MM, bottom * MM)))
            return found
        finally:
            page.close()

    @functools.cached_property
    def paths(self) -> list[DrawnPath]:
        """Everything drawn with lines and curves, in the order of the file.

        Raises:
            LimitError: far too much.
        """
        here = MOST_ON_A_PAGE
        found = []
        for raw, matrix in self._objects:
            if pdfium.FPDFPageObj_GetType(raw) != pdfium.FPDF_PAGEOBJ_PATH:
                continue
            count = max(1, pdfium.FPDFPath_CountSegments(raw))
            self.file.left -= count
            here -= count
            if self.file.left < 0 or here < 0:
                self._refuse()
            found.append(_path(raw, count, matrix))
        return found

    def bands(self) -> Iterator[tuple[float, Grey]]:
        """The page as pictures in grey, a band at a time: its top, mm from the page's, and pixels.

        The picture library draws marks laid over a page too (annotations).
        """
        width, height = (side * MM / PIXEL for side in self.page.get_size())
        if width > MOST_PIXELS:
            self._refuse()
        rows = max(1, min(int(height), int(MOST_PIXELS / max(1, width))))
        for first in range(0, max(1, int(height)), rows):
            crop = (0, max(0.0, height - first - rows) * PIXEL / MM, 0, first * PIXEL / MM)
            drawn = self.page.render(scale=MM / PIXEL, grayscale=True, crop=crop)
            yield first * PIXEL, drawn.to_numpy().reshape(drawn.height, drawn.width)

    def _refuse(self) -> None:
        raise LimitError(tr("draws too much to be a pack"), where=self.file.name, mend=NO_PACK)

    @functools.cached_property
    def _objects(self) -> list[tuple[Any, Transform]]:
        """Every object with the map from its points to the page's, in points."""
        page, found = self.page.raw, []
        count = pdfium.FPDFPage_CountObjects(page)
        stack = [
            (pdfium.FPDFPage_GetObject(page, n), Transform(), 0) for n in reversed(range(count))
        ]
        while stack:
            raw, outer, depth = stack.pop()
            if pdfium.FPDFPageObj_GetType(raw) != pdfium.FPDF_PAGEOBJ_FORM:
                found.append((raw, _matrix(raw).then(outer)))
            elif depth < DEEPEST:
                inner = _matrix(raw).then(outer)
                held = pdfium.FPDFFormObj_CountObjects(raw)
                stack += [
                    (pdfium.FPDFFormObj_GetObject(raw, n), inner, depth + 1)
                    for n in reversed(range(held))
                ]
        return found


def _matrix(raw: object) -> Transform:
    found = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(raw, found):
        return Transform()
    return Transform(found.a, found.b, found.c, found.d, found.e, found.f)


def _path(raw: object, count: int, matrix: Transform) -> DrawnPath:
    x, y = ctypes.c_float(), ctypes.c_float()
    letters = {pdfium.FPDF_SEGMENT_MOVETO: "m", pdfium.FPDF_SEGMENT_LINETO: "l",
               pdfium.FPDF_SEGMENT_BEZIERTO: "c"}  # fmt: skip
    kinds, points = [], []
    for n in range(count):
        segment = pdfium.FPDFPath_GetPathSegment(raw, n)
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        moved = matrix.apply(Point(x.value, y.value))
        kinds.append(letters.get(pdfium.FPDFPathSegment_GetType(segment), "?"))
        points.append(Point(moved.x * MM, moved.y * MM))
        if pdfium.FPDFPathSegment_GetClose(segment):
            kinds.append("h")
            points.append(points[-1])
    filling, stroked = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDFPath_GetDrawMode(raw, filling, stroked)
    scale: float = abs(matrix.a * matrix.d - matrix.b * matrix.c) ** 0.5 * MM
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(raw, width)
    is_filled = filling.value != pdfium.FPDF_FILLMODE_NONE
    return DrawnPath(
        kinds="".join(kinds),
        points=tuple(points),
        width=width.value * scale if stroked.value else 0.0,
        dashes=tuple(dash * scale for dash in _dashes(raw)) if stroked.value else (),
        colours=(
            _colour(raw, pdfium.FPDFPageObj_GetStrokeColor) if stroked.value else None,
            _colour(raw, pdfium.FPDFPageObj_GetFillColor) if is_filled else None,
        ),
    )


def _dashes(raw: object) -> list[float]:
    count = min(100, pdfium.FPDFPageObj_GetDashCount(raw))
    if count <= 0:
        return []
    held = (ctypes.c_float * count)()
    pdfium.FPDFPageObj_GetDashArray(raw, held, count)
    return list(held)


def _colour(raw: object, get: Any) -> tuple[int, ...]:  # noqa: ANN401 - a function of pdfium
    found = [ctypes.c_uint() for _ in range(4)]
    get(raw, *found)
    return tuple(one.value for one in found)
