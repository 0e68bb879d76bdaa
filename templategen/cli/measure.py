"""The command ``measure``: a cutter's radius from a chord and its rise."""

from typing import Annotated

import typer

from templategen.app.measuring import cutter_radius
from templategen.cli.screen import screen_of
from templategen.messages import tr_noop
from templategen.units import Length, Units


def measure(
    ctx: typer.Context,
    chord: Annotated[
        str, typer.Option(help=tr_noop("Straight distance between two points of the edge."))
    ],
    rise: Annotated[
        str, typer.Option(help=tr_noop("Height of the edge over the middle of the chord."))
    ],
) -> None:
    """Finds a cutter's radius from a chord and its rise."""
    radius = cutter_radius(chord, rise)
    inches = Length(radius, Units.IN)
    screen_of(ctx).tell("radius {radius:.2f} mm ({inches})", radius=radius, inches=inches)
