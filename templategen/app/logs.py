"""Tells which blanks a log gives and how many bowls each of them gives in a shop."""

import math
from dataclasses import dataclass
from pathlib import Path

from templategen.app.jobs import (
    OpenedJob,
    OwnedShop,
    common_unit,
    job_in_shop,
    open_job,
    read_owned,
)
from templategen.app.single_pages import write_pages
from templategen.app.typed import typed_sides
from templategen.errors import InputError
from templategen.messages import tr
from templategen.nest import log_chart
from templategen.nest.chart import Progress
from templategen.nest.log_chart import LogChart, log_chart_to_json
from templategen.parts.log_sheet import HOW, WAYS, log_tables, log_title, make
from templategen.parts.style import PrintStyle
from templategen.trade.choices import LogRim
from templategen.trade.records import Log
from templategen.units import Units

__all__ = ["HOW", "WAYS", "LogChart", "LogWishes", "log_chart_to_json",
           "log_tables", "log_title", "make_log_chart", "open_log", "write_log_chart"]  # fmt: skip

EXAMPLE = "460x900"
STEPS = {Units.MM: (25.0, 5.0), Units.IN: (25.4, 6.35)}  # mm: of diameters and of heights
SMALLEST, LARGEST = 50.0, 1500.0  # mm: of a blank's diameter (design.md §11)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogWishes:
    """What a person states of a log; None for what is not stated.

    Args:
        size: diameter and length as text, such as ``460x900``; None for the job's own log.
        pith, end_trim, saw: lengths as texts, see `trade.records.Log`.
        rim: only blanks that open that way.
        wood: its name.
        shop: shop file.
        job: job file whose wishes, tenons and wood are used, and whose log where no size is given.
        language: asked for in this run, ISO 639-1.
    """

    size: str | None = None
    pith: str | None = None
    end_trim: str | None = None
    saw: str | None = None
    rim: str | None = None
    wood: str | None = None
    shop: Path | None = None
    job: Path | None = None
    language: str = ""


def open_log(wishes: LogWishes) -> OpenedJob:
    """A job with the log that a person states; its blank means nothing.

    Raises:
        InputError: every fault of log and files; no log at all.
    """
    where = tr("command line")
    sides: tuple[str, ...] = ()
    if wishes.size is not None:
        fault = tr("{text!r} is not diameter x length", text=wishes.size)
        sides = typed_sides(wishes.size, "log", fault=fault, example=EXAMPLE)
    if wishes.job is None:
        owned = read_owned(wishes.shop)
        table: dict[str, object] = {
            "units": common_unit(sides, owned.shop.units).value,
            "blank": {"diameter": "400 mm", "height": "180 mm"},
        }
    else:
        stated = open_job(wishes.job, shop=wishes.shop)
        owned, table = OwnedShop(stated.shop, stated.shop_table), dict(stated.job_table)
    if wishes.wood is not None:
        table["blank"] = {**_table(table, "blank"), "wood": wishes.wood}
    asked = {"pith": wishes.pith, "rim": wishes.rim, "end_trim": wishes.end_trim,
             "saw": wishes.saw}  # fmt: skip
    if sides:
        asked["diameter"], asked["length"] = sides
    log = {**_table(table, "log"), **{k: v for k, v in asked.items() if v is not None}}
    if "diameter" not in log:
        raise InputError(
            tr("no log is named"), where="log", mend=tr("write it as {example}", example=EXAMPLE)
        )
    return job_in_shop({**table, "log": log}, owned, where=where, language=wishes.language)


def _table(data: dict[str, object], key: str) -> dict[str, object]:
    found = data.get(key)
    return dict(found) if isinstance(found, dict) else {}


def make_log_chart(
    opened: OpenedJob, *, rim: str | None = None, progress: Progress | None = None
) -> LogChart:
    """The blanks of the opened job's log, their diameters by 25 mm or by the inch.

    Args:
        opened: job with a log, and its shop.
        rim: only blanks that open that way; None for both.
        progress: called after each blank.
    """
    log = opened.job.log
    assert log is not None  # `open_log` gives one
    across, down = STEPS[opened.job.units]
    chart = log_chart.make_log_chart(
        opened.job,
        opened.shop,
        diameters=_diameters(log, max(SMALLEST, opened.job.nest.min_bowl), across),
        step=down,
        rims=tuple(LogRim) if rim is None else (log.rim,),
        progress=progress,
    )
    if not chart.rows:
        raise InputError(
            tr("this log gives no blank for a bowl"),
            where="log",
            mend=tr("give a larger log, less end trim or a smaller nest.min_bowl"),
        )
    return chart


def _diameters(log: Log, least: float, step: float) -> list[float]:
    most = min(log.diameter, log.length - 2 * log.end_trim, LARGEST)
    first = math.ceil(least / step - 1e-9)
    return [n * step for n in range(first, math.floor(most / step + 1e-9) + 1)]


def write_log_chart(chart: LogChart, target: Path, *, paper: str | None, style: PrintStyle) -> None:
    """Writes the tables as a PDF, see `charts.write_chart`."""
    size = style.lengths((chart.log.diameter, chart.log.length))
    parts, title = make(chart, style=style), style.say("Log Ø {size}", size=size)
    write_pages(parts, target, job=chart.job, title=title, paper=paper, style=style)
