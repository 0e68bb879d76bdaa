"""The core of a cut in the jaws that leave most room in it."""

import dataclasses

from templategen.inputs.starters import demo_shop
from templategen.nest.cut_table import CutTable
from templategen.nest.plan import BowlShape, CutSetting
from templategen.nest.search import Aim, Effort, Segment, _Search
from templategen.nest.tenon_choice import Held, core_options
from templategen.trade.records import Job, Shop


def open_shop() -> Shop:
    """The demo shop with cutters of which only radius and kerf are known: many cuts."""
    shop = demo_shop()
    cutters = (
        dataclasses.replace(c, arc=None, holder=None, section=None, relief_angle=None)
        for c in shop.cutters
    )
    return dataclasses.replace(shop, cutters=tuple(cutters))


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
