"""Parses untrusted PDFs in a subprocess with memory and time limits.

A file of four kilobytes can unfold to gigabytes before the library that reads it says how large
it is, and a page of forms within forms can keep it busy for years. The system limits the memory
and the processor time of the subprocess; if it is ended, the file is refused with one line. Where
the system knows no such limits, only the time is bounded.
"""

import multiprocessing
import os
import signal
import time
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Protocol

from templategen.errors import InputError, LimitError, TemplategenError
from templategen.messages import tr
from templategen.proof.pdf_reader import DrawnPage, PackFile

try:
    import resource
except ImportError:  # Windows has no such limits
    resource = None  # type: ignore[assignment]

MOST_MEMORY = 400_000_000  # bytes of the reading process; a pack of 19 sheets needs 95 million
MOST_WORK = 6  # s of a processor's time; a pack of 19 sheets needs 0.1
MOST_WAIT = 60.0  # s by the clock, for a busy machine


class OpenPack(Protocol):
    """What can be asked of an open pack; see `PackFile`."""

    name: str

    def attachment(self, name: str, *, most: int) -> bytes:
        """The bytes of an attached file."""

    def pages(self) -> Iterator[DrawnPage]:
        """Each page, one at a time."""


class SandboxedPack:
    """An open PDF file read in a subprocess; a context manager with the methods of `PackFile`.

    Args:
        path: of the file.

    Raises:
        InputError: missing, too large, not a PDF, locked, or too much for the process.
    """

    def __init__(self, path: Path) -> None:
        self.name = path.name
        context = multiprocessing.get_context("spawn")
        self._line, far = context.Pipe()
        self._reader = context.Process(target=serve, args=(path, far), daemon=True)
        self._until = time.monotonic() + MOST_WAIT
        self._reader.start()
        far.close()
        try:
            self._answer()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> "SandboxedPack":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Ends the process."""
        self._line.close()
        self._reader.kill()
        self._reader.join()
        self._reader.close()

    def attachment(self, name: str, *, most: int) -> bytes:
        """The bytes of an attached file.

        Args:
            name: of the attachment.
            most: bytes.

        Raises:
            InputError: there is none, it is larger, or too much for the process.
        """
        self._line.send((name, most))
        held: bytes = self._answer()
        return held

    def pages(self) -> Iterator[DrawnPage]:
        """Each page, read one at a time.

        Raises:
            InputError: a page cannot be read, draws far too much, or is too much for the process.
        """
        self._line.send(None)
        while (page := self._answer()) is not None:
            yield page

    def _answer(self) -> Any:  # noqa: ANN401 - whatever was asked for
        try:
            if not self._line.poll(max(0.0, self._until - time.monotonic())):
                raise EOFError
            kind, value = self._line.recv()
        except (EOFError, OSError) as error:  # ended by its limits, or broken by the file
            raise LimitError(
                tr("takes too much time or memory to be read"),
                where=self.name,
                mend=tr("this is no pack"),
            ) from error
        if kind == "read":
            return value
        if kind == "failed":
            raise RuntimeError(value)
        what, where, mend = value
        raise (LimitError if kind == "limit" else InputError)(what, where=where, mend=mend)


def serve(path: Path, line: Connection) -> None:
    """Runs in the subprocess: opens the file and answers requests until the pipe is closed."""
    _set_limits()
    try:
        with PackFile(path) as pack:
            line.send(("read", None))
            while True:
                asked = line.recv()
                if asked is None:
                    for page in pack.pages():
                        line.send(("read", page))
                    line.send(("read", None))
                else:
                    name, most = asked
                    line.send(("read", pack.attachment(name, most=most)))
    except TemplategenError as error:
        kind = "limit" if isinstance(error, LimitError) else "fault"
        line.send((kind, (error.what, error.where, error.mend)))
    except (EOFError, OSError, MemoryError):  # nobody asks any more, or no room to answer
        return
    except Exception as error:  # not lost: the first process says it
        line.send(("failed", f"{type(error).__name__}: {error}"))


def _set_limits() -> None:
    """Limits this process; the system ends it silently where it exceeds them.

    Interrupts are left to the first process.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    if resource is None:  # the clock of the first process is left
        return
    for kind, most in (
        (resource.RLIMIT_AS, MOST_MEMORY),
        (resource.RLIMIT_CPU, MOST_WORK),
        (resource.RLIMIT_CORE, 0),
    ):
        try:
            _, hard = resource.getrlimit(kind)
            within = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(kind, (within, hard))
        except (OSError, ValueError):  # the system does not keep this limit
            continue
