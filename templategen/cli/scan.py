"""The command ``scan``: a printer measured by the scan of a sheet that it printed."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.app.scans import keep_scanned_printer, measure_scan, rule_marks
from templategen.cli.options import PackArg
from templategen.cli.screen import screen_of
from templategen.messages import tr, tr_noop

ScanArg = Annotated[
    Path,
    typer.Argument(
        metavar=tr_noop("scan"), help=tr_noop("PNG, JPEG or TIFF of one sheet, at 300 dpi.")
    ),
]
PageOpt = Annotated[
    int | None, typer.Option(help=tr_noop("Page of the PDF; left out, it is looked for."))
]
DpiOpt = Annotated[
    float | None, typer.Option(help=tr_noop("Resolution of the scan, where the file has it wrong."))
]
TurnedOpt = Annotated[
    Path | None,
    typer.Option(
        metavar=tr_noop("scan"),
        help=tr_noop("Second scan of the sheet, turned on the glass by a quarter."),
    ),
]
RuleOpt = Annotated[
    tuple[str, str, str] | None,
    typer.Option(
        metavar="X,Y X,Y LENGTH",
        help=tr_noop("Pixels of two marks of a steel rule on the scan, and the length between."),
    ),
]
KeepOpt = Annotated[
    str | None, typer.Option("--printer", help=tr_noop("Keep what is found under this name."))
]


def scan(
    ctx: typer.Context,
    scan: ScanArg,
    pack: PackArg,
    *,
    page: PageOpt = None,
    dpi: DpiOpt = None,
    turned: TurnedOpt = None,
    rule: RuleOpt = None,
    printer: KeepOpt = None,
) -> None:
    """Measures a printer by the scan of a sheet: its scale across and down and its skew."""
    screen = screen_of(ctx)
    marks = None if rule is None else rule_marks(*rule)
    report = measure_scan(scan, pack, page=page, dpi=dpi, turned=turned, rule=marks)
    kept = None if printer is None else keep_scanned_printer(report, printer)
    for message in report.lines():
        screen.show(message)
    if report.is_fitted:
        caution = tr(
            "caution: the page was probably fitted to the paper by the print dialog; print it at "
            "100 % and scan that"
        )
        screen.show(caution, err=True)
    if kept is None:
        screen.tell("Nothing is kept; --printer NAME keeps it for --printer of pack.")
    else:
        profile, file = kept
        screen.tell(
            "{name} is kept in {file}: print with --printer {name!r}", name=profile.name, file=file
        )
