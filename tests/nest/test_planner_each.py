"""The planner figure by figure: the turned blank by hand, and what each search is asked for."""

import dataclasses
import math
from typing import Any

import pytest
from scipy import integrate
from shapely.geometry import LineString

from templategen.errors import InputError
from templategen.geometry.curves import Curve, points_along
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import planner
from templategen.nest.cut_table import CutTable
from templategen.nest.plan import Level
from templategen.nest.planner import blank_body, chain_of, make_plan, pinned_settings
from templategen.nest.rules import Body, core_curves, setting_at
from templategen.nest.search import Chain, TooLong, best_chain
from templategen.trade.jaws import tenon_length_limit
from templategen.trade.records import Blank, Job, LengthWall, Pinned, Shop

swap = dataclasses.replace


def _job(**changes: object) -> Job:
    job = demo_job()
    return swap(job, nest=swap(job.nest, **changes))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def blank() -> Body:
    """The demo blank, turned."""
    return blank_body(demo_job(), demo_shop())


@pytest.fixture(scope="module")
def free(blank: Body) -> Chain:
    """The demo chain on marks of 4 mm."""
    return chain_of(demo_job(), demo_shop(), blank, grid=4.0)


def _pin(chain: Chain, n: int) -> Pinned:
    cut = chain.swings[n]
    return Pinned(
        cutter=cut.cutter.id, entry_radius=cut.entry_radius, depth_at_axis=cut.depth_at_axis
    )


# -- the turned blank ------------------------------------------------------------------------


def _volume(curves: tuple[Curve, ...]) -> float:
    """π ∫ r² dz along the curves (scipy.integrate.quad, a general reference)."""

    def disc(curve: Curve, share: float) -> float:
        at = curve.start + share * (curve.end - curve.start)
        r, _ = curve.at(at)
        h = 1e-6
        return math.pi * r * r * (curve.at(at + h)[1] - curve.at(at - h)[1]) / (2 * h)

    total = 0.0
    for curve in curves:
        span = curve.end - curve.start
        total += integrate.quad(lambda s, c=curve: disc(c, s), 0.0, 1.0)[0] * span
    return total


@pytest.mark.parametrize("outside", ["arc", "cylinder"])
@pytest.mark.parametrize("with_jaws", [True, False])
def test_the_turned_blank_by_hand(outside: str, *, with_jaws: bool) -> None:
    """Tenon as wide as the jaws close on, or its share of the blank; foot, shoulder and size.

    The outside ends where the tenon's ledge begins, `tenon.shoulder` beside the tenon.
    """
    job = swap(demo_job(), blank=Blank(diameter=380, height=170, outside=outside))
    job = swap(job, tenon=swap(job.tenon, length=50.0, share=0.45, shoulder=7.0))
    shop = demo_shop() if with_jaws else swap(demo_shop(), jaws=())
    body = blank_body(job, shop)
    assert (body.jaws is not None) == with_jaws
    if body.jaws is not None:
        assert body.tenon_diameter == body.jaws.true_circle
        assert body.tenon_length == tenon_length_limit(body.jaws) < 50.0
    else:
        assert body.tenon_diameter == pytest.approx(0.45 * 380)
        assert body.tenon_length == 50.0
    assert body.shoulder == pytest.approx(170 - body.tenon_length)
    assert body.rim_radius == pytest.approx(190.0)
    radius = body.tenon_diameter / 2
    ends = [c.at(c.end) for c in body.curves]
    if outside == "arc":
        assert ends[0] == pytest.approx((radius + 7.0, body.shoulder), abs=1e-6)
    else:
        assert ends[0] == pytest.approx((190.0, body.shoulder), abs=1e-6)
    assert body.outside[-1][0] >= radius - 1e-9
    whole = _volume(body.curves)
    whole += math.pi * radius**2 * body.tenon_length
    assert body.size == pytest.approx(whole, rel=1e-4)


def test_a_short_tenon_stays_as_short_as_the_job_says() -> None:
    """The lesser of the job's length and what the jaws allow."""
    job = swap(demo_job(), tenon=swap(demo_job().tenon, length=5.0))
    body = blank_body(job, demo_shop())
    assert body.jaws is not None
    assert body.tenon_length == 5.0 < tenon_length_limit(body.jaws)


# -- what is asked of the search -------------------------------------------------------------


class _Asked:
    """Stands in for `best_chain`: keeps what it was asked and goes on with the real one."""

    def __init__(self) -> None:
        self.calls: list[dict[str, Any]] = []

    def __call__(self, start: Body, table: CutTable, **wishes: Any) -> Chain:  # noqa: ANN401
        self.calls.append({"start": start, "table": table, **wishes})
        return best_chain(start, table, **wishes)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> _Asked:
    """Every search that is begun."""
    seen = _Asked()
    monkeypatch.setattr(planner, "best_chain", seen)
    return seen


@pytest.mark.parametrize("objective", ["most", "largest"])
def test_one_search_without_pins(objective: str, asked: _Asked, blank: Body) -> None:
    """The whole blank, with the job's objective and the bounds that were given."""
    found = chain_of(
        _job(objective=objective), demo_shop(), blank, grid=4.0, more_than=1, most_work=9_999
    )
    assert found.swings
    (call,) = asked.calls
    assert call["start"] == blank
    assert call["first_largest"] == (objective == "largest")
    assert call["more_than"] == 1
    assert call["most_work"] == 9_999
    assert call.get("own") is None
    assert call.get("last") is None


@pytest.mark.parametrize("objective", ["most", "largest"])
def test_a_search_before_each_pin_and_one_after(
    objective: str, asked: _Asked, blank: Body, free: Chain
) -> None:
    """From the body of the pin before to the next; only the first piece may be the largest."""
    pins = (_pin(free, 2), _pin(free, 1))  # told from the inside out: sorted by where they enter
    job = _job(objective=objective, pinned=pins)
    found = chain_of(job, demo_shop(), blank, grid=4.0, most_work=9_999)
    (outer, outer_body), (inner, inner_body) = pinned_settings(job, demo_shop())
    assert outer.entry_radius > inner.entry_radius
    first, second, third = asked.calls
    assert [call["most_work"] for call in asked.calls] == [9_999] * 3
    assert (first["start"], first["own"], first["last"]) == (blank, None, outer)
    assert first["first_largest"] == (objective == "largest")
    assert (second["start"], second["own"], second["last"]) == (outer_body, outer, inner)
    assert not second["first_largest"]
    assert (third["start"], third["own"]) == (inner_body, inner)
    assert third.get("last") is None
    for call, cut in ((first, outer), (second, inner)):
        table = call["table"]
        every = third["table"]
        assert table.order.tolist() == every.holding(cut).order.tolist()
    assert outer in found.swings
    assert inner in found.swings
    assert len(found.bodies) == len(found.swings) + 1


def test_the_cut_before_is_the_last_one_put_in(asked: _Asked, blank: Body, free: Chain) -> None:
    """Cuts found before a pin count, and the pin itself is the cut before the next search."""
    small = Pinned(cutter=demo_shop().cutters[0].id, entry_radius=64.0, depth_at_axis=48.0)
    job = _job(pinned=(_pin(free, 2), small))
    found = chain_of(job, demo_shop(), blank, grid=4.0)
    (third, _), (last, last_body) = pinned_settings(job, demo_shop())
    assert found.swings.index(third) == 2
    assert asked.calls[1]["own"] == third
    assert (asked.calls[2]["own"], asked.calls[2]["start"]) == (last, last_body)


def test_no_search_around_pins_where_none_is_wished(
    asked: _Asked, blank: Body, free: Chain
) -> None:
    """`add_cuts = false`: the pins and no more, and no table is made for them."""
    job = _job(pinned=(_pin(free, 0),), add_cuts=False)
    found = chain_of(job, demo_shop(), blank, grid=4.0)
    assert asked.calls == []
    assert found.swings == free.swings[:1]
    assert len(found.bodies) == 2


def test_a_table_that_is_known_is_not_made_again(
    monkeypatch: pytest.MonkeyPatch, blank: Body
) -> None:
    """Nor is a grid asked for: the job's own is taken where none is given."""
    made: list[float] = []
    make = planner.make_cut_table

    def noted(job: Job, shop: Shop, **rest: Any) -> CutTable:  # noqa: ANN401
        made.append(rest["grid"])
        return make(job, shop, **rest)

    monkeypatch.setattr(planner, "make_cut_table", noted)
    job, shop = demo_job(), demo_shop()
    table = make(job, shop, reach=planner._reach(blank, job), grid=4.0)
    chain_of(job, shop, blank, table=table)
    assert made == []
    chain_of(job, shop, blank)
    chain_of(job, shop, blank, grid=4.0)
    assert made == [0.5, 4.0]


def test_a_plan_on_marks_of_its_own() -> None:
    """`grid` replaces the job's own marks, and is no reason to speak of wider ones."""
    plan = make_plan(demo_job(), demo_shop(), with_mends=False, grid=3.0)
    for cut in plan.cuts:
        assert cut.entry_radius % 3.0 == cut.depth_at_axis % 3.0 == 0.0
    assert all("mark" not in f.text for f in plan.findings)
    assert plan.cuts


# -- a search that takes long ----------------------------------------------------------------


def _chain(blank: Body, free: Chain, count: int) -> Chain:
    return Chain(swings=free.swings[: count - 1], bodies=(blank, *free.bodies[1:count]))


@pytest.mark.parametrize(
    ("tries", "wanted"),
    [
        # bodies found on each doubling of the marks, negative: in the time there was; 0: none
        ([3], (3, 1.0, True)),
        ([0, 3], (3, 2.0, True)),
        ([-2, 3], (3, 2.0, True)),
        ([-3, 3], (3, 2.0, True)),
        ([-3, 2], (3, 1.0, False)),
        ([-2, -3, 2], (3, 2.0, False)),
        ([-3, -3, 2], (3, 1.0, False)),
        ([-3, -2, 2], (3, 1.0, False)),
        ([0, 0, 0, 1], (1, 8.0, True)),
    ],
)
def test_what_is_kept_of_a_search_that_took_long(
    tries: list[int],
    wanted: tuple[int, float, bool],
    blank: Body,
    free: Chain,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Marks twice as wide each time; the most pieces of all tries, and of those the last whole."""
    grids: list[float] = []

    def slow(*_: Any, grid: float, most_work: int) -> Chain:  # noqa: ANN401
        assert most_work == planner.MOST_WORK
        count = tries[len(grids)]
        grids.append(grid)
        if count > 0:
            return _chain(blank, free, count)
        raise TooLong(_chain(blank, free, -count) if count else None)

    monkeypatch.setattr(planner, "chain_of", slow)
    chain, marks, is_whole = planner._chain_in_time(demo_job(), demo_shop(), blank, grid=1.0)
    assert (len(chain.bodies), marks, is_whole) == wanted
    assert grids == [2.0**n for n in range(len(tries))]


def test_part_of_a_chain_around_pins_is_not_kept(
    blank: Body, free: Chain, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was found before a pin is no whole plan: wider marks are tried instead."""
    tries = iter([TooLong(free), None])

    def slow(*_: Any, **__: Any) -> Chain:  # noqa: ANN401
        stop = next(tries)
        if stop is not None:
            raise stop
        return _chain(blank, free, 2)

    monkeypatch.setattr(planner, "chain_of", slow)
    job = _job(pinned=(_pin(free, 0),))
    chain, marks, is_whole = planner._chain_in_time(job, demo_shop(), blank, grid=1.0)
    assert (len(chain.bodies), marks, is_whole) == (2, 2.0, True)


# -- mends -----------------------------------------------------------------------------------


def test_stronger_changes_are_tried_after_a_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    """One stop among the findings is enough; cautions and notes are none."""
    seen: list[bool] = []
    monkeypatch.setattr(planner, "mends", lambda *_, stopped, **__: seen.append(stopped) or [])
    narrow = swap(demo_job(), tenon=swap(demo_job().tenon, share=0.25))
    small = swap(demo_shop(), lathe=swap(demo_shop().lathe, swing=300.0))
    told = make_plan(narrow, small)
    assert told.has_stop
    (stop,) = [f for f in told.findings if f.level is Level.STOP]
    assert stop.rule == "lathe swing"
    assert Level.CAUTION in {f.level for f in make_plan(narrow, small, with_mends=False).findings}
    seen.clear()
    for shop in (small, demo_shop()):
        make_plan(narrow, shop)
    assert seen == [True, False]


def test_how_many_pieces_a_change_gives(
    monkeypatch: pytest.MonkeyPatch, blank: Body, free: Chain
) -> None:
    """A quick no is taken for one piece, but not around pins; a search is bounded in work."""
    asked: list[dict[str, Any]] = []
    held = [False]
    monkeypatch.setattr(planner, "may_hold", lambda *_, **__: held[0])

    def chained(*_: Any, **wishes: Any) -> Chain:  # noqa: ANN401
        asked.append(wishes)
        return _chain(blank, free, 3)

    monkeypatch.setattr(planner, "chain_of", chained)
    job, shop = demo_job(), demo_shop()
    assert planner._count(job, shop, 4.0, 3) == 1
    assert asked == []
    assert planner._count(_job(pinned=(_pin(free, 0),)), shop, 4.0, 3) == 3
    held[0] = True
    assert planner._count(job, shop, 4.0, 3) == 3
    wishes = {"grid": 4.0, "more_than": 2, "most_work": planner.TRIAL_WORK}
    assert asked == [wishes, wishes]


# -- figures of cuts and pieces --------------------------------------------------------------


def _wall(outline: LineString, cutter: float, p: float, q: float, height: float) -> float:
    """The distance of an edge, drawn in true radii, from an outside (shapely)."""
    low, high = math.asin(q / cutter), math.acos(-p / cutter)
    angles = [low + (high - low) * n / 6000 for n in range(6001)]
    points = [
        (math.hypot(max(0.0, p + cutter * math.cos(a)), height), cutter * math.sin(a) - q)
        for a in angles
    ]
    return float(outline.distance(LineString(points)))


@pytest.mark.parametrize("height", [0.0, 0.3, 6.0])
def test_sensitivity_by_moving_each_setting(height: float) -> None:
    """A pivot half a mm either way, the cutter half a mm higher and lower: by shapely."""
    job = _job(height_above_centre=height)
    plan = make_plan(job, demo_shop(), with_mends=False)
    body = blank_body(job, demo_shop())
    outsides = [LineString(points_along(body.curves, max_gap=0.0002))]
    for cut in plan.cuts[:-1]:
        swing = setting_at(
            cut.cutter, p=cut.pivot_offset, q=cut.pivot_standoff, height=cut.cutter_height
        )
        assert swing is not None
        core = core_curves(swing, height=height, relief=job.nest.relief)
        assert core is not None
        outsides.append(LineString(points_along(core, max_gap=0.0002)))
    for cut, outside in zip(plan.cuts, outsides, strict=True):

        def wall(offset: float, standoff: float, up: float, cut=cut, outside=outside) -> float:  # type: ignore[no-untyped-def]  # noqa: ANN001
            at = cut.pivot_offset + offset, cut.pivot_standoff + standoff
            return _wall(outside, cut.cutter.radius, *at, height + up)

        low = min(0.5, height)
        told = cut.sensitivity
        assert told.offset == pytest.approx(wall(0.5, 0, 0) - wall(-0.5, 0, 0), abs=2e-3)
        assert told.standoff == pytest.approx(wall(0, 0.5, 0) - wall(0, -0.5, 0), abs=2e-3)
        raised = (wall(0, 0, 0.5) - wall(0, 0, -low)) / (0.5 + low)
        assert told.height == pytest.approx(raised, abs=2e-3)


def test_outlines_begin_and_end_on_the_axis() -> None:
    """The outer bowl's goes around its tenon; the last core, not cored, is closed at the face."""
    plan = make_plan(demo_job(), demo_shop(), with_mends=False)
    first, last = plan.bowls[0], plan.bowls[-1]
    height = plan.job.blank.height
    tenon = first.tenon_diameter / 2
    assert plan.outside[-3:] == ((tenon, first.depth), (tenon, height), (0.0, height))
    assert first.outline[: len(plan.outside)] == plan.outside
    assert first.outline[len(plan.outside)][0] == 0.0
    assert last.outline[-1] == (0.0, 0.0)
    assert last.outline[-2][0] == 0.0
    assert all(piece.outline[0][1] == pytest.approx(0.0) for piece in plan.bowls)


def test_how_far_cuts_may_reach(blank: Body) -> None:
    """No further out than the wall allows, no deeper than the floor."""
    job = _job(wall=LengthWall(21.0), floor=13.0)
    reach = planner._reach(blank, job)
    assert (reach.entry, reach.depth) == (blank.rim_radius - 21.0, blank.shoulder - 13.0)


def test_a_drawn_outside_keeps_its_tenon() -> None:
    """Refused where it is narrower than the tenon by a hair, taken where it is as wide."""
    radius = blank_body(demo_job(), demo_shop()).tenon_diameter / 2
    for more, taken in ((0.0, True), (-0.01, False)):
        points = ((200.0, 0.0), (150.0, 100.0), (radius + more, 165.0))
        job = swap(demo_job(), blank=Blank(diameter=400, height=180, outside=points))
        if taken:
            assert blank_body(job, demo_shop()).rim_radius == 200.0
        else:
            with pytest.raises(InputError, match="narrower than its tenon"):
                blank_body(job, demo_shop())
