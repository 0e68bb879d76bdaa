"""The commands about wood: what the table knows, and how far a rough-out has dried."""

import difflib
import itertools
import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from templategen.cli import speech
from templategen.cli.usage import Command
from templategen.errors import InputError, LimitError
from templategen.messages import figure, mark, say, say_count

if TYPE_CHECKING:
    from templategen.inputs.weighings import Record, Weighing
    from templategen.nest.estimates import Figures
    from templategen.nest.plan import Plan
    from templategen.trade.seasoning import DryMass, Progress
    from templategen.trade.wood import Wood

FINE_PRINT = (
    mark("Averages of clear wood, estimates, never ratings; one tree differs from the next."),
    mark("m = from memory, not read in the source; a dash = no figure."),
    mark("A job may give its own figures in a [wood] table."),
)
WIDEST_LABEL = 31  # letters


class _Aim(NamedTuple):
    """What is known of a piece besides its weighings."""

    target: float
    known: "tuple[DryMass, ...]"
    wood: "Wood | None"


def register(app: typer.Typer) -> None:
    """Enters the commands of this module."""
    said = {
        "wood": say("Lists the woods of the table, or shows one with the source of each figure."),
        "dry": say("Tells from a weighing record how dry a rough-out is, and draws it."),
    }
    app.command("wood", cls=Command, help=said["wood"])(wood)
    app.command("dry", cls=Command, help=said["dry"])(dry)


def wood(
    name: Annotated[
        list[str] | None,
        typer.Argument(metavar=say("name"), help=say("Name or part of it; leave out to list all.")),
    ] = None,
) -> None:
    """Lists the woods of the table, or shows one with the source of each figure."""
    from templategen.trade.wood import near_names, search_woods, woods

    words = " ".join(name or [])
    found = search_woods(words) if words.strip() else woods()
    if not found:
        near = near_names(words)
        mend = (
            say("near it: {names}", names=", ".join(near))
            if near
            else say("'templategen wood' lists them all")
        )
        raise InputError(say("no wood {name!r} in the table", name=words), where="wood", mend=mend)
    if len(found) == 1:
        _show_one(found[0])
    else:
        _show_many(found)


def _show_one(wood: "Wood") -> None:
    from templategen.trade.wood import FIGURES

    typer.echo(f"{wood.name} ({wood.botanical})")
    rows = []
    for known in FIGURES:
        value = known.shown(wood.figure(known.field))
        shown = f"{value} {known.unit}".rstrip() if value else say("no figure")
        memory = say("m") + " " if wood.is_from_memory(known.field) else ""
        rows.append((say(known.label), shown, memory + wood.source_of(known.field)))
    wide = max(WIDEST_LABEL, *[len(label) for label, _, _ in rows])
    for label, shown, source in rows:
        typer.echo(f"  {label:<{wide}} {shown:>9}  {source}".rstrip())
    for text in FINE_PRINT:
        typer.echo(say(text))


def _show_many(found: "tuple[Wood, ...]") -> None:
    from templategen.trade.wood import FIGURES

    shown = {known.field: known for known in FIGURES}
    fields = ("radial", "tangential", "specific_gravity", "mc_heart", "mc_sap", "tension_perp_kpa")
    heads = (
        say("radial %"),
        say("tangential %"),
        say("sp. gravity"),
        say("heart %"),
        say("sap %"),
        say("tension kPa"),
    )
    wide = max(len(wood.name) for wood in found)
    typer.echo("  ".join((" " * wide, *heads)))
    for wood in found:
        cells = [wood.name.ljust(wide)]
        for field, head in zip(fields, heads, strict=True):
            text = shown[field].shown(wood.figure(field)) or "-"
            memory = say("m") if wood.is_from_memory(field) else " "
            cells.append(f"{text}{memory}".rjust(len(head)))
        typer.echo("  ".join(cells).rstrip())
    typer.echo(
        say("{count} woods; name one to see its figures with their sources.", count=len(found))
    )
    for text in FINE_PRINT:
        typer.echo(say(text))


def show_holding(made: "Plan") -> None:
    """Prints what wood, jaws and lathe make of the plan: two small tables of estimates."""
    from templategen.nest.estimates import (
        figures_of,
        force_text,
        mass_number,
        mass_text,
        speed_text,
        torque_text,
    )
    from templategen.units import format_length

    units = made.job.units
    figures = figures_of(made)

    def shown(value: float | None) -> str:
        return "-" if value is None else format_length(value, units)

    typer.echo("\n" + say("Pieces dried to {moisture:g} %", moisture=made.job.nest.final_moisture))
    rows = [
        [
            say("piece"),
            say("tag"),
            say("dried Ø"),
            say("true Ø"),
            say("wall left"),
            say("tenth rule"),
            say("green"),
            say("dried"),
        ]
    ]
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
    show_table(rows)
    typer.echo("\n" + say("How each piece is held"))
    rows = [
        [
            say("piece"),
            say("jaws"),
            say("ring closed"),
            say("ring widest"),
            say("grip"),
            say("share"),
            "d³",
            say("breaks at"),
        ]
    ]
    for p in figures.bowls:
        held = p.hold
        rows.append(
            [
                str(p.number),
                held.jaws.id if held else say("none"),
                shown(held.closed if held else None),
                shown(held.widest if held else None),
                say(held.grip.value) if held else "-",
                figure(held.share, ".0%") if held else "-",
                figure(p.strength, ".2f"),
                force_text(p.break_force, units=units) if p.break_force is not None else "-",
            ]
        )
    show_table(rows)
    mass = mass_text(figures.mass, units=units) if figures.mass else say("not known")
    typer.echo(
        "\n"
        + say(
            "Lathe: green blank {mass}; core at {speed:.0f} rpm or slower",
            mass=mass,
            speed=figures.coring_speed,
        )
    )
    typer.echo(
        say(
            "(start at {start:.0f}; rim {rim}; 6000 to 9000 over the inches: {rough:.0f} to "
            "{rule:.0f} rpm, common practice)",
            start=figures.start_speed,
            rim=speed_text(figures.rim_speed, units=units),
            rough=figures.rough_speed,
            rule=figures.rule_speed,
        )
    )
    rows = [[say("cut"), say("force at the tip"), say("droop")]]
    for c in figures.cuts:
        force = "-" if c.tip_force is None else force_text(c.tip_force, units=units)
        rows.append([str(c.number), force, shown(c.droop)])
    if figures.torque is not None and figures.cuts:
        torque = torque_text(figures.torque, units=units)
        typer.echo(say("Motor at that speed: {torque}", torque=torque))
        show_table(rows)
    if figures.least_height is not None:
        least = shown(figures.least_height)
        typer.echo(say("Least height above centre against droop: {height}", height=least))
    typer.echo(say("Estimates, never ratings; the makers' limits come first."))


def show_table(rows: list[list[str]]) -> None:
    """Prints rows of equal length, each column set right; one that knows nothing is left out."""
    width = range(len(rows[0]))
    told = [n for n in width if any(row[n] != "-" for row in rows[1:])]
    rows = [[row[n] for n in told] for row in rows]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        typer.echo("  ".join(cells).rstrip())


def dry(
    record: Annotated[
        Path,
        typer.Argument(metavar=say("record"), help=say("CSV file with the columns date and mass.")),
    ],
    *,
    piece: Annotated[str | None, typer.Option(help=say("Only this piece, by its tag."))] = None,
    job: Annotated[Path | None, typer.Option(help=say("Job file the tag comes from."))] = None,
    shop: Annotated[
        Path | None, typer.Option(help=say("Shop file, if the job names none."))
    ] = None,
    wood: Annotated[str | None, typer.Option(help=say("Wood, where there is no job file."))] = None,
    target: Annotated[
        float | None, typer.Option(help=say("Wished moisture, %; the job's, or 10."))
    ] = None,
    temperature: Annotated[float, typer.Option(help=say("Of the drying room, °C."))] = 20.0,
    humidity: Annotated[float, typer.Option(help=say("Of the drying room, %."))] = 50.0,
    dry_mass: Annotated[
        str | None, typer.Option(help=say('Ovendry mass if known, "1.9 kg".'))
    ] = None,
    plot: Annotated[
        Path | None, typer.Option(help=say("Plot as .svg or .png; else beside it."))
    ] = None,
    no_plot: Annotated[bool, typer.Option("--no-plot", help=say("Draw no plot."))] = False,
) -> None:
    """Tells from a weighing record how dry a rough-out is, and draws it."""
    from templategen.inputs.weighings import read_record, with_identity
    from templategen.trade.drying import emc

    if shop is not None and job is None:
        raise InputError(
            say("needs {option}", option="--job"),
            where="--shop",
            mend=say("name the job file too"),
        )
    if plot is not None and no_plot:
        raise InputError(
            say("not with {option}", option="--no-plot"),
            where="--plot",
            mend=say("leave one of them out"),
        )
    try:
        rest = emc(temperature, humidity)
    except LimitError as error:
        raise InputError(error.what, where="--temperature, --humidity", mend=error.mend) from error
    if job is None:  # a plot does not hang on the machine
        speech.settled("", speech.asked())
    read = read_record(record)
    if piece is not None:
        read = with_identity(read, piece)
    names = read.identities()
    aims = _aims(names, job=job, shop=shop, wood=wood, target=target, dry_mass=dry_mass)
    plots = {} if no_plot else _plot_files(record, names, plot)
    for fault in read.faults:
        for text in fault.lines():
            typer.echo(say("{fault} (row left out)", fault=text), err=True)
    if not names:
        raise InputError(
            say("has no row that can be read"), where=record.name, mend=say("mend those rows")
        )
    typer.echo(
        say(
            "Room {temperature:g} °C, {humidity:g} % humidity: wood settles at about {rest:.1f} %",
            temperature=temperature,
            humidity=humidity,
            rest=rest,
        )
    )
    for name in names:
        _dry_one(read, name, aims[name], rest, plots.get(name))
    typer.echo(say("Estimates, never ratings: weigh until the mass holds still."))
    if read.faults:
        raise typer.Exit(2)


def _aims(
    names: "tuple[str, ...]",
    *,
    job: Path | None,
    shop: Path | None,
    wood: str | None,
    target: float | None,
    dry_mass: str | None,
) -> "dict[str, _Aim]":
    """For each piece its target, its dry mass as far as tag or turner know it, and its wood."""
    from templategen.trade.seasoning import from_volume, from_weighed
    from templategen.trade.wood import find_wood

    if target is not None and not 0 <= target < 30:
        raise InputError(
            say("{target:g} %", target=target),
            where="--target",
            mend=say("give 0 to under 30 %"),
        )
    given = []
    if dry_mass is not None:
        if len(names) > 1:
            raise _several("--dry-mass")
        given.append(from_weighed(_grams(dry_mass)))
    if job is None:
        try:
            known = find_wood(wood) if wood else None
        except InputError as error:
            raise InputError(error.what, where="--wood", mend=error.mend) from error
        return {n: _Aim(10.0 if target is None else target, tuple(given), known) for n in names}
    if wood is not None:
        raise InputError(
            say("not with a job file"), where="--wood", mend=say("change the job file")
        )
    made, figures = _job_figures(job, shop)
    tagged = {p.identity: p for p in figures.bowls}
    wished = made.job.nest.final_moisture if target is None else target
    aims = {}
    for name in names:
        if name not in tagged:
            near = difflib.get_close_matches(name, sorted(tagged), n=1, cutoff=0.5)
            tags = ", ".join(tagged)
            if not name:
                mend = say("say which with --piece: {tags}", tags=tags)
            elif near:
                mend = say("did you mean {name!r}?", name=near[0])
            else:
                mend = say("it has {tags}", tags=tags)
            raise InputError(
                say("no piece {name!r} in this job", name=name), where=job.name, mend=mend
            )
        dry = tagged[name].dry_mass
        volume = [] if dry is None else [from_volume(dry * 1000)]
        aims[name] = _Aim(wished, (*given, *volume), figures.wood)
    return aims


def _several(option: str) -> InputError:
    return InputError(
        say("several pieces"), where=option, mend=say("name one with {option}", option="--piece")
    )


def _job_figures(job: Path, shop: Path | None) -> "tuple[Plan, Figures]":
    from templategen.inputs.job_file import check_cutters, read_job
    from templategen.inputs.shop_file import read_shop
    from templategen.nest.estimates import figures_of
    from templategen.nest.planner import make_plan
    from templategen.trade.wood import nearest_wood

    wanted = speech.settle(read_job(job, known_wood=nearest_wood))
    if shop is None and not wanted.shop:
        raise InputError(say("names no shop"), where=job.name, mend=say('add shop = "shop.toml"'))
    owned = read_shop(shop if shop is not None else job.parent / wanted.shop)
    check_cutters(wanted, owned)
    made = make_plan(wanted, owned, with_mends=False)
    return made, figures_of(made)


def _grams(text: str) -> float:
    from templategen.inputs.weighings import mass_in_grams

    grams = mass_in_grams(text, "g")
    if grams is None:
        raise InputError(
            say("{text!r} is not a mass", text=text),
            where="--dry-mass",
            mend=say('write "1.9 kg"'),
        )
    return grams


def _plot_files(record: Path, names: "tuple[str, ...]", plot: Path | None) -> "dict[str, Path]":
    """Where each piece's plot goes; never onto the record."""
    if plot is None:
        files: dict[str, Path] = {}
        for n, name in enumerate(names, start=1):
            words = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or str(n)
            tail = "" if len(names) == 1 else f"-{words}"
            file = record.with_name(f"{record.stem}-drying{tail}.svg")
            if file in files.values():
                file = record.with_name(f"{record.stem}-drying{tail}-{n}.svg")
            files[name] = file
    else:
        if plot.suffix.lower() not in (".svg", ".png"):
            raise InputError(
                say("{file!r} is no plot", file=plot.name),
                where="--plot",
                mend=say("end it in .svg or .png"),
            )
        if len(names) > 1:
            raise _several("--plot")
        files = dict.fromkeys(names, plot)
    for file in files.values():
        if file.exists() and record.exists() and file.samefile(record):
            raise InputError(
                say("is the record itself"),
                where=f"--plot {file.name}",
                mend=say("name another file"),
            )
    return files


def _dry_one(read: "Record", name: str, aim: "_Aim", rest: float, plot: Path | None) -> None:
    from templategen.inputs.weighings import GRAMS
    from templategen.trade.seasoning import from_green, progress

    rows = read.of(name)
    times = [(w.when - rows[0].when).total_seconds() / 86400 for w in rows]
    masses = [w.mass_g for w in rows]
    known = list(aim.known)
    if aim.wood is not None and aim.wood.green_moisture is not None:
        known.append(from_green(masses[0], aim.wood.green_moisture))
    told = progress(times, masses, known=known, target=aim.target, rest_moisture=rest)
    grams = GRAMS[read.unit]
    typer.echo(f"\n{name or read.name}: {_weighed(read, rows)}")
    for text in _told(told, aim.target, read.unit):
        typer.echo(f"  {text}")
    for before, after in itertools.pairwise(rows):
        if after.mass_g > before.mass_g * 1.01:
            typer.echo(
                "  "
                + say(
                    "line {row}: heavier than line {before}; check the weighing, or the piece "
                    "has drawn water",
                    row=after.row,
                    before=before.row,
                )
            )
    if plot is not None:
        from templategen.output.drying_plot import drying_plot
        from templategen.output.files import clear_leftovers, write_atomically

        data = drying_plot(
            kind=plot.suffix.lower(),
            title=name or read.name,
            dates=[w.when for w in rows],
            masses_g=masses,
            told=told,
            target=aim.target,
            unit=read.unit,
            grams=grams,
        )
        clear_leftovers(plot.parent)
        write_atomically(plot, data)
        typer.echo("  " + say("plot: {file}", file=plot))


def _weighed(read: "Record", rows: "tuple[Weighing, ...]") -> str:
    first, last = rows[0].when.date(), rows[-1].when.date()
    return say_count(
        "{count} weighing, {first} to {last}, last {mass}",
        "{count} weighings, {first} to {last}, last {mass}",
        len(rows),
        first=str(first),
        last=str(last),
        mass=_mass(rows[-1].mass_g, read.unit),
    )


def _told(told: "Progress", target: float, unit: str) -> list[str]:
    """What a record says, in lines."""
    from templategen.trade.seasoning import COVER, State

    if told.moisture is None or told.plus_minus is None or told.target_g is None:
        return [
            say(
                "moisture not known yet: weigh it at least four times over some days, or give "
                "--wood, --job or --dry-mass"
            )
        ]
    moisture, spread = told.moisture, told.plus_minus
    lines = [
        say("moisture about {moisture:.1f} % ± {spread:.1f}", moisture=moisture, spread=spread)
    ]
    for ground in told.grounds:
        lines.append(
            "  "
            + say(
                "from {ground}: dry mass {mass} ± {spread:.0f} %",
                ground=say(ground.ground),
                mass=_mass(ground.mass_g, unit),
                spread=COVER * ground.spread * 100,
            )
        )
    mass = _mass(told.target_g, unit)
    lose = _mass(max(0.0, told.to_lose_g or 0.0), unit)
    over = moisture - target
    match told.state:
        case State.READY:
            lines.append(say("ready: target {target:g} %, {mass} is met", target=target, mass=mass))
        case State.PERHAPS:
            lines.append(
                say(
                    "ready by estimate: target {target:g} %, {mass}, but known only to ± "
                    "{spread:.0f} points: weigh on until the mass holds still",
                    target=target,
                    mass=mass,
                    spread=spread,
                )
            )
        case State.STALLED:
            lines.append(
                say(
                    "not ready: {over:.1f} points over the target {target:g} %, {mass}, and this "
                    "room dries it no further than about {rest:.1f} %: a drier or warmer room",
                    over=over,
                    target=target,
                    mass=mass,
                    rest=told.rest_moisture,
                )
            )
        case State.DRYING | State.UNKNOWN:
            lines.append(
                say(
                    "not ready: {over:.1f} points over the target {target:g} %, {mass}; about "
                    "{lose} to lose",
                    over=over,
                    target=target,
                    mass=mass,
                    lose=lose,
                )
            )
            if told.days_left is not None:
                lines.append(say("about {days:.0f} days more at this pace", days=told.days_left))
            elif told.rest_moisture > target:
                lines.append(
                    say(
                        "this room settles wood at about {rest:.1f} %, above the target",
                        rest=told.rest_moisture,
                    )
                )
    return lines


def _mass(grams: float, unit: str) -> str:
    from templategen.inputs.weighings import GRAMS

    places = {"g": 0, "kg": 3, "lb": 2, "oz": 1}[unit]
    return f"{figure(grams / GRAMS[unit], f'.{places}f')} {unit}"
