"""What the search believes of what it has not tried: every bound against trying it."""

import dataclasses
import itertools
import math
import random

import numpy as np
import pytest
from test_search_exact import invented

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import rules, search
from templategen.nest.cut_table import Bounds, Indices, Reach, bounds_of, make_cut_table
from templategen.nest.planner import blank_body
from templategen.nest.search import TooLong, _Known, _Search, best_chain
from templategen.trade.records import (
    Job,
    Relief,
    ShareWall,
)

swap = dataclasses.replace
REACH = Reach(entry=178.0, depth=149.0)
WISHES: list[dict[str, object]] = [
    {},
    {"relief": Relief(), "floor": 14.0},
    {"order": "outer-first", "height_above_centre": 6.0},
    {"guard": "worst", "wall": ShareWall(0.06)},
]


def _job(**changes: object) -> Job:
    job = demo_job()
    return swap(job, nest=swap(job.nest, **changes))  # type: ignore[arg-type]


def _search(grid: float = 8.0, **changes: object) -> _Search:
    job, shop = _job(**changes), demo_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=grid)
    return _Search(start=blank_body(job, shop), table=table, own=None, last=None)


def _following(seek: _Search) -> dict[int, list[int]]:
    """Which cuts are right in the body of which; -1 is the start."""
    order = seek.table.order.tolist()
    size = seek.table.size
    return {
        n: [m for m in order if (n < 0 or size[m] < size[n]) and seek.is_right(n, m)]
        for n in (-1, *order)
    }


def _best(seek: _Search, right: dict[int, list[int]], outer: int, count: int) -> float:
    """The greatest sum of sizes of so many cuts in a body, by trying every chain."""
    sums = dict.fromkeys(right, 0.0)
    for _ in range(count):
        sums = {
            n: max((float(seek.table.size[m]) + sums[m] for m in inner), default=-math.inf)
            for n, inner in right.items()
        }
    return sums[outer]


@pytest.fixture(scope="module", params=WISHES, ids=["plain", "relief", "outer-first", "worst"])
def tried(request: pytest.FixtureRequest) -> tuple[_Search, dict[int, list[int]]]:
    """A search and what is right in what, each pair asked of the rules."""
    seek = _search(grid=10.0, **request.param)
    return seek, _following(seek)


def test_what_is_known_of_rooms() -> None:
    """The least of the bounds of all rooms that cover one; none is worse off than another."""
    for seed in range(30):
        dice = random.Random(seed)
        known = _Known()
        told: list[tuple[tuple[int, ...], float]] = []
        assert known.least(np.array([0.0, 0.0, 0.0, 0.0])) == math.inf
        for _ in range(25):
            room = tuple(dice.randrange(4) for _ in range(4))
            most = float(dice.randrange(5))
            known.add(np.array(room, dtype=float), most)
            told = [
                (r, m)
                for r, m in told
                if not (all(a <= b for a, b in zip(r, room, strict=True)) and m >= most)
            ]
            told.append((room, most))
            assert sorted(zip(map(tuple, known.rooms.tolist()), known.most, strict=True)) == (
                sorted(told)
            )
            asked = tuple(dice.randrange(4) for _ in range(4))
            covers = [m for r, m in told if all(a >= b for a, b in zip(r, asked, strict=True))]
            assert known.least(np.array(asked, dtype=float)) == min(covers, default=math.inf)


@pytest.mark.parametrize("width", [1, 2, 8, 16])
def test_cells_are_marks_side_by_side(width: int) -> None:
    """Every cut is in one cell, of its cutter and marks, in the order it came."""
    seek = _search(grid=2.0)
    t = seek.table
    cells = seek.split(t.order, width)
    place = {int(n): k for k, n in enumerate(t.order)}
    assert sorted(itertools.chain(*(c.tolist() for c in cells))) == sorted(t.order.tolist())
    keys = []
    for cell in cells:
        (key,) = {(int(t.cutter[n]), int(t.out[n]) // width, int(t.down[n]) // width) for n in cell}
        keys.append(key)
        places = [place[int(n)] for n in cell]
        assert places == sorted(places)
    assert len(set(keys)) == len(keys)
    assert seek.split(t.order[:0], width) == []


def test_smaller_cuts_of_a_level() -> None:
    """Those smaller than a core and not smaller than is wanted, largest first."""
    seek = _search(grid=4.0)
    size = seek.table.size
    for level, index in itertools.product(range(len(seek.levels)), seek.table.order[::40]):
        own = seek.levels[level]
        for least in (0.0, 0.4 * float(size[index]), float(size[own[len(own) // 2]])):
            wanted = [int(n) for n in own if least <= size[n] < size[index]]
            assert seek.after(int(index), level, least=least).tolist() == wanted


@pytest.mark.parametrize("wish", WISHES)
def test_cuts_of_a_level_have_room_around_them(wish: dict[str, object]) -> None:
    """Level n holds every cut with which so many others around it could be right in the blank."""
    seek = _search(grid=6.0, **wish)
    start = bounds_of(seek.start, seek.job)
    assert len(seek.levels) == len(seek.tops) == len(seek.sizes) >= 3
    for level, own in enumerate(seek.levels):
        held = seek.table.inside(start, seek.table.order, seek.insets[level], slack=seek.slack())
        assert seek.tops[level] == seek.sizes[level][0] == seek.table.size[held[0]]
        assert set(held.tolist()) <= set(own.tolist())
        assert own[0] == held[0]
        assert (np.diff(seek.sizes[level]) <= 0).all()
    beyond = seek.insets[len(seek.levels)]
    assert not len(seek.table.inside(start, seek.table.order, beyond, slack=seek.slack()))


@pytest.mark.parametrize("wish", WISHES)
def test_cores_with_room_for_more(wish: dict[str, object]) -> None:
    """Rim and depth are asked of each core as if the least of all cuts came last in it."""
    seek = _search(grid=6.0, **wish)
    t, least = seek.table, seek.smallest
    for left in (1, 2, 3):
        inset = seek.insets[left - 1]
        (times, plus), (more, floor) = inset.entry, inset.floor
        entry = min(times * float(t.entry(least[k : k + 1])[0]) + plus for k in range(len(least)))
        deep = min(t.swing(int(n)).deepest + more * t.swing(int(n)).entry_radius for n in least)
        wanted = []
        for n in t.order:
            piece = t.bounds(int(n))
            wide = piece.rim - piece.wall >= entry - 1e-5
            wanted.append(wide and piece.shoulder - piece.floor >= deep + floor - 1e-5)
        assert seek.roomy(t.order, left).tolist() == wanted


@pytest.mark.parametrize("wish", WISHES)
def test_an_envelope_asks_no_more_than_any_core_of_its_cell(wish: dict[str, object]) -> None:
    """Rim and shoulder of the widest, wall and floor of the least, curves around them all."""
    seek = _search(grid=4.0, **wish)
    t, seen = seek.table, 0
    for cell in seek.split(t.order, 4):
        held, pieces = seek.envelope(cell), [t.bounds(int(n)) for n in cell]
        shoulders = [p.shoulder for p in pieces if not math.isnan(p.shoulder)]
        assert held.rim == max(p.rim for p in pieces)
        assert held.shoulder == max(shoulders, default=-1.0)
        assert held.wall == pytest.approx(min(p.wall for p in pieces))
        assert held.floor == pytest.approx(min(p.floor for p in pieces))
        around = rules.setting_from(
            seek.shop.cutters[t.cutter[cell[0]]],
            entry_radius=t.grid * max(int(t.out[n]) for n in cell),
            depth=t.grid * max(int(t.down[n]) for n in cell),
            height=seek.job.nest.height_above_centre,
        )
        if around is None:
            continue
        seen += 1
        own = rules.core_curves(
            around, height=seek.job.nest.height_above_centre, relief=seek.job.nest.relief
        )
        assert held.curves == (own or ())
    assert seen > 20


def test_no_sum_is_greater_than_its_bound(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The bounds of the cuts in a piece, one in the other, against the best of every chain."""
    seek, right = tried
    t, seen = seek.table, 0
    for n, count in itertools.product(right, (1, 2)):
        real = _best(seek, right, n, count)
        piece = bounds_of(seek.start, seek.job) if n < 0 else t.bounds(n)
        level = 0 if n < 0 else 1
        below = math.inf if n < 0 else float(t.size[n])
        if level + count > len(seek.levels):
            continue
        told = seek.rest(piece, level, count, below=below)
        assert sum(told) >= real
        if n >= 0 and told[0] > -math.inf:
            assert told == [min(below, seek.tops[level + k]) for k in range(count)]
        if real > -math.inf:
            seen += 1
            asked = seek.rest(piece, level, count, below=below, wanted=0.999 * real)
            assert sum(asked) >= real
            assert len(asked) == count
            assert asked == sorted(asked, reverse=True)
            assert asked[0] < below
            for k, most in enumerate(asked):
                inside = t.inside(piece, seek.levels[level + k], seek.insets[k])
                assert most in t.size[inside]
            # what cannot be reached is not looked for
            never = seek.rest(piece, level, count, below=below, wanted=1.001 * sum(asked))
            assert never == [-math.inf] * count
    assert seen > 10


def test_what_is_left_out_is_beaten(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """A cut is passed over only for a larger one of its cutter with more room, right as well."""
    seek, _ = tried
    t, dropped = seek.table, 0
    for n in (-1, *t.order[::8].tolist()):
        piece = bounds_of(seek.start, seek.job) if n < 0 else t.bounds(n)
        among = seek.legal(piece, t.order)
        kept = set(seek.leading(piece, among).tolist())
        assert kept <= set(among.tolist())
        for m in set(among.tolist()) - kept:
            dropped += 1
            own = t.rooms(np.array([m]))[0]
            assert any(
                t.cutter[k] == t.cutter[m]
                and t.size[k] > t.size[m]
                and (t.rooms(np.array([k]))[0] >= own).all()
                and seek.is_right(n, k)
                for k in among.tolist()
            )
    if seek.job.nest.guard == "nominal":
        assert dropped > 10


def test_the_best_of_so_many_cuts(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The sum found is the best there is, but for `GAP`, of one, two and three cuts."""
    seek, right = tried
    start = seek.start.size
    for count in (1, 2, 3):
        real = _best(seek, right, -1, count)
        if count > len(seek.levels):
            assert real == -math.inf
            continue
        found = seek.run(count)
        if real == -math.inf:
            assert found is None
            continue
        assert found is not None
        assert len(found.swings) == count
        for k, swing in enumerate(found.swings, start=1):
            again = seek.job.nest.order == "outer-first" and k < count
            body = rules.core_body(swing, seek.job, seek.shop, recored=again)
            assert found.bodies[k] == body
        assert sum(b.size for b in found.bodies[1:]) == pytest.approx(seek.value)
        assert found.sizes * (1 + search.GAP) >= real + start
        assert found.sizes <= (real + start) * (1 + 1e-9)
        assert seek.enough() == pytest.approx(seek.value + search.GAP * (seek.value + start))


def test_what_a_core_still_gives(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """Inside each core: no chain is better than what is returned, and one as good is kept."""
    seek, right = tried
    size = seek.table.size
    for n, left in itertools.product(right[-1][::4], (1, 2)):
        if left + 1 > len(seek.levels):
            continue
        seek.best, seek.value = [], -math.inf
        real = _best(seek, right, n, left)
        got = seek.opening(n, [], float(size[n]), left, wanted=-math.inf)
        assert got >= real
        if real == -math.inf:
            assert seek.best == []
            continue
        assert seek.best[0] == n
        assert seek.value == pytest.approx(float(size[seek.best].sum()))
        whole = seek.value + search.GAP * (seek.value + seek.start.size)
        assert seek.value <= real + size[n] <= whole
        assert got <= whole - size[n] + 1e-6
        # with as much in hand already nothing better is found, and what was wanted is returned
        seek.best, seek.value = [], (real + float(size[n])) * 1.01
        wanted = seek.enough() - float(size[n])
        assert seek.opening(n, [], float(size[n]), left, wanted=wanted) == wanted
        assert seek.best == []


def test_one_after_the_other(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The first chain takes the largest core that is right, again and again."""
    seek, right = tried
    size = seek.table.size
    for count in range(1, len(seek.levels) + 1):
        seek.best, seek.value = [], -math.inf
        seek.greedy(seek.levels[0], count)
        path: list[int] = []
        for level in range(count):
            inner = [m for m in right[path[-1] if path else -1] if m in seek.levels[level]]
            if not inner:
                break
            path.append(max(inner, key=lambda m: size[m]))
        if len(path) < count:
            assert seek.best == []
            continue
        assert size[seek.best].tolist() == size[path].tolist()
        assert seek.value == pytest.approx(float(size[path].sum()))


def _learnt(seek: _Search, right: dict[int, list[int]], monkeypatch: pytest.MonkeyPatch) -> int:
    """Runs a search for each count of cuts; how many of the bounds it kept are of chains."""
    told: list[tuple[int, int, float]] = []
    learn = _Search.learn

    def noted(self: _Search, index: int, left: int, most: float) -> None:
        told.append((index, left, most))
        learn(self, index, left, most)

    monkeypatch.setattr(_Search, "learn", noted)
    seek.known.clear()
    for count in range(2, len(seek.levels) + 1):
        seek.run(count)
    seen = 0
    for n, left, most in told:
        real = _best(seek, right, n, left)
        assert most >= real - 1e-6
        seen += real > -math.inf
    return seen


def test_what_is_learnt_is_never_too_little(
    tried: tuple[_Search, dict[int, list[int]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a search keeps of a core: no chain inside it has a greater sum (every chain tried)."""
    assert _learnt(*tried, monkeypatch) > 0


@pytest.mark.parametrize("seed", [0, 3, 12, 18, 27, 30])
def test_what_is_learnt_in_invented_shops(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """As above, for jobs and shops of all kinds."""
    job, shop, _ = invented(seed)
    start = blank_body(job, shop)
    reach = Reach(entry=start.rim_radius, depth=start.shoulder)
    table = make_cut_table(job, shop, reach=reach, grid=8.0)
    seek = _Search(start=start, table=table, own=None, last=None)
    assert _learnt(seek, _following(seek), monkeypatch) > 0


@pytest.mark.parametrize("gap", [0.0, 0.05, 0.1, 0.2, 0.4])
def test_what_is_passed_over_is_bounded_as_well(
    tried: tuple[_Search, dict[int, list[int]]], gap: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However much is passed over once a chain is found: none of it is more than is returned."""
    seek, right = tried
    monkeypatch.setattr(search, "GAP", gap)
    start = bounds_of(seek.start, seek.job)
    for count in range(2, len(seek.levels) + 1):
        rest = seek.rest(start, 0, count, below=math.inf)
        for skip in range(4):  # the largest cuts left out, the search begins elsewhere
            top = seek.levels[0][skip * 5 :]
            seek.best, seek.value = [], -math.inf
            seek.known.clear()
            got = seek.cells(-1, [], 0.0, top, count, rest=sum(rest[1:]))
            own = {**right, -1: [n for n in right[-1] if n in top]}
            assert got >= _best(seek, own, -1, count)


@pytest.mark.parametrize("known", ["what is learnt", "every core", "every cell"])
def test_what_is_passed_over_of_a_few_cuts(
    tried: tuple[_Search, dict[int, list[int]]], known: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As above for handfuls of first cuts, where nothing else hides what is passed over.

    With what is learnt by the way, and with all of it known beforehand: the best there is in any
    core, or in any core of a cell.
    """
    seek, right = tried
    start, dice = bounds_of(seek.start, seek.job), random.Random(11)
    best = {n: _best(seek, right, n, 1) for n in right if n >= 0}

    def sharp(_: _Search, cell: Indices, left: int) -> float:
        assert left == 1
        return max(best[int(n)] for n in cell)

    envelope, rest_of = _Search.envelope, _Search.rest
    cells: list[tuple[Bounds, Indices]] = []

    def noted(self: _Search, cell: Indices) -> Bounds:
        cells[:] = [(envelope(self, cell), cell)]
        return cells[0][0]

    def sharp_rest(
        self: _Search, piece: Bounds, *where: int, below: float, wanted: float = -math.inf
    ) -> list[float]:
        for held, cell in cells:
            if held is piece:
                most = sharp(self, cell, 1)
                return [most if most > wanted else -math.inf]
        return rest_of(self, piece, *where, below=below, wanted=wanted)

    if known == "every core":
        monkeypatch.setattr(_Search, "told", sharp)
    elif known == "every cell":
        monkeypatch.setattr(_Search, "envelope", noted)
        monkeypatch.setattr(_Search, "rest", sharp_rest)
    rest = seek.rest(start, 0, 2, below=math.inf)
    size, holding = seek.table.size, 0
    for _ in range(400):
        monkeypatch.setattr(search, "GAP", dice.choice([0.0, 0.0, 0.001, 0.005, 0.02, 0.3]))
        some = dice.sample(right[-1], min(len(right[-1]), dice.choice([1, 2, 4, 8, 16, 32])))
        top = np.array(sorted(some, key=lambda n: -size[n]), dtype=np.intp)
        seek.best, seek.value = [], -math.inf
        seek.known.clear()
        got = seek.cells(-1, [], 0.0, top, 2, rest=rest[1])
        real = max(float(size[n]) + best[n] for n in some)
        assert got >= real
        assert bool(seek.best) == (real > -math.inf)
        if seek.best:
            holding += 1
            assert seek.value == pytest.approx(float(size[seek.best].sum()))
            assert seek.enough() >= real
    assert holding > 40


def test_what_was_learnt_bounds_cores_with_less_room() -> None:
    """A bound is told of a cell if every core in it has no more room, for its cutter and count."""
    seek = _search(grid=4.0)
    t, told = seek.table, []
    for cell in seek.split(t.order, 4)[::6]:
        rooms = t.rooms(cell).max(axis=0)
        for n in t.order.tolist()[::3]:
            seek.known.clear()
            assert seek.told(cell, 2) == math.inf
            seek.learn(n, 2, 12.5)
            assert seek.told(cell, 1) == math.inf
            covers = t.cutter[n] == t.cutter[cell[0]]
            covers = bool(covers and (t.rooms(np.array([n]))[0] >= rooms).all())
            assert seek.told(cell, 2) == (12.5 if covers else math.inf)
            told.append(covers)
    assert 50 < sum(told) < len(told) - 50


def test_a_search_that_takes_too_long_gives_what_it_had() -> None:
    """So many looks and no more; the best chain so far comes with the word that it stopped."""
    job, shop = demo_job(), demo_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=4.0)
    start = blank_body(job, shop)
    whole = best_chain(start, table)
    assert best_chain(start, table, most_work=search.MOST_WORK) == whole
    seen = set()
    for most in (0, 5, 10, 20, 40, 80, 160):
        try:
            found = best_chain(start, table, most_work=most)
        except TooLong as stopped:
            if stopped.chain is None:
                seen.add("none")
                continue
            seen.add("some")
            found = stopped.chain
            assert found.bodies[0] == start
        assert found.sizes <= whole.sizes
    assert seen == {"none", "some"}


def test_work_is_reckoned_by_what_a_look_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    """A quick look, a wall, a wall with its worst settings: dearer each; none is paid twice."""
    costs = []
    for guard in ("nominal", "worst"):
        seek = _search(guard=guard)
        n = int(seek.levels[0][0])
        before = seek.work
        seek.legal(bounds_of(seek.start, seek.job), seek.levels[0])
        quick = seek.work - before
        seek.is_right(-1, n)
        costs.append((quick, seek.work - before - quick))
        seek.is_right(-1, n)
        assert seek.work - before == sum(costs[-1])
    (quick, nominal), (_, worst) = costs
    assert 0 < quick < nominal < worst
    piece = bounds_of(seek.start, seek.job)
    before = seek.work
    seek.rest(piece, 0, 2, below=math.inf)
    assert seek.work - before == 2 * quick
    monkeypatch.setattr(search, "MANY", 10)  # dearer where many are gone through
    before = seek.work
    seek.legal(piece, seek.levels[0])
    assert seek.work - before == quick + len(seek.levels[0]) // 10
    before = seek.work
    strict = swap(piece, wall=piece.wall + 70.0)
    assert seek.rest(strict, 0, 1, below=math.inf)[0] > -math.inf
    place = seek.table.first_inside(strict, seek.levels[0], seek.insets[0])
    assert place is not None
    assert seek.work - before == quick + place // 10 > quick
    seek.most_work = seek.work
    with pytest.raises(TooLong):
        seek.spend(1)


def test_no_chain_of_so_many_cuts_or_fewer() -> None:
    """`more_than`: what is not wanted is not sought, and only the start comes back."""
    job, shop = demo_job(), demo_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=4.0)
    start = blank_body(job, shop)
    whole = best_chain(start, table)
    count = len(whole.swings)
    assert best_chain(start, table, more_than=count - 1) == whole
    assert best_chain(start, table, more_than=count).bodies == (start,)


@pytest.mark.parametrize("entry", [96.0, 120.0])
@pytest.mark.parametrize("order", ["inner-first", "outer-first"])
def test_around_a_fixed_cut_every_core_holds_it(order: str, entry: float) -> None:
    """With a cut that comes last, no chain of the table around it is larger (every chain tried)."""
    job, shop = _job(order=order), demo_shop()
    start = blank_body(job, shop)
    last = rules.setting_from(
        shop.cutters[-1], entry_radius=entry, depth=16.0, height=job.nest.height_above_centre
    )
    assert last is not None
    table = make_cut_table(job, shop, reach=REACH, grid=8.0).holding(last)
    seek = _Search(start=start, table=table, own=None, last=last)
    right = _following(seek)
    holding = {n: seek.holds_last(n) for n in right if n >= 0}
    assert len(set(holding.values())) == 2
    for n, held in holding.items():  # cored again, so on its own tenon where the order asks it
        swing = table.swing(n)
        body = rules.core_body(swing, job, shop, recored=order == "outer-first")
        assert held == (body is not None and rules.meets(body, swing, last, job))
    size = table.size
    one = max((float(size[n]) for n in right[-1] if holding[n]), default=-math.inf)
    pairs = ((n, m) for n in right[-1] for m in right[n] if holding[m])
    two = max((float(size[n] + size[m]) for n, m in pairs), default=-math.inf)
    found = best_chain(start, table, last=last)
    best = two if two > -math.inf else one
    assert len(found.swings) == (2 if two > -math.inf else 1)
    assert found.sizes * (1 + search.GAP) >= best + start.size
    assert found.sizes <= (best + start.size) * (1 + 1e-9)
    for swing, body in zip(found.swings[-1:], found.bodies[-1:], strict=True):
        assert rules.meets(body, swing, last, job)
    top = seek.largest()
    assert set(top.tolist()) <= set(seek.levels[0].tolist())
    assert float(size[top].min()) == pytest.approx(one)


@pytest.mark.parametrize("guard", ["nominal", "worst"])
def test_what_is_sure_without_being_asked(guard: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """As much more wall and floor as the quick look and worst settings can be out by together.

    0.15 of the cutter's height, 4.5 times the tolerance where the job guards against it (both
    held against many random pairs in tests/test_rules.py), and a thousandth of a millimetre.
    """
    seek = _search(guard=guard, height_above_centre=6.0, setting_tolerance=1.5)
    doubt = 0.9 + 0.001 + (6.75 if guard == "worst" else 0.0)
    assert seek.doubt() == pytest.approx(doubt)
    assert seek.slack() == (1.5 if guard == "worst" else 0.0)
    asked: list[Bounds] = []
    legal = seek.legal

    def noted(piece: Bounds, among: Indices, *, between: int = 0) -> Indices:
        asked.append(piece)
        return legal(piece, among, between=between)

    monkeypatch.setattr(_Search, "legal", lambda _, *a, **k: noted(*a, **k))
    piece = bounds_of(seek.start, seek.job)
    seek.leading(piece, seek.table.order)
    (strict,) = asked
    assert strict.wall == pytest.approx(piece.wall + doubt)
    assert strict.floor == pytest.approx(piece.floor + doubt)
    assert (strict.rim, strict.shoulder, strict.curves) == (
        piece.rim,
        piece.shoulder,
        piece.curves,
    )


@pytest.mark.parametrize("grid", [4.0, 6.0])
def test_what_is_left_out_has_a_rival_that_is_kept(grid: float) -> None:
    """Beaten or not, cut by cut: of the sure ones of its cutter none is larger with more room.

    Of those with at least as much rim room only the one that leaves most at the axis is looked
    at, so a few that are beaten stay; none that is not beaten goes.
    """
    seek = _search(grid=grid, relief=None)
    t = seek.table
    gone = stayed = 0
    for n in (-1, *t.order[::60].tolist()):
        piece = bounds_of(seek.start, seek.job) if n < 0 else t.bounds(n)
        among = seek.legal(piece, t.order)
        doubt = seek.doubt()
        strict = swap(piece, wall=piece.wall + doubt, floor=piece.floor + doubt)
        sure = seek.legal(strict, among).tolist()
        rooms = t.rooms(np.arange(len(t.size)))
        kept = set(seek.leading(piece, among).tolist())
        for m in among.tolist():
            beaten = any(
                t.cutter[k] == t.cutter[m]
                and t.size[k] > t.size[m]
                and (rooms[k] >= rooms[m]).all()
                for k in sure
            )
            assert beaten or m in kept
            gone += m not in kept
            stayed += beaten and m in kept
    assert gone > 5 * stayed
    assert gone > 100


def test_what_is_sure_is_asked_of_the_piece_that_is_cored(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cuts that beat others must be right in the core they are made in, not in the blank."""
    seek = _search(grid=4.0)
    cells, leading = _Search.cells, _Search.leading
    inside: list[int] = []
    asked: set[int] = set()

    def noted_cells(self: _Search, outer: int, *args: object, **more: object) -> float:
        inside.append(outer)
        got = cells(self, outer, *args, **more)  # type: ignore[arg-type]
        inside.pop()
        return got

    def noted_leading(self: _Search, piece: Bounds, among: Indices) -> Indices:
        outer = inside[-1]
        own = bounds_of(self.start, self.job) if outer < 0 else self.table.bounds(outer)
        assert (piece.rim, piece.wall, piece.floor) == (own.rim, own.wall, own.floor)
        assert piece.curves == own.curves
        asked.add(outer)
        return leading(self, piece, among)

    monkeypatch.setattr(_Search, "cells", noted_cells)
    monkeypatch.setattr(_Search, "leading", noted_leading)
    seek.run(3)
    assert -1 in asked
    assert len(asked) > 1


def test_the_largest_first_core_may_cost_the_rest() -> None:
    """`largest` takes the largest core that is right, though `most` gets two of the same blank."""
    job, shop, grid = invented(44)
    start = blank_body(job, shop)
    table = make_cut_table(job, shop, reach=REACH, grid=grid)
    seek = _Search(start=start, table=table, own=None, last=None)
    right = [float(table.size[n]) for n in table.order.tolist() if seek.is_right(-1, n)]
    first = best_chain(start, table, first_largest=True)
    free = best_chain(start, table)
    assert first.bodies[1].size == pytest.approx(max(right))
    assert first.bodies[1].size > free.bodies[1].size * 1.1
    assert (len(first.swings), len(free.swings)) == (1, 2)
