"""Tells what was written of a pack."""

from pathlib import Path

from templategen.app.packs import CuttingFolder, WrittenPack
from templategen.cli.screen import Screen


def show_written(written: WrittenPack, screen: Screen) -> None:
    """Prints what was written, the PDF first."""
    if written.pdf is not None:
        show_pdf(screen, written.pdf, (written.sheets, written.paper, written.parts))
        measure_first(screen)
    for folder in written.folders:
        _show_folder(folder, screen)
    if written.beam:
        screen.tell("Cut lines stand {half:g} mm aside for the beam.", half=written.beam / 2)
    if written.open_lines:
        screen.tell(
            "note: {count} open cut lines were left where they are.", count=written.open_lines
        )


def show_pdf(screen: Screen, file: Path, holds: tuple[int, str, int]) -> None:
    """Prints the line of a PDF: its sheets, their paper and its parts."""
    sheets, paper, parts = holds
    screen.tell(
        "{file}: {sheets} sheets of {paper}, {parts} parts",
        file=file,
        sheets=sheets,
        paper=paper,
        parts=parts,
    )


def measure_first(screen: Screen) -> None:
    """Prints what to do with every print before a tool touches wood."""
    screen.tell("Print at 100 % and measure both bars on every sheet before you cut.")


def _show_folder(made: CuttingFolder, screen: Screen) -> None:
    screen.tell(
        "{folder}: {count} {kind} files, 1:1 in mm",
        folder=made.folder,
        count=made.count,
        kind=made.kind.upper(),
    )
    if made.others:
        screen.tell(
            "note: {folder} also holds {count} files of another run: {first} …",
            folder=made.folder,
            count=len(made.others),
            first=made.others[0],
        )
