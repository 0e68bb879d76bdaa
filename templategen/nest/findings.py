"""What a plan has to say: rules that are broken, near misses, and changes tried as mends."""

import dataclasses
import itertools
import math
from collections.abc import Callable, Iterator

from templategen.messages import figure, mark, say, say_count
from templategen.nest.plan import Bowl, Cut, Finding, Level, Plan
from templategen.nest.rules import (
    MET,
    SAME,
    Body,
    CutSetting,
    core_curves,
    fits_offset,
    fits_slope,
    fits_standoff,
    fits_swing,
)
from templategen.trade.choices import Guard
from templategen.trade.jaws import GREATEST_SHARE
from templategen.trade.records import DryingWall, Job, LengthWall, ShareWall, Shop
from templategen.units import MM_PER_INCH, printed_length

LEAST_RADIUS, MOST_RADIUS = 30.0, 600.0  # mm, of a cutter tried as a mend
COARSE = 4  # mends are tried on every fourth mark of the grid: quick, and each is a real plan

Counted = Callable[[Job, Shop, float, int], int | None]


def blank_findings(job: Job, shop: Shop, blank: Body) -> list[Finding]:
    """Rule 4 and the lathe's swing on the blank itself."""
    show = _lengths(job)
    findings: list[Finding] = []
    diameter, share = job.blank.diameter, blank.tenon_diameter / job.blank.diameter
    least = shop.rules.refuse_share
    if blank.jaws is None:
        sizes = sorted(j.true_circle for j in shop.jaws)
        most = GREATEST_SHARE * diameter
        owned = say("the shop has no jaws")
        if sizes and sizes[0] > most:
            owned = say("the shop's smallest jaws close at {size}", size=show(sizes[0]))
        elif sizes and sizes[-1] < least * diameter:
            owned = say("the shop's largest jaws close at {size}", size=show(sizes[-1]))
        elif sizes:
            owned = say("none of the shop's jaws close within the range")
        findings.append(
            Finding(
                level=Level.STOP,
                rule=mark("tenon share"),
                text=say(
                    "{owned}, {low} to {high} is needed ({least:.0%} to {most:.0%} of the blank); "
                    "jaws of about {size} would hold it",
                    owned=owned,
                    low=show(least * diameter),
                    high=show(most),
                    least=least,
                    most=GREATEST_SHARE,
                    size=show(blank.tenon_diameter),
                ),
            )
        )
    elif share < shop.rules.caution_share - SAME:
        findings.append(
            Finding(
                level=Level.CAUTION,
                rule=mark("tenon share"),
                text=say(
                    "the holding tenon is {share:.1%} of the blank, half is the usual figure: "
                    "lighter cuts, lower speed",
                    share=share,
                ),
            )
        )
    swing = shop.lathe.swing
    if swing is not None and diameter > swing:
        findings.append(
            Finding(
                level=Level.STOP,
                rule=mark("lathe swing"),
                text=say(
                    "the blank is {diameter}, the lathe swings {swing}: take a smaller blank",
                    diameter=show(diameter),
                    swing=show(swing),
                ),
            )
        )
    return findings


def many_settings(job: Job, marks: float, *, is_whole: bool) -> Finding:
    """So many cutters and so large a blank that not every mark, or every setting, is tried."""
    show = _lengths(job)
    if not is_whole:
        return Finding(
            level=Level.NOTE,
            rule=mark("marks"),
            text=say(
                "so many settings are possible that not all were tried; name fewer cutters in "
                "nest.cutters to try them all"
            ),
        )
    return Finding(
        level=Level.NOTE,
        rule=mark("marks"),
        text=say(
            "so many settings are possible that only marks of {tried} were tried, not of "
            "{wanted}; name fewer cutters in nest.cutters to try them all",
            tried=show(marks),
            wanted=show(job.units.grid),
        ),
    )


def judge(plan: Plan) -> list[Finding]:
    """Every rule of design.md §4 asked of every cut and piece of a plan.

    The search only gives cuts that keep the rules, so what is broken comes from pinned cuts.
    """
    job, show = plan.job, _lengths(plan.job)
    findings: list[Finding] = []
    if not plan.cuts:
        findings.append(
            Finding(
                level=Level.STOP,
                rule=mark("cutter"),
                text=say(
                    "no cutter fits: none of the shop's cutters frees a bowl of {size} that keeps "
                    "wall, floor and tenon",
                    size=show(job.nest.min_bowl),
                ),
            )
        )
    for cut in plan.cuts:
        findings += _judge_cut(plan, cut)
    for piece in plan.bowls:
        findings += _judge_piece(plan, piece)
    findings += _judge_worst(plan)
    return findings


def _judge_cut(plan: Plan, cut: Cut) -> Iterator[Finding]:
    """Rule 5 on one cut."""
    job, post, show = plan.job, plan.shop.post, _lengths(plan.job)
    swing = CutSetting(
        cutter=cut.cutter,
        p=cut.pivot_offset,
        q=cut.pivot_standoff,
        entry_radius=cut.entry_radius,
        depth_at_axis=cut.depth_at_axis,
    )
    broken: list[tuple[str, str, str]] = []
    if not fits_standoff(swing, plan.shop):
        needs = say("at least {least}", least=show(post.min_standoff))
        broken.append((say("standoff"), show(cut.pivot_standoff), needs))
    if not fits_offset(swing, plan.shop):
        needs = say("{low} to {high}", low=show(post.min_offset), high=show(post.max_offset))
        broken.append((say("offset"), show(cut.pivot_offset), needs))
    if not fits_swing(swing):
        needs = say("at most {most}", most=f"{figure(cut.cutter.max_swing, '.0f')}°")
        broken.append((say("swing"), f"{figure(math.degrees(cut.swing), '.0f')}°", needs))
    if not fits_slope(swing, job):
        needs = say("at most {most}", most=f"{figure(job.nest.max_slope, 'g')}°")
        has = f"{figure(math.degrees(cut.slope), '.1f')}°"
        broken.append((say("slope at the axis"), has, needs))
    if cut.relief and core_curves(swing, height=cut.cutter_height, relief=cut.relief) is None:
        needs = say(
            "an inner edge deeper than the relief cut of {depth}", depth=show(cut.relief.depth)
        )
        has = say("a cut {depth} deep", depth=show(cut.deepest))
        broken.append((say("relief"), has, needs))
    for what, has, needs in broken:
        yield Finding(
            level=Level.STOP,
            rule="cutter",
            text=say(
                "cut {number} ({cutter}): {what} has {has}, needs {needs}",
                number=cut.number,
                cutter=cut.cutter.id,
                what=what,
                has=has,
                needs=needs,
            ),
        )


def _judge_piece(plan: Plan, piece: Bowl) -> Iterator[Finding]:
    """Rules 1 to 4 and 6 on one piece."""
    job, shop, show = plan.job, plan.shop, _lengths(plan.job)
    rules = shop.rules

    def stop(rule: str, has: str, needs: str) -> Finding:
        text = say(
            "piece {number}: {what} has {has}, needs {needs}",
            number=piece.number,
            what=say(rule),
            has=has,
            needs=needs,
        )
        return Finding(level=Level.STOP, rule=rule, text=text)

    for name, has, need in (
        (mark("wall"), piece.wall, piece.wall_required),
        (mark("floor"), piece.floor, piece.floor_required),
    ):
        if has is not None and need is not None and has < need - 10 * MET:
            yield stop(name, show(has), show(need))
    if piece.number == 0:
        return
    if piece.jaws is None:
        needs = say(
            "jaws that hold at least {share:.0%} of the rim, {size}",
            share=rules.refuse_share,
            size=show(piece.rim_diameter / 3),
        )
        yield stop(mark("tenon share"), say("no jaws"), needs)
    elif piece.tenon_share < rules.caution_share - SAME:
        yield Finding(
            level=Level.CAUTION,
            rule=mark("tenon share"),
            text=say(
                "piece {number}: tenon {size} is {share:.1%} of the rim, under {usual:.0%}",
                number=piece.number,
                size=show(piece.tenon_diameter),
                share=piece.tenon_share,
                usual=rules.caution_share,
            ),
        )
    if piece.depth < job.nest.min_depth - SAME:
        had = say("{depth} of depth", depth=show(piece.depth))
        yield stop(mark("tenon stock"), had, show(job.nest.min_depth))
    if piece.rim_diameter < job.nest.min_bowl - SAME:
        had = say("a rim of {size}", size=show(piece.rim_diameter))
        yield stop(mark("piece size"), had, show(job.nest.min_bowl))


def _judge_worst(plan: Plan) -> Iterator[Finding]:
    """Rule 7: walls and floors that a setting error could make too thin."""
    show = _lengths(plan.job)
    thin = [
        say(told, number=piece.number, left=show(worst), need=show(need))
        for piece in plan.bowls
        for told, worst, need in (
            (mark("piece {number}: wall {left} of {need}"), piece.wall_worst, piece.wall_required),
            (
                mark("piece {number}: floor {left} of {need}"),
                piece.floor_worst,
                piece.floor_required,
            ),
        )
        if worst is not None and need is not None and worst < need - 10 * MET
    ]
    if thin:
        error = show(plan.job.nest.setting_tolerance)
        yield Finding(
            level=Level.STOP if plan.job.nest.guard == Guard.WORST else Level.NOTE,
            rule=mark("tolerance"),
            text=say(
                "with each pivot out by {error} there could be left, of what is needed: {thin}",
                error=error,
                thin=", ".join(thin),
            ),
        )


def mends(plan: Plan, count: Counted, *, grid: float, stopped: bool) -> list[Finding]:
    """Changes tried by planning again, the smallest of each kind that gives another bowl.

    Args:
        plan: the plan as it is.
        count: plans a changed job or shop on a grid and tells its pieces if more than so many;
            None where that is not known.
        grid: marks of the plan, mm.
        stopped: whether the plan has a stop; then stronger changes are tried too.
    """
    job, shop, have = plan.job, plan.shop, len(plan.bowls)
    if plan.job.nest.pinned and not job.nest.add_cuts:
        return []
    found: list[Finding] = []
    strongest: list[str] = []
    for rule, trials in _trials(job, shop, stopped=stopped and have == 1).items():
        settled = True
        for label, changed, other in trials:
            pieces = count(changed, other, COARSE * grid, have)
            settled = settled and pieces is not None
            more = 0 if pieces is None else pieces - have
            if more > 0:
                text = say_count(
                    "with {change}: one more bowl",
                    "with {change}: {count} more bowls",
                    more,
                    change=label,
                )
                found.append(Finding(level=Level.NOTE, rule=rule, text=text))
                break
        else:
            if settled:
                strongest.append(trials[-1][0])
    if not found and strongest:
        text = say(
            "no single change tried gives another bowl: {changes}", changes="; ".join(strongest)
        )
        found.append(Finding(level=Level.NOTE, rule=mark("another bowl"), text=text))
    return found


def _trials(job: Job, shop: Shop, *, stopped: bool) -> dict[str, list[tuple[str, Job, Shop]]]:
    """Changes by the rule they ease, the smallest first."""
    show, nest = _lengths(job), job.nest
    cuts = (0.95, 0.9, 0.8) if not stopped else (0.9, 0.8, 0.65, 0.5)
    trials: dict[str, list[tuple[str, Job, Shop]]] = {}

    def add(rule: str, label: str, **changes: object) -> None:
        changed = dataclasses.replace(job, nest=dataclasses.replace(nest, **changes))  # type: ignore[arg-type]
        trials.setdefault(rule, []).append((label, changed, shop))

    for part in cuts:
        match nest.wall:
            case ShareWall(share):
                label = say(
                    "a wall of {thin:.1%} of the rim instead of {usual:.1%}",
                    thin=share * part,
                    usual=share,
                )
                add("wall", label, wall=ShareWall(share * part))
            case LengthWall(wall):
                thin = _marked(wall * part, job)
                label = say(
                    "a wall of {thin} instead of {usual}", thin=show(thin), usual=show(wall)
                )
                add("wall", label, wall=LengthWall(thin))
            case DryingWall():
                thin = _marked(nest.finished_wall * part, job)
                label = say(
                    "a finished wall of {thin} instead of {usual}",
                    thin=show(thin),
                    usual=show(nest.finished_wall),
                )
                add("wall", label, finished_wall=thin)
    for part in cuts:
        small = _marked(nest.min_bowl * part, job)
        label = say(
            "bowls down to {small} instead of {usual}",
            small=show(small),
            usual=show(nest.min_bowl),
        )
        add("piece size", label, min_bowl=small)
    if nest.relief is not None:
        add(mark("wall and relief"), say("no relief cut"), relief=None)
    for more in (3.0, 6.0):
        label = say("a slope at the axis up to {slope:g}°", slope=nest.max_slope + more)
        add("cutter", label, max_slope=nest.max_slope + more)
    for radius in _other_radii(job, shop):
        owned = min(shop.cutters, key=lambda c: abs(c.radius - radius))
        extra = dataclasses.replace(owned, id="another", radius=radius)
        wider = dataclasses.replace(shop, cutters=(*shop.cutters, extra))
        names = (*nest.cutters, "another") if nest.cutters else ()
        changed = dataclasses.replace(job, nest=dataclasses.replace(nest, cutters=names))
        label = say("one more cutter, of {radius} radius", radius=show(radius))
        trials.setdefault(mark("another cutter"), []).append((label, changed, wider))
    for part in cuts:
        core = job.tenon.core_share * part
        if core >= shop.rules.refuse_share:
            label = say(
                "tenons of {share:.0%} of the cores' rims instead of {usual:.0%}",
                share=core,
                usual=job.tenon.core_share,
            )
            changed = dataclasses.replace(
                job, tenon=dataclasses.replace(job.tenon, core_share=core)
            )
            trials.setdefault("tenon share", []).append((label, changed, shop))
    return trials


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


def _marked(length: float, job: Job) -> float:
    """A length on the grid, rounded down, mm."""
    grid = job.units.grid
    return math.floor(length / grid + 1e-6) * grid


def _lengths(job: Job) -> Callable[[float], str]:
    return lambda value: printed_length(value, job.units)
