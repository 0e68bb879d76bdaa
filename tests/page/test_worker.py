"""The process that answers: bounded in time, ended at any moment, gone with the server."""

import os
import signal
import subprocess
import sys
import threading
import time
from typing import Any

import pytest

from templategen.page.server import Turns
from templategen.page.worker import EndedError, Worker

LONG = {"language": "en", "diameters": "200-1000/5", "heights": "60-300/20"}


def test_a_process_can_be_ended_at_any_moment(forms: dict[str, Any]) -> None:
    """Who waits is told at once; what takes too long is a fault that says what helps.

    After either the next request is served by a new process.
    """
    worker = Worker("templategen.page.work")
    try:
        told = threading.Event()
        ender = threading.Thread(target=lambda: (told.wait(60), worker.end()))
        ender.start()
        with pytest.raises(EndedError):
            worker.ask("chart", {**forms, **LONG}, most=120, on_progress=lambda *_: told.set())
        ender.join()
        status, answer = worker.ask("chart", {**forms, **LONG}, most=0.5)
        assert status == 503
        assert answer["faults"][0]["mend"]
        assert worker.ask("", {"language": "en"}, most=60)[0] == 200
    finally:
        worker.close()


@pytest.mark.skipif(os.name != "posix", reason="a process is killed by a signal")
def test_no_process_outlives_a_killed_server() -> None:
    """A server that is killed takes its workers with it: their line is closed."""
    program = (
        "import os, signal\n"
        "from templategen.page.worker import Worker\n"
        "if __name__ == '__main__':\n"
        "    worker = Worker('templategen.page.planning')\n"
        "    worker.warm()\n"
        "    print(worker._child.process.pid, flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    assert ended.returncode == -signal.SIGKILL
    child = int(ended.stdout)
    until = time.monotonic() + 30
    while time.monotonic() < until:
        try:
            os.kill(child, 0)
        except ProcessLookupError:
            return
        if _is_zombie(child):
            return
        time.sleep(0.1)
    raise AssertionError("it still runs")


def _is_zombie(child: int) -> bool:
    state = subprocess.run(
        ["ps", "-o", "stat=", "-p", str(child)], capture_output=True, text=True, check=False
    )
    return state.stdout.strip().startswith("Z")


def test_only_newer_requests_of_the_same_window_count() -> None:
    """A window's older request is stale; other windows do not matter; their number is bounded."""
    turns = Turns()
    turns.begin("a", 1)
    turns.begin("a", 3)
    turns.begin("b", 2)
    assert turns.is_stale("a", 1)
    assert not turns.is_stale("a", 3)
    assert not turns.is_stale("b", 2)
    for n in range(1000):
        turns.begin(f"window {n}", 1)
    assert len(turns.newest) <= 200
