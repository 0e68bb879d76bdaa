"""The table of every cut on the grid, from which the search chooses.

Rules 3 to 6 of design.md §4 hold for every cut of the table. Rules 1, 2 and 7, between a bowl and
the cut in it, are checked quickly in `CutTable.candidates`, which never drops a valid cut;
`rules.meets` decides.
Lengths mm, angles radians, volumes mm³.
"""

import dataclasses
import functools
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Curve, Side, Span
from templategen.nest.cut_columns import (
    Column,
    Columns,
    Flags,
    Marks,
    Reach,
    cuts_of,
    shortest_tenon,
)
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.rules import SAME, inner_edge, required, setting_from, wall_line
from templategen.trade.choices import Guard
from templategen.trade.records import Job, Shop

Indices = NDArray[np.intp]

LIKELY_FEW = 1_500_000  # marks by depths by cutters: under it a table is never too large
MOST_LISTED = 200_000  # cuts in a table
USUAL_BOWLS = 8  # in one blank; where more may fit, fewer cuts are listed
CHUNK = 256  # cuts examined together when only the first is wanted
CLOSE = 0.98  # least true width of a parted kerf over the kerf, the cutter near centre height
FEW = 100_000  # marks by depths by cutters: under it all cutters are listed together, faster
FARTHEST = 2**31 - 1  # greatest number of a mark
SLACK = 1e-5  # mm; so that rounding never drops a valid cut; far less than `meets` then decides


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What a bowl leaves for the cut in it, mm.

    Args:
        rim: radius of its rim.
        shoulder: depth of its tenon's shoulder.
        wall: required.
        floor: required.
        curves: its outside.
    """

    rim: float
    shoulder: float
    wall: float
    floor: float
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NestingAllowance:
    """The least that bowls between a room and a cut take up, mm.

    Each figure is linear in the cut's entry radius: (slope, intercept).

    Args:
        entry: entry radius of the outermost cut between; the cut's own where none is between.
        wall: walls and kerfs between.
        floor: floors, kerfs and tenons between.
    """

    entry: tuple[float, float] = (1.0, 0.0)
    wall: tuple[float, float] = (0.0, 0.0)
    floor: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class CutTable:
    """The cuts, one entry a cut in every column, two where the jaws make a difference.

    Of all jaws that may hold a core only those matter with which its tenon's shoulder lies
    deepest, so that most room is left in it. A table made by `make_cut_table` has these, wherever
    the share of the rim; `with_wished_tenons` has the deepest shoulders of tenons that are not
    under the wished share; `with_both_tenons` has an entry for each.

    Args:
        job: wishes the table was made for.
        shop: cutters, jaws and limits it was made for.
        grid: between marks.
        rim_step: the least difference between an entry radius and the core's rim radius.
        floor_step: the least difference between a cut's depth and its core's shoulder.
        kerf: the least of its cutters.
        order: the cuts to choose from, largest core first.
        cutter: index into `shop.cutters`.
        entry_mark: entry radius in steps of the grid.
        depth_mark: depth at the axis in steps of the grid.
        pivot_offset: p.
        pivot_standoff: q.
        rim: rim radius of the core.
        shoulder: shoulder of the core's tenon when it is cored again; NaN where it cannot be.
        under: whether that tenon is under its wished share.
        wished_shoulder: the deepest shoulder of a tenon that is not; NaN where there is none.
        leaf_under: whether every tenon of a core that is not cored again is under its wish.
        size: of the core.
        deepest: deepest point of the cut.
    """

    job: Job
    shop: Shop
    grid: float
    rim_step: float
    floor_step: float
    kerf: float
    order: Indices
    cutter: Marks
    entry_mark: Marks
    depth_mark: Marks
    pivot_offset: Column
    pivot_standoff: Column
    rim: Column
    shoulder: Column
    under: Flags
    wished_shoulder: Column
    leaf_under: Flags
    size: Column
    deepest: Column

    @functools.cached_property
    def with_wished_tenons(self) -> "CutTable":
        """The cuts with the deepest shoulders of tenons not under their wished share."""
        shoulder = self.wished_shoulder
        order = self.order[~(np.isnan(shoulder) & self.leaf_under)[self.order]]
        step = self.deepest[order] - shoulder[order]
        return dataclasses.replace(
            self,
            order=order,
            shoulder=shoulder,
            under=np.zeros_like(self.under),
            floor_step=float(np.fmin.reduce(step, initial=math.inf)),
        )

    @functools.cached_property
    def with_both_tenons(self) -> "CutTable":
        """Each cut with its deepest shoulder and, where it differs, with the wished one too."""
        twice = self.under & ~np.isnan(self.wished_shoulder)
        rows = np.repeat(np.arange(len(twice)), 1 + twice)
        first = np.cumsum(1 + twice) - 1 - twice
        shoulder, under = self.shoulder[rows], self.under[rows]
        wished = first[twice]
        shoulder[wished], under[wished] = self.wished_shoulder[twice], False
        again = 1 + twice[self.order]
        start = np.repeat(first[self.order], again)
        offset = np.arange(len(start)) - np.repeat(np.cumsum(again) - again, again)
        columns = {name: getattr(self, name)[rows] for name in Columns._fields}
        columns["shoulder"] = shoulder
        return dataclasses.replace(self, **columns, under=under, order=start + offset)

    def __len__(self) -> int:
        """Number of cuts to choose from."""
        return len(self.order)

    # Other figures are computed for the cuts in question: a whole column costs more time.

    def entry(self, among: Indices) -> Column:
        """Entry radii of cuts, mm."""
        return np.multiply(self.entry_mark[among], self.grid, dtype=np.float64)

    def depth(self, among: Indices) -> Column:
        """Depths of cuts at the axis, mm."""
        return np.multiply(self.depth_mark[among], self.grid, dtype=np.float64)

    def radius(self, among: Indices) -> Column:
        """Radii of the cutters of cuts, mm."""
        found: Column = self._radii[self.cutter[among]]
        return found

    @functools.cached_property
    def _radii(self) -> Column:
        return np.array([c.radius for c in self.shop.cutters], dtype=np.float64)

    def wall(self, among: Indices) -> Column:
        """Walls required of the cores of cuts when they are cored again, mm."""
        line = wall_line(self.job)
        return line.base + line.slope * self.rim[among]

    def floor(self, among: Indices) -> Column:
        """Floors required, as `wall`."""
        fixed = self.job.nest.floor
        return self.wall(among) if fixed is None else np.full(len(among), fixed)

    def setting(self, index: int) -> CutSetting:
        """The setting of the cut at an index."""
        found = setting_from(
            self.shop.cutters[self.cutter[index]],
            entry_radius=self.grid * int(self.entry_mark[index]),
            depth=self.grid * int(self.depth_mark[index]),
            height=self.job.nest.height_above_centre,
        )
        assert found is not None  # only such cuts are in the table
        return found

    def room(self, index: int) -> Room:
        """The core of the cut at an index as room for the next cut."""
        curves: tuple[Curve, ...] | None = inner_edge(
            self.shop.cutters[self.cutter[index]].inner_radius,
            pivot=(float(self.pivot_offset[index]), float(self.pivot_standoff[index])),
            height=self.job.nest.height_above_centre,
            relief=self.job.nest.relief,
        )
        rim = float(self.rim[index])
        wall, floor = required(self.job, rim_radius=rim)
        shoulder = float(self.shoulder[index])
        return Room(rim=rim, shoulder=shoulder, wall=wall, floor=floor, curves=curves or ())

    def candidates(
        self, room: Room, among: Indices, allowance: NestingAllowance, *, slack: float = 0.0
    ) -> Indices:
        """The cuts that may keep wall and floor in a room; no valid one is left out.

        Args:
            room: of the bowl that is cut.
            among: the cuts to examine.
            allowance: what the bowls between take up.
            slack: mm that worst settings may take from every floor (rule 7).
        """
        found = self.within_rim(room, among, allowance, slack=slack)
        more, wall = allowance.wall[0], allowance.wall[1] + room.wall - SLACK
        square = self.job.nest.height_above_centre**2

        def wanted(some: Indices) -> Column | float:
            return more * self.entry(some) + wall if more else wall

        for curve in room.curves:
            if not len(found):
                break
            found = found[self._gap(curve, found) >= wanted(found)]
            if isinstance(curve, Span):
                x = np.sqrt(self.entry(found) ** 2 - square)
                gap = self._end_gap(curve, x, np.zeros(len(found)))
                found = found[gap >= wanted(found)]
                gap = self._end_gap(curve, np.zeros(len(found)), self.depth(found))
                found = found[gap >= wanted(found)]
        return found

    def within_rim(
        self, room: Room, among: Indices, allowance: NestingAllowance, *, slack: float = 0.0
    ) -> Indices:
        """As `candidates`, by the figures of rim and floor alone."""
        (times, plus), (more, floor) = allowance.entry, allowance.floor
        low = room.shoulder - room.floor - slack + SLACK - floor
        farthest = (room.rim - room.wall + SLACK - plus) / (times * self.grid)
        found = among[self.entry_mark[among] <= math.floor(max(-1.0, min(farthest, FARTHEST)))]
        deep = self.deepest[found]
        if more:
            deep += more * self.entry(found)
        kept: Indices = found[deep <= low]
        return kept

    def first_candidate(
        self, room: Room, among: Indices, allowance: NestingAllowance, *, slack: float = 0.0
    ) -> int | None:
        """Place in `among` of the first cut that `candidates` would give, or None.

        Args:
            room: of the bowl that is cut.
            among: the cuts to examine.
            allowance: what the bowls between take up.
            slack: as for `candidates`.
        """
        at, chunk = 0, CHUNK
        while at < len(among):
            part = among[at : at + chunk]
            found = self.candidates(room, part, allowance, slack=slack)
            if len(found):
                return at + int(np.flatnonzero(part == found[0])[0])
            at, chunk = at + chunk, chunk * 2
        return None

    def nesting_allowances(self) -> Iterator[NestingAllowance]:
        """The allowances for no, one, two and more bowls around each cut, without end."""
        return nesting_allowances(
            self.job, rim_step=self.rim_step, floor_step=self.floor_step, kerf=self.kerf
        )

    def able_to_hold(self, cut: CutSetting) -> "CutTable":
        """The cuts whose cores may hold a given cut, as a table."""
        room = self.rim[self.order] - self.wall(self.order) >= cut.entry_radius - SLACK
        room &= self.shoulder[self.order] - self.floor(self.order) >= cut.deepest - SLACK
        return dataclasses.replace(self, order=self.order[room])

    def on_every(self, marks: int) -> "CutTable":
        """The cuts on every so many marks of entry and of depth, as a table."""
        entry, depth = self.entry_mark[self.order], self.depth_mark[self.order]
        return dataclasses.replace(
            self, order=self.order[(entry % marks == 0) & (depth % marks == 0)]
        )

    def near(self, settings: Sequence[CutSetting], marks: int) -> "CutTable":
        """The cuts at most so many marks from given ones of the same cutter, as a table."""
        t, near = self.order, np.zeros(len(self.order), dtype=bool)
        ids = np.array([c.id for c in self.shop.cutters])[self.cutter[t]]
        for setting in settings:
            within = (marks + 0.5) * self.grid
            near |= (
                (ids == setting.cutter.id)
                & (np.abs(self.entry(t) - setting.entry_radius) <= within)
                & (np.abs(self.depth(t) - setting.depth_at_axis) <= within)
            )
        return dataclasses.replace(self, order=t[near])

    @functools.cached_property
    def smallest_cuts(self) -> Indices:
        """For each cutter the cuts that enclose no other; one of them fits if any cut does."""
        if not len(self.order):
            return self.order
        among = np.sort(self.order)  # by cutter, then entry, then depth: the order of the table
        cutter, entry = self.cutter[among], self.entry_mark[among]
        new = np.concatenate([[True], (np.diff(entry) != 0) | (np.diff(cutter) != 0)])
        first = among[new]
        found = []
        for mine in np.split(first, np.flatnonzero(np.diff(self.cutter[first])) + 1):
            lowest = np.minimum.accumulate(self.depth_mark[mine])
            found.append(mine[np.concatenate([[True], lowest[1:] < lowest[:-1]])])
        return np.concatenate(found)

    def room_measures(self, among: Indices) -> NDArray[np.float64]:
        """Four figures of the room in the cores of cuts, mm, one row a cut.

        They are rim less wall; where the outside, moved in by the wall, meets the face and the
        axis; shoulder less floor. Of two cores of one cutter, where no figure of the second is
        less than that of the first, every cut valid in the first is valid in the second: the
        moved outsides are arcs that cross at most once between face and axis, so their ends
        show which encloses the other.
        """
        wall, p, q = self.wall(among), self.pivot_offset[among], self.pivot_standoff[among]
        inner = np.array([c.inner_radius for c in self.shop.cutters])[self.cutter[among]] - wall
        square = inner * inner
        face = p + np.sqrt(np.maximum(square - q * q, 0.0))
        axis = np.sqrt(np.maximum(square - p * p, 0.0)) - q
        small = (inner <= np.abs(q)) | (inner <= np.abs(p))
        rooms = np.stack([self.rim[among] - wall, face, axis, self.depth_limit(among)], axis=1)
        rooms[small] = -math.inf
        return rooms

    def depth_limit(self, among: Indices) -> Column:
        """Greatest depth of a cut in the cores of cuts: shoulder less floor, mm."""
        shoulder = self.shoulder[among]
        return np.where(np.isnan(shoulder), -math.inf, shoulder - self.floor(among))

    def _gap(self, curve: Curve, among: Indices) -> Column:
        """A true distance between a curve and the edge of each cut, near the least one, mm.

        It is measured between the points nearest in the cutter's plane, or from an end of the
        curve, so it is never under the least true distance.
        """
        height = self.job.nest.height_above_centre
        radius, p, q = self.radius(among), self.pivot_offset[among], self.pivot_standoff[among]
        plane = 0.0
        if isinstance(curve, Side):
            run, fall = curve.r1 - curve.r0, curve.z1 - curve.z0
            along = ((p - curve.r0) * run + (-q - curve.z0) * fall) / (run * run + fall * fall)
            along = np.clip(along, 0.0, 1.0)
            x1, z1 = curve.r0 + along * run, curve.z0 + along * fall
        else:
            plane = curve.height
            x1, z1 = places_towards(curve, p - curve.x, -q - curve.z)
        across, down = x1 - p, z1 + q
        if plane != height:
            across = np.sqrt(np.maximum(x1 * x1 - height * height, 0.0)) - p
        scale = radius / np.sqrt(across * across + down * down)
        x2, z2 = p + across * scale, down * scale - q
        # beyond the face or the axis the edge ends: take its end instead
        above, beyond = z2 < 0, x2 < 0
        beyond &= ~above
        if above.any():
            x2 = np.where(above, np.sqrt(self.entry(among) ** 2 - height * height), x2)
            z2 = np.where(above, 0.0, z2)
        if beyond.any():
            z2 = np.where(beyond, self.depth(among), z2)
            x2 = np.where(beyond, 0.0, x2)
        square = height * height
        r1 = np.sqrt(x1 * x1 + plane * plane) if plane else x1
        across, down = r1 - np.sqrt(x2 * x2 + square), z1 - z2
        gap: Column = np.sqrt(across * across + down * down)
        return gap

    def _end_gap(self, curve: Span, x: Column, z: Column) -> Column:
        """The true distance between a curve and the points (x, z) of the cutter's plane."""
        x1, z1 = places_towards(curve, x - curve.x, z - curve.z)
        square = self.job.nest.height_above_centre**2
        across = np.sqrt(x1 * x1 + curve.height**2) - np.sqrt(x * x + square)
        down = z1 - z
        gap: Column = np.sqrt(across * across + down * down)
        return gap


def places_towards(curve: Span, dx: Column, dz: Column) -> tuple[Column, Column]:
    """The points of a span in the directions (dx, dz) from its centre, or its nearer end."""
    share = curve.radius / np.sqrt(np.maximum(dx * dx + dz * dz, SAME))
    x, z = dx * share, dz * share
    first = math.cos(curve.start), math.sin(curve.start)
    last = math.cos(curve.end), math.sin(curve.end)
    before = first[0] * z - first[1] * x < 0
    after = last[1] * x - last[0] * z < 0
    for outside, (cosine, sine) in ((before, first), (after, last)):
        if outside.any():
            x = np.where(outside, curve.radius * cosine, x)
            z = np.where(outside, curve.radius * sine, z)
    return np.maximum(curve.x + x, 0.0), curve.z + z


def nesting_allowances(
    job: Job, *, rim_step: float, floor_step: float, kerf: float
) -> Iterator[NestingAllowance]:
    """The least that no, one, two and more bowls around a cut take up, without end.

    A bowl around a cut that enters at radius e has a rim of at least the radius r with
    r - wall(r) = e, which bounds its wall from below; the cut that frees it enters further out
    by at least `rim_step`.

    Args:
        job: the wishes.
        rim_step: as of `CutTable`, or less.
        floor_step: likewise.
        kerf: likewise.
    """
    have = NestingAllowance()
    yield have
    line, fixed, parted = wall_line(job), job.nest.floor, kerf * _flatness(job)
    while True:
        (times, plus), whole = have.entry, 1 - line.slope
        rim = times / whole, (plus + line.base) / whole
        wall = line.slope * rim[0], line.base + line.slope * rim[1]
        floor = wall if fixed is None else (0.0, fixed)
        have = NestingAllowance(
            entry=(rim[0], rim[1] + rim_step),
            wall=(have.wall[0] + wall[0], have.wall[1] + wall[1] + parted),
            floor=(have.floor[0] + floor[0], have.floor[1] + floor[1] + floor_step),
        )
        yield have


def _flatness(job: Job) -> float:
    """Least change of true radius for 1 mm across the cutter plane, in the smallest bowl."""
    share = min(1.0, 2 * job.nest.height_above_centre / job.nest.min_bowl)
    return CLOSE * math.sqrt(1 - share * share)


def may_hold(room: Room, count: int, job: Job, shop: Shop, *, grid: float) -> bool:
    """Whether a number of cuts, one inside the other, may fit in a room; False is certain.

    Only the innermost cut is sought: in the room that the walls, kerfs, floors and tenons of
    the bowls around it leave at best, which are known without a table.

    Args:
        room: of the blank.
        count: of cuts, at least one.
        job: the wishes.
        shop: what there is.
        grid: mm between marks.
    """
    kerf = min(c.kerf for c in shop.cutters)
    tenon = shortest_tenon(job, shop)
    chain = nesting_allowances(
        job, rim_step=kerf * _flatness(job), floor_step=kerf * CLOSE + tenon, kerf=kerf
    )
    allowance = next(itertools.islice(chain, count - 1, None))
    slack = job.nest.setting_tolerance if job.nest.guard == Guard.WORST else 0.0
    (times, plus), floor = allowance.entry, allowance.floor[1]
    reach = Reach(
        entry=(room.rim - room.wall + SLACK - plus) / times,
        depth=room.shoulder - room.floor - slack + SLACK - floor,
    )
    table = make_cut_table(job, shop, reach=reach, grid=grid)
    return table.first_candidate(room, table.order, allowance, slack=slack) is not None


def coarse_grid(job: Job, shop: Shop, *, reach: Reach, grid: float) -> float:
    """The grid, or the least doubling of it whose table is searched in seconds, mm.

    Args:
        job: the wishes.
        shop: what there is.
        reach: no cut enters further out or runs deeper.
        grid: mm between marks, > 0.
    """
    if max(reach.entry, 0) * max(reach.depth, 0) / grid**2 * len(shop.cutters) < LIKELY_FEW:
        return grid
    eighth = len(make_cut_table(job, shop, reach=reach, grid=8 * grid)) * 64
    step = wall_line(job).at(job.nest.min_bowl / 2) + min(c.kerf for c in shop.cutters)
    many = (reach.entry - job.nest.min_bowl / 2) / step  # bowls that the rims leave room for
    most = MOST_LISTED / max(1.0, many / USUAL_BOWLS) ** 2
    times = 1
    while eighth / times**2 > most:
        times *= 2
    return times * grid


def make_cut_table(job: Job, shop: Shop, *, reach: Reach, grid: float) -> CutTable:
    """The table of every cut that the shop's cutters, post and jaws allow.

    Args:
        job: the wishes.
        shop: what there is.
        reach: no cut enters further out or runs deeper.
        grid: mm between marks, > 0.
    """
    names = job.nest.cutters
    numbers = [n for n, cutter in enumerate(shop.cutters) if not names or cutter.id in names]
    marks = max(reach.entry, 0.0) * max(reach.depth, 0.0) / grid**2 * len(numbers)
    groups = [numbers] if marks < FEW else [[n] for n in numbers]
    parts = [cuts_of(group, job, shop, reach=reach, grid=grid) for group in groups]
    columns = Columns(*(np.concatenate(column) for column in zip(*parts, strict=True)))
    kerfs = [shop.cutters[n].kerf for n in np.unique(columns.cutter)]
    return CutTable(
        job=job,
        shop=shop,
        grid=grid,
        rim_step=float((grid * columns.entry_mark - columns.rim).min(initial=math.inf)),
        floor_step=float(np.fmin.reduce(columns.deepest - columns.shoulder, initial=math.inf)),
        kerf=min(kerfs, default=0.0),
        order=np.argsort(-columns.size, kind="stable"),
        under=~(columns.wished_shoulder >= columns.shoulder),
        **columns._asdict(),
    )


def room_of(shape: BowlShape, job: Job) -> Room:
    """The room a bowl leaves for the cut in it."""
    wall, floor = required(job, rim_radius=shape.rim_radius)
    return Room(
        rim=shape.rim_radius, shoulder=shape.shoulder, wall=wall, floor=floor, curves=shape.curves
    )
