"""The command ``start``: the files that a new user begins with."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.starters import write_starter_files
from templategen.cli.options import FileUnitsOpt, file_units
from templategen.cli.screen import screen_of
from templategen.messages import tr_noop
from templategen.units import Units


def start(
    ctx: typer.Context,
    folder: Annotated[
        Path, typer.Argument(metavar=tr_noop("folder"), help=tr_noop("Folder for the new files."))
    ],
    *,
    units: FileUnitsOpt = None,
) -> None:
    """Writes a commented shop file and job file to begin with."""
    screen = screen_of(ctx)
    for file in write_starter_files(folder, screen.wording, file_units(units) or Units.MM):
        screen.tell("{file} written", file=file)
