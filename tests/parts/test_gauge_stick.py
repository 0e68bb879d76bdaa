"""Gauge sticks: marks are where they say, for both orders of the cuts."""

import dataclasses

import pytest
from builders import demo_plan
from part_shapes import MM, words

from templategen.nest.plan import Plan
from templategen.parts import gauge_stick
from templategen.parts.drawing import Part, Role


def _marks(stick: Part) -> tuple[list[float], list[float]]:
    """Distances of the marks from the upper end, on the left and on the right edge, mm."""
    ticks = [p.bounds() for p in stick.drawing.paths(Role.MARK)]
    left = sorted(-b.top for b in ticks if b.left == 0 and b.height < 1e-9)
    right = sorted(-b.top for b in ticks if b.right == gauge_stick.WIDTH and b.height < 1e-9)
    return left, right


def test_marks_are_where_they_say() -> None:
    """Left edge: rim less entry radius, and relief; right edge: deepest from the jaws."""
    plan = demo_plan()
    (stick,) = gauge_stick.make(plan, style=MM)
    left, right = _marks(stick)
    rim = plan.bowls[0].rim_diameter / 2
    entries = [rim - c.entry_radius for c in plan.cuts]
    shifted = [rim - c.entry_radius + c.relief.shift for c in plan.cuts if c.relief]
    assert left == pytest.approx(sorted(entries + shifted), abs=1e-9)
    shoulder = plan.bowls[0].depth  # seats on the jaw face
    assert right == pytest.approx(sorted(shoulder - c.deepest for c in plan.cuts), abs=1e-9)


def test_outer_first_measures_from_the_bowl_that_is_held(outer_first: Plan) -> None:
    """A stick for each cut, from the own rim and the own jaw face.

    The rim of the blank has gone with its bowl when the second cut is set: plain geometry.
    """
    plan = outer_first
    sticks = gauge_stick.make(plan, style=MM)
    assert len(sticks) == len({s.key for s in sticks}) == len(plan.cuts) > 1
    for stick, cut, held in zip(sticks, plan.cuts, plan.bowls, strict=False):
        left, right = _marks(stick)
        assert left[0] == pytest.approx(cut.entry_from_rim, abs=1e-9)
        assert right == pytest.approx([held.depth - cut.deepest], abs=1e-9)
        assert held.jaws is not None
        if held.number != 0:
            assert f"rim of piece {held.number}" in words(stick)
            assert f"jaws {held.jaws.id}" in words(stick)


def test_no_cuts_make_no_stick() -> None:
    """A blank that is not cored needs no stick."""
    assert gauge_stick.make(dataclasses.replace(demo_plan(), cuts=()), style=MM) == ()
