"""Runs over the entries of a list: in this process or in several, one entry at a time each."""

import contextlib
import gc
import signal
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from typing import Any

from templategen.child import Child
from templategen.club.entries import Bench
from templategen.club.index import IndexRow
from templategen.errors import OutputError
from templategen.messages import tr

LAST_PACK = 60.0  # s that a process is given to finish the pack in hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one entry.

    Args:
        position: of the entry in the list, from 1.
        row: what the index shows of it.
        made: packs written in this run.
        kept: packs of an earlier run that still hold.
        faults: why it was skipped, as lines; empty if it was not.
        notes: to be shown, as lines.
        is_machine: whether the fault is the machine's, which ends the run.
        shop: path of the shop's file, empty for the built-in one; None where it was skipped.
    """

    position: int
    row: IndexRow
    made: int = 0
    kept: int = 0
    faults: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    is_machine: bool = False
    shop: str | None = None


Make = Callable[[Bench], Outcome]


def outcomes(make: Make, entries: Iterator[Bench], processes: int) -> Iterator[Outcome]:
    """The outcome of every entry, as they are finished.

    Args:
        make: makes the packs of an entry and raises nothing; can be pickled.
        entries: taken from it one after the other.
        processes: at a time, at least 1; 1 means this process.

    Raises:
        OutputError: a process was ended, or cannot be started.
    """
    if processes == 1:
        yield from map(make, entries)
        return
    children: list[Child] = []
    busy: list[Any] = []  # their pipes
    try:
        for _ in range(processes):
            following = next(entries, None)
            if following is None:
                break
            child = Child("templategen.club.runs:serve", make, gc.get_threshold(), is_silent=True)
            children.append(child)
            child.line.send(following)
            busy.append(child.line)
        while busy:
            ready: list[Any] = wait(busy)
            for line in ready:
                yield line.recv()
                following = next(entries, None)
                if following is None:
                    busy.remove(line)
                else:
                    line.send(following)
    except (EOFError, BrokenPipeError, ConnectionResetError) as error:
        raise OutputError(
            tr("a process was ended"), mend=tr("run again to go on from here")
        ) from error
    finally:
        _end(children)


def _end(children: list[Child]) -> None:
    """Lets the packs in hand be finished, then ends the processes."""
    for child in children:
        with contextlib.suppress(OSError):
            child.line.send(None)
    for child in children:
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.process.wait(LAST_PACK)
        child.end()


def serve(line: Connection, make: Make, threshold: tuple[int, int, int]) -> None:
    """Runs in a process: an entry in, its outcome out, until nothing comes.

    An interrupt is for the first process, which lets the packs in hand be finished.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(*threshold)
    while (bench := line.recv()) is not None:
        line.send(make(bench))
