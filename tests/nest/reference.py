"""A slow, plain planner to hold the quick one against: every cut, every jaws, every chain.

It shares nothing with templategen.nest but the records. Walls are least distances between points
of the outside and the edge, never less than the true ones, so this planner is if anything the
freer of the two: what the quick one may reach, it may reach too.

Chains are built from the inside out. For every cut it keeps, for each number of cuts, of tenons
under their wished share, and each set of wanted rims met, the best figure there is.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from templategen.trade.records import Cutter, Jaws, Job, LengthWall, Shop

SPARE = 1e-6  # mm
POINTS = 200
GREATEST_SHARE = 0.75  # widest tenon, of the rim; common practice, no source
NEAR = 0.02  # design of the project, section 4: a share so little under the wish is no finding
AIR = 5.0  # mm between the holder and the wood; chosen in the project, section 4 rule 8
MOST_CUTS = 7  # in a chain


@dataclass(frozen=True, slots=True, kw_only=True)
class Tenon:
    """A tenon in certain jaws: depth of its shoulder, and whether it is under its wish."""

    shoulder: float
    under_again: bool
    under_leaf: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One cut, the core it frees, and the tenons that may hold it."""

    cutter: Cutter
    entry: float
    depth: float
    p: float
    q: float
    rim: float
    size: float
    outside: np.ndarray
    tenons: tuple[Tenon, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The best chain there is.

    Args:
        cuts: number of them; -1 where no chain has the wanted rims.
        unders: tenons under their wished share, the blank's included.
        sizes: sum of the sizes with the blank, mm³.
        first: size of the first core, mm³.
        uneven: sum of greatest minus least walls, mm; for the objective `even` only.
    """

    cuts: int
    unders: int
    sizes: float
    first: float
    uneven: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Blank:
    outside: np.ndarray
    rim: float
    shoulder: float
    size: float
    under: bool
    away: float  # of the neck from the wish


def exhaustive(
    job: Job, shop: Shop, *, grid: float, settings: list[Setting] | None = None
) -> Answer:
    """The best of all chains on a grid by the job's objective."""
    even, largest = job.nest.objective == "even", job.nest.objective == "largest"
    blanks = _blanks(job, shop)
    rim = max(b.rim for b in blanks)
    if settings is None:
        settings = every_setting(
            job, shop, grid=grid, reach=rim, deep=max(b.shoulder for b in blanks)
        )
    settings = sorted(settings, key=lambda s: s.size)
    inner = _inside_out(job, settings, even=even)
    answers = []
    for blank in blanks:
        answers += _from_blank(job, blank, settings, inner)
    if not answers:
        return Answer(cuts=-1, unders=0, sizes=0.0, first=0.0, uneven=0.0)
    if largest:
        top = max(a.first for a, _ in answers)
        answers = [(a, away) for a, away in answers if a.first >= top * (1 - 1e-9)]

    def rank(pair: tuple[Answer, float]) -> tuple[float, ...]:
        answer, away = pair
        wish = answer.uneven if even else 0.0
        return (-answer.cuts, answer.unders, wish, away, -answer.sizes)

    return min(answers, key=rank)[0]


def _from_blank(
    job: Job, blank: _Blank, settings: list[Setting], inner: np.ndarray
) -> list[tuple[Answer, float]]:
    """The best chain of each number of cuts and tenons from a blank; for each first core."""
    even = job.nest.objective == "even"
    wanted = len(job.nest.wanted)
    found = []
    met = _met(job, blank.rim)
    if any(_cover(wanted, some, 0) for some in met):
        found.append(
            (
                Answer(cuts=0, unders=int(blank.under), sizes=blank.size, first=0.0, uneven=0.0),
                blank.away,
            )
        )
    wall = _wall_kept(job, blank.outside, blank.rim, settings)
    mask = wall & _floor_kept(job, blank.rim, blank.shoulder, settings)
    differ = np.zeros(len(settings))
    if even:
        differ = spreads(job, blank.outside, blank.shoulder, settings, mask)
    for k in np.flatnonzero(mask):
        uneven = float(differ[k])
        for cuts, unders, have in np.argwhere(np.isfinite(inner[k])):
            if not any(_cover(wanted, some, have) for some in met):
                continue
            value = float(inner[k, cuts, unders, have])
            found.append(
                (
                    Answer(
                        cuts=int(cuts),
                        unders=int(unders) + blank.under,
                        sizes=0.0 if even else blank.size + value,
                        first=settings[k].size,
                        uneven=uneven - value if even else 0.0,
                    ),
                    blank.away,
                )
            )
    return found


def _cover(wanted: int, one: int, other: int) -> bool:
    return one & other == 0 and one | other == 2**wanted - 1


def _met(job: Job, rim: float) -> list[int]:
    """Sets of wanted rims that one bowl may stand for: none, or one of those it meets."""
    near = job.nest.wanted_tolerance + 1e-6
    return [0] + [1 << n for n, w in enumerate(job.nest.wanted) if abs(2 * rim - w) <= near]


def _inside_out(job: Job, settings: list[Setting], *, even: bool) -> np.ndarray:
    """For every cut, number of cuts, of tenons under and set of wanted rims: the best figure.

    The figure is the sum of sizes, or minus the sum of spreads of the bowls inside the cut.
    """
    masks = 2 ** len(job.nest.wanted)
    best = np.full((len(settings), MOST_CUTS + 1, MOST_CUTS + 2, masks), -np.inf)
    for n, setting in enumerate(settings):
        own = 0.0 if even else setting.size
        leaf = min(t.under_leaf for t in setting.tenons)
        met = _met(job, setting.rim)
        for mask in met:
            best[n, 1, int(leaf), mask] = own
        wall = _wall_kept(job, setting.outside, setting.rim, settings[:n])
        if not wall.any():
            continue
        for tenon in setting.tenons:
            mask = wall & _floor_kept(job, setting.rim, tenon.shoulder, settings[:n])
            kept = np.flatnonzero(mask)
            if not len(kept):
                continue
            uneven = np.zeros(n)
            if even:
                uneven = spreads(job, setting.outside, tenon.shoulder, settings[:n], mask)
            inside = (best[kept] - uneven[kept, None, None, None]).max(axis=0)
            for mask, have in itertools.product(met, range(masks)):
                if mask & have:
                    continue
                more = int(tenon.under_again)
                gain = inside[:-1, : MOST_CUTS + 2 - more, have] + own
                place = best[n, 1:, more:, mask | have]
                np.maximum(place, gain, out=place)
    return best


def spreads(
    job: Job, outside: np.ndarray, shoulder: float, cuts: list[Setting], kept: np.ndarray
) -> np.ndarray:
    """Greatest minus least wall between an outside and the cuts kept; infinite for the others.

    The greatest is from the outside as it is once its tenon is turned: cut off at the shoulder,
    then flat to the axis.
    """
    found = np.full(len(cuts), np.inf)
    r, z = outside[:, 0], outside[:, 1]
    above = int(np.argmax(z > shoulder)) if (z > shoulder).any() else len(z)
    last = r[above - 1]
    if above < len(z):
        share = (shoulder - z[above - 1]) / (z[above] - z[above - 1])
        last = last + share * (r[above] - last)
    turned = np.array([*outside[:above], (last, shoulder), (0.0, shoulder)])
    for k in np.flatnonzero(kept):
        cut = cuts[k]
        radius = cut.cutter.radius
        low, high = math.asin(cut.q / radius), math.acos(-cut.p / radius)
        least, greatest = math.inf, 0.0
        for _ in range(2):  # the second time nearer to where the wall is greatest
            angles = np.linspace(low, high, 80)
            x = np.maximum(cut.p + radius * np.cos(angles), 0.0)
            edge = np.stack(
                [np.hypot(x, job.nest.height_above_centre), radius * np.sin(angles) - cut.q],
                axis=1,
            )
            gaps = _gaps(edge, turned)
            least = min(least, float(_gaps(edge, outside).min()))
            greatest = max(greatest, float(gaps.max()))
            at = int(gaps.argmax())
            low, high = angles[max(0, at - 1)], angles[min(79, at + 1)]
        found[k] = greatest - least
    return found


def _gaps(places: np.ndarray, outside: np.ndarray) -> np.ndarray:
    """Distance of each place from the sides between the points of an outside."""
    a, run = outside[:-1], np.diff(outside, axis=0)
    square = np.maximum((run**2).sum(axis=1), 1e-30)
    share = ((places[:, None] - a) * run).sum(axis=2) / square
    near = a + np.clip(share, 0, 1)[..., None] * run
    return np.hypot(*np.moveaxis(places[:, None] - near, 2, 0)).min(axis=1)


def _tenon_of(jaws: Jaws, job: Job) -> tuple[float, float, float]:
    """Neck, end face and length of the tenon that closed jaws hold."""
    length = min(job.tenon.length, jaws.depth - 1.5)
    more = 2 * length * math.tan(math.radians(jaws.dovetail_angle))
    if jaws.measured_at == "bottom":
        return jaws.true_circle - more, jaws.true_circle, length
    return jaws.true_circle, jaws.true_circle + more, length


def _may_hold(neck: float, rim: float, shop: Shop) -> bool:
    return shop.rules.refuse_share * 2 * rim <= neck <= GREATEST_SHARE * 2 * rim


def _blanks(job: Job, shop: Shop) -> list[_Blank]:
    """The turned blank in each of the jaws that may hold it; an arc or a cylinder."""
    rim, height = job.blank.diameter / 2, job.blank.height
    found = []
    for jaws in shop.jaws:
        neck, end, length = _tenon_of(jaws, job)
        if not _may_hold(neck, rim, shop):
            continue
        deep, foot = height - length, neck / 2 + job.tenon.shoulder
        if foot >= rim or deep <= 0:
            continue
        if job.blank.outside == "cylinder":
            points = [(rim, z) for z in np.linspace(0, deep, POINTS)]
        else:
            centre = (rim * rim - foot * foot - deep * deep) / (2 * (rim - foot))
            radius, last = rim - centre, math.atan2(deep, foot - centre)
            if centre > foot:
                centre, radius, last = rim - deep, deep, math.pi / 2
            points = [
                (centre + radius * math.cos(t), radius * math.sin(t))
                for t in np.linspace(0, last, POINTS)
            ]
        flat = [(r, deep) for r in np.linspace(points[-1][0], neck / 2, 40)]
        outside = np.array([*points, *flat])
        whole = [(0.0, 0.0), *map(tuple, outside), (end / 2, height), (0.0, height)]
        found.append(
            _Blank(
                outside=outside,
                rim=rim,
                shoulder=deep,
                size=_volume(np.array(whole)),
                under=neck / (2 * rim) < job.tenon.share - NEAR - 1e-12,
                away=abs(neck - job.tenon.share * 2 * rim),
            )
        )
    return found


def _volume(points: np.ndarray) -> float:
    r, z = points[:, 0], points[:, 1]
    return math.pi / 3 * float(np.sum((r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) * np.diff(z)))


def every_setting(job: Job, shop: Shop, *, grid: float, reach: float, deep: float) -> list[Setting]:
    """Every cut on the grid that keeps rules 3 to 6 and 8 of design.md §4."""
    found = []
    for cutter in shop.cutters:
        if job.nest.relief and job.nest.relief.shift > cutter.kerf:
            continue
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
    post, relief = shop.post, job.nest.relief
    shift, step = (relief.shift, relief.depth) if relief else (0.0, 0.0)
    if q < post.min_standoff or not post.min_offset + shift <= p <= post.max_offset:
        return None
    if abs(p) >= rho or q >= rho or abs(math.asin(p / R)) > math.radians(job.nest.max_slope):
        return None
    swing = math.acos(-p / R) - math.asin(q / R)
    if swing > math.radians(cutter.max_swing):
        return None
    if cutter.arc is not None:
        sine = (q - (cutter.holder or 0.0) / 2 - AIR) / R
        if sine < -1 or math.acos(-p / R) - math.asin(sine) > math.radians(cutter.arc):
            return None
    lowest = math.sqrt(rho * rho - p * p) - q if p < 0 else rho - q
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
        xs = p + rho * np.cos(angles) - np.where(above, shift, 0.0)
    else:
        xs = p + rho * np.cos(angles)
    if xs.min() < -1e-6:
        return None
    xs = np.maximum(xs, 0.0)
    outside = np.stack([np.hypot(xs, h), rho * np.sin(angles) - q], axis=1)
    rim = float(outside[0, 0])
    if 2 * rim < job.nest.min_bowl:
        return None
    tenons = _tenons(job, shop, outside, rim)
    if not tenons:
        return None
    return Setting(
        cutter=cutter,
        entry=entry,
        depth=depth,
        p=p,
        q=q,
        rim=rim,
        size=_volume(outside),
        outside=outside,
        tenons=tenons,
    )


def _tenons(job: Job, shop: Shop, outside: np.ndarray, rim: float) -> tuple[Tenon, ...]:
    """Rules 3, 4 and 6: the tenons that fit a core, one for each set of jaws that may hold it."""
    found = []
    again = job.tenon.share if job.nest.order == "outer-first" else job.tenon.core_share
    for jaws in shop.jaws:
        neck, end, length = _tenon_of(jaws, job)
        if not _may_hold(neck, rim, shop) or end / 2 < outside[-1, 0]:
            continue
        shoulder = float(np.interp(-end / 2, -outside[:, 0], outside[:, 1])) - length
        if shoulder < max(job.nest.min_depth, 2 * rim * job.nest.min_ratio):
            continue
        found.append(
            Tenon(
                shoulder=shoulder,
                under_again=neck / (2 * rim) < again - NEAR,
                under_leaf=neck / (2 * rim) < job.tenon.core_share - NEAR,
            )
        )
    return tuple(found)


def _wall(job: Job, rim: float) -> float:
    wall = job.nest.wall
    return wall.length if isinstance(wall, LengthWall) else wall.share * 2 * rim


def _floor_kept(job: Job, rim: float, shoulder: float, cuts: list[Setting]) -> np.ndarray:
    """Which cuts leave the floor of a bowl with that tenon's shoulder."""
    floor = _wall(job, rim) if job.nest.floor is None else job.nest.floor
    deepest = np.array([c.cutter.radius - c.q if c.p >= 0 else c.depth for c in cuts])
    return shoulder - deepest >= floor - SPARE


def _wall_kept(job: Job, outside: np.ndarray, rim: float, cuts: list[Setting]) -> np.ndarray:
    """Which cuts leave the wall of a bowl with that outside."""
    if not cuts:
        return np.zeros(0, dtype=bool)
    h = job.nest.height_above_centre
    wall = _wall(job, rim)
    right = rim - np.array([c.entry for c in cuts]) >= wall - SPARE
    k = np.flatnonzero(right)
    if not len(k):
        return right
    radius = np.array([cuts[n].cutter.radius for n in k])
    p, q = np.array([cuts[n].p for n in k]), np.array([cuts[n].q for n in k])
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
