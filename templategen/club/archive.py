"""Many files in one: a zip with the same bytes for the same files."""

import hashlib
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from templategen.club.records import open_plain
from templategen.errors import OutputError
from templategen.messages import tr
from templategen.output.files import written_atomically

UNDATED = (1980, 1, 1, 0, 0, 0)  # the least date a zip can state: for a list without any date
PACKED = (".pdf", ".png")  # compressed already
BLOCK = 1 << 18  # bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """A file of a zip.

    Args:
        name: inside the zip.
        date: ISO 8601, or empty.
        content: its bytes, or the file that holds them.
        digest: SHA-256 of the file; empty for bytes.
    """

    name: str
    date: str
    content: bytes | Path
    digest: str = ""


def write_zip(target: Path, members: Iterable[Member]) -> None:
    """Writes the members in their order, files copied piece by piece.

    Args:
        target: the zip.
        members: what goes in.

    Raises:
        OutputError: a file is gone or is not what was made, disk full, no permission.
    """
    with (
        written_atomically(target) as file,
        zipfile.ZipFile(file, "w", allowZip64=True) as archive,
    ):
        for member in members:
            entry = zipfile.ZipInfo(member.name, date_time=_date_time(member.date))
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            plain = member.name.endswith(PACKED)
            entry.compress_type = zipfile.ZIP_STORED if plain else zipfile.ZIP_DEFLATED
            with archive.open(entry, "w") as into:
                if isinstance(member.content, bytes):
                    into.write(member.content)
                    continue
                found = hashlib.sha256()
                try:
                    with open_plain(member.content) as source:
                        while block := source.read(BLOCK):
                            found.update(block)
                            into.write(block)
                except FileNotFoundError as error:
                    raise _changed(member.content) from error
            if found.hexdigest() != member.digest:
                raise _changed(member.content)


def _changed(path: Path) -> OutputError:
    return OutputError(
        tr("was changed while the run went on"), where=str(path), mend=tr("run again")
    )


def _date_time(date: str) -> tuple[int, int, int, int, int, int]:
    """A date as a zip states it, within what it can state: 1980 to 2107."""
    if not date:
        return UNDATED
    year, month, day = map(int, date.split("-"))
    return (year, month, day, 0, 0, 0) if 1980 <= year <= 2107 else UNDATED
