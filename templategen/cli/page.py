"""The command ``page``: opens the local page in the browser."""

import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from templategen.app.folder import open_folder
from templategen.cli.screen import screen_of
from templategen.messages import tr_noop
from templategen.page.guard import new_key
from templategen.page.server import PageServer, address_of, listening, serve
from templategen.units import Units


def page(
    ctx: typer.Context,
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar=tr_noop("folder"),
            help=tr_noop("Folder of your files; else 'templategen' among your documents."),
        ),
    ] = None,
    *,
    no_open: Annotated[
        bool, typer.Option("--no-open", help=tr_noop("Open no browser, only print the address."))
    ] = False,
    port: Annotated[int, typer.Option(help=tr_noop("Port of the address; 0: a free one."))] = 0,
) -> None:
    """Opens the page in your browser: plan, change and print without a command."""
    screen = screen_of(ctx)
    held = open_folder(folder, wording=screen.wording, units=Units.MM)
    line, key = listening(port), new_key()
    address = address_of(line, key)
    screen.tell("Your files: {folder}", folder=str(held.root))
    screen.tell("The page, for this machine alone: {address}", address=address)
    screen.tell("Press Ctrl-C here to end it.")
    if not no_open:
        webbrowser.open(address)
    serve(PageServer(held, language=screen.wording.language), line, key=key)
