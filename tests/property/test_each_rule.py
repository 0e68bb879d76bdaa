"""Each rule of design.md §4 over many random cases, against shapely, scipy or plain formulas."""

import dataclasses
import itertools
import math

import numpy as np
import pytest
from builders import changed_job, demo_plan
from cores import deepest_core
from hypothesis import assume, example, given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry import LineString
from strategies import JOB, SHOP, cut_settings, many, picky, sampled, set_cut

from templategen.geometry.curves import Side, Span, least_distance, points_along
from templategen.nest import rules
from templategen.nest.plan import CutSetting
from templategen.nest.tenon_choice import blank_options, core_as_held_best
from templategen.trade.choices import MeasuredAt
from templategen.trade.records import Jaws, LengthWall, Post, Relief, Tenon

pytestmark = pytest.mark.property


class TestRule1Wall:
    """Wall: least true distance between outside and next cut, over the whole curve."""

    @picky
    @example(  # nearly side by side: the least lies in a long flat valley
        outer=set_cut(132, 11.5, 1.03125, 52.59375),
        inner=set_cut(82, 3, 16.65625, 17.9375),
        relief=None,
    )
    @given(outer=cut_settings(), inner=cut_settings(), relief=st.sampled_from([None, Relief()]))
    def test_wall_is_shapelys_distance(
        self, outer: CutSetting, inner: CutSetting, relief: Relief | None
    ) -> None:
        """The least distance over the whole curve, to 0.003 mm (shapely on dense points)."""
        curves = rules.core_curves(outer, height=5.0, relief=relief)
        assume(curves is not None)
        assert curves is not None
        inside = inner.entry_radius < curves[0].at(curves[0].start)[0]
        assume(inside and inner.deepest < points_along(curves)[-1][1])  # a cut in the bowl
        edge = rules.edge_of(inner, height=5.0)
        gap, one, two = least_distance(curves, edge)
        parts = [sampled((c,)) for c in curves]
        measured = min(part.distance(sampled((edge,))) for part in parts)
        # curves that cross have no wall, and no rule is asked of them; nor of walls without end
        assume(0.05 < measured < 40)
        assert gap == pytest.approx(measured, abs=0.003)
        assert math.dist(one, two) == pytest.approx(gap, abs=1e-9)

    @many
    @given(inner=cut_settings(), points=st.lists(st.floats(0, 30), min_size=2, max_size=4))
    def test_wall_to_a_drawn_outside(self, inner: CutSetting, points: list[float]) -> None:
        """The wall on straight sides, between their corners too (shapely)."""
        reach = inner.entry_radius + 15 + np.cumsum([0.0, *points])[::-1]
        deep = np.linspace(0.0, inner.deepest + 40, len(reach))
        sides = tuple(
            Side(r0=a, z0=b, r1=c, z1=d)
            for (a, b), (c, d) in itertools.pairwise(zip(reach, deep, strict=True))
        )
        edge = rules.edge_of(inner, height=5.0)
        measured = LineString(list(zip(reach, deep, strict=True))).distance(sampled((edge,)))
        assume(measured > 0.05)
        assert least_distance(sides, edge)[0] == pytest.approx(measured, abs=0.01)


class TestRule2Floor:
    """Floor: the tenon's shoulder minus the deepest point of the next cut."""

    @many
    @given(setting=cut_settings(), shoulder=st.floats(20, 200))
    def test_floor(self, setting: CutSetting, shoulder: float) -> None:
        """Shoulder less the deepest of the sampled edge."""
        body = core_as_held_best(setting, JOB, SHOP)
        assume(body is not None)
        assert body is not None
        body = dataclasses.replace(body, shoulder=shoulder)
        lowest = max(z for _, z in points_along([rules.edge_of(setting, height=5.0)], max_gap=1e-4))
        assert rules.floor_of(body, setting) == pytest.approx(shoulder - lowest, abs=1e-3)


class TestRule3TenonStock:
    """Tenon stock: its end lies where the outside has the tenon's radius; it never bottoms."""

    @many
    @given(
        setting=cut_settings(),
        diameter=st.floats(15, 150),
        relief=st.sampled_from([None, Relief()]),
    )
    def test_tenon_stock(self, setting: CutSetting, diameter: float, relief: Relief | None) -> None:
        """The tenon's end lies where the outside has its radius (shapely intersection)."""
        curves = rules.core_curves(setting, height=5.0, relief=relief)
        assume(curves is not None)
        assert curves is not None
        end = rules.tenon_end(curves, diameter)
        outside = LineString(points_along(curves, max_gap=0.0002))
        met = outside.intersection(LineString([(diameter / 2, -1), (diameter / 2, 400)]))
        if end is None:
            assert met.is_empty
        else:
            assert met.bounds[3] == pytest.approx(end, abs=0.01)

    @many
    @given(setting=cut_settings())
    def test_a_core_keeps_rules_3_4_and_6(self, setting: CutSetting) -> None:
        """Tenons never bottom, are held by jaws of the shop, and no bowl is too small."""
        body = deepest_core(setting, JOB, SHOP)
        if body is None:
            forced = core_as_held_best(setting, JOB, SHOP)
            if forced is not None and forced.jaws is not None:
                flat = rules.core_curves(setting, height=5.0, relief=JOB.nest.relief) is None
                small = 2 * forced.rim_radius < JOB.nest.min_bowl
                least = max(JOB.nest.min_depth, JOB.nest.min_ratio * 2 * forced.rim_radius)
                assert flat or small or forced.shoulder < least
            return
        assert body.jaws in SHOP.jaws
        assert body.tenon_length <= body.jaws.depth - 1.5
        share = body.tenon_diameter / (2 * body.rim_radius)
        assert SHOP.rules.refuse_share <= share <= 0.75
        assert 2 * body.rim_radius >= JOB.nest.min_bowl
        assert body.shoulder >= JOB.nest.min_depth
        assert body.shoulder >= JOB.nest.min_ratio * 2 * body.rim_radius


class TestRule4TenonShare:
    """Tenon share: held by jaws the shop owns, within the limits."""

    @many
    @given(
        sizes=st.lists(st.floats(20, 250), min_size=1, max_size=7, unique=True),
        places=st.lists(st.sampled_from(MeasuredAt), min_size=7, max_size=7),
        share=st.floats(0.35, 0.6),
        diameter=st.floats(150, 500),
    )
    def test_all_jaws_within_the_limits_may_hold(
        self, sizes: list[float], places: list[MeasuredAt], share: float, diameter: float
    ) -> None:
        """Each whose neck is from a third to 0.75 of the rim, nearest to the wish first."""
        jaws = tuple(
            Jaws(id=str(d), true_circle=d, depth=14, measured_at=place)
            for d, place in zip(sizes, places, strict=False)
        )
        tenon = Tenon(share=share, length=9.0)
        job = changed_job(JOB, diameter=diameter, height=diameter / 2, tenon=tenon)
        options = blank_options(job, dataclasses.replace(SHOP, jaws=jaws))
        spread = 18 * math.tan(math.radians(10))  # end face over neck of a tenon of 9 mm
        shares = {
            one.id: (one.true_circle - spread * (one.measured_at is MeasuredAt.BOTTOM)) / diameter
            for one in jaws
        }
        held = {name for name, found in shares.items() if 1 / 3 <= found <= 0.75}
        found = [one.shape.jaws.id for one in options if one.shape.jaws is not None]
        assert set(found) == held
        away = [abs(shares[name] - share) for name in found]
        assert away == sorted(away)


class TestRule5Cutter:
    """Cutter: standoff, offset, swing and slope within limits."""

    @many
    @given(
        setting=cut_settings(),
        limit=st.floats(1, 30),
        least=st.floats(0, 80),
        widest=st.floats(40, 120),
    )
    def test_cutter_limits(
        self, setting: CutSetting, limit: float, least: float, widest: float
    ) -> None:
        """Limits by the formulas of design §3, from points of the edge."""
        shop = dataclasses.replace(
            SHOP, post=Post(min_standoff=least, min_offset=-20, max_offset=30)
        )
        assert rules.fits_standoff(setting, shop) == (setting.pivot_standoff >= least)
        for relief, low in ((None, -20), (Relief(shift=5.0, depth=20.0), -15)):
            found = rules.fits_offset(setting, shop, relief)
            assert found == (low <= setting.pivot_offset <= 30)
        edge = rules.edge_of(setting, height=0.0)
        turned = math.degrees(edge.end - edge.start)
        cutter = dataclasses.replace(setting.cutter, max_swing=widest)
        assert rules.fits_swing(dataclasses.replace(setting, cutter=cutter)) == (turned <= widest)
        (r0, z0), (r1, z1) = edge.at(edge.end - 1e-6), edge.at(edge.end)
        slope = math.degrees(math.atan2(z0 - z1, r0 - r1))
        assume(abs(abs(slope) - limit) > 0.01)
        assert rules.fits_slope(setting, changed_job(JOB, max_slope=limit)) == (abs(slope) <= limit)


class TestRule6Size:
    """Size: the volume enclosed by the outside as parted."""

    @many
    @given(
        setting=cut_settings(), relief=st.sampled_from([None, Relief(), Relief(shift=3, depth=12)])
    )
    def test_size_by_quadrature(self, setting: CutSetting, relief: Relief | None) -> None:
        """The size of a core is the volume its outside encloses (scipy.integrate.quad)."""
        curves = rules.core_curves(setting, height=5.0, relief=relief)
        assume(curves is not None)
        assert curves is not None

        def disc(curve: Span, angle: float) -> float:
            r, _ = curve.at(angle)
            return math.pi * r * r * curve.radius * math.cos(angle)

        total = sum(quad(lambda a, c=c: disc(c, a), c.start, c.end)[0] for c in curves)
        assert rules.core_size(curves) == pytest.approx(total, rel=1e-6)


class TestRule7Tolerance:
    """Tolerance: the worst case with both pivots out by ±t in offset and in standoff."""

    @many
    @given(outer=cut_settings(), inner=cut_settings(), t=st.floats(0, 3))
    def test_worst_is_the_worst(self, outer: CutSetting, inner: CutSetting, t: float) -> None:
        """No setting within ±t gives a thinner wall or floor; none is thicker than nominal."""
        job = changed_job(JOB, setting_tolerance=t, relief=None)
        body = core_as_held_best(outer, job, SHOP)
        assume(body is not None)
        assert body is not None
        wall = rules.wall_of(body, inner, height=5.0)[0]
        edge = rules.edge_of(inner, height=5.0)
        crossing = sampled(body.curves).crosses(sampled((edge,)))
        assume(wall > 7 * t and not crossing and inner.pivot_standoff > t)
        least, floor = rules.worst_of(body, outer, inner, job)
        assert least <= wall + 1e-3
        assert floor <= rules.floor_of(body, inner) + 1e-6
        assert least >= wall - 4.5 * t - 1e-3  # what `_Search.safety_margin` counts on
        for dp, dq in itertools.product((-t, 0.0, t / 3), repeat=2):
            moved = rules.moved(inner, offset=dp, standoff=dq, height=5.0)
            assert rules.wall_of(body, moved, height=5.0)[0] >= least - 0.02

    @pytest.mark.parametrize("tolerance", [0.0, 1.0, 2.5])
    @pytest.mark.parametrize("number", [0, 1, 2])
    def test_worst_wall_and_floor_by_moving_every_pivot(
        self, number: int, tolerance: float
    ) -> None:
        """By definition: the least of the 16 settings, the blank's outside stays (shapely)."""
        plan = demo_plan()
        job = changed_job(plan.job, setting_tolerance=tolerance)
        height, shape = plan.cuts[number].cutter_height, plan.bowls[number]
        inner = plan.cuts[number]
        own = plan.cuts[number - 1] if number else None
        shifts = list(itertools.product((-tolerance, tolerance), repeat=2))
        insides = []
        for dp, dq in shifts:
            cut = rules.moved(inner, offset=dp, standoff=dq, height=height)
            insides.append(sampled((rules.edge_of(cut, height=height),)))
        outsides = [(shape.curves, shape.shoulder)]
        if own is not None:
            outsides = []
            for dp, dq in shifts:
                cut = rules.moved(own, offset=dp, standoff=dq, height=height)
                curves = rules.core_curves(cut, height=height, relief=job.nest.relief)
                assert curves is not None
                end = rules.tenon_end(curves, shape.tenon_end_diameter)
                assert end is not None
                outsides.append((curves, end - shape.tenon_length))
        walls = [
            sampled((curve,)).distance(inside)
            for curves, _ in outsides
            for curve in curves
            for inside in insides
        ]
        deepest = max(z for inside in insides for _, z in inside.coords)
        wall, floor = rules.worst_of(shape, own, inner, job)
        assert wall == pytest.approx(min(walls), abs=0.01)
        assert floor == pytest.approx(min(s for _, s in outsides) - deepest, abs=0.01)
        for guard, has in (("nominal", rules.floor_of(shape, inner)), ("worst", floor)):
            for past, kept in ((0.0, True), (0.001, False)):
                wished = changed_job(job, guard=guard, floor=has + past, wall=LengthWall(1.0))
                assert rules.meets(shape, own, inner, wished) is kept
