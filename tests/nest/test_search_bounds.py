"""What the search believes of what it has not tried: every bound against trying it."""

import dataclasses
import itertools
import math

import numpy as np
import pytest
from builders import changed_job
from cores import blank_shape, deepest_core, open_shop, search_of
from invented_jobs import invented

from templategen.inputs.starters import demo_job
from templategen.nest import rules, search
from templategen.nest.chains import reach_of
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import make_cut_table, room_of
from templategen.nest.search import (
    Aim,
    TooLong,
    _Node,
    _Search,
    _State,
    best_chain,
)
from templategen.nest.tenon_choice import blank_options, core_options
from templategen.trade.records import (
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


def _search(grid: float = 8.0, **changes: object) -> _Search:
    job, shop = changed_job(**changes), open_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=grid)
    return search_of(blank_shape(job, shop), table)


def _following(seek: _Search) -> dict[int, list[int]]:
    """Which cuts are right in the body of which; -1 is the start."""
    order = seek.table.order.tolist()
    size = seek.table.size
    return {
        n: [m for m in order if (n < 0 or size[m] < size[n]) and seek.is_valid(n, m)]
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
        (key,) = {
            (int(t.cutter[n]), int(t.entry_mark[n]) // width, int(t.depth_mark[n]) // width)
            for n in cell
        }
        keys.append(key)
        places = [place[int(n)] for n in cell]
        assert places == sorted(places)
    assert len(set(keys)) == len(keys)
    assert seek.split(t.order[:0], width) == []


@pytest.mark.parametrize("wish", WISHES)
def test_cuts_of_a_level_have_room_around_them(wish: dict[str, object]) -> None:
    """Level n holds every cut with which so many others around it could be right in the blank."""
    seek = _search(grid=6.0, **wish)
    start = room_of(seek.start.shape, seek.job)
    assert len(seek.levels) == len(seek.tops) >= 3
    for level, own in enumerate(seek.levels):
        held = seek.table.candidates(
            start, seek.table.order, seek.allowances[level], slack=seek.slack()
        )
        assert seek.tops[level] == seek.table.size[held[0]]
        assert set(held.tolist()) <= set(own.tolist())
        assert own[0] == held[0]
        assert (np.diff(seek.table.size[held]) <= 0).all()
    beyond = seek.allowances[len(seek.levels)]
    assert not len(seek.table.candidates(start, seek.table.order, beyond, slack=seek.slack()))


def test_no_sum_is_greater_than_its_bound(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The bounds of the cuts in a bowl, one in the other, against the best of every chain."""
    seek, right = tried
    t, seen = seek.table, 0
    for n, count in itertools.product(right, (1, 2)):
        real = _best(seek, right, n, count)
        bowl = room_of(seek.start.shape, seek.job) if n < 0 else t.room(n)
        level = 0 if n < 0 else 1
        below = math.inf if n < 0 else float(t.size[n])
        if level + count > len(seek.levels):
            continue
        told = seek.size_bounds(bowl, level, count, below=below)
        assert sum(told) >= real
        if n >= 0 and told[0] > -math.inf:
            assert told == [min(below, seek.tops[level + k]) for k in range(count)]
        if real > -math.inf:
            seen += 1
            asked = seek.size_bounds(bowl, level, count, below=below, wanted=0.999 * real)
            assert sum(asked) >= real
            assert len(asked) == count
            assert asked == sorted(asked, reverse=True)
            assert asked[0] < below
            for k, most in enumerate(asked):
                inside = t.candidates(bowl, seek.levels[level + k], seek.allowances[k])
                assert most in t.size[inside]
            # what cannot be reached is not looked for
            never = seek.size_bounds(bowl, level, count, below=below, wanted=1.001 * sum(asked))
            assert never == [-math.inf] * count
    assert seen > 10


def test_what_is_left_out_is_beaten(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """A cut is passed over only for a larger one of its cutter with more room, right as well."""
    seek, _ = tried
    t, dropped = seek.table, 0
    for n in (-1, *t.order[::8].tolist()):
        bowl = room_of(seek.start.shape, seek.job) if n < 0 else t.room(n)
        among = seek.candidates(bowl, t.order)
        kept = set(seek.drop_dominated(bowl, among).tolist())
        assert kept <= set(among.tolist())
        for m in set(among.tolist()) - kept:
            dropped += 1
            own = t.room_measures(np.array([m]))[0]
            assert any(
                t.cutter[k] == t.cutter[m]
                and t.size[k] > t.size[m]
                and (t.room_measures(np.array([k]))[0] >= own).all()
                and seek.is_valid(n, k)
                for k in among.tolist()
            )
    if seek.job.nest.guard == "nominal":
        assert dropped > 10


def test_the_best_of_so_many_cuts(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The sum found is the best there is, but for `GAP`, of one, two and three cuts."""
    seek, right = tried
    start = seek.start.shape.size
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
        assert len(found.settings) == count
        for k, setting in enumerate(found.settings, start=1):
            options = core_options(setting, seek.job, seek.shop, recored=k < count)
            assert found.shapes[k] in [held.shape for held in options]
        assert sum(b.size for b in found.shapes[1:]) == pytest.approx(seek.value)
        assert found.sizes * (1 + search.GAP) >= real + start
        assert found.sizes <= (real + start) * (1 + 1e-9)
        assert seek.value_to_beat() == pytest.approx(seek.value + search.GAP * (seek.value + start))


def test_what_a_core_still_gives(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """Inside each core: no chain is better than what is returned, and one as good is kept."""
    seek, right = tried
    size = seek.table.size
    for n, left in itertools.product(right[-1][::4], (1, 2)):
        if left + 1 > len(seek.levels):
            continue
        seek.best, seek.value = [], -math.inf
        real = _best(seek, right, n, left)
        node = _Node(n, [n], float(size[n]), seek.at_first())
        got = seek.descend(node, left, wanted=-math.inf)
        assert got >= real
        if real == -math.inf:
            assert seek.best == []
            continue
        assert seek.best[0] == n
        assert seek.value == pytest.approx(float(size[seek.best].sum()))
        whole = seek.value + search.GAP * (seek.value + seek.start.shape.size)
        assert seek.value <= real + size[n] <= whole
        assert got <= whole - size[n] + 1e-6
        # with as much in hand already nothing better is found, and what was wanted is returned
        seek.best, seek.value = [], (real + float(size[n])) * 1.01
        wanted = seek.value_to_beat() - float(size[n])
        assert seek.descend(node, left, wanted=wanted) == wanted
        assert seek.best == []


def test_one_after_the_other(tried: tuple[_Search, dict[int, list[int]]]) -> None:
    """The first chain takes the largest core that is right, again and again."""
    seek, right = tried
    size = seek.table.size
    for count in range(1, len(seek.levels) + 1):
        seek.begin(count)
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
    record_bound = _Search.record_bound

    def noted(self: _Search, index: int, left: int, state: _State, most: float) -> None:
        told.append((index, left, most))
        record_bound(self, index, left, state, most)

    monkeypatch.setattr(_Search, "record_bound", noted)
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
    _learnt(*tried, monkeypatch)


@pytest.mark.parametrize("seed", [6, 12, 18, 30, 44])
def test_what_is_learnt_in_invented_shops(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """As above, for jobs and shops of all kinds."""
    job, shop, _ = invented(seed)
    start = blank_shape(job, shop)
    reach = Reach(entry=start.rim_radius, depth=start.shoulder)
    table = make_cut_table(job, shop, reach=reach, grid=8.0)
    seek = search_of(start, table)
    assert _learnt(seek, _following(seek), monkeypatch) > 0


@pytest.mark.parametrize("gap", [0.0, 0.05, 0.1, 0.2, 0.4])
def test_what_is_passed_over_is_bounded_as_well(
    tried: tuple[_Search, dict[int, list[int]]], gap: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However much is passed over once a chain is found: none of it is more than is returned."""
    seek, right = tried
    monkeypatch.setattr(search, "GAP", gap)
    start = room_of(seek.start.shape, seek.job)
    for count in range(2, len(seek.levels) + 1):
        rest = seek.size_bounds(start, 0, count, below=math.inf)
        for skip in range(4):  # the largest cuts left out, the search begins elsewhere
            top = seek.levels[0][skip * 5 :]
            seek.best, seek.value = [], -math.inf
            seek.known.clear()
            got = seek.branch(_Node(-1, [], 0.0, seek.at_first()), top, count, later=sum(rest[1:]))
            own = {**right, -1: [n for n in right[-1] if n in top]}
            assert got >= _best(seek, own, -1, count)


def test_a_search_that_takes_too_long_gives_what_it_had() -> None:
    """So many looks and no more; the best chain so far comes with the word that it stopped."""
    job, shop = demo_job(), open_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=4.0)
    start = blank_options(job, shop)
    whole = best_chain(start, table)
    assert whole is not None
    assert best_chain(start, table, most_work=search.MOST_WORK) == whole
    seen = set()
    for most in range(0, 160, 8):
        try:
            found = best_chain(start, table, most_work=most)
        except TooLong as stopped:
            if stopped.chain is None:
                seen.add("none")
                continue
            seen.add("some")
            found = stopped.chain
        assert found is not None
        assert found.shapes[0] in [held.shape for held in start]
        assert found.sizes <= whole.sizes
    assert seen == {"none", "some"}


def test_only_chains_of_the_counts_that_are_wanted() -> None:
    """With more cuts wanted than there can be nothing is found; with fewer, fewer."""
    job, shop = demo_job(), open_shop()
    table = make_cut_table(job, shop, reach=REACH, grid=4.0)
    start = blank_options(job, shop)
    whole = best_chain(start, table)
    assert whole is not None
    count = len(whole.settings)
    assert best_chain(start, table, counts=range(count, 9)) == whole
    assert best_chain(start, table, counts=range(count + 1, 9)) is None
    fewer = best_chain(start, table, counts=range(count))
    assert fewer is not None
    assert len(fewer.settings) == count - 1


@pytest.mark.parametrize("entry", [96.0, 120.0])
@pytest.mark.parametrize("order", ["inner-first", "outer-first"])
def test_around_a_fixed_cut_every_core_holds_it(order: str, entry: float) -> None:
    """With a cut that comes last, no chain of the table around it is larger (every chain tried)."""
    job, shop = changed_job(order=order), open_shop()
    start = blank_shape(job, shop)
    last = rules.setting_from(
        shop.cutters[-1], entry_radius=entry, depth=16.0, height=job.nest.height_above_centre
    )
    assert last is not None
    table = make_cut_table(job, shop, reach=REACH, grid=8.0).able_to_hold(last)
    seek = search_of(start, table, last=last)
    right = _following(seek)
    holding = {n: seek.fits_last(n) for n in right if n >= 0}
    assert len(set(holding.values())) == 2
    for n, held in holding.items():  # cored again, so on its own tenon where the order asks it
        setting = table.setting(n)
        body = deepest_core(setting, job, shop, recored=True)
        assert held == (body is not None and rules.meets(body, setting, last, job))
    size = table.size
    one = max((float(size[n]) for n in right[-1] if holding[n]), default=-math.inf)
    pairs = ((n, m) for n in right[-1] for m in right[n] if holding[m])
    two = max((float(size[n] + size[m]) for n, m in pairs), default=-math.inf)
    found = seek.run(2) or seek.run(1)
    assert found is not None
    best = two if two > -math.inf else one
    assert len(found.settings) == (2 if two > -math.inf else 1)
    assert found.sizes * (1 + search.GAP) >= best + start.size
    assert found.sizes <= (best + start.size) * (1 + 1e-9)
    for setting, body in zip(found.settings[-1:], found.shapes[-1:], strict=True):
        assert rules.meets(body, setting, last, job)
    assert seek.largest_first() == pytest.approx(one)


def test_the_largest_first_core_may_cost_the_rest() -> None:
    """`largest` takes the largest core that is right, though `most` gets two of the same blank."""
    job, shop, grid = invented(107)
    start = blank_options(job, shop)[:1]
    table = make_cut_table(job, shop, reach=reach_of(start, job), grid=grid)
    seek = search_of(start[0].shape, table)
    right = [float(table.size[n]) for n in table.order.tolist() if seek.is_valid(-1, n)]
    first, free = best_chain(start, table, aim=Aim(largest=True)), best_chain(start, table)
    assert first is not None
    assert free is not None
    assert first.shapes[1].size == pytest.approx(max(right))
    assert first.shapes[1].size > free.shapes[1].size * 1.1
    assert (len(first.settings), len(free.settings)) == (1, 2)
