"""The best chain of cuts on the grid, exactly: branch and bound over the table (design.md §4)."""

import dataclasses
import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from templategen.nest.cut_table import (
    LOOSE,
    Bounds,
    Column,
    CutTable,
    Indices,
    NestingAllowance,
    bounds_of,
)
from templategen.nest.rules import (
    FARTHEST_SHIFT,
    Body,
    CutSetting,
    core_body,
    core_curves,
    meets,
    setting_from,
)
from templategen.trade.choices import Guard, Order
from templategen.trade.records import Job, Shop

if TYPE_CHECKING:
    from templategen.geometry.curves import Curve

GAP = 0.005  # share of the sum of sizes by which a better chain may be passed over (design.md §4)
WIDEST = 16  # marks of entry and of depth in the first cells
CHUNK = 256  # cuts looked at together while the first right one is sought
QUICK, NOMINAL, WORST = 1, 8, 24  # what a quick look, a wall and its worst settings cost
MANY = 2048  # cuts gone through for the cost of one more quick look
MOST_WORK = 12_000  # of that on one width of marks, before wider ones are taken: two seconds
MOST_CUTS = 40  # in one blank: far more than any blank within bounds can hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Cuts from the rim inward with the bodies they free; the first body is the start."""

    swings: tuple[CutSetting, ...] = ()
    bodies: tuple[Body, ...]

    @property
    def sizes(self) -> float:
        """Sum of the sizes, mm³."""
        return sum(body.size for body in self.bodies)


class TooLong(Exception):  # noqa: N818 - not a fault: the search goes on with wider marks
    """A search took more work than it may; `chain` is the best it had found, if any."""

    def __init__(self, chain: Chain | None = None) -> None:
        super().__init__("a search took more work than it may")
        self.chain = chain


def best_chain(
    start: Body,
    table: CutTable,
    *,
    own: CutSetting | None = None,
    last: CutSetting | None = None,
    first_largest: bool = False,
    more_than: int = 0,
    most_work: int | None = None,
) -> Chain:
    """The chain of cuts with the most pieces, then the greatest sum of sizes.

    Args:
        start: the piece to core.
        table: the cuts to choose from.
        own: the cut that freed `start`, None for the turned blank.
        last: a fixed cut that must still be right in the innermost body of the chain.
        first_largest: the objective `largest`: piece 1 as large as can be comes first.
        more_than: chains of so many cuts or fewer are not wanted.
        most_work: quick looks, and exact ones at their price, before it is given up.

    Returns: the chain; only `start` when no cut keeps the rules. No chain of the table has more
        pieces, and none of as many has a sum of sizes more than `GAP` greater.

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
    return Chain(bodies=(start,))


class _Known:
    """Bounds found out: no core with as little room holds a greater sum of sizes."""

    def __init__(self) -> None:
        self.rooms: NDArray[np.float64] = np.empty((0, 4))
        self.most: NDArray[np.float64] = np.empty(0)

    def least(self, room: NDArray[np.float64]) -> float:
        """The least bound that covers a core with that room."""
        covers = (self.rooms >= room).all(axis=1)
        return float(self.most[covers].min(initial=math.inf))

    def add(self, room: NDArray[np.float64], most: float) -> None:
        """One more bound; those that it makes idle are dropped."""
        idle = (self.rooms <= room).all(axis=1) & (self.most >= most)
        self.rooms = np.vstack([self.rooms[~idle], room])
        self.most = np.append(self.most[~idle], most)


@dataclass(slots=True, kw_only=True)
class _Search:
    """One search; holds what has been found out about the cuts of the table."""

    start: Body
    table: CutTable
    own: CutSetting | None
    last: CutSetting | None
    most_work: int | None = None
    work: int = 0
    best: list[int] = field(default_factory=list)
    value: float = -math.inf
    exact: dict[tuple[int, int], bool] = field(default_factory=dict)
    bodies: dict[tuple[int, bool], tuple[CutSetting, Body | None]] = field(default_factory=dict)
    smallest: Indices = field(default_factory=lambda: np.empty(0, dtype=np.intp))
    known: dict[tuple[int, int], "_Known"] = field(default_factory=dict)
    insets: list[NestingAllowance] = field(default_factory=list)
    levels: list[Indices] = field(default_factory=list)
    sizes: list[Column] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Finds the steps between pieces and which cuts may be how far from the start."""
        t = self.table
        self.smallest = t.least()
        among, start = t.order, bounds_of(self.start, self.job)
        insets = t.insets()
        while len(self.levels) < MOST_CUTS:
            inset = next(insets)
            self.insets.append(inset)
            if self.levels:
                among = t.near(start, among, inset, slack=self.slack())
            first = t.first_inside(start, among, inset, slack=self.slack())
            if first is None:
                break
            among = among[first:]
            self.levels.append(among)
            self.sizes.append(t.size[among])
            self.tops.append(float(t.size[among[0]]))

    # -- what may follow what ------------------------------------------------------------

    @property
    def job(self) -> Job:
        return self.table.job

    @property
    def shop(self) -> Shop:
        return self.table.shop

    def slack(self) -> float:
        """What worst settings take from floors at the least, mm (rule 7)."""
        return self.job.nest.setting_tolerance if self.job.nest.guard == Guard.WORST else 0.0

    def spend(self, cost: int) -> None:
        """Reckons one more look."""
        self.work += cost
        if self.most_work is not None and self.work > self.most_work:
            raise TooLong

    def legal(self, piece: Bounds, among: Indices, *, between: int = 0) -> Indices:
        """The cuts that may be right in a piece, so many other cuts between."""
        self.spend(QUICK + len(among) // MANY)
        return self.table.inside(piece, among, self.insets[between], slack=self.slack())

    def body(self, index: int, *, recored: bool) -> tuple[CutSetting, Body | None]:
        recored = recored and self.job.nest.order == Order.OUTER_FIRST
        have = self.bodies.get((index, recored))
        if have is None:
            swing = self.table.swing(index)
            have = swing, core_body(swing, self.job, self.shop, recored=recored)
            self.bodies[index, recored] = have
        return have

    def is_right(self, outer: int, inner: int) -> bool:
        """Whether a cut keeps every rule in the body of another; -1 is the start."""
        have = self.exact.get((outer, inner))
        if have is None:
            self.spend(WORST if self.job.nest.guard == Guard.WORST else NOMINAL)
            swing, core = self.body(inner, recored=False)
            own, body = self.body(outer, recored=True) if outer >= 0 else (self.own, self.start)
            have = core is not None and body is not None and meets(body, own, swing, self.job)
            self.exact[outer, inner] = have
        return have

    def holds_last(self, index: int) -> bool:
        """Whether the fixed cut that follows is right in the body of a cut."""
        if self.last is None:
            return True
        swing, body = self.body(index, recored=True)
        return body is not None and meets(body, swing, self.last, self.job)

    # -- bounds --------------------------------------------------------------------------

    def largest(self) -> Indices:
        """Of the first cuts, those with the greatest core that is right and holds the last."""
        top, size = self.levels[0], self.table.size
        for index in filter(self.holds_last, self.right_first(-1, top)):
            kept: Indices = top[size[top] >= size[index] * (1 - 1e-9)]
            return kept
        return top[:0]

    def right_first(self, outer: int, among: Indices) -> Iterator[int]:
        """The cuts of some that are right in the body of another, one by one."""
        piece = bounds_of(self.start, self.job) if outer < 0 else self.table.bounds(outer)
        for at in range(0, len(among), CHUNK):
            for index in map(int, self.legal(piece, among[at : at + CHUNK])):
                if self.is_right(outer, index):
                    yield index

    def rest(
        self, piece: Bounds, level: int, count: int, *, below: float, wanted: float = -math.inf
    ) -> list[float]:
        """An upper bound of the size of each of so many cuts, one in the other, in a piece.

        The n-th cut lies inside n walls and n - 1 kerfs of the piece, so it would have to be
        right in the piece if that much wall and floor were asked for (`CutTable.insets`).

        Args:
            piece: what is cut out of.
            level: how many cuts from the start the first of them is, from 0.
            count: how many cuts.
            below: cores are smaller than this, mm³.
            wanted: sum of sizes that would be enough; where it cannot be reached the bounds
                are minus infinity.
        """
        self.spend(QUICK * count)
        t, found = self.table, list[float]()
        last = self.insets[min(count, len(self.insets)) - 1]
        if not len(t.inside(piece, self.smallest, last, slack=self.slack())):
            return [-math.inf] * count
        if wanted == -math.inf and below < math.inf:
            return [min(below, self.tops[level + n]) for n in range(count)]
        for n in range(count):
            among = self.levels[level + n]
            sizes = self.sizes[level + n]
            place = int(np.searchsorted(-sizes, -below, side="left"))
            later = sum(min(below, self.tops[level + k]) for k in range(n + 1, count))
            least = wanted - sum(found) - later
            some = among[place : int(np.searchsorted(-sizes, -least, side="right"))]
            first = t.first_inside(piece, some, self.insets[n], slack=self.slack())
            self.spend((len(some) if first is None else first) // MANY)
            if first is None:
                return [-math.inf] * count
            below = float(sizes[place + first])
            found.append(below)
        return found

    def doubt(self) -> float:
        """How much more wall and floor a cut must have to be right without being asked, mm.

        The quick gap is out by less than a tenth of the cutter's height above centre (tested on
        random pairs); worst settings take at most four and a half times the tolerance.
        """
        nest = self.job.nest
        worst = FARTHEST_SHIFT * nest.setting_tolerance if nest.guard == Guard.WORST else 0.0
        return 0.15 * nest.height_above_centre + worst + 1e-3

    def leading(self, piece: Bounds, among: Indices) -> Indices:
        """The cuts without those that another surely right one beats: larger, and more room.

        Args:
            piece: what is cut out of.
            among: cuts that may be right in it.
        """
        t, doubt = self.table, self.doubt()
        strict = dataclasses.replace(piece, wall=piece.wall + doubt, floor=piece.floor + doubt)
        sure = self.legal(strict, among)
        kept = np.ones(len(among), dtype=bool)
        for cutter in np.unique(t.cutter[sure]):
            mine = np.flatnonzero(t.cutter[among] == cutter)
            better = sure[t.cutter[sure] == cutter]
            rooms = t.rooms(better)
            rank = np.argsort(-rooms[:, 0], kind="stable")
            better, rooms = better[rank], rooms[rank]
            axis = rooms[:, 2]
            top = np.maximum.accumulate(axis)
            holder = np.maximum.accumulate(np.where(axis == top, np.arange(len(axis)), 0))
            here = among[mine]
            own = t.rooms(here)
            place = np.searchsorted(-rooms[:, 0], -own[:, 0], side="right") - 1
            rival = holder[np.maximum(place, 0)]
            beaten = (place >= 0) & (t.size[better[rival]] > t.size[here])
            beaten &= (rooms[rival] >= own).all(axis=1)
            kept[mine[beaten]] = False
        found: Indices = among[kept]
        return found

    def roomy(self, among: Indices, left: int) -> NDArray[np.bool_]:
        """Which cores may have rim and depth enough for so many cuts more."""
        t, inset, least = self.table, self.insets[left - 1], self.smallest
        entry = t.entry(least)
        rim = inset.entry[0] * float(entry.min()) + inset.entry[1] - LOOSE
        deep = t.deepest(least) + inset.floor[0] * entry
        low = float(deep.min()) + inset.floor[1] - LOOSE
        held: NDArray[np.bool_] = (t.rim[among] - t.wall(among) >= rim) & (t.low(among) >= low)
        return held

    def told(self, cell: Indices, left: int) -> float:
        """What is known of the sum of sizes of so many cuts more in any core of a cell."""
        known = self.known.get((int(self.table.cutter[cell[0]]), left))
        return math.inf if known is None else known.least(self.table.rooms(cell).max(axis=0))

    def learn(self, index: int, left: int, most: float) -> None:
        """Keeps that so many cuts more in a core have no greater sum of sizes."""
        key = int(self.table.cutter[index]), left
        room = self.table.rooms(np.array([index]))[0]
        self.known.setdefault(key, _Known()).add(room, most)

    # -- the search ----------------------------------------------------------------------

    def run(self, count: int, *, first_largest: bool = False) -> Chain | None:
        """The best chain of exactly so many cuts, or None."""
        self.best, self.value = [], -math.inf
        top = self.largest() if first_largest else self.levels[0]
        self.greedy(top, count)
        rest = self.rest(bounds_of(self.start, self.job), 0, count, below=math.inf)
        self.cells(-1, [], 0.0, top, count, rest=sum(rest[1:]))
        return self.found()

    def found(self) -> Chain | None:
        """The best chain so far."""
        if not self.best:
            return None
        swings, bodies = [], [self.start]
        for n, index in enumerate(self.best):
            recored = n + 1 < len(self.best) or self.last is not None
            swing, body = self.body(index, recored=recored)
            assert body is not None  # `is_right` asked for it
            swings.append(swing)
            bodies.append(body)
        return Chain(swings=tuple(swings), bodies=tuple(bodies))

    def enough(self) -> float:
        """A sum of core sizes that a better chain must pass."""
        if self.value == -math.inf:
            return -math.inf
        return self.value + GAP * (self.value + self.start.size)

    def greedy(self, top: Indices, count: int) -> None:
        """A first chain: the largest core that is right, again and again."""
        path: list[int] = []
        for level in range(count):
            outer = path[-1] if path else -1
            among = self.after(outer, level) if path else top
            found = next(self.right_first(outer, among), None)
            if found is None:
                return
            path.append(found)
        if self.holds_last(path[-1]):
            self.best, self.value = path, float(self.table.size[path].sum())

    def after(self, index: int, level: int, *, least: float = 0.0) -> Indices:
        """The cuts that may come as the one of a level, smaller than a core but not too small."""
        among, sizes = self.levels[level], self.sizes[level]
        first = int(np.searchsorted(-sizes, -self.table.size[index], side="right"))
        last = int(np.searchsorted(-sizes, -least, side="right"))
        found: Indices = among[first:last]
        return found

    def cells(
        self,
        outer: int,
        path: list[int],
        sizes: float,
        among: Indices,
        left: int,
        *,
        rest: float,
    ) -> float:
        """Tries the cuts among some: cells of near settings first bounded together, then split.

        Args:
            outer: the cut before, -1 for the start.
            path: the cuts so far.
            sizes: their sum of sizes.
            among: what to try, largest first.
            left: how many cuts are still to come.
            rest: upper bound of the sizes of the cuts after the next.

        Returns: an upper bound of the sum of sizes of the cuts still to come, but for cuts left
            out beforehand because no better chain can come of them.
        """
        t = self.table
        if left == 1:
            return self.innermost(outer, path, sizes, among)
        least = self.enough() - sizes - rest
        some = int(np.searchsorted(-t.size[among], -least, side="right"))
        reached = -math.inf  # what is left out here, `opening` answers for
        queue: list[tuple[float, int, int, Indices, float]] = []
        number = 0
        piece = bounds_of(self.start, self.job) if outer < 0 else t.bounds(outer)
        among = among[:some]
        if outer < 0:
            among = self.legal(piece, among[self.roomy(among, left - 1)])
        for cell in self.split(self.leading(piece, among), WIDEST):
            number += 1
            most = float(t.size[cell[0]]) + rest
            heapq.heappush(queue, (-most, number, WIDEST, cell, rest))
        while queue:
            negative, _, width, cell, room = heapq.heappop(queue)
            if sizes - negative <= self.enough():
                return max(reached, -negative)
            size = float(t.size[cell[0]])
            room = min(room, self.told(cell, left - 1))
            wanted = self.enough() - sizes - size
            if room == -math.inf:
                continue
            if room <= wanted:
                reached = max(reached, size + room)
                continue
            if len(cell) == 1:
                index = int(cell[0])
                if self.is_right(outer, index):
                    got = self.opening(index, path, sizes + size, left - 1, wanted=wanted)
                    self.learn(index, left - 1, got)
                    reached = max(reached, size + got)
                continue
            level = len(path) + 1
            bound = sum(self.rest(self.envelope(cell), level, left - 1, below=size, wanted=wanted))
            if bound == -math.inf:
                reached = max(reached, size + wanted)
                continue
            room = min(room, bound)
            for part in self.split(cell, width // 2):
                number += 1
                most = float(t.size[part[0]]) + room
                heapq.heappush(queue, (-most, number, width // 2, part, room))
        return reached

    def opening(
        self, index: int, path: list[int], sizes: float, left: int, *, wanted: float
    ) -> float:
        """Goes on inside the core of a cut; an upper bound of the sum of sizes there."""
        piece, level = self.table.bounds(index), len(path) + 1
        size = float(self.table.size[index])
        sure = self.rest(piece, level, left, below=size, wanted=wanted)
        if sure[0] == -math.inf:
            return wanted
        later = sum(sure[1:])
        inner = self.after(index, level, least=wanted - later)
        if left > 1:
            inner = inner[self.roomy(inner, left - 1)]
        inner = self.legal(piece, inner)
        got = self.cells(index, [*path, index], sizes, inner, left, rest=later)
        return max(got, wanted)

    def innermost(self, outer: int, path: list[int], sizes: float, among: Indices) -> float:
        """Tries the last cut: the largest core that is right."""
        size = self.table.size
        wanted = self.enough() - sizes
        some = among[: int(np.searchsorted(-size[among], -wanted, side="left"))]
        for index in self.right_first(outer, some):
            if self.holds_last(index):
                self.best, self.value = [*path, index], sizes + float(size[index])
                return float(size[index])
        return -math.inf

    def split(self, among: Indices, width: int) -> list[Indices]:
        """The cuts in cells of one cutter and `width` marks of entry and of depth."""
        t = self.table
        bits = width.bit_length() - 1  # `width` is a power of two
        cutter, out, down = (c[among].astype(np.int64) for c in (t.cutter, t.out, t.down))
        key = (cutter << 40) + ((out >> bits) << 20) + (down >> bits)
        order = np.argsort(key, kind="stable")
        edges = np.flatnonzero(np.diff(key[order])) + 1
        return np.split(among[order], edges) if len(among) else []

    def envelope(self, cell: Indices) -> Bounds:
        """A piece that holds every core of a cell and asks no more of the next cut than any."""
        t = self.table
        entry, depth = t.grid * int(t.out[cell].max()), t.grid * int(t.down[cell].max())
        cutter = self.shop.cutters[t.cutter[cell[0]]]
        height = self.job.nest.height_above_centre
        swing = setting_from(cutter, entry_radius=entry, depth=depth, height=height)
        curves: tuple[Curve, ...] = ()
        if swing is not None:
            relief = self.job.nest.relief
            curves = core_curves(swing, height=height, relief=relief) or ()
        shoulder = t.shoulder[cell]
        shoulder = shoulder[~np.isnan(shoulder)]
        return Bounds(
            rim=float(t.rim[cell].max()),
            shoulder=float(shoulder.max()) if len(shoulder) else -1.0,
            wall=float(t.wall(cell).min()),
            floor=float(t.floor(cell).min()),
            curves=curves,
        )
