"""Cutting files of a pack: one SVG or DXF a part, at 1:1."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from templategen.errors import InputError

if TYPE_CHECKING:
    from templategen.parts.drawing import Part

FORMATS = ("pdf", "svg", "dxf")


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
                f"{word!r} is no format", where="--format", mend="use pdf, svg or dxf, as pdf,svg"
            )
    wanted = tuple(name for name in FORMATS if name in asked)
    files_only = "is for SVG and DXF, which are cut by machine"
    mend = "add --format svg or --format dxf"
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
            f"{text!r} is not a length", where="--beam", mend='write 0.2 or "0.008 in"'
        ) from error
    if not 0 < width <= WIDEST:
        raise InputError(
            f"{text} is out of bounds", where="--beam", mend=f"give more than 0, up to {WIDEST:g}"
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
    note = "Full size in millimetres. Cut on the lines of the layer 'cut'."
    if cutting.beam:
        made = [beamed(part, beam=cutting.beam) for part in parts]
        drawings, left = [b.drawing for b in made], sum(b.left for b in made)
        note += f" They are moved aside for a beam of {cutting.beam:g} mm."
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
        lines.append(f"{folder}: {len(parts)} {kind.upper()} files, 1:1 in mm")
        old = sorted(p.name for p in folder.glob(f"*.{kind}") if p.stem not in names)
        if old:
            lines.append(f"note: {folder} also holds {len(old)} files of another run: {old[0]} …")
    if cutting.beam:
        lines.append(f"Cut lines stand {cutting.beam / 2:g} mm aside for the beam.")
    if left:
        lines.append(f"note: {left} open cut lines were left where they are.")
    return lines
