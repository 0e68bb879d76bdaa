"""The cuts of one cutter on the grid that a turner can mark, as columns of numbers.

A cut is kept when the cutter, the post, the jaws and the size rules (design.md §4, rules 3 to 6)
allow it. Lengths mm, angles radians, volumes mm³.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from templategen.geometry.swing import HOLDER_AIR
from templategen.nest.rules import (
    SAME,
    TenonSize,
    blade_offsets,
    fits_relief,
    has_relief,
    offset_limits,
    tenon_for,
)
from templategen.nest.tenon_choice import rim_limits, under_from, wished_shares
from templategen.trade.jaws import tenon_length_limit
from templategen.trade.records import Job, Shop

Column = NDArray[np.float64]
Marks = NDArray[np.int32]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far out and how deep a cut may run: the limits of the largest blank, mm."""

    entry: float
    depth: float


class Columns(NamedTuple):
    """Columns of `CutTable`; for a single cutter or for all of them."""

    cutter: Marks
    entry_mark: Marks
    depth_mark: Marks
    pivot_offset: Column
    pivot_standoff: Column
    rim: Column
    shoulder: Column
    wished_shoulder: Column
    leaf_under: Flags
    size: Column
    deepest: Column


def cuts_of(
    numbers: Sequence[int],
    job: Job,
    shop: Shop,
    *,
    reach: Reach,
    grid: float,
) -> Columns:
    """The columns of some cutters: by cutter, then by entry mark, then by depth mark.

    Args:
        numbers: of the cutters in `shop.cutters`.
        job: the wishes.
        shop: what there is.
        reach: no cut enters further out or runs deeper.
        grid: mm between marks, > 0.
    """
    height = job.nest.height_above_centre
    limits, which, entry = _entry_marks(numbers, job, shop, reach=reach, grid=grid)
    lowest, count = _depth_marks(limits.rows(which), job, entry, reach=reach, grid=grid)
    ends = np.cumsum(count, dtype=np.int32)
    which, entry = np.repeat(which, count), np.repeat(entry, count)
    depth = np.arange(len(entry), dtype=np.int32) + np.repeat(lowest - (ends - count), count)
    x, z = (np.multiply(mark, grid, dtype=np.float64) for mark in (entry, depth))
    p, q, rim, kept = _pivots_and_rims(limits.rows(which), job, x, z)
    which, entry, depth = which[kept], entry[kept], depth[kept]
    p, q, rim = p[kept], q[kept], rim[kept]
    held = _shoulders(limits.rows(which).inner, job, shop, p=p, q=q, rim=rim)
    kept = ~np.isnan(held.deepest)
    which, p, q, rim = which[kept], p[kept], q[kept], rim[kept]
    depth = depth[kept]
    ring = limits.rows(which).radius - q
    return Columns(
        cutter=limits.number[which],
        entry_mark=entry[kept],
        depth_mark=depth,
        pivot_offset=p,
        pivot_standoff=q,
        rim=rim,
        shoulder=held.deepest[kept],
        wished_shoulder=held.wished[kept],
        leaf_under=held.leaf_under[kept],
        size=_sizes(limits.rows(which).inner, relief_of(job), p=p, q=q, height=height),
        deepest=np.where(p >= 0, ring, grid * depth),
    )


class _Limits(NamedTuple):
    """Figures of cutters that limit their cuts, one row a cutter, mm and radians."""

    number: Marks
    radius: Column
    inner: Column
    least_offset: Column
    most_offset: Column
    least_standoff: Column
    least_depth: Column
    max_swing: Column
    bare_blade: Column
    holder: Column

    @property
    def may_swing_too_far(self) -> bool:
        """Whether a cut within the other limits may swing further than its cutter can."""
        widest = np.arccos(np.maximum(-1.0, -self.most_offset / self.radius))
        least = np.arcsin(np.maximum(-1.0, self.least_standoff / self.radius))
        return bool((widest - least > self.max_swing).any())

    def rows(self, which: NDArray[np.intp]) -> "_Limits":
        """The row of each cut; a single row serves for all of them by broadcasting."""
        return self if len(self.number) == 1 else _Limits._make(column[which] for column in self)


def _entry_marks(
    numbers: Sequence[int], job: Job, shop: Shop, *, reach: Reach, grid: float
) -> tuple[_Limits, NDArray[np.intp], Marks]:
    """The limits of cutters, and every entry mark they may have: row of the cutter, mark."""
    nest, height = job.nest, job.nest.height_above_centre
    # The rim of the core lies inward of the entry by at least the kerf and the relief shift.
    inner_rim = math.sqrt(max(0.0, (nest.min_bowl / 2) ** 2 - height * height))
    tenon, shift, low = shortest_tenon(job, shop), relief_of(job)[0], shop.post.min_standoff - SAME
    rows: list[tuple[float, ...]] = []
    marks: list[Marks] = []
    for n in numbers:
        cutter = shop.cutters[n]
        outer, inner = cutter.radius, cutter.inner_radius
        steep = outer * math.sin(math.radians(min(nest.max_slope, 89.0)))
        offsets, blade = offset_limits(shop, nest.relief), blade_offsets(cutter, height)
        left = max(offsets[0], blade[0], -steep, -inner) - SAME
        right = min(offsets[1], blade[1], steep, inner) + SAME
        if left > right or low >= inner or not fits_relief(cutter, nest.relief):
            continue
        least_x = inner_rim + shift + cutter.kerf
        first = max(1, math.ceil(max(height + grid, math.hypot(least_x, height)) / grid - 1e-6))
        last = math.floor(min(reach.entry, math.hypot(right + outer, height)) / grid + 1e-9)
        if last < first:
            continue
        # The tenon ends no deeper than the inner edge, which lies a kerf within the outer edge.
        cosine = math.cos(math.asin(min(1.0, max(abs(left), abs(right)) / outer)))
        shallowest = nest.min_depth + tenon + cutter.kerf * cosine - outer * (1 - cosine)
        most = math.radians(cutter.max_swing) + SAME
        bare = math.inf if cutter.arc is None else math.radians(cutter.arc) + SAME
        holder = (cutter.holder or 0.0) / 2 + HOLDER_AIR
        rows.append((n, outer, inner, left, right, low, max(shallowest, grid), most, bare, holder))
        marks.append(np.arange(first, last + 1, dtype=np.int32))
    number, *columns = np.array(rows, dtype=np.float64).reshape(-1, len(_Limits._fields)).T
    which = np.repeat(np.arange(len(rows)), [len(some) for some in marks])
    entry = np.concatenate([np.empty(0, dtype=np.int32), *marks])
    return _Limits(number.astype(np.int32), *columns), which, entry


def _depth_marks(
    limits: _Limits, job: Job, entry: Marks, *, reach: Reach, grid: float
) -> tuple[Marks, Marks]:
    """For each entry mark the least depth mark of a cut, and the number of marks from there on.

    For one entry a deeper cut stands nearer the face (less q) and further back (less p).
    """
    height, radius = job.nest.height_above_centre, limits.radius
    x = np.sqrt((grid * entry) ** 2 - height * height)
    beyond = x - limits.most_offset
    near = np.maximum(limits.least_standoff, _standoff(radius, x - limits.least_offset))
    deep = np.minimum(_depth_of(radius, x, near), reach.depth)
    far = np.where((beyond > 0) & (beyond <= radius), _standoff(radius, beyond), radius)
    shallow = np.maximum(_depth_of(radius, x, far), limits.least_depth)
    lowest = np.maximum(1, np.ceil(shallow / grid - 1e-6)).astype(np.int32)
    highest = np.floor(deep / grid + 1e-6).astype(np.int32)
    return lowest, np.maximum(0, highest - lowest + 1)


def _pivots_and_rims(
    limits: _Limits, job: Job, entry: Column, depth: Column
) -> tuple[Column, Column, Column, NDArray[np.bool_]]:
    """Pivots by design.md §3, rim radii of the cores, and which keep rules 5 and 6.

    Returns: pivot offsets, pivot standoffs, rim radii, and the mask of those that are kept.
    """
    height, radius, rho = job.nest.height_above_centre, limits.radius, limits.inner
    shift, step = relief_of(job)
    x = np.sqrt(entry * entry - height * height)
    square = x * x + depth * depth
    m = np.sqrt(np.maximum(radius * radius / square - 0.25, 0.0))
    p, q = x / 2 - m * depth, m * x - depth / 2
    kept = (p >= limits.least_offset) & (p <= limits.most_offset) & (q >= limits.least_standoff)
    kept &= (q < rho) & (np.abs(p) < rho) & (square < 4 * radius * radius)
    if limits.may_swing_too_far:
        with np.errstate(invalid="ignore"):
            kept &= np.arccos(-p / radius) - np.arcsin(q / radius) <= limits.max_swing
    if np.isfinite(limits.bare_blade).any():  # rule 8
        sine = (q - limits.holder) / radius
        with np.errstate(invalid="ignore"):
            kept &= (sine >= -1) & (np.arccos(-p / radius) - np.arcsin(sine) <= limits.bare_blade)
    face = p - shift + np.sqrt(np.maximum(rho * rho - q * q, 0.0))
    rim = np.sqrt(face * face + height * height)
    kept &= (face > 0) & (2 * rim >= job.nest.min_bowl - SAME)
    if step:  # at the foot of the relief cut the outside must lie beside the axis
        below, beyond = step + q, shift - p
        kept &= (below < rho) & ((beyond < 0) | (rho * rho - below * below > beyond * beyond))
    return p, q, rim, kept


def shortest_tenon(job: Job, shop: Shop) -> float:
    """The least length of any tenon, mm; 0 without jaws."""
    return min((min(job.tenon.length, tenon_length_limit(j)) for j in shop.jaws), default=0.0)


def relief_of(job: Job) -> tuple[float, float]:
    """Shift and depth of the relief cut; zeros for none."""
    relief = job.nest.relief
    if relief is None or not has_relief(relief):
        return 0.0, 0.0
    return relief.shift, relief.depth


def _standoff(radius: Column, across: Column) -> Column:
    """Standoff q of the circle whose entry lies `across` from the pivot; 0 where none."""
    return np.sqrt(np.maximum(radius * radius - across * across, 0.0))


def _depth_of(radius: Column, x: Column, q: Column) -> Column:
    """Depth at the axis of the circle through the entry x with standoff q; -1 where none."""
    p = x - np.sqrt(np.maximum(radius * radius - q * q, 0.0))
    depth = np.sqrt(np.maximum(radius * radius - p * p, 0.0)) - q
    return np.where((np.abs(p) <= radius) & (q < radius), depth, -1.0)


def _sizes(
    rho: Column, relief: tuple[float, float], *, p: Column, q: Column, height: float
) -> Column:
    """As `rules.core_size`: the integral of π (x² + h²) dz, sines and cosines by Pythagoras."""
    shift, step = relief
    whole = rho * rho
    cosine, top = -p / rho, q / rho
    sine, across = np.sqrt(1 - cosine * cosine), np.sqrt(1 - top * top)

    def swept(sine: Column, cosine: Column) -> Column:
        """Antiderivative over rho without the term in the angle itself."""
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


class _Held(NamedTuple):
    """What the jaws make of the core of each cut: columns of `CutTable`."""

    deepest: Column
    wished: Column
    leaf_under: Flags


def _shoulders(rho: Column, job: Job, shop: Shop, *, p: Column, q: Column, rim: Column) -> _Held:
    """Rules 3, 4 and 6: shoulders of the tenons that jaws within the limits hold; NaN for none."""
    low = np.maximum(job.nest.min_depth, 2 * job.nest.min_ratio * rim) - SAME
    deepest, wished = np.full(len(rim), np.nan), np.full(len(rim), np.nan)
    leaf_under = np.ones(len(rim), dtype=np.bool_)
    again, leaf = wished_shares(job)
    for jaws in shop.jaws:
        tenon = tenon_for(jaws, job)
        assert tenon is not None  # only without jaws
        least, most = rim_limits(tenon.neck, shop)
        some = np.flatnonzero((rim >= least) & (rim <= most))
        shoulder = _shoulder(rho if len(rho) == 1 else rho[some], job, tenon, p[some], q[some])
        shoulder[~(shoulder >= low[some])] = np.nan
        deepest[some] = np.fmax(deepest[some], shoulder)
        good = rim[some] <= under_from(tenon.neck, again)
        wished[some] = np.where(good, np.fmax(wished[some], shoulder), wished[some])
        leaf_under[some] &= (rim[some] > under_from(tenon.neck, leaf)) | np.isnan(shoulder)
    return _Held(deepest, wished, leaf_under)


def _shoulder(rho: Column, job: Job, tenon: TenonSize, p: Column, q: Column) -> Column:
    """Rule 3: shoulders of a tenon on the cores of cuts; NaN where it does not fit."""
    square = (tenon.end / 2) ** 2 - job.nest.height_above_centre**2
    if square < 0:
        return np.full(len(p), np.nan)
    across = math.sqrt(square) - p
    whole = rho * rho
    shift, step = relief_of(job)
    with np.errstate(invalid="ignore"):
        tip = np.sqrt(whole - across * across) - q
        if step:
            # beside the relief cut, or on its step; on the far side it is the dimple's bank
            above = np.flatnonzero(~(tip >= step) & (across > 0))
            across = across[above] + shift
            rest = whole if len(rho) == 1 else whole[above]
            over = np.sqrt(rest - across * across) - q[above]
            tip[above] = np.where(over < 0, np.nan, np.minimum(over, step))
        tip[tip < 0] = np.nan
    shoulder: Column = tip - tenon.length
    return shoulder
