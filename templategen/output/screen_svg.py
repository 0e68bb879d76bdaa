"""SVG for a screen: groups with ids and classes instead of layers; colours are the page's own."""

import math
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from templategen.geometry.shapes import Box, Point
from templategen.messages import Wording
from templategen.output.svg import number, path_commands, xml_text
from templategen.parts.drawing import Anchor, Drawing, Item, Path, Text
from templategen.parts.nest_drawing import Groups, bounds_of

MARGIN = 4.0  # mm round the drawing
NAMESPACE = "http://www.w3.org/2000/svg"
DASHES = "2 1.2"
_ANCHORS = {Anchor.START: "", Anchor.MIDDLE: "middle", Anchor.END: "end"}


class ScreenPen:
    """Writes items as SVG elements; the library that writes files to cut takes thrice as long.

    Args:
        box: the part of the drawing's plane that is shown, mm; its top left becomes (0, 0).
        thin: least width of a line, mm.
    """

    def __init__(self, box: Box, *, thin: float = 0.0) -> None:
        self.left, self.top, self.thin = box.left, box.top, thin
        self.elements: list[str] = []

    def written(self, items: Iterable[Item]) -> str:
        """The elements of some items."""
        self.elements = []
        Drawing(items=tuple(items)).draw(self)
        return "".join(self.elements)

    def _at(self, point: Point) -> str:
        return f"{point.x - self.left:.4f} {self.top - point.y:.4f}"

    def path(self, path: Path) -> None:
        """Lines as L, arcs as A."""
        commands = "".join(path_commands(path, at=self._at, figure="{:.4f}".format))
        fill = "none" if path.fill is None else "#" + f"{round(255 * path.fill):02x}" * 3
        width = path.line_width
        stroke = f' stroke="#000" stroke-width="{max(width, self.thin):.2f}"' if width > 0 else ""
        dashes = f' stroke-dasharray="{DASHES}"' if path.dashed else ""
        self.elements.append(f'<path d="{commands}" fill="{fill}"{stroke}{dashes}/>')

    def text(self, text: Text) -> None:
        """One line of text; the page settles its face."""
        x, y = self._at(text.at).split()
        anchor = _ANCHORS[text.anchor]
        words = [f'<text x="{x}" y="{y}" font-size="{text.size:.2f}"']
        if anchor:
            words.append(f' text-anchor="{anchor}"')
        if text.bold:
            words.append(' font-weight="bold"')
        if abs(text.angle) > 1e-9:
            words.append(f' transform="rotate({-math.degrees(text.angle):.3f} {x} {y})"')
        self.elements.append(f"{''.join(words)}>{escape(xml_text(text.text))}</text>")


def groups_svg(groups: Groups, *, name: str, wording: Wording) -> str:
    """Groups as an SVG element that a page puts into itself.

    Args:
        groups: at least one, the lowest first.
        name: id of the whole drawing, and its class.
        wording: whose language it is in.

    Returns: the element; `data-left` is the x of its left edge and `data-face` how far the line
        y = 0 lies under its upper edge, mm.
    """
    box = bounds_of(groups).grown(MARGIN)
    pen = ScreenPen(box)
    words = [
        _start(box),
        f' id="{name}" class="{name}" xml:lang="{wording.language}"'
        f' data-left="{number(box.left)}" data-face="{number(box.top)}">',
    ]
    for group in groups:
        data = "".join(f" data-{key}={quoteattr(xml_text(value))}" for key, value in group.data)
        words.append(f'<g id="{group.id}" class="{group.classes}"{data}>')
        words.append(pen.written(group.items))
        words.append("</g>")
    return "".join([*words, "</svg>"])


def drawing_on_screen(drawing: Drawing) -> str:
    """A drawing as an SVG element without ids, so that many stand on one page."""
    box = drawing.bounds().grown(MARGIN / 2)
    pen = ScreenPen(box, thin=max(box.width, box.height) / 300)
    return f"{_start(box)}>{pen.written(drawing.items)}</svg>"


def _start(box: Box) -> str:
    shown = f"0 0 {number(box.width)} {number(box.height)}"
    return f'<svg xmlns="{NAMESPACE}" viewBox="{shown}"'
