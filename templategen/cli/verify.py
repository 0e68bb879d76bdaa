"""The command ``verify``: whether a pack is true to the model."""

from typing import Annotated

import typer

from templategen.app.verifying import Report, verify_pack
from templategen.cli.options import PackArg
from templategen.cli.screen import Screen, screen_of
from templategen.messages import tr, tr_noop


def verify(
    ctx: typer.Context,
    pack: PackArg,
    *,
    every: Annotated[
        bool, typer.Option("--all", help=tr_noop("List all that is measured, also what is true."))
    ] = False,
) -> None:
    """Measures every part, seam and bar of a pack against the model; exit 1 if not true."""
    report = verify_pack(pack)
    screen = screen_of(ctx)
    _show_rows(report, screen, every=every)
    _show_verdict(report, screen)
    if not report.is_true:
        raise typer.Exit(1)


def _show_rows(report: Report, screen: Screen, *, every: bool) -> None:
    text = screen.wording.text
    for name, rows in (
        (tr("Sheets"), report.pages),
        (tr("Parts and tiles"), report.parts),
        (tr("Seams, as the two prints of their marks meet"), report.seams),
        (tr("Bars"), report.bars),
    ):
        shown = [row for row in rows if every or not row.is_true]
        if shown:
            screen.show(name)
        for row in shown:
            far = "      -"
            if row.deviation is not None:
                far = screen.wording.figure(row.deviation, "7.4f")
            note = f"  {text(row.note)}" if row.note else ""
            verdict = "" if row.is_true else "  " + screen.say("NOT TRUE")
            sheet = screen.say("sheet {number:>3}", number=row.sheet)
            screen.show(f"  {sheet}  {far} mm  {text(row.what)}{note}{verdict}")


def _show_verdict(report: Report, screen: Screen) -> None:
    if report.is_true:
        screen.tell(
            "True: {parts} parts and tiles, {seams} seams, largest deviation {worst:.4f} mm, "
            "allowed {allowed:g} mm",
            parts=len(report.parts),
            seams=len(report.seams),
            worst=report.worst,
            allowed=report.tolerance,
        )
        return
    screen.tell(
        "Not true: {bad} of {count} measured, largest deviation {worst:.3f} mm",
        bad=sum(not row.is_true for row in report.rows),
        count=len(report.rows),
        worst=report.worst,
    )
    if report.scale is not None:
        across, down = report.scale
        screen.tell(
            "The pages are scaled to {across:.2f} % across and {down:.2f} % down: some "
            "program fitted them to a page; print the first file, at 100 %",
            across=across * 100,
            down=down * 100,
        )
