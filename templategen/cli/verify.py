"""The command ``verify``: whether a pack is what its recipe gives."""

from typing import Annotated

import typer

from templategen.app.verifying import Report, verdict, verified
from templategen.cli.options import PackArg
from templategen.cli.screen import Screen, screen_of
from templategen.messages import tr_noop


def verify(
    ctx: typer.Context,
    pack: PackArg,
    *,
    every: Annotated[
        bool, typer.Option("--all", help=tr_noop("List all that is compared, also what is true."))
    ] = False,
) -> None:
    """Compares every line, word and picture of a pack with what its job gives; exit 1 if not true.

    The pack is laid out anew from the job, the shop and the wishes inside it.
    """
    report = verified(pack)
    screen = screen_of(ctx)
    _show_rows(report, screen, every=every)
    for line in verdict(report):
        screen.show(line)
    if not report.is_true:
        raise typer.Exit(1)


def _show_rows(report: Report, screen: Screen, *, every: bool) -> None:
    text = screen.wording.text
    for row in report.rows:
        if not every and (row.is_true or report.release):
            continue
        place = screen.say("sheet {number:>3}", number=row.sheet) if row.sheet else ""
        far = "-"
        if row.deviation is not None:
            far = screen.wording.figure(row.deviation, ".4f") + " mm"
        note = text(row.note) or screen.say("true")
        screen.show(f"  {place:9}  {far:>12}  {text(row.what)}: {note}")
