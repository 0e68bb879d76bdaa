"""The section sheet: outside by sympy, walls where they are least by shapely, figures in place."""

import itertools
import math

import pytest
import shapely
import sympy  # type: ignore[import-untyped]
from builders import changed_job, invented_plan
from part_shapes import MM, SIZES, SIZES_AND_STYLES, arcs, box, lines, parts_of, words
from shapely.geometry import LineString, Point

from templategen.geometry.shapes import Arc
from templategen.inputs.starters import demo_shop
from templategen.nest.plan import Cut, Plan
from templategen.nest.planner import make_plan
from templategen.parts import half_section, section_sheet
from templategen.parts.drawing import Anchor, Role
from templategen.parts.style import PrintStyle


def test_every_wall_and_the_stub_are_stated() -> None:
    """Every wall stands on the sheet as a figure, and the stub is noted."""
    plan = invented_plan(400, 180)
    (part,) = parts_of((400, 180), "section sheet", MM)
    for bowl in plan.bowls:
        if bowl.wall is not None:
            assert f"{bowl.wall:.1f}".rstrip("0").rstrip(".") in words(part)
    assert all(f"R {cut.cutter.radius:g} mm" in words(part) for cut in plan.cuts)
    assert "wall where it is least" in words(part)
    assert "uncut on the axis" in words(part)


@pytest.mark.parametrize("height", [0.0, 5.0])
def test_edges_are_drawn_in_true_radii(height: float) -> None:
    """A cutter in the centre leaves true arcs; above it each point has r = hypot(x, h) (§2)."""
    plan = make_plan(changed_job(height_above_centre=height), demo_shop(), with_suggestions=False)
    (part,) = section_sheet.make(plan, style=MM)
    if height == 0:
        assert {c.cutter.radius for c in plan.cuts} <= {a.radius for a in arcs(part)}
    drawn = shapely.unary_union(lines(part))
    for cut in plan.cuts:
        p, q, radius = cut.pivot_offset, cut.pivot_standoff, cut.cutter.radius
        for n in range(40):
            z = cut.depth_at_axis * n / 40
            x = p + math.sqrt(radius**2 - (z + q) ** 2)
            assert drawn.distance(Point(math.hypot(x, height), -z)) < 0.01


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
    """Shapely's distance of the two boundaries is met at the two points of the dimension."""
    plan = invented_plan(*size)
    for number in range(len(plan.cuts)):
        outer, inner = _curves(plan, number)
        at = plan.bowls[number].wall_at
        assert at is not None
        one, two = (Point(*end) for end in half_section.wall_ends(at))
        assert one.distance(outer) < 0.02
        assert two.distance(inner) < 0.02
        assert one.distance(two) == pytest.approx(outer.distance(inner), abs=0.02)
        assert one.distance(two) == pytest.approx(plan.bowls[number].wall, abs=0.02)


@pytest.mark.parametrize(("size", "style"), SIZES_AND_STYLES)
def test_no_figure_lies_on_a_line(size: tuple[float, float], style: PrintStyle) -> None:
    """Every figure is there, and its box meets no line of the drawing (shapely)."""
    plan = invented_plan(*size)
    (part,) = parts_of(size, "section sheet", style)
    drawn = shapely.STRtree(lines(part))
    figures = [t for t in part.drawing.texts() if t.anchor is Anchor.MIDDLE and not t.bold]
    names = [t for t in part.drawing.texts() if t.anchor is Anchor.MIDDLE and t.bold]
    assert len(figures) == 3 * len(plan.cuts)  # least and greatest wall, floor
    assert len(names) == len(plan.cuts) + len(plan.bowls)
    for figure in (*figures, *names):
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
    outside = half_section.outside_segments(plan)
    arc = outside[0]
    assert isinstance(arc, Arc)
    assert arc.centre.x == pytest.approx(float(centre), abs=1e-6)
    assert arc.radius == pytest.approx(200 - float(centre), abs=1e-6)
    assert (arc.end.x, arc.end.y) == pytest.approx((foot, -plan.bowls[0].depth), abs=1e-6)
    assert all(math.dist(a.end, b.start) < 1e-6 for a, b in itertools.pairwise(outside))
    assert outside[-1].end == pytest.approx((0.0, -180.0))  # the middle of the blank's back
    deep_blank = half_section.outside_segments(invented_plan(500, 220))
    assert sum(isinstance(s, Arc) for s in deep_blank) == 1


def test_a_section_as_deep_as_a_sheet_shows_its_pivots_in_a_detail() -> None:
    """180 mm fit across A4 (ISO 216: 210 × 297, less margins and bars), 180 and pivots do not.

    All wording stays clear of the outside's line (shapely); at half size each cross lies half as
    far from the axis and from the face as its pivot.
    """
    plan = invented_plan(400, 180)
    (part,) = parts_of((400, 180), "section sheet", MM)
    around = part.drawing.bounds()
    assert around.height <= 181.0
    assert around.width <= 238.0
    outside = LineString([(r, -z) for r, z in plan.outside])
    for text in part.drawing.texts():
        assert not box(text).buffer(-0.1).intersects(outside), text.text
    arms = [p.bounds() for p in part.drawing.paths(Role.MARK) if len(p.segments) == 1]
    level = [b for b in arms if b.height < 1e-9 and abs(b.width - 6.0) < 1e-9]
    upright = [b for b in arms if b.width < 1e-9 and abs(b.height - 6.0) < 1e-9]
    crosses = [(v.left, h.top) for h, v in zip(level, upright, strict=True)]
    axis = min(b.left for b in arms if b.width < 1e-9 and b.left > 200)
    face = min(b.top for b in arms if b.height < 1e-9 and b.left > 190)
    found = sorted((2 * (x - axis), 2 * (y - face)) for x, y in crosses)
    wanted = sorted((cut.pivot_offset, cut.pivot_standoff) for cut in plan.cuts)
    for one, two in zip(found, wanted, strict=True):
        assert one == pytest.approx(two, abs=1e-6)
