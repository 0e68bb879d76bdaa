"""What a plan has to say of its rules: those that are broken, and near misses."""

import math
from collections.abc import Callable, Iterator

from templategen.messages import Figure, Joined, Message, Text, tr, tr_noop
from templategen.nest.plan import Bowl, BowlShape, Cut, Finding, Level, Plan, Rule
from templategen.nest.rules import (
    MET,
    SAME,
    core_curves,
    fits_offset,
    fits_slope,
    fits_standoff,
    fits_swing,
)
from templategen.trade.choices import Guard
from templategen.trade.jaws import GREATEST_SHARE
from templategen.trade.records import Job, Shop
from templategen.units import Length

SHORT = 10 * MET  # mm; a wall or floor short by less is not a finding


def blank_findings(job: Job, shop: Shop, blank: BowlShape) -> list[Finding]:
    """Rule 4 and the lathe's swing on the blank itself."""
    show = lengths_of(job)
    findings: list[Finding] = []
    diameter, share = job.blank.diameter, blank.tenon_diameter / job.blank.diameter
    if blank.jaws is None:
        findings.append(_no_jaws(job, shop, blank))
    elif share < shop.rules.caution_share - SAME:
        text = tr(
            "the holding tenon is {share:.1%} of the blank, half is the usual figure: "
            "lighter cuts, lower speed",
            share=share,
        )
        findings.append(Finding(level=Level.CAUTION, rule=Rule.TENON_SHARE, text=text))
    swing = shop.lathe.swing
    if swing is not None and diameter > swing:
        text = tr(
            "the blank is {diameter}, the lathe swings {swing}: take a smaller blank",
            diameter=show(diameter),
            swing=show(swing),
        )
        findings.append(Finding(level=Level.STOP, rule=Rule.LATHE_SWING, text=text))
    return findings


def _no_jaws(job: Job, shop: Shop, blank: BowlShape) -> Finding:
    """None of the shop's jaws hold the blank."""
    show, diameter, least = lengths_of(job), job.blank.diameter, shop.rules.refuse_share
    sizes = sorted(jaws.true_circle for jaws in shop.jaws)
    if not sizes:
        owned = tr("the shop has no jaws")
    elif sizes[0] > GREATEST_SHARE * diameter:
        owned = tr("the shop's smallest jaws close at {size}", size=show(sizes[0]))
    elif sizes[-1] < least * diameter:
        owned = tr("the shop's largest jaws close at {size}", size=show(sizes[-1]))
    else:
        owned = tr("none of the shop's jaws close within the range")
    text = tr(
        "{owned}, {low} to {high} is needed ({least:.0%} to {most:.0%} of the blank); "
        "jaws of about {size} would hold it",
        owned=owned,
        low=show(least * diameter),
        high=show(GREATEST_SHARE * diameter),
        least=least,
        most=GREATEST_SHARE,
        size=show(blank.tenon_diameter),
    )
    return Finding(level=Level.STOP, rule=Rule.TENON_SHARE, text=text)


def many_settings(job: Job, marks: float, *, is_whole: bool) -> Finding:
    """Note that not every mark, or not every setting, of a large job was tried."""
    show = lengths_of(job)
    text = tr(
        "so many settings are possible that not all were tried; name fewer cutters in "
        "nest.cutters to try them all"
    )
    if is_whole:
        text = tr(
            "so many settings are possible that only marks of {tried} were tried, not of "
            "{wanted}; name fewer cutters in nest.cutters to try them all",
            tried=show(marks),
            wanted=show(job.units.grid),
        )
    return Finding(level=Level.NOTE, rule=Rule.MARKS, text=text)


def judge(plan: Plan) -> list[Finding]:
    """Every rule of design.md §4 checked on every cut and bowl of a plan.

    The search only gives cuts that keep the rules, so what is broken comes from pinned cuts.
    """
    job, show = plan.job, lengths_of(plan.job)
    findings: list[Finding] = []
    if not plan.cuts:
        text = tr(
            "no cutter fits: none of the shop's cutters frees a bowl of {size} that keeps "
            "wall, floor and tenon",
            size=show(job.nest.min_bowl),
        )
        findings.append(Finding(level=Level.STOP, rule=Rule.CUTTER, text=text))
    for cut in plan.cuts:
        findings += _cut_findings(plan, cut)
    for bowl in plan.bowls:
        findings += _bowl_findings(plan, bowl)
    findings += _tolerance_findings(plan)
    return findings


def _cut_findings(plan: Plan, cut: Cut) -> Iterator[Finding]:
    """Rule 5 on one cut."""
    job, post, show = plan.job, plan.shop.post, lengths_of(plan.job)
    setting = cut.setting
    broken: list[tuple[Message, Text, Message]] = []  # what, its figure, what is needed
    if not fits_standoff(setting, plan.shop):
        needs = tr("at least {least}", least=show(post.min_standoff))
        broken.append((tr("standoff"), show(cut.pivot_standoff), needs))
    if not fits_offset(setting, plan.shop):
        needs = tr("{low} to {high}", low=show(post.min_offset), high=show(post.max_offset))
        broken.append((tr("offset"), show(cut.pivot_offset), needs))
    if not fits_swing(setting):
        needs = tr("at most {most}", most=Figure(cut.cutter.max_swing, ".0f", "°"))
        broken.append((tr("swing"), Figure(math.degrees(cut.swing), ".0f", "°"), needs))
    if not fits_slope(setting, job):
        needs = tr("at most {most}", most=Figure(job.nest.max_slope, "g", "°"))
        has = Figure(math.degrees(cut.slope), ".1f", "°")
        broken.append((tr("slope at the axis"), has, needs))
    if cut.relief and core_curves(setting, height=cut.cutter_height, relief=cut.relief) is None:
        needs = tr(
            "an inner edge deeper than the relief cut of {depth}", depth=show(cut.relief.depth)
        )
        broken.append((tr("relief"), tr("a cut {depth} deep", depth=show(cut.deepest)), needs))
    for what, figure, needs in broken:
        text = tr(
            "cut {number} ({cutter}): {what} has {has}, needs {needs}",
            number=cut.number,
            cutter=cut.cutter.id,
            what=what,
            has=figure,
            needs=needs,
        )
        yield Finding(level=Level.STOP, rule=Rule.CUTTER, text=text)


def _bowl_findings(plan: Plan, bowl: Bowl) -> Iterator[Finding]:
    """Rules 1 to 4 and 6 on one bowl."""
    job, show = plan.job, lengths_of(plan.job)

    def stop(rule: Rule, has: Text, needs: Text) -> Finding:
        text = tr(
            "piece {number}: {what} has {has}, needs {needs}",
            number=bowl.number,
            what=tr(rule.value),
            has=has,
            needs=needs,
        )
        return Finding(level=Level.STOP, rule=rule, text=text)

    for rule, has, need in (
        (Rule.WALL, bowl.wall, bowl.wall_required),
        (Rule.FLOOR, bowl.floor, bowl.floor_required),
    ):
        if has is not None and need is not None and has < need - SHORT:
            yield stop(rule, show(has), show(need))
    if bowl.number == 0:
        return
    rules = plan.shop.rules
    if bowl.jaws is None:
        needs = tr(
            "jaws that hold at least {share:.0%} of the rim, {size}",
            share=rules.refuse_share,
            size=show(bowl.rim_diameter / 3),
        )
        yield stop(Rule.TENON_SHARE, tr("no jaws"), needs)
    elif bowl.tenon_share < rules.caution_share - SAME:
        text = tr(
            "piece {number}: tenon {size} is {share:.1%} of the rim, under {usual:.0%}",
            number=bowl.number,
            size=show(bowl.tenon_diameter),
            share=bowl.tenon_share,
            usual=rules.caution_share,
        )
        yield Finding(level=Level.CAUTION, rule=Rule.TENON_SHARE, text=text)
    if bowl.depth < job.nest.min_depth - SAME:
        had = tr("{depth} of depth", depth=show(bowl.depth))
        yield stop(Rule.TENON_STOCK, had, show(job.nest.min_depth))
    if bowl.rim_diameter < job.nest.min_bowl - SAME:
        had = tr("a rim of {size}", size=show(bowl.rim_diameter))
        yield stop(Rule.PIECE_SIZE, had, show(job.nest.min_bowl))


def _tolerance_findings(plan: Plan) -> Iterator[Finding]:
    """Rule 7: walls and floors that a setting error could make too thin."""
    show = lengths_of(plan.job)
    wall = tr_noop("piece {number}: wall {left} of {need}")
    floor = tr_noop("piece {number}: floor {left} of {need}")
    thin = [
        tr(template, number=bowl.number, left=show(worst), need=show(need))
        for bowl in plan.bowls
        for template, worst, need in (
            (wall, bowl.wall_worst, bowl.wall_required),
            (floor, bowl.floor_worst, bowl.floor_required),
        )
        if worst is not None and need is not None and worst < need - SHORT
    ]
    if thin:
        text = tr(
            "with each pivot out by {error} there could be left, of what is needed: {thin}",
            error=show(plan.job.nest.setting_tolerance),
            thin=Joined(tuple(thin), ", "),
        )
        level = Level.STOP if plan.job.nest.guard == Guard.WORST else Level.NOTE
        yield Finding(level=level, rule=Rule.TOLERANCE, text=text)


def lengths_of(job: Job) -> Callable[[float], Length]:
    """Lengths in mm as messages show them, in the units of a job."""
    return lambda value: Length(value, job.units)
