"""From a job and a shop to a finished plan: the search, its figures and its findings."""

import dataclasses
import math

from templategen.errors import InputError, InputErrors
from templategen.geometry import cuts as arcs
from templategen.geometry.curves import Pair, points_along
from templategen.geometry.solids import volume_of_revolution
from templategen.messages import say
from templategen.nest.cut_table import (
    CutTable,
    Reach,
    bounds_of,
    coarse_grid,
    make_cut_table,
    may_hold,
)
from templategen.nest.estimates import holding_findings
from templategen.nest.findings import blank_findings, judge, many_settings, mends
from templategen.nest.outside import outside_curves
from templategen.nest.plan import Bowl, Cut, Plan, Sensitivity
from templategen.nest.rules import (
    EXACT_GAP,
    Body,
    CutSetting,
    Points,
    core_body,
    edge_of,
    floor_of,
    moved,
    required_floor,
    required_wall,
    setting_at,
    setting_from,
    wall_of,
    wall_places,
    worst_of,
)
from templategen.nest.search import MOST_WORK, Chain, TooLong, best_chain
from templategen.trade.choices import Objective, Order
from templategen.trade.jaws import choose_jaws, tenon_length_limit
from templategen.trade.records import Cutter, Job, Pinned, Shop

TRIAL_WORK = 2_000  # of one change tried as a mend
NUDGE = 0.5  # mm by which a setting is moved to see what a wall does


def make_plan(job: Job, shop: Shop, *, with_mends: bool = True, grid: float | None = None) -> Plan:
    """The best plan the shop's cutters and jaws allow for the job.

    Args:
        job: checked job.
        shop: checked shop with at least one cutter.
        with_mends: whether changes that would give more bowls are tried and told.
        grid: mm between marks; None for the job's own (0.5 mm, or 1/64 in).

    Returns: the plan; a rule that cannot be met is a finding, never silently bent.

    Raises:
        InputError: the blank, the tenon, the wood or a pinned cut cannot be.
    """
    blank = blank_body(job, shop)
    own = job.units.grid if grid is None else grid
    marks = coarse_grid(job, shop, reach=_reach(blank, job), grid=own)
    chain, marks, is_whole = _chain_in_time(job, shop, blank, grid=marks)
    swings, bodies = chain.swings, chain.bodies
    pieces = tuple(_piece(n, bodies, swings, job) for n in range(len(bodies)))
    cuts = tuple(_cut(n, bodies, swings, job, pieces[n]) for n in range(len(swings)))
    order = range(1, len(cuts) + 1)
    plan = Plan(
        job=job,
        shop=shop,
        cuts=cuts,
        bowls=pieces,
        sequence=tuple(order if job.nest.order == Order.OUTER_FIRST else reversed(order)),
        findings=(),
        outside=_with_tenon(blank, job),
    )
    findings = blank_findings(job, shop, blank) + judge(plan)
    if marks > own or not is_whole:
        findings.append(many_settings(job, marks, is_whole=is_whole))
    if with_mends:
        stopped = any(f.level == "stop" for f in findings)
        findings += mends(plan, _count, grid=marks, stopped=stopped)
    plan = dataclasses.replace(plan, findings=tuple(findings))
    return dataclasses.replace(plan, findings=(*plan.findings, *holding_findings(plan)))


def blank_body(job: Job, shop: Shop) -> Body:
    """The turned blank with its tenon, held by the jaws that hold it best."""
    diameter = job.blank.diameter
    jaws = choose_jaws(
        shop.jaws,
        rim_diameter=diameter,
        share=job.tenon.share,
        refuse_share=shop.rules.refuse_share,
    )
    tenon = jaws.true_circle if jaws else job.tenon.share * diameter
    length = min(job.tenon.length, tenon_length_limit(jaws)) if jaws else job.tenon.length
    shoulder = job.blank.height - length
    curves = outside_curves(
        job.blank,
        shoulder_depth=shoulder,
        foot_radius=tenon / 2 + job.tenon.shoulder,
        tenon_radius=tenon / 2,
    )
    body = Body(
        curves=curves,
        rim_radius=curves[0].at(curves[0].start)[0],
        shoulder=shoulder,
        jaws=jaws,
        tenon_diameter=tenon,
        tenon_length=length,
        size=0.0,
    )
    size = volume_of_revolution([(0.0, 0.0), *_with_tenon(body, job)])  # closed along the face
    return dataclasses.replace(body, size=size)


def chain_of(
    job: Job,
    shop: Shop,
    blank: Body,
    *,
    grid: float | None = None,
    table: CutTable | None = None,
    more_than: int = 0,
    most_work: int | None = None,
) -> Chain:
    """The chain of cuts: the best there is, or the pinned cuts and the best between them.

    Args:
        job: the wishes.
        shop: cutters, jaws and post.
        blank: the turned blank.
        grid: mm between marks; None for the job's own.
        table: the cuts to choose from where they are known already.
        more_than: without pinned cuts, chains of so many cuts or fewer are not wanted.
        most_work: of each search, see `best_chain`.

    Raises:
        InputErrors: a pinned cut cannot be.
        TooLong: it took more than `most_work`.
    """
    if table is None and (job.nest.add_cuts or not job.nest.pinned):
        own = job.units.grid if grid is None else grid
        table = make_cut_table(job, shop, reach=_reach(blank, job), grid=own)
    largest = job.nest.objective == Objective.LARGEST
    if not job.nest.pinned:
        assert table is not None  # made above
        return best_chain(
            blank, table, first_largest=largest, more_than=more_than, most_work=most_work
        )
    swings: list[CutSetting] = []
    bodies = [blank]
    pins = pinned_settings(job, shop)
    for n, (swing, body) in enumerate(pins):
        if table is not None:
            between = best_chain(
                bodies[-1],
                table.holding(swing),
                own=swings[-1] if swings else None,
                last=swing,
                first_largest=largest and n == 0,
                most_work=most_work,
            )
            swings += between.swings
            bodies += between.bodies[1:]
        swings.append(swing)
        bodies.append(body)
    if table is not None:
        inner = best_chain(bodies[-1], table, own=swings[-1], most_work=most_work)
        swings += inner.swings
        bodies += inner.bodies[1:]
    return Chain(swings=tuple(swings), bodies=tuple(bodies))


def _chain_in_time(job: Job, shop: Shop, blank: Body, *, grid: float) -> tuple[Chain, float, bool]:
    """The chain of cuts, the marks it was sought on, and whether all were tried.

    Where that would take long, wider marks are tried; what had been found on the others is
    kept if it has more pieces.
    """
    chain, marks = Chain(bodies=(blank,)), grid
    while True:
        try:
            found = chain_of(job, shop, blank, grid=grid, most_work=MOST_WORK)
        except TooLong as stopped:
            had = stopped.chain if not job.nest.pinned else None
            if had is not None and len(had.bodies) > len(chain.bodies):
                chain, marks = had, grid
            grid *= 2
        else:
            if len(found.bodies) >= len(chain.bodies):
                return found, grid, True
            return chain, marks, False


def _reach(blank: Body, job: Job) -> Reach:
    """No cut enters further out or runs deeper, whatever the wall and floor."""
    wall = required_wall(job, rim_radius=blank.rim_radius)
    floor = required_floor(job, rim_radius=blank.rim_radius)
    return Reach(entry=blank.rim_radius - wall, depth=blank.shoulder - floor)


def pinned_settings(job: Job, shop: Shop) -> list[tuple[CutSetting, Body]]:
    """The pinned cuts from the rim inward with the cores they free.

    Raises:
        InputErrors: each that cannot be.
    """
    found: list[tuple[CutSetting, Body]] = []
    faults: list[InputError] = []
    for n, pin in enumerate(job.nest.pinned):
        where = say("job: {key}", key=f"nest.pinned[{n}]")
        cutter = next((c for c in shop.cutters if c.id == pin.cutter), None)
        swing = None if cutter is None else _pinned_swing(pin, cutter, job)
        body = None if swing is None else core_body(swing, job, shop, judged=True)
        if cutter is None:
            owned = ", ".join(c.id for c in shop.cutters)
            fault = say("no cutter {name!r} in the shop", name=pin.cutter)
            mend = say("the shop has {names}", names=owned)
        elif swing is None:
            fault = say("no circle of {radius:g} mm runs so", radius=cutter.radius)
            mend = say("give another entry and depth, or another cutter")
        elif body is None:
            fault = say("the cut frees no core")
            mend = say("give a larger entry or depth")
        else:
            found.append((swing, body))
            continue
        faults.append(InputError(fault, where=where, mend=mend))
    if faults:
        raise InputErrors(faults)
    return sorted(found, key=lambda pair: pair[0].entry_radius, reverse=True)


def _pinned_swing(pin: Pinned, cutter: Cutter, job: Job) -> CutSetting | None:
    height = job.nest.height_above_centre
    if pin.entry_radius is not None and pin.depth_at_axis is not None:
        return setting_from(
            cutter, entry_radius=pin.entry_radius, depth=pin.depth_at_axis, height=height
        )
    assert pin.pivot_offset is not None  # the reader asks for one pair or the other
    assert pin.pivot_standoff is not None
    return setting_at(cutter, p=pin.pivot_offset, q=pin.pivot_standoff, height=height)


def _count(job: Job, shop: Shop, grid: float, more_than: int) -> int | None:
    """How many pieces a changed job or shop gives, if more than so many; else at least one.

    None where that would take too long to find out.
    """
    blank = blank_body(job, shop)
    if not job.nest.pinned and not may_hold(bounds_of(blank, job), more_than, job, shop, grid=grid):
        return 1
    try:
        chain = chain_of(job, shop, blank, grid=grid, more_than=more_than - 1, most_work=TRIAL_WORK)
    except TooLong:
        return None
    return len(chain.bodies)


def _with_tenon(blank: Body, job: Job) -> Points:
    radius, back = blank.tenon_diameter / 2, job.blank.height
    return (*blank.outside, (radius, blank.shoulder), (radius, back), (0.0, back))


def _cut(
    n: int, bodies: tuple[Body, ...], swings: tuple[CutSetting, ...], job: Job, piece: Bowl
) -> Cut:
    s, height = swings[n], job.nest.height_above_centre
    assert piece.wall_at is not None  # every piece that is cut has one
    return Cut(
        number=n + 1,
        cutter=s.cutter,
        pivot_offset=s.p,
        pivot_standoff=s.q,
        cutter_height=height,
        entry_radius=s.entry_radius,
        entry_from_rim=bodies[n].rim_radius - s.entry_radius,
        depth_at_axis=s.depth_at_axis,
        deepest=s.deepest,
        swing=arcs.swing_angle(radius=s.cutter.radius, pivot_offset=s.p, pivot_standoff=s.q),
        slope=arcs.slope_at_axis(radius=s.cutter.radius, pivot_offset=s.p),
        stub=2 * height,
        relief=job.nest.relief,
        sensitivity=_sensitivity(bodies[n], s, height=height, at=piece.wall_at),
    )


def _sensitivity(body: Body, swing: CutSetting, *, height: float, at: Pair) -> Sensitivity:
    """What the wall around a cut does for each mm of a setting, by moving it both ways."""

    def wall(offset: float, standoff: float, up: float) -> float:
        cut = moved(swing, offset=offset, standoff=standoff, height=height)
        return wall_of(body, cut, height=height + up, near=(at,))[0]

    low = min(NUDGE, height)
    return Sensitivity(
        offset=(wall(NUDGE, 0, 0) - wall(-NUDGE, 0, 0)) / (2 * NUDGE),
        standoff=(wall(0, NUDGE, 0) - wall(0, -NUDGE, 0)) / (2 * NUDGE),
        height=(wall(0, 0, NUDGE) - wall(0, 0, -low)) / (NUDGE + low),
    )


def _piece(n: int, bodies: tuple[Body, ...], swings: tuple[CutSetting, ...], job: Job) -> Bowl:
    body, height = bodies[n], job.nest.height_above_centre
    outside = body.outside
    outside = _with_tenon(body, job) if n == 0 else (*outside, (0.0, outside[-1][1]))
    wall = at = worst = need = floor = floor_worst = floor_need = None
    outline: Points = (*outside, (0.0, 0.0))
    if n < len(swings):
        inner = swings[n]
        places = wall_places(body, inner, job)
        at, wall = places[0], math.dist(*places[0])
        need = required_wall(job, rim_radius=body.rim_radius)
        floor = floor_of(body, inner)
        floor_need = required_floor(job, rim_radius=body.rim_radius)
        worst, floor_worst = worst_of(body, swings[n - 1] if n else None, inner, job, near=places)
        edge = points_along([edge_of(inner, height=height)], max_gap=EXACT_GAP)
        outline = (*outside, (0.0, edge[-1][1]), *reversed(edge))
    return Bowl(
        number=n,
        rim_diameter=2 * body.rim_radius,
        depth=body.shoulder,
        wall=wall,
        wall_at=at,
        wall_required=need,
        wall_worst=worst,
        floor=floor,
        floor_required=floor_need,
        floor_worst=floor_worst,
        tenon_diameter=body.tenon_diameter,
        tenon_length=body.tenon_length,
        tenon_share=body.tenon_diameter / (2 * body.rim_radius),
        jaws=body.jaws,
        size=body.size,
        volume=volume_of_revolution(list(outline)),
        outline=outline,
    )
