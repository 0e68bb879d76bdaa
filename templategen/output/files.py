"""Files written whole or not at all."""

import contextlib
import os
import stat
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from templategen.errors import InputError, OutputError, either, machine_reason
from templategen.messages import tr, tr_noop

try:
    import fcntl
except ImportError:  # a system without these locks: only the age of a file tells
    fcntl = None  # type: ignore[assignment] # checked before each use

BEGINNING, ENDING = ".templategen-", ".part"  # of a file that is not finished; nothing else's
ABANDONED = 3600.0  # s: no file takes so long to write; only asked where files cannot be locked
LONGEST_WAIT = 10.0  # s for another run to leave a folder
FIRST_BYTES = {  # of the files that are written
    ".pdf": (b"%PDF-",),
    ".png": (b"\x89PNG",),
    ".svg": (b"<?xml", b"<svg"),
}
TRIES = 20  # new names until one is ours alone


def make_folder(folder: Path) -> None:
    """Makes a folder and those above it, and clears away what a run that died left in it.

    Raises:
        OutputError: no permission, or a file of that name.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        why = machine_reason(error, tr("failed"))
        raise OutputError(
            tr("cannot be made ({why})", why=why),
            where=str(folder),
            mend=tr("name a folder you may write to"),
        ) from error
    clear_leftovers(folder)


def clear_leftovers(folder: Path) -> None:
    """Removes the unfinished files of runs that died; what a living run still writes stays.

    Only plain files named as `written_atomically` names them are looked at. A file that somebody
    holds the lock of stays; where there are no locks, one that is younger than an hour stays.
    Nothing is raised: a file that cannot be removed is left for another time.
    """
    with contextlib.suppress(OSError):
        for entry in list(os.scandir(folder)):
            if entry.name.startswith(BEGINNING) and entry.name.endswith(ENDING):
                with contextlib.suppress(OSError):
                    _clear(Path(entry.path))


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """While this lasts no other run that asks the same is in the folder; where locks are known.

    Another run is waited for, but no longer than `LONGEST_WAIT`.

    Raises:
        OutputError: the folder cannot be opened, or the other run does not come to an end.
    """
    if fcntl is None:
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        why = machine_reason(error, tr("failed"))
        raise OutputError(tr("cannot be read ({reason})", reason=why), where=str(folder)) from error
    try:
        _wait_for_lock(handle, folder)
        yield
    finally:
        os.close(handle)


def _wait_for_lock(handle: int, folder: Path) -> None:
    end = time.monotonic() + LONGEST_WAIT
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            if time.monotonic() > end:
                raise OutputError(
                    tr("another run is busy in this folder"),
                    where=str(folder),
                    mend=tr("end it, or try again later"),
                ) from error
            time.sleep(0.05)
        except OSError:  # the disk knows no locks
            return
        else:
            return


def _clear(path: Path) -> None:
    if not stat.S_ISREG(path.lstat().st_mode):
        return
    if fcntl is None:
        if _is_old(path):
            path.unlink()
        return
    handle = os.open(path, os.O_RDWR | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            abandoned = True
        except BlockingIOError:
            abandoned = False
        except OSError:  # the disk knows no locks
            abandoned = _is_old(path)
        if abandoned:
            path.unlink()
    finally:
        os.close(handle)


def _is_old(path: Path) -> bool:
    """Whether a file was last written long ago, by the clock of the disk it lies on."""
    with tempfile.TemporaryFile(dir=path.parent) as now:
        return os.fstat(now.fileno()).st_mtime - path.lstat().st_mtime > ABANDONED


def _unfinished(folder: Path) -> tuple[int, Path]:
    """A new file beside the target, locked as long as it is open: its handle and path."""
    for _ in range(TRIES):
        handle, name = tempfile.mkstemp(prefix=BEGINNING, suffix=ENDING, dir=folder)
        if fcntl is not None:
            with contextlib.suppress(OSError):  # the disk knows no locks
                fcntl.flock(handle, fcntl.LOCK_EX)
        try:
            if os.path.samestat(os.fstat(handle), os.lstat(name)):
                return handle, Path(name)
        except FileNotFoundError:  # another run took it for a leftover before it was locked
            pass
        os.close(handle)
    raise OSError(None, tr_noop("another run removes the files of this one"))


def require_ending(path: Path, *endings: str) -> None:
    """Refuses a name that does not say what is written into it, such as that of a job file.

    A file of that name which holds something else, such as a job named ``plan.svg``, stays.

    Args:
        path: the file to be written.
        endings: those allowed, such as ".pdf"; upper case letters are as good.

    Raises:
        InputError: another ending, or another file is there.
    """
    ending = path.suffix.lower()
    if ending not in endings:
        raise InputError(
            tr("does not end in {endings}", endings=either(endings)),
            where=str(path),
            mend=tr("no other file is written over; name a {ending} file", ending=endings[0]),
        )
    if not _may_give_way(path, ending):
        raise InputError(
            tr("holds something else than {ending}", ending=ending),
            where=str(path),
            mend=tr("no other file is written over; name another"),
        )


def _may_give_way(path: Path, ending: str) -> bool:
    """Whether no file is there, or an empty one, or one that begins as its ending says."""
    begins = FIRST_BYTES.get(ending)
    try:
        if begins is None or not stat.S_ISREG(path.lstat().st_mode):
            return True  # what is no file is refused when it is written
        with path.open("rb") as file:
            held = file.read(len(max(begins, key=len)))
    except (OSError, ValueError):  # not there, or the fault is raised when it is written
        return True
    return not held or held.startswith(begins)


def _mode_of(path: Path) -> int | None:
    """The permissions of the file that will be replaced, None where there is none.

    A link, a device or a pipe is refused.
    """
    try:
        mode = path.lstat().st_mode
    except (OSError, ValueError):  # not there, or the fault is raised when it is written
        return None
    if stat.S_ISLNK(mode):
        raise InputError(
            tr("is a symbolic link"),
            where=str(path),
            mend=tr("remove it, or name the file that it leads to"),
        )
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
        raise InputError(tr("is no file"), where=str(path), mend=tr("name a file to be written"))
    return stat.S_IMODE(mode) & 0o777


def _usual_mode() -> int:
    """The permissions of a new file."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def write_atomically(path: Path, data: bytes) -> None:
    """Writes beside the target and renames; a run that dies leaves the old file.

    Raises:
        InputError: the name is that of a link, a device or a pipe.
        OutputError: disk full, no permission, open in another program.
    """
    with written_atomically(path) as file:
        file.write(data)


@contextlib.contextmanager
def written_atomically(path: Path) -> Iterator[BinaryIO]:
    """A file to write, renamed to its target at the end; a run that dies leaves the old file.

    A file that was there keeps its permissions.

    Raises:
        InputError: the name is that of a link, a device or a pipe, which a rename would replace.
        OutputError: disk full, no permission, open in another program.
    """
    mode = _mode_of(path)
    temporary: Path | None = None
    try:
        handle, temporary = _unfinished(path.parent)
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
            temporary.chmod(_usual_mode() if mode is None else mode)
            if fcntl is not None:  # renamed under its lock, so that no other run clears it away
                temporary.replace(path)
                temporary = None
        if temporary is not None:  # such a system renames no file that is open
            temporary.replace(path)
            temporary = None
    except OSError as error:
        why = machine_reason(error, tr("failed"))
        mend = tr("see to room and permission there")
        if isinstance(error, PermissionError) and path.is_file():
            mend = tr("close it in other programs, or see to permission there")
        raise OutputError(
            tr("cannot be written ({why})", why=why), where=str(path), mend=mend
        ) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()
