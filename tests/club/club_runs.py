"""What the tests of lists share."""

from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

Club = Callable[..., CompletedProcess[str]]  # words; cwd=folder, jobs=1


def files_of(folder: Path) -> dict[str, bytes]:
    """What is in every file of a folder, by its path in it."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }
