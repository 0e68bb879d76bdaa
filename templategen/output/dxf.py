"""DXF at 1:1: millimetres, lines, true arcs and circles, one layer for each operation."""

import contextlib
import io
import math
from collections.abc import Iterator
from typing import Any

from templategen.geometry.offset import SAME
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform
from templategen.output.dxf_library import TextEntityAlignment, ezdxf
from templategen.output.dxf_library import options as ezdxf_options
from templategen.output.operations import OPERATIONS
from templategen.output.outlines import Contour, text_outlines
from templategen.output.svg import MARGIN
from templategen.parts.drawing import Anchor, Drawing, Path, Role, Text

VERSION = "R2010"  # reads Unicode text; AC1024
MILLIMETRES = 4  # of $INSUNITS (DXF reference, header variables)
CAPITAL = 0.729  # height of a capital over the font size, DejaVu Sans: 1493 of 2048 units for H
LETTER_GAP = 0.02  # mm: the most that a letter's outline may lie off its curve
_COLOURS = {Role.CUT: 1, Role.MARK: 5, Role.NOTE: 7}  # red, blue, black on white, by number
_WEIGHT = 9  # hundredths of a millimetre; the nearest that the format has to a tenth
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
    """Draws onto the model space of a DXF document; an inside has no colour there."""

    def __init__(self, space: Any, *, outlines: bool = False) -> None:  # noqa: ANN401 - no type
        self.space = space
        self.outlines = outlines

    def path(self, path: Path) -> None:
        """A single segment as LINE, ARC or CIRCLE, a run of them as one polyline with bulges."""
        if path.line_width <= 0:
            return
        look = {"layer": OPERATIONS[path.role].layer}
        match path.segments:
            case (Line(start, end),):
                self.space.add_line(tuple(start), tuple(end), dxfattribs=look)
            case (Arc() as arc,) if arc.is_circle:
                self.space.add_circle(tuple(arc.centre), arc.radius, dxfattribs=look)
            case (Arc() as arc,) if not path.closed:
                ends = (arc.from_angle, arc.from_angle + arc.sweep)
                low, high = (math.degrees(a) for a in (ends if arc.sweep > 0 else ends[::-1]))
                self.space.add_arc(tuple(arc.centre), arc.radius, low, high, dxfattribs=look)
            case _:
                self._polyline(path, look)

    def _polyline(self, path: Path, look: dict[str, str]) -> None:
        corners = [vertex for segment in path.segments for vertex in _vertices(segment)]
        last = path.segments[-1].end
        if not path.closed or math.dist(path.segments[0].start, last) > SAME:
            corners.append((*last, 0.0))
        self.space.add_lwpolyline(corners, format="xyb", close=path.closed, dxfattribs=look)

    def text(self, text: Text) -> None:
        """One line of text, or its outlines, on the layer of notes."""
        if self.outlines:
            for contour in text_outlines(text):
                self.space.add_lwpolyline(
                    [tuple(p) for p in flattened(contour, max_gap=LETTER_GAP)],
                    close=True,
                    dxfattribs={"layer": OPERATIONS[Role.NOTE].layer},
                )
            return
        placed = self.space.add_text(
            escaped(text.text),
            height=text.size * CAPITAL,
            rotation=math.degrees(text.angle),
            dxfattribs={
                "layer": OPERATIONS[Role.NOTE].layer,
                "style": "bold" if text.bold else "regular",
            },
        )
        placed.set_placement(tuple(text.at), align=_ANCHORS[text.anchor])


def _vertices(segment: Segment) -> list[tuple[float, float, float]]:
    """Start points with bulges: the tangent of a quarter of the angle that the arc runs over.

    An arc of more than half a turn is two, so that its bulge stays at 1 or less (DXF reference,
    LWPOLYLINE, group code 42).
    """
    if isinstance(segment, Line):
        return [(*segment.start, 0.0)]
    count = 2 if abs(segment.sweep) > math.pi else 1
    step = segment.sweep / count
    starts = (segment.at(segment.from_angle + n * step) for n in range(count))
    return [(*start, math.tan(step / 4)) for start in starts]


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


def drawing_dxf(drawing: Drawing, *, outlines: bool = False, frame: Box | None = None) -> bytes:
    """A drawing at 1:1 as a DXF file: a layer for each operation of a machine.

    Args:
        drawing: full size, mm; of a dashed line all is drawn, see `machine_drawing`.
        outlines: whether text is drawn as the outlines of its letters.
        frame: what the file shows, its lower left the origin, mm; None for all of the drawing
            with a margin of `MARGIN` round it.

    Returns: ASCII DXF as UTF-8; the same input gives the same bytes.
    """
    box = frame or drawing.bounds().grown(MARGIN)
    with _fixed():
        document = ezdxf.new(VERSION, setup=False)  # type: ignore[attr-defined] # no stub
        document.header["$INSUNITS"] = MILLIMETRES
        document.header["$MEASUREMENT"] = 1  # metric
        document.header["$LUNITS"] = 2  # decimal
        document.styles.add("regular", font="DejaVuSans.ttf")
        document.styles.add("bold", font="DejaVuSans-Bold.ttf")
        for role, operation in OPERATIONS.items():
            layer = document.layers.add(operation.layer, color=_COLOURS[role])
            layer.rgb = operation.colour
            layer.dxf.lineweight = _WEIGHT
        space = document.modelspace()
        pen = DxfPen(space, outlines=outlines)
        drawing.moved(Transform.move(-box.left, -box.bottom)).draw(pen)
        low, high = (0.0, 0.0, 0.0), (box.width, box.height, 0.0)
        space.reset_extents(low, high)
        space.reset_limits(low[:2], high[:2])
        document.header["$EXTMIN"], document.header["$EXTMAX"] = low, high
        # The library would add them in the order of a set, which hangs on the hash seed.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode("utf-8")
