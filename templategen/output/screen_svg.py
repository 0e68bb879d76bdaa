"""SVG for a screen: groups with ids and classes instead of layers; colours are the page's own."""

from xml.etree import ElementTree

from templategen.geometry.shapes import Box
from templategen.messages import Wording
from templategen.output.svg import SvgPen, number, xml_text
from templategen.parts.drawing import Drawing
from templategen.parts.nest_drawing import Groups, bounds_of

MARGIN = 4.0  # mm round the drawing
NAMESPACE = "http://www.w3.org/2000/svg"
LEFT_OUT = "font-family"  # the page settles the face


class _Element:
    """An element that others are added to, as `SvgPen` does."""

    def __init__(self, name: str, attributes: dict[str, str]) -> None:
        self.held = ElementTree.Element(
            name,
            {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()},
        )
        self.held.attrib.pop(LEFT_OUT, None)

    def add(self, other: "_Element") -> None:
        """Puts an element inside this one."""
        self.held.append(other.held)


class _Elements:
    """Makes elements without the checks of a library, which take most of the time."""

    def g(self, **attributes: str) -> _Element:
        """A group."""
        return _Element("g", attributes)

    def path(self, **attributes: str) -> _Element:
        """A path."""
        return _Element("path", attributes)

    def text(self, text: str, *, insert: tuple[str, str], **attributes: str) -> _Element:
        """A line of text."""
        element = _Element("text", {"x": insert[0], "y": insert[1], **attributes})
        element.held.text = text
        return element


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
    root = _root(box)
    places = {"data-left": number(box.left), "data-face": number(box.top)}
    root.held.attrib.update({"id": name, "class": name, "xml:lang": wording.language, **places})
    make = _Elements()
    pen = SvgPen(make, box=box)
    for group in groups:
        element = make.g(id=group.id, class_=group.classes)
        for key, value in group.data:
            element.held.set(f"data-{key}", xml_text(value))
        pen.layers = dict.fromkeys(pen.layers, element)
        Drawing(items=group.items).draw(pen)
        root.add(element)
    return ElementTree.tostring(root.held, encoding="unicode")


def drawing_on_screen(drawing: Drawing) -> str:
    """A drawing as an SVG element without ids, so that many stand on one page."""
    box = drawing.bounds().grown(MARGIN / 2)
    root = _root(box)
    pen = SvgPen(_Elements(), box=box, thin=max(box.width, box.height) / 300)
    pen.layers = dict.fromkeys(pen.layers, root)
    drawing.draw(pen)
    return ElementTree.tostring(root.held, encoding="unicode")


def _root(box: Box) -> _Element:
    shown = f"0 0 {number(box.width)} {number(box.height)}"
    return _Element("svg", {"xmlns": NAMESPACE, "viewBox": shown})
