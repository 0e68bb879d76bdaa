"""DXF read back by a parser that did not write it, and held against the model."""

import io
import math

import ezdxf
import ezdxf.recover
import pytest
from builders import demo_plan
from ezdxf.entities import DXFGraphic
from ezdxf.path import make_path

from templategen.geometry.offset import piece_of, signed_area
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform
from templategen.output.dxf import drawing_dxf
from templategen.output.svg import MARGIN
from templategen.parts.drawing import Drawing, Part, Path, Role, Text
from templategen.parts.machine_lines import machine_drawing
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

TRUE = 1e-5  # mm: written to a nanometre
LAYERS = {Role.CUT: "cut", Role.MARK: "mark", Role.NOTE: "engrave"}


@pytest.fixture(scope="module")
def parts() -> tuple[Part, ...]:
    """One part of each kind of the built-in demo."""
    made = make_parts(demo_plan(), kinds=(), style=PrintStyle(units=Units.MM))
    return tuple({part.kind: part for part in made}.values())


def _framed(part: Part) -> Drawing:
    """What a machine is given of a part, its lower left a margin from the origin."""
    made = machine_drawing([part.drawing])
    box = made.bounds()
    return made.moved(Transform.move(MARGIN - box.left, MARGIN - box.bottom))


def _read(data: bytes) -> ezdxf.document.Drawing:
    document, auditor = ezdxf.recover.read(io.BytesIO(data))
    assert auditor.errors == []
    assert auditor.fixes == []
    assert document.audit().errors == []
    return document


def _same_segment(entity: DXFGraphic, segment: Segment) -> None:
    ends = [make_path(entity).start, make_path(entity).end]
    wanted = [segment.start, segment.end]
    if isinstance(segment, Line):
        assert entity.dxftype() == "LINE"
    else:
        assert entity.dxftype() == ("CIRCLE" if segment.is_circle else "ARC")
        assert entity.dxf.radius == pytest.approx(segment.radius, abs=TRUE)
        assert math.dist(tuple(entity.dxf.center)[:2], segment.centre) < TRUE
        if segment.is_circle:
            return
        if segment.sweep < 0:
            ends.reverse()
        turn = math.degrees(segment.from_angle + segment.sweep / 2)
        begin, stop = entity.dxf.start_angle, entity.dxf.end_angle
        assert (turn - begin) % 360 <= (stop - begin) % 360 + 1e-6
    for end, point in zip(ends, wanted, strict=True):
        assert math.dist((end.x, end.y), point) < TRUE


def _halves(segment: Segment) -> list[Segment]:
    """An arc of more than half a turn as two, as a bulge of at most 1 needs it."""
    if isinstance(segment, Arc) and abs(segment.sweep) > math.pi:
        return [piece_of(segment, 0.0, 0.5), piece_of(segment, 0.5, 1.0)]
    return [segment]


def test_dxf_audits_clean_and_holds_the_model(parts: tuple[Part, ...]) -> None:
    """Millimetres by $INSUNITS 4 and $MEASUREMENT 1; each path is one entity, true arcs and all.

    A closed contour is one closed polyline or one circle, so that a machine need not join lines.
    """
    kinds = set()
    for part in parts:
        document = _read(drawing_dxf(machine_drawing([part.drawing])))
        assert document.header["$INSUNITS"] == 4  # DXF reference: millimetres
        assert document.header["$MEASUREMENT"] == 1  # DXF reference: metric
        for role, layer in LAYERS.items():
            read = document.modelspace().query(f'*[layer=="{layer}"]')
            shapes = [e for e in read if e.dxftype() != "TEXT"]
            for entity, path in zip(shapes, _framed(part).paths(role), strict=True):
                kinds.add(entity.dxftype())
                if entity.dxftype() != "LWPOLYLINE":
                    (segment,) = path.segments
                    _same_segment(entity, segment)
                    continue
                assert entity.closed == path.closed
                model = [half for s in path.segments for half in _halves(s)]
                for piece, segment in zip(entity.virtual_entities(), model, strict=True):
                    _same_segment(piece, segment)
    assert kinds == {"LINE", "ARC", "CIRCLE", "LWPOLYLINE"}


def test_layers_are_operations_in_their_colours(parts: tuple[Part, ...]) -> None:
    """Cut red, mark blue, engrave black, as true colours (DXF reference, group code 420)."""
    document = _read(drawing_dxf(machine_drawing([parts[-1].drawing])))
    colours = {name: tuple(document.layers.get(name).rgb) for name in LAYERS.values()}
    assert colours == {"cut": (255, 0, 0), "mark": (0, 0, 255), "engrave": (0, 0, 0)}
    assert {e.dxf.layer for e in document.modelspace()} <= colours.keys()
    assert all(e.dxf.color == 256 for e in document.modelspace())  # by layer (group code 62)
    assert all(e.dxf.linetype == "BYLAYER" for e in document.modelspace())


def test_a_frame_is_the_sheet() -> None:
    """The origin is the lower left of the frame, which the limits of the drawing show."""
    line = Drawing(items=(Path(segments=(Line(Point(5, 7), Point(20, 7)),)),))
    document = _read(drawing_dxf(line, frame=Box(0, 0, 300, 600)))
    (entity,) = document.modelspace()
    assert tuple(entity.dxf.start)[:2] == (5, 7)
    assert tuple(document.header["$LIMMAX"]) == (300, 600)
    assert tuple(document.header["$EXTMAX"]) == (300, 600, 0)


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


def _tags(data: bytes) -> list[tuple[int, str]]:
    """Group codes and values, two lines each (DXF reference, ASCII files)."""
    lines = data.decode("utf-8").splitlines()
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def test_dxf_by_its_group_codes(parts: tuple[Part, ...]) -> None:
    """A plain reader of group codes, which knows nothing of the writing library, finds the cuts.

    CIRCLE 10 20 40; LWPOLYLINE 10 20 42 for each corner, bulge the tangent of a quarter of the
    angle, and 70 whose first bit closes it (DXF reference, ENTITIES section). The area by the
    corners and bulges is that of the model's outline.
    """
    for part in parts:
        tags = _tags(drawing_dxf(machine_drawing([part.drawing])))
        header = {
            value: tags[n + 1][1].strip() for n, (code, value) in enumerate(tags) if code == 9
        }
        assert header["$INSUNITS"] == "4"
        assert header["$MEASUREMENT"] == "1"
        start = tags.index((2, "ENTITIES"))
        found: list[list[tuple[int, str]]] = []
        for code, value in tags[start + 1 :]:
            if code == 0:
                if value == "ENDSEC":
                    break
                found.append([])
            if found:
                found[-1].append((code, value))
        cuts = [entity for entity in found if (8, "cut") in entity]
        for entity, path in zip(cuts, _framed(part).paths(Role.CUT), strict=True):
            if entity[0] == (0, "CIRCLE"):
                figures = {code: float(value) for code, value in entity if code in (10, 20, 40)}
                (ring,) = path.segments
                assert figures[40] == pytest.approx(ring.radius, abs=TRUE)
                assert (figures[10], figures[20]) == pytest.approx(ring.centre, abs=TRUE)
                continue
            assert entity[0] == (0, "LWPOLYLINE")
            assert int(dict(entity)[70]) & 1
            assert _bulged_area(entity) == pytest.approx(signed_area(path.segments), rel=1e-9)


def _bulged_area(entity: list[tuple[int, str]]) -> float:
    corners: list[list[float]] = []
    for code, value in entity:
        if code == 10:
            corners.append([float(value), 0.0, 0.0])
        elif code in (20, 42) and corners:
            corners[-1][1 if code == 20 else 2] = float(value)
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = math.dist((x0, y0), (x1, y1)) / 2 / math.sin(abs(angle) / 2)
            total += math.copysign(radius**2 * (abs(angle) - math.sin(abs(angle))) / 2, bulge)
    return total
