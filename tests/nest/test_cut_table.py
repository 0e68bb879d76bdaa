"""The table of cuts: each quick figure against its definition, worked out cut by cut."""

import dataclasses
import itertools
import math
import random

import numpy as np
import pytest
from builders import changed_job
from cores import blank_shape, deepest_core, open_shop

from templategen.inputs.starters import demo_job
from templategen.nest import cut_table as tables
from templategen.nest import rules
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import (
    CutTable,
    NestingAllowance,
    Room,
    make_cut_table,
    nesting_allowances,
    room_of,
)
from templategen.nest.tenon_choice import core_options
from templategen.trade.records import (
    Blank,
    Cutter,
    Job,
    LengthWall,
    Post,
    Relief,
    ShareWall,
    Shop,
)

swap = dataclasses.replace
WALLS = [LengthWall(22.0), ShareWall(0.08), ShareWall(0.1)]
REACH = Reach(entry=178.0, depth=149.0)


def _table(job: Job | None = None, *, shop: Shop | None = None, grid: float = 4.0) -> CutTable:
    return make_cut_table(job or demo_job(), shop or open_shop(), reach=REACH, grid=grid)


@pytest.fixture(scope="module")
def table() -> CutTable:
    """The cuts for the demo blank on marks of 4 mm."""
    return _table()


def test_a_piece_smaller_than_its_walls_takes_no_cut(table: CutTable) -> None:
    """Nor one that is enormous fewer than all of them."""
    none = Room(rim=10.0, shoulder=500.0, wall=30.0, floor=10.0)
    assert not len(table.within_rim(none, table.order, NestingAllowance()))
    every = Room(rim=1e12, shoulder=1e12, wall=30.0, floor=10.0)
    assert table.within_rim(every, table.order, NestingAllowance()).tolist() == table.order.tolist()


@pytest.mark.parametrize("height", [0.0, 5.0])
@pytest.mark.parametrize("relief", [None, Relief()])
def test_the_first_candidate_is_the_first_of_the_candidates(
    height: float, relief: Relief | None
) -> None:
    """In the blank and in many cores, with no and with one bowl between."""
    t = _table(changed_job(height_above_centre=height, relief=relief))
    rooms = [room_of(blank_shape(t.job, t.shop), t.job), *(t.room(int(n)) for n in t.order[::20])]
    firsts = set()
    for room, allowance in itertools.product(rooms, itertools.islice(t.nesting_allowances(), 2)):
        listed = t.candidates(room, t.order, allowance)
        first = t.first_candidate(room, t.order, allowance)
        assert (first is None) == (not len(listed))
        assert first is None or t.order[first] == listed[0]
        firsts.add(first)
    assert len(firsts) > 5


@pytest.mark.parametrize("height", [0.0, 6.0])
@pytest.mark.parametrize("outside", ["arc", "cylinder", "drawn"])
def test_the_quick_wall_is_the_wall(height: float, outside: str) -> None:
    """The quick look is never too strict, and right to a hair on centre height in whole arcs.

    The same cuts are asked at a wall a little less than the one `rules.wall_of` measures, and at
    one a little more (design.md rule 1), in the blank and in many cores.
    """
    job = changed_job(height_above_centre=height, relief=Relief(shift=4.0, depth=25.0))
    points = ((200.0, 0.0), (195.0, 60.0), (160.0, 110.0), (110.0, 165.0))
    blank = Blank(diameter=400, height=180, outside=points if outside == "drawn" else outside)
    job = swap(job, blank=blank)
    t = _table(job, grid=8.0)
    body = blank_shape(job, t.shop)
    bowls = [(body, room_of(body, job))]
    for n in t.order[:: len(t.order) // 12]:
        core = deepest_core(t.setting(int(n)), job, t.shop)
        assert core is not None
        bowls.append((core, t.room(int(n))))
    compared = 0
    for core, bowl in bowls:
        for n in t.within_rim(bowl, t.order, NestingAllowance())[::5]:
            one = np.array([n])
            wall = rules.wall_of(core, t.setting(int(n)), height=height)[0]
            if wall < 0.5:
                continue  # the edges cross: the sign is the other rule's
            compared += 1
            room = swap(bowl, rim=1e3, shoulder=1e3)
            assert len(t.candidates(swap(room, wall=wall - 1e-3), one, NestingAllowance())) == 1
            more = wall + (0.002 if not height and outside != "drawn" else 0.9)
            assert len(t.candidates(swap(room, wall=more), one, NestingAllowance())) == 0
    assert compared > 40


def test_the_way_to_the_next_piece_but_two_by_hand() -> None:
    """A wall of a tenth, a cut entering at 90: the bowl around has a rim of 100 and a wall of 10.

    The cut that frees it enters 12 mm further out, at 112; around that lies a bowl of rim
    112 / 0.9 with a tenth of it for wall. Floors are as walls, and 14 mm more each; a kerf of
    10 mm parts bowls by 9.8 mm in true distance at centre height.
    """
    job = changed_job(wall=ShareWall(0.05), floor=None, height_above_centre=0.0)
    found = list(
        itertools.islice(nesting_allowances(job, rim_step=12.0, floor_step=14.0, kerf=10.0), 3)
    )
    at = 90.0
    taken = [(line.entry, line.wall, line.floor) for line in found]
    figures = [[times * at + plus for times, plus in lines] for lines in taken]
    first, second = 0.1 * 100.0, 0.1 * 112.0 / 0.9
    assert figures[0] == pytest.approx([90.0, 0.0, 0.0])
    assert figures[1] == pytest.approx([112.0, first + 9.8, first + 14.0])
    assert figures[2] == pytest.approx(
        [112.0 / 0.9 + 12.0, first + second + 19.6, first + second + 28.0]
    )
    fixed = changed_job(wall=LengthWall(20.0), floor=25.0, height_above_centre=6.0, min_bowl=100.0)
    one = next(
        itertools.islice(
            nesting_allowances(fixed, rim_step=12.0, floor_step=14.0, kerf=10.0), 1, None
        )
    )
    # 6 mm above centre a mm across is at least sqrt(1 - 0.12²) mm of radius in bowls of 100 mm
    assert one.entry == pytest.approx((1.0, 32.0))
    assert one.wall == pytest.approx((0.0, 20.0 + 9.8 * math.sqrt(1 - 0.12**2)))
    assert one.floor == pytest.approx((0.0, 39.0))


def test_a_table_knows_its_least_steps(table: CutTable) -> None:
    """What a core is narrower and shallower than its cut by at the least, and its least kerf."""
    for order in ("inner-first", "outer-first"):
        t = _table(changed_job(order=order, relief=Relief()))
        job, shop = t.job, t.shop
        across, sunk = [], []
        for n in t.order:
            setting = t.setting(int(n))
            body = deepest_core(setting, job, shop)
            assert body is not None
            across.append(setting.entry_radius - body.rim_radius)
            sunk.append(setting.deepest - body.shoulder)
        assert t.rim_step == pytest.approx(min(across))
        assert t.floor_step == pytest.approx(min(sunk))
    assert table.kerf == min(c.kerf for c in table.shop.cutters)
    kerfs = swap(
        table.shop,
        cutters=tuple(
            swap(c, kerf=c.kerf + n)  # the second is the least of those that cut anything
            for n, c in enumerate((Cutter(id="none", radius=20.0, kerf=1.0), *table.shop.cutters))
        ),
    )
    assert _table(shop=kerfs).kerf == min(c.kerf for c in kerfs.cutters[1:])
    own = nesting_allowances(
        table.job, rim_step=table.rim_step, floor_step=table.floor_step, kerf=table.kerf
    )
    assert list(itertools.islice(table.nesting_allowances(), 4)) == list(itertools.islice(own, 4))


def test_cuts_whose_cores_hold_another() -> None:
    """As defined, one by one: entry and deepest point of the cut within wall and floor."""
    for order, floor in itertools.product(("inner-first", "outer-first"), (None, 15.0)):
        t = _table(changed_job(order=order, floor=floor))
        for at in (0.3, 0.6, 0.95):
            cut = t.setting(int(t.order[int(at * len(t.order))]))
            wanted = []
            for n in t.order:
                bowl = t.room(int(n))
                wide = bowl.rim - bowl.wall >= cut.entry_radius
                if wide and bowl.shoulder - bowl.floor >= cut.deepest:
                    wanted.append(int(n))
            held = t.able_to_hold(cut)
            assert held.order.tolist() == wanted
            assert len(held) == len(wanted) < len(t) == len(t.order)
        assert wanted


def test_a_blank_with_no_reach_has_no_cuts() -> None:
    """Where walls leave nothing the table is empty, and no more is asked of it."""
    for reach in (Reach(entry=-5.0, depth=100.0), Reach(entry=100.0, depth=-5.0)):
        t = make_cut_table(demo_job(), open_shop(), reach=reach, grid=1.0)
        assert len(t) == len(t.smallest_cuts) == 0
        assert t.rim_step == t.floor_step == math.inf
        assert t.kerf == 0.0
        assert tables.coarse_grid(demo_job(), open_shop(), reach=reach, grid=1.0) == 1.0


def _any_job_and_shop(seed: int) -> tuple[Job, Shop, float]:
    """Invented limits of every kind, wide and narrow, so that each of them binds somewhere."""
    dice = random.Random(seed)
    job = changed_job(
        relief=dice.choice([None, Relief(), Relief(shift=12.0, depth=45.0)]),
        order=dice.choice(["inner-first", "outer-first"]),
        height_above_centre=dice.choice([0.0, 5.0, 14.0, 35.0]),
        min_bowl=dice.choice([10.0, 60.0, 120.0, 200.0]),
        min_depth=dice.choice([5.0, 20.0, 50.0]),
        min_ratio=dice.choice([0.0, 0.0, 0.3]),
        max_slope=dice.choice([3.0, 10.0, 25.0, 60.0, 90.0]),
        cutters=dice.choice([(), (), ("a", "c")]),
    )
    shares = {"share": dice.choice([0.3, 0.5]), "core_share": dice.choice([0.3, 0.5, 0.7])}
    job = swap(job, tenon=swap(job.tenon, length=dice.choice([3.0, 8.0, 25.0]), **shares))
    cutters = tuple(
        Cutter(
            id=name,
            radius=dice.choice([30.0, 55.0, 90.0, 140.0, 220.0, 500.0]),
            kerf=dice.choice([1.0, 8.0, 28.0]),
            max_swing=dice.choice([180.0, 180.0, 95.0, 60.0]),
            arc=dice.choice([None, None, None, None, 120.0]),
            holder=dice.choice([None, 30.0]),
            section=dice.choice([None, None, None, None, (0.8, 12.0)]),
        )
        for name in ("a", "b", "c", "d")
    )
    post = Post(
        min_standoff=dice.choice([0.0, 10.0, 45.0]),
        min_offset=dice.choice([-300.0, -40.0, 0.0, 20.0]),
        max_offset=dice.choice([300.0, 60.0, 20.0]),
    )
    return job, swap(open_shop(), cutters=cutters, post=post), dice.choice([7.0, 10.0, 12.5])


@pytest.mark.parametrize("together", [True, False])
@pytest.mark.parametrize("part", range(4))
def test_any_table_agrees_with_the_rules(
    part: int, *, together: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the limits, every cut that rules 3 to 6 allow is listed, and no other."""
    monkeypatch.setattr(tables, "FEW", 10**9 if together else 0)
    counts = []
    for seed in range(part, 160, 4):
        job, shop, grid = _any_job_and_shop(seed)
        height = job.nest.height_above_centre
        t = make_cut_table(job, shop, reach=Reach(entry=190.0, depth=155.0), grid=grid)
        listed = [
            (int(t.cutter[n]), int(t.entry_mark[n]), int(t.depth_mark[n]))
            for n in range(len(t.size))
        ]
        assert sorted(t.order.tolist()) == list(range(len(listed)))
        wanted = {}
        for k, cutter in enumerate(shop.cutters):
            if job.nest.cutters and cutter.id not in job.nest.cutters:
                continue
            for a, b in itertools.product(
                range(1, int(190 / grid) + 1), range(1, 1 + int(155 / grid))
            ):
                setting = rules.setting_from(
                    cutter, entry_radius=a * grid, depth=b * grid, height=height
                )
                if (
                    setting is not None
                    and rules.fits_standoff(setting, shop)
                    and rules.fits_offset(setting, shop, job.nest.relief)
                    and rules.fits_relief(cutter, job.nest.relief)
                    and rules.fits_reach(setting)
                    and rules.fits_blade(setting, height=height)
                    and rules.fits_slope(setting, job)
                    and rules.fits_swing(setting)
                ):
                    outer_first = job.nest.order == "outer-first"
                    again = core_options(setting, job, shop, recored=outer_first)
                    if again:
                        wanted[k, a, b] = again, core_options(setting, job, shop, recored=False)
        assert listed == sorted(wanted), seed
        counts.append(len(listed))
        for n, key in enumerate(listed):
            again, leaf = wanted[key]
            wished = [held.shape.shoulder for held in again if not held.under]
            assert t.size[n] == pytest.approx(again[0].shape.size, rel=1e-9)
            assert t.rim[n] == pytest.approx(again[0].shape.rim_radius, abs=1e-9)
            assert t.shoulder[n] == pytest.approx(max(held.shape.shoulder for held in again))
            assert t.wished_shoulder[n] == pytest.approx(max(wished, default=math.nan), nan_ok=True)
            assert t.under[n] == (not wished or t.wished_shoulder[n] < t.shoulder[n])
            assert t.leaf_under[n] == all(held.under for held in leaf)
    assert sum(count > 10 for count in counts) > 6
