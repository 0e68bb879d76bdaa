"""The chain of cuts with the most even walls: least sum of greatest minus least (design.md §4).

Among chains with the most bowls and fewest tenons under their wished share. Which cut may follow
which is settled as in `search`; the difference of the walls depends on the jaws too, whose tenon
sets where the shoulder lies. Lengths mm.
"""

import dataclasses
import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from templategen.geometry.curves import Curve, Side
from templategen.geometry.greatest_distance import greatest_distance
from templategen.nest.cut_columns import Column
from templategen.nest.cut_table import CutTable, Indices, places_towards
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.plan_figures import turned_outside
from templategen.nest.rules import SAME, edge_of, meets, wall_of
from templategen.nest.search import ALONE, ANY, NOMINAL, START, Aim, Chain, Effort, TooLong, _Search
from templategen.nest.tenon_choice import Held

EVEN_GAP = 0.1  # mm by which a sum of differences may be passed over
SAMPLES, FEW_SAMPLES = 24, 4  # places along an edge at which walls are measured quickly
ROUGH = 0.05  # mm; quick walls are right to this
FIRST_MARKS = 16  # between the cuts that are tried first
BESIDE = 2  # marks from a cut: what is tried beside it
EVEN_WORK = 5_000  # of a search; about half a second
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
) -> tuple[Chain, int]:
    """The chain with the most even walls on the finest marks for which there is time.

    On every so many marks the chain is the most even there is (`most_even_chain`); each time the
    finer marks beside its cuts are tried too, until they give nothing better.

    Args:
        starts: as for `most_even_chain`.
        table: the cuts to choose from.
        base: likewise.
        aim: likewise.

    Returns: the chain, and the number of marks of the last whole search; 0 for none.
    """
    marks, whole = FIRST_MARKS, 0
    while marks:
        had, some = base, table.on_every(marks)
        try:
            base = most_even_chain(starts, some, base, aim=aim, most_work=EVEN_WORK)
        except TooLong as stopped:
            return stopped.chain or base, whole
        whole = marks
        if base is not had or marks == FIRST_MARKS:
            base = _finer(starts, table, base, aim=aim, marks=marks)
        marks //= 2
    return base, whole


def _finer(
    starts: Sequence[Held],
    table: CutTable,
    base: Chain,
    *,
    aim: Aim,
    marks: int,
) -> Chain:
    """A chain with cuts beside those of another, on ever finer marks, as even as these give."""
    tried: set[int] = set()
    while marks > 1:
        marks //= 2
        while True:
            near = table.near(base.settings, BESIDE * marks).on_every(marks)
            cuts = set(near.order.tolist())
            if cuts <= tried:
                break
            tried = cuts
            try:
                better = most_even_chain(starts, near, base, aim=aim, most_work=EVEN_WORK)
            except TooLong as stopped:
                base = stopped.chain or base
                break
            if better is base:
                break
            base = better
    return base


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
            self.descend(search, START, self.next_cuts(search, START, (start,), path, count), path)

    def next_cuts(
        self, search: _Search, outer: int, options: tuple[Held, ...], path: "_Path", left: int
    ) -> "_Next":
        """The cuts that may come next in a core or the start, with `left` to come in all."""
        state = search.at_first()._replace(due=path.due)
        room, level = search.room_in(outer), len(path.settings)
        among = search.levels[level] if outer == START else search.following(outer, level)
        among = search.allowed(among, state, left)
        if left > 1:
            among = among[search.has_room_for(among, left - 1)]
        among = search.candidates(room, among)
        spare = self.least - EVEN_GAP - path.sum
        return _Next(self.ordered(among, room.floor, options, path), spare, left)

    def descend(self, search: _Search, outer: int, cuts: "_Next", path: "_Path") -> float:
        """Tries cuts in a core or the start; the least sum of differences from there on."""
        least = cuts.spare
        for choice in cuts.choices:
            if path.sum + choice.least >= self.least - EVEN_GAP:
                return min(least, choice.least)
            least = min(least, self.follow(search, outer, choice, path, cuts.left))
        return least

    def ordered(
        self, among: Indices, floor: float, options: tuple[Held, ...], path: "_Path"
    ) -> "list[_Choice]":
        """The cuts by the least their bowl's walls may differ, in each of its jaws."""
        t, found = self.table, list[_Choice]()
        deepest = t.deepest[among]
        for held in options:
            if not path.settings and held is not path.held[0]:
                continue
            some = among[deepest <= held.shape.shoulder - floor + ROUGH]
            self.effort.spend(len(some) // PER_CUT)
            least = np.zeros(len(some))
            if held.around is None:
                limit = self.least - EVEN_GAP - path.sum
                some, least = less_uneven(t, held.shape, some, limit)
            found += [
                _Choice(*one, held) for one in zip(least.tolist(), some.tolist(), strict=True)
            ]
        return sorted(found, key=lambda one: one[:2])

    def follow(
        self, search: _Search, outer: int, choice: "_Choice", path: "_Path", left: int
    ) -> float:
        """Takes a cut in a bowl in certain jaws; the least sum of differences from there on."""
        least, index, held = choice
        unders = path.unders - (held.under if outer != START else 0)
        if unders < 0:
            return math.inf
        due = self.aim.met(path.due, float(self.table.rim[index]))
        key = index, left - 1, unders, due
        known = self.rest.get(key, 0.0)
        if path.sum + least + known >= self.least - EVEN_GAP:
            return least + known
        job, setting = self.table.job, self.table.setting(index)
        inner = _Path(
            (*path.settings, setting), (*path.held[:-1], held), path.sum + least, unders, due
        )
        cuts = None
        if left > 1:  # bounds before the exact figures, which take longer
            options = search.core(index, recored=True)[1]
            cuts = self.next_cuts(search, index, options, inner, left - 1)
            known = self.rest[key] = max(known, cuts.bound)
            if inner.sum + known >= self.least - EVEN_GAP:
                return least + known
        self.effort.spend(NOMINAL)
        own = path.settings[-1] if path.settings else None
        shape = held.shape_around(setting)
        step = unevenness(shape, setting, job.nest.height_above_centre)
        inner = inner._replace(sum=path.sum + step)
        if inner.sum + known >= self.least - EVEN_GAP:
            return step + known
        if not meets(shape, own, setting, job):
            return math.inf
        if cuts is None:
            self.rest[key] = self.finish(search, index, inner)
        else:
            inner = inner._replace(held=(*inner.held, held))
            self.rest[key] = max(known, self.descend(search, index, cuts, inner))
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


class _Choice(NamedTuple):
    """A cut in a bowl in certain jaws; `least`: so much its walls differ at least, mm."""

    least: float
    cut: int
    held: Held


class _Next(NamedTuple):
    """The cuts that may come next, the least uneven first.

    Args:
        choices: those whose bowl alone does not pass the best sum of differences.
        spare: mm of that sum that are left over; the walls of others differ by more.
        left: number of cuts to come in all.
    """

    choices: list[_Choice]
    spare: float
    left: int

    @property
    def bound(self) -> float:
        """So much the walls of the next bowl differ at least, mm."""
        return min(self.spare, self.choices[0].least) if self.choices else self.spare


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


def less_uneven(
    table: CutTable, shape: BowlShape, among: Indices, limit: float
) -> tuple[Indices, Column]:
    """The cuts that leave walls in a bowl that may differ by less than a limit, mm.

    Returns: the cuts, and by how much the walls differ at the least.
    """
    least = np.empty(0)
    for samples in (FEW_SAMPLES, SAMPLES):
        least = quick_unevenness(table, shape, among, samples)
        near = least < limit
        among, least = among[near], least[near]
    return among, least


def quick_unevenness(
    table: CutTable, shape: BowlShape, among: Indices, samples: int = SAMPLES
) -> Column:
    """At least so much differ the walls that cuts leave in a bowl, mm.

    Walls are measured at some places of each edge: the greatest of them is no more than the
    greatest wall, the least no less than the least, but for `ROUGH`.
    """
    height = table.job.nest.height_above_centre
    radius = table.radius(among)[:, None]
    p, q = table.pivot_offset[among][:, None], table.pivot_standoff[among][:, None]
    start, end = np.arcsin(q / radius), np.arccos(-p / radius)
    angles = start + (end - start) * np.linspace(0.0, 1.0, samples)
    x = np.maximum(p + radius * np.cos(angles), 0.0)
    z = radius * np.sin(angles) - q
    r = np.sqrt(x * x + height * height)
    whole = turned = np.full(x.shape, np.inf)
    last = shape.curves[-1].at(shape.curves[-1].end)[0]
    for curve in shape.curves:
        gaps = _distance(curve, x, r, z)
        whole = np.minimum(whole, gaps)
        above = _above(curve, shape.shoulder)
        if above is not None:
            part = gaps if above is curve else _distance(above, x, r, z)
            turned = np.minimum(turned, part)
            last = above.at(above.end)[0]
    beyond, down = np.maximum(r - last, 0.0), shape.shoulder - z
    turned = np.minimum(turned, np.sqrt(beyond * beyond + down * down))
    found: Column = turned.max(axis=1) - whole.min(axis=1) - ROUGH
    return found


def _above(curve: Curve, depth: float) -> Curve | None:
    """The part of a curve from its start to a depth, mm; None where it starts below."""
    if isinstance(curve, Side):
        if curve.z0 >= depth:
            return None
        if curve.z1 <= depth:
            return curve
        share = (depth - curve.z0) / (curve.z1 - curve.z0)
        return dataclasses.replace(curve, r1=curve.at(share)[0], z1=depth)
    sine = (depth - curve.z) / curve.radius
    if sine >= 1 or curve.at(curve.end)[1] <= depth:
        return curve
    last = math.asin(max(-1.0, sine))
    return dataclasses.replace(curve, end=last) if last > curve.start else None


def _distance(curve: Curve, x: Column, r: Column, z: Column) -> Column:
    """Distances of places of edges from a curve, mm; from a span about the least."""
    if isinstance(curve, Side):
        run, fall = curve.r1 - curve.r0, curve.z1 - curve.z0
        along = ((r - curve.r0) * run + (z - curve.z0) * fall) / max(run * run + fall * fall, SAME)
        along = np.clip(along, 0.0, 1.0)
        across, down = r - curve.r0 - along * run, z - curve.z0 - along * fall
    else:
        x1, z1 = places_towards(curve, (x if curve.height else r) - curve.x, z - curve.z)
        across, down = r - np.sqrt(x1 * x1 + curve.height**2), z - z1
    gaps: Column = np.sqrt(across * across + down * down)
    return gaps
