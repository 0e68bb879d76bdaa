"""The commands ``printer add``, ``list`` and ``remove``: what is measured on printers."""

from typing import Annotated

import typer

from templategen.app.printers import (
    forget_printer,
    keep_printer,
    kept_printers,
    looks_fitted,
)
from templategen.cli.screen import screen_of
from templategen.cli.usage import Command, Group
from templategen.messages import Message, tr, tr_noop
from templategen.trade.printer import PrinterProfile

PrinterArg = Annotated[
    str, typer.Argument(metavar=tr_noop("name"), help=tr_noop("What you call the printer."))
]
KeptArg = Annotated[
    str, typer.Argument(metavar=tr_noop("name"), help=tr_noop("The printer's name."))
]
AcrossOpt = Annotated[str, typer.Option(help=tr_noop("Measured/wanted length, as 179.2/180."))]
DownOpt = Annotated[str, typer.Option(help=tr_noop("Measured/wanted length, as 251.0/250."))]
SkewOpt = Annotated[
    str,
    typer.Option(help=tr_noop("Lean of an upright line to the right over its height, as 0.3/250.")),
]
DiagonalsOpt = Annotated[
    str, typer.Option(help=tr_noop("Measured diagonals, the rising one first, as 309.1/307.8."))
]

SHOWN_SKEW = 5e-6  # a smaller one shows as 0.000 mm in 100 mm

app = typer.Typer(
    cls=Group,
    help=tr_noop("Keeps what you measured on your printers."),
    no_args_is_help=True,
    add_completion=False,
)


@app.command("add", cls=Command, help=tr_noop("Keeps a printer's measured scale and skew."))
def add(
    ctx: typer.Context,
    name: PrinterArg,
    *,
    across: AcrossOpt,
    down: DownOpt,
    skew: SkewOpt = "",
    diagonals: DiagonalsOpt = "",
) -> None:
    """Keeps a printer's measured scale and skew."""
    screen = screen_of(ctx)
    profile, file = keep_printer(name, across=across, down=down, skew=skew, diagonals=diagonals)
    screen.tell("{printer}; kept in {file}", printer=shown_printer(profile), file=file)
    if looks_fitted(profile.across, profile.down):
        percent = 100 * min((profile.across, profile.down), key=lambda f: -abs(f - 1))
        caution = tr(
            "caution: {percent:.1f} % is more than printers are out by; was the page fitted "
            "to the paper? Print the scale sheet at 100 % and measure again.",
            percent=percent,
        )
        screen.show(caution, err=True)
    screen.tell("Print with --printer {name!r} and measure the bars again.", name=profile.name)


@app.command("list", cls=Command, help=tr_noop("Shows the printers that are kept."))
def list_(ctx: typer.Context) -> None:
    """Shows the printers that are kept."""
    screen = screen_of(ctx)
    known = kept_printers()
    for profile in known.values():
        screen.show(shown_printer(profile))
    if not known:
        screen.tell("No printer is kept. Print the scale sheet: templategen scale")


@app.command("remove", cls=Command, help=tr_noop("Forgets a printer."))
def remove(ctx: typer.Context, name: KeptArg) -> None:
    """Forgets a printer."""
    screen_of(ctx).tell("{name} removed", name=forget_printer(name).name)


def shown_printer(profile: PrinterProfile) -> Message:
    """A printer with its two factors and its skew, if it has any."""
    scale = tr(
        "{name}: prints {across:.4f} across and {down:.4f} down "
        "({across_percent:+.2f} %, {down_percent:+.2f} %)",
        name=profile.name,
        across=profile.across,
        down=profile.down,
        across_percent=(profile.across - 1) * 100,
        down_percent=(profile.down - 1) * 100,
    )
    if abs(profile.skew) < SHOWN_SKEW:
        return scale
    return tr("{scale}, skew {skew:+.3f} mm in 100 mm", scale=scale, skew=profile.skew * 100)
