"""Trammel strip: a nail in one hole, a pencil in another, and the circle drawn is the plan's."""

import itertools
import math
import re

import pytest
from builders import demo_plan, example_plan, tiny_plan
from part_shapes import MM, STYLES, arcs, assert_legible, words
from shapely.geometry import Point

from templategen.geometry.shapes import Arc
from templategen.nest.plan import Plan
from templategen.parts import blank_disc
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle

PLANS = [demo_plan(), tiny_plan(), example_plan("inch-15.toml")]


def _holes(plan: Plan) -> tuple[Arc, list[Arc]]:
    """The hole for the nail, and the others."""
    (part,) = blank_disc.make(plan, style=MM)
    nail, *others = [arc for arc in arcs(part, Role.CUT) if arc.is_circle]
    return nail, others


@pytest.mark.parametrize("plan", PLANS)
def test_circles_drawn_round_the_nail_are_those_of_the_plan(plan: Plan) -> None:
    """Blank, rims and tenon ends: some pencil hole swings round the nail on each (shapely)."""
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


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("style", STYLES)
def test_every_hole_is_named_with_its_size(plan: Plan, style: PrintStyle) -> None:
    """As many sizes as holes, no hole runs into another, and all of it is legible."""
    (part,) = blank_disc.make(plan, style=style)
    assert_legible(part)
    _, others = _holes(plan)
    assert len(others) == len(re.findall("Ø", words(part)))
    for one, two in itertools.combinations(others, 2):
        assert math.dist(one.centre, two.centre) > one.radius + two.radius
