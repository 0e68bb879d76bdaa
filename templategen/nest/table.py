"""Every cut on the grid a turner can mark, as columns: what the search chooses from.

A cut is kept when the cutter, the post, the jaws and the size rules (design.md §4, rules 3 to 6)
allow it whatever it is cut out of. The rules between a piece and the cut in it (1, 2 and 7) are
asked in `Table.inside`, by figures that are never too strict; `rules.meets` has the last word.
Lengths mm, angles radians, volumes mm³.
"""

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Curve, Side, Span
from templategen.inputs.records import Cutter, Job, Shop
from templategen.nest.rules import SAME, Body, Swing, swing_from, wall_line
from templategen.trade.jaws import jaws_ranges, tenon_length_limit

if TYPE_CHECKING:
    from collections.abc import Iterator

Column = NDArray[np.float64]
Indices = NDArray[np.intp]

LIKELY_FEW = 1_500_000  # marks by depths by cutters: under it a table is never too large
MOST_LISTED = 200_000  # cuts in a table
USUAL_BOWLS = 8  # more of them than this in one blank make the search longer: fewer are listed
CHUNK = 1024  # cuts looked at together when only the first is wanted
CLOSE = 0.98  # of a kerf: what it parts in true distance, the cutter near centre height
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
class Inset:
    """What the pieces between a piece and each cut of a table take up at the least, mm.

    Args:
        entry: where the outermost of the cuts between enters; the cut's own where none is.
        wall: walls and kerfs between.
        floor: floors, kerfs and tenons between.
    """

    entry: Column
    wall: Column
    floor: Column


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The cuts, one entry a cut in every column.

    Args:
        job: wishes the table was made for.
        shop: cutters, jaws and limits it was made for.
        order: the cuts to choose from, largest core first.
        cutter: index into `shop.cutters`.
        out: number of the entry mark on the grid.
        down: number of the depth on the grid.
        radius: R.
        kerf: k.
        entry: entry radius.
        depth: depth at the axis.
        p: pivot offset.
        q: pivot standoff.
        deepest: deepest point of the cut.
        rim: rim radius of the core.
        shoulder: shoulder of the core's tenon when it is cored again; NaN where it cannot be.
        size: of the core.
        wall: required of the core when it is cored again.
        floor: as `wall`.
    """

    job: Job
    shop: Shop
    order: Indices
    cutter: Indices
    out: Indices
    down: Indices
    radius: Column
    kerf: Column
    entry: Column
    depth: Column
    p: Column
    q: Column
    deepest: Column
    rim: Column
    shoulder: Column
    size: Column
    wall: Column
    floor: Column

    def __len__(self) -> int:
        """Number of cuts to choose from."""
        return len(self.order)

    def swing(self, index: int) -> Swing:
        """The cut at an index."""
        found = swing_from(
            self.shop.cutters[self.cutter[index]],
            entry_radius=float(self.entry[index]),
            depth=float(self.depth[index]),
            height=self.job.nest.height_above_centre,
        )
        assert found is not None  # only such cuts are in the table
        return found

    def bounds(self, index: int) -> Bounds:
        """The core at an index as the piece that the next cut is made in."""
        job = self.job
        relief = job.nest.relief
        rho = float(self.radius[index] - self.kerf[index])
        p, q = float(self.p[index]), float(self.q[index])
        start, end = math.asin(q / rho), math.acos(-p / rho)
        height = job.nest.height_above_centre
        curves: tuple[Span, ...]
        if relief is None or relief.shift == 0 or relief.depth == 0:
            curves = (Span(x=p, z=-q, radius=rho, start=start, end=end, height=height),)
        else:
            turn = math.asin((relief.depth + q) / rho)
            curves = (
                Span(x=p - relief.shift, z=-q, radius=rho, start=start, end=turn, height=height),
                Span(x=p, z=-q, radius=rho, start=turn, end=end, height=height),
            )
        return Bounds(
            rim=float(self.rim[index]),
            shoulder=float(self.shoulder[index]),
            wall=float(self.wall[index]),
            floor=float(self.floor[index]),
            curves=curves,
        )

    def inside(
        self, piece: Bounds, among: Indices, inset: "Inset", *, slack: float = 0.0
    ) -> Indices:
        """The cuts that may keep wall and floor in a piece; none that does is left out.

        Args:
            piece: what is cut out of.
            among: the cuts to look at.
            inset: what the pieces between take up.
            slack: mm that worst settings may take from every floor (rule 7).
        """
        found, wall = self.near(piece, among, inset, slack=slack), piece.wall - LOOSE
        for curve in piece.curves:
            if not len(found):
                break
            found = found[self._gap(curve, found) >= wall + inset.wall[found]]
            if isinstance(curve, Span):
                x = np.sqrt(self.entry[found] ** 2 - self.job.nest.height_above_centre**2)
                gap = self._end_gap(curve, x, np.zeros(len(found)))
                found = found[gap >= wall + inset.wall[found]]
                gap = self._end_gap(curve, np.zeros(len(found)), self.depth[found])
                found = found[gap >= wall + inset.wall[found]]
        return found

    def near(self, piece: Bounds, among: Indices, inset: "Inset", *, slack: float = 0.0) -> Indices:
        """As `inside`, by the figures of rim and floor alone."""
        low = piece.shoulder - piece.floor - slack + LOOSE
        found = among[inset.entry[among] <= piece.rim - piece.wall + LOOSE]
        kept: Indices = found[self.deepest[found] + inset.floor[found] <= low]
        return kept

    def first_inside(
        self,
        piece: Bounds,
        among: Indices,
        inset: "Inset",
        *,
        slack: float = 0.0,
        least: float = -math.inf,
    ) -> int | None:
        """Place among the cuts of the first that `inside` would give, or None.

        Args:
            piece: what is cut out of.
            among: the cuts to look at, largest core first.
            inset: what the pieces between take up.
            slack: as for `inside`.
            least: a smaller core is not wanted, mm³.
        """
        at, chunk = 0, CHUNK
        while at < len(among) and self.size[among[at]] >= least:
            part = among[at : at + chunk]
            found = self.inside(piece, part, inset, slack=slack)
            if len(found):
                return at + int(np.flatnonzero(part == found[0])[0])
            at, chunk = at + chunk, chunk * 2
        return None

    def insets(self) -> "Iterator[Inset]":
        """What no, one, two and more pieces around each cut take up at the least, without end.

        A piece around a cut that enters at e has a rim of at least the radius at which
        rim - wall(rim) = e, so its wall is known from below; the cut that frees it enters
        further out still, by at least the least difference of entry and rim in the table.
        """
        nothing = np.zeros(len(self.size))
        have = Inset(entry=self.entry, wall=nothing, floor=nothing)
        yield have
        line, fixed = wall_line(self.job), self.job.nest.floor
        across = float((self.entry - self.rim).min(initial=math.inf))
        down = float(np.nanmin(np.append(self.deepest - self.shoulder, math.inf)))
        share = min(1.0, 2 * self.job.nest.height_above_centre / self.job.nest.min_bowl)
        kerf = CLOSE * math.sqrt(1 - share * share) * float(self.kerf.min(initial=math.inf))
        while True:
            rim = (have.entry + line.base) / (1 - line.slope)
            wall = line.base + line.slope * rim
            floor = wall if fixed is None else fixed
            have = Inset(
                entry=rim + across,
                wall=have.wall + wall + kerf,
                floor=have.floor + floor + down,
            )
            yield have

    def holding(self, cut: Swing) -> "Table":
        """The cuts whose cores may hold a given cut, as a table."""
        room = self.rim - self.wall >= cut.entry_radius - LOOSE
        room &= self.shoulder - self.floor >= cut.deepest - LOOSE
        return dataclasses.replace(self, order=self.order[room[self.order]])

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

    def rooms(self) -> NDArray[np.float64]:
        """What each core leaves for the cut in it: four figures a cut, mm; more is more room.

        Of two cores of one cutter, every cut that is right in one is right in the other if none
        of the other's figures is less: rim less wall; where the outside, set in by the wall,
        meets face and axis; shoulder less floor. (The rings set in are arcs of circles that
        cross at most once between face and axis, so their ends tell which holds the other.)
        """
        inner = self.radius - self.kerf - self.wall
        square = inner * inner
        face = self.p + np.sqrt(np.maximum(square - self.q * self.q, 0.0))
        axis = np.sqrt(np.maximum(square - self.p * self.p, 0.0)) - self.q
        small = (inner <= np.abs(self.q)) | (inner <= np.abs(self.p))
        low = np.where(np.isnan(self.shoulder), -math.inf, self.shoulder - self.floor)
        rooms = np.stack([self.rim - self.wall, face, axis, low], axis=1)
        rooms[small] = -math.inf
        return rooms

    def _gap(self, curve: Curve, among: Indices) -> Column:
        """A true distance between a curve and each edge, where it is near the least; else inf.

        It is taken between the points that are nearest in the plane, or from the nearer end
        of the curve, so the least true distance is never greater.
        """
        height = self.job.nest.height_above_centre
        radius, p, q = self.radius[among], self.p[among], self.q[among]
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
        x2 = np.where(above, np.sqrt(self.entry[among] ** 2 - height * height), x2)
        z2 = np.where(above, 0.0, z2)
        z2 = np.where(beyond & ~above, self.depth[among], z2)
        x2 = np.where(beyond & ~above, 0.0, x2)
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
    eighth = len(make_table(job, shop, reach=reach, grid=8 * grid)) * 64
    step = wall_line(job).at(job.nest.min_bowl / 2) + min(c.kerf for c in shop.cutters)
    many = (reach.entry - job.nest.min_bowl / 2) / step  # bowls that the rims leave room for
    most = MOST_LISTED / max(1.0, many / USUAL_BOWLS) ** 2
    times = 1
    while eighth / times**2 > most:
        times *= 2
    return times * grid


def make_table(job: Job, shop: Shop, *, reach: Reach, grid: float) -> Table:
    """The table of every cut that the shop's cutters, post and jaws allow.

    Args:
        job: the wishes.
        shop: what there is.
        reach: no cut enters further out or runs deeper.
        grid: mm between marks, > 0.
    """
    names = job.nest.cutters
    cutters = [(n, c) for n, c in enumerate(shop.cutters) if not names or c.id in names]
    rows = [_rows(c, job, shop, reach=reach, grid=grid) for _, c in cutters]
    counts = [len(row[0]) for row in rows]
    out, down, p, q, deepest, rim, shoulder, size = (
        np.concatenate(parts) for parts in zip(*rows, strict=True)
    )

    def repeated(figures: list[float]) -> Column:
        return np.repeat(np.array(figures, dtype=np.float64), counts)

    line = wall_line(job)
    wall = line.base + line.slope * rim
    return Table(
        job=job,
        shop=shop,
        order=_largest_first(size),
        cutter=np.repeat(np.array([n for n, _ in cutters], dtype=np.intp), counts),
        out=out,
        down=down,
        radius=repeated([c.radius for _, c in cutters]),
        kerf=repeated([c.kerf for _, c in cutters]),
        entry=grid * out,
        depth=grid * down,
        p=p,
        q=q,
        deepest=deepest,
        rim=rim,
        shoulder=shoulder,
        size=size,
        wall=wall,
        floor=wall if job.nest.floor is None else np.full(len(wall), job.nest.floor),
    )


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


def _rows(cutter: Cutter, job: Job, shop: Shop, *, reach: Reach, grid: float) -> tuple[Any, ...]:
    """The columns of one cutter: out, down, p, q, deepest, rim, shoulder, size."""
    nest, post, height = job.nest, shop.post, job.nest.height_above_centre
    radius, rho = cutter.radius, cutter.radius - cutter.kerf
    steep = radius * math.sin(math.radians(min(nest.max_slope, 89.0)))
    p_low = max(post.min_offset, -steep, -rho) - SAME
    p_high = min(post.max_offset, steep, rho) + SAME
    low = post.min_standoff - SAME
    none = np.empty(0, dtype=np.intp)
    empty = (none, none, *((np.empty(0),) * 6))
    if p_low > p_high or low >= rho:
        return empty
    # The rim of the core lies inward of the entry by the kerf and the relief shift at the least.
    inner_rim = math.sqrt(max(0.0, (nest.min_bowl / 2) ** 2 - height * height))
    least_x = inner_rim + _relief(job)[0] + cutter.kerf
    first = max(1, math.ceil(max(height + grid, math.hypot(least_x, height)) / grid - 1e-6))
    last = math.floor(min(reach.entry, math.hypot(p_high + radius, height)) / grid + 1e-9)
    if last < first:
        return empty
    marks = np.arange(first, last + 1)
    x = np.sqrt((grid * marks) ** 2 - height * height)
    # For one entry a deeper cut stands nearer the face (less q) and further back (less p).
    near = np.maximum(low, _standoff(radius, x - p_low))
    deep = np.minimum(_depth_of(radius, x, near), reach.depth)
    far = np.where((x > p_high) & (x - p_high <= radius), _standoff(radius, x - p_high), radius)
    # The tenon's end lies no deeper than the inner edge, and that a kerf less than the outer one.
    lengths = [min(job.tenon.length, tenon_length_limit(jaws)) for jaws in shop.jaws]
    cosine = math.cos(math.asin(min(1.0, max(abs(p_low), abs(p_high)) / radius)))
    least = nest.min_depth + min(lengths, default=0.0)
    least += cutter.kerf * cosine - radius * (1 - cosine)
    shallow = np.maximum(_depth_of(radius, x, far), max(least, grid))
    lowest = np.maximum(1, np.ceil(shallow / grid - 1e-6)).astype(np.intp)
    count = np.maximum(0, np.floor(deep / grid + 1e-6).astype(np.intp) - lowest + 1)
    out = np.repeat(marks, count)
    down = np.arange(len(out)) + np.repeat(lowest - (np.cumsum(count) - count), count)
    xs, depth = np.repeat(x, count), grid * down
    square = xs * xs + depth * depth
    m = np.sqrt(np.maximum(radius * radius / square - 0.25, 0.0))
    p, q = xs / 2 - m * depth, m * xs - depth / 2
    fine = (p >= p_low) & (p <= p_high) & (q >= low) & (q < rho) & (np.abs(p) < rho)
    fine &= square < 4 * radius * radius
    most = math.radians(cutter.max_swing) + SAME
    widest = math.acos(max(-1.0, -p_high / radius)) - math.asin(max(-1.0, low / radius))
    if widest > most:
        with np.errstate(invalid="ignore"):
            fine &= np.arccos(-p / radius) - np.arcsin(q / radius) <= most
    relief = _relief(job)
    shift, step = relief
    face = p - shift + np.sqrt(np.maximum(rho * rho - q * q, 0.0))
    rim = np.sqrt(face * face + height * height)
    fine &= (face > 0) & (2 * rim >= nest.min_bowl - SAME)
    if step:
        below = step + q
        reached = np.sqrt(np.maximum(rho * rho - below * below, 0.0))
        fine &= (below < rho) & (p - shift + reached > 0)
    keep = np.flatnonzero(fine)
    if not len(keep):
        return empty
    out, down, p, q, rim = out[keep], down[keep], p[keep], q[keep], rim[keep]
    deepest = np.where(p >= 0, radius - q, grid * down)
    leaf = _shoulders(rho, job, shop, job.tenon.core_share, p=p, q=q, rim=rim)
    again = leaf
    if nest.order == "outer-first":
        again = _shoulders(rho, job, shop, job.tenon.share, p=p, q=q, rim=rim)
        again = np.where(again >= nest.min_depth - SAME, again, np.nan)
    size = _sizes(rho, relief, p=p, q=q, height=height)
    held = np.flatnonzero(leaf >= nest.min_depth - SAME)
    columns = (out, down, p, q, deepest, rim, again, size)
    return columns if len(held) == len(out) else tuple(c[held] for c in columns)


def _relief(job: Job) -> tuple[float, float]:
    """Shift and depth of the relief cut; zeros for none."""
    relief = job.nest.relief
    if relief is None or not (relief.shift and relief.depth):
        return 0.0, 0.0
    return relief.shift, relief.depth


def _standoff(radius: float, across: Column) -> Column:
    """Standoff q of the circle whose entry lies `across` from the pivot; 0 where none."""
    return np.sqrt(np.maximum(radius * radius - across * across, 0.0))


def _depth_of(radius: float, x: Column, q: Column) -> Column:
    """Depth at the axis of the circle through the entry x with standoff q; -1 where none."""
    p = x - np.sqrt(np.maximum(radius * radius - q * q, 0.0))
    depth = np.sqrt(np.maximum(radius * radius - p * p, 0.0)) - q
    return np.where((np.abs(p) <= radius) & (q < radius), depth, -1.0)


def _sizes(
    rho: float, relief: tuple[float, float], *, p: Column, q: Column, height: float
) -> Column:
    """As `rules.core_size`: the integral of π (x² + h²) dz, sines and cosines by Pythagoras."""
    shift, step = relief
    flat = height * height

    def swept(centre: Column, sine: Column, cosine: Column, angle: Column) -> Column:
        square = centre * centre + flat
        whole = square * sine + centre * rho * (angle + sine * cosine)
        part: Column = rho * (whole + rho * rho * (sine - sine * sine * sine / 3))
        return part

    cosine = -p / rho
    sine = np.sqrt(1 - cosine * cosine)
    size = swept(p, sine, cosine, np.arccos(cosine))
    top = q / rho
    start, across = np.arcsin(top), np.sqrt(1 - top * top)
    if step:
        low = (step + q) / rho
        turn, inward = np.arcsin(low), np.sqrt(1 - low * low)
        size -= swept(p, low, inward, turn)
        size += swept(p - shift, low, inward, turn) - swept(p - shift, top, across, start)
    else:
        size -= swept(p, top, across, start)
    return math.pi * size


def _shoulders(
    rho: float, job: Job, shop: Shop, share: float, *, p: Column, q: Column, rim: Column
) -> Column:
    """Rules 3 and 4: shoulder of the tenon that the best jaws hold; NaN where none holds."""
    ranges = jaws_ranges(
        shop.jaws,
        low=float(rim.min()),
        high=float(rim.max()),
        share=share,
        refuse_share=shop.rules.refuse_share,
    )
    height = job.nest.height_above_centre
    radius, length = np.full(len(rim), np.nan), np.zeros(len(rim))
    for jaws, least, most in ranges:
        square = (jaws.true_circle / 2) ** 2 - height * height
        if square >= 0:
            mine = (rim >= least) & (rim < most)
            radius[mine] = math.sqrt(square)
            length[mine] = min(job.tenon.length, tenon_length_limit(jaws))
    shift, step = _relief(job)
    across = radius - p
    with np.errstate(invalid="ignore"):
        tip = np.sqrt(rho * rho - across * across) - q
        if step:
            across += shift
            over = np.sqrt(rho * rho - across * across) - q
            tip = np.where(tip >= step, tip, np.where(over < 0, np.nan, np.minimum(over, step)))
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
