"""Cut plates against sympy's circle, shapely, and what a person needs to set a cut."""

import math

import pytest
import sympy  # type: ignore[import-untyped]
from builders import demo_plan, invented_plan, tiny_plan
from part_shapes import MM, STYLES, arcs, outline, words

from templategen.nest.plan import Plan
from templategen.parts import cut_plate
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle


def test_the_edge_passes_through_the_entry_and_the_axis_point() -> None:
    """The cut edge is the circle of R about the pivot, by sympy's exact distances."""
    plan = invented_plan()
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=MM), strict=True):
        (edge,) = arcs(part, Role.CUT)
        centre = sympy.Point(cut.pivot_offset, cut.pivot_standoff)
        entry_x = math.sqrt(cut.entry_radius**2 - cut.cutter_height**2)
        for point in (sympy.Point(entry_x, 0), sympy.Point(0, -cut.depth_at_axis)):
            assert abs(float(centre.distance(point)) - cut.cutter.radius) < 1e-3
        assert math.dist(edge.start, (entry_x, 0)) < 1e-3
        assert math.dist(edge.end, (0, -cut.depth_at_axis)) < 1e-3
        shape = outline(part)
        assert shape.is_valid
        assert shape.bounds[1] == pytest.approx(-cut.deepest, abs=0.01)


@pytest.mark.parametrize("plan", [demo_plan(), tiny_plan()], ids=["demo", "tiny"])
@pytest.mark.parametrize("style", STYLES)
def test_every_plate_says_how_to_set_the_cut(plan: Plan, style: PrintStyle) -> None:
    """Entry, deepest, height above centre and pivot are on each plate, however small."""
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=style), strict=True):
        for needed in ("entry", "deepest", "above centre", "pivot", "off the face"):
            assert needed in words(part), (part.title, needed)
        (path,) = part.drawing.paths(Role.CUT)
        (edge,) = arcs(part, Role.CUT)
        assert edge.radius == cut.cutter.radius
        ends = [point for s in path.segments for point in (s.start, s.end)]
        assert any(math.dist(p, (0.0, 0.0)) < 1e-9 for p in ends)  # the face meets the axis
        for segment, following in zip(path.segments, path.segments[1:], strict=False):
            assert math.dist(segment.end, following.start) < 1e-6
        assert math.dist(path.segments[-1].end, path.segments[0].start) < 1e-6
