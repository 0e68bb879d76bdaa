"""The check of a finished plan on its own outlines, before anything is printed.

Shares no formula with the planner: walls are distances between outlines as shapely measures them,
outlines must lie on the circles that the settings describe, required walls follow design.md §5
anew. A plan with a stop is not printed and not checked.
"""

import math
from collections.abc import Iterator, Sequence

from templategen.errors import OutputError
from templategen.geometry.measure import Place, depth_at_radius, least_gap, swept_volume
from templategen.messages import Message, tr, tr_noop
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.trade.choices import Guard
from templategen.trade.records import DryingWall, Job, LengthWall, Relief, ShareWall
from templategen.trade.wood import wood_of

CLOSE = 0.02  # mm: two outlines, the chords of each up to 0.01 mm off its arcs (design.md §10)
EXACT = 1e-6  # mm, radians: for figures not measured on chords
UNDER_TENON = 1.5  # mm left free below a tenon (design.md §4.3)
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
    if [bowl.number for bowl in plan.bowls] != [0, *numbers]:
        yield tr("cuts and bowls do not go together")
        return
    for cut in plan.cuts:
        for fault in _cut_faults(plan, cut):
            yield tr("cut {number}: {fault}", number=cut.number, fault=fault)
    for bowl in plan.bowls:
        for fault in _bowl_faults(plan, bowl):
            yield tr("bowl {number}: {fault}", number=bowl.number, fault=fault)
    whole = math.pi * plan.job.blank.diameter**2 / 4 * plan.job.blank.height
    if sum(bowl.volume for bowl in plan.bowls) > whole:
        yield tr("the bowls are more than the blank")


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
    yield from _least(tr_noop("offset"), p, post.min_offset)
    yield from _least(tr_noop("offset left"), post.max_offset, p)
    yield from _differs(tr_noop("stub"), cut.stub, 2 * h, EXACT)
    if h != job.nest.height_above_centre or cut.relief != job.nest.relief:
        yield tr("height or relief is not the job's")
    around = plan.bowls[cut.number - 1]
    rim = _outside(plan, around)[0][0]
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


def _bowl_faults(plan: Plan, bowl: Bowl) -> Iterator[Message]:
    """Rules 1 to 4, 6 and 7 on one bowl."""
    job, number = plan.job, bowl.number
    outside, inside = _outside(plan, bowl), _inside(plan, bowl)
    yield from _differs(tr_noop("rim"), bowl.rim_diameter, 2 * outside[0][0], CLOSE)
    yield from _differs(
        tr_noop("volume"), bowl.volume, swept_volume(bowl.outline), PER_MILLION * bowl.volume
    )
    if number:
        yield from _along(tr_noop("outside"), outside, plan.cuts[number - 1], inner=True)
        yield from _least(tr_noop("rim"), bowl.rim_diameter, job.nest.min_bowl)
        yield from _least(tr_noop("depth"), bowl.depth, job.nest.min_depth)
    yield from _tenon_faults(plan, bowl, outside)
    if number == len(plan.cuts):
        if inside or bowl.wall is not None or bowl.floor is not None:
            yield tr("the innermost core is not solid")
        return
    if len(inside) < 2 or bowl.wall is None or bowl.floor is None:
        yield tr("no inside")
        return
    cut = plan.cuts[number]
    yield from _along(tr_noop("inside"), inside, cut, inner=False)
    deepest = max(z for _, z in inside)
    yield from _differs(tr_noop("deepest"), cut.deepest, deepest, CLOSE)
    bare = outside[:-2] if number == 0 else outside  # the tenon is no part of the wall
    wall, floor = least_gap(bare, inside), bowl.depth - deepest
    need = _wall_needed(job, bowl.rim_diameter)
    need_floor = need if job.nest.floor is None else job.nest.floor
    yield from _differs(tr_noop("wall"), bowl.wall, wall, CLOSE)
    yield from _differs(tr_noop("floor"), bowl.floor, floor, CLOSE)
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
    yield from _differs(tr_noop("tenon"), diameter, jaws.true_circle, EXACT)
    yield from _least(tr_noop("depth of the jaws"), jaws.depth, length + UNDER_TENON)
    share = diameter / (2 * outside[0][0])
    yield from _differs(tr_noop("tenon share"), bowl.tenon_share, share, 1e-4)
    yield from _least(tr_noop("tenon share"), share, plan.shop.rules.refuse_share, 1e-6)
    if bowl.number == 0:
        end = max(z for _, z in outside)
        yield from _differs(tr_noop("tenon end"), plan.job.blank.height, end, EXACT)
    else:
        found = depth_at_radius(outside, diameter / 2)
        if found is None:
            yield tr("the tenon does not fit")
            return
        end = found
    yield from _differs(tr_noop("tenon shoulder"), bowl.depth, end - length, CLOSE)


def _outside(plan: Plan, bowl: Bowl) -> list[Place]:
    """The outside from the rim down, the tenon of the blank included."""
    if bowl.number == 0:
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
    count = math.ceil((last - first) / (2 * math.acos(1 - COARSE / radius)))
    points: list[Place] = []
    for n in range(count + 1):
        angle = first + n * (last - first) / count
        x, z = p + radius * math.cos(angle), radius * math.sin(angle) - q
        before_deepest = angle < math.pi / 2
        x -= relief.shift if relief is not None and z < relief.depth and before_deepest else 0.0
        points.append((math.hypot(max(0.0, x), h), z))
    return points


def _errors(plan: Plan) -> list[tuple[float, float]]:
    t = plan.job.nest.setting_tolerance
    return [(dp, dq) for dp in (-t, t) for dq in (-t, t)]


def _worst_wall(plan: Plan, bowl: Bowl, bare: Sequence[Place]) -> float:
    """Rule 7: the least wall with both pivots out by ±t, mm."""
    outsides = [list(bare)]
    if bowl.number:
        own = plan.cuts[bowl.number - 1]
        outsides = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
    insides = [_drawn(plan.cuts[bowl.number], dp, dq, inner=False) for dp, dq in _errors(plan)]
    return min(least_gap(one, other) for one in outsides for other in insides)


def _worst_floor(plan: Plan, bowl: Bowl) -> float:
    """Rule 7: the least floor with both pivots out by ±t, mm."""
    shoulders = [bowl.depth]
    if bowl.number:
        own = plan.cuts[bowl.number - 1]
        lines = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
        ends = [depth_at_radius(line, bowl.tenon_diameter / 2) for line in lines]
        shoulders = [(0.0 if end is None else end) - bowl.tenon_length for end in ends]
    inner = plan.cuts[bowl.number]
    deepest = max(z for dp, dq in _errors(plan) for _, z in _drawn(inner, dp, dq, inner=False))
    return min(shoulders) - deepest
