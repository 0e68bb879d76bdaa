"""Writes the commented files that a new user starts from."""

from pathlib import Path

from templategen.errors import InputError
from templategen.inputs.starters import starter_files
from templategen.messages import Wording, tr
from templategen.output.files import make_folder, write_atomically
from templategen.units import Units


def starter_bytes(name: str, wording: Wording, units: Units) -> bytes:
    """A starter file, see `write_starter_files`.

    Raises:
        InputError: there is none of that name.
    """
    texts = starter_files(wording.language, units)
    if name not in texts:
        raise InputError(
            tr("no starter file {name!r}", name=name),
            mend=tr("known: {names}", names=", ".join(texts)),
        )
    return texts[name].encode("utf-8")


def write_starter_files(folder: Path, wording: Wording, units: Units) -> tuple[Path, ...]:
    """Writes a shop file and a job file into a folder, and gives their paths.

    Args:
        folder: made where it is missing.
        wording: whose language the comments are in, where there are files in it.
        units: of the files, millimetres or inches.

    Raises:
        InputError: one of the files is there already; nothing is written.
        OutputError: the disk.
    """
    texts = starter_files(wording.language, units)
    files = {folder / name: text for name, text in texts.items()}
    for path in files:
        if path.exists():
            raise InputError(
                tr("is there already"), where=str(path), mend=tr("name another folder")
            )
    make_folder(folder)
    for path, text in files.items():
        write_atomically(path, text.encode("utf-8"))
    return tuple(files)
