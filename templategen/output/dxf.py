"""DXF at 1:1: millimetres, lines, true arcs and circles, one layer for each role."""

import contextlib
import io
import math
from collections.abc import Iterator
from typing import Any

import ezdxf
from ezdxf import options as ezdxf_options  # type: ignore[attr-defined] # it is there
from ezdxf.enums import TextEntityAlignment

from templategen.geometry.shapes import Arc, Line, Point, Transform
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.output.outlines import Contour, text_outlines
from templategen.output.svg import MARGIN
from templategen.parts.drawing import Anchor, Drawing, Path, Role, Text

VERSION = "R2010"  # reads Unicode text; AC1024
MILLIMETRES = 4  # of $INSUNITS (DXF reference, header variables)
CAPITAL = 0.729  # height of a capital over the font size, DejaVu Sans: 1493 of 2048 units for H
BY_LAYER = 256  # colour number (DXF reference, group code 62)
DARK = 0.5  # grey of an inside that is drawn; a lighter one only clears what lies under it
DASHES = "TEMPLATE_DASHES"
LETTER_GAP = 0.005  # mm: the most that a letter's outline may lie off its curve
_COLOURS = {Role.CUT: 7, Role.MARK: 5, Role.NOTE: 8}
_WEIGHTS = {Role.CUT: 20, Role.MARK: 15, Role.NOTE: 9}  # hundredths of a millimetre
_ANCHORS = {
    Anchor.START: TextEntityAlignment.LEFT,
    Anchor.MIDDLE: TextEntityAlignment.CENTER,
    Anchor.END: TextEntityAlignment.RIGHT,
}


@contextlib.contextmanager
def _fixed() -> Iterator[None]:
    """No clock and no random ids in the file while this lasts."""
    before = ezdxf_options.write_fixed_meta_data_for_testing
    ezdxf_options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf_options.write_fixed_meta_data_for_testing = before


def escaped(text: str) -> str:
    """Text that a DXF reader shows letter by letter: no code in it is carried out.

    >>> escaped("50%%d ^J")
    '50%%%%%%d ^ J'
    """
    clean = "".join(c if c.isprintable() else " " for c in text)
    return clean.replace("%%", "%%%%%%").replace("^", "^ ").replace("\\", "\\U+005C")


class DxfPen:
    """Draws onto the model space of a DXF document."""

    def __init__(self, space: Any, *, outlines: bool = False) -> None:  # noqa: ANN401 - no type
        self.space = space
        self.outlines = outlines

    def path(self, path: Path) -> None:
        """Each line as LINE, each arc as ARC, a full turn as CIRCLE; a dark inside as HATCH."""
        look = {"layer": path.role.value}
        if path.fill is not None and path.fill < DARK:
            self._shade(path, look)
        if path.line_width <= 0:
            return
        if path.dashed:
            look["linetype"] = DASHES
        for segment in path.segments:
            match segment:
                case Line(start, end):
                    self.space.add_line(tuple(start), tuple(end), dxfattribs=look)
                case Arc():
                    self._arc(segment, look)
        first, last = path.segments[0].start, path.segments[-1].end
        if path.closed and math.dist(first, last) > 1e-6:
            self.space.add_line(tuple(last), tuple(first), dxfattribs=look)

    def _shade(self, path: Path, look: dict[str, str]) -> None:
        edge = self.space.add_hatch(color=BY_LAYER, dxfattribs=look).paths.add_edge_path()
        for segment in path.segments:
            match segment:
                case Line(start, end):
                    edge.add_line(tuple(start), tuple(end))
                case Arc(centre, radius, start_angle, sweep):
                    ends = sorted(math.degrees(a) for a in (start_angle, start_angle + sweep))
                    edge.add_arc(tuple(centre), radius, *ends, ccw=sweep > 0)

    def _arc(self, arc: Arc, look: dict[str, str]) -> None:
        if arc.is_circle:
            self.space.add_circle(tuple(arc.centre), arc.radius, dxfattribs=look)
            return
        ends = (arc.from_angle, arc.from_angle + arc.sweep)
        start, end = (math.degrees(angle) for angle in (ends if arc.sweep > 0 else ends[::-1]))
        self.space.add_arc(tuple(arc.centre), arc.radius, start, end, dxfattribs=look)

    def text(self, text: Text) -> None:
        """One line of text, or its outlines, on the layer of notes."""
        if self.outlines:
            for contour in text_outlines(text):
                self.space.add_lwpolyline(
                    [tuple(p) for p in flattened(contour, max_gap=LETTER_GAP)],
                    close=True,
                    dxfattribs={"layer": Role.NOTE.value},
                )
            return
        placed = self.space.add_text(
            escaped(text.text),
            height=text.size * CAPITAL,
            rotation=math.degrees(text.angle),
            dxfattribs={"layer": Role.NOTE.value, "style": "bold" if text.bold else "regular"},
        )
        placed.set_placement(tuple(text.at), align=_ANCHORS[text.anchor])


def flattened(contour: Contour, *, max_gap: float) -> list[Point]:
    """The corners of a letter's contour, no straight side more than `max_gap` mm off the curve.

    A quadratic piece lies at most |p0 - 2 p1 + p2| / 4 n² off n equal steps of its parameter.
    """
    points = [contour.start]
    for curve in contour.curves:
        start, control, end = points[-1], curve.control, curve.end
        if control is None:
            points.append(end)
            continue
        bend = math.hypot(start.x - 2 * control.x + end.x, start.y - 2 * control.y + end.y)
        count = max(1, math.ceil(math.sqrt(bend / (4 * max_gap))))
        for n in range(1, count + 1):
            t = n / count
            a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
            points.append(
                Point(
                    a * start.x + b * control.x + c * end.x, a * start.y + b * control.y + c * end.y
                )
            )
    if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-9:
        points.pop()
    return points


def drawing_dxf(
    drawing: Drawing,
    *,
    outlines: bool = False,
    margin: float = MARGIN,
    wording: Wording = ENGLISH_WORDING,
) -> bytes:
    """A drawing at 1:1 as a DXF file.

    Args:
        drawing: full size, mm.
        outlines: whether text is drawn as the outlines of its letters.
        margin: mm from the origin to the lower left of the drawing's bounds.
        wording: the language of the description of the dashes.

    Returns: ASCII DXF as UTF-8; the same input gives the same bytes.
    """
    box = drawing.bounds()
    with _fixed():
        document = ezdxf.new(VERSION, setup=False)  # type: ignore[attr-defined] # no stub
        document.header["$INSUNITS"] = MILLIMETRES
        document.header["$MEASUREMENT"] = 1  # metric
        document.header["$LUNITS"] = 2  # decimal
        document.linetypes.add(DASHES, [3.2, 2.0, -1.2], description=wording.say("dashes of 2 mm"))
        document.styles.add("regular", font="DejaVuSans.ttf")
        document.styles.add("bold", font="DejaVuSans-Bold.ttf")
        for role in Role:
            layer = document.layers.add(role.value, color=_COLOURS[role])
            layer.dxf.lineweight = _WEIGHTS[role]
        pen = DxfPen(document.modelspace(), outlines=outlines)
        drawing.moved(Transform.move(margin - box.left, margin - box.bottom)).draw(pen)
        low, high = (0.0, 0.0, 0.0), (box.width + 2 * margin, box.height + 2 * margin, 0.0)
        document.header["$EXTMIN"], document.header["$EXTMAX"] = low, high
        # The library would add them in the order of a set, which hangs on the hash seed.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode("utf-8")
