"""Runs over the entries of a list: in this process or in several, a few entries at a time."""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass

from templategen.club.lists import RawEntry
from templategen.errors import OutputError
from templategen.messages import tr


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one entry.

    Args:
        made: packs written in this run.
        kept: packs of an earlier run that still hold.
        faults: why it was skipped, as lines; empty if it was not.
        machine: whether the fault is the machine's, which ends the run.
    """

    made: int = 0
    kept: int = 0
    faults: tuple[str, ...] = ()
    machine: bool = False


Make = Callable[[RawEntry], Outcome]


def outcomes(make: Make, entries: Iterator[RawEntry], processes: int) -> Iterator[Outcome]:
    """The outcome of every entry, as they are finished.

    Args:
        make: makes the packs of an entry and raises nothing; can be pickled.
        entries: taken from it a few at a time.
        processes: at a time, at least 1; 1 means this process.

    Raises:
        OutputError: a process was ended.
    """
    if processes == 1:
        yield from map(make, entries)
        return
    pool = ProcessPoolExecutor(
        processes,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_begin,
        initargs=(gc.get_threshold(),),
    )
    try:
        waiting: set[Future[Outcome]] = set()
        more = True
        while more or waiting:
            while more and len(waiting) < 2 * processes:
                following = next(entries, None)
                if following is None:
                    more = False
                else:
                    waiting.add(pool.submit(make, following))
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in done:
                yield future.result()
    except BrokenProcessPool as error:
        raise OutputError(
            tr("a process was ended"), mend=tr("run again to go on from here")
        ) from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _begin(threshold: tuple[int, int, int]) -> None:
    """Begins a process; an interrupt is for the first process, which lets the packs finish."""
    gc.set_threshold(*threshold)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_first, daemon=True).start()


def _end_with_the_first() -> None:
    """Ends this process when the first is gone: else it would wait for work for ever."""
    first = multiprocessing.parent_process()
    if first is not None:
        first.join()
        os._exit(1)  # at once, whatever is being written: an unfinished file is cleared later
