"""The commands as a new user runs them: whole processes, exit codes, messages."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from templategen.__main__ import start
from templategen.cli import main
from templategen.errors import OutputError
from templategen.nest import planner
from templategen.output.files import write_atomically

ROOT = Path(__file__).resolve().parents[2]


def _run(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "templategen", *words],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
    )


def test_pack_with_nothing_makes_the_demo(tmp_path: Path) -> None:
    """The main job needs no set-up."""
    done = _run("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (pdf,) = (tmp_path / "templategen-pack").iterdir()
    assert pdf.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("name", "pieces"), [("lakeside-400", 4), ("small-220", 3), ("inch-15", 3)]
)
def test_examples(name: str, pieces: int, tmp_path: Path) -> None:
    """Each example gives its bowls; the 400 × 180 one an outer bowl and three cores."""
    done = _run("plan", str(ROOT / "examples" / f"{name}.toml"), "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["pieces"]) == pieces


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
        "give: Height of the edge over the middle of the chord",
    ),
    (
        ["plan", "\x1b[31m\u202ejob.toml"],
        "\\x1b[31m\\u202ejob.toml: no such file; check the name",
    ),
    (["plan", "nix.toml"], "nix.toml: no such file; check the name"),
    (
        ["plan", "--blank", "400x-3"],
        "command line: blank.height: -3 mm is out of bounds; give 20 to 1000 mm",
    ),
    (["plan", "--blank", "400"], "--blank: '400' is not diameter x height; write it as 400x180"),
    (
        ["plan", "--blank", "400x180", "--wood", "Blak cherry"],
        "command line: blank.wood: unknown wood 'Blak cherry'; did you mean 'Black cherry'?",
    ),
    (["pack", "--paper", "leter"], "paper: unknown paper 'leter'; did you mean 'letter'?"),
    (["pack", "--units", "cm"], "--units: 'cm' is no unit; use mm, in or both"),
    (
        ["pack", "--part", "cut plat"],
        "part: unknown kind of part 'cut plat'; did you mean 'cut plate'?",
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
    done = _run(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.strip() == message
    assert list(tmp_path.iterdir()) == []


def test_every_fault_in_one_run(tmp_path: Path) -> None:
    """All faults of a shop file come together, each with its place."""
    shop = tmp_path / "shop.toml"
    shop.write_text(
        'units = "mm"\ncolour = "red"\n[[cutters]]\nid = "A"\nradius = nan\nkerf = -1\n'
    )
    done = _run("plan", "--blank", "400x180", "--shop", "shop.toml", cwd=tmp_path)
    assert done.returncode == 2
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 3
    assert any(t.startswith("shop.toml: cutters[1].radius: nan") or "radius" in t for t in lines)
    assert any("shop.toml: colour: unknown key" in t for t in lines)
    assert "Traceback" not in done.stderr


def test_a_shops_own_defaults_reach_the_plan(tmp_path: Path) -> None:
    """A [rules.nest] of the shop counts for a job file and for --blank alike."""
    assert _run("start", "s", cwd=tmp_path).returncode == 0
    shop = tmp_path / "s" / "shop.toml"
    text = shop.read_text("utf-8")
    shop.write_text(text.replace("# [rules.nest]", "[rules.nest]").replace("# setting", "setting"))
    for words in (["s/job.toml"], ["--blank", "400x180", "--shop", "s/shop.toml"]):
        done = _run("plan", *words, "--json", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert json.loads(done.stdout)["job"]["nest"]["setting_tolerance"] == 0.5


def test_start_never_overwrites(tmp_path: Path) -> None:
    """The second run refuses and leaves the files alone."""
    assert _run("start", "s", cwd=tmp_path).returncode == 0
    before = (tmp_path / "s" / "job.toml").read_bytes()
    assert _run("start", "s", cwd=tmp_path).returncode == 2
    assert (tmp_path / "s" / "job.toml").read_bytes() == before
    assert _run("plan", "s/job.toml", cwd=tmp_path).returncode == 0


def test_no_cutter_fits_is_a_stop(tmp_path: Path) -> None:
    """A blank too small for any cutter ends with exit 1 and no pack."""
    done = _run("pack", "--blank", "130x40", cwd=tmp_path)
    assert done.returncode == 1
    assert "no cutter fits" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_letters_the_font_lacks_are_told(tmp_path: Path) -> None:
    """A title in letters that would print as empty boxes is cautioned, accents are not."""
    assert _run("start", "s", cwd=tmp_path).returncode == 0
    job = tmp_path / "s" / "job.toml"
    text = job.read_text("utf-8")
    for title, told in (("木の Schale", True), ("Łukasz Ærø ½ ″", False)):
        job.write_text(text.replace("Demo blank (invented)", title), "utf-8")
        done = _run("pack", "s/job.toml", "--part", "gauge stick", "--out", "o", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert ("the font has no 木 の:" in done.stdout) is told


def test_measure(tmp_path: Path) -> None:
    """A chord of 120 with a rise of 20 belongs to a radius of 100 (c²/8s + s/2)."""
    assert _run("measure", "--chord", "120", "--rise", "20", cwd=tmp_path).stdout.startswith(
        "radius 100.00 mm"
    )


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
    done = _run(cwd=tmp_path)
    assert done.returncode == 0
    assert "measure" in done.stdout
    assert "Face shield" in done.stdout
    assert done.stderr == ""


def test_a_full_screen_file_is_a_failed_machine(tmp_path: Path) -> None:
    """Output that cannot be written ends with one line and exit 3."""
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no device that is always full")
    with full.open("w") as sink:
        done = subprocess.run(
            [sys.executable, "-m", "templategen", "measure", "--chord", "120", "--rise", "20"],
            cwd=tmp_path,
            stdout=sink,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 3
    assert done.stderr.splitlines()[0].startswith("No space left")
    assert "Traceback" not in done.stderr


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No half-written file, and nothing temporary stays behind."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "pack.pdf"
    target.write_bytes(b"old")
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        write_atomically(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
