"""Commands run in the folder of the test itself."""

from pathlib import Path
from unittest import mock

import pytest
from commands import Run, run_command


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs a command in ``tmp_path``, settings in its folder ``config``: exit code, out, err."""

    def command(*words: str) -> tuple[int, str, str]:
        with mock.patch("platformdirs.user_config_path", return_value=tmp_path / "config"):
            done = run_command(*words, cwd=tmp_path)
        return done.returncode, done.stdout, done.stderr

    return command
