"""SVG and DXF read back by parsers that did not write them, and held against the model."""

import io
import itertools
import math
import os
import re
import subprocess
import sys
from pathlib import Path as File

import ezdxf
import ezdxf.recover
import numpy as np
import pytest
import shapely
import svgelements
from ezdxf.path import from_hatch, make_path
from svgelements import SVG

from templategen.geometry.shapes import Arc, Line, Point, Segment, Transform
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan
from templategen.output.dxf import drawing_dxf
from templategen.output.names import safe_name, unique_names
from templategen.output.svg import MARGIN, drawing_svg
from templategen.parts.drawing import Anchor, Drawing, Part, Path, Role, Text
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

ROOT = File(__file__).parents[2]

TRUE = 1e-5  # mm: both formats are written to a nanometre
ONE_TO_ONE = 1 / 0.0393701  # the reader's own inches in a millimetre, so that 1 mm reads as 1


@pytest.fixture(scope="module")
def parts() -> tuple[Part, ...]:
    """Every part of the built-in demo."""
    return make_parts(
        make_plan(demo_job(), demo_shop(), with_mends=False),
        kinds=(),
        style=PrintStyle(units=Units.MM),
    )


def _framed(part: Part) -> Drawing:
    box = part.drawing.bounds()
    return part.drawing.moved(Transform.move(MARGIN - box.left, MARGIN - box.bottom))


def _samples(segment: Segment) -> list[Point]:
    if isinstance(segment, Line):
        return [segment.start, segment.end]
    return [segment.at(segment.from_angle + segment.sweep * n / 24) for n in range(25)]


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
        sizes = re.search(
            r'width="(\S+)mm" height="(\S+)mm" viewBox="0 0 (\S+) (\S+)"', data.decode()
        )
        assert sizes is not None
        assert sizes.groups()[:2] == sizes.groups()[2:]
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


def test_same_bytes_in_other_processes(tmp_path: File) -> None:
    """Whole processes with other hash seeds write the same files."""
    made = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        words = ["pack", "--format", "svg,dxf", "--part", "cut plate", "--out", str(out)]
        done = subprocess.run(
            [sys.executable, "-m", "templategen", *words, "--beam", "0.2"],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        made.append({p.relative_to(out): p.read_bytes() for p in out.rglob("*.*") if p.is_file()})
    assert made[0] == made[1]
    assert {p.suffix for p in made[0]} == {".svg", ".dxf"}


def test_letters_are_outlines_on_request(parts: tuple[Part, ...]) -> None:
    """No text is left; the outlines fill the box that the same text needs, in both formats."""
    words = Text(text="Ø 12½ ″ Łukasz", at=Point(5, 5), size=10.0, angle=0.4, anchor=Anchor.MIDDLE)
    frame = Path(segments=(Line(Point(-90, -60), Point(90, 60)),), role=Role.MARK)
    drawing = Drawing(items=(frame, words))
    data = drawing_svg(drawing, outlines=True)
    assert b"<text" not in data
    assert b"<text" in drawing_svg(drawing)
    (group,) = [g for g in SVG.parse(io.BytesIO(data), ppi=ONE_TO_ONE).select() if g.id == "note"]
    left, top, right, bottom = group[0].bbox()
    document = _read(drawing_dxf(drawing, outlines=True))
    assert not document.modelspace().query("TEXT")
    corners = [p for e in document.modelspace().query("LWPOLYLINE") for p in e.get_points("xy")]
    xs, ys = [c[0] for c in corners], [c[1] for c in corners]
    tall = drawing.bounds().height + 2 * MARGIN
    # the two writers agree to the gap that the polylines of letters are allowed
    assert (left, right) == pytest.approx((min(xs), max(xs)), abs=0.006)
    assert (tall - bottom, tall - top) == pytest.approx((min(ys), max(ys)), abs=0.006)
    box, shift = words.bounds(), MARGIN - drawing.bounds().left
    assert min(xs) >= box.left + shift - 0.05
    assert max(xs) <= box.right + shift + 0.05
    # size for size: the letter H of DejaVu Sans is 1493 of 2048 units high
    one = Drawing(items=(frame, Text(text="H", at=Point(0, 0), size=20.48)))
    ends = [
        p[1]
        for e in _read(drawing_dxf(one, outlines=True)).modelspace().query("LWPOLYLINE")
        for p in e.get_points("xy")
    ]
    assert max(ends) - min(ends) == pytest.approx(14.93, abs=1e-6)


def test_text_cannot_break_out() -> None:
    """Codes and tags in a name are shown, never carried out."""
    nasty = '50%%d %%% ^J \\U+0041 \\P <script>alert("x")</script> & ]]> \x85\ufffe'
    drawing = Drawing(
        items=(
            Path(segments=(Line(Point(0, 0), Point(100, 0)),)),
            Text(text=nasty, at=Point(0, 5)),
        )
    )
    root = SVG.parse(io.BytesIO(drawing_svg(drawing, title=nasty)), ppi=ONE_TO_ONE)
    (text,) = [e for e in root.select() if isinstance(e, svgelements.Text)]
    assert '<script>alert("x")</script> & ]]>' in text.text
    (entity,) = _read(drawing_dxf(drawing)).modelspace().query("TEXT")
    assert "\n" not in entity.dxf.text
    shown = entity.plain_text()
    assert shown.startswith("50%%d %%% ^J \\U+0041 \\P <script>")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("../../../etc/passwd", "etc-passwd"),
        ("C:\\x\\y", "c-x-y"),
        ("CON", "con-part"),
        ("…", "part"),
        ("a" * 500, "a" * 60),
        ("Größe Ø 5", "grosse-5"),
    ],
)
def test_names_are_safe(text: str, name: str) -> None:
    """Nothing but letters, digits and hyphens, so no folder can be reached."""
    assert safe_name(text) == name


def test_same_names_get_numbers() -> None:
    """No two files of a pack share a name, whatever the parts are called."""
    names = unique_names(["Ring", "ring", "Ring 2", "RING", "…", "?"])
    assert len(set(names)) == len(names)
    assert names[0] == "ring"
    assert all(a != b for a, b in itertools.combinations(names, 2))


def _pack(*words: str, cwd: File) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "templategen", "pack", *words],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_pack_writes_all_formats_side_by_side(tmp_path: File) -> None:
    """One PDF, one SVG and one DXF a part; the beam moves the cutting files only."""
    words = ["--part", "tenon ring", "--out", "."]
    plain = _pack("--format", "pdf,svg,dxf", *words, cwd=tmp_path)
    assert plain.returncode == 0, plain.stderr
    (pdf,) = tmp_path.glob("*.pdf")
    before = pdf.read_bytes()
    svgs, dxfs = sorted(tmp_path.glob("*-svg/*.svg")), sorted(tmp_path.glob("*-dxf/*.dxf"))
    assert [p.stem for p in svgs] == [p.stem for p in dxfs]
    assert len(svgs) >= 8
    ring = next(p for p in dxfs if p.stem.endswith("closed-full"))

    def radii() -> list[float]:
        return sorted(c.dxf.radius for c in ezdxf.readfile(ring).modelspace().query("CIRCLE"))

    narrow, wide = radii()
    moved = _pack("--format", "pdf,dxf", "--beam", "0.2", *words, cwd=tmp_path)
    assert moved.returncode == 0, moved.stderr
    assert radii() == pytest.approx([narrow - 0.1, wide + 0.1], abs=1e-9)
    assert pdf.read_bytes() == before
    inch = _pack("--format", "dxf", "--beam", "1/64 in", *words, cwd=tmp_path)
    assert inch.returncode == 0, inch.stderr
    assert radii() == pytest.approx([narrow - 25.4 / 128, wide + 25.4 / 128], abs=1e-9)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--format", "pfd"], "--format: 'pfd' is no format; use pdf, svg or dxf, as pdf,svg"),
        (
            ["--beam", "0.2"],
            "--beam: is for SVG and DXF, which are cut by machine; "
            "add --format svg or --format dxf",
        ),
        (
            ["--outlines"],
            "--outlines: is for SVG and DXF, which are cut by machine; "
            "add --format svg or --format dxf",
        ),
        (
            ["--format", "svg", "--beam", "x"],
            "--beam: 'x' is not a length; write 0.2 or \"0.008 in\"",
        ),
        (
            ["--format", "svg", "--beam", "-1"],
            "--beam: -1 is out of bounds; give more than 0, up to 6",
        ),
        (
            ["--format", "svg", "--part", "cutter arc", "--beam", "5"],
            "Cutter arc R105: the beam of 5 mm is wider than a hole; "
            "leave out --beam, or leave this kind of part out with --part",
        ),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, list) else "",
)
def test_bad_wishes_are_one_line(words: list[str], message: str, tmp_path: File) -> None:
    """A fault is one line with its mend, exit 2, nothing written."""
    done = _pack(*words, cwd=tmp_path)
    assert (done.returncode, done.stderr.strip()) == (2, message)
    assert list(tmp_path.iterdir()) == []


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
