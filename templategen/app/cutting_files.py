"""Writes cutting files at 1:1: one SVG or DXF a part, or parts nested on sheets."""

from collections.abc import Callable, Sequence
from pathlib import Path

from templategen.app.print_wishes import (
    CutSheetFiles,
    CuttingFolder,
    FilesToCut,
    PackTarget,
    PrintWishes,
    WrittenSheets,
)
from templategen.errors import InputError
from templategen.geometry.shapes import Box
from templategen.messages import Joined, Message, Text, tr
from templategen.output.dxf import drawing_dxf
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name, unique_names
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.beam import Beamed, BluntPlace, beamed, cut_outlines
from templategen.parts.drawing import Drawing, Part
from templategen.parts.machine_lines import machine_drawing
from templategen.parts.style import PrintStyle
from templategen.sheets.cutting_list import contents_list, held_on, sheet_title, stock_text
from templategen.sheets.cutting_overview import overview
from templategen.sheets.cutting_sheets import NestedSheet, Nesting, nest
from templategen.units import Length

MOST_PLACES = 8  # of blunt corners that are named of one part

Progress = Callable[[int, int], None]  # steps done, of how many


def write_files_to_cut(
    parts: Sequence[Part],
    wishes: PrintWishes,
    target: PackTarget,
    *,
    stock: Sequence[float],
    progress: Progress | None = None,
) -> FilesToCut:
    """Writes one file a part and format, or the parts nested on sheets if the wishes name one.

    Args:
        parts: at least one.
        wishes: formats, beam, kind of letters, and the sheet.
        target: folder, name and wording of the pack.
        stock: thicknesses of ply at hand, mm.
        progress: called with sets of sheets done, of how many.

    Raises:
        InputError: no part is to be cut, or none fits on the sheet.
        GeometryError: the beam cannot be allowed for; nothing is written then.
        LimitError: too many pieces.
        OutputError: the disk.
    """
    style = target.style
    cut = [part for part in parts if cut_outlines(part.drawing) != ([], [])]
    if not cut:
        raise InputError(
            tr("nothing to cut: these parts are only read"),
            where="--part",
            mend=tr("name another kind of part, or print them with --format pdf"),
        )
    pairs = [(part, _moved(part, wishes.beam)) for part in cut]
    drawings = [(part, moved.drawing) for part, moved in pairs]
    open_lines = sum(moved.open_lines for _, moved in pairs)
    notes = _read_only([part for part in parts if part not in cut])
    notes += [*_hole_notes(pairs, style), *_blunt_notes(pairs, style)]
    if wishes.sheet is None:
        folders = tuple(
            _write_folder(kind, drawings, wishes, target)
            for kind in wishes.formats
            if kind != "pdf"
        )
        return FilesToCut(folders=folders, open_lines=open_lines, notes=tuple(notes))
    nesting = nest(drawings, wishes.sheet, beam=wishes.beam, plies=stock, progress=progress)
    notes = [*_too_large(nesting, style), *notes]
    nested = _write_sheets(nesting, wishes, target, notes)
    return FilesToCut(nested=nested, open_lines=open_lines, notes=tuple(notes))


def _moved(part: Part, beam: float) -> Beamed:
    if beam:
        return beamed(part, beam=beam)
    return Beamed(drawing=part.drawing, open_lines=len(cut_outlines(part.drawing)[1]))


def _read_only(parts: Sequence[Part]) -> list[Text]:
    if not parts:
        return []
    names = Joined(tuple(part.title for part in parts), ", ")
    return [tr("not among the files to cut, because it is only read: {names}", names=names)]


Pairs = Sequence[tuple[Part, Beamed]]


def _hole_notes(pairs: Pairs, style: PrintStyle) -> list[Text]:
    """The parts with holes that are marked and not cut."""
    drilled: list[Text] = []
    sawn: list[Text] = []
    for part, moved in pairs:
        for size in sorted({hole.diameter for hole in moved.holes if hole.diameter is not None}):
            count = sum(hole.diameter == size for hole in moved.holes)
            shown = Length(size, style.units)
            drilled.append(
                tr("{part} ({count} of {size})", part=part.title, count=count, size=shown)
            )
        count = sum(hole.diameter is None for hole in moved.holes)
        if count:
            sawn.append(tr("{part} ({count})", part=part.title, count=count))
    notes: list[Text] = []
    if drilled:
        names = Joined(tuple(drilled), "; ")
        notes.append(
            tr("holes no wider than the beam, a cross for a drill each: {names}", names=names)
        )
    if sawn:
        names = Joined(tuple(sawn), "; ")
        notes.append(
            tr("openings narrower than the beam, marked, to cut by hand: {names}", names=names)
        )
    return notes


def _blunt_notes(pairs: Pairs, style: PrintStyle) -> list[Text]:
    """Where the beam leaves a corner round, from the lower left of the part as it is drawn."""
    notes: list[Text] = []
    for part, moved in pairs:
        if moved.blunt:
            box = part.drawing.bounds()
            places: list[Text] = [_place_text(place, box, style) for place in moved.blunt]
            if len(places) > MOST_PLACES:
                places[MOST_PLACES:] = ["…"]
            notes.append(
                tr(
                    "{part}: {worst:.2f} mm at most, at {places}",
                    part=part.title,
                    worst=max(place.gap for place in moved.blunt),
                    places=Joined(tuple(places), "; "),
                )
            )
    if notes:
        head = tr(
            "inner corners that the beam cannot cut sharp, how far it stays away, and where, from "
            "the left and the lower edge of the part as a file of its own has it:"
        )
        notes.insert(0, head)
    return notes


def _place_text(place: BluntPlace, box: Box, style: PrintStyle) -> Message:
    return tr(
        "{across} across and {up} up",
        across=Length(place.at.x - box.left, style.units),
        up=Length(place.at.y - box.bottom, style.units),
    )


def _write_folder(
    kind: str, drawings: Sequence[tuple[Part, Drawing]], wishes: PrintWishes, target: PackTarget
) -> CuttingFolder:
    """Writes one file a part into a folder beside the PDF."""
    names = unique_names([part.title for part, _ in drawings])
    folder = target.out / f"{target.name}-{kind}"
    make_folder(folder)
    for (part, drawing), name in zip(drawings, names, strict=True):
        data = _file(kind, part.title, machine_drawing([drawing]), wishes, target.style)
        write_atomically(folder / f"{name}.{kind}", data)
    others = sorted(p.name for p in folder.glob(f"*.{kind}") if p.stem not in names)
    return CuttingFolder(folder=folder, kind=kind, count=len(names), others=tuple(others))


def _file(
    kind: str,
    title: str,
    drawing: Drawing,
    wishes: PrintWishes,
    style: PrintStyle,
    frame: Box | None = None,
) -> bytes:
    outlines = not wishes.live_text
    if kind == "dxf":
        return drawing_dxf(drawing, outlines=outlines, frame=frame)
    look = SvgLook(outlines=outlines, for_machine=True, frame=frame, wording=style.wording)
    return drawing_svg(drawing, title=title, note=_note(wishes.beam, style), look=look)


def _note(beam: float, style: PrintStyle) -> str:
    """What a cutting file says of itself."""
    if not beam:
        return style.say("Full size in millimetres. Cut on the lines of the layer 'cut'.")
    return style.say(
        "Full size in millimetres. Cut on the lines of the layer 'cut'. They are moved aside "
        "for a beam of {beam:g} mm.",
        beam=beam,
    )


def _write_sheets(
    nesting: Nesting, wishes: PrintWishes, target: PackTarget, notes: Sequence[Text]
) -> WrittenSheets:
    """Writes nested sheets in each format, a list of what they hold and a picture of them.

    Raises:
        InputError: no part fits on the sheet.
    """
    style = target.style
    if not nesting.sheets:
        raise InputError(
            tr("no part fits on the sheet"),
            where="--sheet",
            mend=tr("name a larger sheet, or print the parts over several pages with --format pdf"),
        )
    words = style.say("sheets"), style.say("overview"), style.say("list")
    sheets, overview_name, list_name = (safe_name(word, fallback="sheets") for word in words)
    folder = target.out / f"{target.name}-{sheets}"
    make_folder(folder)
    named = list(zip(_sheet_names(nesting.sheets, style), nesting.sheets, strict=True))
    written = [_write_sheet(folder / name, sheet, nesting, wishes, target) for name, sheet in named]
    picture = folder / f"{overview_name}.svg"
    look = SvgLook(margin=8.0, paper=True, wording=style.wording)
    drawing = overview(nesting, title=target.title, style=style)
    write_atomically(picture, drawing_svg(drawing, title=target.title, look=look))
    contents = folder / f"{list_name}.txt"
    lines = [style.text(note) for note in notes]
    text = contents_list(nesting, named, title=target.title, notes=lines, style=style)
    write_atomically(contents, text.encode())
    made = {picture, contents, *(file for one in written for file in one.files)}
    found = [path for kind in ("svg", "dxf") for path in folder.glob(f"*.{kind}")]
    return WrittenSheets(
        folder=folder,
        sheets=tuple(written),
        picture=picture,
        contents=contents,
        others=tuple(sorted(path.name for path in found if path not in made)),
    )


def _sheet_names(sheets: Sequence[NestedSheet], style: PrintStyle) -> list[str]:
    """A name for the files of each sheet: its material and thickness, and its number."""
    stocks = list(dict.fromkeys(sheet.stock for sheet in sheets))
    names = unique_names([stock_text(stock, style) for stock in stocks], fallback="sheet")
    return [f"{names[stocks.index(sheet.stock)]}-{sheet.number}" for sheet in sheets]


def _write_sheet(
    stem: Path, sheet: NestedSheet, nesting: Nesting, wishes: PrintWishes, target: PackTarget
) -> CutSheetFiles:
    """Writes one sheet, a file a format; `stem` is their path without its ending."""
    title, drawing = sheet_title(sheet, target.style), sheet.drawing()
    frame = Box(0.0, 0.0, nesting.sheet.width, nesting.sheet.height)
    files = []
    for kind in wishes.formats:
        if kind != "pdf":
            file = stem.with_name(f"{stem.name}.{kind}")
            data = _file(kind, f"{target.title}: {title}", drawing, wishes, target.style, frame)
            write_atomically(file, data)
            files.append(file)
    share = nesting.share_of(sheet)
    return CutSheetFiles(title=title, files=tuple(files), held=held_on(sheet), share=share)


def _too_large(nesting: Nesting, style: PrintStyle) -> list[Text]:
    return [
        tr(
            "{part}: {width} by {height} fits on no sheet and is left out; name a larger sheet, or "
            "print it over several pages with --format pdf --part {kind!r}",
            part=one.part.title,
            width=Length(one.width, style.units),
            height=Length(one.height, style.units),
            kind=str(one.part.kind),
        )
        for one in nesting.oversize
    ]
