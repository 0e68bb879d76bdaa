"""Gauge sticks: marks are where they say, for both orders of the cuts."""

import dataclasses
import itertools

import pytest
from builders import demo_plan
from part_shapes import MM, body, words

from templategen.nest.plan import Plan
from templategen.parts import gauge_stick
from templategen.parts.drawing import Part, Role


def _marks(stick: Part) -> tuple[list[float], list[float]]:
    """Distances of the marks from the upper end, on the left and on the right edge, mm."""
    ticks = [p.bounds() for p in stick.drawing.paths(Role.MARK)]
    _, _, width, top = body(stick).bounds
    left = sorted(top - b.top for b in ticks if b.left == 0 and b.height < 1e-9)
    right = sorted(top - b.top for b in ticks if abs(b.right - width) < 1e-9 and b.height < 1e-9)
    return left, right


def test_marks_are_where_they_say() -> None:
    """Left edge: rim less entry radius, and relief; right edge: from one entry to the next."""
    plan = demo_plan()
    (stick,) = gauge_stick.make(plan, style=MM)
    left, right = _marks(stick)
    rim = plan.bowls[0].rim_diameter / 2
    entries = [rim - c.entry_radius for c in plan.cuts]
    shifted = [rim - c.entry_radius + c.relief.shift for c in plan.cuts if c.relief]
    assert left == pytest.approx(sorted(entries + shifted), abs=1e-9)
    radii = [c.entry_radius for c in plan.cuts]
    steps = [a - b for a, b in itertools.pairwise(radii)]
    assert right == pytest.approx(sorted(steps), abs=1e-9)


def test_outer_first_measures_from_the_bowl_that_is_held(outer_first: Plan) -> None:
    """A stick for each cut, from the rim of the bowl that is held.

    The rim of the blank has gone with its bowl when the second cut is set: plain geometry.
    """
    plan = outer_first
    sticks = gauge_stick.make(plan, style=MM)
    assert len(sticks) == len({s.key for s in sticks}) == len(plan.cuts) > 1
    for stick, cut, held in zip(sticks, plan.cuts, plan.bowls, strict=False):
        left, right = _marks(stick)
        assert left[0] == pytest.approx(held.rim_diameter / 2 - cut.entry_radius, abs=1e-9)
        assert right == []
        if held.number > 1:
            assert f"rim of bowl {held.number}" in words(stick)


def test_no_cuts_make_no_stick() -> None:
    """A blank that is not cored needs no stick."""
    assert gauge_stick.make(dataclasses.replace(demo_plan(), cuts=()), style=MM) == ()
