"""The command ``plan``: the plan as tables, JSON or a picture."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.plans import (
    Figures,
    PrintStyle,
    cautions_for,
    figures_of,
    force_text,
    make_plan,
    mass_number,
    mass_text,
    plan_to_json,
)
from templategen.cli.explained import show_grounds
from templategen.cli.findings import show_findings
from templategen.cli.opening import JobWords, opened_job
from templategen.cli.options import BlankOpt, JobArg, ShopOpt, WoodOpt
from templategen.cli.screen import Screen, screen_of, show_json
from templategen.messages import Figure, Joined, Text, tr, tr_count, tr_noop
from templategen.nest.plan import Plan
from templategen.trade.choices import Order
from templategen.units import Length

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
    Order.OUTER_FIRST: tr_noop("'from rim': along the face from the rim of the core that is held"),
}


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
    opened = opened_job(JobWords(job=job, blank=blank, wood=wood, shop=shop), screen)
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
    size = PrintStyle(units=made.job.units, wording=screen.wording).lengths(
        (blank.diameter, blank.height)
    )
    wood = screen.wording.text(blank.shown_wood)
    screen.show(
        screen.wording.say_count(
            "Blank {size}: {count} bowl",
            "Blank {size}: {count} bowls",
            len(made.bowls),
            size=f"{size}, {wood}" if wood else size,
        )
    )
    if made.cuts:
        screen.show()
        order = ", ".join(str(n) for n in made.sequence)
        screen.tell("Cut n runs between bowl n and bowl n + 1; working order {order}", order=order)
        screen.show_table(_cut_rows(made))
        screen.tell(FROM_RIM[made.job.nest.order])
        screen.tell("'stop': lathe off there; break the core out by hand, with a wedge or bar")
    for heading, rows in (
        (tr("Bowls, bowl 1 outermost"), _bowl_rows(made)),
        (
            tr("Dried to {moisture:g} %, estimates", moisture=made.job.nest.final_moisture),
            _drying_rows(made, figures),
        ),
        (tr("How each bowl is held while green, estimates"), _holding_rows(made, figures)),
    ):
        screen.show()
        screen.show(heading)
        screen.show_table(rows)
    screen.show()
    _show_lathe(made, figures, screen)
    screen.tell("Estimates, never ratings; the makers' limits come first.")
    _show_sets(made, screen)


def _show_findings(made: Plan, screen: Screen, *, explain: bool) -> None:
    if made.findings:
        screen.show()
        screen.tell("Findings")
    show_findings(made, screen, explain=explain)
    screen.show()
    screen.tell("Cautions")
    for caution in cautions_for(made.shop):
        screen.show_wrapped(caution, first="- ")


def _lengths_of(made: Plan, *, decimals: bool = True) -> Callable[[float | None], Text]:
    """How a plan's lengths are written; ``-`` for one that is not known."""

    def shown(value: float | None) -> Text:
        return "-" if value is None else Length(value, made.job.units, decimals)

    return shown


def _degrees(angle: float | None) -> Text:
    return "-" if angle is None else Figure(math.degrees(angle), ".0f", "°")


def _cut_rows(made: Plan) -> list[list[Text]]:
    length, plain = _lengths_of(made), _lengths_of(made, decimals=False)
    rows: list[list[Text]] = [[
        tr("cut"), tr("cutter"), tr("from rim"), tr("depth"), tr("deepest"), tr("standoff"),
        tr("offset"), tr("swing"), tr("stop at"), tr("stop depth"), tr("neck"), tr("free at"),
    ]]  # fmt: skip
    rows += [
        [
            str(cut.number),
            cut.cutter.id,
            length(cut.entry_from_rim),
            length(cut.depth_at_axis),
            length(cut.deepest),
            length(cut.pivot_standoff),
            length(cut.pivot_offset),
            _degrees(cut.swing),
            _degrees(cut.stop_angle),
            plain(cut.stop_depth),
            plain(cut.stop_neck),
            _degrees(cut.release_angle),
        ]
        for cut in made.cuts
    ]
    return rows


def _bowl_rows(made: Plan) -> list[list[Text]]:
    length = _lengths_of(made)
    rows: list[list[Text]] = [[
        tr("bowl"), tr("rim Ø"), tr("depth"), tr("least wall"), tr("greatest wall"), tr("worst"),
        tr("floor"), tr("tenon Ø"), tr("its end Ø"), tr("length"), tr("jaws"),
    ]]  # fmt: skip
    rows += [
        [
            str(bowl.number),
            length(bowl.rim_diameter),
            length(bowl.depth),
            tr("solid") if bowl.wall is None else length(bowl.wall),
            length(bowl.wall_greatest),
            length(bowl.wall_worst),
            length(bowl.floor),
            length(bowl.tenon_diameter),
            length(bowl.shape.tenon_end_diameter),
            length(bowl.tenon_length),
            bowl.jaws.id if bowl.jaws else tr("none"),
        ]
        for bowl in made.bowls
    ]
    return rows


def _drying_rows(made: Plan, figures: Figures) -> list[list[Text]]:
    length = _lengths_of(made, decimals=False)
    rows: list[list[Text]] = [[
        tr("bowl"), tr("tag"), tr("rim across × along"), tr("true Ø"), tr("out of flat"),
        tr("jaws when dry"), tr("tenon to Ø"), tr("green"), tr("dried"),
    ]]  # fmt: skip
    for bowl, known in zip(made.bowls, figures.bowls, strict=True):
        dried, again = bowl.dried, bowl.held_again
        oval: Text = "-"
        if dried is not None:
            oval = Joined((length(dried.rim_across), length(dried.rim_along)), " × ")
        rows.append(
            [
                str(bowl.number),
                known.identity,
                oval,
                length(dried.largest_circle if dried else None),
                length(dried.rim_out_of_flat if dried else None),
                again.jaws.id if again else tr("none") if dried else "-",
                length(again.diameter if again else None),
                mass_text(known.wet, units=made.job.units) if known.wet else "-",
                "-"
                if known.target_mass is None
                else mass_number(known.target_mass, units=made.job.units),
            ]
        )
    return rows


def _holding_rows(made: Plan, figures: Figures) -> list[list[Text]]:
    length = _lengths_of(made, decimals=False)
    rows: list[list[Text]] = [[
        tr("bowl"), tr("jaws"), tr("ring closed"), tr("ring widest"), tr("grip"), tr("share"),
        tr("breaks at"),
    ]]  # fmt: skip
    for bowl in figures.bowls:
        held = bowl.hold
        force = bowl.break_force
        rows.append(
            [
                str(bowl.number),
                held.jaws.id if held else tr("none"),
                length(held.closed if held else None),
                length(held.widest if held else None),
                tr(held.grip.value) if held else "-",
                Figure(held.share, ".0%") if held else "-",
                "-" if force is None else force_text(force, units=made.job.units),
            ]
        )
    return rows


def _show_lathe(made: Plan, figures: Figures, screen: Screen) -> None:
    units, speed = made.job.units, made.speed
    mass = mass_text(figures.mass, units=units) if figures.mass else tr("not known")
    screen.tell("Lathe: green blank {mass}", mass=mass)
    if speed is not None:
        screen.tell(
            "start at {start:.0f} rpm; never above {most:.0f} rpm while coring",
            start=speed.start_rpm,
            most=speed.max_rpm,
        )
        if speed.energy_j is not None:
            places = 1 - math.floor(math.log10(max(speed.energy_j, 1.0)))
            screen.tell(
                "at {most:.0f} rpm the blank holds about {energy:.0f} J: a catch can break any "
                "tenon",
                most=speed.max_rpm,
                energy=round(speed.energy_j, places),
            )

    def force(newtons: float | None) -> Text:
        return "-" if newtons is None else force_text(newtons, units=units)

    length = _lengths_of(made, decimals=False)
    rows: list[list[Text]] = [[
        tr("cut"), tr("force at entry"), tr("half way"), tr("at the stop"),
        tr("below centre inside"), tr("rubs inside"),
    ]]  # fmt: skip
    rows += [
        [
            str(cut.number),
            force(cut.force_entry_n),
            force(cut.force_half_n),
            force(cut.force_release_n),
            length(cut.droop_radius),
            length(cut.rub_radius),
        ]
        for cut in made.cuts
    ]
    if any(cell != "-" for row in rows[1:] for cell in row[1:]):
        screen.tell("At full power, radii from the axis")
        screen.show_table(rows)


def _show_sets(made: Plan, screen: Screen) -> None:
    """Prints the other sets of bowls, a line each."""
    if not made.sets:
        return
    length = _lengths_of(made, decimals=False)
    screen.show()
    screen.tell("Other sets of bowls from this blank")
    for other in made.sets:
        cautions = tr_count("{count} caution", "{count} cautions", other.cautions)
        text = tr(
            "{label}: rims {rims}; cutters {cutters}; {cautions}",
            label=other.label,
            rims=Joined(tuple(length(rim) for rim in other.rims)),
            cutters=", ".join(other.cutters),
            cautions=cautions,
        )
        screen.show_wrapped(text, first="- ")
