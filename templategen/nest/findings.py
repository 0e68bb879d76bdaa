"""What a plan has to say of its rules: those that are broken, and near misses."""

import math
from collections.abc import Callable, Iterator, Sequence

from templategen.geometry.blade import BLADE_AIR
from templategen.messages import Figure, Joined, Message, Text, tr, tr_noop
from templategen.nest.plan import (
    Bowl,
    BowlShape,
    Cut,
    Finding,
    Level,
    Plan,
    Rule,
    caution,
    note,
    stop,
)
from templategen.nest.rules import (
    BLADE_TO,
    LATHE_AIR,
    MET,
    SAME,
    blade_of,
    core_curves,
    fits_blade,
    fits_lathe,
    fits_offset,
    fits_reach,
    fits_relief,
    fits_slope,
    fits_standoff,
    fits_swing,
    offset_limits,
)
from templategen.trade import defaults
from templategen.trade.choices import Guard, Order
from templategen.trade.jaws import GREATEST_SHARE
from templategen.trade.records import Job, Shop
from templategen.units import Length

SHORT = 10 * MET  # mm; a wall or floor short by less is not a finding
NEAR_WISH = 0.02  # a tenon share so near to the wish is no finding (design.md §4.4)
MOST_UNEVEN = defaults.UNEVEN_WALL.value  # greatest wall over least
LARGE_BLANK = defaults.FACEPLATE_FROM.value  # mm


def blank_findings(job: Job, shop: Shop, blank: BowlShape) -> list[Finding]:
    """Rules 4 and 10 on the blank itself."""
    show = lengths_of(job)
    findings: list[Finding] = []
    diameter, share = job.blank.diameter, blank.tenon_diameter / job.blank.diameter
    if blank.jaws is None:
        findings.append(_no_jaws(job, shop, blank))
    elif share < min(shop.rules.caution_share, job.tenon.share - NEAR_WISH) - SAME:
        text = tr(
            "the holding tenon is {share:.0%} of the blank, {wish:.0%} is wished: lighter cuts, "
            "lower speed",
            share=share,
            wish=job.tenon.share,
        )
        findings.append(caution(Rule.TENON_SHARE, text, "bowl-1"))
    if not fits_lathe(diameter, shop):
        lathe = shop.lathe
        room = min(x for x in (lathe.swing, 2 * (lathe.centre_height or math.inf)) if x is not None)
        text = tr(
            "the disc of {diameter} with {air} of air around it does not turn over a bed and "
            "banjo that clear {room}: take a smaller blank",
            diameter=show(diameter),
            air=show(LATHE_AIR),
            room=show(room),
        )
        findings.append(stop(Rule.LATHE, text))
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
    template = tr_noop("{owned}; the blank needs {low} to {high}, best about {size}")
    if diameter >= LARGE_BLANK:
        template = tr_noop(
            "{owned}; the blank needs {low} to {high}, best about {size}; a faceplate is the "
            "usual way to hold one of this size"
        )
    text = tr(
        template,
        owned=owned,
        low=show(least * diameter),
        high=show(GREATEST_SHARE * diameter),
        size=show(blank.tenon_diameter),
    )
    return stop(Rule.TENON_SHARE, text, "bowl-1")


def many_settings(job: Job, marks: float, *, is_whole: bool) -> Finding:
    """Note that not every mark, or not every setting, of a large job was tried."""
    show = lengths_of(job)
    text = tr("so many settings are possible that not all were tried")
    if is_whole:
        text = tr(
            "so many settings are possible that only marks of {tried} were tried, not of {wanted}; "
            "on jobs that were measured this cost 0.4 to 1.7 % of size",
            tried=show(marks),
            wanted=show(job.units.grid),
        )
    return note(Rule.MARKS, text)


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
        findings.append(stop(Rule.CUTTER, text))
    for cut in plan.cuts:
        findings += _cut_findings(plan, cut)
    for bowl in plan.bowls:
        findings += _bowl_findings(plan, bowl)
    findings += _tolerance_findings(plan)
    findings += _uneven_findings(plan)
    findings += _reach_findings(plan)
    findings += _blade_findings(plan)
    return findings


def _cut_findings(plan: Plan, cut: Cut) -> Iterator[Finding]:
    """Rules 5, 8 and 9 on one cut."""
    show = lengths_of(plan.job)
    for rule, what, has, needs in _broken(plan, cut):
        text = tr(
            "cut {number} ({cutter}): {what} has {has}, needs {needs}",
            number=cut.number,
            cutter=cut.cutter.id,
            what=what,
            has=has,
            needs=needs,
        )
        yield stop(rule, text, cut.place)
    if not fits_relief(cut.cutter, cut.relief) and cut.relief is not None:
        text = tr(
            "cut {number} ({cutter}): a relief shift of {shift} is wider than the kerf of {kerf} "
            "and leaves a ring of wood standing",
            number=cut.number,
            cutter=cut.cutter.id,
            shift=show(cut.relief.shift),
            kerf=show(cut.cutter.kerf),
        )
        yield stop(Rule.CUTTER, text, cut.place)
    if not fits_blade(cut, height=cut.cutter_height):
        text = tr(
            "cut {number} ({cutter}): the blade jams in its kerf with this pivot offset",
            number=cut.number,
            cutter=cut.cutter.id,
        )
        yield stop(Rule.BLADE, text, cut.place)


def _broken(plan: Plan, cut: Cut) -> Iterator[tuple[Rule, Message, Text, Message]]:
    """Rules 5 and 8 that a cut breaks: the rule, what, its figure, what is needed."""
    post, show = plan.shop.post, lengths_of(plan.job)
    if not fits_standoff(cut, plan.shop):
        needs = tr("at least {least}", least=show(post.min_standoff))
        yield Rule.CUTTER, tr("standoff"), show(cut.pivot_standoff), needs
    if not fits_offset(cut, plan.shop, cut.relief):
        low, high = offset_limits(plan.shop, cut.relief)
        needs = tr("{low} to {high}", low=show(low), high=show(high))
        yield Rule.CUTTER, tr("offset"), show(cut.pivot_offset), needs
    if not fits_swing(cut):
        needs = tr("at most {most}", most=_degrees(math.radians(cut.cutter.max_swing)))
        yield Rule.CUTTER, tr("swing"), _degrees(cut.swing), needs
    if not fits_slope(cut, plan.job):
        needs = tr("at most {most}", most=Figure(plan.job.nest.max_slope, "g", "°"))
        has = Figure(math.degrees(cut.slope), ".1f", "°")
        yield Rule.CUTTER, tr("slope at the axis"), has, needs
    if cut.relief and core_curves(cut, height=cut.cutter_height, relief=cut.relief) is None:
        needs = tr(
            "an inner edge deeper than the relief cut of {depth}", depth=show(cut.relief.depth)
        )
        yield Rule.CUTTER, tr("relief"), tr("a cut {depth} deep", depth=show(cut.deepest)), needs
    if not fits_reach(cut):
        arc, needed = cut.cutter.arc or 0.0, cut.bare_needed
        needs = tr("a narrower holder")
        if needed is not None:
            needs = tr("at least {least}", least=_degrees(needed, up=True))
        yield Rule.REACH, tr("bare blade"), _degrees(math.radians(arc)), needs


def _degrees(angle: float, *, up: bool = False) -> Figure:
    """An angle in whole degrees, rounded up if so wished."""
    found = math.degrees(angle)
    return Figure(math.ceil(found - SAME) if up else found, ".0f", "°")


def _bowl_findings(plan: Plan, bowl: Bowl) -> Iterator[Finding]:
    """Rules 1 to 4 and 6 on one bowl."""
    show = lengths_of(plan.job)
    for rule, has, need in (
        (Rule.WALL, bowl.wall, bowl.wall_required),
        (Rule.FLOOR, bowl.floor, bowl.floor_required),
    ):
        if has is not None and need is not None and has < need - SHORT:
            yield _short(bowl, rule, show(has), show(need))
    if bowl.number > 1:  # of the blank `blank_findings` tells
        yield from _tenon_findings(plan, bowl)
        yield from _size_findings(plan, bowl)


def _short(bowl: Bowl, rule: Rule, has: Text, needs: Text) -> Finding:
    """The stop that a bowl has less of something than it needs."""
    text = tr(
        "{bowl}: {what} has {has}, needs {needs}",
        bowl=bowl.shown_name,
        what=tr(rule.value),
        has=has,
        needs=needs,
    )
    return stop(rule, text, bowl.place)


def _tenon_findings(plan: Plan, bowl: Bowl) -> Iterator[Finding]:
    """Rule 4 on a core."""
    rules, show, wish = plan.shop.rules, lengths_of(plan.job), _wished_share(plan, bowl)
    if bowl.jaws is None:
        needs = tr(
            "jaws that hold at least {share:.0%} of the rim, {size}",
            share=rules.refuse_share,
            size=show(bowl.rim_diameter * rules.refuse_share),
        )
        yield _short(bowl, Rule.TENON_SHARE, tr("no jaws"), needs)
    elif bowl.tenon_share < min(rules.caution_share, wish - NEAR_WISH) - SAME:
        text = tr(
            "{bowl}: tenon {size} is {share:.0%} of the rim, {wish:.0%} is wished",
            bowl=bowl.shown_name,
            size=show(bowl.tenon_diameter),
            share=bowl.tenon_share,
            wish=wish,
        )
        yield caution(Rule.TENON_SHARE, text, bowl.place)


def _size_findings(plan: Plan, bowl: Bowl) -> Iterator[Finding]:
    """Rules 3 and 6 on a core."""
    nest, show = plan.job.nest, lengths_of(plan.job)
    if bowl.depth < nest.min_depth - SAME:
        had = tr("{depth} of depth", depth=show(bowl.depth))
        yield _short(bowl, Rule.TENON_STOCK, had, show(nest.min_depth))
    if bowl.depth < nest.min_ratio * bowl.rim_diameter - SAME:
        had = tr("{depth} of depth", depth=show(bowl.depth))
        needs = tr(
            "{depth}, {ratio:.0%} of its rim",
            depth=show(nest.min_ratio * bowl.rim_diameter),
            ratio=nest.min_ratio,
        )
        yield _short(bowl, Rule.BOWL_SHAPE, had, needs)
    if bowl.rim_diameter < nest.min_bowl - SAME:
        had = tr("a rim of {size}", size=show(bowl.rim_diameter))
        yield _short(bowl, Rule.BOWL_SIZE, had, show(nest.min_bowl))


def _wished_share(plan: Plan, bowl: Bowl) -> float:
    """The share of the rim that the job wishes for a tenon."""
    cored_again = bowl.number == 1 or (
        plan.job.nest.order == Order.OUTER_FIRST and plan.cut_in(bowl) is not None
    )
    return plan.job.tenon.share if cored_again else plan.job.tenon.core_share


def _tolerance_findings(plan: Plan) -> Iterator[Finding]:
    """Rule 7: walls and floors that a setting error could make too thin."""
    show = lengths_of(plan.job)
    wall = tr_noop("{bowl}: wall {left} of {need}")
    floor = tr_noop("{bowl}: floor {left} of {need}")
    thin = [
        (bowl, tr(template, bowl=bowl.shown_name, left=show(worst), need=show(need)))
        for bowl in plan.bowls
        for template, worst, need in (
            (wall, bowl.wall_worst, bowl.wall_required),
            (floor, bowl.floor_worst, bowl.floor_required),
        )
        if worst is not None and need is not None and worst < need - SHORT
    ]
    if thin:
        text = tr(
            "each pivot out by {error} could leave: {thin}",
            error=show(plan.job.nest.setting_tolerance),
            thin=Joined(tuple(text for _, text in thin), ", "),
        )
        level = Level.STOP if plan.job.nest.guard == Guard.WORST else Level.NOTE
        places = tuple(dict.fromkeys(bowl.place for bowl, _ in thin))
        yield Finding(level=level, rule=Rule.TOLERANCE, text=text, places=places)


def _uneven_findings(plan: Plan) -> Iterator[Finding]:
    """Rule 1: walls whose greatest is far over their least."""
    show = lengths_of(plan.job)
    uneven = [
        (
            bowl,
            tr(
                "{bowl}: {least} to {most}",
                bowl=bowl.shown_name,
                least=show(bowl.wall),
                most=show(bowl.wall_greatest),
            ),
        )
        for bowl in plan.bowls
        if bowl.wall is not None
        and bowl.wall_greatest is not None
        and bowl.wall_greatest > MOST_UNEVEN * bowl.wall
    ]
    if uneven:
        text = tr(
            "uneven walls check in drying (common practice, no source): {walls}",
            walls=Joined(tuple(text for _, text in uneven), ", "),
        )
        places = tuple(bowl.place for bowl, _ in uneven)
        yield caution(Rule.EVEN_WALL, text, *places)


def _reach_findings(plan: Plan) -> Iterator[Finding]:
    """Rule 8: cutters whose bare blade or holder is not stated, all in one line."""
    used = {cut.cutter.id: cut.cutter for cut in plan.cuts}
    unknown = [c.id for c in used.values() if c.arc is None or c.holder is None]
    if unknown:
        text = tr(
            "{cutters}: whether the holder stays out of the wood is not known: measure the bare "
            "blade from tip to holder as an angle (arc) and the width of the holder",
            cutters=", ".join(unknown),
        )
        places = tuple(cut.place for cut in plan.cuts if cut.cutter.id in unknown)
        yield caution(Rule.REACH, text, *places)


def _blade_findings(plan: Plan) -> Iterator[Finding]:
    """Rule 9: blades that do not touch but have too little air, all in one line."""
    close: list[Cut] = []
    for cut in plan.cuts:
        if cut.cutter.section is None or not fits_blade(cut, height=cut.cutter_height):
            continue
        nearest = BLADE_TO
        if cut.stop_neck is not None:
            nearest = math.sqrt(max(0.0, (cut.stop_neck / 2) ** 2 - cut.cutter_height**2))
        room = blade_of(
            cut.cutter,
            height=cut.cutter_height,
            pivot_offset=cut.pivot_offset,
            nearest_x=max(SAME, min(nearest, cut.entry_radius)),
        )
        if not room.has_air:
            close.append(cut)
    if close:
        text = tr(
            "the blade has under {air} of room in its kerf: {cuts}; back off as soon as it rubs",
            air=lengths_of(plan.job)(BLADE_AIR),
            cuts=named_cuts(close),
        )
        places = tuple(cut.place for cut in close)
        yield caution(Rule.BLADE, text, *places)


def named_cuts(cuts: Sequence[Cut]) -> Joined:
    """Cuts with their cutters, one after another."""
    named = (tr("cut {number} ({cutter})", number=c.number, cutter=c.cutter.id) for c in cuts)
    return Joined(tuple(named), ", ")


def lengths_of(job: Job) -> Callable[[float], Length]:
    """Lengths in mm as messages show them, in the units of a job."""
    return lambda value: Length(value, job.units)
