"""The command ``start``: the files that a new user begins with."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.starters import write_starter_files
from templategen.cli.screen import screen_of
from templategen.messages import tr_noop


def start(
    ctx: typer.Context,
    folder: Annotated[
        Path, typer.Argument(metavar=tr_noop("folder"), help=tr_noop("Folder for the new files."))
    ],
) -> None:
    """Writes a commented shop file and job file to begin with."""
    screen = screen_of(ctx)
    for file in write_starter_files(folder, screen.wording):
        screen.tell("{file} written", file=file)
