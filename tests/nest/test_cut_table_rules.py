"""The table of cuts against the rules one by one: its quick checks never drop a valid cut."""

import dataclasses
import itertools

import numpy as np
import pytest
from builders import changed_job
from cores import blank_shape, deepest_core
from strategies import JOB, SHOP

from templategen.nest import rules
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import make_cut_table, room_of
from templategen.trade.records import LengthWall, Relief, ShareWall, Tenon, Wall


@pytest.mark.parametrize("height", [0.0, 5.0, 12.0])
@pytest.mark.parametrize("guard", ["nominal", "worst"])
def test_the_quick_look_never_leaves_out_a_right_cut(height: float, guard: str) -> None:
    """`CutTable.inside` is never stricter than the rules; a surely right cut is right."""
    job = changed_job(JOB, height_above_centre=height, guard=guard)
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=160), grid=8.0)
    allowance = next(table.nesting_allowances())
    slack = 1.0 if guard == "worst" else 0.0
    doubt = 0.15 * height + 1e-3 + (4.5 if guard == "worst" else 0.0)
    swings_ = {int(n): table.setting(int(n)) for n in table.order}
    bowls = [(None, blank_shape(job, SHOP), room_of(blank_shape(job, SHOP), job))]
    for n in table.order[:: max(1, len(table.order) // 25)]:
        body = deepest_core(swings_[int(n)], job, SHOP)
        assert body is not None
        bowls.append((swings_[int(n)], body, table.room(int(n))))
    right_ones = 0
    for own, body, bowl in bowls:
        maybe = set(table.candidates(bowl, table.order, allowance, slack=slack).tolist())
        strict = dataclasses.replace(bowl, wall=bowl.wall + doubt, floor=bowl.floor + doubt)
        sure = set(table.candidates(strict, table.order, allowance).tolist())
        assert sure <= maybe
        for n in table.order.tolist()[::3]:
            right = rules.meets(body, own, swings_[n], job)
            right_ones += right
            assert not right or n in maybe
            assert right or n not in sure
    assert right_ones > 20


@pytest.mark.parametrize("wall", [LengthWall(15.0), ShareWall(0.08)])
def test_a_core_with_more_room_holds_all_that_the_other_holds(wall: Wall) -> None:
    """`CutTable.rooms`: no cut is right in the lesser core and wrong in the one with more room."""
    job = changed_job(
        JOB, wall=wall, relief=None, tenon=Tenon(length=6.0), diameter=400, height=190
    )
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=170), grid=8.0)
    rooms, compared = table.room_measures(np.arange(len(table.size))), 0
    order = table.order.tolist()
    children = {n: deepest_core(table.setting(n), job, SHOP) for n in order}
    for a, b in itertools.islice(itertools.product(order[::5], order[::3]), 0, None, 2):
        if table.cutter[a] != table.cutter[b] or not (rooms[a] >= rooms[b]).all() or a == b:
            continue
        more, less = children[a], children[b]
        assert more is not None
        assert less is not None
        for c in order[:: max(1, len(order) // 12)]:
            cut = table.setting(c)
            if rules.meets(less, table.setting(b), cut, job):
                compared += 1
                assert rules.meets(more, table.setting(a), cut, job)
    assert compared > 20


@pytest.mark.parametrize("wall", [LengthWall(15.0), ShareWall(0.08)])
@pytest.mark.parametrize("floor", [None, 31.0])
@pytest.mark.parametrize("relief", [None, Relief()])
def test_what_follows_from_a_column(wall: Wall, floor: float | None, relief: Relief | None) -> None:
    """Wall, floor, lengths and bounds of every core of a table are those of rules 1 and 2."""
    job = changed_job(JOB, wall=wall, floor=floor, relief=relief)
    table = make_cut_table(job, SHOP, reach=Reach(entry=190, depth=160), grid=8.0)
    walls, floors, low = (
        table.wall(table.order),
        table.floor(table.order),
        table.depth_limit(table.order),
    )
    assert table.entry(table.order).dtype == table.depth(table.order).dtype == np.float64
    for place, n in enumerate(map(int, table.order)):
        setting = table.setting(n)
        body = deepest_core(setting, job, SHOP)
        assert body is not None
        need, under = rules.required(job, rim_radius=body.rim_radius)
        assert walls[place] == pytest.approx(need)
        assert floors[place] == pytest.approx(under)
        assert low[place] == pytest.approx(body.shoulder - under)
        bounds = table.room(n)
        assert (bounds.wall, bounds.floor) == pytest.approx((need, under))
        assert (bounds.rim, bounds.shoulder) == pytest.approx((body.rim_radius, body.shoulder))
        assert len(bounds.curves) == len(body.curves)
        for mine, theirs in zip(bounds.curves, body.curves, strict=True):
            for share in (0.0, 0.5, 1.0):
                a = mine.at(mine.start + share * (mine.end - mine.start))
                b = theirs.at(theirs.start + share * (theirs.end - theirs.start))
                assert a == pytest.approx(b, abs=1e-9)
