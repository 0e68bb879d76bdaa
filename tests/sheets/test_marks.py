"""Registration marks taken back out of the printed pages, as lines, by a reader that is no writer.

pypdfium2 gives the coordinates of the drawn paths themselves, so nothing hangs on pixels.
"""

import ctypes
import functools
import io
import itertools
import json
import math
from collections import defaultdict
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.cover import make_pack
from templategen.trade.paper import paper_named

EXAMPLES = Path(__file__).parents[2] / "examples"
MICROMETRE = 0.001  # mm
Spot = tuple[float, float]


@functools.cache
def _plan(name: str) -> Plan:
    job = read_job(EXAMPLES / f"{name}.toml", known_wood=lambda _: None)
    return make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)


@functools.cache
def _printed(name: str, paper: str) -> bytes:
    plan = _plan(name)
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=plan.job.units))
    pack = make_pack(plan, parts, paper=paper_named(paper), units=plan.job.units)
    return write_pdf(pack, title="t", attachments={NAME: recipe_bytes(plan, pack)})


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
    *itertools.product(["lakeside-400", "small-220", "inch-15"], ["a4", "letter"]),
    ("small-220", "a5"),  # on A4 and letter its parts fit without a seam
]


@pytest.mark.parametrize(("name", "paper"), CASES)
def test_both_copies_of_a_mark_meet_on_the_part(name: str, paper: str) -> None:
    """Design §8: the drawn marks of a seam lie at one place of the part, within 1 µm.

    The places come from the drawn lines and the part-to-page transform of the attached recipe;
    each seam has two marks, each on both of its tiles, and none is drawn that is not listed.
    """
    data = _printed(name, paper)
    recipe = json.loads(pypdf.PdfReader(io.BytesIO(data)).attachments[NAME][0])
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
            sheets[part["part"]] += 1
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
            assert apart > 20.0, label  # two marks far enough apart to turn nothing
