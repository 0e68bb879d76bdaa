"""SVG read back by a parser that did not write it, and held against the model."""

import io
import math
from xml.etree import ElementTree

import pytest
import svgelements
from builders import demo_plan

from templategen.geometry.shapes import Arc, Line, Point, Transform
from templategen.messages import Wording
from templategen.output.svg import MARGIN, SvgLook, drawing_svg
from templategen.parts.drawing import Anchor, Drawing, Part, Path, Role, Text
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

TRUE = 1e-5  # mm: written to a nanometre
ONE_TO_ONE = 1 / 0.0393701  # the reader's own inches in a millimetre, so that 1 mm reads as 1


@pytest.fixture(scope="module")
def parts() -> tuple[Part, ...]:
    """Every part of the built-in demo."""
    return make_parts(demo_plan(), kinds=(), style=PrintStyle(units=Units.MM))


def _framed(part: Part) -> Drawing:
    box = part.drawing.bounds()
    return part.drawing.moved(Transform.move(MARGIN - box.left, MARGIN - box.bottom))


def test_svg_size_and_arcs(parts: tuple[Part, ...]) -> None:
    """Size in mm equals the viewBox; each path is the model's; every arc is an A command.

    svgelements gives centre and radius of an arc back; it reads the end points of W3C SVG 1.1,
    appendix F.6.
    """
    arcs = 0
    for part in parts:
        data = drawing_svg(part.drawing, title=part.title)
        box = part.drawing.bounds()
        root = svgelements.SVG.parse(io.BytesIO(data), ppi=ONE_TO_ONE)
        assert root.width == pytest.approx(box.width + 2 * MARGIN, abs=TRUE)
        assert root.height == pytest.approx(box.height + 2 * MARGIN, abs=TRUE)
        element = ElementTree.fromstring(data)
        width, height = element.attrib["width"], element.attrib["height"]
        assert (width[-2:], height[-2:]) == ("mm", "mm")
        assert element.attrib["viewBox"] == f"0 0 {width[:-2]} {height[:-2]}"
        framed = _framed(part)
        for role in Role:
            read = [
                e
                for g in root.select(lambda e: isinstance(e, svgelements.Group))
                if g.id == role.value
                for e in g.select(lambda e: isinstance(e, svgelements.Path))
            ]
            model = framed.paths(role)
            assert len(read) == len(model)
            for drawn, path in zip(read, model, strict=True):
                found = [
                    s for s in drawn if not isinstance(s, svgelements.Move | svgelements.Close)
                ]
                arcs += _same_run(found, path, tall=float(root.height))
    model_arcs = [s for p in parts for q in p.drawing.paths() for s in q.segments]
    assert arcs == sum(isinstance(s, Arc) for s in model_arcs) > 40


def _same_run(found: list[object], path: Path, *, tall: float) -> int:
    arcs, at = 0, 0
    for segment in path.segments:
        if isinstance(segment, Line):
            assert isinstance(found[at], svgelements.Line)
            end = found[at].end
            assert math.dist((end.x, tall - end.y), segment.end) < TRUE
            at += 1
            continue
        swept = 0.0
        while abs(swept) < abs(segment.sweep) - 1e-4:
            arc = found[at]
            assert isinstance(arc, svgelements.Arc)
            assert arc.rx == pytest.approx(segment.radius, abs=TRUE)
            assert arc.ry == pytest.approx(segment.radius, abs=TRUE)
            for n in range(13):
                point = arc.point(n / 12)
                away = math.dist((point.x, tall - point.y), segment.centre)
                assert away == pytest.approx(segment.radius, abs=1e-4)
            swept -= arc.sweep  # y is turned over, so angles are as well
            at += 1
        assert swept == pytest.approx(segment.sweep, abs=1e-4)
        end = found[at - 1].end
        assert math.dist((end.x, tall - end.y), segment.end) < TRUE
        arcs += 1
    assert at == len(found)
    return arcs


def test_letters_are_outlines_on_request() -> None:
    """No text is left; the outlines fill the box that the same text needs, as its own sizes say."""
    words = Text(text="Ø 12½ ″ Łukasz", at=Point(5, 5), size=10.0, angle=0.4, anchor=Anchor.MIDDLE)
    frame = Path(segments=(Line(Point(-90, -60), Point(90, 60)),), role=Role.MARK)
    drawing = Drawing(items=(frame, words))
    data = drawing_svg(drawing, look=SvgLook(outlines=True))
    assert b"<text" not in data
    assert b"<text" in drawing_svg(drawing)
    root = svgelements.SVG.parse(io.BytesIO(data), ppi=ONE_TO_ONE)
    (group,) = [g for g in root.select() if g.id == "note"]
    left, _, right, _ = group[0].bbox()
    box, shift = words.bounds(), MARGIN - drawing.bounds().left
    assert left >= box.left + shift - 0.05
    assert right <= box.right + shift + 0.05


def test_text_cannot_break_out() -> None:
    """Tags in a name or a title are shown, never carried out."""
    nasty = '<script>alert("x")</script> & ]]> \x85\ufffe'
    words = Text(text=nasty, at=Point(0, 5))
    drawing = Drawing(items=(Path(segments=(Line(Point(0, 0), Point(100, 0)),)), words))
    data = drawing_svg(drawing, title=nasty, note=nasty)
    assert b"<script" not in data
    root = svgelements.SVG.parse(io.BytesIO(data), ppi=ONE_TO_ONE)
    (text,) = [e for e in root.select() if isinstance(e, svgelements.Text)]
    assert text.text.startswith('<script>alert("x")</script> & ]]>')


def test_drawings_state_their_language(parts: tuple[Part, ...]) -> None:
    """Attribute xml:lang (XML 1.0, 2.12), read by the standard library."""
    name = "{http://www.w3.org/XML/1998/namespace}lang"
    for language in ("en", "de"):
        look = SvgLook(wording=Wording(language))
        assert (
            ElementTree.fromstring(drawing_svg(parts[0].drawing, look=look)).get(name) == language
        )
