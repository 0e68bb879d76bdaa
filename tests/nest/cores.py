"""Blanks, cores and chains of a job as the tests of the planner ask for them."""

import dataclasses

from templategen.inputs.starters import demo_shop
from templategen.nest.chains import aim_of, chain_of, table_for
from templategen.nest.cut_table import CutTable
from templategen.nest.even_search import most_even_chain
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.search import Aim, Chain, Effort, Segment, _Search
from templategen.nest.tenon_choice import Held, blank_options, core_options
from templategen.trade.choices import Objective
from templategen.trade.records import Job, Shop


def open_shop() -> Shop:
    """The demo shop with cutters of which only radius and kerf are known: many cuts."""
    shop = demo_shop()
    cutters = (
        dataclasses.replace(c, arc=None, holder=None, section=None, relief_angle=None)
        for c in shop.cutters
    )
    return dataclasses.replace(shop, cutters=tuple(cutters))


def blank_shape(job: Job, shop: Shop) -> BowlShape:
    """The turned blank with its tenon, held by the jaws nearest the wished share."""
    return blank_options(job, shop)[0].shape


def chain_on(job: Job, shop: Shop, grid: float) -> Chain | None:
    """The best chain of a job on marks of `grid` mm, without a limit of work."""
    starts = blank_options(job, shop)
    table = table_for(job, shop, starts, grid=grid)
    chain = chain_of(job, shop, starts, table)
    if chain is None or table is None or job.nest.objective != Objective.EVEN:
        return chain
    return most_even_chain(starts, table, chain, aim=aim_of(job))


def deepest_core(
    setting: CutSetting, job: Job, shop: Shop, *, recored: bool = False
) -> BowlShape | None:
    """The core a cut frees, with the deepest shoulder of all jaws; None where none holds it."""
    options = core_options(setting, job, shop, recored=recored)
    return max((held.shape for held in options), key=lambda s: s.shoulder, default=None)


def search_of(
    start: BowlShape,
    table: CutTable,
    *,
    last: CutSetting | None = None,
    budget: int | None = None,
    most_work: int | None = None,
) -> _Search:
    """A search for chains inside a bowl, with any tenons if no budget of them is given."""
    return _Search(
        start=Held(shape=start, under=False),
        table=table,
        segment=Segment(last=last),
        aim=Aim(),
        effort=Effort(most_work),
        budget=budget,
    )
