"""Tiled parts: seams, registration marks and their wording, as drawn and as printed.

pypdfium2 gives the coordinates of the printed paths; pdfium and MuPDF give pictures.
"""

import ctypes
import io
import itertools
import json
import math
import re
from collections import defaultdict
from typing import Any

import numpy as np
import pymupdf
import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from builders import example_plan, laid_pack
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from outlines import ink_points

from templategen.geometry.shapes import Box, Line, Point, Transform
from templategen.nest.plan import Plan
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing, Part, Role, polyline
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.layout import lay_out
from templategen.sheets.page import Pack, Page, PageFrame, Placement
from templategen.sheets.registration_marks import MARK_ARM
from templategen.trade.paper import paper_named
from templategen.units import Units

MICROMETRE = 0.001  # mm


Spot = tuple[float, float]


DPI = 600


def _picture(data: bytes, index: int) -> NDArray[np.uint8]:
    """A page drawn by MuPDF in grey, 0 to 255."""
    with pymupdf.open(stream=data, filetype="pdf") as document:
        picture = document[index].get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
        grey = np.frombuffer(picture.samples, dtype=np.uint8)
        return grey.reshape(picture.height, picture.stride)[:, : picture.width].copy()


Printed = tuple[bytes, dict[str, Any]]


def _printed(plan: Plan, pack: Pack) -> Printed:
    """The file of a pack, and the recipe that another library finds in it."""
    data = write_pdf(pack, title="t", attachments={NAME: recipe_bytes(plan, pack)})
    return data, json.loads(pypdf.PdfReader(io.BytesIO(data)).attachments[NAME][0])


@pytest.fixture(scope="module", params=["a4", "a5"])
def pack(request: pytest.FixtureRequest) -> Pack:
    """The 400 × 180 example (invented): on A4 a few seams, on A5 many, crossing ones among them."""
    kinds = ("section sheet", "log overlay", "cut plate", "cutter arc", "tenon ring")
    return laid_pack(example_plan("lakeside-400.toml"), kinds=kinds, paper=request.param)


@pytest.fixture(scope="module")
def made() -> Printed:
    """The tiled parts of the same example on A5, printed."""
    plan = example_plan("lakeside-400.toml")
    return _printed(plan, laid_pack(plan, kinds=("cutter arc", "tenon ring"), paper="a5"))


def _paths(page: pypdfium2.PdfPage) -> list[list[Spot]]:
    """The points of every drawn path of a page, mm from its lower left."""
    found: list[list[Spot]] = []
    for index in range(pdfium.FPDFPage_CountObjects(page)):
        item = pdfium.FPDFPage_GetObject(page, index)
        if pdfium.FPDFPageObj_GetType(item) != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        matrix = pdfium.FS_MATRIX()
        assert pdfium.FPDFPageObj_GetMatrix(item, matrix)
        points: list[Spot] = []
        for n in range(pdfium.FPDFPath_CountSegments(item)):
            x, y = ctypes.c_float(), ctypes.c_float()
            segment = pdfium.FPDFPath_GetPathSegment(item, n)
            assert pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            points.append(
                (
                    (matrix.a * x.value + matrix.c * y.value + matrix.e) * 25.4 / 72,
                    (matrix.b * x.value + matrix.d * y.value + matrix.f) * 25.4 / 72,
                )
            )
        found.append(points)
    return found


def _crosses(paths: list[list[Spot]]) -> list[Spot]:
    """Centres of crosses 8 mm wide in a ring of 4 mm: what a registration mark looks like."""
    across, down = [], []
    rings = []
    for points in paths:
        if len(points) == 2 and math.dist(*points) == pytest.approx(8.0, abs=1e-3):
            (x0, y0), (x1, y1) = points
            middle = ((x0 + x1) / 2, (y0 + y1) / 2)
            (across if abs(y0 - y1) < abs(x0 - x1) else down).append(middle)
        elif len(points) > 12:
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            if max(xs) - min(xs) == pytest.approx(4.0, abs=0.01):
                rings.append(((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2))
    return [
        ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2)
        for a in across
        for d in down
        if math.dist(a, d) < 1e-3 and any(math.dist(a, r) < 0.01 for r in rings)
    ]


CASES = [
    ("lakeside-400", "a4"),
    ("lakeside-400", "letter"),
    ("inch-15", "letter"),
    ("small-220", "a4"),  # all its parts fit without a seam
    ("small-220", "a5"),
]


@pytest.mark.parametrize(("name", "paper"), CASES)
def test_both_copies_of_a_mark_meet_on_the_part(name: str, paper: str) -> None:
    """Design §8: the drawn marks of a seam lie at one place of the part, within 1 µm.

    The places come from the drawn lines and the part-to-page transform of the attached recipe;
    each seam has two marks, each on both of its tiles, and none is drawn that is not listed.
    """
    plan = example_plan(f"{name}.toml")
    data, recipe = _printed(plan, laid_pack(plan, paper=paper))
    document = pypdfium2.PdfDocument(data)
    places: dict[str, list[tuple[tuple[str, str], np.ndarray]]] = defaultdict(list)
    try:
        for index, entry in enumerate(recipe["pages"]):
            page = document[index]
            drawn = _crosses(_paths(page))
            page.close()
            assert len(drawn) == len(entry["marks"]), entry["label"]
            if not drawn:
                continue
            maps = {}
            for part in entry["parts"]:
                a, b, c, d, e, f = part["transform"]
                onto = np.array([[a, c, e], [b, d, f], [0, 0, 1]])
                maps[part["part"], part["tile"]] = np.linalg.inv(onto)
            for mark in entry["marks"]:
                tile = mark["part"], mark["tile"]
                spot = np.array([mark["x"], mark["y"]])
                on_part = [(maps[tile] @ (x, y, 1))[:2] for x, y in drawn]
                near = min(on_part, key=lambda p: float(np.hypot(*(p - spot))))
                assert np.hypot(*(near - spot)) < MICROMETRE
                places[mark["label"]].append((tile, near))
    finally:
        document.close()
    sheets: dict[str, int] = defaultdict(int)
    for entry in recipe["pages"]:
        for part in entry["parts"]:
            sheets[part["part"]] += bool(part["tile"])
    assert bool(places) == any(count > 1 for count in sheets.values())
    seams: dict[str, int] = defaultdict(int)
    for label, copies in places.items():
        assert len(copies) == 2, label
        (tile_one, one), (tile_two, two) = copies
        assert tile_one[0] == tile_two[0]
        assert tile_one != tile_two
        assert np.hypot(*(one - two)) < MICROMETRE, label
        seams[label.rsplit(" ", 1)[0]] += 1
    assert set(seams.values()) <= {2}
    for (label, copies), (other, others) in itertools.combinations(places.items(), 2):
        if label.rsplit(" ", 1)[0] == other.rsplit(" ", 1)[0]:
            apart = np.hypot(*(copies[0][1] - others[0][1]))
            assert apart > 59.99, label  # so that a slip of 0.2 mm turns little


def _centre(grey: NDArray[np.uint8], near: Point, height: float, half: str = "") -> Point:
    """The middle of the mark near a point, page mm from the lower left.

    The upright arms of its cross give x, the flat ones y: the darkness-weighted middle of a strip
    across each arm, outside the ring. Of a mark at a trim line only one half shows, "right" or
    "below" that line: its one arm gives the place along the line, `near` the other coordinate.
    """
    fine = DPI / 25.4  # pixels in a mm

    def strip(x0: float, y0: float, x1: float, y1: float) -> tuple[float, float]:
        left, right = round((near.x + x0) * fine), round((near.x + x1) * fine)
        top, bottom = (round((height - near.y - y) * fine) for y in (y1, y0))
        part = np.clip(0.7 - grey[top:bottom, left:right] / 255, 0, None)  # without tints
        assert part.sum() > 1, "no ink where an arm should be"
        rows, columns = np.mgrid[top:bottom, left:right] + 0.5
        return (
            float((columns * part).sum() / part.sum()) / fine,
            height - float((rows * part).sum() / part.sum()) / fine,
        )

    if half == "right":
        return Point(near.x, strip(2.7, -0.6, 3.5, 0.6)[1])
    if half == "below":
        return Point(strip(-0.6, -3.5, 0.6, -2.7)[0], near.y)
    upright = [strip(-0.6, y, 0.6, y + 0.8)[0] for y in (2.7, -3.5)]
    flat = [strip(x, -0.6, x + 0.8, 0.6)[1] for x in (2.7, -3.5)]
    assert abs(upright[0] - upright[1]) < 0.03
    assert abs(flat[0] - flat[1]) < 0.03
    return Point(sum(upright) / 2, sum(flat) / 2)


@pytest.mark.rendered
def test_every_mark_on_both_sheets(made: Printed) -> None:
    """At 600 dpi each mark lies on both sheets of its seam at one place of the part, ± 0.03 mm.

    The sheet that goes over shows the half inside its trim line, the sheet below all of it.
    """
    data, recipe = made
    found: dict[str, list[Point]] = {}
    for index, page in enumerate(recipe["pages"]):
        if not page["marks"]:
            continue
        picture = _picture(data, index)
        lying = {(p["part"], p["tile"]): Transform(*p["transform"]) for p in page["parts"]}
        for mark in page["marks"]:
            transform = lying[mark["part"], mark["tile"]]
            stated = Point(mark["x"], mark["y"])
            place = transform.apply(stated)
            measured = _centre(picture, place, page["paper"][1], _half(mark))
            point = transform.inverse().apply(measured)
            assert math.dist(point, stated) < 0.03, mark["label"]
            found.setdefault(mark["label"], []).append(point)
    assert len(found) >= 6  # three seams or more, two marks each
    for label, points in found.items():
        assert len(points) == 2, label
        assert math.dist(*points) < 0.03, label


def _half(mark: dict[str, Any]) -> str:
    """Which half of a mark its tile shows: the tile that is named second is trimmed through it."""
    one, two = re.findall(r"([A-Z])(\d+)", mark["label"].rsplit(" ", 2)[1])
    if "".join(two) != mark["tile"]:
        return ""
    return "right" if one[1] == two[1] else "below"


@pytest.mark.rendered
def test_a_mark_out_of_place_would_be_seen(made: Printed) -> None:
    """The measurement itself: looked for 0.1 mm beside its place, a mark is found in its place."""
    data, recipe = made
    index, page, mark = next(
        (n, p, mark)
        for n, p in enumerate(recipe["pages"])
        for mark in p["marks"]
        if not _half(mark)
    )
    (transform,) = (
        Transform(*p["transform"])
        for p in page["parts"]
        if (p["part"], p["tile"]) == (mark["part"], mark["tile"])
    )
    place = transform.apply(Point(mark["x"], mark["y"]))
    beside = Point(place.x + 0.1, place.y - 0.1)
    found = _centre(_picture(data, index), beside, page["paper"][1])
    assert math.dist(found, place) < 0.03


def _tiles(pack: Pack) -> dict[tuple[str, str], tuple[Page, Placement]]:
    return {
        (p.part.key, p.tile): (page, p) for page in pack.pages for p in page.placements if p.tile
    }


def test_each_lap_says_trim_or_glue(pack: Pack) -> None:
    """Of two tiles that meet, one says trim or fold and glue over, the other that it is glued."""
    tiles = _tiles(pack)
    seams = {
        (mark.part_key, *sorted(re.findall(r"[A-Z]\d+", mark.label.rsplit(" ", 2)[1])))
        for page in pack.pages
        for mark in page.marks
    }
    assert seams
    for key, one, two in seams:
        said = []
        for own, other in ((one, two), (two, one)):
            page, _ = tiles[key, own]
            number = tiles[key, other][0].number
            words = [t.text for t in page.furniture.texts()]
            trims = rf"{own}: trim.*over {other} \((sheet )?{number}\)"
            glues = (
                rf"{own}: glue(: {other} \(sheet {number}\) goes over| under {other} \({number}\))"
            )
            said.append(
                (
                    any(re.search(trims, t) for t in words),
                    any(re.search(glues, t) for t in words),
                )
            )
        assert {(True, False), (False, True)} <= set(said), (key, one, two, said)


def test_fold_marks_stand_at_both_ends_of_a_trim_line(pack: Pack) -> None:
    """Every dashed trim line ends in drawn corners, so that a crease can be laid by them."""
    found = 0
    for page in pack.pages:
        texts = [t for t in page.furniture.texts() if "trim" in t.text]
        lines = [p for p in page.furniture.paths() if isinstance(p.segments[0], Line)]
        dashed = [p.segments[0] for p in lines if p.dashed]
        solid = [p.segments[0] for p in lines if not p.dashed]
        corners = [
            end
            for trim in dashed
            for end in (trim.start, trim.end)
            if sum(math.dist(end, tick) < 1e-6 for s in solid for tick in (s.start, s.end)) >= 2
        ]
        assert len(corners) >= 2 * len(texts)
        found += len(texts)
    assert found


def test_marks_keep_clear_of_cut_lines(pack: Pack) -> None:
    """Tiles that meet share two marks, 60 mm apart, 2 mm clear of every cut line."""
    cuts: dict[str, list[Point]] = defaultdict(list)
    for page in pack.pages:
        for placement in page.placements:
            cuts[placement.part.key] += ink_points(placement.part.drawing, Role.CUT)
    marks: dict[str, list[tuple[str, str, Point]]] = {}
    for page in pack.pages:
        for mark in page.marks:
            marks.setdefault(mark.label, []).append((mark.part_key, mark.tile, mark.point))
    seams: dict[tuple[str, str, str], list[Point]] = {}
    for pair in marks.values():
        (key, one, point), (same, two, other) = sorted(pair, key=lambda m: m[1])
        assert key == same
        assert one != two
        assert math.dist(point, other) < 1e-9
        seams.setdefault((key, one, two), []).append(point)
    tiled = {p.part.key for page in pack.pages for p in page.placements if p.tile}
    assert tiled == {key for key, _, _ in seams}
    for (key, _, _), points in seams.items():
        assert len(points) >= 2
        assert math.dist(points[0], points[1]) > 59.99
        # A sheet to be read has no cut line.
        assert all(math.dist(spot, p) > 2.0 for spot in cuts[key] for p in points)
    assert pack.paper.name == "a4" or any(cuts[key] for key, _, _ in seams)


@settings(derandomize=True, deadline=None, max_examples=12)
@given(
    st.lists(st.tuples(st.floats(0, 700), st.floats(0, 500)), min_size=3, max_size=6),
    st.sampled_from(["a4", "a5", "letter"]),
    st.booleans(),
)
def test_any_large_part_goes_together(
    corners: list[tuple[float, float]], paper: str, closed: bool
) -> None:
    """Whatever its shape: all ink shows, tiles hang together by seams with two marks inside both.

    A long thin stick, a slanted line and a shape with empty tiles between are among the cases.
    """
    long = [(0.0, 0.0), (720.0, corners[0][1] / 50), *corners]
    part = Part(
        kind="test",
        key="plate",
        title="Plate",
        drawing=Drawing(items=(polyline(long, closed=closed, role=Role.CUT),)),
    )
    frame, style = PageFrame(paper=paper_named(paper)), PrintStyle(units=Units.MM)
    laid = lay_out((part,), frame=frame, style=style, job_title="", date="")
    tiles = {p.tile: p for page in laid.pages for p in page.placements}
    for point in ink_points(part.drawing, step=7.0):
        spots = [(t, t.transform.apply(point)) for t in tiles.values()]
        assert any(t.clip.grown(1e-6).holds(Box(*p, *p)) for t, p in spots)
    marks: dict[str, list[tuple[str, Point]]] = {}
    for page in laid.pages:
        for mark in page.marks:
            marks.setdefault(mark.label, []).append((mark.tile, mark.point))
            tile = tiles[mark.tile]
            spot = tile.transform.apply(mark.point)
            assert tile.clip.grown(1e-6).holds(Box(*spot, *spot))
    pairs: dict[frozenset[str], list[Point]] = {}
    for (one, point), (two, other) in marks.values():
        assert math.dist(point, other) < 1e-6
        pairs.setdefault(frozenset((one, two)), []).append(point)
    names = {(ord(name[0]) - 65, int(name[1:])) for name in tiles}
    beside = {
        frozenset((_tile(x, y), _tile(x + dx, y + dy)))
        for x, y in names
        for dx, dy in ((1, 0), (0, 1))
        if (x + dx, y + dy) in names
    }
    assert pairs.keys() == beside
    assert all(len(p) == 2 and math.dist(*p) > 59.99 for p in pairs.values())
    spots = [point for pair in pairs.values() for point in pair]
    assert all(math.dist(a, b) > 2 * MARK_ARM for a, b in itertools.combinations(spots, 2))


def _tile(column: int, row: int) -> str:
    return f"{chr(65 + column)}{row}"
