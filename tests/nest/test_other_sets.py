"""Other sets of bowls, wanted rims and an even outside: what is said of them is true."""

import functools
import itertools
import math

import pytest
from builders import changed_job, demo_plan, pin_of, plan_of

from templategen.geometry.curves import Span
from templategen.inputs.starters import demo_shop
from templategen.nest.check import check_plan
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import make_plan
from templategen.trade.choices import Objective, Order, OutsideShape
from templategen.trade.records import Blank

BLANKS = [(300.0, 120.0), (400.0, 180.0), (440.0, 190.0)]


@functools.lru_cache(maxsize=1)
def _plan(diameter: float, height: float) -> Plan:
    """The plan of a blank, with its other sets."""
    return make_plan(changed_job(blank=Blank(diameter=diameter, height=height)), demo_shop())


@functools.lru_cache(maxsize=5)
def _pinned(diameter: float, height: float, place: int) -> Plan:
    """A set of that plan planned again from its own cuts, all of them fixed."""
    plan = _plan(diameter, height)
    pins = tuple(map(pin_of, plan.sets[place].settings))
    return plan_of(plan.job, pinned=pins, add_cuts=False)


@pytest.mark.parametrize(("diameter", "height"), BLANKS)
def test_each_set_is_a_plan_that_keeps_every_rule(diameter: float, height: float) -> None:
    """At most five, no two alike, none the plan itself; each passes the check of outlines."""
    plan = _plan(diameter, height)
    assert 1 <= len(plan.sets) <= 5
    keys = [
        tuple((c.cutter.id, c.entry_radius, c.depth_at_axis) for c in cuts)
        for cuts in (plan.cuts, *(one.settings for one in plan.sets))
    ]
    assert len(set(keys)) == len(keys)
    for place, one in enumerate(plan.sets):
        again = _pinned(diameter, height, place)
        check_plan(again)
        assert not again.has_stop
        assert one.rims == pytest.approx([bowl.rim_diameter for bowl in again.bowls])
        assert one.cutters == tuple(cut.cutter.id for cut in again.cuts)


@pytest.mark.parametrize(("diameter", "height"), BLANKS)
def test_each_set_gives_what_it_says(diameter: float, height: float) -> None:
    """Fewer cautions, fewer changes of cutter, deeper cores, walls that differ less."""
    plan = _plan(diameter, height)
    for place, one in enumerate(plan.sets):
        text, again = str(one.label), _pinned(diameter, height, place)
        fewer = len(plan.bowls) - len(one.rims)
        assert ("costs one bowl" in text) == (fewer == 1)
        if "changes of cutter" in text:
            changes = [
                sum(a != b for a, b in itertools.pairwise(ids))
                for ids in (one.cutters, [cut.cutter.id for cut in plan.cuts])
            ]
            assert changes[0] < changes[1]
        if "deepest" in text:
            flattest = [
                min(bowl.depth / bowl.rim_diameter for bowl in made.bowls[1:])
                for made in (again, plan)
            ]
            assert flattest[0] > flattest[1]
        if "even walls" in text:
            uneven = [
                sum((b.wall_greatest or 0.0) - (b.wall or 0.0) for b in made.bowls) / len(made.cuts)
                for made in (again, plan)
            ]
            assert uneven[0] < uneven[1]


@pytest.mark.parametrize("order", list(Order))
@pytest.mark.parametrize(("diameter", "height"), [(250.0, 110.0), (400.0, 180.0), (440.0, 190.0)])
def test_the_set_of_fewest_cautions_has_the_fewest(
    diameter: float, height: float, order: Order
) -> None:
    """Of all the sets offered; it is named where the plan has more, and 'no caution' means none."""
    plan = make_plan(
        changed_job(blank=Blank(diameter=diameter, height=height), order=order), demo_shop()
    )
    had = sum(f.level is Level.CAUTION for f in plan.findings)
    least = min(one.cautions for one in plan.sets)
    named = [
        one for one in plan.sets if str(one.label).startswith(("no caution", "fewest cautions"))
    ]
    assert len(named) == (least < had)
    for one in named:
        assert one.cautions == least
        assert str(one.label).startswith("no caution") == (not least)


def test_wanted_rims_are_had_or_told() -> None:
    """A rim that may be had is; one that may not is a stop that names it; what it costs is told."""
    plan = plan_of(wanted=(300.0,))
    assert any(abs(bowl.rim_diameter - 300.0) <= 5.0 for bowl in plan.bowls)
    assert not plan.has_stop
    none = plan_of(wanted=(380.0,))
    (told,) = [f for f in none.findings if f.level is Level.STOP]
    assert told.rule == "wanted rims"
    assert "380 mm" in str(told.text)
    free = demo_plan()
    for rim in (270.0, 285.0, 310.0, 180.0, 165.0):
        made = plan_of(wanted=(rim,))
        costs = [f for f in made.findings if f.rule == "wanted rims"]
        assert bool(costs) == (made.has_stop or len(made.bowls) < len(free.bowls))


@pytest.mark.parametrize("objective", list(Objective))
def test_an_even_outside_is_concentric_with_its_cut(objective: Objective) -> None:
    """Bowl 1's outside is a circle about the pivot of cut 1, through the rim of the blank."""
    plan = plan_of(outside=OutsideShape.EVEN, objective=objective, diameter=260.0, height=120.0)
    check_plan(plan)
    cut, first = plan.cuts[0], plan.bowls[0].curves[0]
    assert isinstance(first, Span)
    assert (first.x, first.z) == pytest.approx((cut.pivot_offset, -cut.pivot_standoff))
    rim = math.hypot(first.x + first.radius * math.cos(first.start), first.height)
    assert rim == pytest.approx(plan.job.blank.diameter / 2)
    assert plan.bowls[0].wall == pytest.approx(first.radius - cut.cutter.radius, abs=0.5)
