"""A slow, plain planner to hold the quick one against: every cut, every pair, every chain.

It shares nothing with templategen.nest but the records. Walls are least distances between points
of the outside and the edge, never less than the true ones, so this planner is if anything the
freer of the two: what the quick one may reach, it may reach too.
"""

import math
from dataclasses import dataclass

import numpy as np

from templategen.trade.records import Cutter, Job, LengthWall, Shop

SPARE = 1e-6  # mm
POINTS = 200
GREATEST_SHARE = 0.75  # widest tenon, of the rim; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One cut and the core it frees."""

    cutter: Cutter
    entry: float
    depth: float
    p: float
    q: float
    rim: float
    shoulder: float
    size: float
    outside: np.ndarray


def exhaustive(
    job: Job,
    shop: Shop,
    *,
    grid: float,
    outside: np.ndarray,
    rim: float,
    shoulder: float,
    largest: bool = False,
) -> tuple[int, float, float]:
    """Number of cores, sum of their sizes, size of the first, of the best chain there is.

    Args:
        job: wishes; the wall is a share or a length.
        shop: what there is.
        grid: mm between marks.
        outside: (r, z) points of the turned outside.
        rim: its rim radius.
        shoulder: its tenon's shoulder.
        largest: the objective, a largest first core before all else.
    """
    settings = every_setting(job, shop, grid=grid, reach=rim, deep=shoulder)
    settings.sort(key=lambda s: s.size)
    best: list[tuple[int, float]] = []
    for n, setting in enumerate(settings):
        mask = _right(job, setting.outside, setting.rim, setting.shoulder, settings[:n])
        options = [best[k] for k in np.flatnonzero(mask)]
        count, total = max(options, default=(0, 0.0))
        best.append((count + 1, total + setting.size))
    first = np.flatnonzero(_right(job, outside, rim, shoulder, settings))
    if not len(first):
        return 0, 0.0, 0.0
    if largest:
        top = max(settings[k].size for k in first)
        first = np.array([k for k in first if settings[k].size >= top * (1 - 1e-9)])
    k = max(first, key=lambda k: best[k])
    return best[k][0], best[k][1], settings[k].size


def every_setting(job: Job, shop: Shop, *, grid: float, reach: float, deep: float) -> list[Setting]:
    """Every cut on the grid that keeps rules 3 to 6 of design.md §4."""
    found = []
    for cutter in shop.cutters:
        for a in range(1, int(reach / grid) + 1):
            for b in range(1, int(deep / grid) + 1):
                setting = _setting(job, shop, cutter, a * grid, b * grid)
                if setting is not None:
                    found.append(setting)
    return found


def _setting(job: Job, shop: Shop, cutter: Cutter, entry: float, depth: float) -> Setting | None:
    h, R, rho = job.nest.height_above_centre, cutter.radius, cutter.radius - cutter.kerf  # noqa: N806
    if entry <= h:
        return None
    x = math.sqrt(entry**2 - h**2)
    d = math.hypot(x, depth)
    if d >= 2 * R:
        return None
    m = math.sqrt(R * R - d * d / 4)
    p, q = x / 2 - m * depth / d, m * x / d - depth / 2
    post = shop.post
    if q < post.min_standoff or not post.min_offset <= p <= post.max_offset:
        return None
    if abs(p) >= rho or q >= rho or abs(math.asin(p / R)) > math.radians(job.nest.max_slope):
        return None
    if math.acos(-p / R) - math.asin(q / R) > math.radians(cutter.max_swing):
        return None
    lowest = math.sqrt(rho * rho - p * p) - q if p < 0 else rho - q
    relief = job.nest.relief
    step = relief.depth if relief else 0.0
    if lowest <= step:
        return None
    start, end = math.asin(q / rho), math.acos(-p / rho)
    if relief and (step + q >= rho or math.asin((step + q) / rho) >= end):
        return None
    angles = start + (end - start) * np.linspace(0, 1, POINTS)
    if relief:
        turn = math.asin((step + q) / rho)
        angles = np.sort(np.append(angles, [turn, turn]))
        above = np.arange(len(angles)) < np.searchsorted(angles, turn, side="right") - 1
        xs = p + rho * np.cos(angles) - np.where(above, relief.shift, 0.0)
    else:
        xs = p + rho * np.cos(angles)
    if xs.min() < -1e-6:
        return None
    xs = np.maximum(xs, 0.0)
    outside = np.stack([np.hypot(xs, h), rho * np.sin(angles) - q], axis=1)
    rim = float(outside[0, 0])
    if 2 * rim < job.nest.min_bowl:
        return None
    fitting = [
        j
        for j in shop.jaws
        if shop.rules.refuse_share * 2 * rim <= j.true_circle <= GREATEST_SHARE * 2 * rim
    ]
    if not fitting:
        return None
    jaws = min(fitting, key=lambda j: abs(j.true_circle - job.tenon.core_share * 2 * rim))
    radius = jaws.true_circle / 2
    if radius < outside[-1, 0]:
        return None
    tip = float(np.interp(-radius, -outside[:, 0], outside[:, 1]))
    shoulder = tip - min(job.tenon.length, jaws.depth - 1.5)
    if shoulder < job.nest.min_depth:
        return None
    r, z = outside[:, 0], outside[:, 1]
    size = math.pi / 3 * float(np.sum((r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) * np.diff(z)))
    return Setting(
        cutter=cutter,
        entry=entry,
        depth=depth,
        p=p,
        q=q,
        rim=rim,
        shoulder=shoulder,
        size=size,
        outside=outside,
    )


def _wall(job: Job, rim: float) -> float:
    wall = job.nest.wall
    return wall.length if isinstance(wall, LengthWall) else wall.share * 2 * rim


def _right(
    job: Job, outside: np.ndarray, rim: float, shoulder: float, cuts: list[Setting]
) -> np.ndarray:
    """Which cuts keep wall and floor in a bowl with that outside."""
    if not cuts:
        return np.zeros(0, dtype=bool)
    h = job.nest.height_above_centre
    wall = _wall(job, rim)
    floor = wall if job.nest.floor is None else job.nest.floor
    radius = np.array([c.cutter.radius for c in cuts])
    p, q = np.array([c.p for c in cuts]), np.array([c.q for c in cuts])
    depth, entry = np.array([c.depth for c in cuts]), np.array([c.entry for c in cuts])
    deepest = np.where(p >= 0, radius - q, depth)
    right = (shoulder - deepest >= floor - SPARE) & (rim - entry >= wall - SPARE)
    k = np.flatnonzero(right)
    if not len(k):
        return right
    radius, p, q, depth, entry = radius[k], p[k], q[k], depth[k], entry[k]
    r, z = outside[:, 0, None], outside[:, 1, None]
    start, end = np.arcsin(q / radius), np.arccos(-p / radius)
    across = np.sqrt(np.maximum(r * r - h * h, 0.0))
    least = np.full(len(k), np.inf)
    guess = np.arctan2(z + q, across - p)
    for turn in (-0.01, -0.004, 0.0, 0.004, 0.01):
        angle = np.clip(guess + turn, start, end)
        x = np.maximum(p + radius * np.cos(angle), 0.0)
        gap = np.hypot(np.hypot(x, h) - r, radius * np.sin(angle) - q - z)
        least = np.minimum(least, gap.min(axis=0))
    right[k] = least >= wall - SPARE
    return right
