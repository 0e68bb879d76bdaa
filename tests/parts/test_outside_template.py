"""Outside template: laid on the turned outside of bowl 1 no light shows, by shapely."""

import functools

import pytest
from builders import changed_job, demo_plan, example_plan, tiny_plan
from part_shapes import MM, arcs, assert_legible, body, words
from shapely.geometry import LineString, Point, Polygon

from templategen.geometry.curves import Span
from templategen.geometry.shapes import Arc
from templategen.geometry.shapes import Point as ShapePoint
from templategen.inputs.starters import demo_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import half_section, outside_template
from templategen.parts.drawing import Role
from templategen.trade.choices import OutsideShape

OWN = ((200.0, 0.0), (195.0, 60.0), (165.0, 130.0), (112.0, 165.0))
LIGHT = 0.02  # mm: a gap that a turner would see as light


@functools.cache
def _plan(name: str) -> Plan:
    match name:
        case "demo":
            return demo_plan()
        case "small":
            return example_plan("small-220.toml")
        case "inch":
            return example_plan("inch-15.toml")
        case "tiny":
            return tiny_plan()
        case "own points":
            outside: OutsideShape | tuple[tuple[float, float], ...] = OWN
        case _:
            outside = OutsideShape(name)
    return make_plan(changed_job(outside=outside), demo_shop(), with_suggestions=False)


NAMES = ["demo", "small", "inch", "tiny", "cylinder", "even", "own points"]


def _outline(plan: Plan) -> list[tuple[float, float]]:
    """The turned outside from the rim to the axis, tenon and all, as the plan reports it."""
    return [(r, -z) for r, z in plan.outside]


@pytest.mark.parametrize("name", NAMES)
def test_no_light_shows_under_it(name: str) -> None:
    """From the rim to the neck the gauge touches the wood; nowhere does it lie in the wood.

    Left out: the notch at the rim's sharp edge and the air beside the tenon.
    """
    plan = _plan(name)
    (part,) = outside_template.make(plan, style=MM)
    gauge, line = body(part), _outline(plan)
    wood = Polygon([*line, (0.0, 0.0)])
    assert wood.intersection(gauge.buffer(-LIGHT)).area < 1e-6
    bowl = plan.bowls[0]
    rim, neck = Point(line[0]), Point(bowl.tenon_diameter / 2, -bowl.depth)
    outside = LineString(line)
    for way in range(int(outside.project(neck))):
        place = outside.interpolate(float(way))
        if place.distance(rim) > 1.3 and place.distance(neck) > 2.1:
            assert gauge.distance(place) <= LIGHT, (way, place)


@pytest.mark.parametrize("name", NAMES)
def test_it_hangs_on_the_face(name: str) -> None:
    """The hook lies on the face from the rim inward, over at least 8 mm."""
    plan = _plan(name)
    (part,) = outside_template.make(plan, style=MM)
    rim = plan.bowls[0].rim_diameter / 2
    face = LineString([(0.0, 0.0), (rim - 1.3, 0.0)])
    assert face.intersection(body(part).buffer(1e-6)).length >= 8.0
    assert_legible(part)
    assert "bowl 1" in words(part)


def test_circles_stay_true_arcs() -> None:
    """The working edge of an arc outside is one arc of the outside's own radius."""
    plan = demo_plan()
    (part,) = outside_template.make(plan, style=MM)
    (span,) = [c for c in plan.bowls[0].curves if isinstance(c, Span)]
    radii = [arc.radius for arc in arcs(part, Role.CUT)]
    assert sum(abs(radius - span.radius) < 1e-9 for radius in radii) == 1


def test_an_arc_through_three_points_meets_them() -> None:
    """Start, middle and end lie on it, whichever way it turns: plain geometry."""
    for turned in (False, True):
        wanted = Arc(ShapePoint(3.0, -4.0), 25.0, 0.4, -1.3 if turned else 1.3)
        middle = wanted.at(wanted.from_angle + wanted.sweep * 0.3)
        found = half_section.arc_through(wanted.start, middle, wanted.end)
        assert found.radius == pytest.approx(25.0)
        assert found.sweep == pytest.approx(wanted.sweep)
        assert found.centre == pytest.approx((3.0, -4.0))


def test_the_flat_beside_the_tenon_is_reached() -> None:
    """The gauge seats on the flat: at most 2 mm of it are left free beside the neck."""
    plan = demo_plan()
    assert plan.job.tenon.shoulder > 3.0
    (part,) = outside_template.make(plan, style=MM)
    neck = plan.bowls[0].tenon_diameter / 2
    flat = LineString([(neck, -plan.bowls[0].depth), (neck + 20.0, -plan.bowls[0].depth)])
    touched = flat.intersection(body(part).buffer(1e-6))
    assert touched.bounds[0] - neck <= 2.0
