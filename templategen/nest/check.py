"""The check of a finished plan on its own outlines, before anything is printed.

Shares no formula with the planner: walls are distances between outlines as shapely measures them,
outlines must lie on the circles that the settings describe, required walls follow design.md §5
anew. A plan with a stop is not printed and not checked.
"""

import math
from collections.abc import Iterator, Sequence

from templategen.errors import OutputError
from templategen.geometry.measure import (
    Place,
    depth_at_radius,
    greatest_gap,
    least_gap,
    radius_at_depth,
    swept_volume,
)
from templategen.messages import Message, tr, tr_noop
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.trade.choices import Guard, LogRim, MeasuredAt, Order
from templategen.trade.records import DryingWall, Job, LengthWall, Relief, ShareWall
from templategen.trade.wood import wood_of

CLOSE = 0.02  # mm: two outlines, the chords of each up to 0.01 mm off its arcs (design.md §10)
EXACT = 1e-6  # mm, radians: for figures not measured on chords
UNDER_TENON = 1.5  # mm left free below a tenon (design.md §4.3)
HOLDER_AIR = 5.0  # mm between holder and wood (design.md §4.8)
DISC_AIR = 10.0  # mm around the disc as sawn (design.md §4.10)
PER_MILLION = 1e-6  # of a volume
COARSE = 0.005  # mm: chord error of the edges drawn here with setting errors


def check_plan(plan: Plan) -> None:
    """Measures a plan without a stop.

    Raises:
        OutputError: a figure of the plan is not what its outlines show, or a rule is broken.
    """
    fault = next(_faults(plan), None)
    if fault is not None:
        raise OutputError(
            tr("the program failed its own check ({fault})", fault=fault),
            mend=tr("nothing is printed; please report this line with the input files"),
        )


def _faults(plan: Plan) -> Iterator[Message]:
    if plan.has_stop:
        return
    numbers = [cut.number for cut in plan.cuts]
    if numbers != list(range(1, len(numbers) + 1)) or sorted(plan.sequence) != numbers:
        yield tr("the cuts are not numbered from the rim")
    if [bowl.number for bowl in plan.bowls] != [*numbers, len(numbers) + 1]:
        yield tr("cuts and bowls do not go together")
        return
    for cut in plan.cuts:
        for fault in _cut_faults(plan, cut):
            yield tr("cut {number}: {fault}", number=cut.number, fault=fault)
    for bowl in plan.bowls:
        for fault in _bowl_faults(plan, bowl):
            yield tr("{bowl}: {fault}", bowl=bowl.shown_name, fault=fault)
    whole = math.pi * plan.job.blank.diameter**2 / 4 * plan.job.blank.height
    if sum(bowl.volume for bowl in plan.bowls) > whole:
        yield tr("the bowls are more than the blank")
    yield from _lathe_and_log_faults(plan)


def _differs(name: str, stated: float, found: float, slack: float) -> Iterator[Message]:
    if not abs(stated - found) <= slack:
        yield tr(
            "{name} is said to be {said:.4f}, it measures {found:.4f}",
            name=tr(name),
            said=stated,
            found=found,
        )


def _least(name: str, found: float, need: float, slack: float = EXACT) -> Iterator[Message]:
    if not found >= need - slack:
        yield tr(
            "{name} measures {found:.4f}, {need:.4f} is needed",
            name=tr(name),
            found=found,
            need=need,
        )


def _cut_faults(plan: Plan, cut: Cut) -> Iterator[Message]:
    """Rule 5 and the marks, from two points and the pivot alone."""
    job, post, h = plan.job, plan.shop.post, cut.cutter_height
    p, q, radius = cut.pivot_offset, cut.pivot_standoff, cut.cutter.radius
    if cut.cutter not in plan.shop.cutters:
        yield tr("the shop has no cutter {cutter}", cutter=cut.cutter.id)
    entry = math.sqrt(max(0.0, cut.entry_radius**2 - h * h))
    yield from _differs(
        tr_noop("radius at the entry"), radius, math.dist((entry, 0), (p, -q)), EXACT
    )
    yield from _differs(
        tr_noop("radius at the axis"), radius, math.hypot(p, cut.depth_at_axis + q), EXACT
    )
    first = math.atan2(q, entry - p)
    last = math.atan2(cut.depth_at_axis + q, -p)
    yield from _differs(tr_noop("swing"), cut.swing, last - first, EXACT)
    yield from _least(tr_noop("swing left"), math.radians(cut.cutter.max_swing), cut.swing)
    yield from _differs(tr_noop("slope"), cut.slope, math.atan2(p, cut.depth_at_axis + q), EXACT)
    yield from _least(tr_noop("slope left"), math.radians(job.nest.max_slope), abs(cut.slope))
    yield from _least(tr_noop("standoff"), q, post.min_standoff)
    shift = cut.relief.shift if cut.relief else 0.0
    yield from _least(tr_noop("offset"), p - shift, post.min_offset)
    yield from _least(tr_noop("kerf"), cut.cutter.kerf, shift)
    yield from _least(tr_noop("offset left"), post.max_offset, p)
    yield from _differs(tr_noop("stub"), cut.stub, 2 * h, EXACT)
    if h != job.nest.height_above_centre or cut.relief != job.nest.relief:
        yield tr("height or relief is not the job's")
    yield from _swing_faults(cut)
    outer_first = job.nest.order == Order.OUTER_FIRST
    rim = _outside(plan, plan.bowls[cut.number - 1 if outer_first else 0])[0][0]
    yield from _differs(
        tr_noop("entry from the rim"), cut.entry_from_rim, rim - cut.entry_radius, CLOSE
    )
    if not job.nest.pinned:
        for name, figure in (
            (tr_noop("entry in marks"), cut.entry_radius),
            (tr_noop("depth in marks"), cut.depth_at_axis),
        ):
            marks = figure / job.units.grid
            yield from _differs(name, marks, round(marks), 1e-4)


def _swing_faults(cut: Cut) -> Iterator[Message]:
    """Rule 8, the neck at the stop and the end of the cut, from the tip's two corners."""
    cutter, p, q = cut.cutter, cut.pivot_offset, cut.pivot_standoff
    touch = math.atan2(q, math.sqrt(max(0.0, cut.entry_radius**2 - cut.cutter_height**2)) - p)

    def corners(swing: float) -> tuple[Place, Place]:
        turn = touch + swing
        outer, inner = (
            (p + ring * math.cos(turn), ring * math.sin(turn) - q)
            for ring in (cutter.radius, cutter.inner_radius)
        )
        return outer, inner

    def neck(swing: float) -> float:
        outer, inner = corners(swing)
        if inner[1] < 0:  # it is in front of the face still: the edge enters at the face
            share = outer[1] / (outer[1] - inner[1])
            inner = (outer[0] + share * (inner[0] - outer[0]), 0.0)
        return 2 * math.hypot(min(outer[0], inner[0]), cut.cutter_height)

    if cut.through_angle is not None:
        yield from _differs(tr_noop("end of the cut"), cut.stub, neck(cut.through_angle), CLOSE)
    if cut.stop_angle is not None and cut.stop_depth is not None and cut.stop_neck is not None:
        yield from _differs(tr_noop("neck"), cut.stop_neck, neck(cut.stop_angle), CLOSE)
        depth = corners(cut.stop_angle)[0][1]
        yield from _differs(tr_noop("depth at the stop"), cut.stop_depth, depth, CLOSE)
        if cut.release_angle is not None and cut.release_neck is not None:
            yield from _least(tr_noop("release"), cut.release_angle, cut.stop_angle)
            yield from _differs(tr_noop("neck"), cut.release_neck, neck(cut.release_angle), CLOSE)
    if cutter.arc is not None:
        # where the blade ends when the tip is at the axis, half a holder and its air outside
        turn = math.atan2(cut.depth_at_axis + q, -p) - math.radians(cutter.arc)
        out = q - cutter.radius * math.sin(turn)
        yield from _least(tr_noop("bare blade"), out, (cutter.holder or 0.0) / 2 + HOLDER_AIR)


def _lathe_and_log_faults(plan: Plan) -> Iterator[Message]:
    """Rule 10, the speed and the log, from the blank's own figures."""
    blank, lathe, speed, log = plan.job.blank, plan.shop.lathe, plan.speed, plan.job.log
    for room in (None if lathe.swing is None else lathe.swing / 2, lathe.centre_height):
        if room is not None:
            yield from _least(tr_noop("air around the disc"), room - blank.diameter / 2, DISC_AIR)
    if speed is not None:
        limits = [plan.shop.rules.max_coring_speed, 6000 * 25.4 / blank.diameter]
        if plan.shop.chuck.max_speed is not None:
            limits.append(plan.shop.chuck.max_speed)
        yield from _least(tr_noop("speed"), min(limits), speed.max_rpm)
        yield from _least(tr_noop("speed to start at"), speed.max_rpm / 2, speed.start_rpm, 5.0)
    if log is not None and plan.log is not None:
        rim_at = plan.log.rim_from_pith
        away = [(r, abs(rim_at + (z if log.rim is LogRim.PITH else -z))) for r, z in plan.outside]
        needed = 2 * max(math.hypot(r, z) for r, z in away)
        yield from _differs(tr_noop("log"), plan.log.diameter_needed, needed, CLOSE)


def _bowl_faults(plan: Plan, bowl: Bowl) -> Iterator[Message]:
    """Rules 1 to 4, 6 and 7 on one bowl."""
    job, number = plan.job, bowl.number
    outside, inside = _outside(plan, bowl), _inside(plan, bowl)
    yield from _differs(tr_noop("rim"), bowl.rim_diameter, 2 * outside[0][0], CLOSE)
    yield from _differs(
        tr_noop("volume"), bowl.volume, swept_volume(bowl.outline), PER_MILLION * bowl.volume
    )
    if number > 1:
        yield from _along(tr_noop("outside"), outside, plan.cuts[number - 2], inner=True)
        yield from _least(tr_noop("rim"), bowl.rim_diameter, job.nest.min_bowl)
        yield from _least(tr_noop("depth"), bowl.depth, job.nest.min_depth)
        shallowest = bowl.rim_diameter * job.nest.min_ratio
        yield from _least(tr_noop("depth"), bowl.depth, shallowest)
    yield from _tenon_faults(plan, bowl, outside)
    if number > len(plan.cuts):
        if inside or bowl.wall is not None or bowl.floor is not None:
            yield tr("the innermost core is not solid")
        return
    if len(inside) < 2 or bowl.wall is None or bowl.floor is None:
        yield tr("no inside")
        return
    cut = plan.cuts[number - 1]
    yield from _along(tr_noop("inside"), inside, cut, inner=False)
    deepest = max(z for _, z in inside)
    yield from _differs(tr_noop("deepest"), cut.deepest, deepest, CLOSE)
    bare = outside[:-2] if number == 1 else outside  # the tenon is no part of the wall
    wall, floor = least_gap(bare, inside), bowl.depth - deepest
    need = _wall_needed(job, bowl.rim_diameter)
    need_floor = need if job.nest.floor is None else job.nest.floor
    yield from _differs(tr_noop("wall"), bowl.wall, wall, CLOSE)
    yield from _differs(tr_noop("floor"), bowl.floor, floor, CLOSE)
    if bowl.wall_greatest is not None:
        turned = [*(place for place in bare if place[1] < bowl.depth)]
        foot = radius_at_depth(bare, bowl.depth)
        turned += [(foot, bowl.depth), (0.0, bowl.depth)]
        found = greatest_gap(inside, turned)
        yield from _differs(tr_noop("greatest wall"), bowl.wall_greatest, found, CLOSE)
    yield from _least(tr_noop("wall"), wall, need, CLOSE)
    yield from _least(tr_noop("floor"), floor, need_floor, CLOSE)
    if job.nest.guard == Guard.WORST:
        yield from _least(tr_noop("worst wall"), _worst_wall(plan, bowl, bare), need, CLOSE)
        yield from _least(tr_noop("worst floor"), _worst_floor(plan, bowl), need_floor, CLOSE)


def _tenon_faults(plan: Plan, bowl: Bowl, outside: Sequence[Place]) -> Iterator[Message]:
    jaws, diameter, length = bowl.jaws, bowl.tenon_diameter, bowl.tenon_length
    if jaws is None or jaws not in plan.shop.jaws:
        yield tr("held by no jaws of the shop")
        return
    spread = 2 * length * math.tan(math.radians(jaws.dovetail_angle))
    end_diameter = bowl.tenon_end_diameter
    at_mouth = jaws.measured_at is MeasuredAt.MOUTH
    measured = diameter if at_mouth else end_diameter
    yield from _differs(tr_noop("tenon"), measured, jaws.true_circle, EXACT)
    yield from _differs(tr_noop("dovetail"), end_diameter - diameter, spread, EXACT)
    yield from _least(tr_noop("depth of the jaws"), jaws.depth, length + UNDER_TENON)
    share = diameter / (2 * outside[0][0])
    yield from _differs(tr_noop("tenon share"), bowl.tenon_share, share, 1e-4)
    yield from _least(tr_noop("tenon share"), share, plan.shop.rules.refuse_share, 1e-6)
    if bowl.number == 1:
        end = max(z for _, z in outside)
        yield from _differs(tr_noop("tenon end"), plan.job.blank.height, end, EXACT)
    else:
        found = depth_at_radius(outside, end_diameter / 2)
        if found is None:
            yield tr("the tenon does not fit")
            return
        end = found
    yield from _differs(tr_noop("tenon shoulder"), bowl.depth, end - length, CLOSE)


def _outside(plan: Plan, bowl: Bowl) -> list[Place]:
    """The outside from the rim down, the tenon of the blank included."""
    if bowl.number == 1:
        return list(plan.outside)
    outline = bowl.outline
    first = next(n for n, (r, _) in enumerate(outline) if r == 0)
    return list(outline[: first + (plan.job.nest.height_above_centre == 0)])


def _inside(plan: Plan, bowl: Bowl) -> list[Place]:
    """The inside from the axis to the face; empty for a solid bowl."""
    outline = bowl.outline
    last = max(n for n, (r, _) in enumerate(outline) if r == 0)
    if last == len(outline) - 1:
        return []
    # a cutter at centre height reaches the axis itself, one above it only the stub
    return list(outline[last + (plan.job.nest.height_above_centre > 0) :])


def _along(name: str, line: Sequence[Place], cut: Cut, *, inner: bool) -> Iterator[Message]:
    """A fault where a corner is off the circle of an edge of the cut."""
    h, relief = cut.cutter_height, cut.relief or Relief(shift=0.0, depth=0.0)
    radius = cut.cutter.inner_radius if inner else cut.cutter.radius
    for r, z in line:
        x = math.sqrt(max(0.0, r * r - h * h))
        aside = [0.0]
        if inner and z < relief.depth + CLOSE and x + relief.shift >= cut.pivot_offset:
            # the relief is run in from the entry: past the deepest point the cut has none
            aside = [0.0, relief.shift]
            if z < relief.depth - CLOSE and x >= cut.pivot_offset:
                aside = [relief.shift]
        far = [math.dist((x + s, z), (cut.pivot_offset, -cut.pivot_standoff)) for s in aside]
        if min(abs(f - radius) for f in far) > EXACT:
            yield tr("{name} leaves the cut at {r:.3f}, {z:.3f}", name=tr(name), r=r, z=z)
            return


def _wall_needed(job: Job, rim: float) -> float:
    """Rule 1 from the job, by design.md §5: a = (b(1 - S_across) - f - m)/(1 - S_along)."""
    match job.nest.wall:
        case ShareWall(share):
            return share * rim
        case LengthWall(length):
            return length
        case DryingWall():
            return _drying_wall_needed(job, rim)


def _drying_wall_needed(job: Job, rim: float) -> float:
    wood = wood_of(job)
    across = None if wood is None else wood.across(job.nest.across)
    if wood is None or across is None:
        return math.inf  # the planner refuses such a job
    dried = max(0.0, (30.0 - job.nest.final_moisture) / 30.0) / 100.0
    b = rim / 2
    left = b * (1 - across * dried) - job.nest.finished_wall - job.nest.truing_margin
    return b - left / (1 - wood.along * dried)


def _drawn(cut: Cut, dp: float, dq: float, *, inner: bool) -> list[Place]:
    """An edge of a cut with its pivot shifted, as points from the face to the axis."""
    p, q, h = cut.pivot_offset + dp, cut.pivot_standoff + dq, cut.cutter_height
    radius = cut.cutter.inner_radius if inner else cut.cutter.radius
    relief = cut.relief if inner else None
    first, last = math.asin(q / radius), math.acos(-p / radius)
    parts = [(first, last, 0.0)]
    if relief is not None and first < (step := _step_angle(relief.depth + q, radius)) < last:
        parts = [(first, step, relief.shift), (step, last, 0.0)]
    points: list[Place] = []
    for start, end, shift in parts:
        count = math.ceil((end - start) / (2 * math.acos(1 - COARSE / radius)))
        for n in range(count + 1):
            angle = start + n * (end - start) / count
            x, z = p - shift + radius * math.cos(angle), radius * math.sin(angle) - q
            points.append((math.hypot(max(0.0, x), h), z))
    return points


def _step_angle(height: float, radius: float) -> float:
    """Angle at which an edge has run the relief cut's depth; a quarter turn where it never has."""
    return math.asin(min(1.0, height / radius))


def _errors(plan: Plan) -> list[tuple[float, float]]:
    t = plan.job.nest.setting_tolerance
    return [(dp, dq) for dp in (-t, t) for dq in (-t, t)]


def _worst_wall(plan: Plan, bowl: Bowl, bare: Sequence[Place]) -> float:
    """Rule 7: the least wall with both pivots out by ±t, mm."""
    outsides = [list(bare)]
    if bowl.number > 1:
        own = plan.cuts[bowl.number - 2]
        outsides = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
    insides = [_drawn(plan.cuts[bowl.number - 1], dp, dq, inner=False) for dp, dq in _errors(plan)]
    return min(least_gap(one, other) for one in outsides for other in insides)


def _worst_floor(plan: Plan, bowl: Bowl) -> float:
    """Rule 7: the least floor with both pivots out by ±t, mm."""
    shoulders = [bowl.depth]
    if bowl.number > 1:
        own = plan.cuts[bowl.number - 2]
        lines = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
        ends = [depth_at_radius(line, bowl.tenon_end_diameter / 2) for line in lines]
        shoulders = [(0.0 if end is None else end) - bowl.tenon_length for end in ends]
    inner = plan.cuts[bowl.number - 1]
    deepest = max(z for dp, dq in _errors(plan) for _, z in _drawn(inner, dp, dq, inner=False))
    return min(shoulders) - deepest
