"""The best chain of cuts on the grid, exactly: branch and bound over the table (design.md §4).

Chains are ranked by bowls, then by fewest tenons under their wished share, then by the sum of
sizes. For a number of cuts it is first settled whether any jaws allow them, then the sum of sizes
is made as great as possible with no such tenon, with one, and so on until there is a chain.
"""

import bisect
import dataclasses
import heapq
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Curve, Span
from templategen.nest.cut_table import (
    SLACK,
    CutTable,
    Indices,
    NestingAllowance,
    Room,
    room_of,
)
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.rules import FARTHEST_SHIFT, SAME, core_curves, meets, setting_from
from templategen.nest.tenon_choice import Held, core_options
from templategen.trade.choices import Guard
from templategen.trade.records import Job, Shop

GAP = 0.005  # share of the sum of sizes by which a better chain may be passed over (design.md §4)
WIDEST = 16  # marks of entry and of depth in the first cells
CHUNK = 256  # cuts examined together while the first valid one is sought
QUICK, NOMINAL, WORST = 1, 8, 24  # work of a quick check, of a wall, of a wall with worst settings
MANY = 2048  # cuts examined for the work of one more quick check
MOST_WORK = 12_000  # of a search on one grid, before a wider one is taken: about two seconds
MOST_CUTS = 40  # in one blank: far more than any blank within bounds can hold
ANY_COUNT = range(MOST_CUTS + 1)
START = -1  # index of the start, where others are indices of cuts


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Cuts from the rim inward and the bowls they separate; the first shape is the start.

    `unders` counts the tenons under their wished share.
    """

    settings: tuple[CutSetting, ...] = ()
    shapes: tuple[BowlShape, ...]
    unders: int = 0

    @property
    def sizes(self) -> float:
        """Sum of the sizes, mm³."""
        return sum(shape.size for shape in self.shapes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What a chain must reach, or reach before all else.

    Args:
        largest: the first core as large as possible before the number of bowls.
        wanted: least and greatest rim radius of bowls that must be among them, each of its own,
            mm, from the largest inward; all of one tolerance.
    """

    largest: bool = False
    wanted: tuple[tuple[float, float], ...] = ()

    def met(self, due: int, rim: float) -> int:
        """How many of the wanted bowls there are with one more, of a rim radius."""
        if due < len(self.wanted):
            low, high = self.wanted[due]
            return due + (low - SAME <= rim <= high + SAME)
        return due


class TooLong(Exception):  # noqa: N818 - not a fault: the search goes on with wider marks
    """A search took more work than it may; `chain` is the best it had found, if any."""

    def __init__(self, chain: Chain | None = None) -> None:
        super().__init__("a search took more work than it may")
        self.chain = chain


@dataclass(slots=True)
class Effort:
    """Work of searches, in quick checks: its limit, if any, and what is done."""

    limit: int | None = None
    done: int = 0

    def spend(self, cost: int) -> None:
        """Adds to the work done.

        Raises:
            TooLong: it is more than the limit.
        """
        self.done += cost
        if self.limit is not None and self.done > self.limit:
            raise TooLong


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """What a chain runs between.

    Args:
        own: the cut that freed the bowl to core, None for the turned blank.
        last: a fixed cut that must be valid in the innermost core of the chain, or None.
    """

    own: CutSetting | None = None
    last: CutSetting | None = None


ALONE, ANY = Segment(), Aim()


def best_chain(
    starts: Sequence[Held],
    table: CutTable,
    segment: Segment = ALONE,
    *,
    aim: Aim = ANY,
    counts: range = ANY_COUNT,
    most_work: int | None = None,
) -> Chain | None:
    """The chain of cuts that ranks first: most bowls, fewest tenons under their wish, then size.

    Args:
        starts: the bowl to core, in each of the jaws that may hold it, those that hold it best
            first; the next ones are taken only where they rank before in bowls or tenons.
        table: the cuts to choose from.
        segment: what the chain runs between.
        aim: what it must reach.
        counts: of cuts that are wanted; consecutive.
        most_work: limit of work, in quick checks; exact checks count `NOMINAL` or `WORST`.

    Returns: the chain, or None where there is none. No chain of the table has more bowls, none of
        as many has fewer tenons under their wish, and none of as many of these, with the start
        in the same jaws, has a sum of sizes more than `GAP` greater.

    Raises:
        TooLong: it took more than `most_work`.
    """
    effort, best = Effort(most_work), None
    searches = [
        _Searches(start=start, table=table, segment=segment, aim=aim, effort=effort)
        for start in without_covered(starts)
    ]
    try:
        if aim.largest:
            sizes = [one.search(None).largest_first() for one in searches]
            top = max(sizes) * (1 - 1e-9)
            searches = [one for one, size in zip(searches, sizes, strict=True) if size >= top]
            for one in searches:
                one.least_first = top
        for one in searches:
            best = one.better_than(best, counts) or best
    except TooLong as stopped:
        found = [] if best is None else [best]
        found += [chain for one in searches if (chain := one.so_far()) is not None]
        best = max(found, key=lambda c: (len(c.settings), -c.unders, c.sizes), default=None)
        raise TooLong(best) from stopped
    return best


def without_covered(starts: Sequence[Held]) -> list[Held]:
    """The starts without those that leave no more room than one before, with no better tenon."""
    kept: list[Held] = []
    for start in starts:
        if not any(h.under <= start.under and _covers(h, start) for h in kept):
            kept.append(start)
    return kept


def _covers(one: Held, other: Held) -> bool:
    """Whether a blank or core leaves all the room that it leaves in other jaws.

    Arcs of blanks run through one rim from centres on the face plane, so the one of the greater
    radius encloses the other; an outside that follows the first cut goes straight down from its
    foot. Other outsides do not depend on the jaws.
    """
    first, second = one.shape.curves[0], other.shape.curves[0]
    wide = True
    if one.around is not None:
        wide = one.shape.tenon_diameter >= other.shape.tenon_diameter - SAME
    elif isinstance(first, Span) and isinstance(second, Span):
        wide = first.radius >= second.radius - SAME
    return wide and one.shape.shoulder >= other.shape.shoulder - SAME


@dataclass(slots=True, kw_only=True)
class _Searches:
    """The searches from one start: with tenons of any share, and with few under their wish."""

    start: Held
    table: CutTable
    segment: Segment
    aim: Aim
    effort: Effort
    least_first: float = 0.0
    made: dict[int | None, "_Search"] = field(default_factory=dict)

    def search(self, budget: int | None) -> "_Search":
        """The search with a number of cores whose tenons may be under their wish; None: all."""
        if budget not in self.made:
            table, most = self.table, None
            if budget is not None:  # what any jaws allow is the limit
                table = table.with_both_tenons if budget else table.with_wished_tenons
                most = self.search(None).tops
            self.made[budget] = _Search(
                start=self.start,
                table=table,
                segment=self.segment,
                aim=self.aim,
                effort=self.effort,
                budget=budget,
                most=most,
            )
        return self.made[budget]

    def better_than(self, best: Chain | None, counts: range) -> Chain | None:
        """The best chain that has more bowls than another, or as many and fewer tenons under."""
        least = counts.start if best is None else len(best.settings)
        longest = min(counts.stop - 1, len(self.search(None).levels))
        for count in range(longest, least - 1, -1):
            most = count + 1
            if best is not None and count == least:
                most = best.unders - 1
            if self.start.under > most:
                break
            if not (self._greedily(count) or self.search(None).holds(count, self.least_first)):
                continue
            for unders in range(self.start.under, most + 1):
                search = self.search(unders - self.start.under)
                chain = search.run(count, least_first=self.least_first)
                if chain is not None:
                    return chain
        return None

    def so_far(self) -> Chain | None:
        """The best chain found so far, by tenons and size; None for none."""
        found = [search.found() for search in self.made.values() if search.best]
        return max(found, key=lambda c: (len(c.settings), -c.unders, c.sizes), default=None)

    def _greedily(self, count: int) -> bool:
        """Whether a chain without tenons under their wish is found at once."""
        search = self.search(0)
        return search.begin(count, self.least_first) and bool(search.best or not count)


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


class _State(NamedTuple):
    """What the cuts so far have used up: tenons that may still be under, wanted rims met."""

    budget: int | None
    due: int


class _Node(NamedTuple):
    """The cuts so far: the last of them or START, all, the sum of sizes, what is used up."""

    outer: int
    path: list[int]
    sizes: float
    state: _State


@dataclass(slots=True, kw_only=True)
class _Search:
    """One search and what it has found out about the cuts of the table.

    Args:
        start: the bowl to core.
        table: the cuts to choose from.
        segment: what the chain runs between.
        aim: what it must reach.
        effort: the work, shared by the searches of one job.
        budget: number of cores whose tenons may be under their wish; None: all.
        first_will_do: whether any chain is as good as the best.
        best: indices of the best chain so far.
        value: its sum of core sizes, mm³.
        exact: whether a cut (second) is valid in the core of another (first).
        cores: setting of a cut and its core in the jaws allowed, by index and whether it is
            cored again.
        smallest: cuts of which one fits wherever any cut does.
        known: proved bounds by cutter, number of cuts to come and state.
        allowances: what no, one, two … bowls around a cut take up.
        levels: for each number of cuts from the start the cuts that may come there, largest
            core first.
        tops: the greatest size of each level.
        most: sizes that the cores of each level do not pass, where these are known; there are no
            more levels.
        greedy: the first chain of a number of cuts with a least size of the first core.
    """

    start: Held
    table: CutTable
    segment: Segment
    aim: Aim
    effort: Effort
    budget: int | None
    first_will_do: bool = False
    best: list[int] = field(default_factory=list)
    value: float = -math.inf
    exact: dict[tuple[int, int], bool] = field(default_factory=dict)
    cores: dict[tuple[int, bool], tuple[CutSetting, tuple[Held, ...]]] = field(default_factory=dict)
    smallest: Indices = field(default_factory=lambda: np.empty(0, dtype=np.intp))
    known: dict[tuple[int, int, _State], _KnownBounds] = field(default_factory=dict)
    allowances: list[NestingAllowance] = field(default_factory=list)
    levels: list[Indices] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)
    most: Sequence[float] | None = None
    greedy: dict[tuple[int, float], list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Finds the allowances between bowls and the cuts of each level."""
        t = self.table
        self.smallest = t.smallest_cuts
        among, start = t.order, room_of(self.start.room, self.job)
        limits = [math.inf] * MOST_CUTS if self.most is None else [*self.most, -math.inf]
        for allowance, most in zip(t.nesting_allowances(), limits, strict=False):
            self.allowances.append(allowance)
            among = among[self.larger(among, most) :]
            if self.levels:
                among = t.within_rim(start, among, allowance, slack=self.slack())
            first = t.first_candidate(start, among, allowance, slack=self.slack())
            if first is None:
                break
            among = among[first:]
            self.levels.append(among)
            self.tops.append(float(t.size[among[0]]))
        if self.start.around is not None and self.levels:
            beside = self.beside_the_rim(self.levels[0])
            self.levels[0] = beside
            if not len(beside):
                self.levels = []

    def beside_the_rim(self, among: Indices) -> Indices:
        """The cuts that leave the wall inside an outside that follows the first cut."""
        t, height = self.table, self.job.nest.height_above_centre
        rim = self.start.shape.rim_radius
        across = math.sqrt(rim * rim - height * height) - t.pivot_offset[among]
        wall = np.hypot(across, t.pivot_standoff[among]) - t.radius(among)
        room = room_of(self.start.shape, self.job)
        return among[wall >= room.wall - SLACK]

    # -- cuts in the order of their sizes ------------------------------------------------

    def larger(self, among: Indices, size: float) -> int:
        """How many cuts, largest core first, have cores larger than a size."""
        return bisect.bisect_left(among, -size, key=self._falling)

    def not_smaller(self, among: Indices, size: float) -> int:
        """How many cuts, largest core first, have cores of a size or larger."""
        return bisect.bisect_right(among, -size, key=self._falling)

    def _falling(self, index: int) -> float:
        return -float(self.table.size[index])

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

    def room_in(self, outer: int) -> Room:
        """The room in the core of a cut, or in the start."""
        return room_of(self.start.room, self.job) if outer == START else self.table.room(outer)

    def candidates(self, room: Room, among: Indices) -> Indices:
        """The cuts that may be valid in a room, by a quick check."""
        self.effort.spend(QUICK + len(among) // MANY)
        return self.table.candidates(room, among, self.allowances[0], slack=self.slack())

    def core(self, index: int, *, recored: bool) -> tuple[CutSetting, tuple[Held, ...]]:
        """Setting and core of a cut in the jaws allowed, those nearest the wished share first."""
        have = self.cores.get((index, recored))
        if have is None:
            setting, t = self.table.setting(index), self.table
            options = core_options(setting, self.job, self.shop, recored=recored)
            may_be_under = self.budget is None or (t.under if recored else t.leaf_under)[index]
            allowed = tuple(held for held in options if may_be_under or not held.under)
            have = setting, allowed
            self.cores[index, recored] = have
        return have

    def bowls_around(self, outer: int) -> tuple[CutSetting | None, tuple[Held, ...]]:
        """The cut that freed a core, or the start, and it in the jaws allowed."""
        if outer == START:
            return self.segment.own, (self.start,)
        return self.core(outer, recored=True)

    def holding(self, outer: int, inner: CutSetting) -> Iterator[Held]:
        """The core of a cut, or the start, in each of the jaws with which a cut is valid in it."""
        own, options = self.bowls_around(outer)
        return (h for h in options if meets(h.shape_around(inner), own, inner, self.job))

    def is_valid(self, outer: int, inner: int) -> bool:
        """Whether a cut keeps every rule in the core of another, or in the start."""
        have = self.exact.get((outer, inner))
        if have is None:
            worst = self.job.nest.guard == Guard.WORST
            self.effort.spend(WORST if worst else NOMINAL)
            setting, cores = self.core(inner, recored=False)
            own, options = self.bowls_around(outer)
            if not worst:  # the deepest shoulder leaves most room
                options = tuple(sorted(options, key=lambda held: -held.shape.shoulder)[:1])
            have = bool(cores) and any(
                meets(held.shape_around(setting), own, setting, self.job) for held in options
            )
            self.exact[outer, inner] = have
        return have

    def fits_last(self, index: int) -> bool:
        """Whether the fixed cut that follows is valid in the core of a cut, or in the start."""
        last = self.segment.last
        return last is None or any(True for _ in self.holding(index, last))

    def may_be_last(self, among: Indices, state: _State) -> Indices:
        """The cuts whose cores may be the innermost of a chain."""
        t = self.table
        under = t.leaf_under if self.segment.last is None else t.under
        return among if state.budget is None or state.budget else among[~under[among]]

    def allowed(self, among: Indices, state: _State, left: int) -> Indices:
        """The cuts that may come next with `left` to come in all, by tenons and wanted rims."""
        t, wanted = self.table, self.aim.wanted
        if state.budget == 0 and left > 1:
            among = among[~t.under[among]]
        if state.due < len(wanted):
            low, high = wanted[state.due]
            among = among[t.rim[among] >= low - SAME]
            if left == len(wanted) - state.due:
                among = among[t.rim[among] <= high + SAME]
            elif left < len(wanted) - state.due:
                among = among[:0]
        return among

    def after(self, index: int, state: _State) -> _State:
        """The state with a cut that is not the last."""
        budget = state.budget
        if budget is not None:
            budget -= int(self.table.under[index])
        return _State(budget, self.aim.met(state.due, float(self.table.rim[index])))

    def at_first(self) -> _State:
        """The state with no cut."""
        return _State(self.budget, self.aim.met(0, self.start.shape.rim_radius))

    def valid_cuts(self, outer: int, among: Indices) -> Iterator[int]:
        """The cuts that are valid in the core of another, one after the other."""
        room, at, chunk = self.room_in(outer), 0, CHUNK
        while at < len(among):
            found = self.candidates(room, among[at : at + chunk])
            at, chunk = at + chunk, CHUNK if len(found) else 2 * chunk
            for index in map(int, found):
                if self.is_valid(outer, index):
                    yield index

    # -- bounds --------------------------------------------------------------------------

    def largest_first(self) -> float:
        """The size of the largest first core of any chain; minus infinity where there is none."""
        if not self.levels:
            return -math.inf
        size, state = self.table.size, self.at_first()
        top = self.levels[0]
        due = len(self.aim.wanted) - state.due
        if not due:
            first = next(filter(self.fits_last, self.valid_cuts(START, top)), None)
            return -math.inf if first is None else float(size[first])
        counts = [n for n in range(due, len(self.levels) + 1) if self.holds(n)]
        if not counts:
            return -math.inf
        few, enough = 0, len(top)  # of the first cuts, largest core first
        while enough - few > 1:
            middle = (few + enough) // 2
            least = float(size[top[middle - 1]])
            if any(self.holds(n, least) for n in counts):
                enough = middle
            else:
                few = middle
        return float(size[top[enough - 1]])

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
        self.effort.spend(QUICK * count)
        t, found = self.table, list[float]()
        last = self.allowances[min(count, len(self.allowances)) - 1]
        if not len(t.candidates(room, self.smallest, last, slack=self.slack())):
            return [-math.inf] * count
        if wanted == -math.inf and below < math.inf:
            return [min(below, self.tops[level + n]) for n in range(count)]
        for n in range(count):
            among = self.levels[level + n]
            place = self.larger(among, below)
            later = sum(min(below, self.tops[level + k]) for k in range(n + 1, count))
            least = wanted - sum(found) - later
            some = among[place : self.not_smaller(among, least)]
            first = t.first_candidate(room, some, self.allowances[n], slack=self.slack())
            self.effort.spend((len(some) if first is None else first) // MANY)
            if first is None:
                return [-math.inf] * count
            below = float(t.size[some[first]])
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
        kinds, sure_kinds = self.kinds(among), self.kinds(sure)
        for kind in np.unique(sure_kinds):
            mine = np.flatnonzero(kinds == kind)
            better = sure[sure_kinds == kind]
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

    def kinds(self, among: Indices) -> NDArray[np.int64]:
        """A number for each cut: its cutter, whether its tenon is under, the wanted it meets."""
        t = self.table
        kinds = t.cutter[among].astype(np.int64)
        if self.budget:
            kinds = kinds * 2 + t.under[among]
        for low, high in self.aim.wanted:
            rim = t.rim[among]
            kinds = kinds * 2 + ((rim >= low - SAME) & (rim <= high + SAME))
        return kinds

    def has_room_for(self, among: Indices, left: int) -> NDArray[np.bool_]:
        """Which cores may have rim and depth enough for `left` more cuts."""
        t, allowance, least = self.table, self.allowances[left - 1], self.smallest
        entry = t.entry(least)
        rim = allowance.entry[0] * float(entry.min()) + allowance.entry[1] - SLACK
        deep = t.deepest[least] + allowance.floor[0] * entry
        low = float(deep.min()) + allowance.floor[1] - SLACK
        held: NDArray[np.bool_] = (t.rim[among] - t.wall(among) >= rim) & (
            t.depth_limit(among) >= low
        )
        return held

    def known_bound(self, cuts: Indices, left: int, state: _State) -> float:
        """The least known bound of the sizes of `left` more cuts in any core of a cell."""
        known = self.known.get((int(self.table.cutter[cuts[0]]), left, state))
        if known is None:
            return math.inf
        return known.least(self.table.room_measures(cuts).max(axis=0))

    def record_bound(self, index: int, left: int, state: _State, most: float) -> None:
        """Records that `left` more cuts in a core have no greater sum of sizes."""
        key = int(self.table.cutter[index]), left, state
        measures = self.table.room_measures(np.array([index]))[0]
        self.known.setdefault(key, _KnownBounds()).add(measures, most)

    # -- the search ----------------------------------------------------------------------

    def first_cuts(self, count: int, least_first: float) -> Indices:
        """The cuts that may be the first of `count`, with cores of a least size."""
        top = self.levels[0]
        return self.allowed(top[: self.not_smaller(top, least_first)], self.at_first(), count)

    def begin(self, count: int, least_first: float = 0.0) -> bool:
        """Starts a run with the largest valid core, again and again; whether it may go on."""
        self.best, self.value = [], -math.inf
        if count > len(self.levels):
            return False
        if not count:
            return self.at_first().due == len(self.aim.wanted) and self.fits_last(START)
        if (count, least_first) not in self.greedy:
            top = self.first_cuts(count, least_first)
            self.greedy[count, least_first] = self.largest_again_and_again(top, count)
        self.best = self.greedy[count, least_first]
        if self.best:
            self.value = float(self.table.size[self.best].sum())
        return True

    def holds(self, count: int, least_first: float = 0.0) -> bool:
        """Whether there is any chain of exactly `count` cuts."""
        self.first_will_do = True
        found = self.run(count, least_first=least_first)
        self.first_will_do = False
        return found is not None

    def run(self, count: int, *, least_first: float = 0.0) -> Chain | None:
        """The best chain of exactly `count` cuts, or None.

        Args:
            count: of cuts.
            least_first: the least size of the first core, mm³.
        """
        if not self.begin(count, least_first):
            return None
        if not count:
            return self.found()
        if not (self.first_will_do and self.best):
            top = self.first_cuts(count, least_first)
            bounds = self.size_bounds(self.room_in(START), 0, count, below=math.inf)
            later = sum(bounds[1:])
            self.branch(_Node(START, [], 0.0, self.at_first()), top, count, later=later)
        return self.found() if self.best else None

    def found(self) -> Chain:
        """The best chain so far: every bowl in the jaws nearest its wish of those that do."""
        settings: list[CutSetting] = []
        held = [self.start]
        for n, index in enumerate(self.best):
            innermost = n + 1 == len(self.best)
            setting, options = self.core(index, recored=not innermost or bool(self.segment.last))
            settings.append(setting)
            inner = (
                self.segment.last if innermost else self.core(self.best[n + 1], recored=False)[0]
            )
            held.append(options[0] if inner is None else next(self.holding(index, inner)))
        shapes = [one.shape for one in held]
        if settings:
            shapes[0] = self.start.shape_around(settings[0])
        return Chain(
            settings=tuple(settings),
            shapes=tuple(shapes),
            unders=sum(one.under for one in held),
        )

    def value_to_beat(self) -> float:
        """The sum of core sizes that a better chain must pass, mm³."""
        if self.value == -math.inf:
            return -math.inf
        if self.first_will_do:
            return math.inf
        return self.value + GAP * (self.value + self.start.shape.size)

    def largest_again_and_again(self, top: Indices, count: int) -> list[int]:
        """A first chain: the largest valid core, again and again; empty where it ends early."""
        path, state = list[int](), self.at_first()
        for level in range(count):
            outer, left = path[-1] if path else START, count - level
            among = self.allowed(self.following(outer, level), state, left) if path else top
            if left == 1:
                among = self.may_be_last(among, state)
            found = next(self.valid_cuts(outer, among), None)
            if found is None:
                return []
            path.append(found)
            state = self.after(found, state)
        return path if self.fits_last(path[-1]) else []

    def following(self, index: int, level: int, *, least: float = 0.0) -> Indices:
        """The cuts of a level with cores smaller than that of a cut and not under `least`."""
        among, size = self.levels[level], float(self.table.size[index])
        return among[self.not_smaller(among, size) : self.not_smaller(among, least)]

    def branch(self, node: _Node, among: Indices, left: int, *, later: float) -> float:
        """Tries cuts: cells of near settings are bounded together, then split.

        Args:
            node: the chain so far.
            among: the cuts to try, largest core first.
            left: number of cuts still to come.
            later: upper bound of the sizes of the cuts after the next.

        Returns: an upper bound of the sum of sizes of the cuts still to come, apart from cuts
            dropped here because no better chain can come of them; for these `descend` accounts.
        """
        if left == 1:
            return self.finish(node, among)
        t, reached, numbers, sizes = self.table, -math.inf, itertools.count(), node.sizes
        queue: list[_Cell] = []

        def push(among: Indices, width: int, later: float) -> None:
            for cuts in self.split(among, width):
                bound = float(t.size[cuts[0]]) + later
                heapq.heappush(queue, _Cell(-bound, next(numbers), width, cuts, later))

        push(self._worth_trying(node.outer, sizes + later, among, left), WIDEST, later)
        while queue:
            negative, _, width, cuts, most = heapq.heappop(queue)
            if sizes - negative <= self.value_to_beat():
                return max(reached, -negative)
            size, state = float(t.size[cuts[0]]), self.after(int(cuts[0]), node.state)
            most = min(most, self.known_bound(cuts, left - 1, state))
            wanted = self.value_to_beat() - sizes - size
            if most == -math.inf:
                continue
            if most <= wanted:
                reached = max(reached, size + most)
            elif len(cuts) == 1:
                index = int(cuts[0])
                if self.is_valid(node.outer, index):
                    inner = _Node(index, [*node.path, index], sizes + size, state)
                    got = self.descend(inner, left - 1, wanted=wanted)
                    self.record_bound(index, left - 1, state, got)
                    reached = max(reached, size + got)
            else:
                level, room = len(node.path) + 1, self.envelope(cuts)
                bound = sum(self.size_bounds(room, level, left - 1, below=size, wanted=wanted))
                if bound == -math.inf:
                    reached = max(reached, size + wanted)
                else:
                    push(cuts, width // 2, min(most, bound))
        return reached

    def _worth_trying(self, outer: int, others: float, among: Indices, left: int) -> Indices:
        """The cuts that may make a better chain with other cuts of a sum of sizes."""
        least = self.value_to_beat() - others
        among = among[: self.not_smaller(among, least)]
        room = self.room_in(outer)
        if outer == START:  # further in, `descend` has done it
            among = self.candidates(room, among[self.has_room_for(among, left - 1)])
        if outer == START and self.start.around is not None:
            return among  # which of them are valid in their own outside is not known quickly
        return self.drop_dominated(room, among)

    def descend(self, node: _Node, left: int, *, wanted: float) -> float:
        """Goes on inside the core of a cut; an upper bound of the sum of sizes there."""
        index, level = node.outer, len(node.path)
        room, size = self.table.room(index), float(self.table.size[index])
        bounds = self.size_bounds(room, level, left, below=size, wanted=wanted)
        if bounds[0] == -math.inf:
            return wanted
        later = sum(bounds[1:])
        inner = self.allowed(self.following(index, level, least=wanted - later), node.state, left)
        if left > 1:
            inner = inner[self.has_room_for(inner, left - 1)]
        inner = self.candidates(room, inner)
        got = self.branch(node, inner, left, later=later)
        return max(got, wanted)

    def finish(self, node: _Node, among: Indices) -> float:
        """Tries the last cut: the largest valid core."""
        size = self.table.size
        wanted = self.value_to_beat() - node.sizes
        some = among[: self.larger(among, wanted)]
        for index in self.valid_cuts(node.outer, self.may_be_last(some, node.state)):
            if self.fits_last(index):
                self.best = [*node.path, index]
                self.value = node.sizes + float(size[index])
                return float(size[index])
        return -math.inf

    def split(self, among: Indices, width: int) -> list[Indices]:
        """The cuts in cells of one kind and `width` marks of entry and of depth."""
        t = self.table
        bits = width.bit_length() - 1  # `width` is a power of two
        entry, depth = (c[among].astype(np.int64) for c in (t.entry_mark, t.depth_mark))
        key = (self.kinds(among) << 40) + ((entry >> bits) << 20) + (depth >> bits)
        order = np.argsort(key, kind="stable")
        edges = np.flatnonzero(np.diff(key[order])) + 1
        return np.split(among[order], edges) if len(among) else []

    def envelope(self, cuts: Indices) -> Room:
        """A room that holds the room of every cut of a cell and requires no more than any."""
        t = self.table
        entry = t.grid * int(t.entry_mark[cuts].max())
        depth = t.grid * int(t.depth_mark[cuts].max())
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
