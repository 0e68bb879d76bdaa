"""Writes cutting files: one SVG or DXF a part at 1:1."""

from collections.abc import Sequence

from templategen.app.print_wishes import CuttingFolder, PackTarget, PrintWishes
from templategen.messages import Wording
from templategen.output.dxf import drawing_dxf
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import unique_names
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.beam import beamed
from templategen.parts.drawing import Drawing, Part


def write_cutting_files(
    parts: Sequence[Part], wishes: PrintWishes, target: PackTarget
) -> tuple[tuple[CuttingFolder, ...], int]:
    """Writes one file a part and format, in a folder a format beside the PDF.

    Args:
        parts: at least one.
        wishes: formats, beam and kind of letters.
        target: folder, name and wording of the pack.

    Returns: the folders, and how many open cut lines were left where they are.

    Raises:
        GeometryError: the beam cannot be allowed for; nothing is written then.
        OutputError: the disk.
    """
    drawings, left = [part.drawing for part in parts], 0
    if wishes.beam:
        made = [beamed(part, beam=wishes.beam) for part in parts]
        drawings, left = [b.drawing for b in made], sum(b.left for b in made)
    names = unique_names([part.title for part in parts])
    folders = []
    for kind in wishes.formats:
        if kind == "pdf":
            continue
        folder = target.out / f"{target.name}-{kind}"
        make_folder(folder)
        for part, drawing, name in zip(parts, drawings, names, strict=True):
            data = _file(kind, part.title, drawing, wishes, target.style.wording)
            write_atomically(folder / f"{name}.{kind}", data)
        others = sorted(p.name for p in folder.glob(f"*.{kind}") if p.stem not in names)
        folders.append(
            CuttingFolder(folder=folder, kind=kind, count=len(parts), others=tuple(others))
        )
    return tuple(folders), left


def _file(kind: str, title: str, drawing: Drawing, wishes: PrintWishes, wording: Wording) -> bytes:
    if kind == "dxf":
        return drawing_dxf(drawing, outlines=wishes.outlines, wording=wording)
    look = SvgLook(outlines=wishes.outlines, wording=wording)
    return drawing_svg(drawing, title=title, note=_note(wishes.beam, wording), look=look)


def _note(beam: float, wording: Wording) -> str:
    """What a cutting file says of itself."""
    if not beam:
        return wording.say("Full size in millimetres. Cut on the lines of the layer 'cut'.")
    return wording.say(
        "Full size in millimetres. Cut on the lines of the layer 'cut'. They are moved aside "
        "for a beam of {beam:g} mm.",
        beam=beam,
    )
