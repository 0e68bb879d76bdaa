"""Each rule of design.md §4 over many random cases, against shapely, scipy or plain formulas."""

import dataclasses
import itertools
import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely.geometry import LineString

from templategen.geometry.curves import Side, Span, least_distance, points_along
from templategen.nest import rules
from templategen.nest.cut_table import Reach, bounds_of, make_cut_table
from templategen.nest.planner import blank_body
from templategen.trade.jaws import choose_jaws, jaws_ranges
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    Post,
    Relief,
    ShareWall,
    Shop,
    Tenon,
)
from templategen.units import Units

many = settings(max_examples=60, deadline=None, derandomize=True)
picky = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much],
)

JAWS = tuple(Jaws(id=str(d), true_circle=d, depth=14) for d in (30, 45, 60, 80, 110, 150, 200))
SHOP = Shop(
    name="Invented",
    units=Units.MM,
    cutters=tuple(Cutter(id=f"R{r}", radius=r, kerf=9) for r in (75, 110, 160)),
    jaws=JAWS,
)
JOB = Job(
    title="Invented",
    date="",
    units=Units.MM,
    blank=Blank(diameter=380, height=170),
    nest=Nest(wall=LengthWall(18.0), min_bowl=80.0),
)


def _job(**changes: object) -> Job:
    return dataclasses.replace(JOB, nest=dataclasses.replace(JOB.nest, **changes))  # type: ignore[arg-type]


@st.composite
def swings(draw: st.DrawFn, height: float = 5.0) -> rules.CutSetting:
    """A cut that frees a core, cutter and pivot drawn freely."""
    radius = draw(st.floats(50, 220))
    cutter = Cutter(id="any", radius=radius, kerf=draw(st.floats(3, 15)))
    p = draw(st.floats(-0.2, 0.25)) * radius
    q = draw(st.floats(0.05, 0.6)) * radius
    swing = rules.setting_at(cutter, p=p, q=q, height=height)
    assert swing is not None
    return swing


def _sampled(curves: tuple[Span | Side, ...]) -> LineString:
    return LineString(points_along(curves, max_gap=0.0005, fewest=200))


def _set(radius: float, kerf: float, p: float, q: float) -> rules.CutSetting:
    swing = rules.setting_at(Cutter(id="any", radius=radius, kerf=kerf), p=p, q=q, height=5.0)
    assert swing is not None
    return swing


@picky
@example(  # nearly side by side: the least lies in a long flat valley
    outer=_set(132, 11.5, 1.03125, 52.59375), inner=_set(82, 3, 16.65625, 17.9375), relief=None
)
@given(outer=swings(), inner=swings(), relief=st.sampled_from([None, Relief()]))
def test_wall_is_shapelys_distance(
    outer: rules.CutSetting, inner: rules.CutSetting, relief: Relief | None
) -> None:
    """Rule 1: the least distance over the whole curve, to 0.003 mm (shapely on close points)."""
    curves = rules.core_curves(outer, height=5.0, relief=relief)
    assume(curves is not None)
    assert curves is not None
    inside = inner.entry_radius < curves[0].at(curves[0].start)[0]
    assume(inside and inner.deepest < points_along(curves)[-1][1])  # a cut in the piece
    edge = rules.edge_of(inner, height=5.0)
    gap, one, two = least_distance(curves, edge)
    parts = [_sampled((c,)) for c in curves]
    measured = min(part.distance(_sampled((edge,))) for part in parts)
    # curves that cross have no wall, and no rule is asked of them; nor of walls without end
    assume(0.05 < measured < 40)
    assert gap == pytest.approx(measured, abs=0.003)
    assert math.dist(one, two) == pytest.approx(gap, abs=1e-9)


@many
@given(inner=swings(), points=st.lists(st.floats(0, 30), min_size=2, max_size=4))
def test_wall_to_a_drawn_outside(inner: rules.CutSetting, points: list[float]) -> None:
    """Rule 1 on straight sides, between their corners too (shapely)."""
    reach = inner.entry_radius + 15 + np.cumsum([0.0, *points])[::-1]
    deep = np.linspace(0.0, inner.deepest + 40, len(reach))
    sides = tuple(
        Side(r0=a, z0=b, r1=c, z1=d)
        for (a, b), (c, d) in itertools.pairwise(zip(reach, deep, strict=True))
    )
    edge = rules.edge_of(inner, height=5.0)
    measured = LineString(list(zip(reach, deep, strict=True))).distance(_sampled((edge,)))
    assume(measured > 0.05)
    assert least_distance(sides, edge)[0] == pytest.approx(measured, abs=0.01)


@many
@given(swing=swings(), shoulder=st.floats(20, 200))
def test_floor(swing: rules.CutSetting, shoulder: float) -> None:
    """Rule 2: shoulder less the deepest of the sampled edge."""
    body = rules.core_body(swing, JOB, SHOP, judged=True)
    assume(body is not None)
    assert body is not None
    body = dataclasses.replace(body, shoulder=shoulder)
    lowest = max(z for _, z in points_along([rules.edge_of(swing, height=5.0)], max_gap=1e-4))
    assert rules.floor_of(body, swing) == pytest.approx(shoulder - lowest, abs=1e-3)


@many
@given(swing=swings(), diameter=st.floats(15, 150), relief=st.sampled_from([None, Relief()]))
def test_tenon_stock(swing: rules.CutSetting, diameter: float, relief: Relief | None) -> None:
    """Rule 3: the tenon's end lies where the outside has its radius (shapely intersection)."""
    curves = rules.core_curves(swing, height=5.0, relief=relief)
    assume(curves is not None)
    assert curves is not None
    end = rules.tenon_end(curves, diameter)
    outside = LineString(points_along(curves, max_gap=0.0005, fewest=200))
    met = outside.intersection(LineString([(diameter / 2, -1), (diameter / 2, 400)]))
    if end is None:
        assert met.is_empty
    else:
        assert met.bounds[3] == pytest.approx(end, abs=0.01)


@many
@given(swing=swings())
def test_a_core_keeps_rules_3_4_and_6(swing: rules.CutSetting) -> None:
    """Tenons never bottom, are held by jaws of the shop, and no piece is too small."""
    body = rules.core_body(swing, JOB, SHOP)
    if body is None:
        forced = rules.core_body(swing, JOB, SHOP, judged=True)
        if forced is not None and forced.jaws is not None:
            flat = rules.core_curves(swing, height=5.0, relief=JOB.nest.relief) is None
            small = 2 * forced.rim_radius < JOB.nest.min_bowl
            assert flat or small or forced.shoulder < JOB.nest.min_depth
        return
    assert body.jaws in SHOP.jaws
    assert body.tenon_length <= body.jaws.depth - 1.5
    share = body.tenon_diameter / (2 * body.rim_radius)
    assert SHOP.rules.refuse_share <= share <= 0.75
    assert 2 * body.rim_radius >= JOB.nest.min_bowl
    assert body.shoulder >= JOB.nest.min_depth


@many
@given(
    sizes=st.lists(st.floats(20, 250), min_size=1, max_size=7, unique=True),
    share=st.floats(0.3, 0.6),
)
def test_jaws_by_range_are_the_jaws_chosen(sizes: list[float], share: float) -> None:
    """Rule 4: the ranges and the choice agree for every rim."""
    jaws = [Jaws(id=str(d), true_circle=d, depth=14) for d in sizes]
    ranges = jaws_ranges(jaws, low=30.0, high=250.0, share=share, refuse_share=1 / 3)
    for rim in np.linspace(30.1, 249.9, 173):
        chosen = choose_jaws(jaws, rim_diameter=2 * rim, share=share, refuse_share=1 / 3)
        held = [j for j, low, high in ranges if low <= rim < high]
        assert held == ([] if chosen is None else [chosen])


@many
@given(swing=swings(), limit=st.floats(1, 30), least=st.floats(0, 80), widest=st.floats(40, 120))
def test_cutter_limits(swing: rules.CutSetting, limit: float, least: float, widest: float) -> None:
    """Rule 5 by the formulas of design §3, from points of the edge."""
    shop = dataclasses.replace(SHOP, post=Post(min_standoff=least, min_offset=-20, max_offset=30))
    assert rules.fits_standoff(swing, shop) == (swing.q >= least)
    assert rules.fits_offset(swing, shop) == (-20 <= swing.p <= 30)
    edge = rules.edge_of(swing, height=0.0)
    turned = math.degrees(edge.end - edge.start)
    cutter = dataclasses.replace(swing.cutter, max_swing=widest)
    assert rules.fits_swing(dataclasses.replace(swing, cutter=cutter)) == (turned <= widest)
    (r0, z0), (r1, z1) = edge.at(edge.end - 1e-6), edge.at(edge.end)
    slope = math.degrees(math.atan2(z0 - z1, r0 - r1))
    assume(abs(abs(slope) - limit) > 0.01)
    assert rules.fits_slope(swing, _job(max_slope=limit)) == (abs(slope) <= limit)


@many
@given(outer=swings(), inner=swings(), t=st.floats(0, 3))
def test_worst_is_the_worst(outer: rules.CutSetting, inner: rules.CutSetting, t: float) -> None:
    """Rule 7: no setting within ±t gives a thinner wall or floor; none is thicker than nominal."""
    job = _job(setting_tolerance=t, relief=None)
    body = rules.core_body(outer, job, SHOP, judged=True)
    assume(body is not None)
    assert body is not None
    wall = rules.wall_of(body, inner, height=5.0)[0]
    edge = rules.edge_of(inner, height=5.0)
    crossing = _sampled(body.curves).crosses(_sampled((edge,)))
    assume(wall > 7 * t and not crossing and inner.q > t)
    least, floor = rules.worst_of(body, outer, inner, job)
    assert least <= wall + 1e-3
    assert floor <= rules.floor_of(body, inner) + 1e-6
    assert least >= wall - 4.5 * t - 1e-3  # what `_Search.doubt` counts on
    for dp, dq in itertools.product((-t, 0.0, t / 3), repeat=2):
        moved = rules.moved(inner, offset=dp, standoff=dq, height=5.0)
        assert rules.wall_of(body, moved, height=5.0)[0] >= least - 0.02


@many
@given(swing=swings(), relief=st.sampled_from([None, Relief(), Relief(shift=3, depth=12)]))
def test_size_by_quadrature(swing: rules.CutSetting, relief: Relief | None) -> None:
    """The size of a core is the volume its outside encloses (scipy.integrate.quad)."""
    curves = rules.core_curves(swing, height=5.0, relief=relief)
    assume(curves is not None)
    assert curves is not None

    def disc(curve: Span, angle: float) -> float:
        r, _ = curve.at(angle)
        return math.pi * r * r * curve.radius * math.cos(angle)

    total = sum(quad(lambda a, c=c: disc(c, a), c.start, c.end)[0] for c in curves)
    assert rules.core_size(curves) == pytest.approx(total, rel=1e-6)


@pytest.mark.parametrize("relief", [None, Relief(), Relief(shift=3, depth=40)])
@pytest.mark.parametrize("order", ["inner-first", "outer-first"])
def test_the_table_agrees_with_the_rules(relief: Relief | None, order: str) -> None:
    """Every cut of the table keeps rules 3 to 6 one by one, and none that does is missing."""
    job = _job(relief=relief, order=order)
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=160), grid=4.0)
    listed = {
        (SHOP.cutters[table.cutter[n]].id, 4.0 * table.out[n], 4.0 * table.down[n]): n
        for n in table.order
    }
    assert len(listed) == len(table.order)
    deepest = table.deepest(np.arange(len(table.size)))
    assert (np.diff(table.size[table.order]) <= 0).all()
    seen = 0
    for cutter, a, b in itertools.product(SHOP.cutters, range(1, 48), range(1, 41)):
        swing = rules.setting_from(cutter, entry_radius=4.0 * a, depth=4.0 * b, height=5.0)
        good = swing is not None and rules.fits_standoff(swing, SHOP)
        good = good and swing is not None and rules.fits_offset(swing, SHOP)
        good = good and swing is not None and rules.fits_slope(swing, job)
        good = good and swing is not None and rules.fits_swing(swing)
        body = rules.core_body(swing, job, SHOP) if good and swing is not None else None
        n = listed.get((cutter.id, 4.0 * a, 4.0 * b))
        assert (body is None) == (n is None), (cutter.id, a, b)
        if body is None or n is None:
            continue
        seen += 1
        assert swing is not None
        assert table.p[n] == pytest.approx(swing.p, abs=1e-9)
        assert deepest[n] == pytest.approx(swing.deepest, abs=1e-9)
        assert table.rim[n] == pytest.approx(body.rim_radius, abs=1e-9)
        assert table.size[n] == pytest.approx(body.size, rel=1e-9)
        again = rules.core_body(swing, job, SHOP, recored=order == "outer-first")
        if again is None:
            assert math.isnan(table.shoulder[n])
        else:
            assert table.shoulder[n] == pytest.approx(again.shoulder, abs=1e-9)
    assert seen == len(listed) > 300


@pytest.mark.parametrize("height", [0.0, 5.0, 12.0])
@pytest.mark.parametrize("guard", ["nominal", "worst"])
def test_the_quick_look_never_leaves_out_a_right_cut(height: float, guard: str) -> None:
    """`CutTable.inside` is never stricter than the rules; a surely right cut is right."""
    job = _job(height_above_centre=height, guard=guard)
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=160), grid=8.0)
    inset = next(table.insets())
    slack = 1.0 if guard == "worst" else 0.0
    doubt = 0.15 * height + 1e-3 + (4.5 if guard == "worst" else 0.0)
    swings_ = {int(n): table.swing(int(n)) for n in table.order}
    pieces = [(None, blank_body(job, SHOP), bounds_of(blank_body(job, SHOP), job))]
    for n in table.order[:: max(1, len(table.order) // 25)]:
        body = rules.core_body(swings_[int(n)], job, SHOP)
        assert body is not None
        pieces.append((swings_[int(n)], body, table.bounds(int(n))))
    right_ones = 0
    for own, body, piece in pieces:
        maybe = set(table.inside(piece, table.order, inset, slack=slack).tolist())
        strict = dataclasses.replace(piece, wall=piece.wall + doubt, floor=piece.floor + doubt)
        sure = set(table.inside(strict, table.order, inset).tolist())
        assert sure <= maybe
        for n in table.order.tolist()[::3]:
            right = rules.meets(body, own, swings_[n], job)
            right_ones += right
            assert not right or n in maybe
            assert right or n not in sure
    assert right_ones > 20


@pytest.mark.parametrize("wall", [LengthWall(15.0), ShareWall(0.08)])
def test_a_core_with_more_room_holds_all_that_the_other_holds(wall: tuple[str, float]) -> None:
    """`CutTable.rooms`: no cut is right in the lesser core and wrong in the one with more room."""
    job = dataclasses.replace(
        _job(wall=wall, relief=None), tenon=Tenon(length=6.0), blank=Blank(diameter=400, height=190)
    )
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=170), grid=8.0)
    rooms, compared = table.rooms(np.arange(len(table.size))), 0
    order = table.order.tolist()
    children = {n: rules.core_body(table.swing(n), job, SHOP) for n in order}
    for a, b in itertools.islice(itertools.product(order[::5], order[::3]), 0, None, 2):
        if table.cutter[a] != table.cutter[b] or not (rooms[a] >= rooms[b]).all() or a == b:
            continue
        more, less = children[a], children[b]
        assert more is not None
        assert less is not None
        for c in order[:: max(1, len(order) // 12)]:
            cut = table.swing(c)
            if rules.meets(less, table.swing(b), cut, job):
                compared += 1
                assert rules.meets(more, table.swing(a), cut, job)
    assert compared > 20


@pytest.mark.parametrize("wall", [LengthWall(15.0), ShareWall(0.08)])
@pytest.mark.parametrize("floor", [None, 31.0])
@pytest.mark.parametrize("relief", [None, Relief()])
def test_what_follows_from_a_column(
    wall: tuple[str, float], floor: float | None, relief: Relief | None
) -> None:
    """Wall, floor, lengths and bounds of every core of a table are those of rules 1 and 2."""
    job = _job(wall=wall, floor=floor, relief=relief)
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=160), grid=8.0)
    walls, floors, low = table.wall(table.order), table.floor(table.order), table.low(table.order)
    assert table.entry(table.order).dtype == table.depth(table.order).dtype == np.float64
    for place, n in enumerate(map(int, table.order)):
        swing = table.swing(n)
        body = rules.core_body(swing, job, SHOP)
        assert body is not None
        need = rules.required_wall(job, rim_radius=body.rim_radius)
        under = rules.required_floor(job, rim_radius=body.rim_radius)
        assert walls[place] == pytest.approx(need)
        assert floors[place] == pytest.approx(under)
        assert low[place] == pytest.approx(body.shoulder - under)
        bounds = table.bounds(n)
        assert (bounds.wall, bounds.floor) == pytest.approx((need, under))
        assert (bounds.rim, bounds.shoulder) == pytest.approx((body.rim_radius, body.shoulder))
        assert len(bounds.curves) == len(body.curves)
        for mine, theirs in zip(bounds.curves, body.curves, strict=True):
            for share in (0.0, 0.5, 1.0):
                a = mine.at(mine.start + share * (mine.end - mine.start))
                b = theirs.at(theirs.start + share * (theirs.end - theirs.start))
                assert a == pytest.approx(b, abs=1e-9)
