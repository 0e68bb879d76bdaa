"""Every cut on the grid a turner can mark, as columns: what the search chooses from.

A cut is kept when the cutter, the post, the jaws and the size rules (design.md §4, rules 3 to 6)
allow it whatever it is cut out of. The rules between a piece and the cut in it (1, 2 and 7) are
asked in `CutTable.inside`, by figures that are never too strict; `rules.meets` has the last word.
Lengths mm, angles radians, volumes mm³.
"""

import dataclasses
import functools
import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Curve, Side, Span
from templategen.nest.rules import SAME, Body, CutSetting, setting_from, wall_line
from templategen.trade.choices import Guard, Order
from templategen.trade.jaws import jaws_ranges, tenon_length_limit
from templategen.trade.records import Jaws, Job, Shop

if TYPE_CHECKING:
    from collections.abc import Iterator

Column = NDArray[np.float64]
Indices = NDArray[np.intp]
Marks = NDArray[np.int32]

LIKELY_FEW = 1_500_000  # marks by depths by cutters: under it a table is never too large
MOST_LISTED = 200_000  # cuts in a table
USUAL_BOWLS = 8  # more of them than this in one blank make the search longer: fewer are listed
CHUNK = 256  # cuts looked at together when only the first is wanted
CLOSE = 0.98  # of a kerf: what it parts in true distance, the cutter near centre height
FEW = 100_000  # marks by depths by cutters: under it all cutters are reckoned in one go
FARTHEST = 2**31 - 1  # a mark's number is no greater
LOOSE = 1e-5  # mm; by so much the quick figures are let off, far under what `meets` then asks


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far out and how deep a cut may run: the limits of the largest blank, mm."""

    entry: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """A piece as the table sees it: figures of its outside that limit the cut in it, mm."""

    rim: float
    shoulder: float
    wall: float
    floor: float
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NestingAllowance:
    """What the pieces between a piece and each cut of a table take up at the least, mm.

    Each figure is a straight line over where the cut enters: how much for each mm, and how much
    besides.

    Args:
        entry: where the outermost of the cuts between enters; the cut's own where none is.
        wall: walls and kerfs between.
        floor: floors, kerfs and tenons between.
    """

    entry: tuple[float, float] = (1.0, 0.0)
    wall: tuple[float, float] = (0.0, 0.0)
    floor: tuple[float, float] = (0.0, 0.0)


class _Limits(NamedTuple):
    """What limits the cuts of one cutter; p, q and the least depth in mm, marks by number."""

    number: int
    radius: float
    rho: float
    p_low: float
    p_high: float
    first: int
    last: int
    least: float
    most: float
    may_swing_too_far: bool


_JawsFor = tuple[list[tuple[Jaws, float, float]], list[tuple[Jaws, float, float]]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutTable:
    """The cuts, one entry a cut in every column.

    Args:
        job: wishes the table was made for.
        shop: cutters, jaws and limits it was made for.
        grid: between marks.
        across: the least that a cut enters outside of its core's rim.
        sunk: the least that a cut runs deeper than its core's shoulder.
        kerf: the least of its cutters.
        order: the cuts to choose from, largest core first.
        cutter: index into `shop.cutters`.
        out: number of the entry mark on the grid.
        down: number of the depth on the grid.
        p: pivot offset.
        q: pivot standoff.
        rim: rim radius of the core.
        shoulder: shoulder of the core's tenon when it is cored again; NaN where it cannot be.
        size: of the core.
    """

    job: Job
    shop: Shop
    grid: float
    across: float
    sunk: float
    kerf: float
    order: Indices
    cutter: Marks
    out: Marks
    down: Marks
    p: Column
    q: Column
    rim: Column
    shoulder: Column
    size: Column

    def __len__(self) -> int:
        """Number of cuts to choose from."""
        return len(self.order)

    # What follows from the columns is reckoned where it is asked for: to fetch memory for
    # another column of a whole table takes longer.

    def entry(self, among: Indices) -> Column:
        """Entry radius of some cuts."""
        return np.multiply(self.out[among], self.grid, dtype=np.float64)

    def depth(self, among: Indices) -> Column:
        """Depth at the axis of some cuts."""
        return np.multiply(self.down[among], self.grid, dtype=np.float64)

    def radius(self, among: Indices) -> Column:
        """R of some cuts."""
        radii: Column = np.array([c.radius for c in self.shop.cutters], dtype=np.float64)
        return radii[self.cutter[among]]

    def deepest(self, among: Indices) -> Column:
        """Deepest point of some cuts."""
        depth = self.depth(among)
        found: Column = np.where(self.p[among] >= 0, self.radius(among) - self.q[among], depth)
        return found

    def wall(self, among: Indices) -> Column:
        """Wall required of some cores when they are cored again."""
        line = wall_line(self.job)
        return line.base + line.slope * self.rim[among]

    def floor(self, among: Indices) -> Column:
        """As `wall`."""
        fixed = self.job.nest.floor
        return self.wall(among) if fixed is None else np.full(len(among), fixed)

    def swing(self, index: int) -> CutSetting:
        """The cut at an index."""
        found = setting_from(
            self.shop.cutters[self.cutter[index]],
            entry_radius=self.grid * int(self.out[index]),
            depth=self.grid * int(self.down[index]),
            height=self.job.nest.height_above_centre,
        )
        assert found is not None  # only such cuts are in the table
        return found

    def bounds(self, index: int) -> Bounds:
        """The core at an index as the piece that the next cut is made in."""
        job = self.job
        cutter = self.shop.cutters[self.cutter[index]]
        rho = cutter.inner_radius
        p, q = float(self.p[index]), float(self.q[index])
        start, end = math.asin(q / rho), math.acos(-p / rho)
        height = job.nest.height_above_centre
        shift, step = _relief(job)
        curves: tuple[Span, ...]
        if not step:
            curves = (Span(x=p, z=-q, radius=rho, start=start, end=end, height=height),)
        else:
            turn = math.asin((step + q) / rho)
            curves = (
                Span(x=p - shift, z=-q, radius=rho, start=start, end=turn, height=height),
                Span(x=p, z=-q, radius=rho, start=turn, end=end, height=height),
            )
        rim = float(self.rim[index])
        wall = wall_line(job).at(rim)
        return Bounds(
            rim=rim,
            shoulder=float(self.shoulder[index]),
            wall=wall,
            floor=wall if job.nest.floor is None else job.nest.floor,
            curves=curves,
        )

    def inside(
        self, piece: Bounds, among: Indices, inset: "NestingAllowance", *, slack: float = 0.0
    ) -> Indices:
        """The cuts that may keep wall and floor in a piece; none that does is left out.

        Args:
            piece: what is cut out of.
            among: the cuts to look at.
            inset: what the pieces between take up.
            slack: mm that worst settings may take from every floor (rule 7).
        """
        found = self.near(piece, among, inset, slack=slack)
        more, wall = inset.wall[0], inset.wall[1] + piece.wall - LOOSE
        square = self.job.nest.height_above_centre**2

        def wanted(some: Indices) -> "Column | float":
            return more * self.entry(some) + wall if more else wall

        for curve in piece.curves:
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

    def near(
        self, piece: Bounds, among: Indices, inset: "NestingAllowance", *, slack: float = 0.0
    ) -> Indices:
        """As `inside`, by the figures of rim and floor alone."""
        (times, plus), (more, floor) = inset.entry, inset.floor
        low = piece.shoulder - piece.floor - slack + LOOSE - floor
        farthest = (piece.rim - piece.wall + LOOSE - plus) / (times * self.grid)
        found = among[self.out[among] <= math.floor(max(-1.0, min(farthest, FARTHEST)))]
        deep = self.deepest(found)
        if more:
            deep += more * self.entry(found)
        kept: Indices = found[deep <= low]
        return kept

    def first_inside(
        self, piece: Bounds, among: Indices, inset: "NestingAllowance", *, slack: float = 0.0
    ) -> int | None:
        """Place among the cuts of the first that `inside` would give, or None.

        Args:
            piece: what is cut out of.
            among: the cuts to look at.
            inset: what the pieces between take up.
            slack: as for `inside`.
        """
        at, chunk = 0, CHUNK
        while at < len(among):
            part = among[at : at + chunk]
            found = self.inside(piece, part, inset, slack=slack)
            if len(found):
                return at + int(np.flatnonzero(part == found[0])[0])
            at, chunk = at + chunk, chunk * 2
        return None

    def insets(self) -> "Iterator[NestingAllowance]":
        """What no, one, two and more pieces around each cut take up at the least, without end."""
        return insets(self.job, across=self.across, sunk=self.sunk, kerf=self.kerf)

    def holding(self, cut: CutSetting) -> "CutTable":
        """The cuts whose cores may hold a given cut, as a table."""
        room = self.rim[self.order] - self.wall(self.order) >= cut.entry_radius - LOOSE
        room &= self.shoulder[self.order] - self.floor(self.order) >= cut.deepest - LOOSE
        return dataclasses.replace(self, order=self.order[room])

    def least(self) -> Indices:
        """The cuts that hold no other of their cutter: what fits in anything, one of them does."""
        if not len(self.order):
            return self.order
        whole = len(self.order) == len(self.size)
        among = (
            np.arange(len(self.size)) if whole else np.sort(self.order)
        )  # by cutter, then entry, then depth: as they were made
        cutter, out = self.cutter[among], self.out[among]
        new = np.concatenate([[True], (out[1:] != out[:-1]) | (cutter[1:] != cutter[:-1])])
        first = among[new]
        found = []
        for mine in np.split(first, np.flatnonzero(np.diff(self.cutter[first])) + 1):
            lowest = np.minimum.accumulate(self.down[mine])
            found.append(mine[np.concatenate([[True], lowest[1:] < lowest[:-1]])])
        return np.concatenate(found)

    def rooms(self, among: Indices) -> NDArray[np.float64]:
        """What some cores leave for the cut in them: four figures a cut, mm; more is more room.

        Of two cores of one cutter, every cut that is right in one is right in the other if none
        of the other's figures is less: rim less wall; where the outside, set in by the wall,
        meets face and axis; shoulder less floor. (The rings set in are arcs of circles that
        cross at most once between face and axis, so their ends tell which holds the other.)
        """
        wall, p, q = self.wall(among), self.p[among], self.q[among]
        inner = np.array([c.inner_radius for c in self.shop.cutters])[self.cutter[among]] - wall
        square = inner * inner
        face = p + np.sqrt(np.maximum(square - q * q, 0.0))
        axis = np.sqrt(np.maximum(square - p * p, 0.0)) - q
        small = (inner <= np.abs(q)) | (inner <= np.abs(p))
        rooms = np.stack([self.rim[among] - wall, face, axis, self.low(among)], axis=1)
        rooms[small] = -math.inf
        return rooms

    def low(self, among: Indices) -> Column:
        """How deep a cut in each of some cores may run: shoulder less floor, mm."""
        shoulder = self.shoulder[among]
        return np.where(np.isnan(shoulder), -math.inf, shoulder - self.floor(among))

    def _gap(self, curve: Curve, among: Indices) -> Column:
        """A true distance between a curve and each edge, where it is near the least; else inf.

        It is taken between the points that are nearest in the plane, or from the nearer end
        of the curve, so the least true distance is never greater.
        """
        height = self.job.nest.height_above_centre
        radius, p, q = self.radius(among), self.p[among], self.q[among]
        plane = 0.0
        if isinstance(curve, Side):
            run, fall = curve.r1 - curve.r0, curve.z1 - curve.z0
            along = ((p - curve.r0) * run + (-q - curve.z0) * fall) / (run * run + fall * fall)
            along = np.clip(along, 0.0, 1.0)
            x1, z1 = curve.r0 + along * run, curve.z0 + along * fall
        else:
            plane = curve.height
            x1, z1 = _towards(curve, p - curve.x, -q - curve.z)
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
        x1, z1 = _towards(curve, x - curve.x, z - curve.z)
        square = self.job.nest.height_above_centre**2
        across = np.sqrt(x1 * x1 + curve.height**2) - np.sqrt(x * x + square)
        down = z1 - z
        gap: Column = np.sqrt(across * across + down * down)
        return gap


def _towards(curve: Span, dx: Column, dz: Column) -> tuple[Column, Column]:
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


def insets(job: Job, *, across: float, sunk: float, kerf: float) -> "Iterator[NestingAllowance]":
    """What no, one, two and more pieces around a cut take up at the least, without end.

    A piece around a cut that enters at e has a rim of at least the radius at which
    rim - wall(rim) = e, so its wall is known from below; the cut that frees it enters
    further out still, by at least the least difference of entry and rim there is.

    Args:
        job: the wishes.
        across: as of `CutTable`, or less.
        sunk: likewise.
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
            entry=(rim[0], rim[1] + across),
            wall=(have.wall[0] + wall[0], have.wall[1] + wall[1] + parted),
            floor=(have.floor[0] + floor[0], have.floor[1] + floor[1] + sunk),
        )
        yield have


def _flatness(job: Job) -> float:
    """What a mm across in the cutter's plane is in true radius at the least, where bowls are."""
    share = min(1.0, 2 * job.nest.height_above_centre / job.nest.min_bowl)
    return CLOSE * math.sqrt(1 - share * share)


def may_hold(piece: Bounds, count: int, job: Job, shop: Shop, *, grid: float) -> bool:
    """Whether a piece may be cored by so many cuts, one in the other; False is certain.

    Only the innermost cuts are looked at: they enter so far in, and run so little deep, that
    all pieces around them find room. What a cut frees is smaller than what it takes away by its
    kerf and tenon at the least, so no table is needed to know how far that is.

    Args:
        piece: what is cored.
        count: of cuts, at least one.
        job: the wishes.
        shop: what there is.
        grid: mm between marks.
    """
    kerf = min(c.kerf for c in shop.cutters)
    tenon = min((min(job.tenon.length, tenon_length_limit(j)) for j in shop.jaws), default=0.0)
    chain = insets(job, across=kerf * _flatness(job), sunk=kerf * CLOSE + tenon, kerf=kerf)
    inset = next(itertools.islice(chain, count - 1, None))
    slack = job.nest.setting_tolerance if job.nest.guard == Guard.WORST else 0.0
    (times, plus), floor = inset.entry, inset.floor[1]
    reach = Reach(
        entry=(piece.rim - piece.wall + LOOSE - plus) / times,
        depth=piece.shoulder - piece.floor - slack + LOOSE - floor,
    )
    table = make_cut_table(job, shop, reach=reach, grid=grid)
    return table.first_inside(piece, table.order, inset, slack=slack) is not None


def coarse_grid(job: Job, shop: Shop, *, reach: Reach, grid: float) -> float:
    """The grid, or so many times it that the table stays small enough to search in seconds, mm.

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
    _keep_memory()
    names = job.nest.cutters
    numbers = [n for n, c in enumerate(shop.cutters) if not names or c.id in names]
    marks = max(reach.entry, 0.0) * max(reach.depth, 0.0) / grid**2 * len(numbers)
    groups = [numbers] if marks < FEW else [[n] for n in numbers]
    ranges = _jaws_for(job, shop, reach)
    rows = [_rows(group, job, shop, reach=reach, grid=grid, ranges=ranges) for group in groups]
    cutter, out, down, p, q, rim, shoulder, size = (
        parts[0] if len(parts) == 1 else np.concatenate(parts)
        for parts in zip(*(row[:8] for row in rows), strict=True)
    )
    return CutTable(
        job=job,
        shop=shop,
        grid=grid,
        across=min(row[8] for row in rows),
        sunk=min(row[9] for row in rows),
        kerf=min((shop.cutters[n].kerf for n in np.unique(cutter)), default=0.0),
        order=_largest_first(size),
        cutter=cutter,
        out=out,
        down=down,
        p=p,
        q=q,
        rim=rim,
        shoulder=shoulder,
        size=size,
    )


@functools.cache
def _keep_memory() -> None:
    """Keeps the memory of one table for the next, once a process: a third of the time of a plan.

    After a block of 31 MiB has been freed the C library of GNU serves lesser ones from memory it
    has and gives back no less than twice as much (mallopt(3), M_MMAP_THRESHOLD); the block itself
    is never touched, so it costs nothing. Elsewhere nothing comes of it.
    """
    block = np.empty(31 * 2**17)
    del block


def _largest_first(size: Column) -> Indices:
    """The order by size, falling, by radix: sizes a 4e9th of the largest apart count as equal."""
    if not len(size):
        return np.empty(0, dtype=np.intp)
    steps = np.uint32(2**32 - 1)
    rank = steps - (size * (steps / float(size.max()))).astype(np.uint32)
    low = np.argsort(rank.astype(np.uint16), kind="stable")  # the low 16 bits
    high = np.argsort((rank[low] >> np.uint32(16)).astype(np.uint16), kind="stable")
    order: Indices = low[high]
    return order


def _rows(
    numbers: list[int], job: Job, shop: Shop, *, reach: Reach, grid: float, ranges: _JawsFor
) -> tuple[Any, ...]:
    """The columns of some cutters, one after the other, and `across` and `sunk` of `CutTable`.

    Returns: cutter, out, down, p, q, rim, shoulder, size, across, sunk.
    """
    nest, post, height = job.nest, shop.post, job.nest.height_above_centre
    none = np.empty(0, dtype=np.int32)
    empty = (none, none, none, *((np.empty(0),) * 5), math.inf, math.inf)
    low = post.min_standoff - SAME
    # The rim of the core lies inward of the entry by the kerf and the relief shift at the least.
    inner_rim = math.sqrt(max(0.0, (nest.min_bowl / 2) ** 2 - height * height))
    # The tenon's end lies no deeper than the inner edge, and that a kerf less than the outer one.
    tenon = min((min(job.tenon.length, tenon_length_limit(j)) for j in shop.jaws), default=0.0)
    shift, step = _relief(job)
    some: list[_Limits] = []
    for n in numbers:
        cutter = shop.cutters[n]
        outer, inner = cutter.radius, cutter.inner_radius
        steep = outer * math.sin(math.radians(min(nest.max_slope, 89.0)))
        left = max(post.min_offset, -steep, -inner) - SAME
        right = min(post.max_offset, steep, inner) + SAME
        if left > right or low >= inner:
            continue
        least_x = inner_rim + shift + cutter.kerf
        first = max(1, math.ceil(max(height + grid, math.hypot(least_x, height)) / grid - 1e-6))
        last = math.floor(min(reach.entry, math.hypot(right + outer, height)) / grid + 1e-9)
        cosine = math.cos(math.asin(min(1.0, max(abs(left), abs(right)) / outer)))
        shallowest = nest.min_depth + tenon + cutter.kerf * cosine - outer * (1 - cosine)
        most = math.radians(cutter.max_swing) + SAME
        if last >= first:
            widest = math.acos(max(-1.0, -right / outer)) - math.asin(max(-1.0, low / outer))
            some.append(
                _Limits(n, outer, inner, left, right, first, last, shallowest, most, widest > most)
            )
    if not some:
        return empty
    each = [cutter.last - cutter.first + 1 for cutter in some]

    def spread(figures: list[float], times: "list[int] | Marks") -> "Column | float":
        """A figure a cutter, for each of its marks or cuts; one for all where there is one."""
        return float(figures[0]) if len(some) == 1 else np.repeat(np.array(figures), times)

    marks = np.concatenate([np.arange(c.first, c.last + 1, dtype=np.int32) for c in some])
    radius, rho = spread([c.radius for c in some], each), spread([c.rho for c in some], each)
    p_low, p_high = spread([c.p_low for c in some], each), spread([c.p_high for c in some], each)
    x = np.sqrt((grid * marks) ** 2 - height * height)
    # For one entry a deeper cut stands nearer the face (less q) and further back (less p).
    near = np.maximum(low, _standoff(radius, x - p_low))
    deep = np.minimum(_depth_of(radius, x, near), reach.depth)
    far = np.where((x > p_high) & (x - p_high <= radius), _standoff(radius, x - p_high), radius)
    least = np.maximum(spread([c.least for c in some], each), grid)
    shallow = np.maximum(_depth_of(radius, x, far), least)
    lowest = np.maximum(1, np.ceil(shallow / grid - 1e-6)).astype(np.int32)
    count = np.maximum(0, np.floor(deep / grid + 1e-6).astype(np.int32) - lowest + 1)
    ends = np.cumsum(count, dtype=np.int32)
    out = np.repeat(marks, count)
    down = np.arange(len(out), dtype=np.int32) + np.repeat(lowest - (ends - count), count)
    cuts = np.diff(ends[np.cumsum(each) - 1], prepend=0)
    radius, rho = spread([c.radius for c in some], cuts), spread([c.rho for c in some], cuts)
    p_low, p_high = spread([c.p_low for c in some], cuts), spread([c.p_high for c in some], cuts)
    xs, depth = np.repeat(x, count), grid * down
    square = xs * xs + depth * depth
    whole = radius * radius
    m = np.sqrt(np.maximum(whole / square - 0.25, 0.0))
    p, q = xs / 2 - m * depth, m * xs - depth / 2
    fine = (p >= p_low) & (p <= p_high) & (q >= low) & (q < rho) & (np.abs(p) < rho)
    fine &= square < 4 * whole
    if any(cutter.may_swing_too_far for cutter in some):
        with np.errstate(invalid="ignore"):
            swing = np.arccos(-p / radius) - np.arcsin(q / radius)
            fine &= swing <= spread([c.most for c in some], cuts)
    within = rho * rho
    face = p - shift + np.sqrt(np.maximum(within - q * q, 0.0))
    rim = np.sqrt(face * face + height * height)
    fine &= (face > 0) & (2 * rim >= nest.min_bowl - SAME)
    if step:
        below, beyond = step + q, shift - p  # there it is still outside of the axis
        fine &= (below < rho) & ((beyond < 0) | (within - below * below > beyond * beyond))
    if not fine.any():
        return empty
    numbered = np.repeat(np.array([c.number for c in some], dtype=np.int32), cuts)
    if not fine.all():
        numbered, out, down = numbered[fine], out[fine], down[fine]
        p, q, rim = p[fine], q[fine], rim[fine]
        if not isinstance(radius, float) and not isinstance(rho, float):
            radius, rho = radius[fine], rho[fine]
    leaf = _shoulders(rho, job, ranges[0], p=p, q=q, rim=rim)
    again = leaf
    if nest.order == Order.OUTER_FIRST:
        again = _shoulders(rho, job, ranges[1], p=p, q=q, rim=rim)
        again = np.where(again >= nest.min_depth - SAME, again, np.nan)
    size = _sizes(rho, (shift, step), p=p, q=q, height=height)
    held = leaf >= nest.min_depth - SAME
    columns: tuple[Any, ...] = (numbered, out, down, p, q, rim, again, size)
    if not held.all():
        columns = tuple(c[held] for c in columns)
        _, out, down, p, q, rim, again, _ = columns
        radius = radius if isinstance(radius, float) else radius[held]
    deepest = np.where(p >= 0, radius - q, grid * down)
    across = float((grid * out - rim).min(initial=math.inf))
    sunk = float(np.fmin.reduce(deepest - again, initial=math.inf))
    return *columns, across, sunk


def _relief(job: Job) -> tuple[float, float]:
    """Shift and depth of the relief cut; zeros for none."""
    relief = job.nest.relief
    if relief is None or not (relief.shift and relief.depth):
        return 0.0, 0.0
    return relief.shift, relief.depth


def _standoff(radius: "Column | float", across: Column) -> Column:
    """Standoff q of the circle whose entry lies `across` from the pivot; 0 where none."""
    return np.sqrt(np.maximum(radius * radius - across * across, 0.0))


def _depth_of(radius: "Column | float", x: Column, q: Column) -> Column:
    """Depth at the axis of the circle through the entry x with standoff q; -1 where none."""
    p = x - np.sqrt(np.maximum(radius * radius - q * q, 0.0))
    depth = np.sqrt(np.maximum(radius * radius - p * p, 0.0)) - q
    return np.where((np.abs(p) <= radius) & (q < radius), depth, -1.0)


def _sizes(
    rho: "Column | float", relief: tuple[float, float], *, p: Column, q: Column, height: float
) -> Column:
    """As `rules.core_size`: the integral of π (x² + h²) dz, sines and cosines by Pythagoras."""
    shift, step = relief
    whole = rho * rho
    cosine, top = -p / rho, q / rho
    sine, across = np.sqrt(1 - cosine * cosine), np.sqrt(1 - top * top)

    def swept(sine: Column, cosine: Column) -> Column:
        """Antiderivative over rho, but for the part that grows with the angle itself."""
        found: Column = sine * (square + rho * p * cosine - whole / 3 * sine * sine)
        return found

    square = p * p + (height * height + whole)
    size = swept(sine, cosine) - swept(top, across)
    angle = p * np.arccos(cosine * across + sine * top)
    if step:  # down to it, the centre of the inner edge is shifted
        low = (step + q) / rho
        inward = np.sqrt(1 - low * low)
        twice = 2 * p - shift
        size += shift * (top * (twice + rho * across) - low * (twice + rho * inward))
        angle -= shift * np.arcsin(low * across - inward * top)
    return math.pi * rho * (size + rho * angle)


def _jaws_for(job: Job, shop: Shop, reach: Reach) -> "_JawsFor":
    """Which jaws hold a core that is finished, and one that is cored again, by rim radius."""
    low = job.nest.min_bowl / 2 - SAME
    leaf, again = (
        jaws_ranges(
            shop.jaws,
            low=low,
            high=max(low, reach.entry),
            share=share,
            refuse_share=shop.rules.refuse_share,
        )
        for share in (job.tenon.core_share, job.tenon.share)
    )
    return leaf, again


def _shoulders(
    rho: "Column | float",
    job: Job,
    ranges: list[tuple[Jaws, float, float]],
    *,
    p: Column,
    q: Column,
    rim: Column,
) -> Column:
    """Rules 3 and 4: shoulder of the tenon that the best jaws hold; NaN where none holds."""
    height = job.nest.height_above_centre
    edges, radii, lengths = [-math.inf], [math.nan], [0.0]
    for jaws, least, most in ranges:
        square = (jaws.true_circle / 2) ** 2 - height * height
        edges += [least, most]  # after the last of equal edges its figures hold
        radii += [math.sqrt(square) if square >= 0 else math.nan, math.nan]
        lengths += [min(job.tenon.length, tenon_length_limit(jaws)), 0.0]
    place = np.zeros(len(rim), dtype=np.uint8 if len(edges) < 256 else np.intp)
    for edge in edges[1:]:  # few: quicker than a search for each
        np.add(place, rim >= edge, out=place, casting="unsafe")
    radius, length = np.array(radii)[place], np.array(lengths)[place]
    shift, step = _relief(job)
    across = radius - p
    whole = rho * rho
    with np.errstate(invalid="ignore"):
        tip = np.sqrt(whole - across * across) - q
        if step:
            above = np.flatnonzero(~(tip >= step))  # beside the relief cut, or on its step
            across = across[above] + shift
            whole = whole if isinstance(whole, float) else whole[above]
            over = np.sqrt(whole - across * across) - q[above]
            tip[above] = np.where(over < 0, np.nan, np.minimum(over, step))
        tip[tip < 0] = np.nan
    shoulder: Column = tip - length
    return shoulder


def bounds_of(body: Body, job: Job) -> Bounds:
    """A piece as the table sees it."""
    wall = wall_line(job).at(body.rim_radius)
    return Bounds(
        rim=body.rim_radius,
        shoulder=body.shoulder,
        wall=wall,
        floor=wall if job.nest.floor is None else job.nest.floor,
        curves=body.curves,
    )
