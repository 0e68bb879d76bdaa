"""The search for the best chain of cuts on the grid a turner can mark (design.md §4)."""

import math
from dataclasses import dataclass

from templategen.inputs.records import Cutter, Job, Shop
from templategen.nest.rules import (
    SAME,
    Body,
    Swing,
    core_body,
    fits_post,
    fits_slope,
    fits_swing,
    quick_wall,
    required_floor,
    required_wall,
    swing_from,
    wall_between,
)

BEAM = 10  # chains kept at each cut
TRIES = 6  # best settings tried in each piece and cutter


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Cuts from the rim inward with the bodies they free."""

    swings: tuple[Swing, ...] = ()
    bodies: tuple[Body, ...]

    @property
    def score(self) -> tuple[int, float]:
        """Number of pieces, then the sum of the sizes."""
        return len(self.bodies), sum(b.size for b in self.bodies)


def best_chain(blank: Body, job: Job, shop: Shop) -> Chain:
    """The chain of cuts with the most pieces, then the greatest sum of sizes.

    With the objective ``largest`` the first core is as large as it can be. For a given cutter
    and entry the deepest cut that keeps every rule frees a core that holds every other, so
    only that depth is tried for each entry mark.

    Args:
        blank: the turned blank.
        job: the wishes.
        shop: cutters, jaws and post.

    Returns: the chain; only the blank itself when no cut keeps the rules.
    """
    start = Chain(bodies=(blank,))
    beam, best = [start], start
    while beam:
        grown: list[Chain] = []
        for chain in beam:
            for swing, body in settings(chain.bodies[-1], job, shop):
                grown.append(Chain(swings=(*chain.swings, swing), bodies=(*chain.bodies, body)))
        if job.nest.objective == "largest" and len(beam) == 1 and beam[0] is start and grown:
            top = max(c.bodies[1].size for c in grown)
            grown = [c for c in grown if c.bodies[1].size >= top * (1 - 1e-9)]
        grown.sort(key=lambda c: (c.bodies[-1].size, c.score[1]), reverse=True)
        by_sum = sorted(grown, key=lambda c: c.score[1], reverse=True)[:BEAM]
        beam = grown[:BEAM] + [c for c in by_sum if c not in grown[:BEAM]]
        best = max([best, *beam], key=lambda c: c.score)
    return best


def settings(body: Body, job: Job, shop: Shop) -> list[tuple[Swing, Body]]:
    """The settings worth trying in a piece: for each cutter the best few, largest core first."""
    wall = required_wall(job, rim_radius=body.rim_radius)
    floor = required_floor(job, rim_radius=body.rim_radius)
    extra = 2 * job.nest.setting_tolerance if job.nest.guard == "worst" else 0.0
    wall, floor = wall + 2 * extra, floor + 2 * extra
    found: list[tuple[Swing, Body]] = []
    for cutter in shop.cutters:
        if job.nest.cutters and cutter.id not in job.nest.cutters:
            continue
        mine: list[tuple[Swing, Body]] = []
        for swing in _deepest_settings(body, cutter, job, shop, wall=wall, floor=floor):
            core = core_body(swing, job, shop)
            if core is not None:
                mine.append((swing, core))
        mine.sort(key=lambda pair: pair[1].size, reverse=True)
        found += mine[:TRIES]
    found.sort(key=lambda pair: pair[1].size, reverse=True)
    return found


def _deepest_settings(
    body: Body, cutter: Cutter, job: Job, shop: Shop, *, wall: float, floor: float
) -> list[Swing]:
    grid = job.units.grid
    height = job.nest.height_above_centre
    lowest = max(height + grid, job.nest.min_bowl / 2)
    entry_step = math.floor((body.rim_radius - wall) / grid + 1e-6)
    room = body.shoulder - floor
    if room <= 0:
        return []
    swings: list[Swing] = []
    deepest_reached = -1.0
    stale = 0
    for step in range(entry_step, math.ceil(lowest / grid) - 1, -1):
        swing = _deepest(
            body, cutter, job, shop, entry=step * grid, wall=wall, room=room, height=height
        )
        if swing is None:
            continue
        swings.append(swing)
        if swing.deepest > deepest_reached + SAME:
            deepest_reached, stale = swing.deepest, 0
        else:
            stale += 1
            if stale > 4:
                break
    return swings


def _deepest(
    body: Body,
    cutter: Cutter,
    job: Job,
    shop: Shop,
    *,
    entry: float,
    wall: float,
    room: float,
    height: float,
) -> Swing | None:
    """The deepest grid depth that keeps the rules which deeper cuts break, or None."""
    grid = job.units.grid

    def too_deep(swing: Swing) -> bool:
        return (
            swing.q < shop.post.min_standoff - SAME
            or swing.p < shop.post.min_offset - SAME
            or swing.p < -cutter.radius * math.sin(math.radians(job.nest.max_slope)) - SAME
            or swing.deepest > room + SAME
            or not fits_swing(swing)
            or quick_wall(body.outside, swing, height=height) < wall - SAME
        )

    low, high = 0, math.floor(min(room, 2 * cutter.radius) / grid + 1e-6) + 1
    while high - low > 1:
        middle = (low + high) // 2
        swing = swing_from(cutter, entry_radius=entry, depth=middle * grid, height=height)
        if swing is None or too_deep(swing):
            high = middle
        else:
            low = middle
    for step in range(low, max(0, low - 4), -1):
        swing = swing_from(cutter, entry_radius=entry, depth=step * grid, height=height)
        if swing is None or not (fits_post(swing, shop) and fits_slope(swing, job)):
            return None
        if wall_between(body.outside[::3], swing, height=height) >= wall - SAME and (
            wall_between(body.outside, swing, height=height) >= wall - SAME
        ):
            return swing
    return None
