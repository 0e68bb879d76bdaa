"""Cut plates against sympy's circle, laid into the hollow by shapely, and what they say."""

import math

import pytest
import shapely
import sympy  # type: ignore[import-untyped]
from at_the_lathe import (
    PLANS,
    UNKNOWN_POST,
    WITHIN,
    held_radius,
    pushed_home,
    shares,
    wood_after,
    wood_before,
)
from builders import demo_plan, invented_plan, tiny_plan
from part_shapes import MM, STYLES, arcs, assert_legible, body, outline, sampled, words
from shapely.geometry import Polygon

from templategen.geometry.shapes import Arc
from templategen.nest.plan import Cut, Plan
from templategen.parts import cut_plate
from templategen.parts.drawing import Part, Role
from templategen.parts.style import PrintStyle

BY_PLAN = pytest.mark.parametrize("name", PLANS)


def _edge(part: Part, cut: Cut) -> Arc:
    """The outer edge: the longest arc that is cut."""
    return max(arcs(part, Role.CUT), key=lambda a: a.radius * abs(a.sweep) * (not a.is_circle))


def test_the_edge_passes_through_the_entry_and_the_axis_point() -> None:
    """The cut edge is the circle of R about the pivot, by sympy's exact distances."""
    plan = invented_plan()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        edge = _edge(part, cut)
        centre = sympy.Point(cut.pivot_offset, cut.pivot_standoff)
        entry_x = math.sqrt(cut.entry_radius**2 - cut.cutter_height**2)
        for point in (sympy.Point(entry_x, 0), sympy.Point(0, -cut.depth_at_axis)):
            assert abs(float(centre.distance(point)) - cut.cutter.radius) < 1e-3
        ends = sorted([edge.start, edge.end])
        assert math.dist(ends[1], (entry_x, 0)) < 1e-3
        assert math.dist(ends[0], (0, -cut.depth_at_axis)) < 1e-3
        shape = outline(part)
        assert shape.is_valid
        assert shape.bounds[1] == pytest.approx(-cut.deepest, abs=0.01)


@BY_PLAN
def test_hooked_over_the_rim_its_edge_fills_the_hollow(name: str) -> None:
    """With the core out the plate goes home: nothing enters the wood, the edge lies on it."""
    plan = PLANS[name]()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        plate, wood = body(part), wood_after(plan, cut)
        assert not shares(plate.buffer(-0.01), wood)
        for dx, dy in ((WITHIN, -WITHIN), (-WITHIN, 0.0), (0.0, -WITHIN)):
            assert shares(plate, wood, dx, dy), (dx, dy)
        edge = shapely.LineString([_edge(part, cut).at(a) for a in _angles(_edge(part, cut))])
        assert edge.hausdorff_distance(edge.intersection(wood.buffer(WITHIN))) < WITHIN
        front = plate.intersection(shapely.box(-2e3, -20.0, 2e3, 2e3))
        front = front.difference(shapely.box(-1e-6, -2e3, _entry(cut), 0.0))
        dx, dy = pushed_home(front, wood_before(plan, cut))
        assert abs(dx) < WITHIN
        assert abs(dy) < WITHIN


def _angles(arc: Arc) -> list[float]:
    return [arc.from_angle + arc.sweep * n / 400 for n in range(401)]


def _entry(cut: Cut) -> float:
    return math.sqrt(cut.entry_radius**2 - cut.cutter_height**2)


@BY_PLAN
def test_what_enters_the_hollow_is_bare(name: str) -> None:
    """Behind the face there is nothing but the half section and the hook: no tab on an edge."""
    plan = PLANS[name]()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        behind = outline(part).intersection(shapely.box(-2e3, -2e3, 2e3, -1e-3))
        rim = math.sqrt(held_radius(plan, cut) ** 2 - cut.cutter_height**2)
        disc = shapely.Point(cut.pivot_offset, cut.pivot_standoff).buffer(
            cut.cutter.radius + 1e-3, quad_segs=2000
        )
        hook = shapely.box(rim - 1e-6, -20.0, rim + 20.0, 0.0)
        assert behind.difference(disc.union(hook)).area < 0.01
        assert behind.bounds[0] >= -1e-9


@BY_PLAN
def test_the_hole_stands_at_the_pivot(name: str) -> None:
    """The small hole is centred p from the axis and q in front of the face."""
    plan = PLANS[name]()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        hole = min(
            (Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda p: p.area
        )
        pivot = shapely.Point(cut.pivot_offset, cut.pivot_standoff)
        assert hole.centroid.distance(pivot) < WITHIN
        assert hole.area < 10.0


@BY_PLAN
def test_a_window_leaves_a_frame_with_all_marks(name: str) -> None:
    """A plate of R 150 or more has a window; 22 mm of card are left, also under every mark.

    22 mm: chosen here, no source.
    """
    plan = PLANS[name]()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        _, *holes = sorted(
            (Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda p: -p.area
        )
        assert len(holes) == (2 if cut.cutter.radius >= 150.0 else 1)
        for window in holes[:-1]:
            assert outline(part).exterior.distance(window) > 22.0 - WITHIN
            assert window.buffer(-28.0).area > 0
            marks = [p for p in part.drawing.paths(Role.MARK) if p.segments]
            assert all(shapely.LineString(sampled(p)).distance(window) > 3.0 for p in marks)
            radii = sorted(a.radius for a in _window_arcs(part))
            assert radii[:3] == pytest.approx([6.0] * 3)
            assert all(
                a.centre == (cut.pivot_offset, cut.pivot_standoff)
                for a in _window_arcs(part)
                if a.radius > 6.5
            )


def _window_arcs(part: Part) -> list[Arc]:
    """The arcs of the second largest cut line."""
    paths = sorted(part.drawing.paths(Role.CUT), key=lambda p: Polygon(sampled(p)).area)
    return [s for s in paths[-2].segments if isinstance(s, Arc)]


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", [*PLANS, "unknown post"])
def test_every_plate_is_legible(name: str, style: PrintStyle) -> None:
    """Wording on the plate, over no line, and none of it in the way of the edges."""
    plan = UNKNOWN_POST["tiny"]() if name == "unknown post" else PLANS[name]()
    for part in cut_plate.make(plan, style=style):
        assert_legible(part)


@pytest.mark.parametrize("plan", [demo_plan(), tiny_plan()], ids=["demo", "tiny"])
@pytest.mark.parametrize("style", STYLES)
def test_every_plate_says_how_to_set_the_cut(plan: Plan, style: PrintStyle) -> None:
    """Entry, deepest, height above centre and pivot are on each plate, however small."""
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=style), strict=True):
        for needed in ("entry", "deepest", "above centre", "pivot", "off the face", "hook"):
            assert needed in words(part), (part.title, needed)
        assert f"between bowl {cut.number} and" in words(part)
        path = max(part.drawing.paths(Role.CUT), key=lambda p: len(p.segments))
        assert _edge(part, cut).radius == cut.cutter.radius
        for segment, following in zip(path.segments, path.segments[1:], strict=False):
            assert math.dist(segment.end, following.start) < 1e-6
        assert math.dist(path.segments[-1].end, path.segments[0].start) < 1e-6


def test_the_depth_scale_counts_from_the_face() -> None:
    """Each figure on the axis edge stands beside a tick at that depth below the face."""
    for plan in (PLANS["lakeside"](), PLANS["small"]()):
        for part in cut_plate.make(plan, style=MM):
            ticks = [
                p.segments[0].start.y
                for p in part.drawing.paths(Role.MARK)
                if p.segments[0].start.x == 0.0 and p.segments[0].end.x == 5.0
            ]
            figures = [t for t in part.drawing.texts() if t.at.x == 6.0 and t.at.y < 0]
            assert figures
            for figure in figures:
                depth = float(figure.text.removesuffix(" mm"))
                assert min(abs(-depth - y) for y in ticks) < 1e-9
                assert figure.at.y == pytest.approx(-depth - 1.1)
