"""Files that are written never take the place of what is somebody else's."""

import fcntl
import os
import re
import shutil
import sys
from pathlib import Path

import pytest
from commands import run_command

from templategen.errors import InputError, OutputError
from templategen.output import files
from templategen.output.files import alone_in, write_atomically


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o444])
def test_a_file_written_again_keeps_its_mode(mode: int, tmp_path: Path) -> None:
    """A record that only its owner may read stays so."""
    target = tmp_path / "pack.pdf"
    target.write_bytes(b"old")
    target.chmod(mode)
    write_atomically(target, b"new")
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == mode


@pytest.mark.parametrize("there", [True, False])
def test_a_link_is_not_replaced(there: bool, tmp_path: Path) -> None:
    """A link as target is refused with the mend, whether it leads to a file or nowhere."""
    if there:
        (tmp_path / "file").write_bytes(b"kept")
    link = tmp_path / "pack.pdf"
    link.symlink_to(tmp_path / "file")
    with pytest.raises(InputError, match="is a symbolic link; remove it"):
        write_atomically(link, b"new")
    assert link.is_symlink()
    assert sorted(p.name for p in tmp_path.iterdir()) == (["file"] if there else []) + ["pack.pdf"]
    assert not there or (tmp_path / "file").read_bytes() == b"kept"


def test_no_input_is_written_over(tmp_path: Path) -> None:
    """A picture or a PDF that is given the name of the job or the shop: refused, files kept."""
    assert run_command("start", ".", cwd=tmp_path).returncode == 0
    held = {path: path.read_bytes() for path in tmp_path.glob("*.toml")}
    for words in (
        ["plan", "job.toml", "--picture", "job.toml"],
        [
            "chart",
            "shop.toml",
            "--diameters",
            "200-250/50",
            "--heights",
            "80-100/20",
            "--pdf",
            "shop.toml",
        ],
        ["log", "300x400", "--shop", "shop.toml", "--pdf", "shop.toml"],
    ):
        done = run_command(*words, cwd=tmp_path)
        assert done.returncode == 2, words
        assert re.search(r"does not end in \.(svg|pdf); no other file is written over", done.stderr)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == held


def test_an_input_with_the_name_of_an_output_stays(tmp_path: Path) -> None:
    """A job called plan.svg, a shop called shop.pdf, a plot over a job: refused, files kept.

    A drawing that was written before gives way.
    """
    assert run_command("start", ".", cwd=tmp_path).returncode == 0
    (tmp_path / "job.toml").rename(tmp_path / "plan.svg")
    shutil.copy(tmp_path / "shop.toml", tmp_path / "shop.pdf")
    (tmp_path / "record.csv").write_text("date,mass\n2026-05-02,900\n")
    held = {path: path.read_bytes() for path in tmp_path.iterdir()}
    for words in (
        ["plan", "plan.svg", "--picture", "plan.svg"],
        ["log", "300x400", "--shop", "shop.pdf", "--pdf", "shop.pdf"],
        ["dry", "record.csv", "--dry-mass", "700", "--plot", "plan.svg"],
    ):
        done = run_command(*words, cwd=tmp_path)
        assert done.returncode == 2, words
        assert "holds something else than" in done.stderr
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == held
    for _ in range(2):
        words = ["plan", "plan.svg", "--picture", "x.svg"]
        assert run_command(*words, cwd=tmp_path).returncode == 0


def test_a_held_lock_is_not_waited_for_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where another run stays in a folder, the second one says so in the end."""
    monkeypatch.setattr(files, "LONGEST_WAIT", 0.1)
    held = os.open(tmp_path, os.O_RDONLY)
    fcntl.flock(held, fcntl.LOCK_EX)
    try:
        with pytest.raises(OutputError, match="another run is busy"), alone_in(tmp_path):
            pass
    finally:
        os.close(held)
    with alone_in(tmp_path):
        assert not any(tmp_path.iterdir())


@pytest.mark.skipif(sys.platform != "linux", reason="settings lie elsewhere there")
def test_a_printer_is_not_waited_for_without_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`printer add` while another run holds the list: one line, exit 3, the list as it was."""
    words = ("printer", "add", "Shed", "--across", "0.99", "--down", "1.01")
    settings = {"XDG_CONFIG_HOME": str(tmp_path)}
    assert run_command(*words, cwd=tmp_path, **settings).returncode == 0
    (kept,) = tmp_path.rglob("printers.json")
    before = kept.read_bytes()
    monkeypatch.setattr(files, "LONGEST_WAIT", 0.1)
    held = os.open(kept.parent, os.O_RDONLY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX)
        done = run_command("printer", "remove", "Shed", cwd=tmp_path, **settings)
    finally:
        os.close(held)
    assert done.returncode == 3
    assert "another run is busy in this folder" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert kept.read_bytes() == before
