"""DXF read back by a parser that did not write it, and held against the model."""

import io
import math

import ezdxf
import ezdxf.recover
import numpy as np
import pytest
import shapely
from builders import demo_plan
from ezdxf.path import from_hatch, make_path

from templategen.geometry.shapes import Arc, Line, Point, Transform
from templategen.output.dxf import drawing_dxf
from templategen.output.svg import MARGIN
from templategen.parts.drawing import Drawing, Part, Path, Role, Text
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

TRUE = 1e-5  # mm: written to a nanometre


@pytest.fixture(scope="module")
def parts() -> tuple[Part, ...]:
    """Every part of the built-in demo."""
    return make_parts(demo_plan(), kinds=(), style=PrintStyle(units=Units.MM))


def _framed(part: Part) -> Drawing:
    box = part.drawing.bounds()
    return part.drawing.moved(Transform.move(MARGIN - box.left, MARGIN - box.bottom))


def _read(data: bytes) -> ezdxf.document.Drawing:
    document, auditor = ezdxf.recover.read(io.BytesIO(data))
    assert auditor.errors == []
    assert auditor.fixes == []
    assert document.audit().errors == []
    return document


def test_dxf_audits_clean_and_holds_the_model(parts: tuple[Part, ...]) -> None:
    """Millimetres by $INSUNITS 4 and $MEASUREMENT 1; every line, arc and circle is the model's."""
    seen = set()
    for part in parts:
        document = _read(drawing_dxf(part.drawing))
        assert document.header["$INSUNITS"] == 4  # DXF reference: millimetres
        assert document.header["$MEASUREMENT"] == 1  # DXF reference: metric
        for role in Role:
            read = [e for e in document.modelspace() if e.dxf.layer == role.value]
            shapes = [e for e in read if e.dxftype() not in ("TEXT", "HATCH")]
            drawn = _framed(part).paths(role)
            model = [s for p in drawn if p.line_width > 0 for s in p.segments]
            dark = [p for p in drawn if p.fill is not None and p.fill < 0.5]
            for entity, path in zip((e for e in read if e.dxftype() == "HATCH"), dark, strict=True):
                (edge,) = entity.paths
                ends = [tuple(e.start) for e in edge.edges]
                assert np.allclose(ends, [s.start for s in path.segments], atol=TRUE)
                assert entity.dxf.solid_fill == 1
            for entity, segment in zip(shapes, model, strict=True):
                seen.add(entity.dxftype())
                ends = [make_path(entity).start, make_path(entity).end]
                if isinstance(segment, Line):
                    assert entity.dxftype() == "LINE"
                    wanted = [segment.start, segment.end]
                else:
                    assert entity.dxftype() == ("CIRCLE" if segment.is_circle else "ARC")
                    assert entity.dxf.radius == pytest.approx(segment.radius, abs=TRUE)
                    assert math.dist(tuple(entity.dxf.center)[:2], segment.centre) < TRUE
                    wanted = [segment.start, segment.end]
                    if segment.sweep < 0:
                        ends.reverse()
                    if not segment.is_circle:
                        middle = segment.at(segment.from_angle + segment.sweep / 2)
                        turn = math.degrees(segment.from_angle + segment.sweep / 2)
                        begin, stop = entity.dxf.start_angle, entity.dxf.end_angle
                        assert (turn - begin) % 360 <= (stop - begin) % 360 + 1e-6, middle
                for end, point in zip(ends, wanted, strict=True):
                    assert math.dist((end.x, end.y), point) < TRUE
    assert seen == {"LINE", "ARC", "CIRCLE"}


def test_letters_are_outlines_on_request() -> None:
    """No text is left; the letter H of DejaVu Sans is 1493 of 2048 units high (its own file)."""
    frame = Path(segments=(Line(Point(-90, -60), Point(90, 60)),), role=Role.MARK)
    letter = Drawing(items=(frame, Text(text="H", at=Point(0, 0), size=20.48)))
    space = _read(drawing_dxf(letter, outlines=True)).modelspace()
    assert not space.query("TEXT")
    ends = [p[1] for e in space.query("LWPOLYLINE") for p in e.get_points("xy")]
    assert max(ends) - min(ends) == pytest.approx(14.93, abs=1e-6)


def test_text_cannot_break_out() -> None:
    """Codes in a name are shown, never carried out."""
    nasty = "50%%d %%% ^J \\U+0041 \\P \x85\ufffe"
    words = Text(text=nasty, at=Point(0, 5))
    drawing = Drawing(items=(Path(segments=(Line(Point(0, 0), Point(100, 0)),)), words))
    (entity,) = _read(drawing_dxf(drawing)).modelspace().query("TEXT")
    assert "\n" not in entity.dxf.text
    assert entity.plain_text().startswith("50%%d %%% ^J \\U+0041 \\P ")


@pytest.mark.parametrize("turned", [False, True])
def test_a_dark_inside_is_the_model_s(turned: bool) -> None:
    """A filled quarter of a disc, run either way, has its own area when read back; white has none.

    ezdxf gives the outline of a hatch back as a path whose cubics swell by 3 parts in 10 000.
    """
    run = (
        Line(Point(0, 0), Point(10, 0)),
        Arc(Point(0, 0), 10.0, 0.0, math.pi / 2),
        Line(Point(0, 10), Point(0, 0)),
    )
    if turned:
        run = tuple(s.reversed() for s in reversed(run))
    dark = Path(segments=run, role=Role.NOTE, closed=True, fill=0.0, width=0.0)
    white = Path(segments=run, role=Role.NOTE, closed=True, fill=1.0, width=0.0)
    (hatch,) = _read(drawing_dxf(Drawing(items=(dark, white)), margin=0.0)).modelspace()
    corners = [
        (v.x, v.y) for path in from_hatch(hatch) for v in path.flattening(0.0001, segments=64)
    ]
    assert shapely.Polygon(corners).area == pytest.approx(math.pi * 25, rel=5e-4)
    assert shapely.Polygon(corners).bounds == pytest.approx((0, 0, 10, 10), abs=1e-6)


def _tags(data: bytes) -> list[tuple[int, str]]:
    """Group codes and values, two lines each (DXF reference, ASCII files)."""
    lines = data.decode("utf-8").splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def test_dxf_by_its_group_codes(parts: tuple[Part, ...]) -> None:
    """A plain reader of group codes, which knows nothing of the writing library, finds the cuts.

    LINE 10 20 11 21; CIRCLE 10 20 40; ARC 10 20 40 50 51, always anticlockwise (DXF reference,
    ENTITIES section).
    """
    for part in parts:
        tags = _tags(drawing_dxf(part.drawing))
        header = {
            value: tags[n + 1][1].strip() for n, (code, value) in enumerate(tags) if code == 9
        }
        assert header["$INSUNITS"] == "4"
        assert header["$MEASUREMENT"] == "1"
        start = tags.index((2, "ENTITIES"))
        found: list[dict[int, str]] = []
        for code, value in tags[start + 1 :]:
            if code == 0:
                if value == "ENDSEC":
                    break
                found.append({0: value})
            elif found:
                found[-1].setdefault(code, value)
        cuts = [e for e in found if e[8] == "cut"]
        model = [s for path in _framed(part).paths(Role.CUT) for s in path.segments]
        assert len(cuts) == len(model)
        for entity, segment in zip(cuts, model, strict=True):
            figures = {c: float(v) for c, v in entity.items() if c in (10, 20, 11, 21, 40, 50, 51)}
            first = (figures[10], figures[20])
            if isinstance(segment, Line):
                assert entity[0] == "LINE"
                assert first == pytest.approx(segment.start, abs=TRUE)
                assert (figures[11], figures[21]) == pytest.approx(segment.end, abs=TRUE)
                continue
            assert first == pytest.approx(segment.centre, abs=TRUE)
            assert figures[40] == pytest.approx(segment.radius, abs=TRUE)
            assert entity[0] == ("CIRCLE" if segment.is_circle else "ARC")
            if not segment.is_circle:
                swept = math.radians((figures[51] - figures[50]) % 360)
                assert swept == pytest.approx(abs(segment.sweep), abs=1e-9)
                low = min(segment.from_angle, segment.from_angle + segment.sweep)
                turn = (math.radians(figures[50]) - low + math.pi) % (2 * math.pi) - math.pi
                assert turn == pytest.approx(0.0, abs=1e-9)
