"""Changes to a job or a shop that would give another bowl, each tried by planning again.

They are tried on the marks of the plan itself, so that 'nothing tried gives another bowl' is true;
`cut_table.may_hold` proves most of them to be in vain at once.
"""

import dataclasses
import itertools
import math
from collections import Counter
from collections.abc import Iterator

from templategen.messages import Joined, Message, tr, tr_count
from templategen.nest.chains import chain_with_more
from templategen.nest.findings import lengths_of
from templategen.nest.plan import Finding, Level, Plan, Rule
from templategen.nest.plan_building import build_plan
from templategen.nest.search import Chain, TooLong
from templategen.trade.records import DryingWall, Jaws, Job, LengthWall, ShareWall, Shop
from templategen.units import MM_PER_INCH

LEAST_RADIUS, MOST_RADIUS = 30.0, 600.0  # mm, of a cutter that is tried
TRIAL_WORK = 2_000  # of the search for one change
WIDER = 4  # times as wide are the marks where that is not enough
APART = 0.05  # share by which the jaws that are tried differ from the shop's own
DEEP_JAWS = 14.0  # mm; of jaws that are tried where the shop has none


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One change: the rule it eases, how it is said, the changed job and shop."""

    rule: Rule
    label: Message
    job: Job
    shop: Shop


def suggestions(plan: Plan, *, grid: float) -> list[Finding]:
    """The smallest change of each kind that gives another bowl; else one line that none does.

    A change that helps is told with the cautions that it brings, and `Finding.changed` has the
    job and the shop with the change made; the line that none does has what was tried.

    Args:
        plan: the plan as it is.
        grid: marks of the plan, mm.
    """
    job = plan.job
    if job.nest.pinned and not job.nest.add_cuts:
        return []
    kinds: dict[Rule, list[Trial]] = {}
    stopped = plan.has_stop and len(plan.bowls) == 1
    for trial in _trials(plan, stopped=stopped):
        kinds.setdefault(trial.rule, []).append(trial)
    found: list[Finding] = []
    in_vain: list[Message] = []
    for trials in kinds.values():
        is_known = True
        for trial in trials:
            try:
                helps = _what_it_gives(trial, plan, grid)
            except TooLong:
                is_known = False
                continue
            if helps is not None:
                found.append(helps)
                break
        else:
            if is_known:
                in_vain.append(trials[-1].label)
    if not found and in_vain:
        text = tr("nothing that was tried gives another bowl")
        found.append(
            Finding(level=Level.NOTE, rule=Rule.ANOTHER_BOWL, text=text, tried=tuple(in_vain))
        )
    return found


def _what_it_gives(trial: Trial, plan: Plan, grid: float) -> Finding | None:
    """What a change gives, with the cautions it brings; None where it gives no bowl.

    Raises:
        TooLong: it is not known.
    """
    have = len(plan.bowls)
    held = plan.bowls[0].jaws is not None
    wanted = have if held else have - 1
    try:
        chain = _chain(trial, grid, wanted)
    except TooLong:  # what wider marks give can be made as well; what they do not may be there
        chain = _chain(trial, WIDER * grid, wanted)
        if chain is None:
            raise
    if chain is None:
        return None
    changed = build_plan(trial.job, trial.shop, chain)
    if changed.has_stop:
        return None
    had = Counter(f.rule for f in plan.findings if f.level is Level.CAUTION)
    has = Counter(f.rule for f in changed.findings if f.level is Level.CAUTION)
    brings = [tr(rule.value) for rule in has - had]
    text = tr_count(
        "with {change}: one more bowl",
        "with {change}: {count} more bowls",
        len(changed.bowls) - have,
        change=trial.label,
    )
    if not held:
        text = tr_count(
            "with {change} the blank is held: one bowl",
            "with {change} the blank is held: {count} bowls",
            len(changed.bowls),
            change=trial.label,
        )
    if brings:
        text = tr(
            "{gain}; it brings a caution: {cautions}",
            gain=text,
            cautions=Joined(tuple(brings), ", "),
        )
    return Finding(level=Level.NOTE, rule=trial.rule, text=text, changed=(trial.job, trial.shop))


def _chain(trial: Trial, grid: float, bowls: int) -> Chain | None:
    return chain_with_more(trial.job, trial.shop, grid=grid, bowls=bowls, most_work=TRIAL_WORK)


def _trials(plan: Plan, *, stopped: bool) -> Iterator[Trial]:
    """Changes, for each rule the smallest first; stronger ones where the plan has a stop."""
    job, shop = plan.job, plan.shop
    factors = (0.95, 0.9, 0.8) if not stopped else (0.9, 0.8, 0.65, 0.5)
    yield from _jaws_trials(plan)
    if plan.bowls[0].jaws is None:
        return
    yield from _wall_trials(job, shop, factors)
    yield from _nest_trials(job, shop, factors)
    yield from _cutter_trials(job, shop)


def _jaws_trials(plan: Plan) -> Iterator[Trial]:
    """One more set of jaws: for a blank that none hold, else for the cores and smaller ones."""
    job, shop, step = plan.job, plan.shop, _step(plan.job)
    sizes = [job.tenon.share * job.blank.diameter]
    if plan.bowls[0].jaws is not None:
        rims = [*(bowl.rim_diameter for bowl in plan.bowls[1:]), job.nest.min_bowl]
        sizes = [job.tenon.core_share * rim for rim in rims]
    pattern = max(shop.jaws, key=lambda j: j.depth, default=None)
    owned = [j.true_circle for j in shop.jaws]
    for size in sorted({step * round(size / step) for size in sizes}):
        if not size or any(abs(size - own) < APART * own for own in owned):
            continue
        jaws = Jaws(id="another", true_circle=size, depth=DEEP_JAWS)
        if pattern is not None:
            jaws = dataclasses.replace(pattern, id="another", true_circle=size)
        label = tr("one more set of jaws, closing at {size}", size=lengths_of(job)(size))
        wider = dataclasses.replace(shop, jaws=(*shop.jaws, jaws))
        yield Trial(rule=Rule.JAWS, label=label, job=job, shop=wider)


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
    step = _step(job)
    radii = sorted(
        {c.radius for c in shop.cutters if not job.nest.cutters or c.id in job.nest.cutters}
    )
    between = [(a + b) / 2 for a, b in itertools.pairwise(radii) if b - a > 3 * step]
    wished = [*between, 0.8 * radii[0], 0.5 * radii[0], 1.2 * radii[-1]]
    most = min(MOST_RADIUS, job.blank.diameter / 2 + 20.0)
    rounded = {step * round(radius / step) for radius in wished}
    return sorted(r for r in rounded if LEAST_RADIUS <= r <= most and r not in radii)


def _step(job: Job) -> float:
    """Step of the sizes of cutters and jaws that are tried, mm."""
    return 5.0 if job.units.mm == 1 else MM_PER_INCH / 4


def _on_grid(length: float, job: Job) -> float:
    """A length on the grid, rounded down, mm."""
    grid = job.units.grid
    return math.floor(length / grid + 1e-6) * grid
