"""The command ``plan``: the plan as tables, JSON or a picture."""

import math
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
from templategen.units import format_length

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
    style = PrintStyle(units=made.job.units, wording=screen.wording)
    size, wood = style.lengths((blank.diameter, blank.height)), style.text(blank.shown_wood)
    screen.show(
        screen.wording.say_count(
            "Blank {size}: {count} bowl",
            "Blank {size}: {count} bowls",
            len(made.bowls),
            size=f"{size}, {wood}" if wood else size,
        )
    )
    screen.tell("Lengths in {unit}", unit=made.job.units.value)
    if made.cuts:
        screen.show()
        order = ", ".join(str(n) for n in made.sequence)
        screen.tell("Cut n runs between bowl n and bowl n + 1; working order {order}", order=order)
        screen.show_table(_cut_rows(made, style))
        screen.tell(FROM_RIM[made.job.nest.order])
        screen.show()
        screen.tell(
            "Stop: lathe off there, break the core out by hand, wedge or bar; free: it may drop by "
            "itself"
        )
        screen.show_table(_stop_rows(made, style))
    moisture = made.job.nest.final_moisture
    for heading, rows in (
        (tr("Bowls, bowl 1 outermost"), _bowl_rows(made, figures, style)),
        (tr("How each bowl is held while green"), _holding_rows(made, figures, style)),
        (tr("Dried to {moisture:g} %", moisture=moisture), _drying_rows(made, figures, style)),
    ):
        screen.show()
        screen.show(heading)
        screen.show_table(rows)
    screen.show()
    _show_lathe(made, figures, style, screen)
    screen.tell("Estimates, never ratings; the makers' limits come first.")
    _show_sets(made, style, screen)


def _show_findings(made: Plan, screen: Screen, *, explain: bool) -> None:
    if made.findings:
        screen.show()
        screen.tell("Findings")
    show_findings(made, screen, explain=explain)
    screen.show()
    screen.tell("Cautions")
    for caution in cautions_for(made.shop):
        screen.show_wrapped(caution, first="- ")


def _length(value: float | None, style: PrintStyle) -> Text:
    """A length in the unit of the table, without its name; ``-`` for one that is not known."""
    if value is None:
        return "-"
    return format_length(value, style.units, unit=False, decimals=True, wording=style.wording)


def _plain(value: float | None, style: PrintStyle) -> Text:
    """A length as `_length`, without thousandths: what no tool is set by."""
    if value is None:
        return "-"
    return format_length(value, style.units, unit=False, wording=style.wording)


def _degrees(angle: float | None) -> Text:
    return "-" if angle is None else Figure(math.degrees(angle), ".0f", "°")


def _cut_rows(made: Plan, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("cut"), tr("cutter"), tr("from rim"), tr("standoff"), tr("offset"), tr("depth"),
        tr("deepest"), tr("swing"),
    ]]  # fmt: skip
    for cut in made.cuts:
        lengths = (
            cut.entry_from_rim,
            cut.pivot_standoff,
            cut.pivot_offset,
            cut.depth_at_axis,
            cut.deepest,
        )
        shown = [_length(value, style) for value in lengths]
        rows.append([str(cut.number), cut.cutter.id, *shown, _degrees(cut.swing)])
    return rows


def _stop_rows(made: Plan, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("cut"), tr("stop at"), tr("stop depth"), tr("neck"), tr("free at"), tr("rubs inside r"),
    ]]  # fmt: skip
    rows += [
        [
            str(cut.number),
            _degrees(cut.stop_angle),
            _plain(cut.stop_depth, style),
            _plain(cut.stop_neck, style),
            _degrees(cut.release_angle),
            _plain(cut.rub_radius, style),
        ]
        for cut in made.cuts
    ]
    return rows


def _bowl_rows(made: Plan, figures: Figures, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("bowl"), tr("rim Ø"), tr("depth"), tr("least wall"), tr("greatest wall"), tr("worst"),
        tr("floor"), tr("green mass"),
    ]]  # fmt: skip
    for bowl, known in zip(made.bowls, figures.bowls, strict=True):
        rows.append(
            [
                str(bowl.number),
                _length(bowl.rim_diameter, style),
                _length(bowl.depth, style),
                tr("solid") if bowl.wall is None else _length(bowl.wall, style),
                _plain(bowl.wall_greatest, style),
                _plain(bowl.wall_worst, style),
                _length(bowl.floor, style),
                mass_text(known.wet, units=style.units) if known.wet else "-",
            ]
        )
    return rows


def _holding_rows(made: Plan, figures: Figures, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("bowl"), tr("jaws"), tr("tenon Ø"), tr("end Ø"), tr("length"), tr("share"),
        tr("ring closed"), tr("ring widest"), tr("grip"), tr("breaks at"),
    ]]  # fmt: skip
    for bowl, known in zip(made.bowls, figures.bowls, strict=True):
        held, force = known.hold, known.break_force
        rows.append(
            [
                str(bowl.number),
                bowl.jaws.id if bowl.jaws else tr("none"),
                _length(bowl.tenon_diameter, style),
                _length(bowl.shape.tenon_end_diameter, style),
                _length(bowl.tenon_length, style),
                Figure(bowl.tenon_share, ".0%"),
                _plain(held.closed if held else None, style),
                _plain(held.widest if held else None, style),
                tr(held.grip.value) if held else "-",
                "-" if force is None else force_text(force, units=style.units),
            ]
        )
    return rows


def _drying_rows(made: Plan, figures: Figures, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("bowl"), tr("tag"), tr("rim, dried"), tr("true Ø"), tr("out of flat"),
        tr("jaws when dry"), tr("tenon to Ø"), tr("mass"),
    ]]  # fmt: skip
    for bowl, known in zip(made.bowls, figures.bowls, strict=True):
        dried, again, mass = bowl.dried, bowl.held_again, known.target_mass
        oval: Text = "-"
        if dried is not None:
            sides = (_plain(dried.rim_across, style), _plain(dried.rim_along, style))
            oval = Joined(sides, " × ")
        rows.append(
            [
                str(bowl.number),
                known.identity,
                oval,
                _plain(dried.largest_circle if dried else None, style),
                _plain(dried.rim_out_of_flat if dried else None, style),
                again.jaws.id if again else tr("none") if dried else "-",
                _plain(again.diameter if again else None, style),
                "-" if mass is None else mass_number(mass, units=style.units),
            ]
        )
    return rows


def _show_lathe(made: Plan, figures: Figures, style: PrintStyle, screen: Screen) -> None:
    speed = made.speed
    mass = mass_text(figures.mass, units=style.units) if figures.mass else tr("not known")
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
    rows = _force_rows(made, style)
    if any(cell != "-" for row in rows[1:] for cell in row[1:]):
        screen.tell("Force at the tip at full power")
        screen.show_table(rows)


def _force_rows(made: Plan, style: PrintStyle) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("cut"), tr("at entry"), tr("half way"), tr("at the stop"), tr("below centre inside r"),
    ]]  # fmt: skip
    for cut in made.cuts:
        forces = (cut.force_entry_n, cut.force_half_n, cut.force_release_n)
        droop = cut.droop_radius
        always = droop is not None and droop >= cut.entry_radius
        rows.append(
            [
                str(cut.number),
                *["-" if f is None else force_text(f, units=style.units) for f in forces],
                tr("everywhere") if always else _plain(droop, style),
            ]
        )
    return rows


def _show_sets(made: Plan, style: PrintStyle, screen: Screen) -> None:
    """Prints the other sets of bowls, a line each."""
    if not made.sets:
        return
    screen.show()
    screen.tell("Other sets of bowls from this blank")
    for other in made.sets:
        text = tr(
            "{label}: rims {rims}; cutters {cutters}; {cautions}",
            label=other.label,
            rims=Joined(tuple(_plain(rim, style) for rim in other.rims)),
            cutters=", ".join(other.cutters),
            cautions=tr_count("{count} caution", "{count} cautions", other.cautions),
        )
        screen.show_wrapped(text, first="- ")
