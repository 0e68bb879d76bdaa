"""Parts that are set against the face, of any cutter, rim, pin and name: legible, in one piece."""

import dataclasses

import pytest
from at_the_lathe import PLANS, shares, wood_after, wood_before, working_order
from builders import make_cutters, make_jaws, make_job, make_shop, with_post
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from part_shapes import assert_legible, body, words
from pseudo import STRETCHED

from templategen.errors import InputError
from templategen.messages import Wording
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import cut_plate, depth_stick, setting_plate, standoff_block, stop_dial
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.records import LengthWall, PinnedCut, Relief, Tenon
from templategen.units import Units

MAKERS = (
    setting_plate.make,
    standoff_block.make,
    cut_plate.make,
    stop_dial.make,
    depth_stick.make,
)
NAMES = ["Invented very long name of a tool, No. 1", "Inventedverylongnameofatoolinoneword1"]


def _renamed(plan: Plan, name: str) -> Plan:
    """The plan with one long name for the cutter of every cut."""
    cuts = tuple(
        dataclasses.replace(cut, cutter=dataclasses.replace(cut.cutter, id=name))
        for cut in plan.cuts
    )
    return dataclasses.replace(plan, cuts=cuts)


@pytest.mark.parametrize("units", [Units.IN, Units.BOTH])  # the longest figures
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("plan", ["lakeside", "tiny"])
def test_long_names_of_cutters_are_whole(plan: str, name: str, units: Units) -> None:
    """40 letters of a cutter are all there, run over nothing and stay on the part."""
    renamed = _renamed(PLANS[plan](), name)
    for make in (setting_plate.make, cut_plate.make, stop_dial.make, depth_stick.make):
        for part in make(renamed, style=PrintStyle(units=units)):
            assert_legible(part)
            assert name.replace(" ", "") in words(part).replace(" ", ""), part.key


@pytest.mark.parametrize("wording", [STRETCHED, Wording("de")], ids=["longer", "de"])
@pytest.mark.parametrize("name", ["lakeside", "inch", "outer first", "tiny"])
def test_longer_words_stay_on_the_parts(name: str, wording: Wording) -> None:
    """Words a third longer, and German ones, run over nothing and off nothing."""
    for make in MAKERS:
        for part in make(PLANS[name](), style=PrintStyle(units=Units.BOTH, wording=wording)):
            assert_legible(part)


@given(
    units=st.sampled_from(Units),
    diameter=st.floats(60, 500),
    share=st.floats(0.3, 0.6),
    radii=st.lists(st.floats(20, 200), min_size=1, max_size=3, unique=True),
    kerf=st.floats(1.5, 12),
    height=st.floats(0, 8),
    pin=st.one_of(st.none(), st.floats(3, 60)),
    body_size=st.one_of(st.none(), st.floats(60, 200)),
    relief=st.sampled_from([None, Relief(shift=1.5, depth=4), Relief(shift=1, depth=8)]),
    order=st.sampled_from(Order),
)
@settings(max_examples=6, deadline=None)
def test_parts_of_any_shop_are_legible_and_clear_of_the_wood(
    units: Units,
    diameter: float,
    share: float,
    radii: list[float],
    kerf: float,
    height: float,
    pin: float | None,
    body_size: float | None,
    relief: Relief | None,
    order: Order,
) -> None:
    """Whatever cutters, blank and post: nothing over a line, nothing in the wood, one piece."""
    shop = make_shop(
        units=units,
        cutters=make_cutters(*radii, kerf=kerf),
        jaws=make_jaws(15, 25, 40, 60, 90, 130, 180, 240, depth=8),
    )
    job = make_job(
        diameter,
        diameter * share,
        units=units,
        wall=LengthWall(4 + diameter / 40),
        min_bowl=25.0,
        min_depth=5.0,
        min_ratio=0.05,
        max_slope=30.0,
        height_above_centre=height,
        relief=relief,
        order=order,
    )
    job = dataclasses.replace(job, tenon=Tenon(length=3.0, shoulder=2.0))
    try:
        plan = with_post(make_plan(job, shop, with_suggestions=False), pin=pin, body=body_size)
    except InputError:
        assume(False)
    for make in MAKERS:
        for part in make(plan, style=PrintStyle(units=units)):
            assert_legible(part)
            assert body(part).geom_type == "Polygon", part.key
    style = PrintStyle(units=units)
    for cut, part in zip(working_order(plan), setting_plate.make(plan, style=style), strict=True):
        assert not shares(body(part).buffer(-0.005), wood_before(plan, cut))
    for cut, part in zip(plan.cuts, cut_plate.make(plan, style=style), strict=True):
        assert not shares(body(part).buffer(-0.005), wood_after(plan, cut))


@pytest.mark.parametrize("offset", [-28.0, -5.0, 0.0, 39.0])
def test_pivots_on_either_side_of_the_axis(offset: float) -> None:
    """Plates and dials of a pinned cut with p negative, zero or large are legible and fit."""
    pin = PinnedCut(cutter="R135", pivot_offset=offset, pivot_standoff=25.0)
    job = make_job(400.0, 190.0, pinned=(pin,), add_cuts=False, max_slope=30.0)
    plan = with_post(make_plan(job, make_shop(), with_suggestions=False), pin=16.0, body=30.0)
    assert plan.cuts[0].pivot_offset == offset
    for make in MAKERS:
        parts = make(plan, style=PrintStyle(units=Units.MM))
        assert parts
        for part in parts:
            assert_legible(part)
    (plate,) = cut_plate.make(plan, style=PrintStyle(units=Units.MM))
    assert not shares(body(plate).buffer(-0.005), wood_after(plan, plan.cuts[0]))
