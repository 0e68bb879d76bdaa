"""Many files in one: a zip with the same bytes for the same files."""

import shutil
import zipfile
from collections.abc import Iterable
from pathlib import Path

from templategen.errors import OutputError
from templategen.messages import tr
from templategen.output.files import written_atomically

EARLIEST = (1980, 1, 1, 0, 0, 0)  # the first date a zip can state: none of the clock's
PACKED = (".pdf", ".png")  # compressed already


def write_zip(target: Path, members: Iterable[tuple[str, Path]]) -> None:
    """Writes the members in their order, copied piece by piece.

    Args:
        target: the zip.
        members: name inside the zip, and the file.

    Raises:
        OutputError: a file is gone, disk full, no permission.
    """
    with (
        written_atomically(target) as file,
        zipfile.ZipFile(file, "w", allowZip64=True) as archive,
    ):
        for name, path in members:
            entry = zipfile.ZipInfo(name, date_time=EARLIEST)
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            plain = path.suffix in PACKED
            entry.compress_type = zipfile.ZIP_STORED if plain else zipfile.ZIP_DEFLATED
            try:
                with path.open("rb") as source, archive.open(entry, "w") as into:
                    shutil.copyfileobj(source, into, 1 << 18)
            except FileNotFoundError as error:
                raise OutputError(tr("is gone"), where=str(path), mend=tr("run again")) from error
