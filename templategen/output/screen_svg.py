"""SVG for a screen: groups with ids and classes instead of layers; colours are the page's own."""

from xml.etree import ElementTree

import svgwrite

from templategen.messages import Wording
from templategen.output.svg import SvgPen, number, xml_text
from templategen.parts.drawing import Drawing
from templategen.parts.nest_drawing import Groups, bounds_of

MARGIN = 4.0  # mm round the drawing


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
    target = svgwrite.Drawing(
        viewBox=f"0 0 {number(box.width)} {number(box.height)}", debug=False, id=name, class_=name
    )
    for side in ("width", "height"):  # the page settles how large it is
        del target.attribs[side]
    target["xml:lang"] = wording.language
    target["data-left"], target["data-face"] = number(box.left), number(box.top)
    pen = SvgPen(target, box=box)
    for group in groups:
        element = target.g(id=group.id, class_=group.classes)
        for name, value in group.data:
            element[f"data-{name}"] = xml_text(value)
        pen.layers = dict.fromkeys(pen.layers, element)
        Drawing(items=group.items).draw(pen)
        target.add(element)
    root = target.get_xml()
    for text in root.iter("text"):  # the page settles the face
        del text.attrib["font-family"]
    return ElementTree.tostring(root, encoding="unicode")


def drawing_on_screen(drawing: Drawing) -> str:
    """A drawing as an SVG element without ids, so that many stand on one page."""
    box = drawing.bounds().grown(MARGIN / 2)
    target = svgwrite.Drawing(viewBox=f"0 0 {number(box.width)} {number(box.height)}", debug=False)
    for side in ("width", "height"):
        del target.attribs[side]
    pen = SvgPen(target, box=box, thin=max(box.width, box.height) / 300)
    pen.layers = dict.fromkeys(pen.layers, target)
    drawing.draw(pen)
    return ElementTree.tostring(target.get_xml(), encoding="unicode")
