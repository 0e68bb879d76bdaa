"""Trammel strip: a nail in one hole, a pencil in another, and the circle drawn is the plan's."""

import itertools
import math
import re

import pytest
from builders import demo_plan, example_plan, tiny_plan
from part_shapes import MM, STYLES, arcs, assert_legible, words
from shapely.geometry import LineString, Point

from templategen.geometry.shapes import Arc
from templategen.nest.plan import Plan
from templategen.parts import blank_disc
from templategen.parts.blank_disc import circles_to_draw
from templategen.parts.dimension import moved_apart
from templategen.parts.drawing import Role

PLANS = [demo_plan, tiny_plan, lambda: example_plan("inch-15.toml")]


def _holes(plan: Plan) -> tuple[Arc, list[Arc]]:
    """The hole for the nail, and the others."""
    (part,) = blank_disc.make(plan, style=MM)
    nail, *others = [arc for arc in arcs(part, Role.CUT) if arc.is_circle]
    return nail, others


@pytest.mark.parametrize("make_plan", PLANS)
def test_circles_drawn_round_the_nail_are_those_of_the_plan(make_plan: object) -> None:
    """Blank, rims and tenon ends: some pencil hole swings round the nail on each (shapely)."""
    plan = make_plan()  # type: ignore[operator]
    nail, others = _holes(plan)
    centre = Point(nail.centre)
    radii = [Point(hole.centre).distance(centre) for hole in others]
    wanted = [plan.job.blank.diameter / 2]
    wanted += [bowl.rim_diameter / 2 for bowl in plan.bowls]
    wanted += [bowl.tenon_end_diameter / 2 for bowl in plan.bowls]
    for radius in wanted:
        assert min(abs(radius - found) for found in radii) < 0.05


def test_the_mouth_of_a_bowl_slides_over_its_disc() -> None:
    """The green disc is 1 mm less than the mouth that the next cut leaves.

    The cut's outer edge meets the face at p + sqrt(R² - q²) in the cutter's plane, h above centre:
    plain geometry.
    """
    plan = demo_plan()
    _, others = _holes(plan)
    for bowl, cut in zip(plan.bowls[1:], plan.cuts[1:], strict=False):
        radius, p, q = cut.cutter.radius, cut.pivot_offset, cut.pivot_standoff
        mouth = 2 * math.hypot(p + math.sqrt(radius**2 - q**2), cut.cutter_height)
        sizes = [2 * math.hypot(*hole.centre) for hole in others]
        assert min(abs(size - (mouth - 1.0)) for size in sizes) < 0.05, bowl.number


@pytest.mark.parametrize("make_plan", PLANS)
@pytest.mark.parametrize("style", STYLES)
def test_every_hole_is_named_with_its_size(make_plan: object, style: object) -> None:
    """As many names as holes, no hole runs into another, and all of it is legible."""
    plan = make_plan()  # type: ignore[operator]
    (part,) = blank_disc.make(plan, style=style)  # type: ignore[arg-type]
    assert_legible(part)
    _, others = _holes(plan)
    circles = circles_to_draw(plan, style)  # type: ignore[arg-type]
    assert len(others) == len(circles) == len(re.findall("Ø", words(part)))
    for (radius, _), hole in zip(circles, others, strict=True):
        assert math.hypot(*hole.centre) == pytest.approx(radius, abs=1e-9)
    for n, one in enumerate(others):
        for two in others[n + 1 :]:
            assert math.dist(one.centre, two.centre) > one.radius + two.radius


def test_things_moved_apart_keep_their_order_and_their_room() -> None:
    """Intervals about the middles never overlap; one alone stays where it is (shapely)."""
    places, widths = [0.0, 1.0, 2.0, 40.0, 41.0, 90.0], [6.0, 4.0, 5.0, 3.0, 3.0, 8.0]
    middles = moved_apart(places, widths)
    spans = [
        LineString([(m - w / 2 + 1e-9, 0), (m + w / 2 - 1e-9, 0)])
        for m, w in zip(middles, widths, strict=True)
    ]
    assert middles == sorted(middles)
    assert middles[-1] == 90.0
    assert not any(a.intersects(b) for a, b in itertools.pairwise(spans))
