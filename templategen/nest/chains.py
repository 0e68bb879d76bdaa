"""The best chain of cuts for a job: free, or around the cuts that it fixes."""

import dataclasses
import functools
import itertools
from dataclasses import dataclass

from templategen.errors import InputError, InputErrors
from templategen.messages import tr
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import CutTable, coarse_grid, make_cut_table, may_hold, room_of
from templategen.nest.even_search import even_in_time
from templategen.nest.plan import CutSetting
from templategen.nest.rules import required, setting_at, setting_from
from templategen.nest.search import (
    ANY_COUNT,
    MOST_CUTS,
    MOST_WORK,
    Aim,
    Chain,
    Segment,
    TooLong,
    best_chain,
    without_covered,
)
from templategen.nest.tenon_choice import Held, blank_options, core_as_held_best, core_options
from templategen.trade.choices import Objective, Order
from templategen.trade.records import Cutter, Job, PinnedCut, Print, Shop

TABLES_KEPT = 2


def aim_of(job: Job) -> Aim:
    """What the job's wishes make a chain reach."""
    nest = job.nest
    return Aim(
        largest=nest.objective == Objective.LARGEST,
        wanted=tuple(
            ((rim - nest.wanted_tolerance) / 2, (rim + nest.wanted_tolerance) / 2)
            for rim in sorted(nest.wanted, reverse=True)
        ),
    )


def reach_of(starts: tuple[Held, ...], job: Job) -> Reach:
    """Limits of entry and depth of any cut in the blank."""
    rim = max(start.shape.rim_radius for start in starts)
    shoulder = max(start.shape.shoulder for start in starts)
    wall, floor = required(job, rim_radius=rim)
    return Reach(entry=rim - wall, depth=shoulder - floor)


def chain_of(
    job: Job,
    shop: Shop,
    starts: tuple[Held, ...],
    table: CutTable | None,
    *,
    counts: range = ANY_COUNT,
    most_work: int | None = None,
) -> Chain | None:
    """The best chain of cuts; where cuts are pinned, those and the best between them.

    Even walls are not sought here.

    Args:
        job: the wishes.
        shop: cutters, jaws and post.
        starts: the turned blank (`blank_options`).
        table: the cuts to choose from (`table_for`); None where all cuts are pinned.
        counts: of cuts that are wanted, without pinned cuts.
        most_work: of each search, see `best_chain`.

    Returns: None where no chain has the wanted rims and a number of cuts that is wanted.

    Raises:
        InputErrors: a pinned cut cannot be.
        TooLong: it took more than `most_work`.
    """
    if job.nest.pinned:
        return _chain_around_pins(job, shop, starts, table, most_work)
    assert table is not None  # the caller has made one
    return best_chain(starts, table, aim=aim_of(job), counts=counts, most_work=most_work)


def table_for(job: Job, shop: Shop, starts: tuple[Held, ...], *, grid: float) -> CutTable | None:
    """The cuts that a job may choose from, on marks `grid` mm apart; None where all are pinned."""
    if job.nest.pinned and not job.nest.add_cuts:
        return None
    return make_cut_table(job, shop, reach=reach_of(starts, job), grid=grid)


def _chain_around_pins(
    job: Job, shop: Shop, starts: tuple[Held, ...], table: CutTable | None, most_work: int | None
) -> Chain | None:
    """The pinned cuts and, where a table is given, the best chains between and inside them."""
    pins = pinned_settings(job, shop)
    cuts: list[CutSetting | None] = [None, *(setting for setting, _ in pins)]
    rims = [starts[0].shape.rim_radius, *(held[0].shape.rim_radius for _, held in pins)]
    options = [starts, *(held for _, held in pins)]
    aims = _aims_between(aim_of(job), rims)
    found: list[Chain] = []
    for n, (own, last) in enumerate(itertools.pairwise([*cuts, None])):
        between = None
        if table is not None:
            between = best_chain(
                options[n],
                table if last is None else table.able_to_hold(last),
                Segment(own=own, last=last),
                aim=aims[n],
                most_work=most_work,
            )
            if between is None and aims[n].wanted:
                return None
        elif aims[n].wanted:
            return None
        start = options[n][0]
        found.append(between or Chain(shapes=(start.shape,), unders=start.under))
    settings: list[CutSetting] = []
    for own, chain in zip(cuts, found, strict=True):
        settings += [] if own is None else [own]
        settings += chain.settings
    return Chain(
        settings=tuple(settings),
        shapes=tuple(shape for chain in found for shape in chain.shapes),
        unders=sum(chain.unders for chain in found),
    )


def _aims_between(aim: Aim, rims: list[float]) -> list[Aim]:
    """What is to be reached inside each of some rims, mm, that there are in any case."""
    wanted = [w for w in aim.wanted if not any(w[0] <= rim <= w[1] for rim in rims)]
    return [
        Aim(
            largest=aim.largest and not n,
            wanted=tuple(w for w in wanted if inner < w[1] and w[0] < outer),
        )
        for n, (outer, inner) in enumerate(itertools.pairwise([*rims, 0.0]))
    ]


@dataclass(frozen=True, kw_only=True)
class Found:
    """The chain of a job, and how it was found.

    Args:
        chain: the best, or None where none has the wanted rims.
        table: the cuts it was chosen from; None where all cuts are pinned.
        marks: mm between them.
        is_whole: whether all of them were tried.
        even_marks: mm between the cuts of which no other chain has walls more even, by more than
            `even_search.EVEN_GAP`; None where even walls are not sought.
    """

    chain: Chain | None
    table: CutTable | None
    marks: float
    is_whole: bool = True
    even_marks: float | None = None


def find_chain(job: Job, shop: Shop, starts: tuple[Held, ...], *, grid: float) -> Found:
    """The chain of cuts for a job, on the finest marks for which there is time.

    Where a search takes too long, wider marks are tried; a chain found before on finer marks is
    kept if it has more bowls.

    Args:
        job: the wishes.
        shop: cutters, jaws and post.
        starts: the turned blank.
        grid: mm between the job's own marks; wider ones are taken where the cuts are too many.

    Raises:
        InputErrors: a pinned cut cannot be.
    """
    reach, cut_job = reach_of(starts, job), _for_its_table(job)
    grid = _coarse_grid(cut_job, shop, reach, grid)
    kept: Found | None = None
    while True:
        table = None
        if job.nest.add_cuts or not job.nest.pinned:
            table = _cut_table(cut_job, shop, reach, grid)
        try:
            chain = chain_of(job, shop, starts, table, most_work=MOST_WORK)
        except TooLong as stopped:
            had = stopped.chain if not job.nest.pinned else None
            if had is not None and (kept is None or _bowls(had) > _bowls(kept.chain)):
                kept = Found(chain=had, table=table, marks=grid, is_whole=False)
            grid *= 2
        else:
            found = Found(chain=chain, table=table, marks=grid)
            if kept is not None and _bowls(chain) < _bowls(kept.chain):
                found = kept
            return _with_even_walls(job, starts, found)


def _for_its_table(job: Job) -> Job:
    """A job without what its table of cuts does not depend on."""
    nest = dataclasses.replace(job.nest, pinned=())
    return dataclasses.replace(job, title="", date="", nest=nest, print=Print(), log=None)


# A person who moves a pinned cut plans again and again with the same table.
@functools.lru_cache(maxsize=TABLES_KEPT)
def _cut_table(job: Job, shop: Shop, reach: Reach, grid: float) -> CutTable:
    return make_cut_table(job, shop, reach=reach, grid=grid)


@functools.lru_cache(maxsize=TABLES_KEPT)
def _coarse_grid(job: Job, shop: Shop, reach: Reach, grid: float) -> float:
    return coarse_grid(job, shop, reach=reach, grid=grid)


def _with_even_walls(job: Job, starts: tuple[Held, ...], found: Found) -> Found:
    """The chain with the most even walls of those with as many bowls, where they are sought."""
    if job.nest.objective != Objective.EVEN or job.nest.pinned:
        return found
    if found.chain is None or found.table is None:
        return found
    chain, marks = even_in_time(starts, found.table, found.chain, aim=aim_of(job))
    return dataclasses.replace(found, chain=chain, even_marks=marks * found.marks)


def _bowls(chain: Chain | None) -> int:
    return 0 if chain is None else len(chain.shapes)


def pinned_settings(job: Job, shop: Shop) -> list[tuple[CutSetting, tuple[Held, ...]]]:
    """The pinned cuts from the rim inward with the cores they free, in the jaws that may hold them.

    Raises:
        InputErrors: each that cannot be.
    """
    found: list[tuple[CutSetting, tuple[Held, ...]]] = []
    faults: list[InputError] = []
    for n, pin in enumerate(job.nest.pinned, start=1):
        where = tr("job: {key}", key=f"nest.pinned[{n}]")
        cutter = next((c for c in shop.cutters if c.id == pin.cutter), None)
        setting = None if cutter is None else _pinned_setting(pin, cutter, job)
        core = () if setting is None else _pinned_core(setting, job, shop)
        if cutter is None:
            owned = ", ".join(c.id for c in shop.cutters)
            fault = tr("no cutter {name!r} in the shop", name=pin.cutter)
            mend = tr("the shop has {names}", names=owned)
        elif setting is None:
            fault = tr("no circle of {radius:g} mm runs so", radius=cutter.radius)
            mend = tr("give another entry and depth, or another cutter")
        elif not core:
            fault = tr("the cut frees no core")
            mend = tr("give a larger entry or depth")
        else:
            found.append((setting, core))
            continue
        faults.append(InputError(fault, where=where, mend=mend))
    if faults:
        raise InputErrors(faults)
    return sorted(found, key=lambda pair: pair[0].entry_radius, reverse=True)


def _pinned_core(setting: CutSetting, job: Job, shop: Shop) -> tuple[Held, ...]:
    """The core of a pinned cut; where it breaks a rule, as best it can be held."""
    outer_first = job.nest.order == Order.OUTER_FIRST
    options = core_options(setting, job, shop, recored=outer_first)
    if options:
        return options
    shape = core_as_held_best(setting, job, shop)
    return () if shape is None else (Held(shape=shape, under=False),)


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


def chain_with_more(
    job: Job, shop: Shop, *, grid: float, bowls: int, most_work: int
) -> Chain | None:
    """The best chain of a changed job or shop where it has more bowls than a number.

    Args:
        job: the wishes.
        shop: cutters, jaws and post.
        grid: mm between marks.
        bowls: more of them are wanted.
        most_work: of each search.

    Raises:
        TooLong: whether there is one is not known.
    """
    starts = blank_options(job, shop)
    rooms = (room_of(start.room, job) for start in without_covered(starts))
    may_be_proved = bowls > 0 and not job.nest.pinned
    if may_be_proved and not any(may_hold(room, bowls, job, shop, grid=grid) for room in rooms):
        return None
    table, counts = table_for(job, shop, starts, grid=grid), range(bowls, MOST_CUTS + 1)
    chain = chain_of(job, shop, starts, table, counts=counts, most_work=most_work)
    return chain if chain is not None and len(chain.shapes) > bowls else None
