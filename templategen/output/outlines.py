"""Text as the outlines of its letters, for machines that have no fonts."""

import functools
import io
from dataclasses import dataclass
from typing import Any

from fontTools.pens.basePen import decomposeQuadraticSegment
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from templategen.geometry.shapes import Point, Transform
from templategen.parts.drawing import Anchor, Text
from templategen.parts.lettering import font_path


@dataclass(frozen=True, slots=True)
class Curve:
    """A quadratic Bézier piece of a letter, or a straight one, which has no `control`."""

    control: Point | None
    end: Point


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed run of curves."""

    start: Point
    curves: tuple[Curve, ...]

    def moved(self, place: Transform) -> "Contour":
        """The contour under a map."""
        at = place.apply
        curves = [
            Curve(None if curve.control is None else at(curve.control), at(curve.end))
            for curve in self.curves
        ]
        return Contour(at(self.start), tuple(curves))


@functools.cache
def _font(bold: bool) -> tuple[Any, dict[int, str], int]:
    font = TTFont(io.BytesIO(font_path(bold=bold).read_bytes()))
    return font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm


def text_outlines(text: Text) -> tuple[Contour, ...]:
    """The contours of a line of text, mm, in the frame of the text.

    The letters are those of the bundled font; TrueType curves are quadratic, so nothing is lost.
    """
    em = _font(text.bold)[2]
    width = text.width
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[text.anchor]
    size = text.size / em
    place = (
        Transform.scale(size, size)
        .then(Transform.move(shift, 0))
        .then(Transform.rotate(text.angle))
        .then(Transform.move(*text.at))
    )
    contours: list[Contour] = []
    along = 0.0
    for character in text.text:
        letter, wide = _letter(character, text.bold)
        there = Transform.move(along, 0).then(place)
        contours += [contour.moved(there) for contour in letter]
        along += wide
    return tuple(contours)


@functools.lru_cache(maxsize=512)
def _letter(character: str, bold: bool) -> tuple[tuple[Contour, ...], float]:
    """The contours of a letter and how far the next one is from it, in units of the font."""
    glyphs, names, _ = _font(bold)
    glyph = glyphs[names.get(ord(character), ".notdef")]
    pen = DecomposingRecordingPen(glyphs)
    glyph.draw(pen)
    return tuple(_contours(pen.value)), glyph.width


def _contours(verbs: list[tuple[str, Any]]) -> list[Contour]:
    contours: list[Contour] = []
    start, curves = Point(0.0, 0.0), list[Curve]()

    def at(pair: tuple[float, float]) -> Point:
        return Point(*pair)

    for verb, points in verbs:
        if verb == "moveTo":
            start, curves = at(points[0]), []
        elif verb == "lineTo":
            curves.append(Curve(None, at(points[0])))
        elif verb == "qCurveTo":
            if points[-1] is None:  # a contour with no point on the curve
                first, last = points[0], points[-2]
                between = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
                start, curves = at(between), []
                points = (*points[:-1], between)
            for control, end in decomposeQuadraticSegment(points):
                curves.append(Curve(at(control), at(end)))
        elif verb == "closePath" and curves:
            contours.append(Contour(start, tuple(curves)))
    return contours
