"""Children of the program: what they may import."""

import subprocess
import sys
from pathlib import Path

import pytest

from templategen.isolated import isolated_command

PLANTED = 'raise SystemExit("code of the current folder ran")\n'


def test_nothing_of_the_current_folder_is_imported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Modules of the library's own names beside a strange file are not run by a child.

    Not even where this process has the folder on its own path, as `python -m` puts it there, or
    where the environment names it.
    """
    for name in ("pickle", "signal", "struct", "subprocess", "templategen"):
        (tmp_path / f"{name}.py").write_text(PLANTED, encoding="utf-8")
    (tmp_path / "probe").mkdir()
    probe = "import pickle, signal, struct\nfrom templategen import units\n\ndef main():\n    "
    (tmp_path / "probe" / "probe.py").write_text(f"{probe}print('clean')\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr(sys, "path", ["", str(tmp_path), str(tmp_path / "probe"), *sys.path])
    done = subprocess.run(isolated_command("probe"), capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "clean\n", "")
