"""Files written whole or not at all."""

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from templategen.errors import OutputError
from templategen.wording import say


def make_folder(folder: Path) -> None:
    """Makes a folder and those above it.

    Raises:
        OutputError: no permission, or a file of that name.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = error.strerror or say("failed")
        raise OutputError(
            say("cannot be made ({why})", why=why),
            where=str(folder),
            mend=say("name a folder you may write to"),
        ) from error


def write_atomically(path: Path, data: bytes) -> None:
    """Writes beside the target and renames; a run that dies leaves the old file.

    Raises:
        OutputError: disk full, no permission.
    """
    with written_atomically(path) as file:
        file.write(data)


@contextlib.contextmanager
def written_atomically(path: Path) -> Iterator[BinaryIO]:
    """A file to write, renamed to its target at the end; a run that dies leaves the old file.

    Raises:
        OutputError: disk full, no permission.
    """
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        mask = os.umask(0)
        os.umask(mask)
        Path(temporary).chmod(0o666 & ~mask)
        Path(temporary).replace(path)
    except OSError as error:
        why = error.strerror or say("failed")
        raise OutputError(
            say("cannot be written ({why})", why=why),
            where=str(path),
            mend=say("see to room and permission there"),
        ) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
