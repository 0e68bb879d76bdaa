"""Cutting files of a pack: one SVG or DXF a part, at 1:1."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from templategen.errors import InputError
from templategen.messages import say

if TYPE_CHECKING:
    from templategen.parts.drawing import Part

FORMATS = ("pdf", "svg", "dxf")
FormatOpt = Annotated[
    str, typer.Option("--format", help=say("pdf, svg, dxf, or several with commas: pdf,svg."))
]
BeamOpt = Annotated[
    str | None,
    typer.Option("--beam", help=say("Width of the beam or bit, as 0.2: SVG and DXF only.")),
]
OutlinesOpt = Annotated[
    bool, typer.Option("--outlines", help=say("Letters as outlines, SVG and DXF."))
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What is asked for: formats in the order of `FORMATS`, beam in mm, letters as outlines."""

    formats: tuple[str, ...]
    beam: float = 0.0
    outlines: bool = False


def cutting_from(formats: str, *, beam: str | None, outlines: bool) -> Cutting:
    """The wishes of a command line, checked.

    Raises:
        InputError: an unknown format; a beam out of bounds or for a PDF alone.
    """
    asked = [word.strip().lower() for word in formats.split(",")]
    for word in asked:
        if word not in FORMATS:
            raise InputError(
                say("{word!r} is no format", word=word),
                where="--format",
                mend=say("use pdf, svg or dxf, as pdf,svg"),
            )
    wanted = tuple(name for name in FORMATS if name in asked)
    files_only = say("is for SVG and DXF, which are cut by machine")
    mend = say("add --format svg or --format dxf")
    if outlines and wanted == ("pdf",):
        raise InputError(files_only, where="--outlines", mend=mend)
    if beam is None:
        return Cutting(formats=wanted, outlines=outlines)
    if wanted == ("pdf",):
        raise InputError(files_only, where="--beam", mend=mend)
    return Cutting(formats=wanted, beam=_beam(beam), outlines=outlines)


def _beam(text: str) -> float:
    from templategen.parts.beam import WIDEST
    from templategen.units import Units, parse_length

    try:
        width = parse_length(text, Units.MM)
    except ValueError as error:
        raise InputError(
            say("{text!r} is not a length", text=text),
            where="--beam",
            mend=say('write 0.2 or "0.008 in"'),
        ) from error
    if not 0 < width <= WIDEST:
        raise InputError(
            say("{text} is out of bounds", text=text),
            where="--beam",
            mend=say("give more than 0, up to {most:g}", most=WIDEST),
        )
    return width


def write_cutting_files(
    parts: Sequence["Part"], cutting: Cutting, *, out: Path, name: str
) -> list[str]:
    """One file a part and format, in a folder of its own beside the PDF.

    Args:
        parts: at least one.
        cutting: the formats; ``pdf`` is left to the caller.
        out: folder of the pack.
        name: safe name of the pack; the folders are called ``name-svg`` and ``name-dxf``.

    Returns: what was done, as lines for a person.

    Raises:
        GeometryError: the beam cannot be allowed for; nothing is written then.
        OutputError: the disk.
    """
    formats = [kind for kind in cutting.formats if kind != "pdf"]
    if not formats:
        return []
    from templategen.output.dxf import drawing_dxf
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import unique_names
    from templategen.output.svg import drawing_svg
    from templategen.parts.beam import beamed

    drawings, left = [part.drawing for part in parts], 0
    note = say("Full size in millimetres. Cut on the lines of the layer 'cut'.")
    if cutting.beam:
        made = [beamed(part, beam=cutting.beam) for part in parts]
        drawings, left = [b.drawing for b in made], sum(b.left for b in made)
        note = say(
            "Full size in millimetres. Cut on the lines of the layer 'cut'. They are moved aside "
            "for a beam of {beam:g} mm.",
            beam=cutting.beam,
        )
    names = unique_names([part.title for part in parts])
    lines: list[str] = []
    for kind in formats:
        folder = out / f"{name}-{kind}"
        make_folder(folder)
        for part, drawing, own in zip(parts, drawings, names, strict=True):
            if kind == "svg":
                data = drawing_svg(drawing, title=part.title, note=note, outlines=cutting.outlines)
            else:
                data = drawing_dxf(drawing, outlines=cutting.outlines)
            write_atomically(folder / f"{own}.{kind}", data)
        lines.append(
            say(
                "{folder}: {count} {kind} files, 1:1 in mm",
                folder=folder,
                count=len(parts),
                kind=kind.upper(),
            )
        )
        old = sorted(p.name for p in folder.glob(f"*.{kind}") if p.stem not in names)
        if old:
            lines.append(
                say(
                    "note: {folder} also holds {count} files of another run: {first} …",
                    folder=folder,
                    count=len(old),
                    first=old[0],
                )
            )
    if cutting.beam:
        lines.append(say("Cut lines stand {half:g} mm aside for the beam.", half=cutting.beam / 2))
    if left:
        lines.append(say("note: {count} open cut lines were left where they are.", count=left))
    return lines
