"""SVG at 1:1: millimetres, viewBox in the same numbers, true arcs, one layer for each role.

Written as SVG 1.1 (W3C Recommendation, second edition). The only place where y is turned over.
"""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

import svgwrite

from templategen.geometry.shapes import Arc, Box, Line, Point
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.output.operations import MACHINE_LINE, OPERATIONS
from templategen.output.outlines import text_outlines
from templategen.parts.drawing import Anchor, Drawing, Path, Role, Text

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


def path_commands(
    path: Path, *, at: Callable[[Point], str], figure: Callable[[float], str]
) -> Iterator[str]:
    """The commands of a path: M, then L for a line and A for an arc, Z where it closes.

    Args:
        path: in the drawing's plane.
        at: the coordinates of a point as text.
        figure: a length as text.
    """
    yield f"M{at(path.segments[0].start)}"
    for segment in path.segments:
        match segment:
            case Line():
                yield f"L{at(segment.end)}"
            case Arc():
                pieces = max(1, math.ceil(abs(segment.sweep) / WIDEST_ARC - 1e-9))
                way, radius = 0 if segment.sweep > 0 else 1, figure(segment.radius)
                for n in range(1, pieces + 1):
                    end = segment.at(segment.from_angle + segment.sweep * n / pieces)
                    yield f"A{radius} {radius} 0 0 {way} {at(end)}"
    if path.closed:
        yield "Z"


class SvgPen:
    """Draws onto the layers of an SVG.

    Args:
        target: makes the elements.
        box: the part of the drawing's plane that is shown, mm; its top left becomes (0, 0).
        look: how it is written.
    """

    def __init__(self, target: svgwrite.Drawing, *, box: Box, look: "SvgLook") -> None:
        self.target = target
        self.box = box
        self.look = look
        self.layers = {}
        for role, operation in OPERATIONS.items():
            name = operation.layer if look.for_machine else role.value
            self.layers[role] = target.g(id=name, class_=name)

    def _at(self, point: Point) -> str:
        return f"{number(point.x - self.box.left)} {number(self.box.top - point.y)}"

    def path(self, path: Path) -> None:
        """Lines as L, arcs as A."""
        commands = " ".join(path_commands(path, at=self._at, figure=number))
        if self.look.for_machine:
            self._run(commands, path.role)
            return
        shade = "none" if path.fill is None else "#" + f"{round(255 * path.fill):02x}" * 3
        wide = path.line_width
        options = {"stroke": _GREYS[path.role] if wide > 0 else "none"}
        if wide > 0:
            options["stroke_width"] = number(max(wide, self.look.thin))
        if path.dashed:
            options["stroke_dasharray"] = "2 1.2"
        self.layers[path.role].add(self.target.path(d=commands, fill=shade, **options))

    def _run(self, commands: str, role: Role) -> None:
        """A line for a machine, in the colour of its operation."""
        colour, wide = OPERATIONS[role].hex, number(MACHINE_LINE)
        self.layers[role].add(
            self.target.path(d=commands, fill="none", stroke=colour, stroke_width=wide)
        )

    def text(self, text: Text) -> None:
        """One line of text, or its outlines, on the layer of notes."""
        layer = self.layers[Role.NOTE]
        if self.look.outlines:
            words: list[str] = []
            for contour in text_outlines(text):
                words.append(f"M{self._at(contour.start)}")
                for curve in contour.curves:
                    if curve.control is None:
                        words.append(f"L{self._at(curve.end)}")
                    else:
                        words.append(f"Q{self._at(curve.control)} {self._at(curve.end)}")
                words.append("Z")
            if words and self.look.for_machine:
                self._run(" ".join(words), Role.NOTE)
            elif words:
                layer.add(self.target.path(d=" ".join(words), fill="#000000", stroke="none"))
            return
        x, y = self._at(text.at).split()
        options = {"font_family": FONT, "font_size": number(text.size), "fill": "#000000"}
        if text.bold:
            options["font_weight"] = "bold"
        if text.anchor is not Anchor.START:
            options["text_anchor"] = _ANCHORS[text.anchor]
        if abs(text.angle) > 1e-9:
            options["transform"] = f"rotate({number(-math.degrees(text.angle))} {x} {y})"
        layer.add(self.target.text(xml_text(text.text), insert=(x, y), **options))


@dataclass(frozen=True, slots=True, kw_only=True)
class SvgLook:
    """How a drawing is written as SVG.

    Args:
        outlines: whether text is drawn as the outlines of its letters.
        margin: mm round the drawing, at least 0.
        thin: least width of a line, mm.
        paper: whether a white sheet lies under it.
        wording: the language of its text.
        for_machine: whether lines have the colours and layers of operations, nothing is filled,
            and letters drawn as outlines are lines too.
        frame: what is shown, mm; None for all of the drawing with its margin.
    """

    outlines: bool = False
    margin: float = MARGIN
    thin: float = 0.0
    paper: bool = False
    wording: Wording = ENGLISH_WORDING
    for_machine: bool = False
    frame: Box | None = None


PLAIN = SvgLook()


def drawing_svg(
    drawing: Drawing, *, title: str = "", note: str = "", look: SvgLook = PLAIN
) -> bytes:
    """A drawing at 1:1 as an SVG file.

    Args:
        drawing: full size, mm.
        title: the file's title.
        note: its description.
        look: how it is written.

    Returns: UTF-8 text; the same input gives the same bytes. The lower left of the drawing's
        bounds lies `look.margin` from the left and the bottom, or its frame fills the file.
    """
    box = look.frame or drawing.bounds().grown(look.margin)
    width, height = number(box.width), number(box.height)
    target = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    target["xml:lang"] = look.wording.language
    target.set_desc(title=xml_text(title) or None, desc=xml_text(note) or None)
    if look.paper:
        target.add(target.rect(size=(width, height), fill="#ffffff"))
    pen = SvgPen(target, box=box, look=look)
    drawing.draw(pen)
    for layer in pen.layers.values():
        if layer.elements:
            target.add(layer)
    root = target.get_xml()
    ElementTree.indent(root, " ")
    text = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()
