"""The command ``plan``: the plan as tables, JSON or a picture."""

import math
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.plans import (
    Figures,
    cautions_for,
    figures_of,
    force_text,
    make_plan,
    mass_number,
    mass_text,
    plan_to_json,
    speed_text,
    torque_text,
)
from templategen.cli.findings import show_findings
from templategen.cli.opening import JobWords, opened_job
from templategen.cli.options import BlankOpt, JobArg, ShopOpt, WoodOpt
from templategen.cli.screen import Screen, screen_of, show_json
from templategen.messages import Text, tr, tr_noop
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.units import Units, format_length, printed_length

JsonOpt = Annotated[bool, typer.Option("--json", help=tr_noop("Print the plan as JSON."))]
PictureOpt = Annotated[Path | None, typer.Option(help=tr_noop("Write the section as SVG."))]


def plan(
    ctx: typer.Context,
    job: JobArg = None,
    *,
    as_json: JsonOpt = False,
    picture: PictureOpt = None,
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
    if made.has_stop:
        raise typer.Exit(1)


def _show(made: Plan, screen: Screen) -> None:
    blank, units = made.job.blank, made.job.units
    screen.show(f"{made.job.title}  {made.job.date}".rstrip())
    size = " × ".join(_length(side, units, screen) for side in (blank.diameter, blank.height))
    size = f"{size}, {screen.wording.text(blank.shown_wood)}" if blank.wood else size
    screen.show(
        screen.wording.say_count(
            "Blank {size}: {count} piece",
            "Blank {size}: {count} pieces",
            len(made.bowls),
            size=size,
        )
    )
    if made.cuts:
        order = ", ".join(str(n) for n in made.sequence)
        screen.show()
        screen.tell("Cuts from the rim inward; working order {order}", order=order)
        screen.show_table(_cut_rows(made.cuts, units, screen))
    screen.show()
    screen.tell("Pieces from the outside inward")
    screen.show_table(_bowl_rows(made.bowls, units, screen))
    _show_figures(made, screen)
    if made.findings:
        screen.show()
        screen.tell("Findings")
    show_findings(made, screen)
    screen.show()
    screen.tell("Cautions")
    for caution in cautions_for(made.shop):
        screen.show(f"- {screen.wording.text(caution)}")


def _length(value: float, units: Units, screen: Screen) -> str:
    return printed_length(value, units, screen.wording)


def _cut_rows(cuts: tuple[Cut, ...], units: Units, screen: Screen) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("cut"), tr("cutter"), tr("from rim"), tr("depth"), tr("deepest"), tr("standoff"),
        tr("offset"), tr("swing")
    ]]  # fmt: skip
    for c in cuts:
        lengths = (
            c.entry_from_rim,
            c.depth_at_axis,
            c.deepest,
            c.pivot_standoff,
            c.pivot_offset,
        )
        rows.append(
            [
                str(c.number),
                c.cutter.id,
                *[_length(value, units, screen) for value in lengths],
                f"{math.degrees(c.swing):.0f}°",
            ]
        )
    return rows


def _bowl_rows(bowls: tuple[Bowl, ...], units: Units, screen: Screen) -> list[list[Text]]:
    def shown(value: float | None, otherwise: Text = "") -> Text:
        return otherwise if value is None else _length(value, units, screen)

    rows: list[list[Text]] = [[
        tr("piece"), tr("rim Ø"), tr("depth"), tr("wall"), tr("worst"), tr("floor"), tr("tenon"),
        tr("jaws")
    ]]  # fmt: skip
    for b in bowls:
        rows.append(
            [
                str(b.number),
                shown(b.rim_diameter),
                shown(b.depth),
                shown(b.wall, tr("solid")),
                shown(b.wall_worst),
                shown(b.floor),
                f"{shown(b.tenon_diameter)} × {shown(b.tenon_length)}",
                b.jaws.id if b.jaws else tr("none"),
            ]
        )
    return rows


def _show_figures(made: Plan, screen: Screen) -> None:
    """Prints what wood, jaws and lathe make of the plan: small tables of estimates."""
    figures, units = figures_of(made), made.job.units
    screen.show()
    screen.tell("Pieces dried to {moisture:g} %", moisture=made.job.nest.final_moisture)
    screen.show_table(_drying_rows(figures, units, screen))
    screen.show()
    screen.tell("How each piece is held")
    screen.show_table(_holding_rows(figures, units, screen))
    screen.show()
    _show_lathe(figures, units, screen)
    screen.tell("Estimates, never ratings; the makers' limits come first.")


def _plain(value: float | None, units: Units, screen: Screen) -> str:
    return "-" if value is None else format_length(value, units, wording=screen.wording)


def _drying_rows(figures: Figures, units: Units, screen: Screen) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("piece"), tr("tag"), tr("dried Ø"), tr("true Ø"), tr("wall left"), tr("tenth rule"),
        tr("green"), tr("dried")
    ]]  # fmt: skip

    def shown(value: float | None) -> str:
        return _plain(value, units, screen)

    for p in figures.bowls:
        dried = p.dried
        rows.append(
            [
                str(p.number),
                p.identity,
                f"{shown(dried.across)} × {shown(dried.along)}" if dried else "-",
                shown(dried.circle if dried else None),
                shown(dried.wall_left if dried else None),
                shown(p.thumb_wall),
                mass_text(p.wet, units=units) if p.wet else "-",
                "-" if p.target_mass is None else mass_number(p.target_mass, units=units),
            ]
        )
    return rows


def _holding_rows(figures: Figures, units: Units, screen: Screen) -> list[list[Text]]:
    rows: list[list[Text]] = [[
        tr("piece"), tr("jaws"), tr("ring closed"), tr("ring widest"), tr("grip"), tr("share"),
        "d³", tr("breaks at")
    ]]  # fmt: skip
    figure = screen.wording.figure
    for p in figures.bowls:
        held = p.hold
        rows.append(
            [
                str(p.number),
                held.jaws.id if held else tr("none"),
                _plain(held.closed if held else None, units, screen),
                _plain(held.widest if held else None, units, screen),
                tr(held.grip.value) if held else "-",
                figure(held.share, ".0%") if held else "-",
                figure(p.strength, ".2f"),
                "-" if p.break_force is None else force_text(p.break_force, units=units),
            ]
        )
    return rows


def _show_lathe(figures: Figures, units: Units, screen: Screen) -> None:
    screen.tell(
        "Lathe: green blank {mass}; core at {speed:.0f} rpm or slower",
        mass=mass_text(figures.mass, units=units) if figures.mass else tr("not known"),
        speed=figures.coring_speed,
    )
    screen.tell(
        "(start at {start:.0f}; rim {rim}; 6000 to 9000 over the inches: {rough:.0f} to "
        "{rule:.0f} rpm, common practice)",
        start=figures.start_speed,
        rim=speed_text(figures.rim_speed, units=units),
        rough=figures.rough_speed,
        rule=figures.rule_speed,
    )
    if figures.torque is not None and figures.cuts:
        torque = torque_text(figures.torque, units=units)
        screen.tell("Motor at that speed: {torque}", torque=torque)
        rows: list[list[Text]] = [[tr("cut"), tr("force at the tip"), tr("droop")]]
        for c in figures.cuts:
            force = "-" if c.tip_force is None else force_text(c.tip_force, units=units)
            rows.append([str(c.number), force, _plain(c.droop, units, screen)])
        screen.show_table(rows)
    if figures.least_height is not None:
        least = _plain(figures.least_height, units, screen)
        screen.tell("Least height above centre against droop: {height}", height=least)
