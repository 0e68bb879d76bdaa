"""Which blanks a log gives, both ways round, and how many bowls each of them gives."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from templategen.geometry.curves import points_along
from templategen.geometry.solids import Corner
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.nest.chart import ChartCell, Progress, chart_cells
from templategen.nest.outside import outside_curves
from templategen.trade.choices import LogRim, OutsideShape
from templategen.trade.log import HalfProfile, LogBlank, cylinder_profile, log_blanks
from templategen.trade.records import Job, Log, Shop

FORMAT = "templategen-log/1"
PROFILE_GAP = 0.05  # mm; chord error of an outside that is fitted into a log


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRow:
    """A blank of a log, and what it gives."""

    blank: LogBlank
    cell: ChartCell

    @property
    def bowls(self) -> int:
        """Bowls from all blanks of this size that the log gives."""
        return self.blank.count * self.cell.bowls


@dataclass(frozen=True, slots=True, kw_only=True)
class LogChart:
    """The blanks of a log by diameter, rim to the pith before rim to the bark.

    The job gives the wishes, tenons, wood and outside; its blank is not looked at.
    """

    job: Job
    shop: Shop
    log: Log
    rows: tuple[LogRow, ...]


def make_log_chart(
    job: Job,
    shop: Shop,
    *,
    diameters: Sequence[float],
    step: float,
    rims: Sequence[LogRim] = tuple(LogRim),
    progress: Progress | None = None,
) -> LogChart:
    """The blanks of a log and how many bowls each gives with the shop's cutters.

    Args:
        job: its wishes, tenons, wood, outside and log are used; it states a log.
        shop: checked shop.
        diameters: of the blanks to try, mm, 50 to 1500.
        step: heights are whole multiples of it, mm, > 0.
        rims: which ways round.
        progress: called after each blank.

    Returns: blanks flatter than the job's least bowl are left out.

    Raises:
        InputError: the wood's shrinkage is not known.
    """
    assert job.log is not None  # the caller has looked
    found = log_blanks(
        job.log,
        diameters=diameters,
        step=step,
        least_height=job.nest.min_depth,
        profile=turned_profile(job),
    )
    flattest = job.nest.min_ratio
    blanks = [b for b in found if b.rim in rims and b.height >= flattest * b.diameter]
    sizes = list(dict.fromkeys((blank.diameter, blank.height) for blank in blanks))
    made = chart_cells(job, shop, sizes, progress=progress) if sizes else []
    cells = dict(zip(sizes, made, strict=True))
    rows = (LogRow(blank=blank, cell=cells[blank.diameter, blank.height]) for blank in blanks)
    return LogChart(job=job, shop=shop, log=job.log, rows=tuple(rows))


def turned_profile(job: Job) -> HalfProfile:
    """The half profile of a blank once its outside is turned, with its tenon.

    Only this must be wood: what is turned away may be bark or air. A plain disc is taken for an
    outside that depends on a cut or belongs to the job's own blank.
    """
    tenon = job.tenon

    def profile(diameter: float, height: float) -> Sequence[Corner]:
        radius, shoulder = tenon.share * diameter / 2, height - tenon.length
        foot = radius + tenon.shoulder
        if job.blank.outside != OutsideShape.ARC or shoulder <= 0 or foot >= diameter / 2:
            return cylinder_profile(diameter, height)
        blank = dataclasses.replace(job.blank, diameter=diameter, height=height)
        curves = outside_curves(blank, shoulder_depth=shoulder, foot_radius=foot)
        return [*points_along(curves, max_gap=PROFILE_GAP), (radius, height)]

    return profile


def log_chart_to_json(chart: LogChart, wording: Wording = ENGLISH_WORDING) -> dict[str, Any]:
    """The chart as an object ready for `json.dumps`; lengths mm.

    Args:
        chart: the chart.
        wording: of the reasons.
    """
    return {
        "format": FORMAT,
        "log": dataclasses.asdict(chart.log),
        "shop": shop_to_table(chart.shop),
        "blanks": [
            {
                "diameter": row.blank.diameter,
                "height": row.blank.height,
                "rim": row.blank.rim.value,
                "count": row.blank.count,
                "bowls": row.cell.bowls,
                "bowls_in_all": row.bowls,
                "cutters": list(row.cell.cutters),
                "rims": list(row.cell.rims),
                "reason": wording.text(row.cell.reason),
            }
            for row in chart.rows
        ],
    }
