"""Output that nobody can take, and files that may not be read: one line, and the right exit code.

The rights of files do not bind the administrator, as whom tests often run: the child gives up the
capabilities that lift them (capabilities(7)) with setpriv of util-linux.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
from commands import ENV as PROCESS
from commands import PROGRAM, run_command

from templategen.errors import hidden

ENV = {**PROCESS, "LC_ALL": "C"}
PLANNED = ["plan", "--blank", "300x140"]
STOPPED = ["plan", "--blank", "60x20"]
SEVERAL = """
import json, sys
from templategen.cli import main
for words in json.loads(sys.argv[1]):
    sys.argv = ["templategen", *words]
    try:
        main.run()
    except SystemExit as ended:
        print("exit", ended.code, file=sys.stderr)
"""


def _shell(words: Sequence[str], redirections: str) -> tuple[int, list[str]]:
    """Exit code of a command under a shell's redirections, and what still comes out."""
    line = f'exec "$@" {redirections}'
    done = subprocess.run(
        ["/bin/sh", "-c", line, "sh", *PROGRAM, *words],
        env=ENV,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    return done.returncode, done.stderr.splitlines()


def test_closed_streams_change_no_exit_code() -> None:
    """With the output closed, or output and faults: 0 for a plan, 1 for one with a stop."""
    assert _shell(PLANNED, ">&-") == (0, [])
    assert _shell(STOPPED, ">&- 2>&-") == (1, [])


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_output_is_one_line() -> None:
    """A disk that is full under the output: exit 3 and one line; under the faults: no change."""
    code, said = _shell(PLANNED, ">/dev/full")
    assert code == 3
    assert len(said) == 1
    assert "No space left on device" in said[0]
    assert _shell(["plan", "none.toml"], ">/dev/null 2>/dev/full") == (2, [])


def _without_rights() -> list[str]:
    """What makes the rights of files bind a child of this process too."""
    if os.geteuid() != 0:
        return []
    if shutil.which("setpriv") is None:
        pytest.skip("runs as administrator, and there is no setpriv")
    return ["setpriv", "--bounding-set=-dac_override,-dac_read_search", "--inh-caps=-all"]


def test_a_file_that_may_not_be_read_is_named(tmp_path: Path) -> None:
    """Jobs, shops, lists, records, packs and logos say so, with the mend; each with exit 2."""
    for name in ("job.toml", "shop.toml", "list.csv", "record.csv", "pack.pdf", "logo.png"):
        (tmp_path / name).write_text("")
        (tmp_path / name).chmod(0)
    (tmp_path / "club.csv").write_text("name,diameter,height\nBench,200,60\n")
    commands = {
        "job.toml": ["plan", "job.toml"],
        "shop.toml": ["chart", "shop.toml"],
        "list.csv": ["club", "list.csv"],
        "record.csv": ["dry", "record.csv"],
        "pack.pdf": ["verify", "pack.pdf"],
        "logo.png": ["club", "club.csv", "--logo", "logo.png"],
    }
    done = subprocess.run(
        [*_without_rights(), sys.executable, "-c", SEVERAL, json.dumps([*commands.values()])],
        cwd=tmp_path,
        env=ENV,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    fault = "{}: cannot be read (Permission denied); see to the rights of that file"
    wanted = [line for name in commands for line in (fault.format(name), "exit 2")]
    assert done.stderr.splitlines() == wanted


def test_names_of_files_move_no_cursor(tmp_path: Path) -> None:
    """Escape codes (ECMA-48) and line breaks in a name are written out everywhere."""
    name = "a\x1b[2J\x1b]0;title\x07\nline"
    said = run_command("verify", f"{name}.pdf", cwd=tmp_path)
    written = run_command("start", name, cwd=tmp_path)
    pack = run_command("pack", "--part", "tag", "--out", name, cwd=tmp_path)
    assert [said.returncode, written.returncode, pack.returncode] == [2, 0, 0]
    assert len(said.stderr.splitlines()) == 1
    for shown in (said.stderr, written.stdout, pack.stdout):
        assert r"a\x1b[2J\x1b]0;title\x07" in shown
        assert not any(hidden(letter) for letter in shown.replace("\n", ""))
        assert not any(line.startswith("line") for line in shown.splitlines())
