"""Runs long answers in a process of its own, one at a time, so that the server stays responsive.

A process can be ended at any moment: files are written whole or not at all.
"""

import contextlib
import functools
import importlib
import signal
import threading
import time
from collections.abc import Callable, Mapping
from multiprocessing.connection import Connection
from typing import Any

from templategen.child import Child
from templategen.errors import OutputError
from templategen.messages import ENGLISH_WORDING, Wording, tr
from templategen.page.faults import TOO_LONG, WRONG, Answer, answer_to, fault

OnProgress = Callable[[int, int], None]  # done, of how many
POLL = 0.05  # s between looks at the clock


class EndedError(Exception):
    """The process was ended before it had answered."""


class Worker:
    """A process that answers requests; started when it is first used.

    Args:
        module: dotted name of the module whose functions answer.
    """

    def __init__(self, module: str) -> None:
        self.module = module
        self._turn = threading.Lock()  # one request at a time
        self._child: Child | None = None
        self._began: float | None = None
        self._is_ended = False  # the process is dying, whatever the system says of it

    def ask(
        self,
        name: str,
        request: Mapping[str, Any],
        *,
        most: float,
        on_progress: OnProgress | None = None,
        is_stale: Callable[[], bool] | None = None,
    ) -> Answer:
        """The answer of a function; waits for its turn. Called in a thread.

        Args:
            name: of the function.
            request: JSON object with a valid `language`.
            most: s it may take.
            on_progress: called with its progress.
            is_stale: asked when its turn comes: whether nobody wants the answer any more.

        Raises:
            EndedError: the process was ended.
        """
        with self._turn:
            if is_stale is not None and is_stale():
                return 200, {"stale": True, "serial": request.get("serial")}
            self._began = time.monotonic()
            try:
                return self._asked(name, request, self._began + most, on_progress)
            except (EOFError, OSError, OutputError) as error:
                self._forget()
                raise EndedError from error
            finally:
                self._began = None

    def _asked(
        self, name: str, request: Mapping[str, Any], until: float, on_progress: OnProgress | None
    ) -> Answer:
        line = self._started()
        line.send((name, dict(request)))
        while True:
            while not line.poll(POLL):
                if time.monotonic() > until:
                    self.end()
                    wording = Wording(str(request["language"]))
                    mend = tr("take a smaller blank, fewer cutters or fewer sizes")
                    return TOO_LONG, {"faults": [fault(tr("took too long"), wording, mend=mend)]}
            kind, value = line.recv()
            if kind == "answer":
                answer: Answer = value
                return answer
            if on_progress is not None:
                on_progress(*value)

    def warm(self) -> None:
        """Starts the process, so that the first answer is quick."""
        with contextlib.suppress(EndedError):
            self.ask("", {"language": "en"}, most=60.0)

    def busy_for(self) -> float:
        """S since the answer that is being made was begun; 0 where none is."""
        began = self._began
        return 0.0 if began is None else time.monotonic() - began

    def end(self) -> None:
        """Ends the process; the next request starts another one."""
        child = self._child
        if child is not None:
            self._is_ended = True
            child.kill()

    def close(self) -> None:
        """Ends the process for good."""
        self.end()
        if self._child is not None:
            self._child.end()

    def _started(self) -> Connection:
        if self._is_ended or (self._child is not None and not self._child.is_alive):
            self._forget()
        if self._child is None:
            self._child = Child("templategen.page.worker:serve", self.module)
        return self._child.line

    def _forget(self) -> None:
        if self._child is not None:
            self._child.end()
        self._child, self._is_ended = None, False


def serve(line: Connection, module: str) -> None:
    """Runs in the process: answers until the line is closed. Interrupts are the server's."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    functions = importlib.import_module(module)

    def tell(done: int, total: int) -> None:
        line.send(("told", (done, total)))

    with contextlib.suppress(EOFError, OSError):
        while True:
            name, request = line.recv()
            function = getattr(functions, name) if name else _nothing
            line.send(("answer", answered(functools.partial(function, request, tell), request)))


def _nothing(_: Mapping[str, Any], __: OnProgress) -> dict[str, Any]:
    return {}


def answered(make: Callable[[], dict[str, Any]], request: Mapping[str, Any]) -> Answer:
    """What a function gives, or its faults; never an exception."""
    try:
        wording = Wording(str(request["language"]))
    except ValueError:
        wording = ENGLISH_WORDING
    try:
        return 200, make()
    except MemoryError:
        return WRONG, {"faults": [fault(tr("out of memory"), wording)]}
    except RecursionError:
        return WRONG, {"faults": [fault(tr("nested too deeply"), wording)]}
    except Exception as error:
        try:
            return answer_to(error, wording)
        except Exception:
            what = tr("the program failed ({reason})", reason=f"{type(error).__name__}: {error}")
            return 500, {"faults": [fault(what, wording)]}
