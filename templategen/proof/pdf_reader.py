"""Reads the paths that a PDF draws, with pdfium, which has no part in writing it. Millimetres.

The recipe is read with pdfium as well: one parser for both leaves no room for a file that shows
one recipe to one parser and other drawings to another.
"""

import contextlib
import ctypes
import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Box, Point, Transform
from templategen.inputs.toml_table import read_bounded
from templategen.messages import Wording, languages, tr, tr_count
from templategen.sheets.page import sheet_label
from templategen.units import MM_PER_INCH, POINTS_PER_INCH

MM = MM_PER_INCH / POINTS_PER_INCH  # mm in a point
MOST_FILE = 64_000_000  # bytes
MOST_PAGES = 1000
MOST_SEGMENTS = 300_000  # of one file; 400 full sheets have less
MOST_ON_A_PAGE = 60_000  # segments
DEEPEST = 8  # forms within forms
FOOT = 26.0  # mm: the words below it are those of the bars and the foot

Cubic = tuple[Point, Point, Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPath:
    """One drawn path, page mm.

    Args:
        pieces: lines as two points, Bézier segments as four.
        width: of the stroke, mm, or 0 if it is not stroked.
        filled: whether its inside is filled.
        clip: the box it shows through, or None for the whole page.
    """

    pieces: tuple[tuple[Point, ...], ...]
    width: float
    filled: bool
    clip: Box | None

    def moved(self, transform: Transform) -> tuple[tuple[Point, ...], ...]:
        """The pieces under a map."""
        return tuple(tuple(transform.apply(p) for p in piece) for piece in self.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPage:
    """One page of a file.

    Args:
        index: from 0.
        sheet: the sheet number printed on it, or in its label; None if neither says.
        media: the page's box, mm.
        shown: the part of it that a viewer shows or prints.
        turn: quarter turns clockwise.
        paths: everything drawn.
    """

    index: int
    sheet: int | None
    media: Box
    shown: Box
    turn: int
    paths: tuple[DrawnPath, ...]


@functools.cache
def _sheet_pattern() -> re.Pattern[str]:
    """How the foot of a sheet begins in any language: a pack may be printed in another one."""
    labels = set()
    for language in languages():
        before, _, after = Wording(language).text(sheet_label(7)).partition("7")
        labels.add(rf"{re.escape(before)}(\d{{1,5}})(?!\w){re.escape(after)}")
    return re.compile(rf"^(?:{'|'.join(sorted(labels))})", re.MULTILINE)


class PackFile:
    """An open PDF file; a context manager.

    Args:
        path: of the file.

    Raises:
        InputError: missing, too large, not a PDF, or locked.
    """

    def __init__(self, path: Path) -> None:
        self.name = path.name
        self.left = MOST_SEGMENTS
        data = read_bounded(path, most=MOST_FILE, ending=".pdf", mend=tr("this is no pack"))
        try:
            self.document = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise InputError(
                tr("is not a PDF that can be read"),
                where=self.name,
                mend=tr("name a pack's .pdf file"),
            ) from error
        if not 1 <= len(self.document) <= MOST_PAGES:
            count = len(self.document)
            self.document.close()
            raise LimitError(
                tr_count("has {count} page", "has {count} pages", count),
                where=self.name,
                mend=tr("this is no pack"),
            )

    def __enter__(self) -> "PackFile":
        return self

    def __exit__(self, *_: object) -> None:
        self.document.close()

    def attachment(self, name: str, *, most: int) -> bytes:
        """The bytes of an attached file.

        Args:
            name: of the attachment.
            most: bytes.

        Raises:
            InputError: there is none, or it is larger.
        """
        for number in range(min(self.document.count_attachments(), 100)):
            with contextlib.suppress(pypdfium2.PdfiumError, UnicodeDecodeError):
                held = self.document.get_attachment(number)
                if held.get_name() != name:
                    continue
                size = ctypes.c_ulong()
                pdfium.FPDFAttachment_GetFile(held.raw, None, 0, size)
                if size.value > most:
                    raise LimitError(
                        tr("{name} is larger than {most} MB", name=name, most=most // 1_000_000),
                        where=self.name,
                        mend=tr("this is no pack"),
                    )
                return bytes(held.get_data())
        raise InputError(
            tr("carries no {name}", name=name),
            where=self.name,
            mend=tr("name a PDF that templategen printed"),
        )

    def pages(self) -> Iterator[DrawnPage]:
        """Each page, read one at a time.

        Raises:
            InputError: a page cannot be read, or draws far too much.
        """
        for index in range(len(self.document)):
            try:
                page = self._page(index)
            except (pypdfium2.PdfiumError, UnicodeDecodeError) as error:
                raise InputError(
                    tr("page {number} cannot be read", number=index + 1),
                    where=self.name,
                    mend=tr("print it anew"),
                ) from error
            yield page

    def _page(self, index: int) -> DrawnPage:
        page = self.document[index]
        try:
            return DrawnPage(
                index=index,
                sheet=self._sheet(page, index),
                media=_box(page.get_mediabox()),
                shown=_box(page.get_cropbox()),
                turn=page.get_rotation() // 90,
                paths=tuple(self._paths(page)),
            )
        finally:
            page.close()

    def _sheet(self, page: pypdfium2.PdfPage, index: int) -> int | None:
        """The number printed at the foot, else the one in the page's label."""
        words = page.get_textpage()
        try:
            foot = words.get_text_bounded(top=FOOT / MM)
        finally:
            words.close()
        for text in (foot, self.document.get_page_label(index) or ""):
            found = _sheet_pattern().search(text.replace("\r", "\n"))
            if found:
                return int(found[found.lastindex or 0])
        return None

    def _paths(self, page: pypdfium2.PdfPage) -> Iterator[DrawnPath]:
        here = MOST_ON_A_PAGE
        for raw, matrix in _objects(page):
            count = max(1, pdfium.FPDFPath_CountSegments(raw))
            self.left -= count
            here -= count
            if self.left < 0 or here < 0:
                raise LimitError(
                    tr("draws too much to be a pack"),
                    where=self.name,
                    mend=tr("this is no pack"),
                )
            pieces = _pieces(raw, count, matrix)
            if pieces:
                yield DrawnPath(
                    pieces=tuple(pieces),
                    width=_stroke(raw, matrix),
                    filled=_is_filled(raw),
                    clip=_clip(raw),
                )


def _box(corners: tuple[float, float, float, float]) -> Box:
    return Box(*(c * MM for c in corners))


def _matrix(raw: object) -> Transform:
    found = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(raw, found):
        return Transform()
    return Transform(found.a, found.b, found.c, found.d, found.e, found.f)


def _objects(page: pypdfium2.PdfPage) -> Iterator[tuple[object, Transform]]:
    """Every path object with the map from its points to the page's, in points."""
    count = pdfium.FPDFPage_CountObjects(page.raw)
    stack = [
        (pdfium.FPDFPage_GetObject(page.raw, n), Transform(), 0) for n in reversed(range(count))
    ]
    while stack:
        raw, outer, depth = stack.pop()
        kind = pdfium.FPDFPageObj_GetType(raw)
        if kind == pdfium.FPDF_PAGEOBJ_PATH:
            yield raw, _matrix(raw).then(outer)
        elif kind == pdfium.FPDF_PAGEOBJ_FORM and depth < DEEPEST:
            inner = _matrix(raw).then(outer)
            held = pdfium.FPDFFormObj_CountObjects(raw)
            stack += [
                (pdfium.FPDFFormObj_GetObject(raw, n), inner, depth + 1)
                for n in reversed(range(held))
            ]


def _pieces(raw: object, count: int, matrix: Transform) -> list[tuple[Point, ...]]:
    x, y = ctypes.c_float(), ctypes.c_float()
    pieces: list[tuple[Point, ...]] = []
    start = here = Point(0.0, 0.0)
    arms: list[Point] = []
    for n in range(count):
        segment = pdfium.FPDFPath_GetPathSegment(raw, n)
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        moved = matrix.apply(Point(x.value, y.value))
        point = Point(moved.x * MM, moved.y * MM)
        kind = pdfium.FPDFPathSegment_GetType(segment)
        if kind == pdfium.FPDF_SEGMENT_MOVETO:
            start = here = point
        elif kind == pdfium.FPDF_SEGMENT_LINETO:
            pieces.append((here, point))
            here = point
        elif kind == pdfium.FPDF_SEGMENT_BEZIERTO:
            arms.append(point)
            if len(arms) == 3:
                pieces.append((here, *arms))
                here, arms = point, []
        if pdfium.FPDFPathSegment_GetClose(segment):
            if abs(here.x - start.x) + abs(here.y - start.y) > 1e-4:
                pieces.append((here, start))
            here = start
    return pieces


def _stroke(raw: object, matrix: Transform) -> float:
    mode, stroked = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDFPath_GetDrawMode(raw, mode, stroked)
    if not stroked.value:
        return 0.0
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(raw, width)
    scale: float = abs(matrix.a * matrix.d - matrix.b * matrix.c) ** 0.5
    return float(width.value) * scale * MM


def _is_filled(raw: object) -> bool:
    mode, stroked = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDFPath_GetDrawMode(raw, mode, stroked)
    return bool(mode.value != pdfium.FPDF_FILLMODE_NONE)


def _clip(raw: object) -> Box | None:
    """The box common to all clip paths of an object, mm."""
    clip = pdfium.FPDFPageObj_GetClipPath(raw)
    count = pdfium.FPDFClipPath_CountPaths(clip) if clip else 0
    found: Box | None = None
    x, y = ctypes.c_float(), ctypes.c_float()
    for path in range(max(0, min(count, 20))):
        points = []
        for n in range(max(0, min(pdfium.FPDFClipPath_CountPathSegments(clip, path), 1000))):
            segment = pdfium.FPDFClipPath_GetPathSegment(clip, path, n)
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            points.append((x.value * MM, y.value * MM))
        if not points:
            continue
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        box = Box(min(xs), min(ys), max(xs), max(ys))
        found = box if found is None else Box(
            max(found.left, box.left), max(found.bottom, box.bottom),
            min(found.right, box.right), min(found.top, box.top))  # fmt: skip
    return found
