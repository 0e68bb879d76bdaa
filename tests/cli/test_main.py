"""The program as a new user runs it: exit codes, one-line faults, interrupts."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from commands import run_command

from templategen.__main__ import start
from templategen.cli import main
from templategen.nest import planner


def test_pack_with_nothing_makes_the_demo(tmp_path: Path) -> None:
    """The main job needs no set-up."""
    done = run_command("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (pdf,) = (tmp_path / "templategen-pack").iterdir()
    assert pdf.read_bytes().startswith(b"%PDF")


BAD = [
    (["--nix"], "templategen: unknown option '--nix'; see templategen --help"),
    (["plann"], "templategen: unknown command 'plann'; did you mean 'plan'?"),
    (["xyzzy"], "templategen: unknown command 'xyzzy'; see templategen --help"),
    (["plan", "--jsn"], "templategen plan: unknown option '--jsn'; did you mean '--json'?"),
    (
        ["plan", "--json=3"],
        "templategen plan: --json: takes no value; write --json alone",
    ),
    (
        ["pack", "--paper"],
        "templategen pack: --paper: needs a value; see templategen pack --help",
    ),
    (
        ["plan", "my", "job.toml"],
        "templategen plan: 'job.toml' is more than the command takes; "
        "put a name with spaces in quotes",
    ),
    (["start"], "templategen start: FOLDER: is missing; give: Folder for the new files"),
    (
        ["measure", "--chord", "3"],
        "templategen measure: --rise: is missing; "
        "give: Height of the tip's arc over the middle of the chord",
    ),
    (
        ["plan", "\x1b[31m\u202ejob.toml"],
        "\\x1b[31m\\u202ejob.toml: no such file; check the name",
    ),
    (
        ["club", "list.csv", "--jobs", "q"],
        "templategen club: --jobs: 'q' is not a number; "
        "give: Processes at a time; default as many as cores, up to 4",
    ),
    (["plan", "nix.toml"], "nix.toml: no such file; check the name"),
    (
        ["plan", "--blank", "400x-3"],
        "command line: blank.height: -3 mm is out of bounds; give 20 to 1000 mm",
    ),
    (["plan", "--blank", "400"], "--blank: '400' is not diameter x height; write it as 400x180"),
    (
        ["wood", "Blak", "cherry"],
        "wood: no wood 'Blak cherry' in the table; near it: Black cherry",
    ),
    (["pack", "--paper", "leter"], "paper: unknown paper 'leter'; did you mean 'letter'?"),
    (["pack", "--units", "cm"], "--units: 'cm' is no unit; use mm, in or both"),
    (
        ["pack", "--part", "cit plate"],
        "part: unknown kind of part 'cit plate'; did you mean 'cut plate'?",
    ),
    (
        ["measure", "--chord", "nan", "--rise", "3"],
        "--chord: 'nan' is not a length; write 120 or \"4 3/4 in\"",
    ),
]


@pytest.mark.parametrize(
    ("words", "message"), BAD, ids=lambda v: " ".join(v) if isinstance(v, list) else ""
)
def test_bad_input_is_one_line(words: list[str], message: str, tmp_path: Path) -> None:
    """A fault is one line with its mend, exit 2, nothing written."""
    done = run_command(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.strip() == message
    assert list(tmp_path.iterdir()) == []


def test_every_fault_comes_in_one_run(tmp_path: Path) -> None:
    """All faults of a shop file come together, each with its place."""
    shop = tmp_path / "shop.toml"
    shop.write_text(
        'units = "mm"\ncolour = "red"\n[[cutters]]\nid = "A"\nradius = nan\nkerf = -1\n'
    )
    done = run_command("plan", "--blank", "400x180", "--shop", "shop.toml", cwd=tmp_path)
    assert done.returncode == 2
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 3
    assert any("cutters[1].radius: nan" in t for t in lines)
    assert any("shop.toml: colour: unknown key" in t for t in lines)
    assert "Traceback" not in done.stderr


def test_a_slip_of_the_program_is_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An error nobody foresaw ends with one line and exit 3, not a traceback."""

    def slip(*_: object) -> None:
        raise ValueError("first\nsecond")

    monkeypatch.setattr(planner, "make_plan", slip)
    monkeypatch.setattr(sys, "argv", ["templategen", "plan"])
    with pytest.raises(SystemExit) as ended:
        main.run()
    assert ended.value.code == 3
    (text,) = capsys.readouterr().err.splitlines()
    assert text.startswith("the program failed (ValueError: first second)")


def test_interrupting_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-C while planning: nothing printed, exit 130 (128 + SIGINT, POSIX shells)."""

    def interrupt(*_: object) -> None:
        signal.raise_signal(signal.SIGINT)
        time.sleep(5)

    monkeypatch.setattr(planner, "make_plan", interrupt)
    monkeypatch.setattr(sys, "argv", ["templategen", "plan"])
    with pytest.raises(SystemExit) as ended:
        main.run()
    assert ended.value.code == 130
    assert capsys.readouterr() == ("", "")


def test_interrupting_while_loading_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-C before the command line is up: nothing printed, exit 130 just the same."""

    def interrupt() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(main, "run", interrupt)
    with pytest.raises(SystemExit) as ended:
        start()
    assert ended.value.code == 130
    assert capsys.readouterr() == ("", "")


def test_a_reader_that_goes_away_is_no_stop(tmp_path: Path) -> None:
    """Piped into a reader that closes at once: quiet, and not exit 1, which means a stop."""
    out, into = os.pipe()
    os.close(out)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "templategen", "plan"],
            cwd=tmp_path,
            stdout=into,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    finally:
        os.close(into)
    assert done.returncode == 141
    assert done.stderr == ""


def test_no_command_shows_the_help(tmp_path: Path) -> None:
    """Nothing asked for is no fault: the help comes, and the cautions with it."""
    done = run_command(cwd=tmp_path)
    assert done.returncode == 0
    assert "measure" in done.stdout
    assert "Face shield" in done.stdout
    assert done.stderr == ""
