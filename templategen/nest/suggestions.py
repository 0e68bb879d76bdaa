"""Changes to a job or a shop that would give another bowl, each tried by planning again."""

import dataclasses
import itertools
import math
from collections.abc import Callable, Iterator

from templategen.messages import Joined, Message, tr, tr_count
from templategen.nest.findings import lengths_of
from templategen.nest.plan import Finding, Level, Plan, Rule
from templategen.trade.records import DryingWall, Job, LengthWall, ShareWall, Shop
from templategen.units import MM_PER_INCH

LEAST_RADIUS, MOST_RADIUS = 30.0, 600.0  # mm, of a cutter that is tried
COARSE = 4  # changes are tried on every fourth mark of the grid: quick, and each is a real plan

BowlCount = Callable[[Job, Shop, float, int], int | None]


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One change: the rule it eases, how it is said, the changed job and shop."""

    rule: Rule
    label: Message
    job: Job
    shop: Shop


def suggestions(plan: Plan, count: BowlCount, *, grid: float, stopped: bool) -> list[Finding]:
    """The smallest change of each kind that gives another bowl; else the list of those tried.

    Args:
        plan: the plan as it is.
        count: number of bowls of a job and shop on a grid, exact where it is more than a given
            number; None where it is not known.
        grid: marks of the plan, mm.
        stopped: whether the plan has a stop; then stronger changes are tried too.
    """
    job, have = plan.job, len(plan.bowls)
    if job.nest.pinned and not job.nest.add_cuts:
        return []
    kinds: dict[Rule, list[Trial]] = {}
    for trial in _trials(job, plan.shop, stopped=stopped and have == 1):
        kinds.setdefault(trial.rule, []).append(trial)
    found: list[Finding] = []
    strongest: list[Message] = []
    for rule, trials in kinds.items():
        is_known = True
        for trial in trials:
            bowls = count(trial.job, trial.shop, COARSE * grid, have)
            is_known = is_known and bowls is not None
            if bowls is not None and bowls > have:
                text = tr_count(
                    "with {change}: one more bowl",
                    "with {change}: {count} more bowls",
                    bowls - have,
                    change=trial.label,
                )
                found.append(Finding(level=Level.NOTE, rule=rule, text=text))
                break
        else:
            if is_known:
                strongest.append(trials[-1].label)
    if not found and strongest:
        text = tr(
            "no single change tried gives another bowl: {changes}",
            changes=Joined(tuple(strongest), "; "),
        )
        found.append(Finding(level=Level.NOTE, rule=Rule.ANOTHER_BOWL, text=text))
    return found


def _trials(job: Job, shop: Shop, *, stopped: bool) -> Iterator[Trial]:
    """Changes, for each rule the smallest first; stronger ones where the plan has a stop."""
    factors = (0.95, 0.9, 0.8) if not stopped else (0.9, 0.8, 0.65, 0.5)
    yield from _wall_trials(job, shop, factors)
    yield from _nest_trials(job, shop, factors)
    yield from _cutter_trials(job, shop)
    for factor in factors:
        core = job.tenon.core_share * factor
        if core >= shop.rules.refuse_share:
            label = tr(
                "tenons of {share:.0%} of the cores' rims instead of {usual:.0%}",
                share=core,
                usual=job.tenon.core_share,
            )
            tenon = dataclasses.replace(job.tenon, core_share=core)
            changed = dataclasses.replace(job, tenon=tenon)
            yield Trial(rule=Rule.TENON_SHARE, label=label, job=changed, shop=shop)


def _nest_trial(rule: Rule, label: Message, job: Job, shop: Shop, **changes: object) -> Trial:
    nest = dataclasses.replace(job.nest, **changes)  # type: ignore[arg-type]
    return Trial(rule=rule, label=label, job=dataclasses.replace(job, nest=nest), shop=shop)


def _wall_trials(job: Job, shop: Shop, factors: tuple[float, ...]) -> Iterator[Trial]:
    show, nest = lengths_of(job), job.nest
    for factor in factors:
        match nest.wall:
            case ShareWall(share):
                label = tr(
                    "a wall of {thin:.1%} of the rim instead of {usual:.1%}",
                    thin=share * factor,
                    usual=share,
                )
                wall = ShareWall(share * factor)
                yield _nest_trial(Rule.WALL, label, job, shop, wall=wall)
            case LengthWall(length):
                thin = _on_grid(length * factor, job)
                label = tr(
                    "a wall of {thin} instead of {usual}", thin=show(thin), usual=show(length)
                )
                yield _nest_trial(Rule.WALL, label, job, shop, wall=LengthWall(thin))
            case DryingWall():
                thin = _on_grid(nest.finished_wall * factor, job)
                label = tr(
                    "a finished wall of {thin} instead of {usual}",
                    thin=show(thin),
                    usual=show(nest.finished_wall),
                )
                yield _nest_trial(Rule.WALL, label, job, shop, finished_wall=thin)


def _nest_trials(job: Job, shop: Shop, factors: tuple[float, ...]) -> Iterator[Trial]:
    """Smaller bowls, no relief cut, a steeper slope at the axis."""
    show, nest = lengths_of(job), job.nest
    for factor in factors:
        small = _on_grid(nest.min_bowl * factor, job)
        label = tr(
            "bowls down to {small} instead of {usual}",
            small=show(small),
            usual=show(nest.min_bowl),
        )
        yield _nest_trial(Rule.BOWL_SIZE, label, job, shop, min_bowl=small)
    if nest.relief is not None:
        yield _nest_trial(Rule.WALL_AND_RELIEF, tr("no relief cut"), job, shop, relief=None)
    for more in (3.0, 6.0):
        label = tr("a slope at the axis up to {slope:g}°", slope=nest.max_slope + more)
        yield _nest_trial(Rule.CUTTER, label, job, shop, max_slope=nest.max_slope + more)


def _cutter_trials(job: Job, shop: Shop) -> Iterator[Trial]:
    for radius in _other_radii(job, shop):
        owned = min(shop.cutters, key=lambda c: abs(c.radius - radius))
        extra = dataclasses.replace(owned, id="another", radius=radius)
        wider = dataclasses.replace(shop, cutters=(*shop.cutters, extra))
        names = (*job.nest.cutters, "another") if job.nest.cutters else ()
        label = tr("one more cutter, of {radius} radius", radius=lengths_of(job)(radius))
        yield _nest_trial(Rule.ANOTHER_CUTTER, label, job, wider, cutters=names)


def _other_radii(job: Job, shop: Shop) -> list[float]:
    """Radii of cutters that the shop might add: between its own, or a step beyond them, mm."""
    step = 5.0 if job.units.mm == 1 else MM_PER_INCH / 4
    radii = sorted(
        {c.radius for c in shop.cutters if not job.nest.cutters or c.id in job.nest.cutters}
    )
    between = [(a + b) / 2 for a, b in itertools.pairwise(radii) if b - a > 3 * step]
    wished = [*between, 0.8 * radii[0], 0.5 * radii[0], 1.2 * radii[-1]]
    most = min(MOST_RADIUS, job.blank.diameter / 2 + 20.0)
    rounded = {step * round(radius / step) for radius in wished}
    return sorted(r for r in rounded if LEAST_RADIUS <= r <= most and r not in radii)


def _on_grid(length: float, job: Job) -> float:
    """A length on the grid, rounded down, mm."""
    grid = job.units.grid
    return math.floor(length / grid + 1e-6) * grid
