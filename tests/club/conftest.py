"""Runs of lists: the command in this process, settings of the user in a folder of the tests."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from club_runs import Club
from commands import run_command


@pytest.fixture(autouse=True, scope="module")
def own_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The secret that marks finished packs is not that of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("settings")))
        yield


@pytest.fixture(scope="session")
def club() -> Club:
    """Runs ``templategen club`` in a folder, in one process unless told otherwise."""

    def command(*words: str, cwd: Path, jobs: int = 1) -> subprocess.CompletedProcess[str]:
        return run_command("club", *words, "--jobs", str(jobs), cwd=cwd)

    return command
