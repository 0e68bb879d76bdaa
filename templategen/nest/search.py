"""The best chain of cuts on the grid, exactly: branch and bound over the table (design.md §4)."""

import dataclasses
import heapq
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from templategen.nest.cut_columns import Column
from templategen.nest.cut_table import (
    SLACK,
    CutTable,
    Indices,
    NestingAllowance,
    Room,
    room_of,
)
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.rules import FARTHEST_SHIFT, core_curves, core_shape, meets, setting_from
from templategen.trade.choices import Guard, Order
from templategen.trade.records import Job, Shop

if TYPE_CHECKING:
    from templategen.geometry.curves import Curve

GAP = 0.005  # share of the sum of sizes by which a better chain may be passed over (design.md §4)
WIDEST = 16  # marks of entry and of depth in the first cells
CHUNK = 256  # cuts examined together while the first valid one is sought
QUICK, NOMINAL, WORST = 1, 8, 24  # work of a quick check, of a wall, of a wall with worst settings
MANY = 2048  # cuts examined for the work of one more quick check
MOST_WORK = 12_000  # of a search on one grid, before a wider one is taken: about two seconds
MOST_CUTS = 40  # in one blank: far more than any blank within bounds can hold
START = -1  # index of the start, where others are indices of cuts


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Cuts from the rim inward and the bowls they separate; the first shape is the start."""

    settings: tuple[CutSetting, ...] = ()
    shapes: tuple[BowlShape, ...]

    @property
    def sizes(self) -> float:
        """Sum of the sizes, mm³."""
        return sum(shape.size for shape in self.shapes)


class TooLong(Exception):  # noqa: N818 - not a fault: the search goes on with wider marks
    """A search took more work than it may; `chain` is the best it had found, if any."""

    def __init__(self, chain: Chain | None = None) -> None:
        super().__init__("a search took more work than it may")
        self.chain = chain


def best_chain(
    start: BowlShape,
    table: CutTable,
    *,
    own: CutSetting | None = None,
    last: CutSetting | None = None,
    first_largest: bool = False,
    more_than: int = 0,
    most_work: int | None = None,
) -> Chain:
    """The chain of cuts with the most bowls, then the greatest sum of sizes.

    Args:
        start: the bowl to core.
        table: the cuts to choose from.
        own: the cut that freed `start`, None for the turned blank.
        last: a fixed cut that must be valid in the innermost core of the chain.
        first_largest: the objective `largest`: the first core as large as possible comes first.
        more_than: chains of so many cuts or fewer are not wanted.
        most_work: limit of work, in quick checks; exact checks count `NOMINAL` or `WORST`.

    Returns: the chain; only `start` when no cut keeps the rules. No chain of the table has more
        bowls, and none of as many has a sum of sizes more than `GAP` greater.

    Raises:
        TooLong: it took more than `most_work`.
    """
    search = _Search(start=start, table=table, own=own, last=last, most_work=most_work)
    try:
        for count in range(len(search.levels), more_than, -1):
            found = search.run(count, first_largest=first_largest)
            if found is not None:
                return found
    except TooLong as stopped:
        raise TooLong(search.found()) from stopped
    return Chain(shapes=(start,))


class _KnownBounds:
    """Proved bounds: a core with no more room than a known one holds no greater sum of sizes."""

    def __init__(self) -> None:
        self.measures: NDArray[np.float64] = np.empty((0, 4))
        self.most: NDArray[np.float64] = np.empty(0)

    def least(self, measures: NDArray[np.float64]) -> float:
        """The least bound that covers a core with such measures (`CutTable.room_measures`)."""
        covers = (self.measures >= measures).all(axis=1)
        return float(self.most[covers].min(initial=math.inf))

    def add(self, measures: NDArray[np.float64], most: float) -> None:
        """Adds a bound and drops those that it makes useless."""
        useless = (self.measures <= measures).all(axis=1) & (self.most >= most)
        self.measures = np.vstack([self.measures[~useless], measures])
        self.most = np.append(self.most[~useless], most)


class _Cell(NamedTuple):
    """Cuts of one cutter with near marks; the heap gives the one with the greatest bound first."""

    negative_bound: float  # of the sum of sizes of the cuts to come, with the sign changed
    number: int  # of creation, settles ties
    width: int  # marks of entry and of depth
    cuts: Indices
    later: float  # bound of the sizes of the cuts after the next


@dataclass(slots=True, kw_only=True)
class _Search:
    """One search and what it has found out about the cuts of the table.

    Args:
        start: the bowl to core.
        table: the cuts to choose from.
        own: the cut that freed `start`, or None.
        last: a fixed cut that must be valid in the innermost core, or None.
        most_work: limit of `work`, or None.
        work: done so far, in quick checks.
        best: indices of the best chain so far.
        value: its sum of core sizes, mm³.
        exact: whether a cut (second) is valid in the core of another (first).
        cores: setting and core of a cut, by index and whether it is cored again.
        smallest: cuts of which one fits wherever any cut does.
        known: proved bounds by cutter and number of cuts to come.
        allowances: what no, one, two … bowls around a cut take up.
        levels: for each number of cuts from the start the cuts that may come there, largest
            core first.
        sizes: of the cores of `levels`.
        tops: the greatest size of each level.
    """

    start: BowlShape
    table: CutTable
    own: CutSetting | None
    last: CutSetting | None
    most_work: int | None = None
    work: int = 0
    best: list[int] = field(default_factory=list)
    value: float = -math.inf
    exact: dict[tuple[int, int], bool] = field(default_factory=dict)
    cores: dict[tuple[int, bool], tuple[CutSetting, BowlShape | None]] = field(default_factory=dict)
    smallest: Indices = field(default_factory=lambda: np.empty(0, dtype=np.intp))
    known: dict[tuple[int, int], _KnownBounds] = field(default_factory=dict)
    allowances: list[NestingAllowance] = field(default_factory=list)
    levels: list[Indices] = field(default_factory=list)
    sizes: list[Column] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Finds the allowances between bowls and the cuts of each level."""
        t = self.table
        self.smallest = t.smallest_cuts()
        among, start = t.order, room_of(self.start, self.job)
        for allowance in itertools.islice(t.nesting_allowances(), MOST_CUTS):
            self.allowances.append(allowance)
            if self.levels:
                among = t.within_rim(start, among, allowance, slack=self.slack())
            first = t.first_candidate(start, among, allowance, slack=self.slack())
            if first is None:
                break
            among = among[first:]
            self.levels.append(among)
            self.sizes.append(t.size[among])
            self.tops.append(float(t.size[among[0]]))

    # -- which cut may follow which ------------------------------------------------------

    @property
    def job(self) -> Job:
        return self.table.job

    @property
    def shop(self) -> Shop:
        return self.table.shop

    def slack(self) -> float:
        """The least that worst settings take from a floor, mm (rule 7)."""
        return self.job.nest.setting_tolerance if self.job.nest.guard == Guard.WORST else 0.0

    def spend(self, cost: int) -> None:
        """Adds to the work done.

        Raises:
            TooLong: it is more than `most_work`.
        """
        self.work += cost
        if self.most_work is not None and self.work > self.most_work:
            raise TooLong

    def room_in(self, outer: int) -> Room:
        """The room in the core of a cut, or in the start."""
        return room_of(self.start, self.job) if outer == START else self.table.room(outer)

    def candidates(self, room: Room, among: Indices) -> Indices:
        """The cuts that may be valid in a room, by a quick check."""
        self.spend(QUICK + len(among) // MANY)
        return self.table.candidates(room, among, self.allowances[0], slack=self.slack())

    def core(self, index: int, *, recored: bool) -> tuple[CutSetting, BowlShape | None]:
        """Setting and core of a cut; the core is None where it cannot be held."""
        recored = recored and self.job.nest.order == Order.OUTER_FIRST
        have = self.cores.get((index, recored))
        if have is None:
            setting = self.table.setting(index)
            have = setting, core_shape(setting, self.job, self.shop, recored=recored)
            self.cores[index, recored] = have
        return have

    def is_valid(self, outer: int, inner: int) -> bool:
        """Whether a cut keeps every rule in the core of another, or in the start."""
        have = self.exact.get((outer, inner))
        if have is None:
            self.spend(WORST if self.job.nest.guard == Guard.WORST else NOMINAL)
            setting, core = self.core(inner, recored=False)
            own, around = (
                (self.own, self.start) if outer == START else self.core(outer, recored=True)
            )
            have = core is not None and around is not None and meets(around, own, setting, self.job)
            self.exact[outer, inner] = have
        return have

    def fits_last(self, index: int) -> bool:
        """Whether the fixed cut that follows is valid in the core of a cut."""
        if self.last is None:
            return True
        setting, core = self.core(index, recored=True)
        return core is not None and meets(core, setting, self.last, self.job)

    def valid_cuts(self, outer: int, among: Indices) -> Iterator[int]:
        """The cuts that are valid in the core of another, one after the other."""
        room = self.room_in(outer)
        for at in range(0, len(among), CHUNK):
            for index in map(int, self.candidates(room, among[at : at + CHUNK])):
                if self.is_valid(outer, index):
                    yield index

    # -- bounds --------------------------------------------------------------------------

    def with_largest_core(self) -> Indices:
        """The first cuts with the greatest core that is valid and holds the last cut."""
        top, size = self.levels[0], self.table.size
        for index in filter(self.fits_last, self.valid_cuts(START, top)):
            kept: Indices = top[size[top] >= size[index] * (1 - 1e-9)]
            return kept
        return top[:0]

    def size_bounds(
        self, room: Room, level: int, count: int, *, below: float, wanted: float = -math.inf
    ) -> list[float]:
        """Upper bounds of the sizes of cores, one inside the other, in a room.

        The n-th cut lies inside n walls and n - 1 kerfs, so it must be valid in the room when
        the walls and floors are thicker by these (`CutTable.nesting_allowances`).

        Args:
            room: of the outermost bowl.
            level: number of cuts between the start and the first of them.
            count: number of cuts.
            below: cores are smaller than this, mm³.
            wanted: sum of sizes to be reached; where that is impossible the bounds are minus
                infinity.
        """
        self.spend(QUICK * count)
        t, found = self.table, list[float]()
        last = self.allowances[min(count, len(self.allowances)) - 1]
        if not len(t.candidates(room, self.smallest, last, slack=self.slack())):
            return [-math.inf] * count
        if wanted == -math.inf and below < math.inf:
            return [min(below, self.tops[level + n]) for n in range(count)]
        for n in range(count):
            among, sizes = self.levels[level + n], self.sizes[level + n]
            place = int(np.searchsorted(-sizes, -below, side="left"))
            later = sum(min(below, self.tops[level + k]) for k in range(n + 1, count))
            least = wanted - sum(found) - later
            some = among[place : int(np.searchsorted(-sizes, -least, side="right"))]
            first = t.first_candidate(room, some, self.allowances[n], slack=self.slack())
            self.spend((len(some) if first is None else first) // MANY)
            if first is None:
                return [-math.inf] * count
            below = float(sizes[place + first])
            found.append(below)
        return found

    def safety_margin(self) -> float:
        """Extra wall and floor with which a quick check suffices for a valid cut, mm.

        The quick distance is wrong by less than a tenth of the cutter's height above centre
        (tested on random pairs); worst settings take at most `FARTHEST_SHIFT` times the tolerance.
        """
        nest = self.job.nest
        worst = FARTHEST_SHIFT * nest.setting_tolerance if nest.guard == Guard.WORST else 0.0
        return 0.15 * nest.height_above_centre + worst + 1e-3

    def drop_dominated(self, room: Room, among: Indices) -> Indices:
        """The cuts without those dominated by a surely valid one: larger core and more room.

        Args:
            room: that they are cut in.
            among: cuts that may be valid in it.
        """
        t, margin = self.table, self.safety_margin()
        strict = dataclasses.replace(room, wall=room.wall + margin, floor=room.floor + margin)
        sure = self.candidates(strict, among)
        kept = np.ones(len(among), dtype=bool)
        for cutter in np.unique(t.cutter[sure]):
            mine = np.flatnonzero(t.cutter[among] == cutter)
            better = sure[t.cutter[sure] == cutter]
            measures = t.room_measures(better)
            rank = np.argsort(-measures[:, 0], kind="stable")
            better, measures = better[rank], measures[rank]
            axis = measures[:, 2]
            top = np.maximum.accumulate(axis)
            holder = np.maximum.accumulate(np.where(axis == top, np.arange(len(axis)), 0))
            here = among[mine]
            own = t.room_measures(here)
            place = np.searchsorted(-measures[:, 0], -own[:, 0], side="right") - 1
            rival = holder[np.maximum(place, 0)]
            dominated = (place >= 0) & (t.size[better[rival]] > t.size[here])
            dominated &= (measures[rival] >= own).all(axis=1)
            kept[mine[dominated]] = False
        found: Indices = among[kept]
        return found

    def has_room_for(self, among: Indices, left: int) -> NDArray[np.bool_]:
        """Which cores may have rim and depth enough for `left` more cuts."""
        t, allowance, least = self.table, self.allowances[left - 1], self.smallest
        entry = t.entry(least)
        rim = allowance.entry[0] * float(entry.min()) + allowance.entry[1] - SLACK
        deep = t.deepest(least) + allowance.floor[0] * entry
        low = float(deep.min()) + allowance.floor[1] - SLACK
        held: NDArray[np.bool_] = (t.rim[among] - t.wall(among) >= rim) & (
            t.depth_limit(among) >= low
        )
        return held

    def known_bound(self, cuts: Indices, left: int) -> float:
        """The least known bound of the sizes of `left` more cuts in any core of a cell."""
        known = self.known.get((int(self.table.cutter[cuts[0]]), left))
        if known is None:
            return math.inf
        return known.least(self.table.room_measures(cuts).max(axis=0))

    def record_bound(self, index: int, left: int, most: float) -> None:
        """Records that `left` more cuts in a core have no greater sum of sizes."""
        key = int(self.table.cutter[index]), left
        measures = self.table.room_measures(np.array([index]))[0]
        self.known.setdefault(key, _KnownBounds()).add(measures, most)

    # -- the search ----------------------------------------------------------------------

    def run(self, count: int, *, first_largest: bool = False) -> Chain | None:
        """The best chain of exactly `count` cuts, or None."""
        self.best, self.value = [], -math.inf
        top = self.with_largest_core() if first_largest else self.levels[0]
        self.take_largest(top, count)
        bounds = self.size_bounds(self.room_in(START), 0, count, below=math.inf)
        self.branch(START, [], 0.0, top, count, later=sum(bounds[1:]))
        return self.found()

    def found(self) -> Chain | None:
        """The best chain so far."""
        if not self.best:
            return None
        settings, shapes = [], [self.start]
        for n, index in enumerate(self.best):
            recored = n + 1 < len(self.best) or self.last is not None
            setting, core = self.core(index, recored=recored)
            assert core is not None  # `is_valid` has seen to it
            settings.append(setting)
            shapes.append(core)
        return Chain(settings=tuple(settings), shapes=tuple(shapes))

    def value_to_beat(self) -> float:
        """The sum of core sizes that a better chain must pass, mm³."""
        if self.value == -math.inf:
            return -math.inf
        return self.value + GAP * (self.value + self.start.size)

    def take_largest(self, top: Indices, count: int) -> None:
        """A first chain: the largest valid core, again and again."""
        path: list[int] = []
        for level in range(count):
            outer = path[-1] if path else START
            among = self.following(outer, level) if path else top
            found = next(self.valid_cuts(outer, among), None)
            if found is None:
                return
            path.append(found)
        if self.fits_last(path[-1]):
            self.best, self.value = path, float(self.table.size[path].sum())

    def following(self, index: int, level: int, *, least: float = 0.0) -> Indices:
        """The cuts of a level with cores smaller than that of a cut and not under `least`."""
        among, sizes = self.levels[level], self.sizes[level]
        first = int(np.searchsorted(-sizes, -self.table.size[index], side="right"))
        last = int(np.searchsorted(-sizes, -least, side="right"))
        found: Indices = among[first:last]
        return found

    def branch(
        self,
        outer: int,
        path: list[int],
        sizes: float,
        among: Indices,
        left: int,
        *,
        later: float,
    ) -> float:
        """Tries cuts: cells of near settings are bounded together, then split.

        Args:
            outer: the cut before, or START.
            path: the cuts so far.
            sizes: sum of the sizes of their cores.
            among: the cuts to try, largest core first.
            left: number of cuts still to come.
            later: upper bound of the sizes of the cuts after the next.

        Returns: an upper bound of the sum of sizes of the cuts still to come, apart from cuts
            dropped here because no better chain can come of them; for these `descend` accounts.
        """
        if left == 1:
            return self.finish(outer, path, sizes, among)
        t, reached, numbers = self.table, -math.inf, itertools.count()
        queue: list[_Cell] = []

        def push(among: Indices, width: int, later: float) -> None:
            for cuts in self.split(among, width):
                bound = float(t.size[cuts[0]]) + later
                heapq.heappush(queue, _Cell(-bound, next(numbers), width, cuts, later))

        push(self._worth_trying(outer, sizes + later, among, left), WIDEST, later)
        while queue:
            negative, _, width, cuts, most = heapq.heappop(queue)
            if sizes - negative <= self.value_to_beat():
                return max(reached, -negative)
            size = float(t.size[cuts[0]])
            most = min(most, self.known_bound(cuts, left - 1))
            wanted = self.value_to_beat() - sizes - size
            if most == -math.inf:
                continue
            if most <= wanted:
                reached = max(reached, size + most)
            elif len(cuts) == 1:
                index = int(cuts[0])
                if self.is_valid(outer, index):
                    got = self.descend(index, path, sizes + size, left - 1, wanted=wanted)
                    self.record_bound(index, left - 1, got)
                    reached = max(reached, size + got)
            else:
                level, room = len(path) + 1, self.envelope(cuts)
                bound = sum(self.size_bounds(room, level, left - 1, below=size, wanted=wanted))
                if bound == -math.inf:
                    reached = max(reached, size + wanted)
                else:
                    push(cuts, width // 2, min(most, bound))
        return reached

    def _worth_trying(self, outer: int, others: float, among: Indices, left: int) -> Indices:
        """The cuts that may make a better chain with other cuts of a sum of sizes."""
        least = self.value_to_beat() - others
        among = among[: int(np.searchsorted(-self.table.size[among], -least, side="right"))]
        room = self.room_in(outer)
        if outer == START:  # further in, `descend` has done it
            among = self.candidates(room, among[self.has_room_for(among, left - 1)])
        return self.drop_dominated(room, among)

    def descend(
        self, index: int, path: list[int], sizes: float, left: int, *, wanted: float
    ) -> float:
        """Goes on inside the core of a cut; an upper bound of the sum of sizes there."""
        room, level = self.table.room(index), len(path) + 1
        size = float(self.table.size[index])
        bounds = self.size_bounds(room, level, left, below=size, wanted=wanted)
        if bounds[0] == -math.inf:
            return wanted
        later = sum(bounds[1:])
        inner = self.following(index, level, least=wanted - later)
        if left > 1:
            inner = inner[self.has_room_for(inner, left - 1)]
        inner = self.candidates(room, inner)
        got = self.branch(index, [*path, index], sizes, inner, left, later=later)
        return max(got, wanted)

    def finish(self, outer: int, path: list[int], sizes: float, among: Indices) -> float:
        """Tries the last cut: the largest valid core."""
        size = self.table.size
        wanted = self.value_to_beat() - sizes
        some = among[: int(np.searchsorted(-size[among], -wanted, side="left"))]
        for index in self.valid_cuts(outer, some):
            if self.fits_last(index):
                self.best, self.value = [*path, index], sizes + float(size[index])
                return float(size[index])
        return -math.inf

    def split(self, among: Indices, width: int) -> list[Indices]:
        """The cuts in cells of one cutter and `width` marks of entry and of depth."""
        t = self.table
        bits = width.bit_length() - 1  # `width` is a power of two
        cutter, entry, depth = (
            c[among].astype(np.int64) for c in (t.cutter, t.entry_mark, t.depth_mark)
        )
        key = (cutter << 40) + ((entry >> bits) << 20) + (depth >> bits)
        order = np.argsort(key, kind="stable")
        edges = np.flatnonzero(np.diff(key[order])) + 1
        return np.split(among[order], edges) if len(among) else []

    def envelope(self, cuts: Indices) -> Room:
        """A room that holds the room of every cut of a cell and requires no more than any."""
        t = self.table
        entry, depth = (
            t.grid * int(t.entry_mark[cuts].max()),
            t.grid * int(t.depth_mark[cuts].max()),
        )
        cutter = self.shop.cutters[t.cutter[cuts[0]]]
        height = self.job.nest.height_above_centre
        setting = setting_from(cutter, entry_radius=entry, depth=depth, height=height)
        curves: tuple[Curve, ...] = ()
        if setting is not None:
            curves = core_curves(setting, height=height, relief=self.job.nest.relief) or ()
        shoulder = t.shoulder[cuts]
        shoulder = shoulder[~np.isnan(shoulder)]
        return Room(
            rim=float(t.rim[cuts].max()),
            shoulder=float(shoulder.max()) if len(shoulder) else -1.0,
            wall=float(t.wall(cuts).min()),
            floor=float(t.floor(cuts).min()),
            curves=curves,
        )
