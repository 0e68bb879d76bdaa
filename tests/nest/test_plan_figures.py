"""Figures that follow from a plan, each computed another way from the plan's own settings."""

import dataclasses
import math

import numpy as np
import pytest
import scipy.integrate
import scipy.optimize
import shapely
from builders import changed_shop, demo_plan, make_jaws, plan_of

from templategen.nest.plan import Cut
from templategen.nest.plan_figures import (
    freed_outline,
    green_density,
    rim_to_pith,
    turned_outside,
    with_figures,
)
from templategen.trade.choices import LogRim, Order
from templategen.trade.records import Chuck, Log, PinnedCut
from templategen.trade.wood import wood_of

SYCAMORE_KPA = 4340.0  # tension across the grain, green: Wood Handbook Table 5-3b
GRAVITY = 9.80665  # m/s², ISO 80000-3 (from memory)


def _neck(cut: Cut, swing: float) -> float:
    """Twice the least true radius of the tip's edge within the wood, sampled in 4000 points."""
    turn = cut.touch_angle + swing
    ring = np.linspace(cut.cutter.inner_radius, cut.cutter.radius, 4001)
    x = cut.pivot_offset + ring * math.cos(turn)
    z = ring * math.sin(turn) - cut.pivot_standoff
    return 2 * math.hypot(float(x[z >= -1e-9].min()), cut.cutter_height)


@pytest.mark.parametrize("order", list(Order))
def test_where_to_stop(order: Order) -> None:
    """The core breaks its neck at σ = 32 m g l/(π d³); stop at 1.5 times that (design.md §6).

    Mass and lever by shapely and scipy from the half section of what is on the neck: inner-first
    the cores within are gone, outer-first it is solid. The bending stress of a round bar is the
    moment over π d³/32 (Roark's Formulas, from memory).
    """
    plan = plan_of(order=order)
    weights = green_density(wood_of(plan.job))
    assert weights is not None
    for cut in plan.cuts:
        section = shapely.Polygon(freed_outline(plan, cut))
        kept = shapely.Polygon(plan.bowls[cut.number].outline).area
        assert section.area >= kept - 1e-6
        assert (section.area > kept + 1.0) == (
            order is Order.OUTER_FIRST and cut.number < len(plan.cuts)
        )
        shape = np.array(section.exterior.coords)
        _, top, _, bottom = section.bounds

        def moments(z: float, section: shapely.Polygon = section) -> tuple[float, float]:
            line = shapely.LineString([(-1.0, z), (1000.0, z)])
            parts = shapely.get_parts(shapely.intersection(section, line))
            area = sum(math.pi * (p.bounds[2] ** 2 - p.bounds[0] ** 2) for p in parts if p.length)
            return area, area * z

        depths = np.linspace(top, bottom, 1501)
        slices = np.array([moments(z) for z in (depths[1:] + depths[:-1]) / 2])
        step = (bottom - top) / 1500
        volume, moment = (slices * step).sum(axis=0)
        assert len(shape) > 10
        mass = volume / 1e9 * max(weights)
        lever = cut.deepest - moment / volume
        neck = scipy.optimize.brentq(
            lambda d, m=mass, a=lever: 32e3 * m * GRAVITY * a / (math.pi * d**3) - SYCAMORE_KPA,
            1e-3,
            1e3,
        )
        assert cut.stop_neck == pytest.approx(max(1.5 * neck, cut.stub), rel=2e-3)
        assert cut.stop_angle is not None
        assert _neck(cut, cut.stop_angle) == pytest.approx(cut.stop_neck, abs=0.02)
        depth = cut.cutter.radius * math.sin(cut.touch_angle + cut.stop_angle)
        assert cut.stop_depth == pytest.approx(depth - cut.pivot_standoff)
        if neck <= cut.stub:
            assert cut.release_angle is None
        else:
            assert cut.release_neck == pytest.approx(neck, rel=2e-3)
            assert cut.release_angle is not None
            assert cut.release_angle > cut.stop_angle


def test_through_is_where_the_tip_is_at_the_axis() -> None:
    """The neck there is the stub of 2 h; before it the neck is wider."""
    for cut in demo_plan().cuts:
        assert cut.through_angle is not None
        assert _neck(cut, cut.through_angle) == pytest.approx(cut.stub, abs=1e-6)
        assert _neck(cut, cut.through_angle - 0.01) > cut.stub + 1e-3


def test_forces_at_the_tip() -> None:
    """The whole torque at the true radius of the tip: F = T/r, T = P/ω at 500 rpm, 1500 W."""
    torque = 1500 / (500 * math.tau / 60) * 1000  # N mm
    for cut in demo_plan().cuts:
        assert cut.stop_angle is not None
        assert cut.force_entry_n == pytest.approx(torque / cut.entry_radius)
        half = _neck(cut, cut.stop_angle / 2) / 2
        assert cut.force_half_n == pytest.approx(torque / half, rel=1e-4)
        assert cut.stop_neck is not None
        assert cut.force_release_n == pytest.approx(torque / (cut.stop_neck / 2), rel=1e-6)
        assert cut.rub_radius == pytest.approx(5 / math.sin(math.radians(12)))


def test_without_power_or_section_no_forces_and_no_droop() -> None:
    """What is not stated is not told."""
    shop = changed_shop()
    bare = dataclasses.replace(
        shop,
        lathe=dataclasses.replace(shop.lathe, power_w=None),
        cutters=tuple(
            dataclasses.replace(c, section=None, relief_angle=None) for c in shop.cutters
        ),
    )
    for cut in plan_of(shop=bare).cuts:
        assert (cut.force_entry_n, cut.droop_radius, cut.rub_radius) == (None, None, None)


def test_the_entry_is_measured_from_the_rim_on_the_lathe() -> None:
    """The blank's rim while it stays on its own tenon; a core's own once that is held again."""
    for order in Order:
        plan = plan_of(order=order)
        for bowl, cut in zip(plan.bowls, plan.cuts, strict=False):
            rim = bowl.rim_diameter / 2 if order is Order.OUTER_FIRST else 200.0
            assert cut.entry_from_rim == pytest.approx(rim - cut.entry_radius)


def test_walls_of_cores_end_at_their_shoulder() -> None:
    """A core's outside as turned: its curve down to the shoulder, then flat to the axis."""
    for bowl in demo_plan().bowls:
        line = turned_outside(bowl)
        assert line[-1] == (0.0, bowl.depth)
        assert line[-2][1] == pytest.approx(bowl.depth)
        assert all(z <= bowl.depth + 1e-9 for _, z in line)
        if bowl.number == 1:
            assert line[-2][0] == pytest.approx(bowl.tenon_diameter / 2)
        if bowl.wall is not None:
            assert bowl.wall_greatest is not None
            assert bowl.wall_greatest > bowl.wall


@pytest.mark.parametrize("rim", [None, *LogRim])
def test_dried_by_the_rings(rim: LogRim | None) -> None:
    """Sycamore to 10 %: radii by 3.33 %, rings by 5.6 %, along 0.133 % (Table 4-3, Eq. 4-9).

    Across the grain a rim of radius b, t from the pith, is the chord of its rings: the length of
    the ring between its ends shrinks by 5.6 %, its radius by 3.33 %. Without a log the rim is
    taken as 15 mm from the pith.
    """
    log = None if rim is None else Log(diameter=900.0, length=900.0, pith=15.0, rim=rim)
    plan = plan_of(log=log)
    t = 15.0 + (180.0 if rim is LogRim.BARK else 0.0)
    assert rim_to_pith(plan.job) == t
    across, radial, along = 0.084 * 2 / 3, 0.05 * 2 / 3, 0.002 * 2 / 3
    for bowl in plan.bowls:
        ring = math.hypot(bowl.rim_diameter / 2, t)
        arc = 2 * ring * math.atan2(bowl.rim_diameter / 2, t) * (1 - across)
        dried_ring = ring * (1 - radial)
        chord = 2 * dried_ring * math.sin(arc / dried_ring / 2)
        lifted = dried_ring * math.cos(arc / dried_ring / 2) - t * (1 - radial)
        dried = bowl.dried
        assert dried is not None
        assert dried.rim_across == pytest.approx(chord, rel=1e-9)
        assert dried.rim_along == pytest.approx(bowl.rim_diameter * (1 - along))
        assert dried.rim_out_of_flat == pytest.approx(abs(lifted), abs=1e-9)
        assert dried.largest_circle <= min(dried.rim_across, dried.rim_along) + 1e-9
        assert dried.tenon_across == pytest.approx(bowl.tenon_diameter * (1 - across))
        assert dried.tenon_along == pytest.approx(bowl.tenon_diameter * (1 - along))


def test_jaws_that_hold_a_dried_tenon() -> None:
    """The widest that close on what is left of it, and at least a quarter of the dried rim."""
    plan = demo_plan()
    for bowl in plan.bowls:
        assert bowl.dried is not None
        fitting = [
            jaws.true_circle
            for jaws in plan.shop.jaws
            if 0.25 * bowl.dried.largest_circle <= jaws.true_circle <= bowl.dried.tenon_across
        ]
        held = bowl.held_again
        assert (held is None) == (not fitting)
        if held is not None:
            assert held.neck == held.jaws.true_circle == max(fitting)
    own = dataclasses.replace(plan, shop=changed_shop(jaws=make_jaws(200.0)))
    assert with_figures(own).bowls[0].held_again is None


def test_speed_and_energy() -> None:
    """The least of the limits in tens, half of it to start; ½ I ω² of the green disc."""
    plan = demo_plan()
    assert plan.speed is not None
    assert (plan.speed.max_rpm, plan.speed.start_rpm) == (380, 190)
    found = scipy.integrate.quad(lambda r: 180 * math.tau * r**3, 0, 200)[0] / 1e15  # m⁵
    weights = green_density(wood_of(plan.job))
    assert weights is not None
    omega = 380 * math.tau / 60
    assert plan.speed.energy_j == pytest.approx(found * max(weights) * omega**2 / 2)
    slow = dataclasses.replace(plan, shop=changed_shop(chuck=Chuck(max_speed=205.0)))
    speed = with_figures(slow).speed
    assert speed is not None
    assert (speed.max_rpm, speed.start_rpm) == (200, 100)


@pytest.mark.parametrize("rim", list(LogRim))
def test_the_log_that_a_blank_needs(rim: LogRim) -> None:
    """The circle about the pith that holds the turned outside, by shapely."""
    plan = plan_of(
        log=Log(diameter=600.0, length=1300.0, pith=15.0, rim=rim, end_trim=50.0, saw=8.0)
    )
    assert plan.log is not None
    down = plan.log.rim_from_pith
    turned = [(r, down + z if rim is LogRim.PITH else down - z) for r, z in plan.outside]
    needed = 2 * shapely.hausdorff_distance(shapely.LineString(turned), shapely.Point(0, 0))
    assert plan.log.diameter_needed == pytest.approx(needed)
    assert plan.log.count == 2 * 2  # 1200 mm: 400 + 8 + 400 and not one more, in either half
    assert down == (15.0 if rim is LogRim.PITH else 195.0)


def test_a_core_lower_than_its_tenon_has_figures_too() -> None:
    """A pinned cut 12 mm deep, with another in its core: a stop is told and nothing fails."""
    pins = tuple(
        PinnedCut(cutter="R170", entry_radius=entry, depth_at_axis=depth)
        for entry, depth in ((150.0, 12.0), (100.0, 6.0))
    )
    plan = plan_of(pinned=pins, add_cuts=False, relief=None)
    assert plan.has_stop
    assert plan.bowls[1].depth < 9.0
    assert plan.bowls[1].wall_greatest is not None
