"""Reads untrusted files in one limited child process.

A file of four kilobytes can unfold to gigabytes before the library that reads it says how large
it is, and a page of forms within forms can keep it busy for years; a library that reads pictures
or PDFs may hold faults that a file makes use of. So nothing untrusted is decoded,
planned, drawn or compared in the first process. It takes JSON and bytes back, nothing else.
"""

import importlib
import signal
import sys
import time
from multiprocessing.connection import Connection
from typing import Any

from templategen.child import Child
from templategen.errors import (
    GeometryError,
    InputError,
    InputErrors,
    LimitError,
    OutputError,
    TemplategenError,
)
from templategen.limits import Limits
from templategen.messages import Text, tr
from templategen.proof.answers import from_json, to_json

Answer = tuple[Any, bytes]  # see `answers`; and the bytes of a file

# A pack of 60 sheets needs 250 million bytes and 3 s of a processor's time.
LIMITS = Limits(memory=400_000_000, work=20)
WAIT = 120.0  # s by the clock, for a busy machine
MOST_ANSWER = 64_000_000  # bytes
# Threads of the library for linear algebra take memory that nothing here makes use of.
ENVIRONMENT = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
_FAULTS: dict[str, type[TemplategenError]] = {
    error.__name__: error for error in (GeometryError, InputError, LimitError, OutputError)
}
_ANOTHER = tr("print the job anew, in packs of at most 200 sheets")


def in_sandbox(
    task: str, *arguments: object, where: Text, limits: Limits | None = None, mend: Text = _ANOTHER
) -> Answer:
    """What a function answers, called with the arguments in a limited process.

    Args:
        task: where the function is found, such as ``templategen.proof.tasks:verify``.
        arguments: for it; they can be pickled.
        where: names the file in faults.
        limits: of the process; `LIMITS` if None.
        mend: what to do where it exceeds them.

    Raises:
        LimitError: it takes too much memory or time, or broke the process.
        OutputError: the process cannot be started.
        TemplategenError: what the function raises.
    """
    limits = limits or LIMITS
    until = time.monotonic() + WAIT
    with Child("templategen.proof.sandbox:serve", task, arguments,
               limits=limits, environment=ENVIRONMENT, is_silent=True) as child:  # fmt: skip
        begun, reply = False, {}
        try:
            for stage in ("begun", "answer"):
                if not child.line.poll(max(0.0, until - time.monotonic())):
                    raise TimeoutError
                reply = from_json(child.line.recv_bytes(MOST_ANSWER))
                begun = stage == "begun"
            if "answer" in reply:
                return reply["answer"], child.line.recv_bytes(MOST_ANSWER)
        except TimeoutError as error:
            what = tr("takes more than {wait:g} s to be read", wait=WAIT)
            raise LimitError(
                what, where=where, mend=tr("close other programs, try again")
            ) from error
        except (EOFError, OSError) as error:
            raise _ended(child, where, limits, mend, begun=begun) from error
    raise _fault(reply, where, limits, mend)


def _ended(
    child: Child, where: Text, limits: Limits, mend: Text, *, begun: bool
) -> TemplategenError:
    """The fault of a process that ended without an answer."""
    child.process.wait()
    code = child.process.returncode
    if not begun:
        return OutputError(
            tr("the process that reads strange files could not start"),
            mend=tr("close other programs and try again; else install the program anew"),
        )
    if sys.platform != "win32" and code in (-signal.SIGXCPU, -signal.SIGKILL):
        return LimitError(
            tr("takes more than {work} s of a processor's time to be read", work=limits.work),
            where=where,
            mend=mend,
        )
    return LimitError(
        tr("ended the process that read it: it is broken, or takes too much memory"),
        where=where,
        mend=mend,
    )


def _fault(reply: dict[str, Any], where: Text, limits: Limits, mend: Text) -> TemplategenError:
    """What a function raised, made again."""
    if reply.get("memory"):
        most = limits.memory // 1_000_000
        what = tr("takes more than {memory} MB of memory to be read", memory=most)
        return LimitError(what, where=where, mend=mend)
    if "failed" in reply:
        raise RuntimeError(reply["failed"])
    faults = [
        _FAULTS.get(fault["kind"], InputError)(
            fault["what"], where=fault["where"], mend=fault["mend"]
        )
        for fault in reply["faults"]
    ]
    return faults[0] if len(faults) == 1 else InputErrors(faults)


def serve(line: Connection, task: str, arguments: tuple[Any, ...]) -> None:
    """Runs in the process: calls the function and sends its answer or its faults."""
    module, _, name = task.partition(":")
    function = getattr(importlib.import_module(module), name)
    line.send_bytes(to_json({}))
    try:
        answer, data = function(*arguments)
    except TemplategenError as error:
        faults = error.faults if isinstance(error, InputErrors) else (error,)
        line.send_bytes(to_json({"faults": [_fields(fault) for fault in faults]}))
    except MemoryError:
        line.send_bytes(to_json({"memory": True}))
    except Exception as error:  # not lost: the first process says it
        line.send_bytes(to_json({"failed": f"{type(error).__name__}: {error}"}))
    else:
        line.send_bytes(to_json({"answer": answer}))
        line.send_bytes(data)


def _fields(fault: TemplategenError) -> dict[str, Any]:
    kind = next((c.__name__ for c in type(fault).__mro__ if c.__name__ in _FAULTS), "InputError")
    return {"kind": kind, "what": fault.what, "where": fault.where, "mend": fault.mend}
