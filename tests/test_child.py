"""Children load nothing from the current folder, keep their limits and end with their parent."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from strange_folder import plant_modules

from templategen.child import Child
from templategen.errors import OutputError
from templategen.limits import Limits

HELPERS = str(Path(__file__).resolve().parent)
LIMITS = Limits(memory=300_000_000, work=1)


def test_a_child_loads_nothing_from_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Modules named as Python's own that lie in the current folder are not run."""
    plant_modules(tmp_path)
    monkeypatch.chdir(tmp_path)
    # `python -m` puts the current folder first, a variable of the environment may do so too.
    monkeypatch.setattr(sys, "path", [str(tmp_path), "", *sys.path])
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with Child("child_tasks:echo", 7) as child:
        child.line.send("hello")
        assert child.line.recv() == (7, "hello")
        path = child.line.recv()
    assert {"", str(tmp_path)}.isdisjoint(path)
    assert not (tmp_path / "was-run").exists()


@pytest.mark.skipif(sys.platform != "linux", reason="the kernel's own bounds")
def test_a_limited_child_can_do_little(tmp_path: Path) -> None:
    """No file made or removed, no program, no thread, no network, no memory beyond the bound."""
    kept = tmp_path / "kept"
    kept.touch()
    with Child("child_tasks:try_all", str(tmp_path), limits=LIMITS) as child:
        found = dict(child.line.recv())
    assert found.pop("read") == "done"
    if os.geteuid() == 0:
        found.pop("thread")  # the superuser's processes are not counted
    assert "done" not in found.values(), found
    assert [p.name for p in tmp_path.iterdir()] == ["kept"]


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_limited_child_is_ended_after_its_work() -> None:
    """The system ends it after a second of a processor's time."""
    with Child("child_tasks:work_for_ever", limits=LIMITS) as child:
        assert child.line.recv() == "begun"
        with pytest.raises(EOFError):
            child.line.recv()
        assert child.end() < 0


def test_a_child_ends_with_its_parent(tmp_path: Path) -> None:
    """Where the parent is killed, a child that is busy ends too."""
    code = (
        "import os; from templategen.child import Child; "
        "child = Child('child_tasks:work_for_ever'); print(child.process.pid, flush=True); "
        "child.line.recv(); os.kill(os.getpid(), 9)"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([HELPERS, *sys.path])}
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, timeout=60, cwd=tmp_path
    )
    child = int(done.stdout)
    until = time.monotonic() + 20
    while _is_running(child):
        assert time.monotonic() < until
        time.sleep(0.02)


def _is_running(process: int) -> bool:
    """Whether there is a process of that number that is not merely waited for."""
    shown = subprocess.run(["ps", "-o", "stat=", "-p", str(process)], capture_output=True)
    return shown.stdout.strip()[:1] not in (b"", b"Z")


def test_a_child_that_cannot_start_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """The machine's reason in one line, exit code 3."""
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    with pytest.raises(OutputError, match=r"a process cannot be started .No such file"):
        Child("child_tasks:echo", 7)
