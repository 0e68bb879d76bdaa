"""Files for machines, read back by parsers that did not write them and held against shapely."""

import functools
import io
import itertools
import math
from collections import Counter
from dataclasses import dataclass
from pathlib import Path as File

import ezdxf
import numpy as np
import pytest
import shapely
import svgelements
from builders import demo_plan, example_plan
from ezdxf.entities import DXFGraphic
from outlines import material_of
from shapely.geometry import Polygon

from templategen.app.cutting_files import write_files_to_cut
from templategen.app.print_wishes import FilesToCut, PackTarget, PrintWishes
from templategen.errors import InputError
from templategen.messages import Wording
from templategen.parts.drawing import Part, Role
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.trade.cutting_sheet import CuttingSheet
from templategen.units import Units

BEAM, GAP = 0.2, 3.0
SHEET = CuttingSheet(width=300.0, height=600.0, gap=GAP)
ONE_TO_ONE = 1 / 0.0393701  # the reader's own inches in a millimetre, so that 1 mm reads as 1
STOCK = (3.0, 6.0, 18.0)
STEPS = np.arange(1, 201) / 200  # along an arc
STYLE = PrintStyle(units=Units.MM)


@dataclass(frozen=True)
class Made:
    """What was written of a small invented job, and its parts."""

    files: FilesToCut
    parts: tuple[Part, ...]


def _write(
    out: File, parts: tuple[Part, ...], wishes: PrintWishes, language: str = "en"
) -> FilesToCut:
    style = PrintStyle(units=Units.MM, wording=Wording(language))
    return write_files_to_cut(parts, wishes, PackTarget(out, "job", "Job", style), stock=STOCK)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Sheets of a small job, in both formats; letters as text, which is read quicker."""
    parts = make_parts(example_plan("small-220.toml"), kinds=(), style=STYLE)
    wishes = PrintWishes(formats=("svg", "dxf"), beam=BEAM, sheet=SHEET, live_text=True)
    return Made(_write(tmp_path_factory.mktemp("sheets"), parts, wishes), parts)


def _ring(path: svgelements.Path) -> Polygon:
    points = []
    for piece in path:
        if isinstance(piece, svgelements.Line | svgelements.Close):
            points.append((piece.end.x, 600 - piece.end.y))
        elif isinstance(piece, svgelements.Arc):
            points += [(x, 600 - y) for x, y in piece.npoint(STEPS)]
    return Polygon(points)


def _flat(entity: DXFGraphic) -> Polygon:
    """A closed entity by the chords of its own lines and arcs, 0.001 mm off at most."""
    if entity.dxftype() == "CIRCLE":
        return Polygon([(p.x, p.y) for p in entity.flattening(0.001)])
    points: list[tuple[float, float]] = []
    for piece, (x, y) in zip(entity.virtual_entities(), entity.get_points("xy"), strict=True):
        run = [(x, y)]
        if piece.dxftype() == "ARC":
            run = [(p.x, p.y) for p in piece.flattening(0.001)][:-1]
            if math.dist(run[0], (x, y)) > 1e-6:  # it is held anticlockwise, and run clockwise
                run = [(p.x, p.y) for p in piece.flattening(0.001)][:0:-1]
        points += run
    return Polygon(points)


@functools.cache
def _read_svg(path: File) -> dict[str, list[svgelements.Path]]:
    root = svgelements.SVG.parse(io.BytesIO(path.read_bytes()), ppi=ONE_TO_ONE)
    assert (root.width, root.height) == pytest.approx((300, 600))
    groups = [g for g in root.select() if isinstance(g, svgelements.Group) and g.id]
    return {g.id: list(g.select(lambda e: isinstance(e, svgelements.Path))) for g in groups}


def _materials(rings: list[Polygon]) -> list[shapely.Geometry]:
    """What stays of a sheet: each outside without the holes in it."""
    depth = [sum(o.contains(ring) for o in rings if o is not ring) for ring in rings]
    found = []
    for ring, deep in zip(rings, depth, strict=True):
        if deep % 2 == 0:
            holes = [
                h for h, d in zip(rings, depth, strict=True) if d == deep + 1 and ring.contains(h)
            ]
            found.append(ring.difference(shapely.unary_union(holes)) if holes else ring)
    return found


def test_svg_sheets_hold_the_parts_as_shapely_offsets_them(made: Made) -> None:
    """Closed red contours, inner ones first, none twice; area, gap and edge by shapely.

    Each part let out by half the beam: a disc rolled round it (its holes shrink), never flattened
    by more than 0.001 mm; its area is the one that is read back.
    """
    assert made.files.nested is not None
    areas = []
    for sheet in made.files.nested.sheets:
        layers = _read_svg(sheet.files[0])
        assert list(layers) == [name for name in ("engrave", "mark", "cut") if name in layers]
        for name, colour in (("engrave", "#000000"), ("mark", "#0000ff"), ("cut", "#ff0000")):
            assert {p.stroke.hexrgb for p in layers.get(name, ())} <= {colour}
            assert all(p.fill.value is None for p in layers.get(name, ()))
            runs = Counter(p.d() for p in layers.get(name, ()))
            assert set(runs.values()) <= {1}
        cuts = layers["cut"]
        assert all(isinstance(p[-1], svgelements.Close) for p in cuts)
        assert all(sum(isinstance(piece, svgelements.Move) for piece in p) == 1 for p in cuts)
        rings = [_ring(p) for p in cuts]
        for n, early in enumerate(rings):
            assert not any(early.contains(late) for late in rings[n + 1 :])
        pieces = _materials(rings)
        for one, other in itertools.combinations(pieces, 2):
            assert one.distance(other) > GAP + BEAM - 0.01
        frame = shapely.box(0, 0, 300, 600).buffer(-GAP - BEAM / 2 + 0.01)
        assert all(frame.covers(piece) for piece in pieces)
        areas += [piece.area for piece in pieces]
    wanted = [
        material_of(part.drawing, fine=0.001).buffer(BEAM / 2, quad_segs=64).area
        for part in made.parts
        if part.drawing.paths(Role.CUT)
        for _ in range(sum(count for count, _ in part.plies) or 1)
    ]
    assert sorted(areas) == pytest.approx(sorted(wanted), rel=2e-5)


def test_dxf_sheets_hold_the_same_contours(made: Made) -> None:
    """Every cut is one closed entity; contour by contour the area is that of the SVG."""
    assert made.files.nested is not None
    for sheet in made.files.nested.sheets:
        svg, dxf = sheet.files
        document = ezdxf.readfile(dxf)
        assert document.header["$INSUNITS"] == 4
        assert tuple(document.header["$LIMMAX"]) == (300, 600)
        cuts = document.modelspace().query('*[layer=="cut"]')
        found = []
        for entity in cuts:
            if entity.dxftype() == "LWPOLYLINE":
                assert entity.closed
            else:
                assert entity.dxftype() == "CIRCLE"
            found.append(_flat(entity))
        read = [_ring(p) for p in _read_svg(svg)["cut"]]
        for one, other in zip(found, read, strict=True):
            assert one.area == pytest.approx(other.area, abs=0.0015 * one.length)
            assert one.centroid.distance(other.centroid) < 0.01


def test_list_and_picture_name_every_piece(made: Made) -> None:
    """The list counts the copies; parts that are only read are in no file, and told."""
    nested = made.files.nested
    assert nested is not None
    held = Counter({h.title: 0 for s in nested.sheets for h in s.held})
    for sheet in nested.sheets:
        held.update({h.title: h.copies for h in sheet.held})
    read_only = [p.title for p in made.parts if not p.drawing.paths(Role.CUT)]
    assert held == {
        p.title: sum(count for count, _ in p.plies) or 1
        for p in made.parts
        if p.title not in read_only
    }
    assert any(p.plies for p in made.parts)
    text = nested.contents.read_text("utf-8")
    picture = svgelements.SVG.parse(io.BytesIO(nested.picture.read_bytes()))
    shown = " ".join(e.text for e in picture.select() if isinstance(e, svgelements.Text))
    for sheet in nested.sheets:
        assert sheet.title in text
        assert sheet.title in shown
        assert 0 < sheet.share < 1
        for one in sheet.held:
            line = f"{one.copies} × {one.title}" if one.copies > 1 else one.title
            assert f"\n  {line}\n" in text
            assert line in shown
    told = " ".join(STYLE.text(t) for t in made.files.notes)
    assert all(title in told and title not in shown for title in read_only)
    assert {p.name for p in nested.folder.iterdir()} == {
        nested.picture.name,
        nested.contents.name,
        *(f.name for s in nested.sheets for f in s.files),
    }


def test_the_same_parts_give_the_same_bytes(tmp_path: File) -> None:
    """Two runs write the same files; of an earlier run with more of them the names are told."""
    parts = make_parts(demo_plan(), kinds=("depth stick",), style=STYLE)
    wishes = PrintWishes(formats=("svg", "dxf"), sheet=SHEET)
    one, other = (_write(tmp_path / name, parts, wishes).nested for name in ("a", "b"))
    assert one is not None
    assert other is not None
    names = sorted(p.name for p in one.folder.iterdir())
    assert names == sorted(p.name for p in other.folder.iterdir())
    for name in names:
        assert (one.folder / name).read_bytes() == (other.folder / name).read_bytes()
    (one.folder / "card-9.svg").write_text("<svg/>", encoding="utf-8")
    again = _write(tmp_path / "a", parts, wishes).nested
    assert again is not None
    assert again.others == ("card-9.svg",)


def test_live_text_stays_text(tmp_path: File) -> None:
    """Letters are outlines unless text is asked for; one file a part without a sheet."""
    parts = make_parts(demo_plan(), kinds=("cut plate", "setting card"), style=STYLE)
    for live in (False, True):
        wishes = PrintWishes(formats=("svg", "dxf"), live_text=live)
        files = _write(tmp_path / str(live), parts, wishes)
        assert [folder.count for folder in files.folders] == [3, 3]
        for path in tmp_path.glob(f"{live}/*/*"):
            data = path.read_bytes()
            assert (b"<text" in data or b"\nTEXT\n" in data.replace(b"\r\n", b"\n")) == live
    assert "setting-card" not in {p.stem for p in tmp_path.rglob("*.*")}


def test_what_does_not_fit_is_told_with_its_size(tmp_path: File) -> None:
    """Plates of 214 mm on a sheet of 200 × 180: the smaller parts are laid, the plates told."""
    parts = make_parts(demo_plan(), kinds=("cut plate", "tag"), style=STYLE)
    small = CuttingSheet(width=200.0, height=180.0, gap=3.0)
    files = _write(tmp_path, parts, PrintWishes(formats=("svg",), sheet=small))
    assert files.nested is not None
    laid = {h.title for s in files.nested.sheets for h in s.held}
    assert all("Tag" in title for title in laid)
    lines = [STYLE.text(text) for text in files.notes]
    box = next(p for p in parts if p.key == "cut-plate-1").drawing.bounds()
    assert f"{box.width:.4g} mm by {box.height:.4g} mm fits on no sheet" in lines[0]
    assert "--format pdf --part 'cut plate'" in lines[0]
    assert lines[0] in files.nested.contents.read_text("utf-8")
    plates = tuple(p for p in parts if p.kind == "cut plate")
    with pytest.raises(InputError, match="no part fits"):
        _write(tmp_path, plates, PrintWishes(formats=("svg",), sheet=small))


def test_a_wide_bit_tells_holes_and_corners(tmp_path: File) -> None:
    """With a bit of 3 mm the holes of 3 mm are crosses to drill, and round corners have places."""
    parts = make_parts(demo_plan(), kinds=("cut plate",), style=STYLE)
    files = _write(tmp_path, parts, PrintWishes(formats=("dxf",), beam=3.0))
    lines = [STYLE.text(text) for text in files.notes]
    assert sum(part.title + " (1 of 3 mm)" in lines[0] for part in parts) == 3
    assert all(any(line.startswith(part.title) for line in lines[2:]) for part in parts)
    assert " mm across and " in lines[2]
    for path in files.folders[0].folder.iterdir():
        cuts = ezdxf.readfile(path).modelspace().query('*[layer=="cut"]')
        assert "CIRCLE" not in {entity.dxftype() for entity in cuts}


def test_german_sheets_are_german(tmp_path: File) -> None:
    """List, picture and names of files; the words that stay are names of jobs and parts."""
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    parts = make_parts(demo_plan(), kinds=("cut plate", "gauge stick", "setting card"), style=style)
    wishes = PrintWishes(formats=("svg",), beam=3.0, sheet=SHEET)
    files = _write(tmp_path, parts, wishes, "de")
    assert files.nested is not None
    text = files.nested.contents.read_text("utf-8")
    for word in ("sheet", "card", "ply", "holes", "corner", "between", "beam", "rules"):
        assert word not in text.lower(), word
    assert {p.name for p in files.nested.folder.iterdir()} >= {"karton-1.svg", "liste.txt"}
