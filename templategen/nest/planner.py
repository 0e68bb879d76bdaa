"""From a job and a shop to a finished plan: the search, its figures and its findings."""

import dataclasses
import itertools
import math

from templategen.geometry import cuts as arcs
from templategen.geometry.solids import volume_of_revolution
from templategen.inputs.records import Job, Shop
from templategen.nest.holding import holding_findings
from templategen.nest.outside import turned_outside
from templategen.nest.plan import Cut, Finding, Level, Piece, Plan
from templategen.nest.rules import (
    EXACT_GAP,
    Body,
    Points,
    Swing,
    core_body,
    core_outside,
    depth_where,
    enclosed,
    required_floor,
    required_wall,
    wall_between,
)
from templategen.nest.search import Chain, best_chain
from templategen.trade.jaws import choose_jaws, tenon_length_limit


def make_plan(job: Job, shop: Shop, *, with_mends: bool = True) -> Plan:
    """The best plan the shop's cutters and jaws allow for the job.

    Args:
        job: checked job.
        shop: checked shop with at least one cutter.
        with_mends: whether changes that would give more bowls are tried and told.

    Returns: the plan; a rule that cannot be met is a finding, never silently bent.

    Raises:
        InputError: the blank, the tenon or the wood cannot be.
    """
    blank, findings = _blank_body(job, shop)
    chain = best_chain(blank, job, shop)
    swings = chain.swings
    bodies = (blank, *tuple(_exact(s, job, shop) for s in swings))
    cuts = _cuts(swings, bodies, job)
    pieces = tuple(_piece(n, bodies, swings, job) for n in range(len(bodies)))
    findings += _findings(job, shop, chain, pieces, with_mends=with_mends)
    plan = Plan(
        job=job,
        shop=shop,
        cuts=cuts,
        pieces=pieces,
        sequence=tuple(range(len(cuts), 0, -1)),
        findings=tuple(findings),
        outside=_with_tenon(blank, job),
    )
    return dataclasses.replace(plan, findings=(*plan.findings, *holding_findings(plan)))


def _blank_body(job: Job, shop: Shop) -> tuple[Body, list[Finding]]:
    findings: list[Finding] = []
    diameter = job.blank.diameter
    jaws = choose_jaws(
        shop.jaws,
        rim_diameter=diameter,
        share=job.tenon.share,
        refuse_share=shop.rules.refuse_share,
    )
    tenon = jaws.true_circle if jaws else job.tenon.share * diameter
    length = min(job.tenon.length, tenon_length_limit(jaws)) if jaws else job.tenon.length
    if jaws is None:
        need = shop.rules.refuse_share * diameter
        findings.append(
            Finding(
                level=Level.STOP,
                rule="tenon share",
                text=f"no jaws of the shop hold a tenon of at least {need:.0f} mm "
                f"(a third of {diameter:.0f} mm); jaws of about {tenon:.0f} mm would hold it",
            )
        )
    elif tenon / diameter < shop.rules.caution_share:
        findings.append(
            Finding(
                level=Level.CAUTION,
                rule="tenon share",
                text=f"the holding tenon is {tenon / diameter:.0%} of the blank; "
                f"half is the usual figure: lighter cuts, lower speed",
            )
        )
    shoulder = job.blank.height - length
    outside = tuple(
        turned_outside(
            job.blank,
            shoulder_depth=shoulder,
            foot_radius=tenon / 2 + job.tenon.shoulder,
        )
    )
    body = Body(
        outside=outside,
        rim_radius=outside[0][0],
        shoulder=shoulder,
        jaws=jaws,
        tenon_diameter=tenon,
        tenon_length=length,
        size=0.0,
    )
    return dataclasses.replace(body, size=enclosed(_with_tenon(body, job))), findings


def _with_tenon(blank: Body, job: Job) -> Points:
    radius, back = blank.tenon_diameter / 2, job.blank.height
    return (*blank.outside, (radius, blank.shoulder), (radius, back), (0.0, back))


def _exact(swing: Swing, job: Job, shop: Shop) -> Body:
    body = core_body(swing, job, shop, max_gap=EXACT_GAP) or core_body(swing, job, shop)
    assert body is not None  # the search only keeps cuts whose core can be held
    return body


def _cuts(swings: tuple[Swing, ...], bodies: tuple[Body, ...], job: Job) -> tuple[Cut, ...]:
    return tuple(
        Cut(
            number=n + 1,
            cutter=s.cutter,
            pivot_offset=s.p,
            pivot_standoff=s.q,
            cutter_height=job.nest.height_above_centre,
            entry_radius=s.entry_radius,
            entry_from_rim=bodies[n].rim_radius - s.entry_radius,
            depth_at_axis=s.depth_at_axis,
            deepest=s.deepest,
            swing=arcs.swing_angle(radius=s.cutter.radius, pivot_offset=s.p, pivot_standoff=s.q),
            slope=arcs.slope_at_axis(radius=s.cutter.radius, pivot_offset=s.p),
            stub=2 * job.nest.height_above_centre,
            relief=job.nest.relief,
        )
        for n, s in enumerate(swings)
    )


def _piece(n: int, bodies: tuple[Body, ...], swings: tuple[Swing, ...], job: Job) -> Piece:
    body, height = bodies[n], job.nest.height_above_centre
    outside = _with_tenon(body, job) if n == 0 else (*body.outside, (0.0, body.outside[-1][1]))
    wall = worst = need = floor = floor_worst = floor_need = None
    outline: Points = (*outside, (0.0, 0.0))
    if n < len(swings):
        inner = swings[n]
        wall = wall_between(body.outside, inner, height=height)
        need = required_wall(job, rim_radius=body.rim_radius)
        floor = body.shoulder - inner.deepest
        floor_need = required_floor(job, rim_radius=body.rim_radius)
        worst, floor_worst = _worst(n, body, swings, job)
        edge = arcs.edge_points(
            radius=inner.cutter.radius,
            pivot_offset=inner.p,
            pivot_standoff=inner.q,
            height=height,
            max_gap=EXACT_GAP,
        )
        outline = (*outside, (0.0, edge[-1][1]), *reversed(edge))
    return Piece(
        number=n,
        rim_diameter=2 * body.rim_radius,
        depth=body.shoulder,
        wall=wall,
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


def _worst(n: int, body: Body, swings: tuple[Swing, ...], job: Job) -> tuple[float, float]:
    """Rule 7: least wall and floor with the pivots of both bounding cuts out by ±t."""
    t, height = job.nest.setting_tolerance, job.nest.height_above_centre
    inner = swings[n]
    signs = list(itertools.product((-t, t), repeat=2)) if t else [(0.0, 0.0)]
    walls, shoulders = [], []
    for dp, dq in signs if n else [(0.0, 0.0)]:
        outside = body.outside
        shoulder = body.shoulder
        if n:
            outside = core_outside(
                swings[n - 1],
                height=height,
                relief=job.nest.relief,
                max_gap=0.05,
                p_error=dp,
                q_error=dq,
            )
            end = depth_where(outside, body.tenon_diameter / 2)
            shoulder = (end if end is not None else 0.0) - body.tenon_length
        shoulders.append(shoulder)
        walls += [
            wall_between(outside, inner, height=height, p_error=ep, q_error=eq) for ep, eq in signs
        ]
    deep = [
        arcs.deepest_point(
            radius=inner.cutter.radius, pivot_offset=inner.p + ep, pivot_standoff=inner.q + eq
        )
        for ep, eq in signs
    ]
    return min(walls), min(shoulders) - max(deep)


def _findings(
    job: Job, shop: Shop, chain: Chain, pieces: tuple[Piece, ...], *, with_mends: bool
) -> list[Finding]:
    findings: list[Finding] = []
    if not chain.swings:
        findings.append(
            Finding(
                level=Level.STOP,
                rule="cutter",
                text="no cutter fits: none of the shop's cutters frees a bowl of "
                f"{job.nest.min_bowl:.0f} mm that keeps wall, floor and tenon",
            )
        )
    for piece in pieces[1:]:
        if piece.tenon_share < shop.rules.caution_share - 1e-9:
            findings.append(
                Finding(
                    level=Level.CAUTION,
                    rule="tenon share",
                    text=f"piece {piece.number}: tenon {piece.tenon_diameter:.0f} mm is "
                    f"{piece.tenon_share:.0%} of the rim, under {shop.rules.caution_share:.0%}",
                )
            )
    for piece in pieces:
        if piece.wall is None or piece.wall_worst is None or piece.wall_required is None:
            continue
        if piece.wall_worst < piece.wall_required - 1e-9:
            findings.append(
                Finding(
                    level=Level.NOTE,
                    rule="tolerance",
                    text=f"piece {piece.number}: with each pivot out by "
                    f"{job.nest.setting_tolerance:g} mm the wall could be "
                    f"{piece.wall_worst:.1f} mm, wanted {piece.wall_required:.1f} mm",
                )
            )
    lathe = shop.lathe
    if lathe.swing is not None and job.blank.diameter > lathe.swing:
        findings.append(
            Finding(
                level=Level.STOP,
                rule="lathe swing",
                text=f"the blank of {job.blank.diameter:.0f} mm does not turn over a bed with a "
                f"swing of {lathe.swing:.0f} mm; take a smaller blank",
            )
        )
    if with_mends and not any(f.level is Level.STOP and f.rule != "cutter" for f in findings):
        findings += _mends(job, shop, len(pieces))
    return findings


def _mends(job: Job, shop: Shop, have: int) -> list[Finding]:
    """Changes tried by planning again: each that gives more bowls is told with its result."""
    policy, figure = job.nest.wall
    trials: list[tuple[str, Job]] = []
    if policy != "drying":
        thinner = round(figure * 0.9, 3)
        shown = f"{thinner:.1%} of the rim" if policy == "share" else f"{thinner:.1f} mm"
        nest = dataclasses.replace(job.nest, wall=(policy, thinner))
        trials.append((f"a wall of {shown}", dataclasses.replace(job, nest=nest)))
    smaller = math.floor(job.nest.min_bowl * 0.8)
    nest = dataclasses.replace(job.nest, min_bowl=float(smaller))
    trials.append((f"bowls down to {smaller} mm", dataclasses.replace(job, nest=nest)))
    found = []
    for label, trial in trials:
        more = len(make_plan(trial, shop, with_mends=False).pieces) - have
        if more > 0:
            bowls = "one more bowl" if more == 1 else f"{more} more bowls"
            found.append(Finding(level=Level.NOTE, rule="mend", text=f"with {label}: {bowls}"))
    return found
