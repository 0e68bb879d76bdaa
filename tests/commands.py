"""Runs commands in this process, as `templategen` does: words in, exit code and output back."""

import contextlib
import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from templategen.cli import main

ROOT = Path(__file__).resolve().parents[1]
ENV = {**os.environ, "PYTHONPATH": str(ROOT)}  # of the program as a process of its own
PROGRAM = [sys.executable, "-m", "templategen"]
Run = Callable[..., tuple[int, str, str]]  # words of a command line: exit code, stdout, stderr


def run_command(*words: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Exit code, output and faults of a command in a folder.

    Args:
        words: of the command line, the program's name left out.
        cwd: the folder it runs in.
        environment: variables set besides; languages of the machine are taken out.
    """
    out, err, code = io.StringIO(), io.StringIO(), 0
    kept = {k: v for k, v in os.environ.items() if k[:3] != "LC_" and k[:4] != "LANG"}
    with (
        contextlib.chdir(cwd),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        mock.patch.dict(os.environ, {**kept, "COLUMNS": "200", **environment}, clear=True),
        mock.patch.object(sys, "argv", ["templategen", *words]),
    ):
        try:
            main.run()
        except SystemExit as ended:
            code = int(ended.code or 0)
    return subprocess.CompletedProcess(words, code, out.getvalue(), err.getvalue())
