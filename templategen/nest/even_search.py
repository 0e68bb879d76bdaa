"""The chain of cuts with the most even walls: least sum of greatest minus least (design.md §4).

Among chains with the most bowls and fewest tenons under their wished share. Which cut may follow
which is settled as in `search`; the difference of the walls depends on the jaws too, whose tenon
sets where the shoulder lies. Lengths mm.
"""

import dataclasses
import functools
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from templategen.geometry.curves import Curve, Side, points_along
from templategen.geometry.greatest_distance import greatest_distance
from templategen.nest.cut_columns import Column
from templategen.nest.cut_table import CutTable, Indices
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.plan_figures import turned_outside
from templategen.nest.rules import edge_of, meets, wall_of
from templategen.nest.search import ALONE, ANY, NOMINAL, START, Aim, Chain, Effort, TooLong, _Search
from templategen.nest.tenon_choice import Held

EVEN_GAP = 0.1  # mm by which a sum of differences may be passed over
SAMPLES = 24  # places along an edge at which walls are measured quickly
ROUGH = 0.05  # mm; quick walls are right to this
FIRST_MARKS = 16  # between the cuts that are tried first
BESIDE = 2  # marks from a cut: what is tried beside it
EVEN_WORK = 4_000  # of a search; a third of a second
PER_CUT = 128  # walls measured quickly for the work of one quick check


@functools.lru_cache(maxsize=4096)
def unevenness(shape: BowlShape, inner: CutSetting, height: float) -> float:
    """Greatest minus least wall of a bowl around a cut, mm."""
    edge = edge_of(inner, height=height)
    greatest = greatest_distance(edge, turned_outside(shape))[0]
    return greatest - wall_of(shape, inner, height=height)[0]


def unevenness_of(chain: Chain, height: float) -> float:
    """Sum of greatest minus least walls of the bowls of a chain, mm."""
    pairs = zip(chain.shapes, chain.settings, strict=False)
    return sum(unevenness(shape, inner, height) for shape, inner in pairs)


def most_even_chain(
    starts: Sequence[Held],
    table: CutTable,
    base: Chain,
    *,
    aim: Aim = ANY,
    most_work: int | None = None,
) -> Chain:
    """The chain with the most even walls of those with as many cuts and tenons under as another.

    Args:
        starts: the blank in each of the jaws that may hold it, those that hold it best first.
        table: the cuts to choose from.
        base: a chain with the most cuts and the fewest tenons under their wished share.
        aim: the wanted rims.
        most_work: limit of work, in quick checks.

    Returns: a chain; no other of the table, with as many cuts and no more tenons under, has a sum
        of differences less by more than `EVEN_GAP`.

    Raises:
        TooLong: it took more than `most_work`; its `chain` is the best so far.
    """
    height = table.job.nest.height_above_centre
    hunt = _Hunt(
        table=table,
        aim=aim,
        effort=Effort(most_work),
        unders=base.unders,
        best=base,
        least=unevenness_of(base, height) if base.settings else 0.0,
    )
    try:
        for start in starts:
            if base.settings and start.under <= base.unders:
                hunt.from_start(start, len(base.settings))
    except TooLong as stopped:
        raise TooLong(hunt.best) from stopped
    return hunt.best


def even_in_time(
    starts: Sequence[Held],
    table: CutTable,
    base: Chain,
    *,
    aim: Aim = ANY,
    first: int = FIRST_MARKS,
    last: int = 1,
    most_work: int = EVEN_WORK,
) -> tuple[Chain, int]:
    """The chain with the most even walls on the finest marks for which there is time.

    On every so many marks the chain is the most even there is (`most_even_chain`); each time the
    finer marks beside its cuts are tried too, until they give nothing better.

    Args:
        starts: as for `most_even_chain`.
        table: the cuts to choose from.
        base: likewise.
        aim: likewise.
        first: marks of the first search.
        last: marks of the last one, where there is time.
        most_work: limit of the work of each search.

    Returns: the chain, and the number of marks of the last whole search; 0 for none.
    """
    marks, whole = first, 0
    while marks >= last:
        try:
            base = most_even_chain(
                starts, table.on_every(marks), base, aim=aim, most_work=most_work
            )
            whole = marks
        except TooLong as stopped:
            return stopped.chain or base, whole
        while marks > 1:
            near = table.near(base.settings, BESIDE)
            try:
                better = most_even_chain(starts, near, base, aim=aim, most_work=most_work)
            except TooLong as stopped:
                base = stopped.chain or base
                break
            if better is base:
                break
            base = better
        marks //= 2
    return base, whole


@dataclass(slots=True, kw_only=True)
class _Hunt:
    """The search for the most even chain and the best it has found.

    Args:
        table: the cuts to choose from.
        aim: the wanted rims.
        effort: the work.
        unders: most tenons under their wish.
        best: so far.
        least: its sum of differences.
        rest: for a cut, number of cuts to come, tenons that may be under, wanted rims met: a
            sum of differences that the cuts to come cannot be less than.
    """

    table: CutTable
    aim: Aim
    effort: Effort
    unders: int
    best: Chain
    least: float
    rest: dict[tuple[int, int, int, int], float] = field(default_factory=dict)

    def from_start(self, start: Held, count: int) -> None:
        """Tries all chains of a number of cuts from a start."""
        search = _Search(
            start=start,
            table=self.table,
            segment=ALONE,
            aim=self.aim,
            effort=self.effort,
            budget=None,
        )
        if count <= len(search.levels):
            self.rest.clear()
            due = search.at_first().due
            path = _Path((), (start,), 0.0, self.unders - start.under, due)
            self.descend(search, START, (start,), path, count)

    def descend(
        self, search: _Search, outer: int, options: tuple[Held, ...], path: "_Path", left: int
    ) -> float:
        """Tries the cuts in a core or the start; the least sum of differences from there on."""
        state = search.at_first()._replace(due=path.due)
        room, level = search.room_in(outer), len(path.settings)
        among = search.levels[level] if outer == START else search.following(outer, level)
        among = search.allowed(among, state, left)
        if left > 1:
            among = among[search.has_room_for(among, left - 1)]
        among = search.candidates(room, among)
        least = self.least - EVEN_GAP - path.sum  # others are left out below
        for estimate, index, held in self.ordered(among, room.floor, options, path):
            if path.sum + estimate >= self.least - EVEN_GAP:
                return min(least, estimate)
            got = self.follow(search, outer, index, held, path, left)
            least = min(least, got)
        return least

    def ordered(
        self, among: Indices, floor: float, options: tuple[Held, ...], path: "_Path"
    ) -> list[tuple[float, int, Held]]:
        """The cuts by the least their bowl's walls may differ, in each of its jaws."""
        t, found = self.table, list[tuple[float, int, Held]]()
        deepest = t.deepest[among]
        for held in options:
            if not path.settings and held is not path.held[0]:
                continue
            some = among[deepest <= held.shape.shoulder - floor + ROUGH]
            self.effort.spend(len(some) // PER_CUT)
            least = np.zeros(len(some))
            if held.around is None:
                least = quick_unevenness(t, held.shape, some)
            near = np.flatnonzero(path.sum + least < self.least - EVEN_GAP)
            found += [(float(least[n]), int(some[n]), held) for n in near]
        return sorted(found, key=lambda one: one[:2])

    def follow(
        self, search: _Search, outer: int, index: int, held: Held, path: "_Path", left: int
    ) -> float:
        """Takes a cut in a bowl in certain jaws; the least sum of differences from there on."""
        job, setting = self.table.job, self.table.setting(index)
        unders = path.unders - (held.under if outer != START else 0)
        if unders < 0:
            return math.inf
        due = self.aim.met(path.due, float(self.table.rim[index]))
        key = index, left - 1, unders, due
        known = self.rest.get(key, 0.0)
        self.effort.spend(NOMINAL)
        own = path.settings[-1] if path.settings else None
        shape = held.shape_around(setting)
        if not meets(shape, own, setting, job):
            return math.inf
        step = unevenness(shape, setting, job.nest.height_above_centre)
        total = path.sum + step
        if total + known >= self.least - EVEN_GAP:
            return step + known
        inner = _Path((*path.settings, setting), (*path.held[:-1], held), total, unders, due)
        if left == 1:
            self.rest[key] = self.finish(search, index, inner)
        else:
            options = search.core(index, recored=True)[1]
            inner = inner._replace(held=(*inner.held, held))
            self.rest[key] = self.descend(search, index, options, inner, left - 1)
        return step + self.rest[key]

    def finish(self, search: _Search, index: int, path: "_Path") -> float:
        """Keeps a chain with its last core, in the best jaws that it may have."""
        for leaf in search.core(index, recored=False)[1]:
            if leaf.under <= path.unders and path.due == len(self.aim.wanted):
                held = (*path.held, leaf)
                self.least = path.sum
                self.best = Chain(
                    settings=path.settings,
                    shapes=(
                        held[0].shape_around(path.settings[0]),
                        *(one.shape for one in held[1:]),
                    ),
                    unders=sum(one.under for one in held),
                )
                return 0.0
        return math.inf


@dataclass(frozen=True, slots=True)
class _Path:
    """The chain so far: cuts, bowls in their jaws, sum of differences, what is left over."""

    settings: tuple[CutSetting, ...]
    held: tuple[Held, ...]
    sum: float
    unders: int
    due: int

    def _replace(self, **changes: object) -> "_Path":
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]


def quick_unevenness(table: CutTable, shape: BowlShape, among: Indices) -> Column:
    """At least so much differ the walls that cuts leave in a bowl, mm.

    Walls are measured at some places of each edge: the greatest of them is no more than the
    greatest wall, the least no less than the least, but for `ROUGH`.
    """
    height = table.job.nest.height_above_centre
    radius = table.radius(among)[:, None]
    p, q = table.pivot_offset[among][:, None], table.pivot_standoff[among][:, None]
    start, end = np.arcsin(q / radius), np.arccos(-p / radius)
    angles = start + (end - start) * np.linspace(0.0, 1.0, SAMPLES)
    x = np.maximum(p + radius * np.cos(angles), 0.0)
    z = radius * np.sin(angles) - q
    r = np.sqrt(x * x + height * height)
    whole = turned = np.full(x.shape, np.inf)
    for curve in shape.curves:
        gap, ends = _distance(curve, x, r, z, shape.shoulder)
        whole = np.minimum(whole, gap)
        turned = np.minimum(turned, ends)
    last = _radius_at(shape.curves, shape.shoulder)
    beyond = np.maximum(r - last, 0.0)
    turned = np.minimum(turned, np.sqrt(beyond**2 + (shape.shoulder - z) ** 2))
    found: Column = turned.max(axis=1) - whole.min(axis=1) - ROUGH
    return found


def _radius_at(curves: tuple[Curve, ...], depth: float) -> float:
    """The radius of an outside where it has a depth, mm."""
    points = points_along(curves, max_gap=0.01)
    for (r0, z0), (r1, z1) in itertools.pairwise(points):
        if z1 >= depth > z0:
            return r0 + (r1 - r0) * (depth - z0) / (z1 - z0)
    return points[-1][0]


def _distance(
    curve: Curve, x: Column, r: Column, z: Column, shoulder: float
) -> tuple[Column, Column]:
    """Distances of places of edges from a curve, and from its part above a depth, mm."""
    if isinstance(curve, Side):
        gaps = _to_side(curve, r, z)
        if curve.z0 >= shoulder:
            return gaps, np.full(r.shape, np.inf)
        return gaps, gaps
    whole = _to_span(curve, x, r, z, curve.end)
    sine = (shoulder - curve.z) / curve.radius
    if curve.at(curve.end)[1] <= shoulder or sine >= 1:
        return whole, whole
    last = math.asin(max(-1.0, sine))
    if last <= curve.start:
        return whole, np.full(r.shape, np.inf)
    return whole, _to_span(curve, x, r, z, last)


def _to_side(side: Side, r: Column, z: Column) -> Column:
    run, fall = side.r1 - side.r0, side.z1 - side.z0
    along = ((r - side.r0) * run + (z - side.z0) * fall) / (run * run + fall * fall)
    along = np.clip(along, 0.0, 1.0)
    gaps: Column = np.hypot(r - side.r0 - along * run, z - side.z0 - along * fall)
    return gaps


def _to_span(curve: "Curve", x: Column, r: Column, z: Column, last: float) -> Column:
    assert not isinstance(curve, Side)  # the caller has looked
    across = x if curve.height else r
    angle = np.clip(np.arctan2(z - curve.z, across - curve.x), curve.start, last)
    x1 = np.maximum(curve.x + curve.radius * np.cos(angle), 0.0)
    r1 = np.sqrt(x1 * x1 + curve.height**2)
    gaps: Column = np.hypot(r - r1, z - curve.z - curve.radius * np.sin(angle))
    return gaps
