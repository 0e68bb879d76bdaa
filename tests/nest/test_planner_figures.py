"""The planner figure by figure: the turned blank by hand, and what each search is asked for."""

import dataclasses
import math
from typing import Any

import pytest
from builders import demo_plan, plan_of
from cores import blank_shape, chain_on
from scipy import integrate
from shapely.geometry import LineString

from templategen.geometry.curves import Curve, points_along
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import chains
from templategen.nest.chains import find_chain
from templategen.nest.cut_table import CutTable
from templategen.nest.plan import BowlShape
from templategen.nest.rules import core_curves
from templategen.nest.search import MOST_WORK, Chain, TooLong
from templategen.nest.tenon_choice import Held
from templategen.trade.jaws import tenon_length_limit
from templategen.trade.records import Blank, Job, Shop

swap = dataclasses.replace


@pytest.fixture(scope="module")
def blank() -> BowlShape:
    """The demo blank, turned."""
    return blank_shape(demo_job(), demo_shop())


@pytest.fixture(scope="module")
def free() -> Chain:
    """The demo chain on marks of 4 mm."""
    chain = chain_on(demo_job(), demo_shop(), 4.0)
    assert chain is not None
    return chain


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
    body = blank_shape(job, shop)
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
    neck, end = radius, body.tenon_end_diameter / 2
    whole += math.pi / 3 * (neck**2 + neck * end + end**2) * body.tenon_length
    assert body.size == pytest.approx(whole, rel=1e-4)


# -- a search that takes long ----------------------------------------------------------------


def _chain(blank: BowlShape, free: Chain, count: int) -> Chain:
    return Chain(settings=free.settings[: count - 1], shapes=(blank, *free.shapes[1:count]))


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
    blank: BowlShape,
    free: Chain,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Marks twice as wide each time; the most bowls of all tries, and of those the last whole."""
    grids: list[float] = []

    def slow(job: Job, shop: Shop, starts: Any, table: CutTable, *, most_work: int) -> Chain:  # noqa: ANN401
        assert most_work == MOST_WORK
        count = tries[len(grids)]
        grids.append(table.grid)
        if count > 0:
            return _chain(blank, free, count)
        raise TooLong(_chain(blank, free, -count) if count else None)

    monkeypatch.setattr(chains, "chain_of", slow)
    starts = (Held(shape=blank, under=False),)
    found = find_chain(demo_job(), demo_shop(), starts, grid=1.0)
    assert found.chain is not None
    assert (len(found.chain.shapes), found.marks, found.is_whole) == wanted
    assert grids == [2.0**n for n in range(len(tries))]


# -- figures of cuts and bowls --------------------------------------------------------------


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
    plan = plan_of(height_above_centre=height)
    body = blank_shape(plan.job, plan.shop)
    outsides = [LineString(points_along(body.curves, max_gap=0.0002))]
    for cut in plan.cuts[:-1]:
        core = core_curves(cut, height=height, relief=plan.job.nest.relief)
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
    plan = demo_plan()
    first, last = plan.bowls[0], plan.bowls[-1]
    height = plan.job.blank.height
    neck, end = first.tenon_diameter / 2, first.tenon_end_diameter / 2
    assert plan.outside[-3:] == ((neck, first.depth), (end, height), (0.0, height))
    assert first.outline[: len(plan.outside)] == plan.outside
    assert first.outline[len(plan.outside)][0] == 0.0
    assert last.outline[-1] == (0.0, 0.0)
    assert last.outline[-2][0] == 0.0
    assert all(bowl.outline[0][1] == pytest.approx(0.0) for bowl in plan.bowls)
