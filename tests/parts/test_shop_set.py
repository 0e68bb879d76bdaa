"""The job-free set of a shop: complete, labelled true, and measured on the printed page."""

import dataclasses
import io
import itertools
import json
import math
import os
import subprocess
import sys
from pathlib import Path as File

import numpy as np
import pypdf
import pypdfium2
import pytest
from shapely.geometry import LineString, Polygon

from templategen.errors import InputError
from templategen.geometry.shapes import Arc, Point
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part, Path, Role
from templategen.parts.registry import ON_REQUEST, make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.sheets.cover import make_pack
from templategen.sheets.layout import content_area
from templategen.trade.paper import paper_named
from templategen.trade.records import Cutter, Shop
from templategen.units import Units, parse_length

ROOT = File(__file__).resolve().parents[2]


def _with_radii(*radii: float) -> Shop:
    cutters = tuple(Cutter(id=f"R{r:g}", radius=r, kerf=8.0) for r in radii)
    return dataclasses.replace(demo_shop(), cutters=cutters)


def _finders(shop: Shop, units: Units) -> tuple[Part, ...]:
    return shop_parts(shop, kinds=("radius finder",), style=PrintStyle(units=units))


def _is_arc(path: Path) -> bool:
    return any(isinstance(s, Arc) for s in path.segments)


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("radii", [(80.0, 170.0), (20.0,), (1000.0,), (20.0, 1000.0)])
def test_radius_finder(radii: tuple[float, ...], units: Units) -> None:
    """Every arc has its own radius as its label; the shop's radii are covered; each part fits."""
    seen: list[float] = []
    for part in _finders(_with_radii(*radii), units):
        arcs = [
            s for path in part.drawing.paths(Role.MARK) for s in path.segments if isinstance(s, Arc)
        ]
        labels = [t for t in part.drawing.texts() if t.at.x == 0.0]
        assert len(labels) == len(arcs)
        for arc, label in zip(arcs, labels, strict=True):
            assert arc.centre == Point(0.0, 0.0)
            stated = parse_length(label.text, units if units is Units.IN else Units.MM)
            assert stated == pytest.approx(arc.radius, abs=1e-6)
            box = label.bounds()
            assert box.top < math.sqrt(arc.radius**2 - box.right**2)  # under its own arc
            seen.append(arc.radius)
        turned = [t for t in part.drawing.texts() if t.angle != 0.0]
        assert len(turned) == (len(arcs) if units is Units.BOTH else 0)
        ticks = [
            LineString([s.start, s.end])
            for path in part.drawing.paths(Role.MARK)
            if not _is_arc(path)
            for s in path.segments
        ]
        assert ticks
        for text in (*labels, *turned):
            middle = text.at
            radius = math.hypot(*middle) + 1.0 + 0.76 * text.size
            if text.angle:
                assert abs(parse_length(text.text, Units.IN) - radius) <= 25.4 / 64 + 1e-6
            box = Polygon(text.corners())
            assert not any(box.intersects(tick) for tick in ticks), text.text
        boxes = [Polygon(t.corners()).buffer(-0.1) for t in part.drawing.texts()]
        for one, other in itertools.combinations(boxes, 2):
            assert not one.intersects(other)
        box = part.drawing.bounds()
        for paper in ("a4", "letter"):
            area = content_area(paper_named(paper))
            assert box.width <= area.width
            assert box.height <= area.height
    step = 25.4 / 4 if units is Units.IN else 5.0
    whole = sorted(set(seen))
    assert whole[0] <= min(radii)
    assert whole[-1] >= max(radii)
    assert [b - a for a, b in itertools.pairwise(whole)] == pytest.approx(
        [step] * (len(whole) - 1), abs=1e-9
    )


@pytest.mark.rendered
def test_radius_finder_prints_true() -> None:
    """Pdfium at 600 dpi: arcs of 60 to 210 mm are within 0.02 mm, about the known centre."""
    plan = shop_plan(demo_shop())
    parts = _finders(demo_shop(), Units.MM)
    pack = make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM)
    number = next(n for n, p in enumerate(pack.pages) if p.title.startswith("Radius finder"))
    document = pypdfium2.PdfDocument(write_pdf(pack, title="t", attachments={}))
    sheet = document[number]
    bitmap = sheet.render(scale=600 / 72, grayscale=True)
    dark = 1 - np.asarray(bitmap.to_numpy(), dtype=float).reshape(bitmap.height, bitmap.width) / 255
    width, height = (side / 72 * 25.4 for side in sheet.get_size())
    sheet.close()
    document.close()
    centre = pack.pages[number].placements[0].transform.apply(Point(0.0, 0.0))
    rows, columns = np.nonzero(dark > 0.05)
    x = (columns + 0.5) * width / dark.shape[1] - centre.x
    y = height - (rows + 0.5) * height / dark.shape[0] - centre.y
    away, angle, weight = np.hypot(x, y), np.arctan2(x, y), dark[rows, columns]
    for radius in (60.0, 105.0, 170.0, 210.0):
        # beside the labels and the ticks
        near = (abs(away - radius) < 0.4) & (angle > 0.28) & (angle < 0.37)
        assert near.sum() > 100
        assert np.average(away[near], weights=weight[near]) == pytest.approx(radius, abs=0.02)


def test_set_is_whole_and_on_request() -> None:
    """Each cutter and each set of jaws has its parts; a job's pack has no part kept for shops."""
    shop = demo_shop()
    parts = shop_parts(shop, style=PrintStyle(units=Units.MM))
    titles = [p.title for p in parts]
    for cutter in shop.cutters:
        assert f"Cutter arc {cutter.id}" in titles
    for jaws in shop.jaws:
        assert sum(t.startswith(f"Tenon ring {jaws.id},") for t in titles) == 4
        assert sum(t.startswith("Tenon profile") and jaws.id in t.split()[-1] for t in titles) >= 1
    assert "Height stick" in titles
    assert len({p.key for p in parts}) == len(parts)
    plan = make_plan(demo_job(), shop, with_mends=False)
    usual = {p.kind for p in make_parts(plan, kinds=(), style=PrintStyle(units=Units.MM))}
    assert not usual & ON_REQUEST
    named = make_parts(plan, kinds=("radius finder",), style=PrintStyle(units=Units.MM))
    assert {p.kind for p in named} == {"radius finder"}


def test_a_part_that_needs_a_blank_is_refused() -> None:
    """The set takes no part of a job, and offers the nearest name for a slip."""
    plan = shop_plan(demo_shop())
    with pytest.raises(InputError, match="'cut plate' needs a blank; print it with"):
        shop_parts(plan, kinds=("cut plate",), style=PrintStyle(units=Units.MM))
    with pytest.raises(InputError, match="did you mean 'radius finder'"):
        shop_parts(plan, kinds=("radius findr",), style=PrintStyle(units=Units.MM))


def test_shop_command(tmp_path: File) -> None:
    """A PDF of the whole set, on letter in inches for an inch shop; the same bytes twice."""
    words = ["shop", str(ROOT / "examples" / "inch-shop.toml"), "--format", "pdf,dxf"]
    made = []
    for out in ("one", "two"):
        done = subprocess.run(
            [sys.executable, "-m", "templategen", *words, "--out", out, "--date", "2026-07-09"],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        (pdf,) = (tmp_path / out).glob("*.pdf")
        made.append(pdf.read_bytes())
    assert made[0] == made[1]
    reader = pypdf.PdfReader(io.BytesIO(made[0]))
    cover = reader.pages[0].extract_text()
    assert "Shop set" in cover
    assert "2026-07-09" in cover
    assert "400" not in cover  # the stand-in blank shows nowhere
    assert float(reader.pages[0].mediabox.width) == pytest.approx(8.5 * 72, abs=0.01)
    recipe = json.loads(reader.attachments["templategen-pack.json"][0])
    assert recipe["plan"]["pieces"] == []
    assert any(n.startswith("radius-finder") for n in (p.stem for p in tmp_path.rglob("*.dxf")))
