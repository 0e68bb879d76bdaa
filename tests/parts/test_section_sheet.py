"""The section sheet: outside by sympy, walls where they are least by shapely, figures in place."""

import itertools
import math

import pytest
import shapely
import sympy  # type: ignore[import-untyped]
from builders import invented_plan
from part_shapes import MM, SIZES, SIZES_AND_STYLES, arcs, box, lines, parts_of, words
from shapely.geometry import LineString, Point

from templategen.geometry.shapes import Arc
from templategen.nest.plan import Cut, Plan
from templategen.parts import section_sheet
from templategen.parts.drawing import Anchor
from templategen.parts.style import PrintStyle


def test_every_wall_and_the_stub_are_stated() -> None:
    """Every wall stands on the sheet as a figure, the stub is noted, every edge is a true arc."""
    plan = invented_plan(400, 180)
    (part,) = parts_of((400, 180), "section sheet", MM)
    for bowl in plan.bowls:
        if bowl.wall is not None:
            assert f"{bowl.wall:.1f}".rstrip("0").rstrip(".") in words(part)
    assert "stub" in words(part)
    assert {c.cutter.radius for c in plan.cuts} <= {a.radius for a in arcs(part)}


def _curves(plan: Plan, number: int) -> tuple[LineString, LineString]:
    """The two boundaries of a bowl in true radii, sampled from the cut's published figures."""

    def edge(cut: Cut, radius: float, shift: float) -> LineString:
        p, q = cut.pivot_offset, cut.pivot_standoff
        first, last = math.asin(q / radius), math.acos(-p / radius)
        points = []
        for n in range(6001):
            angle = first + (last - first) * n / 6000
            z = radius * math.sin(angle) - q
            step = shift if cut.relief and z < cut.relief.depth else 0.0
            x = p + radius * math.cos(angle) - step
            if x >= 0:
                points.append((math.hypot(x, cut.cutter_height), -z))
        return LineString(points)

    cut = plan.cuts[number]
    inside = edge(cut, cut.cutter.radius, 0.0)
    if number == 0:
        return LineString([(r, -z) for r, z in plan.outside[:-3]]), inside
    own = plan.cuts[number - 1]
    shift = own.relief.shift if own.relief else 0.0
    return edge(own, own.cutter.radius - own.cutter.kerf, shift), inside


@pytest.mark.parametrize("size", SIZES)
def test_walls_are_dimensioned_where_they_are_least(size: tuple[float, float]) -> None:
    """Shapely's distance of the two boundaries is met at the two points of the dimension.

    The sheet is drawn in the cutter's plane, so a point lies up to r - sqrt(r² - h²) nearer the
    axis than its true radius.
    """
    plan = invented_plan(*size)
    for number, cut in enumerate(plan.cuts):
        outer, inner = _curves(plan, number)
        true = [
            Point(
                point.x if number == 0 and n == 0 else math.hypot(point.x, cut.cutter_height),
                point.y,
            )
            for n, point in enumerate(section_sheet.least_wall(plan, number + 1))
        ]
        assert true[0].distance(outer) < 0.02
        assert true[1].distance(inner) < 0.02
        assert true[0].distance(true[1]) == pytest.approx(outer.distance(inner), abs=0.02)
        assert true[0].distance(true[1]) == pytest.approx(plan.bowls[number].wall, abs=0.02)


@pytest.mark.parametrize(("size", "style"), SIZES_AND_STYLES)
def test_no_figure_lies_on_a_line(size: tuple[float, float], style: PrintStyle) -> None:
    """Every figure is there, and its box meets no line of the drawing (shapely)."""
    plan = invented_plan(*size)
    (part,) = parts_of(size, "section sheet", style)
    drawn = shapely.STRtree(lines(part))
    figures = [t for t in part.drawing.texts() if t.anchor is Anchor.MIDDLE and not t.bold]
    names = [figure for figure in figures if figure.text.startswith("cut ")]
    assert len(names) in {0, len(plan.cuts)}  # those of the cuts, where they do not stand over it
    assert len(figures) - len(names) == 3 * len(plan.cuts)  # least and greatest wall, floor
    for figure in figures:
        inside = box(figure).buffer(-0.1)
        assert len(drawn.query(inside, predicate="intersects")) == 0, figure.text
    heads = [p for p in part.drawing.paths() if p.fill == 0.0]
    assert len(heads) == 6 * len(plan.cuts)  # least and greatest wall, floor


def test_the_turned_outside_is_one_true_arc() -> None:
    """Design §10's circle, worked out by sympy through the rim, with its centre on the face."""
    plan = invented_plan(400, 180)
    foot = plan.bowls[0].tenon_diameter / 2 + plan.job.tenon.shoulder
    c = sympy.symbols("c")
    deep = sympy.Float(plan.bowls[0].depth)
    (centre,) = sympy.solve((200 - c) ** 2 - (foot - c) ** 2 - deep**2, c)
    outside = section_sheet.outside_segments(plan)
    arc = outside[0]
    assert isinstance(arc, Arc)
    assert arc.centre.x == pytest.approx(float(centre), abs=1e-6)
    assert arc.radius == pytest.approx(200 - float(centre), abs=1e-6)
    assert (arc.end.x, arc.end.y) == pytest.approx((foot, -plan.bowls[0].depth), abs=1e-6)
    assert all(math.dist(a.end, b.start) < 1e-6 for a, b in itertools.pairwise(outside))
    assert outside[-1].end == pytest.approx((0.0, -180.0))  # the middle of the blank's back
    deep_blank = section_sheet.outside_segments(invented_plan(500, 220))
    assert sum(isinstance(s, Arc) for s in deep_blank) == 1


def test_a_section_as_deep_as_a_sheet_has_nothing_in_front_of_its_face() -> None:
    """180 mm fit across A4 (ISO 216: 210 × 297, less margins and bars), 180 and pivots do not.

    All wording stays clear of the outside's line (shapely), and each pivot is stated.
    """
    plan = invented_plan(400, 180)
    (part,) = parts_of((400, 180), "section sheet", MM)
    around = part.drawing.bounds()
    assert around.height <= 181.0
    assert around.width <= 256.0
    outside = LineString([(r, -z) for r, z in plan.outside])
    for text in part.drawing.texts():
        assert not box(text).buffer(-0.1).intersects(outside), text.text
    for cut in plan.cuts:
        assert f"{round(cut.pivot_standoff, 1):g} mm off the face" in words(part)
