"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated

import typer

from templategen.errors import InputError
from templategen.messages import tr, tr_noop
from templategen.units import Units

PACK_FOLDER = Path("templategen-pack")

JobArg = Annotated[
    Path | None,
    typer.Argument(
        metavar=tr_noop("job"), help=tr_noop("Job file; leave out for the built-in demo.")
    ),
]
ShopArg = Annotated[
    Path | None,
    typer.Argument(
        metavar=tr_noop("shop"), help=tr_noop("Shop file; leave out for the built-in demo.")
    ),
]
PackArg = Annotated[
    Path,
    typer.Argument(metavar=tr_noop("pack"), help=tr_noop("A PDF that templategen printed.")),
]
WishesOpt = Annotated[
    Path | None, typer.Option("--job", help=tr_noop("Job file whose wishes are used."))
]
BlankOpt = Annotated[
    str | None, typer.Option("--blank", help=tr_noop("Diameter x height, as 400x180."))
]
WoodOpt = Annotated[str | None, typer.Option("--wood", help=tr_noop("Name of the wood."))]
ShopOpt = Annotated[Path | None, typer.Option("--shop", help=tr_noop("Shop file."))]
PaperOpt = Annotated[str | None, typer.Option(help=tr_noop("a4, letter, a3 or a size as 210x330."))]
PartOpt = Annotated[list[str] | None, typer.Option(help=tr_noop("Only this kind; may repeat."))]
GroupOpt = Annotated[
    list[str] | None,
    typer.Option(help=tr_noop("Only this step: read, log, turn, set, cut, after, shop.")),
]
UnitsOpt = Annotated[str | None, typer.Option(help=tr_noop("mm, in or both."))]
FileUnitsOpt = Annotated[str | None, typer.Option("--units", help=tr_noop("mm or in."))]
OutOpt = Annotated[Path, typer.Option(help=tr_noop("Folder for the PDF."))]
PrinterOpt = Annotated[
    str | None, typer.Option("--printer", help=tr_noop("Correct for this measured printer."))
]
FormatOpt = Annotated[
    str | None,
    typer.Option(
        "--format", help=tr_noop("pdf, svg, dxf, or several with commas; with --sheet svg,dxf.")
    ),
]
BeamOpt = Annotated[
    str | None,
    typer.Option("--beam", help=tr_noop("Width of the beam or bit, as 0.2: SVG and DXF only.")),
]
LiveTextOpt = Annotated[
    bool, typer.Option("--live-text", help=tr_noop("Letters as text, not as outlines: SVG, DXF."))
]
SheetOpt = Annotated[
    str | None,
    typer.Option("--sheet", help=tr_noop("Parts on sheets to cut, as 300x600 or 12x24in.")),
]
GapOpt = Annotated[
    str | None,
    typer.Option("--gap", help=tr_noop("Material between two cuts on a sheet; 3 mm or 1/8 in.")),
]


def file_units(text: str | None) -> Units | None:
    """The units of `FileUnitsOpt`, None where it is not given.

    Raises:
        InputError: neither mm nor in.
    """
    if text not in (None, "mm", "in"):
        raise InputError(
            tr("{text!r} is no unit", text=text), where="--units", mend=tr("use mm or in")
        )
    return None if text is None else Units(text)
