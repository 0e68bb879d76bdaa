"""From a job and a shop to a finished plan: the search, its figures and its findings."""

import dataclasses
import math

from templategen.errors import InputError, InputErrors
from templategen.geometry.curves import Pair, points_along
from templategen.geometry.solids import volume_of_revolution
from templategen.messages import tr
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import (
    CutTable,
    coarse_grid,
    make_cut_table,
    may_hold,
    room_of,
)
from templategen.nest.estimates import estimate_findings
from templategen.nest.findings import blank_findings, judge, many_settings
from templategen.nest.outside import outside_curves
from templategen.nest.plan import (
    EXACT_GAP,
    Bowl,
    BowlShape,
    Cut,
    CutSetting,
    Level,
    Plan,
    Points,
    Sensitivity,
)
from templategen.nest.rules import (
    TenonSize,
    core_shape,
    edge_of,
    floor_of,
    moved,
    required_floor,
    required_wall,
    setting_at,
    setting_from,
    tenon_for,
    wall_of,
    wall_places,
    worst_of,
)
from templategen.nest.search import MOST_WORK, Chain, TooLong, best_chain
from templategen.nest.suggestions import suggestions
from templategen.trade.choices import Objective, Order
from templategen.trade.jaws import choose_jaws
from templategen.trade.records import Cutter, Job, PinnedCut, Shop

TRIAL_WORK = 2_000  # of a search for one suggestion
NUDGE = 0.5  # mm; step of the difference quotients of a wall


def make_plan(
    job: Job, shop: Shop, *, with_suggestions: bool = True, grid: float | None = None
) -> Plan:
    """The best plan the shop's cutters and jaws allow for the job.

    Args:
        job: checked job.
        shop: checked shop with at least one cutter.
        with_suggestions: whether changes that would give more bowls are tried and listed.
        grid: mm between marks; None for the job's own (0.5 mm, or 1/64 in).

    Returns: the plan; a rule that cannot be met is a finding, never silently bent.

    Raises:
        InputError: the blank, the tenon, the wood or a pinned cut cannot be.
    """
    blank = blank_shape(job, shop)
    own = job.units.grid if grid is None else grid
    marks = coarse_grid(job, shop, reach=_reach(blank, job), grid=own)
    chain, marks, is_whole = _chain_in_time(job, shop, blank, grid=marks)
    bowls = tuple(_bowl(n, chain, job) for n in range(len(chain.shapes)))
    cuts = tuple(_cut(n, chain, job, bowls[n]) for n in range(len(chain.settings)))
    order = range(1, len(cuts) + 1)
    plan = Plan(
        job=job,
        shop=shop,
        cuts=cuts,
        bowls=bowls,
        sequence=tuple(order if job.nest.order == Order.OUTER_FIRST else reversed(order)),
        findings=(),
        outside=_with_tenon(blank, job),
    )
    findings = blank_findings(job, shop, blank) + judge(plan)
    if marks > own or not is_whole:
        findings.append(many_settings(job, marks, is_whole=is_whole))
    if with_suggestions:
        stopped = any(f.level is Level.STOP for f in findings)
        findings += suggestions(plan, _bowl_count, grid=marks, stopped=stopped)
    findings += estimate_findings(plan)
    return dataclasses.replace(plan, findings=tuple(findings))


def blank_shape(job: Job, shop: Shop) -> BowlShape:
    """The turned blank with its tenon, held by the jaws that hold it best."""
    diameter = job.blank.diameter
    jaws = choose_jaws(
        shop.jaws,
        rim_diameter=diameter,
        share=job.tenon.share,
        refuse_share=shop.rules.refuse_share,
    )
    wished = job.tenon.share * diameter
    tenon = tenon_for(jaws, job) or TenonSize(neck=wished, end=wished, length=job.tenon.length)
    shoulder = job.blank.height - tenon.length
    curves = outside_curves(
        job.blank,
        shoulder_depth=shoulder,
        foot_radius=tenon.neck / 2 + job.tenon.shoulder,
        tenon_radius=tenon.end / 2,
    )
    shape = BowlShape(
        curves=curves,
        rim_radius=curves[0].at(curves[0].start)[0],
        shoulder=shoulder,
        jaws=jaws,
        tenon_diameter=tenon.neck,
        tenon_end_diameter=tenon.end,
        tenon_length=tenon.length,
        size=0.0,
    )
    size = volume_of_revolution([(0.0, 0.0), *_with_tenon(shape, job)])  # closed along the face
    return dataclasses.replace(shape, size=size)


def chain_of(
    job: Job,
    shop: Shop,
    blank: BowlShape,
    *,
    grid: float | None = None,
    table: CutTable | None = None,
    more_than: int = 0,
    most_work: int | None = None,
) -> Chain:
    """The best chain of cuts; where cuts are pinned, those and the best between them.

    Args:
        job: the wishes.
        shop: cutters, jaws and post.
        blank: the turned blank.
        grid: mm between marks; None for the job's own.
        table: the cuts to choose from, if already made.
        more_than: without pinned cuts, chains of so many cuts or fewer are not wanted.
        most_work: of each search, see `best_chain`.

    Raises:
        InputErrors: a pinned cut cannot be.
        TooLong: it took more than `most_work`.
    """
    if table is None and (job.nest.add_cuts or not job.nest.pinned):
        own = job.units.grid if grid is None else grid
        table = make_cut_table(job, shop, reach=_reach(blank, job), grid=own)
    if job.nest.pinned:
        return _chain_around_pins(job, shop, blank, table, most_work)
    assert table is not None  # made above
    return best_chain(
        blank,
        table,
        first_largest=job.nest.objective == Objective.LARGEST,
        more_than=more_than,
        most_work=most_work,
    )


def _chain_around_pins(
    job: Job, shop: Shop, blank: BowlShape, table: CutTable | None, most_work: int | None
) -> Chain:
    """The pinned cuts and, where a table is given, the best chains between and inside them."""
    largest = job.nest.objective == Objective.LARGEST
    settings: list[CutSetting] = []
    shapes = [blank]
    for n, (setting, shape) in enumerate(pinned_settings(job, shop)):
        if table is not None:
            between = best_chain(
                shapes[-1],
                table.able_to_hold(setting),
                own=settings[-1] if settings else None,
                last=setting,
                first_largest=largest and n == 0,
                most_work=most_work,
            )
            settings += between.settings
            shapes += between.shapes[1:]
        settings.append(setting)
        shapes.append(shape)
    if table is not None:
        inner = best_chain(shapes[-1], table, own=settings[-1], most_work=most_work)
        settings += inner.settings
        shapes += inner.shapes[1:]
    return Chain(settings=tuple(settings), shapes=tuple(shapes))


def _chain_in_time(
    job: Job, shop: Shop, blank: BowlShape, *, grid: float
) -> tuple[Chain, float, bool]:
    """The chain of cuts, the marks it was found on, and whether all settings were tried.

    Where a search takes too long, wider marks are tried; a chain found before on finer marks is
    kept if it has more bowls.
    """
    chain, marks = Chain(shapes=(blank,)), grid
    while True:
        try:
            found = chain_of(job, shop, blank, grid=grid, most_work=MOST_WORK)
        except TooLong as stopped:
            had = stopped.chain if not job.nest.pinned else None
            if had is not None and len(had.shapes) > len(chain.shapes):
                chain, marks = had, grid
            grid *= 2
        else:
            if len(found.shapes) >= len(chain.shapes):
                return found, grid, True
            return chain, marks, False


def _reach(blank: BowlShape, job: Job) -> Reach:
    """Limits of entry and depth of any cut in the blank."""
    wall = required_wall(job, rim_radius=blank.rim_radius)
    floor = required_floor(job, rim_radius=blank.rim_radius)
    return Reach(entry=blank.rim_radius - wall, depth=blank.shoulder - floor)


def pinned_settings(job: Job, shop: Shop) -> list[tuple[CutSetting, BowlShape]]:
    """The pinned cuts from the rim inward with the cores they free.

    Raises:
        InputErrors: each that cannot be.
    """
    found: list[tuple[CutSetting, BowlShape]] = []
    faults: list[InputError] = []
    for n, pin in enumerate(job.nest.pinned):
        where = tr("job: {key}", key=f"nest.pinned[{n}]")
        cutter = next((c for c in shop.cutters if c.id == pin.cutter), None)
        setting = None if cutter is None else _pinned_setting(pin, cutter, job)
        shape = None if setting is None else core_shape(setting, job, shop, judged=True)
        if cutter is None:
            owned = ", ".join(c.id for c in shop.cutters)
            fault = tr("no cutter {name!r} in the shop", name=pin.cutter)
            mend = tr("the shop has {names}", names=owned)
        elif setting is None:
            fault = tr("no circle of {radius:g} mm runs so", radius=cutter.radius)
            mend = tr("give another entry and depth, or another cutter")
        elif shape is None:
            fault = tr("the cut frees no core")
            mend = tr("give a larger entry or depth")
        else:
            found.append((setting, shape))
            continue
        faults.append(InputError(fault, where=where, mend=mend))
    if faults:
        raise InputErrors(faults)
    return sorted(found, key=lambda pair: pair[0].entry_radius, reverse=True)


def _pinned_setting(pin: PinnedCut, cutter: Cutter, job: Job) -> CutSetting | None:
    height = job.nest.height_above_centre
    if pin.entry_radius is not None and pin.depth_at_axis is not None:
        return setting_from(
            cutter, entry_radius=pin.entry_radius, depth=pin.depth_at_axis, height=height
        )
    assert pin.pivot_offset is not None  # the reader asks for one pair or the other
    assert pin.pivot_standoff is not None
    return setting_at(
        cutter, pivot_offset=pin.pivot_offset, pivot_standoff=pin.pivot_standoff, height=height
    )


def _bowl_count(job: Job, shop: Shop, grid: float, more_than: int) -> int | None:
    """The number of bowls of a changed job or shop where it is more than `more_than`.

    Returns: any number from 1 to `more_than` where it is not more; None where the search takes
        too long.
    """
    blank = blank_shape(job, shop)
    if not job.nest.pinned and not may_hold(room_of(blank, job), more_than, job, shop, grid=grid):
        return 1
    try:
        chain = chain_of(job, shop, blank, grid=grid, more_than=more_than - 1, most_work=TRIAL_WORK)
    except TooLong:
        return None
    return len(chain.shapes)


def _with_tenon(blank: BowlShape, job: Job) -> Points:
    neck, end, back = blank.tenon_diameter / 2, blank.tenon_end_diameter / 2, job.blank.height
    return (*blank.outside, (neck, blank.shoulder), (end, back), (0.0, back))


def _cut(n: int, chain: Chain, job: Job, bowl: Bowl) -> Cut:
    setting, height = chain.settings[n], job.nest.height_above_centre
    assert bowl.wall_at is not None  # every bowl that is cut has one
    return Cut(
        number=n + 1,
        setting=setting,
        cutter_height=height,
        entry_from_rim=bowl.shape.rim_radius - setting.entry_radius,
        relief=job.nest.relief,
        sensitivity=_sensitivity(bowl.shape, setting, height=height, at=bowl.wall_at),
    )


def _sensitivity(shape: BowlShape, setting: CutSetting, *, height: float, at: Pair) -> Sensitivity:
    """Change of the wall around a cut for each mm of its settings, by difference quotients."""

    def wall(offset: float, standoff: float, up: float) -> float:
        cut = moved(setting, offset=offset, standoff=standoff, height=height)
        return wall_of(shape, cut, height=height + up, near=(at,))[0]

    low = min(NUDGE, height)
    return Sensitivity(
        offset=(wall(NUDGE, 0, 0) - wall(-NUDGE, 0, 0)) / (2 * NUDGE),
        standoff=(wall(0, NUDGE, 0) - wall(0, -NUDGE, 0)) / (2 * NUDGE),
        height=(wall(0, 0, NUDGE) - wall(0, 0, -low)) / (NUDGE + low),
    )


def _bowl(n: int, chain: Chain, job: Job) -> Bowl:
    shape, settings = chain.shapes[n], chain.settings
    outside = shape.outside
    outside = _with_tenon(shape, job) if n == 0 else (*outside, (0.0, outside[-1][1]))
    wall = at = worst = need = floor = floor_worst = floor_need = None
    outline: Points = (*outside, (0.0, 0.0))
    if n < len(settings):
        inner = settings[n]
        places = wall_places(shape, inner, job)
        at, wall = places[0], math.dist(*places[0])
        need = required_wall(job, rim_radius=shape.rim_radius)
        floor = floor_of(shape, inner)
        floor_need = required_floor(job, rim_radius=shape.rim_radius)
        own = settings[n - 1] if n else None
        worst, floor_worst = worst_of(shape, own, inner, job, near=places)
        edge = edge_of(inner, height=job.nest.height_above_centre)
        inside = points_along([edge], max_gap=EXACT_GAP)
        outline = (*outside, (0.0, inside[-1][1]), *reversed(inside))
    return Bowl(
        number=n + 1,
        shape=shape,
        wall=wall,
        wall_at=at,
        wall_required=need,
        wall_worst=worst,
        floor=floor,
        floor_required=floor_need,
        floor_worst=floor_worst,
        volume=volume_of_revolution(list(outline)),
        outline=outline,
    )
