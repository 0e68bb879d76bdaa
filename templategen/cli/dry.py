"""The command ``dry``: how far a rough-out has dried, from its weighings."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.drying import (
    COVER,
    GRAMS,
    DryingBowl,
    DryingWishes,
    State,
    open_weighings,
)
from templategen.cli.screen import Screen, screen_of
from templategen.errors import InputError
from templategen.messages import Figure, Joined, Message, Text, tr, tr_count, tr_noop

PLACES = {"g": 0, "kg": 3, "lb": 2, "oz": 1}  # decimals of a mass, by its unit


def dry(
    ctx: typer.Context,
    record: Annotated[
        Path,
        typer.Argument(
            metavar=tr_noop("record"), help=tr_noop("CSV file with the columns date and mass.")
        ),
    ],
    *,
    bowl: Annotated[str | None, typer.Option(help=tr_noop("Only this bowl, by its tag."))] = None,
    job: Annotated[Path | None, typer.Option(help=tr_noop("Job file the tag comes from."))] = None,
    shop: Annotated[
        Path | None, typer.Option(help=tr_noop("Shop file, if the job names none."))
    ] = None,
    wood: Annotated[
        str | None, typer.Option(help=tr_noop("Wood, where there is no job file."))
    ] = None,
    target: Annotated[
        float | None, typer.Option(help=tr_noop("Wished moisture, %; the job's, or 10."))
    ] = None,
    temperature: Annotated[float, typer.Option(help=tr_noop("Of the drying room, °C."))] = 20.0,
    humidity: Annotated[float, typer.Option(help=tr_noop("Of the drying room, %."))] = 50.0,
    dry_mass: Annotated[
        str | None, typer.Option(help=tr_noop('Ovendry mass if known, "1.9 kg".'))
    ] = None,
    plot: Annotated[
        Path | None, typer.Option(help=tr_noop("Plot as .svg or .png; else beside it."))
    ] = None,
    no_plot: Annotated[bool, typer.Option("--no-plot", help=tr_noop("Draw no plot."))] = False,
) -> None:
    """Tells from a weighing record how dry a rough-out is, and draws it."""
    screen = screen_of(ctx)
    wishes = DryingWishes(
        bowl=bowl,
        job=job,
        shop=shop,
        wood=wood,
        target=target,
        temperature=temperature,
        humidity=humidity,
        dry_mass=dry_mass,
        plot=plot,
        draw=not no_plot,
        language=screen.language,
    )
    opened = open_weighings(record, wishes)
    screen.wording = opened.wording
    for fault in opened.faults:
        for text in fault.lines(screen.wording):
            screen.show(tr("{fault} (row left out)", fault=text), err=True)
    if not opened.bowls:
        raise InputError(
            tr("has no row that can be read"), where=record.name, mend=tr("mend those rows")
        )
    screen.tell(
        "Room {temperature:g} °C, {humidity:g} % humidity: wood settles at about {rest:.1f} %",
        temperature=temperature,
        humidity=humidity,
        rest=opened.rest_moisture,
    )
    for found in opened.bowls:
        _show(found, screen)
        if found.plot is not None:
            # Loaded here because the library for plots takes longest of all to load.
            from templategen.app.drying_plots import write_plot  # noqa: PLC0415

            write_plot(found, opened.wording)
            screen.show(Joined(("  ", tr("plot: {file}", file=found.plot)), ""))
    screen.tell("Estimates, never ratings: weigh until the mass holds still.")
    if opened.faults:
        raise typer.Exit(2)


def _show(bowl: DryingBowl, screen: Screen) -> None:
    rows = bowl.weighings
    weighed = tr_count(
        "{count} weighing, {first} to {last}, last {mass}",
        "{count} weighings, {first} to {last}, last {mass}",
        len(rows),
        first=str(rows[0].when.date()),
        last=str(rows[-1].when.date()),
        mass=_mass(rows[-1].mass_g, bowl),
    )
    screen.show()
    screen.show(Joined((bowl.name, weighed), ": "))
    for message in _lines(bowl):
        screen.show(Joined(("  ", message), ""))


def _lines(bowl: DryingBowl) -> Iterator[Text]:
    """What is known of a bowl, a line each."""
    told = bowl.told
    if told.moisture is None or told.plus_minus is None or told.target_g is None:
        yield tr(
            "moisture not known yet: weigh it at least four times over some days, or give "
            "--wood, --job or --dry-mass"
        )
    else:
        yield tr(
            "moisture about {moisture:.1f} % ± {spread:.1f}",
            moisture=told.moisture,
            spread=told.plus_minus,
        )
        for ground in told.grounds:
            text = tr(
                "from {ground}: dry mass {mass} ± {spread:.0f} %",
                ground=ground.ground,
                mass=_mass(ground.mass_g, bowl),
                spread=COVER * ground.spread * 100,
            )
            yield Joined(("  ", text), "")
        yield _state(bowl, told.moisture - bowl.target, _mass(told.target_g, bowl))
        if told.state in (State.DRYING, State.UNKNOWN):
            yield from _outlook(bowl)
    for before, after in bowl.heavier():
        yield tr(
            "line {row}: heavier than line {before}; check the weighing, or the bowl "
            "has drawn water",
            row=after.row,
            before=before.row,
        )


def _outlook(bowl: DryingBowl) -> Iterator[Text]:
    """How long a bowl will take, or why it never gets there."""
    told = bowl.told
    if told.days_left is not None:
        yield tr("about {days:.0f} days more at this pace", days=told.days_left)
    elif told.rest_moisture > bowl.target:
        yield tr(
            "this room settles wood at about {rest:.1f} %, above the target",
            rest=told.rest_moisture,
        )


def _state(bowl: DryingBowl, over: float, mass: Text) -> Message:
    """Whether a bowl is ready that is `over` points of moisture from its target mass."""
    told, target = bowl.told, bowl.target
    match told.state:
        case State.READY:
            return tr("ready: target {target:g} %, {mass} is met", target=target, mass=mass)
        case State.PERHAPS:
            return tr(
                "ready by estimate: target {target:g} %, {mass}, but known only to ± "
                "{spread:.0f} points: weigh on until the mass holds still",
                target=target,
                mass=mass,
                spread=told.plus_minus,
            )
        case State.STALLED:
            return tr(
                "not ready: {over:.1f} points over the target {target:g} %, {mass}, and this "
                "room dries it no further than about {rest:.1f} %: a drier or warmer room",
                over=over,
                target=target,
                mass=mass,
                rest=told.rest_moisture,
            )
        case State.DRYING | State.UNKNOWN:
            return tr(
                "not ready: {over:.1f} points over the target {target:g} %, {mass}; about "
                "{lose} to lose",
                over=over,
                target=target,
                mass=mass,
                lose=_mass(max(0.0, told.to_lose_g or 0.0), bowl),
            )


def _mass(grams: float, bowl: DryingBowl) -> Text:
    return Figure(grams / GRAMS[bowl.unit], f".{PLACES[bowl.unit]}f", f" {bowl.unit}")
