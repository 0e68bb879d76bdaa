"""Every cut on the grid a turner can mark, as columns: what the search chooses from.

A cut is kept when the cutter, the post, the jaws and the size rules (design.md §4, rules 3 to 6)
allow it whatever it is cut out of. The rules between a piece and the cut in it (1, 2 and 7) are
asked in `Table.inside`, by figures that are never too strict; `rules.meets` has the last word.
Lengths mm, angles radians, volumes mm³.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.curves import Curve, Side, Span
from templategen.inputs.records import Cutter, Job, Shop
from templategen.nest.rules import SAME, Body, Swing, swing_from, wall_line
from templategen.trade.jaws import jaws_ranges, tenon_length_limit

Column = NDArray[np.float64]
Indices = NDArray[np.intp]

CHUNK = 1024  # cuts looked at together when only the first is wanted
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
class Table:
    """The cuts, largest core first. One entry a cut in every column.

    Args:
        job: wishes the table was made for.
        shop: cutters, jaws and limits it was made for.
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
        """Number of cuts."""
        return len(self.size)

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

    def inside(self, piece: Bounds, among: Indices, *, slack: float = 0.0) -> Indices:
        """The cuts that may keep wall and floor in a piece; none that does is left out.

        Args:
            piece: what is cut out of.
            among: the cuts to look at.
            slack: mm that worst settings may take from every wall and floor (rule 7).
        """
        wall = piece.wall - LOOSE
        found = among[self.entry[among] <= piece.rim - wall]
        found = found[self.deepest[found] <= piece.shoulder - piece.floor - slack + LOOSE]
        for curve in piece.curves:
            if not len(found):
                break
            found = found[self._gap(curve, found) >= wall]
        return found

    def first_inside(self, piece: Bounds, among: Indices, *, slack: float = 0.0) -> int | None:
        """Place among the cuts of the first that `inside` would give, or None."""
        at, chunk = 0, CHUNK
        while at < len(among):
            part = among[at : at + chunk]
            found = self.inside(piece, part, slack=slack)
            if len(found):
                return at + int(np.searchsorted(part, found[0]))
            at, chunk = at + chunk, chunk * 2
        return None

    def holding(self, cut: Swing) -> "Table":
        """The cuts whose cores may hold a given cut, as a table."""
        room = self.rim - self.wall >= cut.entry_radius - LOOSE
        room &= self.shoulder - self.floor >= cut.deepest - LOOSE
        keep = np.flatnonzero(room)
        columns = {
            name: getattr(self, name)[keep] for name in self.__slots__ if name not in ("job", "shop")
        }
        return Table(job=self.job, shop=self.shop, **columns)

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


def make_table(job: Job, shop: Shop, *, reach: Reach, grid: float) -> Table:
    """The table of every cut that the shop's cutters, post and jaws allow.

    Args:
        job: the wishes.
        shop: what there is.
        reach: no cut enters further out or runs deeper.
        grid: mm between marks, > 0.
    """
    cutters = [
        (n, c) for n, c in enumerate(shop.cutters) if not job.nest.cutters or c.id in job.nest.cutters
    ]
    rows = [_rows(n, c, job, shop, reach=reach, grid=grid) for n, c in cutters]
    number = np.concatenate([np.full(len(r[0]), n) for (n, _), r in zip(cutters, rows, strict=True)])
    columns = [np.concatenate(parts) for parts in zip(*rows, strict=True)]
    order = np.argsort(-columns[-1], kind="stable")
    entry, depth, p, q, deepest, rim, shoulder, size = (c[order] for c in columns)
    number = number[order].astype(np.intp)
    line = wall_line(job)
    wall = line.base + line.slope * rim
    radius = np.array([c.radius for c in shop.cutters])[number]
    kerf = np.array([c.kerf for c in shop.cutters])[number]
    return Table(
        job=job,
        shop=shop,
        cutter=number,
        out=np.rint(entry / grid).astype(np.intp),
        down=np.rint(depth / grid).astype(np.intp),
        radius=radius,
        kerf=kerf,
        entry=entry,
        depth=depth,
        p=p,
        q=q,
        deepest=deepest,
        rim=rim,
        shoulder=shoulder,
        size=size,
        wall=wall,
        floor=wall if job.nest.floor is None else np.full(len(wall), job.nest.floor),
    )


def _rows(
    number: int, cutter: Cutter, job: Job, shop: Shop, *, reach: Reach, grid: float
) -> tuple[Column, ...]:
    """The columns of one cutter: entry, depth, p, q, deepest, rim, shoulder, size."""
    nest, post, height = job.nest, shop.post, job.nest.height_above_centre
    radius, rho = cutter.radius, cutter.radius - cutter.kerf
    steep = radius * math.sin(math.radians(min(nest.max_slope, 89.0)))
    p_low = max(post.min_offset, -steep, -rho) - SAME
    p_high = min(post.max_offset, steep, rho) + SAME
    empty = (np.empty(0),) * 8
    if p_low > p_high or post.min_standoff >= rho:
        return empty
    first = max(1, math.ceil((max(height + grid, nest.min_bowl / 2)) / grid - 1e-9))
    last = math.floor(min(reach.entry, math.hypot(p_high + radius, height)) / grid + 1e-9)
    if last < first:
        return empty
    entries = grid * np.arange(first, last + 1)
    x = np.sqrt(entries * entries - height * height)
    # For one entry a deeper cut stands nearer the face (less q) and further back (less p).
    low_q = np.maximum(post.min_standoff - SAME, _standoff(radius, x - p_low))
    deep = np.where(
        low_q < radius,
        _depth_of(radius, x, np.minimum(low_q, radius)),
        -1.0,
    )
    deep = np.minimum(deep, reach.depth)
    high_q = np.where(np.abs(x - p_high) <= radius, _standoff(radius, x - p_high), radius)
    high_q = np.where(x - p_high < 0, radius, high_q)
    shallow = np.maximum(_depth_of(radius, x, np.minimum(high_q, radius)), nest.min_depth)
    lowest = np.maximum(1, np.ceil(shallow / grid - 1e-6)).astype(np.intp)
    count = np.maximum(0, np.floor(deep / grid + 1e-6).astype(np.intp) - lowest + 1)
    entry = np.repeat(entries, count)
    xs = np.repeat(x, count)
    within = np.arange(len(entry)) - np.repeat(np.cumsum(count) - count, count)
    depth = grid * (np.repeat(lowest, count) + within)
    chord = np.hypot(xs, depth)
    fine = chord < 2 * radius
    entry, xs, depth, chord = entry[fine], xs[fine], depth[fine], chord[fine]
    m = np.sqrt(radius * radius - chord * chord / 4) / chord
    p, q = xs / 2 - m * depth, m * xs - depth / 2
    fine = (p >= p_low) & (p <= p_high) & (q >= post.min_standoff - SAME) & (q < rho)
    fine &= np.abs(p) < rho
    entry, depth, p, q = entry[fine], depth[fine], p[fine], q[fine]
    swing = np.arccos(-p / radius) - np.arcsin(q / radius)
    fine = swing <= math.radians(cutter.max_swing) + SAME
    entry, depth, p, q = entry[fine], depth[fine], p[fine], q[fine]
    deepest = np.where(p >= 0, radius - q, depth)
    return _cores(cutter, job, shop, entry=entry, depth=depth, p=p, q=q, deepest=deepest)


def _standoff(radius: float, across: Column) -> Column:
    """Standoff q of the circle whose entry lies `across` from the pivot; 0 where none."""
    return np.sqrt(np.maximum(radius * radius - across * across, 0.0))


def _depth_of(radius: float, x: Column, q: Column) -> Column:
    """Depth at the axis of the circle through the entry x with standoff q; -1 where none."""
    p = x - np.sqrt(np.maximum(radius * radius - q * q, 0.0))
    return np.where(
        np.abs(p) <= radius, np.sqrt(np.maximum(radius * radius - p * p, 0.0)) - q, -1.0
    )


def _cores(
    cutter: Cutter,
    job: Job,
    shop: Shop,
    *,
    entry: Column,
    depth: Column,
    p: Column,
    q: Column,
    deepest: Column,
) -> tuple[Column, ...]:
    """Rules 3, 4 and 6 on the cores, and their sizes."""
    nest, height = job.nest, job.nest.height_above_centre
    rho = cutter.radius - cutter.kerf
    relief = nest.relief if nest.relief and nest.relief.shift and nest.relief.depth else None
    shift, step = (relief.shift, relief.depth) if relief else (0.0, 0.0)
    end = np.arccos(-p / rho)
    start = np.arcsin(q / rho)
    fine = start < end
    turn = start
    if relief:
        sine = (step + q) / rho
        turn = np.arcsin(np.minimum(sine, 1.0))
        fine &= (sine < 1) & (turn < end) & (p - shift + rho * np.cos(turn) > 0)
    face = p - shift + np.sqrt(rho * rho - q * q)
    rim = np.hypot(face, height)
    fine &= (face > 0) & (2 * rim >= nest.min_bowl - SAME)
    columns = [entry, depth, p, q, deepest, rim, start, turn, end]
    entry, depth, p, q, deepest, rim, start, turn, end = (c[fine] for c in columns)
    if not len(entry):
        return (np.empty(0),) * 8
    leaf = _shoulders(rho, job, shop, job.tenon.core_share, p=p, q=q, rim=rim)
    again = leaf
    if nest.order == "outer-first":
        again = _shoulders(rho, job, shop, job.tenon.share, p=p, q=q, rim=rim)
    size = _swept(rho, p, height, end) - _swept(rho, p, height, turn)
    if relief:
        size += _swept(rho, p - shift, height, turn) - _swept(rho, p - shift, height, start)
    size *= math.pi
    fine = leaf >= nest.min_depth - SAME
    again = np.where(again >= nest.min_depth - SAME, again, np.nan)
    columns = [entry, depth, p, q, deepest, rim, again, size]
    return tuple(c[fine] for c in columns)


def _swept(rho: float, p: Column, height: float, angle: Column) -> Column:
    """As `rules.core_size`: antiderivative of (x² + h²) dz along the inner edge."""
    sine = np.sin(angle)
    return (
        rho * (p * p + height * height) * sine
        + p * rho * rho * (angle + sine * np.cos(angle))
        + rho**3 * (sine - sine**3 / 3)
    )


def _shoulders(
    rho: float, job: Job, shop: Shop, share: float, *, p: Column, q: Column, rim: Column
) -> Column:
    """Rules 3 and 4: shoulder of the tenon that the best jaws hold; NaN where none holds."""
    shoulder = np.full(len(rim), np.nan)
    low, high = float(rim.min()), float(rim.max())
    for jaws, least, most in jaws_ranges(
        shop.jaws, low=low, high=high, share=share, refuse_share=shop.rules.refuse_share
    ):
        mine = (rim >= least) & (rim < most)
        square = (jaws.true_circle / 2) ** 2 - job.nest.height_above_centre**2
        if square < 0 or not mine.any():
            continue
        x = math.sqrt(square)
        rest = rho * rho - (x - p[mine]) ** 2
        below = np.where(rest >= 0, np.sqrt(np.maximum(rest, 0.0)) - q[mine], np.nan)
        relief = job.nest.relief
        if relief and relief.shift and relief.depth:
            rest = rho * rho - (x - p[mine] + relief.shift) ** 2
            over = np.where(rest >= 0, np.sqrt(np.maximum(rest, 0.0)) - q[mine], np.nan)
            over = np.where(over < 0, np.nan, np.minimum(over, relief.depth))
            below = np.where(below >= relief.depth, below, over)
        below = np.where(below < 0, np.nan, below)
        shoulder[mine] = below - min(job.tenon.length, tenon_length_limit(jaws))
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
