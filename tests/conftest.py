"""What holds for every test: English, and Ctrl-C as in a terminal, wherever pytest is started."""

import functools
import gc
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest
from commands import Run, run_command
from hypothesis import settings

from templategen.nest import planner

# The same cases in every run, and no test fails because the machine is busy. Other cases, and more
# of them: HYPOTHESIS_PROFILE=deep.
settings.register_profile("ci", deadline=None, derandomize=True, database=None)
settings.register_profile("deep", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


# Plans and packs that tests share stay in memory: looking through them for garbage less often
# saves a fourteenth of the time.
gc.set_threshold(50_000, 20, 50)


@pytest.fixture(autouse=True, scope="session")
def interruptible() -> Iterator[None]:
    """SIGINT interrupts: a shell that starts pytest in the background has it ignored.

    What a process ignores its children ignore too (POSIX, exec), so this holds for them as well.
    """
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    """No language of the machine reaches a test."""
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(autouse=True, scope="session")
def plans_are_shared() -> Iterator[None]:
    """Commands that plan the same job in the same shop share one plan."""
    cached = functools.lru_cache(maxsize=128)(planner.make_plan)
    with mock.patch.object(planner, "make_plan", cached):
        yield


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command in ``tmp_path``, the current folder: exit code, stdout, stderr.

    The program's own settings, such as measured printers, lie in its folder ``config``.
    """
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("platformdirs.user_config_path", lambda *_, **__: tmp_path / "config")

    def command(*words: str) -> tuple[int, str, str]:
        ran = run_command(*words, cwd=tmp_path)
        return ran.returncode, ran.stdout, ran.stderr

    return command
