"""Charts how many bowls a shop's cutters give, over a range of blanks."""

import re
from pathlib import Path

from templategen.app.jobs import OpenedJob, job_in_shop, read_owned, settle
from templategen.app.single_pages import write_pages
from templategen.errors import InputError
from templategen.inputs.toml_table import read_toml
from templategen.messages import Text, tr
from templategen.nest import chart
from templategen.nest.chart import Chart, Progress, chart_to_json, every_cell
from templategen.parts.chart_sheet import cell_text, letters_of, make, wishes
from templategen.parts.shop_set import shop_plan
from templategen.parts.style import PrintStyle
from templategen.units import Rounding, Units, format_length, parse_length

__all__ = ["chart_rows", "chart_to_json", "empty_reasons", "letters_of", "make_chart",
           "open_wishes", "wishes", "write_chart"]  # fmt: skip

MOST_BLANKS = 3000
USUAL = {Units.MM: ("200-500/25", "80-200/20"), Units.IN: ("8-20/1", "3-8/1")}


def open_wishes(shop: Path | None, *, job: Path | None = None, language: str = "") -> OpenedJob:
    """The wishes that a chart is made for: a job's, or the shop's own.

    Args:
        shop: shop file; None for the invented demo shop.
        job: job file whose wishes, tenons, wood and outside are used, or None.
        language: asked for in this run, ISO 639-1; goes before the job's or shop's own.

    Raises:
        InputError: every fault of the files; `shop` is a job file.
    """
    if shop is not None and "blank" in read_toml(shop):
        raise InputError(
            tr("is a job file"),
            where=shop.name,
            mend=tr("name the shop file, and the job with --job"),
        )
    owned = read_owned(shop)
    if job is None:
        return settle(shop_plan(owned.shop).job, owned.shop, language)
    return job_in_shop(read_toml(job), owned, where=job.name, language=language)


def make_chart(
    opened: OpenedJob,
    *,
    diameters: str | None = None,
    heights: str | None = None,
    progress: Progress | None = None,
) -> Chart:
    """The chart of a shop.

    Args:
        opened: shop and wishes.
        diameters: from, to and step as ``200-500/25``, in the shop's unit; None for the usual.
        heights: likewise.
        progress: called after each blank.

    Raises:
        InputError: no such range, or too many blanks.
    """
    across, down = USUAL[opened.shop.units]
    sizes = _steps(diameters or across, opened.shop.units, "--diameters", (50, 1500))
    deep = _steps(heights or down, opened.shop.units, "--heights", (20, 1000))
    count = len(sizes) * len(deep)
    if count > MOST_BLANKS:
        raise InputError(
            tr("{count} blanks are too many", count=count),
            where="--diameters",
            mend=tr("take larger steps: at most {count} blanks", count=MOST_BLANKS),
        )
    return chart.make_chart(
        opened.job, opened.shop, diameters=sizes, heights=deep, progress=progress
    )


def _steps(text: str, units: Units, where: str, bounds: tuple[float, float]) -> list[float]:
    mend = tr("write from-to/step, as 200-500/25")
    match = re.fullmatch(r"\s*([^-/]{1,20})-([^-/]{1,20})(?:/(.{1,20}))?\s*", text)
    if match is None:
        raise InputError(tr("{text!r} is no range", text=text), where=where, mend=mend)
    try:
        first, last, step = (parse_length(p, units) for p in match.groups(default="0"))
    except ValueError as error:
        raise InputError(
            tr("{text!r} holds something that is no length", text=text), where=where, mend=mend
        ) from error
    low, high = bounds
    if not low <= first <= last <= high:
        raise InputError(
            tr("{text!r} is out of bounds", text=text),
            where=where,
            mend=tr("stay within {low:g} to {high:g} mm", low=low, high=high),
        )
    if first == last:
        return [first]
    if step <= 0 or (last - first) / step > MOST_BLANKS:
        raise InputError(tr("{text!r} has no usable step", text=text), where=where, mend=mend)
    count = int((last - first) / step + 1e-9)
    return [first + n * step for n in range(count + 1)]


def write_chart(made: Chart, target: Path, *, paper: str | None, style: PrintStyle) -> None:
    """Writes the chart as a PDF.

    Args:
        made: the chart.
        target: the PDF.
        paper: by name; None for the job's own.
        style: units and language of the print.

    Raises:
        InputError: an unknown paper.
        OutputError: the disk.
    """
    title = style.say("Chart of {shop}", shop=made.shop.name)
    parts = make(made, style=style)
    write_pages(parts, target, job=made.job, title=title, paper=paper, style=style)


def chart_rows(made: Chart, style: PrintStyle) -> list[list[str]]:
    """The heights, then a row for each diameter; the first cell of a row is its heading."""
    letters = letters_of(made.shop)

    def shown(value: float) -> str:
        return format_length(
            value, style.units, rounding=Rounding(denominator=64), wording=style.wording
        )

    return [["", *map(shown, made.heights)]] + [
        [shown(diameter), *[cell_text(cell, letters) for cell in row]]
        for diameter, row in zip(made.diameters, made.cells, strict=True)
    ]


def empty_reasons(made: Chart) -> tuple[Text, ...]:
    """Why cells are empty, each reason once."""
    return tuple(dict.fromkeys(c.reason for c in every_cell(made) if c.reason and not c.bowls))
