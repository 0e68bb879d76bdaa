"""Tells what was written of a pack."""

from pathlib import Path

from templategen.app.packs import MACHINE_CAUTION
from templategen.app.print_wishes import CuttingFolder, WrittenPack, WrittenSheets
from templategen.cli.screen import Screen


def show_written(written: WrittenPack, screen: Screen) -> None:
    """Prints what was written, the PDF first."""
    if written.pdf is not None:
        show_pdf(screen, written.pdf, (written.sheets, written.paper, written.parts))
        measure_first(screen)
    cut = written.cut
    if cut is None:
        return
    for folder in cut.folders:
        _show_folder(folder, screen)
    if cut.nested is not None:
        _show_nested(cut.nested, screen)
    if written.beam:
        screen.tell("Cut lines stand {half:g} mm aside for the beam.", half=written.beam / 2)
    if cut.open_lines:
        screen.tell("note: {count} open cut lines were left where they are.", count=cut.open_lines)
    for text in cut.notes:
        screen.tell("note: {text}", text=text)
    screen.show(MACHINE_CAUTION)


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
    _show_others(made.folder, made.others, screen)


def _show_nested(made: WrittenSheets, screen: Screen) -> None:
    """The sheets to cut: how many, and what each holds."""
    count = len(made.sheets)
    screen.tell("{folder}: {count} sheets to cut, 1:1 in mm", folder=made.folder, count=count)
    for sheet in made.sheets:
        screen.tell(
            "{title}: {files}, {share:.0f} % used",
            title=sheet.title,
            files=", ".join(path.name for path in sheet.files),
            share=100 * sheet.share,
        )
        for held in sheet.held:
            screen.show(f"  {held.copies} × {held.title}")
    screen.tell("All sheets as a picture: {file}", file=made.picture.name)
    screen.tell("The same list: {file}", file=made.contents.name)
    _show_others(made.folder, made.others, screen)


def _show_others(folder: Path, others: tuple[str, ...], screen: Screen) -> None:
    if others:
        screen.tell(
            "note: {folder} also holds {count} files of another run: {first} …",
            folder=folder,
            count=len(others),
            first=others[0],
        )
