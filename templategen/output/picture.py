"""A picture of the nest as SVG, true arcs kept as arcs."""

import io
import math

import svgwrite

from templategen.geometry.shapes import Arc, Line
from templategen.messages import spoken
from templategen.nest.plan import Plan
from templategen.output.svg import xml_text
from templategen.parts import section_sheet
from templategen.parts.drawing import Anchor, Drawing, Path, Text


class SvgPen:
    """Draws onto an svgwrite drawing; y is turned over here and nowhere else."""

    def __init__(self, target: svgwrite.Drawing, left: float, top: float) -> None:
        self.target = target
        self.left = left
        self.top = top

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return round(x - self.left, 5), round(self.top - y, 5)

    def path(self, path: Path) -> None:
        """Lines and arcs as path commands."""
        first = path.segments[0].start
        words: list[object] = ["M", *self._at(first.x, first.y)]
        for segment in path.segments:
            match segment:
                case Line(_, end):
                    words += ["L", *self._at(end.x, end.y)]
                case Arc():
                    pieces = max(1, math.ceil(abs(segment.sweep) / math.pi - 1e-9))
                    pieces = 2 if segment.is_circle else pieces
                    flag = 0 if segment.sweep > 0 else 1
                    for n in range(1, pieces + 1):
                        end = segment.at(segment.from_angle + segment.sweep * n / pieces)
                        words += ["A", segment.radius, segment.radius, 0, 0, flag]
                        words += self._at(end.x, end.y)
        if path.closed:
            words.append("Z")
        options = {"stroke_dasharray": "2,1.2"} if path.dashed else {}
        grey = 0 if path.fill is None else round(path.fill * 255)
        drawn = self.target.path(
            d=words,
            fill="none" if path.fill is None else f"rgb({grey},{grey},{grey})",
            stroke="black" if path.line_width > 0 else "none",
            stroke_width=max(path.line_width, 0.3),
            **options,
        )
        self.target.add(drawn)

    def text(self, text: Text) -> None:
        """One line of text, escaped by the library."""
        anchors = {Anchor.START: "start", Anchor.MIDDLE: "middle", Anchor.END: "end"}
        x, y = self._at(text.at.x, text.at.y)
        self.target.add(
            self.target.text(
                xml_text(text.text),
                insert=(x, y),
                font_size=text.size,
                font_family="DejaVu Sans, sans-serif",
                font_weight="bold" if text.bold else "normal",
                text_anchor=anchors[text.anchor],
                transform=f"rotate({round(-math.degrees(text.angle), 5)},{x},{y})",
            )
        )


def section_svg(plan: Plan) -> str:
    """The half section of the whole nest at 1:1, millimetres, viewBox in the same numbers."""
    (sheet,) = section_sheet.make(plan, units=plan.job.units)
    return drawing_svg(sheet.drawing)


def drawing_svg(drawing: Drawing) -> str:
    """Any drawing at 1:1 as SVG text."""
    box = drawing.bounds().grown(4.0)
    width, height = round(box.width, 3), round(box.height, 3)
    target = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    target["xml:lang"] = spoken()
    target.add(target.rect(insert=(0, 0), size=(width, height), fill="white"))
    drawing.draw(SvgPen(target, box.left, box.top))
    out = io.StringIO()
    target.write(out)
    return out.getvalue()
