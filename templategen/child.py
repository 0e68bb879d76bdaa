"""Child processes that run a function of this package and load nothing from the current folder.

`multiprocessing` starts its children with the current folder on their path, so that a
``pickle.py`` beside a downloaded pack would be run. These start in Python's isolated mode.
"""

import contextlib
import importlib
import os
import subprocess
import sys
import threading
from collections.abc import Sequence
from multiprocessing.connection import Connection, Pipe
from pathlib import Path
from typing import Any

from templategen.errors import OutputError
from templategen.limits import Limits
from templategen.messages import tr

ROOT = Path(__file__).resolve().parent.parent
_BEGIN = "import sys; sys.path += sys.argv[2:]; from templategen.child import begin; begin()"


class Child:
    """A process that runs one function; a context manager that ends it.

    The function is called with its end of a pipe and the arguments. The process ends when the
    function returns, and at once when the process that started it is gone. What it answers is
    unpickled by `line.recv`: where it reads untrusted files, take `line.recv_bytes`.

    Args:
        function: where it is found, such as ``templategen.proof.sandbox:serve``.
        arguments: for it; they can be pickled.
        environment: variables of the process in addition to those of this one.
        limits: set in the process once the function's module is loaded.
        is_silent: whether what it writes to its standard error is dropped.

    Raises:
        OutputError: the process cannot be started.
    """

    def __init__(
        self,
        function: str,
        *arguments: object,
        environment: dict[str, str] | None = None,
        limits: Limits | None = None,
        is_silent: bool = False,
    ) -> None:
        self.line, far = Pipe()
        try:
            self.process = _started(far, environment or {}, is_silent=is_silent)
            self.line.send((function, arguments, limits))
        except (OSError, ValueError) as error:
            self.line.close()
            why = getattr(error, "strerror", None) or str(error)
            raise OutputError(
                tr("a process cannot be started ({reason})", reason=why),
                mend=tr("close other programs and try again"),
            ) from error
        finally:
            far.close()

    def __enter__(self) -> "Child":
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    @property
    def is_alive(self) -> bool:
        """Whether the process runs."""
        return self.process.poll() is None

    def kill(self) -> None:
        """Ends the process without waiting; `end` is still to be called. Safe in any thread."""
        with contextlib.suppress(OSError):
            self.process.kill()

    def end(self) -> int:
        """Ends the process, waits for it and gives its exit code; below 0 for a signal's number."""
        self.kill()
        code = self.process.wait()
        self.line.close()
        if self.process.stdin is not None:
            with contextlib.suppress(OSError):
                self.process.stdin.close()
        return code


def _started(
    far: Connection, environment: dict[str, str], *, is_silent: bool
) -> "subprocess.Popen[bytes]":
    handle = far.fileno()
    options: dict[str, Any] = {"pass_fds": (handle,)}
    if sys.platform == "win32":
        os.set_handle_inheritable(handle, True)
        startup = subprocess.STARTUPINFO(lpAttributeList={"handle_list": [handle]})
        options = {"startupinfo": startup}
    if not sys.executable:
        raise ValueError("no Python")
    return subprocess.Popen(
        [sys.executable, "-I", "-c", _BEGIN, str(handle), *_path()],
        stdin=subprocess.PIPE,  # open as long as this process lives
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL if is_silent else None,
        env={**os.environ, **environment},
        **options,
    )


def _path() -> Sequence[str]:
    """Where the package and its libraries are found, for the end of the child's own path.

    What comes last cannot stand before a module of Python or of an installed library.
    """
    with contextlib.suppress(OSError):  # the current folder was removed
        here = Path.cwd()
        entries = [e for e in sys.path if Path(e).is_absolute() and Path(e).resolve() != here]
        return list(dict.fromkeys([*entries, str(ROOT)]))
    return [str(ROOT)]


def begin() -> None:
    """Runs in the process: calls the function that the first message names."""
    if sys.platform == "win32":
        from multiprocessing.connection import PipeConnection  # noqa: PLC0415 - there only

        line = PipeConnection(int(sys.argv[1]))
    else:
        line = Connection(int(sys.argv[1]))
    with contextlib.suppress(KeyboardInterrupt, EOFError, BrokenPipeError, ConnectionResetError):
        name, arguments, limits = line.recv()
        module, _, function = name.partition(":")
        run = getattr(importlib.import_module(module), function)
        if limits is not None:
            limits.hold()  # before there is a second thread, which some of it forbids
        threading.Thread(target=_end_with_the_first, daemon=True).start()
        if limits is not None:
            limits.start_nothing()
        run(line, *arguments)


def _end_with_the_first() -> None:
    """Ends this process when the one that started it is gone: it holds the input open."""
    with contextlib.suppress(OSError):
        os.read(0, 1)
    os._exit(1)  # at once, whatever is being written: an unfinished file is cleared later
