"""The second look: a finished plan measured on its own outlines before anything is printed.

Shares no formula with the planner: walls are measured between the points of the outlines, cuts
are asked to lie on the circles their settings describe, required walls follow design.md §5 anew.
A plan with a stop is not for printing and is not asked.
"""

import math
from collections.abc import Iterator, Sequence

from templategen.errors import OutputError
from templategen.geometry.measure import Place, depth_at_radius, least_gap, swept_volume
from templategen.messages import mark, say
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.trade.choices import Guard
from templategen.trade.records import DryingWall, Job, LengthWall, Relief, ShareWall
from templategen.trade.wood import wood_of

CLOSE = (
    0.02  # mm: chords of two outlines lie up to 0.01 mm aside of their true arcs (design.md §10)
)
EXACT = 1e-6  # mm, radians: figures that are not measured on chords
UNDER_TENON = 1.5  # mm left free below a tenon (design.md §4.3)
PER_MILLION = 1e-6  # of a volume
COARSE = 0.005  # mm: chords of the outlines drawn here to try setting errors


def check_plan(plan: Plan) -> None:
    """Measures a plan without a stop.

    Raises:
        OutputError: a figure of the plan is not what its outlines show, or a rule is broken.
    """
    fault = next(_faults(plan), None)
    if fault is not None:
        raise OutputError(
            say("the program failed its own check ({fault})", fault=fault),
            mend=say("nothing is printed; please report this line with the input files"),
        )


def _faults(plan: Plan) -> Iterator[str]:
    if plan.has_stop:
        return
    numbers = [cut.number for cut in plan.cuts]
    if numbers != list(range(1, len(numbers) + 1)) or sorted(plan.sequence) != numbers:
        yield say("the cuts are not numbered from the rim")
    if [piece.number for piece in plan.bowls] != [0, *numbers]:
        yield say("cuts and pieces do not go together")
        return
    for cut in plan.cuts:
        for fault in _cut_faults(plan, cut):
            yield say("cut {number}: {fault}", number=cut.number, fault=fault)
    for piece in plan.bowls:
        for fault in _piece_faults(plan, piece):
            yield say("piece {number}: {fault}", number=piece.number, fault=fault)
    whole = math.pi * plan.job.blank.diameter**2 / 4 * plan.job.blank.height
    if sum(piece.volume for piece in plan.bowls) > whole:
        yield say("the pieces are more than the blank")


def _differs(name: str, said: float, found: float, slack: float) -> Iterator[str]:
    if not abs(said - found) <= slack:
        yield say(
            "{name} is said to be {said:.4f}, it measures {found:.4f}",
            name=say(name),
            said=said,
            found=found,
        )


def _least(name: str, found: float, need: float, slack: float = EXACT) -> Iterator[str]:
    if not found >= need - slack:
        yield say(
            "{name} measures {found:.4f}, {need:.4f} is needed",
            name=say(name),
            found=found,
            need=need,
        )


def _cut_faults(plan: Plan, cut: Cut) -> Iterator[str]:
    """Rule 5 and the marks, from two points and the pivot alone."""
    job, post, h = plan.job, plan.shop.post, cut.cutter_height
    p, q, radius = cut.pivot_offset, cut.pivot_standoff, cut.cutter.radius
    if cut.cutter not in plan.shop.cutters:
        yield say("the shop has no cutter {cutter}", cutter=cut.cutter.id)
    entry = math.sqrt(max(0.0, cut.entry_radius**2 - h * h))
    yield from _differs(mark("radius at the entry"), radius, math.dist((entry, 0), (p, -q)), EXACT)
    yield from _differs(
        mark("radius at the axis"), radius, math.hypot(p, cut.depth_at_axis + q), EXACT
    )
    first = math.atan2(q, entry - p)
    last = math.atan2(cut.depth_at_axis + q, -p)
    yield from _differs(mark("swing"), cut.swing, last - first, EXACT)
    yield from _least(mark("swing left"), math.radians(cut.cutter.max_swing), cut.swing)
    yield from _differs(mark("slope"), cut.slope, math.atan2(p, cut.depth_at_axis + q), EXACT)
    yield from _least(mark("slope left"), math.radians(job.nest.max_slope), abs(cut.slope))
    yield from _least(mark("standoff"), q, post.min_standoff)
    yield from _least(mark("offset"), p, post.min_offset)
    yield from _least(mark("offset left"), post.max_offset, p)
    yield from _differs(mark("stub"), cut.stub, 2 * h, EXACT)
    if h != job.nest.height_above_centre or cut.relief != job.nest.relief:
        yield say("height or relief is not the job's")
    around = plan.bowls[cut.number - 1]
    rim = _outside(plan, around)[0][0]
    yield from _differs(
        mark("entry from the rim"), cut.entry_from_rim, rim - cut.entry_radius, CLOSE
    )
    if not job.nest.pinned:
        for name, figure in (
            (mark("entry in marks"), cut.entry_radius),
            (mark("depth in marks"), cut.depth_at_axis),
        ):
            marks = figure / job.units.grid
            yield from _differs(name, marks, round(marks), 1e-4)


def _piece_faults(plan: Plan, piece: Bowl) -> Iterator[str]:
    """Rules 1 to 4, 6 and 7 on one piece."""
    job, number = plan.job, piece.number
    outside, inside = _outside(plan, piece), _inside(plan, piece)
    yield from _differs(mark("rim"), piece.rim_diameter, 2 * outside[0][0], CLOSE)
    yield from _differs(
        mark("volume"), piece.volume, swept_volume(piece.outline), PER_MILLION * piece.volume
    )
    if number:
        yield from _along(mark("outside"), outside, plan.cuts[number - 1], inner=True)
        yield from _least(mark("rim"), piece.rim_diameter, job.nest.min_bowl)
        yield from _least(mark("depth"), piece.depth, job.nest.min_depth)
    yield from _tenon_faults(plan, piece, outside)
    if number == len(plan.cuts):
        if inside or piece.wall is not None or piece.floor is not None:
            yield say("the innermost core is not solid")
        return
    if len(inside) < 2 or piece.wall is None or piece.floor is None:
        yield say("no inside")
        return
    cut = plan.cuts[number]
    yield from _along(mark("inside"), inside, cut, inner=False)
    deepest = max(z for _, z in inside)
    yield from _differs(mark("deepest"), cut.deepest, deepest, CLOSE)
    bare = outside[:-3] if number == 0 else outside  # the tenon is no part of the wall
    wall, floor = least_gap(bare, inside), piece.depth - deepest
    need = _wall_needed(job, piece.rim_diameter)
    need_floor = need if job.nest.floor is None else job.nest.floor
    yield from _differs(mark("wall"), piece.wall, wall, CLOSE)
    yield from _differs(mark("floor"), piece.floor, floor, CLOSE)
    yield from _least(mark("wall"), wall, need, CLOSE)
    yield from _least(mark("floor"), floor, need_floor, CLOSE)
    if job.nest.guard == Guard.WORST:
        yield from _least(mark("worst wall"), _worst_wall(plan, piece, bare), need, CLOSE)
        yield from _least(mark("worst floor"), _worst_floor(plan, piece), need_floor, CLOSE)


def _tenon_faults(plan: Plan, piece: Bowl, outside: Sequence[Place]) -> Iterator[str]:
    jaws, diameter, length = piece.jaws, piece.tenon_diameter, piece.tenon_length
    if jaws is None or jaws not in plan.shop.jaws:
        yield say("held by no jaws of the shop")
        return
    yield from _differs(mark("tenon"), diameter, jaws.true_circle, EXACT)
    yield from _least(mark("depth of the jaws"), jaws.depth, length + UNDER_TENON)
    share = diameter / (2 * outside[0][0])
    yield from _differs(mark("tenon share"), piece.tenon_share, share, 1e-4)
    yield from _least(mark("tenon share"), share, plan.shop.rules.refuse_share, 1e-6)
    if piece.number == 0:
        end = max(z for _, z in outside)
        yield from _differs(mark("tenon end"), plan.job.blank.height, end, EXACT)
    else:
        found = depth_at_radius(outside, diameter / 2)
        if found is None:
            yield say("the tenon does not fit")
            return
        end = found
    yield from _differs(mark("tenon shoulder"), piece.depth, end - length, CLOSE)


def _outside(plan: Plan, piece: Bowl) -> list[Place]:
    """The outside from the rim down, the tenon of the blank included."""
    if piece.number == 0:
        return list(plan.outside)
    outline = piece.outline
    first = next(n for n, (r, _) in enumerate(outline) if r == 0)
    return list(outline[: first + (plan.job.nest.height_above_centre == 0)])


def _inside(plan: Plan, piece: Bowl) -> list[Place]:
    """The inside from the axis to the face; empty for a solid piece."""
    outline = piece.outline
    last = max(n for n, (r, _) in enumerate(outline) if r == 0)
    if last == len(outline) - 1:
        return []
    # a cutter at centre height reaches the axis itself, one above it only the stub
    return list(outline[last + (plan.job.nest.height_above_centre > 0) :])


def _along(name: str, line: Sequence[Place], cut: Cut, *, inner: bool) -> Iterator[str]:
    """Whether every corner lies on the circle that an edge of the cut runs along."""
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
            yield say("{name} leaves the cut at {r:.3f}, {z:.3f}", name=say(name), r=r, z=z)
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
    """An edge of a cut whose pivot is out by so much, as points from the face to the axis."""
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


def _worst_wall(plan: Plan, piece: Bowl, bare: Sequence[Place]) -> float:
    """Rule 7: the least wall with both pivots out by ±t, mm."""
    outsides = [list(bare)]
    if piece.number:
        own = plan.cuts[piece.number - 1]
        outsides = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
    insides = [_drawn(plan.cuts[piece.number], dp, dq, inner=False) for dp, dq in _errors(plan)]
    return min(least_gap(one, other) for one in outsides for other in insides)


def _worst_floor(plan: Plan, piece: Bowl) -> float:
    """Rule 7: the least floor with both pivots out by ±t, mm."""
    shoulders = [piece.depth]
    if piece.number:
        own = plan.cuts[piece.number - 1]
        lines = [_drawn(own, dp, dq, inner=True) for dp, dq in _errors(plan)]
        ends = [depth_at_radius(line, piece.tenon_diameter / 2) for line in lines]
        shoulders = [(0.0 if end is None else end) - piece.tenon_length for end in ends]
    inner = plan.cuts[piece.number]
    deepest = max(z for dp, dq in _errors(plan) for _, z in _drawn(inner, dp, dq, inner=False))
    return min(shoulders) - deepest
