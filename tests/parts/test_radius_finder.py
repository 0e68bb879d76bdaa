"""The radius finder: labelled true, and measured on the printed page by pdfium."""

import math

import numpy as np
import pypdfium2
import pytest
import shapely
from builders import changed_shop, make_cutters
from part_shapes import MM, STYLES, arcs, box, overlaps
from shapely.geometry import LineString

from templategen.geometry.shapes import Arc, Point
from templategen.inputs.starters import demo_shop
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part, Role
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import content_area
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.records import Shop
from templategen.units import Units, parse_length


def _finders(shop: Shop, style: PrintStyle) -> tuple[Part, ...]:
    return shop_parts(shop, kinds=("radius finder",), style=style)


def _check_labels(part: Part, units: Units) -> None:
    """Each arc has its own radius under it, with the inches beside it in both units."""
    marks = arcs(part, Role.MARK)
    labels = [t for t in part.drawing.texts() if t.at.x == 0.0]
    for arc, label in zip(marks, labels, strict=True):
        assert arc.centre == Point(0.0, 0.0)
        stated = parse_length(label.text, units.first)
        assert stated == pytest.approx(arc.radius, abs=1e-6)
        around = label.bounds()
        assert around.top < math.sqrt(arc.radius**2 - around.right**2)  # under its own arc
    turned = [t for t in part.drawing.texts() if t.angle != 0.0]
    assert len(turned) == (len(marks) if units.is_both else 0)
    for text in turned:
        radius = math.hypot(*text.at) + 1.0 + 0.76 * text.size
        tolerance = 25.4 / 64 if units.shown[1] is Units.IN else 0.05
        assert abs(parse_length(text.text, units.shown[1]) - radius) <= tolerance + 1e-6
    ticks = [
        LineString([s.start, s.end])
        for path in part.drawing.paths(Role.MARK)
        for s in path.segments
        if not isinstance(s, Arc)
    ]
    assert ticks
    drawn = shapely.STRtree(ticks)
    for text in (*labels, *turned):
        assert len(drawn.query(box(text), predicate="intersects")) == 0, text.text


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("radii", [(80.0, 170.0), (20.0,), (1000.0,), (20.0, 1000.0)])
def test_arcs_cover_the_shop_s_radii(radii: tuple[float, ...], style: PrintStyle) -> None:
    """Arcs a step apart, from the least to the greatest radius; each part fits a sheet."""
    seen: set[float] = set()
    for part in _finders(changed_shop(cutters=make_cutters(*radii, kerf=8.0)), style):
        seen |= {arc.radius for arc in arcs(part, Role.MARK)}
        _check_labels(part, style.units)
        assert not overlaps(part)
        for paper in ("a4", "letter"):
            area = content_area(PageFrame(paper=paper_named(paper)))
            assert part.drawing.bounds().width <= area.width
            assert part.drawing.bounds().height <= area.height
    step = 25.4 / 4 if style.units.first is Units.IN else 5.0
    whole = sorted(seen)
    assert whole[0] <= min(radii)
    assert whole[-1] >= max(radii)
    assert np.diff(whole) == pytest.approx(step, abs=1e-9)


@pytest.mark.rendered
def test_it_prints_true() -> None:
    """Pdfium at 600 dpi: arcs of 60 to 210 mm are within 0.02 mm, about the known centre."""
    plan = shop_plan(demo_shop())
    parts = _finders(demo_shop(), MM)
    pack = make_pack(plan, parts, frame=PageFrame(paper=paper_named("a4")), style=MM)
    number = next(n for n, p in enumerate(pack.pages) if p.title.startswith("Radius finder"))
    document = pypdfium2.PdfDocument(write_pdf(pack, title="t", attachments={}))
    sheet = document[number]
    bitmap = sheet.render(scale=600 / 72, grayscale=True)
    grey = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    width, height = (side / 72 * 25.4 for side in sheet.get_size())
    sheet.close()
    document.close()
    centre = pack.pages[number].placements[0].transform.apply(Point(0.0, 0.0))
    rows, columns = np.nonzero(grey < 242)
    x = (columns + 0.5) * width / grey.shape[1] - centre.x
    y = height - (rows + 0.5) * height / grey.shape[0] - centre.y
    away, angle, weight = np.hypot(x, y), np.arctan2(x, y), 1 - grey[rows, columns] / 255
    for radius in (60.0, 105.0, 170.0, 210.0):
        # beside the labels and the ticks
        near = (abs(away - radius) < 0.4) & (angle > 0.28) & (angle < 0.37)
        assert near.sum() > 100
        assert np.average(away[near], weights=weight[near]) == pytest.approx(radius, abs=0.02)
