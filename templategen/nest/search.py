"""The best chain of cuts on the grid, exactly: branch and bound over the table (design.md §4)."""

import heapq
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from templategen.inputs.records import Job, Shop
from templategen.nest.rules import Body, Swing, core_body, core_curves, meets, swing_from
from templategen.nest.table import Bounds, Column, Indices, Inset, Table, bounds_of

if TYPE_CHECKING:
    from templategen.geometry.curves import Curve

GAP = 0.005  # share of the sum of sizes by which a better chain may be passed over (design.md §4)
WIDEST = 16  # marks of entry and of depth in the first cells
TRIES = 8  # cuts asked for at each step of the first chain
MOST_CUTS = 12  # in one blank


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Cuts from the rim inward with the bodies they free; the first body is the start."""

    swings: tuple[Swing, ...] = ()
    bodies: tuple[Body, ...]

    @property
    def sizes(self) -> float:
        """Sum of the sizes, mm³."""
        return sum(body.size for body in self.bodies)


def best_chain(
    start: Body,
    table: Table,
    *,
    own: Swing | None = None,
    last: Swing | None = None,
    first_largest: bool = False,
) -> Chain:
    """The chain of cuts with the most pieces, then the greatest sum of sizes.

    Args:
        start: the piece to core.
        table: the cuts to choose from.
        own: the cut that freed `start`, None for the turned blank.
        last: a fixed cut that must still be right in the innermost body of the chain.
        first_largest: the objective `largest`: piece 1 as large as can be comes first.

    Returns: the chain; only `start` when no cut keeps the rules. No chain of the table has more
        pieces, and none of as many has a sum of sizes more than `GAP` greater.
    """
    search = _Search(start=start, table=table, own=own, last=last)
    for count in range(len(search.levels), 0, -1):
        found = search.run(count, first_largest=first_largest)
        if found is not None:
            return found
    return Chain(bodies=(start,))


@dataclass(slots=True, kw_only=True)
class _Search:
    """One search; holds what has been found out about the cuts of the table."""

    start: Body
    table: Table
    own: Swing | None
    last: Swing | None
    best: list[int] = field(default_factory=list)
    value: float = -math.inf
    exact: dict[tuple[int, int], bool] = field(default_factory=dict)
    bodies: dict[tuple[int, bool], tuple[Swing, Body | None]] = field(default_factory=dict)
    opened: int = 0
    insets: list[Inset] = field(default_factory=list)
    levels: list[Indices] = field(default_factory=list)
    sizes: list[Column] = field(default_factory=list)
    tops: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Finds the steps between pieces and which cuts may be how far from the start."""
        t = self.table
        among, start = t.order, bounds_of(self.start, self.job)
        for inset in t.insets():
            self.insets.append(inset)
            among = self.legal(start, among, between=len(self.levels))
            if not len(among) or len(self.levels) == MOST_CUTS:
                break
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
        return self.job.nest.setting_tolerance if self.job.nest.guard == "worst" else 0.0

    def legal(self, piece: Bounds, among: Indices, *, between: int = 0) -> Indices:
        """The cuts that may be right in a piece, so many other cuts between."""
        return self.table.inside(piece, among, self.insets[between], slack=self.slack())

    def body(self, index: int, *, recored: bool) -> tuple[Swing, Body | None]:
        recored = recored and self.job.nest.order == "outer-first"
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
            swing, core = self.body(inner, recored=False)
            own, body = self.own, self.start
            if outer >= 0:
                own, freed = self.body(outer, recored=True)
                body = freed if freed is not None else body
            have = core is not None and meets(body, own, swing, self.job)
            self.exact[outer, inner] = have
        return have

    def holds_last(self, index: int) -> bool:
        """Whether the fixed cut that follows is right in the body of a cut."""
        if self.last is None:
            return True
        swing, body = self.body(index, recored=True)
        return body is not None and meets(body, swing, self.last, self.job)

    # -- bounds --------------------------------------------------------------------------

    def largest_of(self, top: Indices) -> Indices:
        """Of the first cuts, those with the greatest core that is right."""
        for index in top:
            if self.is_right(-1, int(index)):
                least = self.table.size[index] * (1 - 1e-9)
                kept: Indices = top[self.table.size[top] >= least]
                return kept
        return top[:0]

    def rest(
        self, piece: Bounds, level: int, count: int, *, below: float, wanted: float = -math.inf
    ) -> list[float]:
        """An upper bound of the size of each of so many cuts, one in the other, in a piece.

        The n-th cut lies inside n walls and n - 1 kerfs of the piece, so it would have to be
        right in the piece if that much wall and floor were asked for (`Table.insets`).

        Args:
            piece: what is cut out of.
            level: how many cuts from the start the first of them is, from 0.
            count: how many cuts.
            below: cores are smaller than this, mm³.
            wanted: sum of sizes that would be enough; where it cannot be reached the bounds
                are minus infinity.
        """
        t, found = self.table, list[float]()
        for n in range(count):
            among = self.levels[level + n]
            sizes = self.sizes[level + n]
            place = int(np.searchsorted(-sizes, -below, side="left"))
            later = sum(min(below, self.tops[level + k]) for k in range(n + 1, count))
            least = wanted - sum(found) - later
            first = t.first_inside(
                piece, among[place:], self.insets[n], slack=self.slack(), least=least
            )
            if first is None:
                return [-math.inf] * count
            below = float(sizes[place + first])
            found.append(below)
            if sum(found) + later <= wanted:
                return [-math.inf] * count
        return found

    # -- the search ----------------------------------------------------------------------

    def run(self, count: int, *, first_largest: bool = False) -> Chain | None:
        """The best chain of exactly so many cuts, or None."""
        self.best, self.value = [], -math.inf
        top = self.largest_of(self.levels[0]) if first_largest else self.levels[0]
        self.greedy(top, count)
        rest = self.rest(bounds_of(self.start, self.job), 0, count, below=math.inf)
        self.cells(-1, [], 0.0, top, count, rest=sum(rest[1:]))
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
        among = top
        for left in range(count, 0, -1):
            for index in map(int, among[:TRIES]):
                if self.is_right(path[-1] if path else -1, index):
                    break
            else:
                return
            path.append(index)
            if left > 1:
                among = self.legal(self.table.bounds(index), self.after(index, len(path)))
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
    ) -> None:
        """Tries the cuts among some: cells of near settings first bounded together, then split.

        Args:
            outer: the cut before, -1 for the start.
            path: the cuts so far.
            sizes: their sum of sizes.
            among: what to try, largest first.
            left: how many cuts are still to come.
            rest: upper bound of the sizes of the cuts after the next.
        """
        t = self.table
        level = len(path)
        least = self.enough() - sizes - rest
        among = among[: int(np.searchsorted(-t.size[among], -least, side="right"))]
        if left == 1:
            for index in map(int, among):
                size = float(t.size[index])
                if sizes + size <= self.enough():
                    return
                if self.is_right(outer, index) and self.holds_last(index):
                    self.best, self.value = [*path, index], sizes + size
                    return
            return
        queue: list[tuple[float, int, int, Indices, float]] = []
        number = 0
        for cell in self.split(among, WIDEST):
            number += 1
            most = float(t.size[cell[0]]) + rest
            heapq.heappush(queue, (-most, number, WIDEST, cell, rest))
        while queue:
            negative, _, width, cell, room = heapq.heappop(queue)
            if sizes - negative <= self.enough():
                return
            size = float(t.size[cell[0]])
            self.opened += 1
            if len(cell) == 1:
                index = int(cell[0])
                if not self.is_right(outer, index):
                    continue
                piece = t.bounds(index)
                after = sizes + size
                wanted = self.enough() - after
                sure = self.rest(piece, level + 1, left - 1, below=size, wanted=wanted)
                if after + sum(sure) <= self.enough() or sure[0] == -math.inf:
                    continue
                least = self.enough() - after - sum(sure[1:])
                inner = self.legal(piece, self.after(index, level + 1, least=least))
                self.cells(index, [*path, index], after, inner, left - 1, rest=sum(sure[1:]))
                continue
            wanted = self.enough() - sizes - size
            bound = self.rest(self.envelope(cell), level + 1, left - 1, below=size, wanted=wanted)
            room = min(room, sum(bound))
            if room == -math.inf or sizes + size + room <= self.enough():
                continue
            for part in self.split(cell, width // 2):
                most = float(t.size[part[0]]) + room
                if sizes + most > self.enough():
                    number += 1
                    heapq.heappush(queue, (-most, number, width // 2, part, room))

    def split(self, among: Indices, width: int) -> list[Indices]:
        """The cuts in cells of one cutter and `width` marks of entry and of depth."""
        t = self.table
        key = (t.cutter[among] << 40) + ((t.out[among] // width) << 20) + t.down[among] // width
        order = np.argsort(key, kind="stable")
        edges = np.flatnonzero(np.diff(key[order])) + 1
        return np.split(among[order], edges) if len(among) else []

    def envelope(self, cell: Indices) -> Bounds:
        """A piece that holds every core of a cell and asks no more of the next cut than any."""
        t = self.table
        entry, depth = float(t.entry[cell].max()), float(t.depth[cell].max())
        cutter = self.shop.cutters[t.cutter[cell[0]]]
        height = self.job.nest.height_above_centre
        swing = swing_from(cutter, entry_radius=entry, depth=depth, height=height)
        curves: tuple[Curve, ...] = ()
        if swing is not None:
            relief = self.job.nest.relief
            curves = core_curves(swing, height=height, relief=relief) or ()
        shoulder = t.shoulder[cell]
        shoulder = shoulder[~np.isnan(shoulder)]
        return Bounds(
            rim=float(t.rim[cell].max()),
            shoulder=float(shoulder.max()) if len(shoulder) else -1.0,
            wall=float(t.wall[cell].min()),
            floor=float(t.floor[cell].min()),
            curves=curves,
        )
