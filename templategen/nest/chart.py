"""How many bowls a shop's cutters give over a range of blanks, and by which cutters."""

import dataclasses
import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from templategen.errors import InputError
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import ENGLISH_WORDING, Text, Wording, tr
from templategen.nest.chains import aim_of, chain_of
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import CutTable, coarse_grid, make_cut_table
from templategen.nest.even_search import most_even_chain
from templategen.nest.rules import fits_lathe
from templategen.nest.search import Chain, TooLong
from templategen.nest.tenon_choice import Held, blank_options
from templategen.trade import defaults
from templategen.trade.choices import Objective
from templategen.trade.records import Job, Shop

CELL_WORK = 2_000  # limit of a search for one blank; beyond it wider marks are taken
FORMAT = "templategen-chart/1"
Progress = Callable[[int, int], object]  # blanks done, of how many


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartCell:
    """One blank of the chart.

    Args:
        diameter: mm.
        height: mm.
        bowls: number of bowls with the outermost; 0 where the blank cannot be held or cored.
        cutters: ids of the cutters, from the rim inward.
        rims: rim diameters of the bowls from the outside inward, mm.
        reason: why there is no core, or empty.
    """

    diameter: float
    height: float
    bowls: int
    cutters: tuple[str, ...]
    rims: tuple[float, ...]
    reason: Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Rows by diameter, columns by height."""

    job: Job
    shop: Shop
    diameters: tuple[float, ...]
    heights: tuple[float, ...]
    cells: tuple[tuple[ChartCell, ...], ...]


def make_chart(
    job: Job,
    shop: Shop,
    *,
    diameters: Sequence[float],
    heights: Sequence[float],
    progress: Progress | None = None,
) -> Chart:
    """The chart of a shop.

    Args:
        job: its wishes, tenons, wood and outside are used; its blank is not.
        shop: checked shop.
        diameters: of the blanks, mm, 50 to 1500.
        heights: of the blanks, mm, 20 to 1000.
        progress: called after each blank.

    Raises:
        InputError: the wood's shrinkage is not known.
    """
    sizes = list(itertools.product(diameters, heights))
    cells = iter(chart_cells(job, shop, sizes, progress=progress))
    return Chart(
        job=job,
        shop=shop,
        diameters=tuple(diameters),
        heights=tuple(heights),
        cells=tuple(tuple(itertools.islice(cells, len(heights))) for _ in diameters),
    )


def chart_cells(
    job: Job,
    shop: Shop,
    sizes: Sequence[tuple[float, float]],
    *,
    progress: Progress | None = None,
) -> list[ChartCell]:
    """What each of several blanks gives.

    Args:
        job: its wishes, tenons, wood and outside are used; its blank is not.
        shop: checked shop.
        sizes: diameter and height of each blank, mm; at least one.
        progress: called after each blank.

    Raises:
        InputError: the wood's shrinkage is not known.
    """
    reach = Reach(entry=max(d for d, _ in sizes) / 2, depth=max(h for _, h in sizes))
    grid = coarse_grid(job, shop, reach=reach, grid=job.units.grid)
    tables = _Tables(job, shop, reach, grid)
    cells = []
    for done, (diameter, height) in enumerate(sizes, start=1):
        cells.append(_cell(job, shop, tables, diameter, height))
        if progress is not None:
            progress(done, len(sizes))
    return cells


class _Tables:
    """Tables of cuts, each on marks twice as wide as the one before; made when first used."""

    def __init__(self, job: Job, shop: Shop, reach: Reach, grid: float) -> None:
        self.wishes, self.reach, self.grid = (job, shop), reach, grid
        self.made: list[CutTable] = []

    def __getitem__(self, place: int) -> CutTable:
        while len(self.made) <= place:
            grid = self.grid * 2 ** len(self.made)
            self.made.append(make_cut_table(*self.wishes, reach=self.reach, grid=grid))
        return self.made[place]


def _chain(job: Job, shop: Shop, starts: tuple[Held, ...], tables: _Tables) -> Chain | None:
    """The chain of one blank, on the narrowest marks whose search is short enough."""
    place = 0
    while True:
        table = tables[place]
        try:
            chain = chain_of(job, shop, starts, table, most_work=CELL_WORK)
            if chain is None or job.nest.objective != Objective.EVEN:
                return chain
            return most_even_chain(starts, table, chain, aim=aim_of(job), most_work=CELL_WORK)
        except TooLong:
            place += 1


def _cell(job: Job, shop: Shop, tables: _Tables, diameter: float, height: float) -> ChartCell:
    blank = dataclasses.replace(job.blank, diameter=diameter, height=height)
    if not isinstance(blank.outside, str):  # points belong to the job's own blank
        blank = dataclasses.replace(blank, outside=defaults.OUTSIDE.value)
    changed = dataclasses.replace(job, blank=blank, nest=dataclasses.replace(job.nest, pinned=()))

    def none(reason: Text) -> ChartCell:
        return ChartCell(
            diameter=diameter, height=height, bowls=0, cutters=(), rims=(), reason=reason
        )

    if not fits_lathe(diameter, shop):
        return none(tr("over the lathe's swing"))
    try:
        starts = blank_options(changed, shop)
    except InputError:
        return none(tr("the tenon does not fit"))
    if starts[0].shape.jaws is None:
        return none(tr("no jaws hold it"))
    chain = _chain(changed, shop, starts, tables) or Chain(shapes=(starts[0].shape,))
    return ChartCell(
        diameter=diameter,
        height=height,
        bowls=len(chain.shapes),
        cutters=tuple(setting.cutter.id for setting in chain.settings),
        rims=tuple(2 * shape.rim_radius for shape in chain.shapes),
        reason="" if chain.settings else tr("no cutter fits"),
    )


def chart_to_json(chart: Chart, wording: Wording = ENGLISH_WORDING) -> dict[str, Any]:
    """The chart as an object ready for `json.dumps`; lengths mm.

    Args:
        chart: the chart.
        wording: of the reasons.
    """
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
                "reason": wording.text(cell.reason),
            }
            for cell in every_cell(chart)
        ],
    }


def every_cell(chart: Chart) -> Iterator[ChartCell]:
    """The cells row by row."""
    for row in chart.cells:
        yield from row
