"""The printed page measured by a renderer that is not the writer, and papers by their standards."""

import dataclasses
import io
import json
import math
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest

from templategen.geometry.shapes import Arc, Point, bezier_arc, circle
from templategen.inputs.job_file import job_from_table, read_job
from templategen.inputs.shop_file import read_shop, shop_from_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing, Part, Role, arc_path
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.cover import make_pack
from templategen.sheets.layout import lay_out
from templategen.sheets.page import Pack
from templategen.trade.paper import paper_named
from templategen.units import Units

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The built-in demo plan."""
    return make_plan(demo_job(), demo_shop(), with_mends=False)


@pytest.fixture(scope="module")
def pack(plan: Plan) -> Pack:
    """The built-in demo pack on A4."""
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=Units.MM))
    return make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM)


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [
        ("a3", 297, 420),  # ISO 216
        ("a4", 210, 297),  # ISO 216
        ("a5", 148, 210),  # ISO 216
        ("letter", 215.9, 279.4),  # ANSI/ASME Y14.1, 8.5 × 11 in
        ("tabloid", 279.4, 431.8),  # ANSI/ASME Y14.1, 11 × 17 in (from memory)
    ],
)
def test_paper_sizes(name: str, width: float, height: float) -> None:
    """Paper is as its standard says."""
    paper = paper_named(name)
    assert (paper.width, paper.height) == pytest.approx((width, height), abs=1e-9)


@pytest.mark.parametrize("radius", [50.0, 200.0, 1000.0])
def test_cubics_stay_within_a_micrometre(radius: float) -> None:
    """Points of the cubics lie within 1 µm of the true circle, by the Bernstein form."""
    arc = Arc(Point(0, 0), radius, 0.3, 2.1)
    start = arc.start
    worst = 0.0
    for one, two, end in bezier_arc(arc):
        for t in np.linspace(0, 1, 101):
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            points = (start, one, two, end)
            x = sum(w * p.x for w, p in zip(weights, points, strict=True))
            y = sum(w * p.y for w, p in zip(weights, points, strict=True))
            worst = max(worst, abs(math.hypot(x, y) - radius))
        start = end
    assert worst < 0.001


def _picture(data: bytes, page: int) -> tuple[np.ndarray, float, float]:
    """Darkness 0..1, and pixels a millimetre across and down, at 600 dpi."""
    document = pypdfium2.PdfDocument(data)
    sheet = document[page]
    bitmap = sheet.render(scale=600 / 72, grayscale=True)
    dark = 1 - np.asarray(bitmap.to_numpy(), dtype=float).reshape(bitmap.height, bitmap.width) / 255
    width, height = sheet.get_size()
    scales = (bitmap.width / (width / 72 * 25.4), bitmap.height / (height / 72 * 25.4))
    sheet.close()
    document.close()
    return dark, *scales


@pytest.mark.rendered
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("units", "bar"), [(Units.MM, 150.0), (Units.IN, 152.4)])
def test_bar_and_arc_measure_true(paper: str, units: Units, bar: float) -> None:
    """Pdfium at 600 dpi: the bars and a cut circle are within 0.02 mm."""
    part = Part(
        kind="test",
        key="ring",
        title="Ring",
        drawing=Drawing(items=(arc_path(circle(Point(0, 0), 80.0), role=Role.CUT),)),
    )
    pack = lay_out((part,), paper=paper_named(paper), units=units, job_title="", date="")
    data = write_pdf(pack, title="t", attachments={})
    dark, px, py = _picture(data, 0)
    rows, columns = dark.shape
    page = pack.pages[0]
    centre = page.placements[0].transform.apply(Point(0, 0))
    ys, xs = np.nonzero(dark > 0.05)
    x, y = (xs + 0.5) / px, (rows - ys - 0.5) / py
    distance = np.hypot(x - centre.x, y - centre.y)
    near = abs(distance - 80.0) < 0.5
    weight = dark[ys, xs]
    assert np.average(distance[near], weights=weight[near]) == pytest.approx(80.0, abs=0.02)

    # The first end ticks stand 21 mm from the left and 27 mm from the foot of the page.
    def tick(low: float, high: float, y0: float, y1: float) -> float:
        inside = (x > low) & (x < high) & (y > y0) & (y < y1)
        return float(np.average(x[inside], weights=weight[inside]))

    left, right = tick(20.5, 21.5, 19.6, 20.8), tick(20.5 + bar, 21.5 + bar, 19.6, 20.8)
    assert right - left == pytest.approx(bar, abs=0.02)
    ends = []
    for level in (27.0, 27.0 + bar):
        inside = (x > 18.1) & (x < 19.3) & (abs(y - level) < 0.5)
        ends.append(float(np.average(y[inside], weights=weight[inside])))
    assert ends[1] - ends[0] == pytest.approx(bar, abs=0.02)
    assert columns > rows * 0.5


def test_marks_meet(pack: Pack) -> None:
    """Each registration mark is on two tiles at the same position of the part, within 1 µm."""
    seen: dict[str, list[Point]] = {}
    for page in pack.pages:
        for mark in page.marks:
            seen.setdefault(mark.label, []).append(mark.point)
            (placement,) = (
                p for p in page.placements if (p.part.key, p.tile) == (mark.part_key, mark.tile)
            )
            on_page = placement.transform.apply(mark.point)
            assert placement.clip.left <= on_page.x <= placement.clip.right
            assert placement.clip.bottom <= on_page.y <= placement.clip.top
    assert seen
    for points in seen.values():
        assert len(points) == 2
        assert math.dist(*points) < 0.001


def test_same_bytes_and_recipe(plan: Plan, pack: Pack) -> None:
    """The same input gives the same bytes; the recipe inside names every page; fonts embedded."""
    made = [
        write_pdf(pack, title="t", attachments={NAME: recipe_bytes(plan, pack)}) for _ in range(2)
    ]
    assert made[0] == made[1]
    reader = pypdf.PdfReader(io.BytesIO(made[0]), strict=True)
    recipe = json.loads(reader.attachments[NAME][0])
    assert recipe["format"] == "templategen-pack/1"
    assert len(recipe["pages"]) == len(reader.pages)
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    fonts = reader.pages[0]["/Resources"]["/Font"]
    for font in fonts.values():
        assert "/FontFile2" in font.get_object()["/FontDescriptor"]


@pytest.mark.parametrize("name", ["small-220", "inch-15"])
def test_the_recipe_plans_as_the_files_did(name: str) -> None:
    """Job and shop out of the recipe give the same plan, on the same grid."""
    job = read_job(EXAMPLES / f"{name}.toml", known_wood=lambda _: None)
    shop = read_shop(EXAMPLES / job.shop)
    made = make_plan(job, shop, with_mends=False)
    sheets = lay_out(
        make_parts(made, kinds=("gauge stick",), style=PrintStyle(units=job.units)),
        paper=paper_named(job.print.paper),
        units=job.units,
        job_title=job.title,
        date=job.date,
    )
    recipe = json.loads(recipe_bytes(made, sheets))
    again = make_plan(
        job_from_table(recipe["job"], where="recipe", known_wood=lambda _: None),
        shop_from_table(recipe["shop"], where="recipe"),
        with_mends=False,
    )
    assert again == made
    assert recipe["plan"]["blank"]["diameter"] == job.blank.diameter
    for cut in again.cuts:
        steps = cut.entry_radius / job.units.grid
        assert steps == pytest.approx(round(steps), abs=1e-6)


def test_letters_print_right(plan: Plan) -> None:
    """Special and accented letters come back out of the PDF as they went in."""
    title = "Ø ° × ± ½ ″ Łukasz Ærø ñ"
    job = dataclasses.replace(plan.job, title=title)
    named = dataclasses.replace(plan, job=job)
    parts = make_parts(named, kinds=("setting card",), style=PrintStyle(units=Units.MM))
    made = make_pack(named, parts, paper=paper_named("a4"), units=Units.MM)
    reader = pypdf.PdfReader(io.BytesIO(write_pdf(made, title=title, attachments={})))
    assert title in reader.pages[0].extract_text()


def test_no_text_overlaps_or_leaves_the_page(pack: Pack) -> None:
    """On every page the boxes of any two texts keep apart and stay 9 mm inside the paper."""
    for page in pack.pages:
        texts = list(page.furniture.texts())
        for placement in page.placements:
            texts += placement.part.drawing.moved(placement.transform).texts()
        boxes = [t.bounds().grown(-0.25) for t in texts]
        for n, box in enumerate(boxes):
            assert texts[n].size >= 3.17
            assert box.left >= 9
            assert box.right <= page.paper.width - 9
            assert box.bottom >= 9
            assert box.top <= page.paper.height - 9
            for m in range(n):
                assert not box.meets(boxes[m]), (page.label, texts[n].text, texts[m].text)
