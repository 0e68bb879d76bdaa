"""The table of cuts: each quick figure against its definition, worked out cut by cut."""

import dataclasses
import itertools
import math
import random

import numpy as np
import pytest

from templategen.geometry.curves import Curve, Side, Span, least_distance, points_along
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import cut_table as tables
from templategen.nest import rules
from templategen.nest.cut_table import (
    Bounds,
    CutTable,
    NestingAllowance,
    Reach,
    bounds_of,
    insets,
    make_cut_table,
)
from templategen.nest.planner import blank_body
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


def _job(**changes: object) -> Job:
    job = demo_job()
    return swap(job, nest=swap(job.nest, **changes))  # type: ignore[arg-type]


def _table(job: Job | None = None, *, shop: Shop | None = None, grid: float = 4.0) -> CutTable:
    return make_cut_table(job or demo_job(), shop or demo_shop(), reach=REACH, grid=grid)


@pytest.fixture(scope="module")
def table() -> CutTable:
    """The cuts for the demo blank on marks of 4 mm."""
    return _table()


def _line(draw: random.Random, most: float) -> tuple[float, float]:
    return draw.choice([0.0, draw.uniform(0.0, 0.2)]), draw.uniform(0.0, most)


@pytest.mark.parametrize("seed", range(40))
def test_near_asks_rim_and_floor(seed: int) -> None:
    """As defined: the entry with what lies between keeps the wall, the deepest point the floor."""
    dice = random.Random(seed)
    t = _table(_job(wall=dice.choice(WALLS)))
    piece = Bounds(
        rim=dice.uniform(60, 200),
        shoulder=dice.uniform(40, 170),
        wall=dice.uniform(5, 30),
        floor=dice.uniform(5, 30),
    )
    inset = NestingAllowance(
        entry=(dice.uniform(1.0, 1.3), dice.uniform(0, 20)),
        wall=_line(dice, 20),
        floor=_line(dice, 20),
    )
    slack = dice.choice([0.0, 1.5])
    wanted = []
    for n in t.order:
        swing = t.swing(int(n))
        entry = inset.entry[0] * swing.entry_radius + inset.entry[1]
        deep = swing.deepest + inset.floor[0] * swing.entry_radius + inset.floor[1]
        if entry <= piece.rim - piece.wall and deep <= piece.shoulder - piece.floor - slack:
            wanted.append(int(n))
    assert t.near(piece, t.order, inset, slack=slack).tolist() == wanted


def test_near_lets_off_a_hair_and_no_more(table: CutTable) -> None:
    """A cut that just keeps wall and floor is listed, one that misses by a hair of a mm is not."""
    cut = table.order[len(table.order) // 2 : len(table.order) // 2 + 1]
    entry, deepest = float(table.entry(cut)[0]), float(table.deepest(cut)[0])
    for out, down, kept in [
        (0.0, 0.0, 1),
        (-0.9 * tables.LOOSE, 0.0, 1),
        (0.0, -0.9 * tables.LOOSE, 1),
        (-1.1 * tables.LOOSE, 0.0, 0),
        (0.0, -1.1 * tables.LOOSE, 0),
    ]:
        piece = Bounds(rim=entry + 20 + out, shoulder=deepest + 15 + down, wall=20, floor=15)
        assert len(table.near(piece, cut, NestingAllowance())) == kept


def test_a_wall_may_be_short_by_a_hair_and_no_more(table: CutTable) -> None:
    """In a cylinder, 40 mm around where a cut enters: its wall there is 40 mm."""
    cut = table.order[-1:]
    entry = float(table.entry(cut)[0])
    around = Side(r0=entry + 40.0, z0=0.0, r1=entry + 40.0, z1=150.0)
    for more, kept in [(-1.0, 1), (0.0, 1), (0.9, 1), (1.1, 0)]:
        piece = Bounds(
            rim=500.0, shoulder=500.0, wall=40 + more * tables.LOOSE, floor=10.0, curves=(around,)
        )
        assert len(table.inside(piece, cut, NestingAllowance())) == kept


def test_a_piece_smaller_than_its_walls_takes_no_cut(table: CutTable) -> None:
    """Nor one that is enormous fewer than all of them."""
    none = Bounds(rim=10.0, shoulder=500.0, wall=30.0, floor=10.0)
    assert not len(table.near(none, table.order, NestingAllowance()))
    every = Bounds(rim=1e12, shoulder=1e12, wall=30.0, floor=10.0)
    assert table.near(every, table.order, NestingAllowance()).tolist() == table.order.tolist()


@pytest.mark.parametrize("height", [0.0, 5.0])
@pytest.mark.parametrize("relief", [None, Relief()])
def test_the_first_inside_is_the_first_of_those_inside(
    height: float, relief: Relief | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many are looked at together."""
    t = _table(_job(height_above_centre=height, relief=relief))
    body = blank_body(t.job, t.shop)
    pieces = [bounds_of(body, t.job), *(t.bounds(int(n)) for n in t.order[::20])]
    some, seen = list(itertools.islice(t.insets(), 2)), 0
    for chunk in (1, 7, 256):
        monkeypatch.setattr(tables, "CHUNK", chunk)
        for piece, inset in itertools.product(pieces, some):
            inside = t.inside(piece, t.order, inset)
            place = t.first_inside(piece, t.order, inset)
            if not len(inside):
                assert place is None
                continue
            assert place is not None
            assert t.order[place] == inside[0]
            assert t.first_inside(piece, t.order[place:], inset) == 0
            assert t.first_inside(piece, t.order[:place], inset) is None
            seen += 1
            deep = float(t.deepest(inside[:1])[0])
            strict = swap(piece, shoulder=deep + piece.floor + inset.floor[1] + 0.5)
            with_slack = t.first_inside(strict, t.order, inset, slack=1.0)
            wanted = t.inside(strict, t.order, inset, slack=1.0)
            lower = swap(strict, shoulder=strict.shoulder - 1.0)
            assert wanted.tolist() == t.inside(lower, t.order, inset).tolist()
            assert with_slack is None or t.order[with_slack] == wanted[0]
            assert (with_slack is None) == (not len(wanted))
    assert seen > 30


@pytest.mark.parametrize("height", [0.0, 6.0])
@pytest.mark.parametrize("outside", ["arc", "cylinder", "drawn"])
def test_the_quick_wall_is_the_wall(height: float, outside: str) -> None:
    """The quick look is never too strict, and right to a hair on centre height in whole arcs.

    The same cuts are asked at a wall a little less than the one `rules.wall_of` measures, and at
    one a little more (design.md rule 1), in the blank and in many cores.
    """
    job = _job(height_above_centre=height, relief=Relief(shift=4.0, depth=25.0))
    points = ((200.0, 0.0), (195.0, 60.0), (160.0, 110.0), (110.0, 165.0))
    blank = Blank(diameter=400, height=180, outside=points if outside == "drawn" else outside)
    job = swap(job, blank=blank)
    t = _table(job, grid=8.0)
    body = blank_body(job, t.shop)
    pieces = [(body, bounds_of(body, job))]
    for n in t.order[:: len(t.order) // 12]:
        core = rules.core_body(t.swing(int(n)), job, t.shop)
        assert core is not None
        pieces.append((core, t.bounds(int(n))))
    compared = 0
    for core, piece in pieces:
        for n in t.near(piece, t.order, NestingAllowance())[::5]:
            one = np.array([n])
            wall = rules.wall_of(core, t.swing(int(n)), height=height)[0]
            if wall < 0.5:
                continue  # the edges cross: the sign is the other rule's
            compared += 1
            room = swap(piece, rim=1e3, shoulder=1e3)
            assert len(t.inside(swap(room, wall=wall - 1e-3), one, NestingAllowance())) == 1
            more = wall + (0.002 if not height and outside != "drawn" else 0.9)
            assert len(t.inside(swap(room, wall=more), one, NestingAllowance())) == 0
    assert compared > 60


def test_what_lies_between_adds_to_the_wall(table: CutTable) -> None:
    """A wall asked for as a line over the entry: so much for each mm, and so much besides."""
    room = bounds_of(blank_body(table.job, table.shop), table.job)
    for n in table.order[::60]:
        one = np.array([n])
        entry = float(table.entry(one)[0])
        whole = [
            wall
            for wall in range(1, 120)
            if len(table.inside(swap(room, wall=float(wall)), one, NestingAllowance()))
        ]
        halved = [
            wall
            for wall in range(1, 120)
            if len(
                table.inside(
                    swap(room, wall=float(wall) / 2),
                    one,
                    NestingAllowance(wall=(wall / 4 / entry, wall / 4)),
                )
            )
        ]
        assert whole == halved
        assert whole


def test_the_way_to_the_next_piece_but_two_by_hand() -> None:
    """A wall of a tenth, a cut entering at 90: the piece around has a rim of 100 and a wall of 10.

    The cut that frees it enters 12 mm further out, at 112; around that lies a piece of rim
    112 / 0.9 with a tenth of it for wall. Floors are as walls, and 14 mm more each; a kerf of
    10 mm parts pieces by 9.8 mm in true distance at centre height.
    """
    job = _job(wall=ShareWall(0.05), floor=None, height_above_centre=0.0)
    found = list(itertools.islice(insets(job, across=12.0, sunk=14.0, kerf=10.0), 3))
    at = 90.0
    taken = [(line.entry, line.wall, line.floor) for line in found]
    figures = [[times * at + plus for times, plus in lines] for lines in taken]
    first, second = 0.1 * 100.0, 0.1 * 112.0 / 0.9
    assert figures[0] == pytest.approx([90.0, 0.0, 0.0])
    assert figures[1] == pytest.approx([112.0, first + 9.8, first + 14.0])
    assert figures[2] == pytest.approx(
        [112.0 / 0.9 + 12.0, first + second + 19.6, first + second + 28.0]
    )
    fixed = _job(wall=LengthWall(20.0), floor=25.0, height_above_centre=6.0, min_bowl=100.0)
    one = next(itertools.islice(insets(fixed, across=12.0, sunk=14.0, kerf=10.0), 1, None))
    # 6 mm above centre a mm across is at least sqrt(1 - 0.12²) mm of radius in bowls of 100 mm
    assert one.entry == pytest.approx((1.0, 32.0))
    assert one.wall == pytest.approx((0.0, 20.0 + 9.8 * math.sqrt(1 - 0.12**2)))
    assert one.floor == pytest.approx((0.0, 39.0))


def test_a_table_knows_its_least_steps(table: CutTable) -> None:
    """What a core is narrower and shallower than its cut by at the least, and its least kerf."""
    for order in ("inner-first", "outer-first"):
        t = _table(_job(order=order, relief=Relief()))
        job, shop = t.job, t.shop
        across, sunk = [], []
        for n in t.order:
            swing = t.swing(int(n))
            body = rules.core_body(swing, job, shop, recored=order == "outer-first")
            held = body or rules.core_body(swing, job, shop)
            assert held is not None
            across.append(swing.entry_radius - held.rim_radius)
            if body is not None:
                sunk.append(swing.deepest - body.shoulder)
        assert t.across == pytest.approx(min(across))
        assert t.sunk == pytest.approx(min(sunk))
    assert table.kerf == min(c.kerf for c in table.shop.cutters)
    kerfs = swap(
        table.shop,
        cutters=tuple(
            swap(c, kerf=c.kerf + n)  # the second is the least of those that cut anything
            for n, c in enumerate((Cutter(id="none", radius=20.0, kerf=1.0), *table.shop.cutters))
        ),
    )
    assert _table(shop=kerfs).kerf == min(c.kerf for c in kerfs.cutters[1:])
    own = insets(table.job, across=table.across, sunk=table.sunk, kerf=table.kerf)
    assert list(itertools.islice(table.insets(), 4)) == list(itertools.islice(own, 4))


def test_cuts_whose_cores_hold_another() -> None:
    """As defined, one by one: entry and deepest point of the cut within wall and floor."""
    for order, floor in itertools.product(("inner-first", "outer-first"), (None, 15.0)):
        t = _table(_job(order=order, floor=floor))
        for at in (0.3, 0.6, 0.95):
            cut = t.swing(int(t.order[int(at * len(t.order))]))
            wanted = []
            for n in t.order:
                piece = t.bounds(int(n))
                wide = piece.rim - piece.wall >= cut.entry_radius
                if wide and piece.shoulder - piece.floor >= cut.deepest:
                    wanted.append(int(n))
            held = t.holding(cut)
            assert held.order.tolist() == wanted
            assert len(held) == len(wanted) < len(t) == len(t.order)
        assert wanted


def test_a_core_holds_a_cut_that_just_fits() -> None:
    """A hair less room is let off, as far as the quick figures are, and no more."""
    t = _table()
    n = int(t.order[0])
    piece, some = t.bounds(n), t.swing(int(t.order[-1]))
    height = t.job.nest.height_above_centre

    def fits(entry: float, deepest: float) -> bool:
        cut = rules.setting_at(
            swap(some.cutter, radius=deepest + 20.0),
            p=math.sqrt(entry**2 - height**2) - math.sqrt((deepest + 20.0) ** 2 - 400.0),
            q=20.0,
            height=height,
        )
        assert cut is not None
        assert cut.entry_radius == pytest.approx(entry, abs=1e-9)
        return n in t.holding(cut).order

    wide, deep = piece.rim - piece.wall, piece.shoulder - piece.floor
    hair = tables.LOOSE
    assert fits(wide + 0.9 * hair, deep - 1.0)
    assert not fits(wide + 1.1 * hair, deep - 1.0)
    assert fits(wide - 1.0, deep + 0.9 * hair)
    assert not fits(wide - 1.0, deep + 1.1 * hair)


@pytest.mark.parametrize("step", [1, 3])
def test_the_least_cuts_hold_no_other(step: int) -> None:
    """Of each cutter those than which no other enters as far in and runs as little deep."""
    t = _table(grid=8.0)
    t = swap(t, order=t.order[::step]) if step > 1 else t
    cuts = [(int(t.cutter[n]), int(t.out[n]), int(t.down[n]), int(n)) for n in t.order]
    wanted = {
        n
        for c, out, down, n in cuts
        if not any(
            d == c and (a, b) != (out, down) and a <= out and b <= down for d, a, b, _ in cuts
        )
    }
    found = t.least().tolist()
    assert len(found) == len(set(found))
    assert set(found) == wanted
    assert len({int(t.cutter[n]) for n in found}) > 1
    assert not len(swap(t, order=t.order[:0]).least())


@pytest.mark.parametrize("wall", [*WALLS, LengthWall(50.0)])
def test_the_room_a_core_leaves(wall: tuple[str, float]) -> None:
    """Rim less wall, the two ends of its outside set in by the wall, shoulder less floor.

    A wall so thick that nothing is left of the outside leaves no room at all.
    """
    t = _table(_job(wall=wall, order="outer-first"))
    every = np.arange(len(t.size))
    rooms, seen, without = t.rooms(every), 0, 0
    for n in every:
        piece, swing = t.bounds(int(n)), t.swing(int(n))
        within = swing.cutter.radius - swing.cutter.kerf - piece.wall
        if within <= max(abs(swing.p), abs(swing.q)):
            assert (rooms[n] == -math.inf).all()
            without += 1
            continue
        seen += 1
        rim, face, axis, low = rooms[n]
        assert rim == pytest.approx(piece.rim - piece.wall)
        assert face > swing.p
        assert math.hypot(face - swing.p, swing.q) == pytest.approx(within)
        assert axis > -swing.q
        assert math.hypot(swing.p, axis + swing.q) == pytest.approx(within)
        if math.isnan(piece.shoulder):
            assert low == -math.inf
        else:
            assert low == pytest.approx(piece.shoulder - piece.floor)
    assert seen > 100
    assert (without > 0) == (wall == LengthWall(50.0))
    some = every[::7]
    assert (t.rooms(some) == rooms[some]).all()


def _core(x: float, z: float, radius: float, height: float) -> Span:
    """An outside from the face to the axis."""
    start, end = math.asin(-z / radius), math.acos(-x / radius)
    return Span(x=x, z=z, radius=radius, start=start, end=end, height=height)


@pytest.mark.parametrize("height", [0.0, 8.0])
def test_a_quick_gap_is_a_distance_between_the_two(height: float) -> None:
    """It is taken between a point of either, so it is never under the least true distance.

    Where the least lies between the ends of both, it is the least: exactly on centre height, and
    to a fiftieth of a millimetre with the cutter 8 mm above it.
    """
    t = _table(_job(height_above_centre=height, relief=None), grid=8.0)
    curves: list[Curve] = [
        _core(-12.0, -60.0, 190.0, height),
        _core(-5.0, -20.0, 190.0, height),
        _core(20.0, -50.0, 170.0, height),
        Side(r0=200.0, z0=0.0, r1=150.0, z1=90.0),
        Side(r0=120.0, z0=0.0, r1=120.0, z1=80.0),
        Side(r0=150.0, z0=90.0, r1=40.0, z1=150.0),
    ]
    between = 0
    for curve, n in itertools.product(curves, t.order):
        edge = rules.edge_of(t.swing(int(n)), height=height)
        least, here, there = least_distance([curve], edge)
        gap = float(t._gap(curve, np.array([n]))[0])
        assert gap >= least - 1e-4
        ends = [c.at(at) for c in (curve, edge) for at in (c.start, c.end)]
        beside = min(math.dist(point, end) for point in (here, there) for end in ends)
        if least > 1.0 and beside > 0.5:
            between += 1
            assert gap == pytest.approx(least, abs=0.02 if height else 1e-9)
    assert between > 300


@pytest.mark.parametrize("height", [0.0, 8.0])
def test_a_quick_gap_from_the_end_of_an_edge(height: float) -> None:
    """The least true distance of one point from an outside, by trying many of the outside."""
    t = _table(_job(height_above_centre=height, relief=None), grid=8.0)
    for curve in (_core(-12.0, -60.0, 190.0, height), _core(20.0, -50.0, 170.0, height)):
        outside = points_along([curve], max_gap=1e-5)
        for x, z in itertools.product((0.0, 40.0, 90.0), (0.0, 30.0, 60.0)):
            gap = float(t._end_gap(curve, np.array([x]), np.array([z]))[0])
            least = min(math.dist(point, (math.hypot(x, height), z)) for point in outside)
            assert gap >= least - 1e-3
            if not height or least < 40.0:  # further off another rule decides
                assert gap == pytest.approx(least, abs=0.05 if height else 1e-3)


def test_sizes_in_order_without_a_sort_by_comparison() -> None:
    """The order by size, falling; as numpy sorts, but for sizes that are as good as equal."""
    dice = np.random.default_rng(5)
    for count in (0, 1, 2, 500, 70_000):
        size = dice.uniform(1.0, 3e7, count)
        order = tables._largest_first(size)
        assert sorted(order.tolist()) == list(range(count))
        assert (np.diff(size[order]) <= 3e7 / 4e9).all()
    ties = np.array([5.0, 7.0, 5.0, 7.0, 5.0])
    assert tables._largest_first(ties).tolist() == [1, 3, 0, 2, 4]


def _many(count: int) -> Shop:
    shop = demo_shop()
    cutters = tuple(Cutter(id=f"c{n}", radius=90.0 + 25 * n, kerf=8.0) for n in range(count))
    return swap(shop, cutters=cutters, jaws=shop.jaws)


@pytest.mark.parametrize(
    ("diameter", "height", "count"), [(400.0, 180.0, 4), (1000.0, 500.0, 12), (1500.0, 900.0, 20)]
)
def test_marks_as_fine_as_the_table_stays_small(diameter: float, height: float, count: int) -> None:
    """The grid itself where the table is small; else the least doubling that makes it so.

    As many cuts are listed as `MOST_LISTED` for the usual number of bowls, and the fewer the
    more bowls the rims leave room for.
    """
    shop = _many(count)
    blank = Blank(diameter=diameter, height=height)
    job = swap(_job(wall=LengthWall(20.0), min_bowl=100.0, floor=None), blank=blank)
    reach = Reach(entry=diameter / 2 - 20.0, depth=height - 20.0)
    grid = tables.coarse_grid(job, shop, reach=reach, grid=0.5)
    step = 20.0 + 8.0
    bowls = (diameter / 2 - 20.0 - 50.0) / step
    most = tables.MOST_LISTED / max(1.0, bowls / tables.USUAL_BOWLS) ** 2
    times = math.log2(grid / 0.5)
    assert times == int(times)
    if diameter == 400.0:
        assert grid == 0.5
    else:
        assert grid > 0.5
        listed = len(make_cut_table(job, shop, reach=reach, grid=grid))
        assert most / 4 * 0.9 < listed < most * 1.1


def test_a_blank_with_no_reach_has_no_cuts() -> None:
    """Where walls leave nothing the table is empty, and no more is asked of it."""
    for reach in (Reach(entry=-5.0, depth=100.0), Reach(entry=100.0, depth=-5.0)):
        t = make_cut_table(demo_job(), demo_shop(), reach=reach, grid=1.0)
        assert len(t) == len(t.least()) == 0
        assert t.across == t.sunk == math.inf
        assert t.kerf == 0.0
        assert tables.coarse_grid(demo_job(), demo_shop(), reach=reach, grid=1.0) == 1.0


def test_one_by_one_or_all_cutters_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """The columns are the same however the cutters are grouped."""
    for relief, height in itertools.product((None, Relief()), (0.0, 5.0)):
        job = _job(relief=relief, height_above_centre=height, order="outer-first")
        monkeypatch.setattr(tables, "FEW", 10**9)
        together = _table(job)
        monkeypatch.setattr(tables, "FEW", 0)
        alone = _table(job)
        for name in ("cutter", "out", "down", "p", "q", "rim", "shoulder", "size"):
            np.testing.assert_array_equal(getattr(together, name), getattr(alone, name))
            assert getattr(together, name).dtype == getattr(alone, name).dtype
        assert (together.across, together.sunk, together.kerf) == (
            alone.across,
            alone.sunk,
            alone.kerf,
        )


def test_only_the_cutters_named_are_listed() -> None:
    """`nest.cutters` of the job, by name; an empty list means all of them."""
    shop = demo_shop()
    named = shop.cutters[1].id
    t = _table(_job(cutters=(named,)))
    assert {shop.cutters[int(n)].id for n in t.cutter} == {named}
    every = _table()
    assert len({int(n) for n in every.cutter}) > 1
    mine = every.cutter == 1
    np.testing.assert_array_equal(t.size, every.size[mine])


def _any_job_and_shop(seed: int) -> tuple[Job, Shop, float]:
    """Invented limits of every kind, wide and narrow, so that each of them binds somewhere."""
    dice = random.Random(seed)
    job = _job(
        relief=dice.choice([None, Relief(), Relief(shift=12.0, depth=45.0)]),
        order=dice.choice(["inner-first", "outer-first"]),
        height_above_centre=dice.choice([0.0, 5.0, 14.0, 35.0]),
        min_bowl=dice.choice([10.0, 60.0, 120.0, 200.0]),
        min_depth=dice.choice([5.0, 20.0, 50.0]),
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
        )
        for name in ("a", "b", "c", "d")
    )
    post = Post(
        min_standoff=dice.choice([0.0, 10.0, 45.0]),
        min_offset=dice.choice([-300.0, -40.0, 0.0, 20.0]),
        max_offset=dice.choice([300.0, 60.0, 20.0]),
    )
    return job, swap(demo_shop(), cutters=cutters, post=post), dice.choice([7.0, 10.0, 12.5])


@pytest.mark.parametrize("together", [True, False])
@pytest.mark.parametrize("part", range(4))
def test_any_table_agrees_with_the_rules(
    part: int, *, together: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the limits, every cut that rules 3 to 6 allow is listed, and no other."""
    monkeypatch.setattr(tables, "FEW", 10**9 if together else 0)
    counts = []
    for seed in range(part, 240, 4):
        job, shop, grid = _any_job_and_shop(seed)
        height = job.nest.height_above_centre
        t = make_cut_table(job, shop, reach=Reach(entry=190.0, depth=155.0), grid=grid)
        listed = [(int(t.cutter[n]), int(t.out[n]), int(t.down[n])) for n in range(len(t.size))]
        assert sorted(t.order.tolist()) == list(range(len(listed)))
        wanted = {}
        for k, cutter in enumerate(shop.cutters):
            if job.nest.cutters and cutter.id not in job.nest.cutters:
                continue
            for a, b in itertools.product(
                range(1, int(190 / grid) + 1), range(1, 1 + int(155 / grid))
            ):
                swing = rules.setting_from(
                    cutter, entry_radius=a * grid, depth=b * grid, height=height
                )
                if (
                    swing is not None
                    and rules.fits_standoff(swing, shop)
                    and rules.fits_offset(swing, shop)
                    and rules.fits_slope(swing, job)
                    and rules.fits_swing(swing)
                ):
                    body = rules.core_body(swing, job, shop)
                    if body is not None:
                        wanted[k, a, b] = body
        assert listed == sorted(wanted), seed
        counts.append(len(listed))
        for n, key in enumerate(listed):
            assert t.size[n] == pytest.approx(wanted[key].size, rel=1e-9)
            assert t.rim[n] == pytest.approx(wanted[key].rim_radius, abs=1e-9)
    assert sum(count > 10 for count in counts) > 20


@pytest.mark.parametrize("guard", ["nominal", "worst"])
@pytest.mark.parametrize("height", [0.0, 6.0])
@pytest.mark.parametrize("wall", [LengthWall(22.0), ShareWall(0.09)])
def test_what_may_be_held_is_reckoned_with_the_least_of_everything(
    wall: tuple[str, float], height: float, guard: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The narrowest kerf, 0.98 of it at the rim of the least bowl; the shortest tenon; the reach.

    The reach by its definition: what is left of the piece within its wall and floor, and within
    what lies between, of the innermost of so many cuts. The shortest tenon ends 1.5 mm short of the
    shallowest jaws, or is as long as the job asks.
    """
    shop = demo_shop()
    kerfs = (9.0, 6.5, 11.0, 8.0)
    cutters = tuple(swap(c, kerf=k) for c, k in zip(shop.cutters, kerfs, strict=True))
    job = _job(
        height_above_centre=height, min_bowl=70.0, guard=guard, setting_tolerance=1.5, floor=14.0,
        wall=wall,
    )  # fmt: skip
    piece = Bounds(rim=180.0, shoulder=160.0, wall=22.0, floor=14.0)
    asked: list[dict[str, float]] = []
    reached: list[Reach] = []
    looked: list[tuple[NestingAllowance, float]] = []
    chain, make, first = tables.insets, tables.make_cut_table, CutTable.first_inside

    def noted_chain(job: Job, **least: float) -> object:
        asked.append(least)
        return chain(job, **least)

    def noted_table(job: Job, shop: Shop, *, reach: Reach, grid: float) -> CutTable:
        reached.append(reach)
        return make(job, shop, reach=reach, grid=grid)

    def noted_look(
        self: CutTable,
        piece: Bounds,
        among: tables.Indices,
        inset: NestingAllowance,
        *,
        slack: float = 0.0,
    ) -> int | None:
        looked.append((inset, slack))
        return first(self, piece, among, inset, slack=slack)

    monkeypatch.setattr(tables, "insets", noted_chain)
    monkeypatch.setattr(tables, "make_cut_table", noted_table)
    monkeypatch.setattr(CutTable, "first_inside", noted_look)
    shallowest = min(j.depth for j in shop.jaws)
    for count, (length, jaws) in itertools.product(
        (1, 2, 3, 12), ((9.0, shop.jaws), (30.0, shop.jaws), (9.0, ()))
    ):
        asked.clear()
        reached.clear()
        looked.clear()
        wished = swap(job, tenon=swap(job.tenon, length=length))
        tables.may_hold(piece, count, wished, swap(shop, cutters=cutters, jaws=jaws), grid=6.0)
        flat = 0.98 * math.sqrt(1 - (height / 35.0) ** 2)
        tenon = min(length, shallowest - 1.5) if jaws else 0.0
        (least,) = asked
        assert least == pytest.approx(
            {"across": 6.5 * flat, "sunk": 0.98 * 6.5 + tenon, "kerf": 6.5}
        )
        inset = next(itertools.islice(chain(wished, **least), count - 1, None))
        slack = 1.5 if guard == "worst" else 0.0
        (reach,) = reached
        (times, plus), (_, floor) = inset.entry, inset.floor
        assert reach.entry == pytest.approx((180.0 - 22.0 + 1e-5 - plus) / times, abs=1e-9)
        assert reach.depth == pytest.approx(160.0 - 14.0 - slack + 1e-5 - floor, abs=1e-9)
        assert looked == [(inset, slack)]


def test_a_post_that_stands_wholly_past_the_axis() -> None:
    """Offsets from -30 to -6 mm: the cuts are those of a wider post that stand there."""
    post = demo_shop().post
    behind = _table(shop=swap(demo_shop(), post=swap(post, min_offset=-30.0, max_offset=-6.0)))
    wide = _table(shop=swap(demo_shop(), post=swap(post, min_offset=-30.0, max_offset=40.0)))

    def cuts(one: CutTable) -> set[tuple[int, int, int]]:
        return set(zip(one.cutter.tolist(), one.out.tolist(), one.down.tolist(), strict=True))

    there = wide.p <= -6.0
    assert 0 < there.sum() < len(wide.p)
    wanted = zip(wide.cutter[there], wide.out[there], wide.down[there], strict=True)
    assert cuts(behind) == {(int(a), int(b), int(c)) for a, b, c in wanted}


@pytest.mark.parametrize("relief", [Relief(shift=5.0, depth=0.0), Relief(shift=0.0, depth=20.0)])
def test_a_relief_cut_without_shift_or_without_depth_is_none(relief: Relief) -> None:
    """The table is that of a job without one, column by column."""
    made, bare = _table(_job(relief=relief)), _table(_job(relief=None))
    for name in ("cutter", "out", "down", "p", "q", "rim", "shoulder", "size", "order"):
        assert np.array_equal(getattr(made, name), getattr(bare, name), equal_nan=True)
    n = int(made.order[0])
    assert made.bounds(n) == bare.bounds(n)


@pytest.mark.parametrize(("floor", "wanted"), [(None, 20.0), (14.0, 14.0)])
def test_a_blank_as_the_table_sees_it(floor: float | None, wanted: float) -> None:
    """Its own figures; a floor as thick as the wall unless the job says otherwise."""
    job = _job(wall=LengthWall(20.0), floor=floor)
    body = blank_body(job, demo_shop())
    seen = bounds_of(body, job)
    assert (seen.rim, seen.shoulder, seen.curves) == (body.rim_radius, body.shoulder, body.curves)
    assert (seen.wall, seen.floor) == (20.0, wanted)
