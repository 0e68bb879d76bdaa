"""A machine that fails leaves the old file whole; a program that only helps loads little.

`HYPOTHESIS_PROFILE=deep` kills a hundred runs in place of a few.
"""

import errno
import fcntl
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from commands import ENV, PROGRAM, ROOT, run_command
from slow_disk import BLOCK, PAUSE

from templategen.cli import main
from templategen.output import files
from templategen.output.files import clear_leftovers, make_folder, write_atomically

# without a measure of coverage, whose own file would not fit
UNMEASURED = {name: value for name, value in ENV.items() if not name.startswith("COVERAGE")}
WORDS = ["pack", "--blank", "300x140", "--part", "setting card", "--out", "."]
PACK = [*PROGRAM, *WORDS]
SLOW = str(ROOT / "tests" / "slow_disk.py")
NAME = "blank-300x140.pdf"
KILLS = 200 if os.environ.get("HYPOTHESIS_PROFILE") == "deep" else 20
UNFINISHED = f"{files.BEGINNING}*{files.ENDING}"


def _names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def _small_files_only() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))


def _on_a_full_disk(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words,
        cwd=cwd,
        env=UNMEASURED,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_small_files_only,
    )


def test_a_disk_that_fills_up_leaves_the_old_file(tmp_path: Path) -> None:
    """No file may pass 4000 bytes: exit 3 with one line, the old pack whole, nothing beside it."""
    old = tmp_path / NAME
    old.write_bytes(b"the old pack")
    done = _on_a_full_disk(*PACK, cwd=tmp_path)
    assert done.returncode == 3, done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert f"{NAME}: cannot be written" in done.stderr
    assert old.read_bytes() == b"the old pack"
    assert list(tmp_path.iterdir()) == [old]


def test_a_killed_run_leaves_the_old_pack_or_the_new_one(tmp_path: Path) -> None:
    """SIGKILL at seeded moments, half of them while a file is written: never a part of it.

    The next run clears away what the killed one left.
    """
    old, new = b"the old pack", bytes(range(256)) * 16 * 20  # twenty blocks
    target = tmp_path / NAME
    writer = [sys.executable, "-B", SLOW, str(target)]
    chance = random.Random(20260502)
    writing = len(new) / BLOCK * PAUSE  # s, at least
    in_writing = 0
    for n in range(KILLS):
        if n % 10 == 9:  # a folder without an old pack
            target.unlink(missing_ok=True)
        elif n % 3 == 0:
            target.write_bytes(old)
        before = target.read_bytes() if target.exists() else None
        known = set(tmp_path.glob(UNFINISHED))
        run = subprocess.Popen(writer, env=ENV, stdin=subprocess.PIPE, stderr=subprocess.PIPE)
        assert run.stdin is not None
        run.stdin.write(new)
        run.stdin.close()
        while n % 8 and run.poll() is None and not set(tmp_path.glob(UNFINISHED)) - known:
            time.sleep(0.001)
        time.sleep(chance.uniform(0, 0.8 * writing if n % 8 else 3 * writing))
        run.kill()
        assert run.stderr is not None
        assert run.stderr.read() == b""
        run.stderr.close()
        run.wait()
        in_writing += bool(set(tmp_path.glob(UNFINISHED)) - known)
        held = target.read_bytes() if target.exists() else None
        assert held in (before, new)
        assert set(_names(tmp_path)) <= {NAME, *(p.name for p in tmp_path.glob(UNFINISHED))}
    assert in_writing > KILLS / 2
    assert run_command(*WORDS, cwd=tmp_path).returncode == 0
    assert _names(tmp_path) == [NAME]
    assert target.read_bytes().startswith(b"%PDF-")


def test_only_leftovers_are_cleared(tmp_path: Path) -> None:
    """Names of others, folders, links, pipes, and a file that a living run holds all stay."""
    beginning, ending = files.BEGINNING, files.ENDING
    (tmp_path / "outside").write_text("kept")
    folder = tmp_path / "o"
    folder.mkdir()
    others = [f"{beginning}a", f"a{ending}", f"x{beginning}a{ending}", ".hidden", "pack.pdf"]
    for name in others:
        (folder / name).write_text("of another")
    (folder / f"{beginning}folder{ending}").mkdir()
    (folder / f"{beginning}link{ending}").symlink_to(tmp_path / "outside")
    os.mkfifo(folder / f"{beginning}pipe{ending}")
    (folder / f"{beginning}dead{ending}").write_text("left over")
    kept = set(_names(folder)) - {f"{beginning}dead{ending}"}
    with files.written_atomically(folder / "living.pdf") as file:
        file.write(b"half")
        make_folder(folder)
        (own,) = set(_names(folder)) - kept
        file.write(b" and half")
    assert own.startswith(beginning)
    assert set(_names(folder)) == kept | {"living.pdf"}
    assert (folder / "living.pdf").read_bytes() == b"half and half"
    assert (tmp_path / "outside").read_text() == "kept"


@pytest.mark.parametrize("locks", ["none on this system", "none on this disk"])
def test_without_locks_age_decides(
    locks: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where files cannot be locked, one written to within the hour may be another run's."""

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    if locks == "none on this disk":
        monkeypatch.setattr(fcntl, "flock", refuse)
    else:
        monkeypatch.setattr(files, "fcntl", None)
    young, old = (tmp_path / f"{files.BEGINNING}{n}{files.ENDING}" for n in ("young", "old"))
    for path in (young, old):
        path.write_text("half")
    os.utime(old, (0, old.stat().st_mtime - files.ABANDONED - 60))
    clear_leftovers(tmp_path)
    assert list(tmp_path.iterdir()) == [young]
    write_atomically(tmp_path / "pack.pdf", b"new")
    assert (tmp_path / "pack.pdf").read_bytes() == b"new"
    assert set(tmp_path.iterdir()) == {young, tmp_path / "pack.pdf"}


def test_a_file_taken_for_a_leftover_is_begun_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between a file's making and its locking another run may clear it: then a new one is made."""
    locked, lost = fcntl.flock, []

    def lose(handle: int, how: int) -> None:
        if not lost:
            lost.extend(tmp_path.glob(UNFINISHED))
            lost[0].unlink()
        locked(handle, how)

    monkeypatch.setattr(fcntl, "flock", lose)
    write_atomically(tmp_path / "pack.pdf", b"new")
    assert len(lost) == 1
    assert (tmp_path / "pack.pdf").read_bytes() == b"new"
    assert _names(tmp_path) == ["pack.pdf"]


Command = Callable[..., tuple[int, list[str]]]


@pytest.fixture
def command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Command:
    """Runs the program in this process and in a folder of its own: exit code, lines of stderr."""
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> tuple[int, list[str]]:
        monkeypatch.setattr(sys, "argv", ["templategen", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        return int(ended.value.code or 0), capsys.readouterr().err.splitlines()

    return run


def test_a_file_open_elsewhere(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A system that renames nothing onto an open file: exit 3, one line, the old file whole.

    Windows answers so (ERROR_SHARING_VIOLATION, a PermissionError in Python; from memory).
    """

    def held(*_: object) -> None:
        raise PermissionError(errno.EACCES, "The file is used by another program")

    (tmp_path / NAME).write_bytes(b"the old pack")
    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", held)
        code, lines = command(*WORDS)
    assert code == 3
    assert lines == [
        f"{NAME}: cannot be written (The file is used by another program); "
        "close it in other programs, or see to permission there"
    ]
    assert (tmp_path / NAME).read_bytes() == b"the old pack"
    assert _names(tmp_path) == [NAME]
    with (tmp_path / NAME).open("rb") as reader:  # open for reading on this system
        assert command(*WORDS)[0] == 0
        assert reader.read() == b"the old pack"
    assert (tmp_path / NAME).read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "words",
    [
        [*WORDS[:-1], "file/deep/folder"],
        [*WORDS[:-1], "file"],
        ["plan", "--picture", "file/a.svg"],
        ["plan", "--picture", "folder.svg"],
        ["chart", "--diameters", "300-300", "--heights", "140-140", "--pdf", "file/a.pdf"],
        ["scale", "--out", "file/x"],
        ["shop", "--part", "height stick", "--out", "file/x"],
        ["start", "file/x"],
        ["pack", "--blank", "300x140", "--format", "svg", "--part", "tag", "--out", "file"],
    ],
    ids=" ".join,
)
def test_a_path_that_cannot_be(words: list[str], command: Command, tmp_path: Path) -> None:
    """A folder below a file, or a file in a folder's place: exit 3, one line, nothing touched."""
    (tmp_path / "file").write_bytes(b"a file")
    (tmp_path / "folder.svg").mkdir()
    code, lines = command(*words)
    assert code == 3, lines
    assert len(lines) == 1
    assert "cannot be" in lines[0]
    assert _names(tmp_path) == ["file", "folder.svg"]
    assert (tmp_path / "file").read_bytes() == b"a file"
    assert list((tmp_path / "folder.svg").iterdir()) == []


@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.ENOSPC, errno.EIO])
def test_a_folder_that_takes_no_file(
    number: int, command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No permission, a read-only or broken disk: exit 3, one line, the old file whole."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    (tmp_path / NAME).write_bytes(b"the old pack")
    monkeypatch.setattr(files.tempfile, "mkstemp", refuse)
    code, lines = command(*WORDS)
    assert code == 3
    assert len(lines) == 1
    assert lines[0].startswith(f"{NAME}: cannot be written ({os.strerror(number)}); ")
    assert (tmp_path / NAME).read_bytes() == b"the old pack"
    assert _names(tmp_path) == [NAME]


def test_a_read_only_folder(tmp_path: Path) -> None:
    """A folder without the right to write: exit 3, one line, the old file whole."""
    folder = tmp_path / "o"
    folder.mkdir()
    (folder / NAME).write_bytes(b"the old pack")
    folder.chmod(0o555)
    try:
        try:
            (folder / "probe").touch()
        except PermissionError:
            done = subprocess.run(
                [*PACK[:-1], str(folder)], env=ENV, capture_output=True, text=True, check=False
            )
        else:
            (folder / "probe").unlink()
            pytest.skip("this user may write into any folder")
    finally:
        folder.chmod(0o755)
    assert done.returncode == 3
    assert len(done.stderr.splitlines()) == 1
    assert (folder / NAME).read_bytes() == b"the old pack"
    assert _names(folder) == [NAME]


def test_a_full_disk_in_the_middle_of_a_club(tmp_path: Path) -> None:
    """The run ends with one line and exit 3; no pack is a part; the next run goes on from there."""
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,300,140\nB,260,130\n")
    words = ["club", "list.csv", "--part", "setting card", "--out", "o", "--jobs", "1"]
    done = _on_a_full_disk(*PROGRAM, *words, cwd=tmp_path)
    assert done.returncode == 3, done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "run again to go on from here" in done.stderr
    assert list((tmp_path / "o").rglob("*.pdf")) == []
    assert list((tmp_path / "o").rglob(UNFINISHED)) == []
    again = run_command(*words, cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert len(list((tmp_path / "o").glob("*.pdf"))) == 2


def test_two_runs_into_one_folder(tmp_path: Path) -> None:
    """Two slow runs write the same file at the same moment: it is the whole of one of them."""
    whole = [bytes([n]) * 4096 * 20 for n in (1, 2)]  # twenty blocks each
    runs = []
    for data in whole:
        run = subprocess.Popen(
            [sys.executable, "-B", SLOW, str(tmp_path / NAME)],
            cwd=tmp_path,
            env={**ENV, "SLOW_DISK_MEET": "1"},
            stdin=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert run.stdin is not None
        run.stdin.write(data)
        run.stdin.close()
        runs.append(run)
    at_once = 0
    while any(run.poll() is None for run in runs):
        at_once = max(at_once, len(list(tmp_path.glob(UNFINISHED))))
        time.sleep(0.005)
    for run in runs:
        assert run.stderr is not None
        assert (run.wait(), run.stderr.read()) == (0, b"")
        run.stderr.close()
    assert at_once == 2  # or the two never met
    assert (tmp_path / NAME).read_bytes() in whole
    assert _names(tmp_path) == [NAME]


def test_two_club_runs_into_one_folder(tmp_path: Path) -> None:
    """The same list twice at once: both end well, and every file is what one run alone writes."""
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,260,130\nB,240,120\n")
    words = ["club", "list.csv", "--part", "setting card", "--jobs", "1"]
    assert run_command(*words, "--out", "one", cwd=tmp_path).returncode == 0
    runs = [
        subprocess.Popen(
            [*PROGRAM, *words, "--out", "two"],
            cwd=tmp_path,
            env=ENV,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    for run in runs:
        _, said = run.communicate(timeout=120)
        assert (run.returncode, said) == (0, "")
    one, two = (
        {p.relative_to(f): p.read_bytes() for p in f.rglob("*") if p.is_file()}
        for f in (tmp_path / "one", tmp_path / "two")
    )
    assert one == two


def test_printers_kept_at_the_same_moment(tmp_path: Path) -> None:
    """Four runs add a printer each at once: the list has all four (XDG base directories)."""
    env = {**ENV, "XDG_CONFIG_HOME": str(tmp_path)}
    words = [*PROGRAM, "printer"]
    runs = [
        subprocess.Popen(
            [*words, "add", name, "--across", "0.99", "--down", "1.01"],
            env=env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        for name in ("one", "two", "three", "four")
    ]
    for run in runs:
        _, said = run.communicate(timeout=60)
        assert (run.returncode, said) == (0, "")
    told = subprocess.run([*words, "list"], env=env, capture_output=True, text=True, check=True)
    assert [line.split(":")[0] for line in told.stdout.splitlines()] == [
        "four", "one", "three", "two"
    ]  # fmt: skip


def test_no_process_outlives_a_killed_club(tmp_path: Path) -> None:
    """The first process is killed: the others end by themselves, no pack is a part, no warning."""
    if not Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").exists():
        pytest.skip("this system does not tell the children of a process")
    rows = "".join(f"T{n},{230 + n % 200},130\n" for n in range(200))
    (tmp_path / "list.csv").write_text(f"name,diameter,height\n{rows}")
    words = ["club", "list.csv", "--full", "--jobs", "2", "--out", "o"]  # a minute of work
    first = subprocess.Popen(
        [sys.executable, "-B", "-m", "templategen", *words],
        cwd=tmp_path,
        env=ENV,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    assert first.stderr is not None
    until = time.monotonic() + 300
    while len(list((tmp_path / "o").glob("*.pdf"))) < 2 and time.monotonic() < until:
        assert first.poll() is None
        time.sleep(0.02)
    first.send_signal(signal.SIGSTOP)  # so that it comes no further on a busy machine
    others = [int(n) for n in _children(first.pid)]
    first.kill()
    first.wait()
    assert len(others) >= 2
    until = time.monotonic() + 120
    while any(_lives(n) for n in others) and time.monotonic() < until:
        time.sleep(0.05)
    assert [n for n in others if _lives(n)] == []
    with first.stderr as said:
        assert said.read() == b""  # nor does a process that clears up warn of what was left
    packs = list((tmp_path / "o").glob("*.pdf"))
    assert 2 <= len(packs) < 200
    for pack in packs:
        assert pack.read_bytes().rstrip().endswith(b"%%EOF")


def _children(process: int) -> list[str]:
    """The processes that one has begun (Linux, proc(5))."""
    return Path(f"/proc/{process}/task/{process}/children").read_text().split()


def _lives(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"


def test_help_loads_no_library_that_draws() -> None:
    """`--help` imports neither numpy nor any writer of files."""
    asked = (
        "import sys\nsys.argv = ['templategen', '--help']\n"
        "from templategen.__main__ import start\n"
        "try:\n    start()\nexcept SystemExit:\n    pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked], env=ENV, capture_output=True, text=True, check=True
    )
    loaded = set(done.stderr.split())
    assert "typer" in loaded
    heavy = {"numpy", "reportlab", "matplotlib", "ezdxf", "pypdfium2", "PIL", "svglib", "svgwrite"}
    assert not loaded & heavy
