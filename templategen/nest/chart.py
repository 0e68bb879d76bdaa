"""How many bowls a shop's cutters give over a range of blanks, and by which cutters."""

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from templategen.errors import InputError
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import say
from templategen.nest.cut_table import CutTable, Reach, coarse_grid, make_cut_table
from templategen.nest.planner import blank_body, chain_of
from templategen.nest.rules import Body
from templategen.nest.search import Chain, TooLong
from templategen.trade.records import Job, Shop

CELL_WORK = 2_000  # of one blank, before wider marks are taken for it
FORMAT = "templategen-chart/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartCell:
    """One blank of the chart.

    Args:
        diameter: mm.
        height: mm.
        bowls: number of pieces, the outermost among them; 0 where the blank cannot be held or
            cored at all.
        cutters: ids of the cutters, from the rim inward.
        rims: rim diameters of the pieces from the outside inward, mm.
        reason: why there is no core, or empty.
    """

    diameter: float
    height: float
    bowls: int
    cutters: tuple[str, ...]
    rims: tuple[float, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Rows by diameter, columns by height."""

    job: Job
    shop: Shop
    diameters: tuple[float, ...]
    heights: tuple[float, ...]
    cells: tuple[tuple[ChartCell, ...], ...]


def make_chart(
    job: Job, shop: Shop, *, diameters: Sequence[float], heights: Sequence[float]
) -> Chart:
    """The chart of a shop.

    Args:
        job: its wishes, tenons, wood and outside are used; its blank is not.
        shop: checked shop.
        diameters: of the blanks, mm, 50 to 1500.
        heights: of the blanks, mm, 20 to 1000.

    Raises:
        InputError: the wood's shrinkage is not known.
    """
    reach = Reach(entry=max(diameters) / 2, depth=max(heights))
    grid = coarse_grid(job, shop, reach=reach, grid=job.units.grid)
    tables = _Tables(job, shop, reach, grid)
    rows = [
        tuple(_cell(job, shop, tables, diameter, height) for height in heights)
        for diameter in diameters
    ]
    return Chart(
        job=job,
        shop=shop,
        diameters=tuple(diameters),
        heights=tuple(heights),
        cells=tuple(rows),
    )


class _Tables:
    """The cuts to choose from on wider and wider marks, each table made when it is asked for."""

    def __init__(self, job: Job, shop: Shop, reach: Reach, grid: float) -> None:
        self.wishes, self.reach, self.grid = (job, shop), reach, grid
        self.made: list[CutTable] = []

    def __getitem__(self, place: int) -> CutTable:
        while len(self.made) <= place:
            grid = self.grid * 2 ** len(self.made)
            self.made.append(make_cut_table(*self.wishes, reach=self.reach, grid=grid))
        return self.made[place]


def _chain(job: Job, shop: Shop, body: Body, tables: _Tables) -> Chain:
    """The chain of one blank, on marks wide enough that it does not take long."""
    place = 0
    while True:
        try:
            return chain_of(job, shop, body, table=tables[place], most_work=CELL_WORK)
        except TooLong:
            place += 1


def _cell(job: Job, shop: Shop, tables: _Tables, diameter: float, height: float) -> ChartCell:
    outside = job.blank.outside if isinstance(job.blank.outside, str) else "arc"
    blank = dataclasses.replace(job.blank, diameter=diameter, height=height, outside=outside)
    changed = dataclasses.replace(job, blank=blank, nest=dataclasses.replace(job.nest, pinned=()))

    def none(reason: str) -> ChartCell:
        return ChartCell(
            diameter=diameter, height=height, bowls=0, cutters=(), rims=(), reason=reason
        )

    if shop.lathe.swing is not None and diameter > shop.lathe.swing:
        return none(say("over the lathe's swing"))
    try:
        body = blank_body(changed, shop)
    except InputError:
        return none(say("the tenon does not fit"))
    if body.jaws is None:
        return none(say("no jaws hold it"))
    chain = _chain(changed, shop, body, tables)
    return ChartCell(
        diameter=diameter,
        height=height,
        bowls=len(chain.bodies),
        cutters=tuple(swing.cutter.id for swing in chain.swings),
        rims=tuple(2 * b.rim_radius for b in chain.bodies),
        reason="" if chain.swings else say("no cutter fits"),
    )


def chart_to_json(chart: Chart) -> dict[str, Any]:
    """The chart as an object ready for `json.dumps`; lengths mm."""
    return {
        "format": FORMAT,
        "shop": shop_to_table(chart.shop),
        "diameters": list(chart.diameters),
        "heights": list(chart.heights),
        "blanks": [
            {
                "diameter": cell.diameter,
                "height": cell.height,
                "bowls": cell.bowls,
                "cutters": list(cell.cutters),
                "rims": list(cell.rims),
                "reason": cell.reason,
            }
            for cell in every_cell(chart)
        ],
    }


def every_cell(chart: Chart) -> Iterator[ChartCell]:
    """The cells row by row."""
    for row in chart.cells:
        yield from row
