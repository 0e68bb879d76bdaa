"""SVG at 1:1: millimetres, viewBox in the same numbers, true arcs, one layer for each role.

Written as SVG 1.1 (W3C Recommendation, second edition). The only place where y is turned over.
"""

import math
import re
from xml.etree import ElementTree

from templategen.geometry.shapes import Arc, Box, Line, Point
from templategen.messages import spoken
from templategen.output.outlines import text_outlines
from templategen.parts.drawing import Anchor, Drawing, Path, Role, Text

SPACE = "http://www.w3.org/2000/svg"
MARGIN = 2.0  # mm round the drawing
FONT = "DejaVu Sans, sans-serif"
WIDEST_ARC = 2 * math.pi / 3  # of one A command: nearer to a half turn, rounding moves its centre
_ANCHORS = {Anchor.START: "start", Anchor.MIDDLE: "middle", Anchor.END: "end"}
_GREYS = {Role.CUT: "#000000", Role.MARK: "#000000", Role.NOTE: "#404040"}
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, 2.2


def xml_text(text: str) -> str:
    """The text, every character that XML cannot hold shown as a replacement character."""
    return _NOT_XML.sub("�", text)


def number(value: float) -> str:
    """A length in text: to a nanometre, no zeros at the end.

    >>> number(1.5), number(-0.0000001), number(1e7)
    ('1.5', '0', '10000000')
    """
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class SvgPen:
    """Draws onto the layers of an SVG element.

    Args:
        box: the part of the drawing's plane that is shown, mm; its top left becomes (0, 0).
        outlines: whether text is drawn as the outlines of its letters.
        thin: least width of a line, mm.
    """

    def __init__(self, *, box: Box, outlines: bool = False, thin: float = 0.0) -> None:
        self.box = box
        self.outlines = outlines
        self.thin = thin
        self.layers = {
            role: ElementTree.Element("g", {"id": role.value, "class": role.value})
            for role in (Role.NOTE, Role.MARK, Role.CUT)
        }

    def _at(self, point: Point) -> str:
        return f"{number(point.x - self.box.left)} {number(self.box.top - point.y)}"

    def path(self, path: Path) -> None:
        """Lines as L, arcs as A."""
        words = [f"M{self._at(path.segments[0].start)}"]
        for segment in path.segments:
            match segment:
                case Line():
                    words.append(f"L{self._at(segment.end)}")
                case Arc():
                    words += self._arc(segment)
        if path.closed:
            words.append("Z")
        shade = "none"
        if path.fill is not None:
            shade = f"#{round(255 * path.fill):02x}" + f"{round(255 * path.fill):02x}" * 2
        options = {"d": " ".join(words), "fill": shade}
        wide = path.line_width
        options["stroke"] = _GREYS[path.role] if wide > 0 else "none"
        if wide > 0:
            options["stroke-width"] = number(max(wide, self.thin))
        if path.dashed:
            options["stroke-dasharray"] = "2 1.2"
        ElementTree.SubElement(self.layers[path.role], "path", options)

    def _arc(self, arc: Arc) -> list[str]:
        pieces = max(1, math.ceil(abs(arc.sweep) / WIDEST_ARC - 1e-9))
        way = 0 if arc.sweep > 0 else 1
        radius = number(arc.radius)
        ends = (arc.at(arc.from_angle + arc.sweep * n / pieces) for n in range(1, pieces + 1))
        return [f"A{radius} {radius} 0 0 {way} {self._at(end)}" for end in ends]

    def text(self, text: Text) -> None:
        """One line of text, or its outlines, on the layer of notes."""
        layer = self.layers[Role.NOTE]
        if self.outlines:
            words: list[str] = []
            for contour in text_outlines(text):
                words.append(f"M{self._at(contour.start)}")
                for curve in contour.curves:
                    if curve.control is None:
                        words.append(f"L{self._at(curve.end)}")
                    else:
                        words.append(f"Q{self._at(curve.control)} {self._at(curve.end)}")
                words.append("Z")
            if words:
                options = {"d": " ".join(words), "fill": "#000000", "stroke": "none"}
                ElementTree.SubElement(layer, "path", options)
            return
        x, y = self._at(text.at).split()
        options = {"x": x, "y": y, "font-family": FONT, "font-size": number(text.size)}
        if text.bold:
            options["font-weight"] = "bold"
        if text.anchor is not Anchor.START:
            options["text-anchor"] = _ANCHORS[text.anchor]
        if abs(text.angle) > 1e-9:
            options["transform"] = f"rotate({number(-math.degrees(text.angle))} {x} {y})"
        options["fill"] = "#000000"
        ElementTree.SubElement(layer, "text", options).text = xml_text(text.text)


def drawing_svg(
    drawing: Drawing,
    *,
    title: str = "",
    note: str = "",
    outlines: bool = False,
    margin: float = MARGIN,
    thin: float = 0.0,
    paper: bool = False,
) -> bytes:
    """A drawing at 1:1 as an SVG file.

    Args:
        drawing: full size, mm.
        title: the file's title.
        note: its description.
        outlines: whether text is drawn as the outlines of its letters.
        margin: mm round the drawing, at least 0.
        thin: least width of a line, mm.
        paper: whether a white sheet lies under it.

    Returns: UTF-8 text; the same input gives the same bytes. The lower left of the drawing's
        bounds lies `margin` from the left and the bottom.
    """
    box = drawing.bounds().grown(margin)
    width, height = number(box.width), number(box.height)
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": SPACE,
            "version": "1.1",
            "xml:lang": spoken(),
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"0 0 {width} {height}",
        },
    )
    for name, text in (("title", title), ("desc", note)):
        if text:
            ElementTree.SubElement(root, name).text = xml_text(text)
    if paper:
        options = {"width": width, "height": height, "fill": "#ffffff"}
        ElementTree.SubElement(root, "rect", options)
    pen = SvgPen(box=box, outlines=outlines, thin=thin)
    drawing.draw(pen)
    root.extend(layer for layer in pen.layers.values() if len(layer))
    ElementTree.indent(root, " ")
    text = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()
