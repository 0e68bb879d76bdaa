"""The command ``measure``: a cutter's radius from a chord and its rise."""

from typing import Annotated

import typer

from templategen.app.measuring import RISE_READING, cutter_radius
from templategen.cli.screen import screen_of
from templategen.messages import Figure, tr, tr_noop
from templategen.units import MM_PER_INCH, Length, Units

WHAT_TO_MEASURE = (
    tr_noop(
        "Wanted is the distance from the pivot to the outermost corner of the tip: on the bench "
        "swing the tip about its pivot over paper and measure the arc it draws. The edge of the "
        "blade has another radius."
    ),
    tr_noop("A long chord measures better than a short one."),
)


def measure(
    ctx: typer.Context,
    chord: Annotated[
        str, typer.Option(help=tr_noop("Straight distance between two points of the tip's arc."))
    ],
    rise: Annotated[
        str, typer.Option(help=tr_noop("Height of the tip's arc over the middle of the chord."))
    ],
) -> None:
    """Finds a cutter's radius from a chord and its rise."""
    screen = screen_of(ctx)
    found = cutter_radius(chord, rise)
    shown: list[Figure | Length] = [
        Figure(found.radius, ".2f", " mm"),
        Length(found.radius, Units.IN),
    ]
    uncertainty, reading = Figure(found.uncertainty, ".1f", " mm"), Figure(RISE_READING, "g", " mm")
    if found.units is Units.IN:
        shown.reverse()
        uncertainty = Figure(found.uncertainty / MM_PER_INCH, ".2f", " in")
        reading = Figure(RISE_READING / MM_PER_INCH, ".2f", " in")
    screen.tell(
        "radius {radius} ({other}), ± {uncertainty} if the rise is read to {reading}",
        radius=shown[0],
        other=shown[1],
        uncertainty=uncertainty,
        reading=reading,
    )
    for text in WHAT_TO_MEASURE:
        screen.show_wrapped(tr(text))
