"""The command ``plan``: the plan as tables, JSON or a picture."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.plan_tables import (
    Cells,
    bowl_rows,
    cut_rows,
    drying_rows,
    force_rows,
    holding_rows,
    is_known,
    stop_rows,
)
from templategen.app.plans import (
    Figures,
    cautions_for,
    figures_of,
    make_plan,
    mass_text,
    plan_to_json,
)
from templategen.cli.explained import show_grounds
from templategen.cli.findings import show_findings
from templategen.cli.opening import opened_job
from templategen.cli.options import BlankOpt, JobArg, ShopOpt, WoodOpt
from templategen.cli.screen import Screen, screen_of, show_json
from templategen.messages import Joined, tr, tr_count, tr_noop
from templategen.nest.plan import Plan
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.units import Units

JsonOpt = Annotated[bool, typer.Option("--json", help=tr_noop("Print the plan as JSON."))]
PictureOpt = Annotated[Path | None, typer.Option(help=tr_noop("Write the section as SVG."))]
ExplainOpt = Annotated[
    bool,
    typer.Option(
        "--explain", help=tr_noop("Also the defaults with their grounds, and what was tried.")
    ),
]
FROM_RIM = {  # which rim an entry is measured from
    Order.INNER_FIRST: tr_noop("'from rim': along the face from the rim of the blank"),
    Order.OUTER_FIRST: tr_noop(
        "'from rim': along the face, of cut 1 from the blank's rim, of others from the held core's"
    ),
}

STOP = tr_noop(
    "Stop: lathe off there, break the core out by hand, wedge or bar; free: it may drop by itself"
)
LENGTHS = {Units.MM: tr_noop("Lengths in millimetres"), Units.IN: tr_noop("Lengths in inches")}


def plan(
    ctx: typer.Context,
    job: JobArg = None,
    *,
    as_json: JsonOpt = False,
    picture: PictureOpt = None,
    explain: ExplainOpt = False,
    blank: BlankOpt = None,
    wood: WoodOpt = None,
    shop: ShopOpt = None,
) -> None:
    """Shows how many bowls the blank gives and how to set each cut."""
    screen = screen_of(ctx)
    opened = opened_job(screen, job=job, blank=blank, wood=wood, shop=shop)
    made = make_plan(opened)
    if picture is not None:
        # Loaded here because only a picture needs the writer of SVG.
        from templategen.app.pictures import write_picture  # noqa: PLC0415

        write_picture(made, picture, opened.wording)
    if as_json:
        show_json(plan_to_json(made, opened.wording))
    else:
        _show(made, screen)
        _show_findings(made, screen, explain=explain)
        if explain:
            show_grounds(opened, made, screen)
    if made.has_stop:
        raise typer.Exit(1)


def _show(made: Plan, screen: Screen) -> None:
    """Prints the tables, each under its heading."""
    blank, figures = made.job.blank, figures_of(made)
    screen.show(f"{made.job.title}  {made.job.date}".rstrip())
    style = PrintStyle(units=made.job.units, wording=screen.wording)
    cells = Cells(style)
    size, wood = style.lengths((blank.diameter, blank.height)), style.text(blank.shown_wood)
    screen.show(
        screen.wording.say_count(
            "Blank {size}: {count} bowl",
            "Blank {size}: {count} bowls",
            len(made.bowls),
            size=f"{size}, {wood}" if wood else size,
        )
    )
    screen.tell(LENGTHS[made.job.units])
    order = ", ".join(str(n) for n in made.sequence)
    moisture = made.job.nest.final_moisture
    for heading, rows, remark in (
        (
            tr("Cut n runs between bowl n and bowl n + 1; working order {order}", order=order),
            cut_rows(made, cells),
            tr(FROM_RIM[made.job.nest.order]),
        ),
        (tr(STOP), stop_rows(made, cells), ""),
        (tr("Bowls, bowl 1 outermost"), bowl_rows(made, figures, cells), ""),
        (tr("How each bowl is held while green"), holding_rows(made, figures, cells), ""),
        (tr("Dried to {moisture:g} %", moisture=moisture), drying_rows(made, figures, cells), ""),
    ):
        if is_known(rows):
            screen.show()
            screen.show_wrapped(heading)
            screen.show_table(rows)
            if remark:
                screen.show(remark)
    screen.show()
    _show_lathe(made, figures, cells, screen)
    screen.tell("Estimates, never ratings; the makers' limits come first.")
    _show_sets(made, cells, screen)


def _show_findings(made: Plan, screen: Screen, *, explain: bool) -> None:
    if made.findings:
        screen.show()
        screen.tell("Findings")
    show_findings(made, screen, explain=explain)
    screen.show()
    screen.tell("Cautions")
    for caution in cautions_for(made.shop):
        screen.show_wrapped(caution, first="- ")


def _show_lathe(made: Plan, figures: Figures, cells: Cells, screen: Screen) -> None:
    speed, units = made.speed, cells.style.units
    mass = mass_text(figures.mass, units=units) if figures.mass else tr("not known: weigh it")
    screen.tell("Lathe: green blank {mass}", mass=mass)
    if speed is not None:
        screen.tell(
            "start at {start:.0f} rpm; never above {most:.0f} rpm while coring",
            start=speed.start_rpm,
            most=speed.max_rpm,
        )
    rows = force_rows(made, cells)
    if is_known(rows):
        screen.tell("The tip at full power, distances from the axis")
        screen.show_table(rows)


def _show_sets(made: Plan, cells: Cells, screen: Screen) -> None:
    """Prints the other sets of bowls, a line each."""
    if not made.sets:
        return
    screen.show()
    screen.tell("Other sets of bowls from this blank")
    for other in made.sets:
        text = tr(
            "{label}: rims {rims}; cutters {cutters}; {cautions}",
            label=other.label,
            rims=Joined(tuple(cells.size(rim) for rim in other.rims)),
            cutters=", ".join(other.cutters),
            cautions=tr_count("{count} caution", "{count} cautions", other.cautions),
        )
        screen.show_wrapped(text, first="- ")
