"""The command ``chart``: how many bowls a shop's cutters give, over a range of blanks."""

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templategen.cli import printing, speech
from templategen.cli.shop_set import ShopArg
from templategen.cli.usage import Command, show_json
from templategen.errors import InputError
from templategen.messages import say, wording_in_use

if TYPE_CHECKING:
    from templategen.nest.chart import Chart
    from templategen.trade.records import Shop
    from templategen.units import Units

MOST_BLANKS = 3000
USUAL = {"mm": ("200-500/25", "80-200/20"), "in": ("8-20/1", "3-8/1")}


def register(app: typer.Typer) -> None:
    """Adds the command to the program."""
    said = say("Charts how many bowls blanks of many sizes give, and by which cutters.")
    app.command("chart", cls=Command, help=said)(chart)


def chart(
    shop: ShopArg = None,
    *,
    job: Annotated[Path | None, typer.Option(help=say("Job file whose wishes are used."))] = None,
    diameters: Annotated[
        str | None, typer.Option(help=say("From, to and step of the blanks, as 200-500/25."))
    ] = None,
    heights: Annotated[
        str | None, typer.Option(help=say("As for the diameters: 80-200/20."))
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help=say("Print the chart as JSON."))] = False,
    pdf: Annotated[Path | None, typer.Option(help=say("Write the chart as a PDF."))] = None,
    paper: printing.PaperOpt = None,
    units: printing.UnitsOpt = None,
) -> None:
    """Charts how many bowls blanks of many sizes give, and by which cutters."""
    from templategen.inputs.job_file import check_cutters, job_from_table
    from templategen.inputs.toml_table import read_toml
    from templategen.nest.chart import chart_to_json, make_chart
    from templategen.parts.shop_set import shop_plan
    from templategen.trade.wood import nearest_wood
    from templategen.units import printed_units

    owned = _shop(shop)
    wanted = shop_plan(owned).job
    if job is not None:
        wanted = job_from_table(
            read_toml(job), where=job.name, known_wood=nearest_wood, usual=owned.rules
        )
    wanted = speech.settle(wanted)
    check_cutters(wanted, owned)
    unit = printed_units(units, wanted.units)
    across, down = USUAL[owned.units.value]
    sizes = _steps(diameters or across, owned.units, "--diameters", 50, 1500)
    deep = _steps(heights or down, owned.units, "--heights", 20, 1000)
    if len(sizes) * len(deep) > MOST_BLANKS:
        raise InputError(
            say("{count} blanks are too many", count=len(sizes) * len(deep)),
            where="--diameters",
            mend=say("take larger steps: at most {count} blanks", count=MOST_BLANKS),
        )
    made = make_chart(wanted, owned, diameters=sizes, heights=deep)
    if pdf is not None:
        _print(made, pdf, paper or wanted.print.paper, unit)
    if as_json:
        show_json(chart_to_json(made))
    else:
        _show(made, unit)
        if pdf is not None:
            typer.echo(say("{file} written", file=pdf))


def _shop(path: Path | None) -> "Shop":
    from templategen.inputs.shop_file import read_shop
    from templategen.inputs.starters import demo_shop
    from templategen.inputs.toml_table import read_toml

    if path is None:
        return demo_shop()
    if "blank" in read_toml(path):
        raise InputError(
            say("is a job file"),
            where=path.name,
            mend=say("name the shop file, and the job with --job"),
        )
    return read_shop(path)


def _steps(text: str, units: "Units", where: str, low: float, high: float) -> list[float]:
    from templategen.units import parse_length

    mend = say("write from-to/step, as 200-500/25")
    match = re.fullmatch(r"\s*([^-/]{1,20})-([^-/]{1,20})(?:/(.{1,20}))?\s*", text)
    if match is None:
        raise InputError(say("{text!r} is no range", text=text), where=where, mend=mend)
    try:
        first, last, step = (parse_length(p, units) for p in match.groups(default="0"))
    except ValueError as error:
        raise InputError(
            say("{text!r} holds something that is no length", text=text), where=where, mend=mend
        ) from error
    if not low <= first <= last <= high:
        raise InputError(
            say("{text!r} is out of bounds", text=text),
            where=where,
            mend=say("stay within {low:g} to {high:g} mm", low=low, high=high),
        )
    if first == last:
        return [first]
    if step <= 0 or (last - first) / step > MOST_BLANKS:
        raise InputError(say("{text!r} has no usable step", text=text), where=where, mend=mend)
    count = int((last - first) / step + 1e-9)
    return [first + n * step for n in range(count + 1)]


def _print(made: "Chart", target: Path, paper: str, units: "Units") -> None:
    from templategen.output.files import clear_leftovers, write_atomically
    from templategen.output.pdf import write_pdf
    from templategen.parts.chart_sheet import make
    from templategen.parts.style import PrintStyle
    from templategen.sheets.layout import lay_out
    from templategen.trade.paper import paper_named

    title = say("Chart of {shop}", shop=made.shop.name)
    laid = lay_out(
        make(made, style=PrintStyle(units=units, wording=wording_in_use())),
        paper=paper_named(paper),
        units=units,
        job_title=title,
        date=made.job.date,
    )
    clear_leftovers(target.parent)
    write_atomically(target, write_pdf(laid, title=title, attachments={}))


def _show(made: "Chart", units: "Units") -> None:
    from templategen.parts.chart_sheet import cell_text, letters_of, wishes
    from templategen.parts.style import PrintStyle
    from templategen.units import format_length

    style = PrintStyle(units=units, wording=wording_in_use())
    letters = letters_of(made)
    typer.echo(f"{made.shop.name}: {wishes(made, style=style)}")
    typer.echo(say("bowls and cutters from the rim inward; blanks by diameter (down) and height"))
    typer.echo("  ".join(f"{letter} = {name}" for name, letter in letters.items()) + "\n")

    def shown(value: float) -> str:
        return format_length(value, units, denominator=64)

    rows = [["", *[shown(h) for h in made.heights]]]
    rows += [
        [shown(d), *[cell_text(cell, letters) for cell in row]]
        for d, row in zip(made.diameters, made.cells, strict=True)
    ]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        typer.echo("  ".join(cells).rstrip())
    typer.echo("\n" + say("– no core; empty: the shop cannot turn or hold such a blank"))
    reasons = sorted({say(c.reason) for row in made.cells for c in row if c.reason and not c.bowls})
    if reasons:
        typer.echo(say("empty because: {reasons}", reasons=", ".join(reasons)))
    typer.echo(say("Plan each blank before you cut; the makers' limits and sound wood come first."))
