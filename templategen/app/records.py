"""Adds weighings to a record of the folder."""

from collections.abc import Sequence

from templategen.app.folder import ChangedElsewhereError, WorkFolder, digest
from templategen.errors import InputError
from templategen.inputs.toml_table import read_bounded
from templategen.inputs.weighings import MOST_BYTES, NewRow, with_rows
from templategen.messages import tr
from templategen.output.files import alone_in, make_folder, write_atomically

__all__ = ["NewRow", "add_weighings", "record_digest"]


def record_digest(folder: WorkFolder, file: str) -> str:
    """What changes when a record changes.

    Raises:
        InputError: no such record.
    """
    return digest(_bytes_of(folder, file))


def add_weighings(
    folder: WorkFolder, file: str, rows: Sequence[NewRow], *, known: str | None
) -> str:
    """Adds rows to a record, or makes it; gives its new digest.

    Args:
        folder: of the record.
        file: its path inside the folder.
        rows: as they were typed.
        known: digest of the record when it was read; None for a new one.

    Raises:
        ChangedElsewhereError: the record is not as it was read.
        InputError: a row is no weighing; no name for a record.
        OutputError: the disk.
    """
    path = folder.path_of(file, ".csv")
    make_folder(path.parent)
    with alone_in(path.parent):
        raw = _bytes_of(folder, file) if path.exists() else None
        if (None if raw is None else digest(raw)) != known:
            raise ChangedElsewhereError(None)
        try:
            text = "" if raw is None else raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            mend = tr("save it as UTF-8")
            raise InputError(tr("not UTF-8 text"), where=path.name, mend=mend) from error
        data = with_rows(text, rows, name=path.name).encode("utf-8")
        write_atomically(path, data)
    return digest(data)


def _bytes_of(folder: WorkFolder, file: str) -> bytes:
    path = folder.path_of(file, ".csv")
    mend = tr("this is no weighing record")
    return read_bounded(path, most=MOST_BYTES, ending=".csv", mend=mend)
