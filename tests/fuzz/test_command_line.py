"""Any words on the command line: the right exit code, one line for a fault, never a traceback.

`HYPOTHESIS_PROFILE=deep` tries 20,000 command lines in place of a derandomised few.
"""

import contextlib
import io
import json
import os
import resource
import shutil
import sys
import time
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
import typer.main
from builders import EXAMPLES
from cases import CASES, MOST_MB, MOST_SECONDS
from hypothesis import given
from hypothesis import strategies as st

from templategen.cli import main
from templategen.inputs.starters import starter_files

QUICK = "setting card"
FILES = {
    "shop.toml": starter_files("en")["shop.toml"].encode(),
    "job.toml": starter_files("en")["job.toml"].encode(),
    "list.csv": b"name,diameter,height\nA,300,140\n",
    "list.toml": b'[[blanks]]\ndiameter = 300\nheight = 140\n[[blanks]]\ndiameter = "x"\n',
    "record.csv": b"identity,date,mass\na,2026-05-02,900\na,2026-06-02,800\nb,2026-05-02,9\n",
    "logo.svg": (EXAMPLES / "club-logo.svg").read_bytes(),
    "logo.png": b"\x89PNG\r\n\x1a\nno picture",
    "text.pdf": b"%PDF-1.7\nno pages",
    "empty": b"",
    "-o": b"a name like an option",
    "a b\u202e.toml": b"units = 'mm'",
    "$x$ [red]%%d.csv": b"date,mass\n2026-05-02,900\n2026-06-02,700\n",
    "\udcff.csv": b"date,mass\n2026-05-02,900\n",
}
PLACES = ["dir", "dir/in", ".", "..", "../up", "no/such", "pipe", "empty/below", "\udcff", "pack"]
SIZES = [
    "400x180", "300x140", "16 inx7 in", "50x20", "1500x20", "1500.1x20", "400", "x", "x180",
    "400xx180", "-400x180", "1e9x1", "nanxinf", "400×180", "4 0 0x180", "1/0 inx3",
]  # fmt: skip
FIGURES = [
    "0", "-0", "1", "-1", "2", "20", "50", "120", "0.2", "10 %", "1e308", "1e-308", "nan", "inf",
    "-inf", "1e999", "9" * 400, "0." + "0" * 400 + "1", "1/3", "3/0", "4 3/4 in", "0x10", "1_0",
    "²", "٣", "1,5", "１２", "",
]  # fmt: skip
NAMES = [
    "a4", "letter", "A5", "210x330", "9x9", "mm", "in", "both", "pdf", "svg", "dxf", "pdf,svg",
    QUICK, "tag", "gauge stick", "cutter arc", "no part", "American sycamore", "maple", "study",
    "179.2/180", "251.0/250", "1:1", "7/6 63/64", "200-500/25", "300-300", "300-320/1e-9",
    "50-1500/0.1", "2026-05-02", "2026-02-30", "a.svg", "a.png", "a.pdf", "dir/a.svg", "a.txt",
]  # fmt: skip
HOSTILE = [
    "--", "-", "--=", "=", "--out=", "-x", "--nix", "\x1b[31m", "[red]x[/red]", "{x}", "%s%n",
    "$(x)", "`x`", "; x", "| x", "&", "*", "?", "~", "\n", "\t", " ", "\u202e", "\ud800", "\udcff",
    "../../../../x", "..\\x", "CON", "nul.pdf", "a" * 255, "a" * 300, "x/" * 200, "ı", "İ", "ß",
    "=cmd|'/c x'!A1", "<b>", "</svg>", "&amp;", "\\P", "%%d", "\N{ZERO WIDTH JOINER}", "😀" * 20,
]  # fmt: skip


def _words_of() -> dict[str, list[tuple[list[str], bool]]]:
    """Every command with its options: their names, and whether a value follows."""
    found: dict[str, list[tuple[list[str], bool]]] = {}
    top = typer.main.get_command(main.app)
    waiting = [("", top)]
    while waiting:
        name, command = waiting.pop()
        inner = getattr(command, "commands", {})
        waiting += [(f"{name} {key}".strip(), below) for key, below in inner.items()]
        found[name] = [
            (list(p.opts), not p.is_flag)
            for p in command.params
            if p.param_type_name == "option"
        ]  # fmt: skip
    return found


COMMANDS = _words_of()
SENSIBLE = {  # values that lead further in, by option; arguments by command
    "--out": ["dir", "new", "no/such/yet", "."],
    "--paper": ["a4", "letter", "a5", "210x330"],
    "--part": [QUICK, "tag", "gauge stick"],
    "--units": ["mm", "in", "both"],
    "--format": ["pdf", "svg", "dxf", "svg,dxf"],
    "--beam": ["0.2", "0.008 in"],
    "--blank": SIZES[:5],
    "--wood": ["American sycamore", "Black cherry"],
    "--shop": ["shop.toml"],
    "--job": ["job.toml"],
    "--diameters": ["300-320/10", "200-500/100"],
    "--heights": ["140-140", "80-200/40"],
    "--picture": ["a.svg"],
    "--pdf": ["a.pdf"],
    "--plot": ["a.svg", "a.png"],
    "--chord": ["120", "4 3/4 in"],
    "--rise": ["20", "1/2 in"],
    "--across": ["179.2/180", "0.99"],
    "--down": ["251/250", "1.01"],
    "--printer": ["study"],
    "--logo": ["logo.svg"],
    "--name": ["Club (invented)"],
    "--jobs": ["1"],
    "--bowl": ["a", "b"],
    "--target": ["10"],
    "--temperature": ["20"],
    "--humidity": ["50"],
    "--dry-mass": ["700 g"],
    "--date": ["2026-05-02"],
    "plan": ["job.toml"],
    "pack": ["job.toml"],
    "chart": ["shop.toml"],
    "shop": ["shop.toml"],
    "club": ["list.csv", "list.toml"],
    "dry": ["record.csv", "$x$ [red]%%d.csv", "\udcff.csv"],
    "verify": ["text.pdf", "pack.pdf"],
    "reprint": ["text.pdf", "pack.pdf"],
    "start": ["new"],
    "printer add": ["study"],
    "printer remove": ["study"],
    "wood": ["maple", "Black cherry"],
}
VALUES = st.sampled_from([*FILES, *PLACES, *SIZES, *FIGURES, *NAMES, *HOSTILE])
LETTERS = st.text(
    st.characters(exclude_characters="\0/", exclude_categories=["Cs"]), max_size=12
)  # fmt: skip
# No system hands a program a nought among its words, and a path of random letters stays here.
WORD = VALUES | LETTERS


@st.composite
def _near_miss(draw: st.DrawFn, word: str) -> str:
    """The word, or the word with a letter lost, doubled or changed."""
    if not word or draw(st.integers(0, 9)):
        return word
    place = draw(st.integers(0, len(word) - 1))
    return word[:place] + draw(st.sampled_from(["", word[place] * 2, "x", "="])) + word[place + 1 :]


@st.composite
def _value(draw: st.DrawFn, name: str) -> str:
    """A value for an option or a command: mostly a sensible one."""
    if name in SENSIBLE and draw(st.integers(0, 3)):
        return draw(st.sampled_from(SENSIBLE[name]))
    return draw(WORD)


@st.composite
def _lines(draw: st.DrawFn) -> list[str]:
    """A command line: a command with options of its own, or with anything."""
    if not draw(st.integers(0, 29)):
        return draw(st.lists(WORD, max_size=6))
    command = draw(st.sampled_from(sorted(COMMANDS)))
    words = command.split()
    if not draw(st.integers(0, 9)):
        words = [draw(_near_miss(word)) for word in words]
    if draw(st.booleans()) or command not in SENSIBLE:
        words += [draw(_value(command)) for _ in range(draw(st.integers(0, 2)))]
    else:
        words.append(draw(_value(command)))
    options = COMMANDS[command]
    chosen = draw(st.lists(st.sampled_from(options), max_size=4)) if options else []
    if command in ("measure", "printer add") and draw(st.integers(0, 3)):
        chosen = options  # the ones that cannot be left out
    for names, takes in chosen:
        option = max(names, key=len)
        value = [draw(_value(option))] if takes else []
        if not draw(st.integers(0, 9)):
            option = draw(_near_miss(draw(st.sampled_from(names))))
        words += [f"{option}={value[0]}"] if value and draw(st.booleans()) else [option, *value]
    if command in ("pack", "club") and draw(st.integers(0, 7)):
        words += ["--part", QUICK]
    if not draw(st.integers(0, 29)):
        words.append("--help")
    return words


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder deep enough that no word leads out of it; one process a club; printers of its own.

    It stands a few folders down, so that names with ``../`` stay below the test's own.
    """
    top = tmp_path_factory.mktemp("any-words")
    here = top / "a" / "b" / "c" / "d" / "e"
    here.mkdir(parents=True)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("platformdirs.user_config_path", lambda *_, **__: top / "config")
        patched.setattr(os, "cpu_count", lambda: 1)
        before = Path.cwd()
        os.chdir(here)
        try:
            yield here
        finally:
            os.chdir(before)


@pytest.fixture(scope="module")
def pack(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A pack that the program printed."""
    assert run("pack", "--blank", "300x140", "--part", QUICK, "--out", "made")[0] == 0
    (made,) = (folder / "made").iterdir()
    return made.rename(tmp_path_factory.mktemp("made") / "pack.pdf")


def _fill(folder: Path) -> None:
    """The same files for every case."""
    for path in list(folder.iterdir()):
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()
    for name, data in FILES.items():
        (folder / name).write_bytes(data)
    (folder / "dir").mkdir()
    os.mkfifo(folder / "pipe")


def run(*words: str) -> tuple[int, str, str]:
    """Runs the program in this process on streams like a terminal's: exit code, out, err."""
    held = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in "oe"]
    with (
        pytest.MonkeyPatch.context() as patched,
        contextlib.redirect_stdout(held[0]),
        contextlib.redirect_stderr(held[1]),
    ):
        patched.setattr(sys, "argv", ["templategen", *words])
        try:
            main.run()
            code: object = "no exit"
        except SystemExit as ended:
            code = ended.code or 0
    out, err = (stream.buffer.getvalue().decode("utf-8") for stream in held)  # type: ignore[attr-defined]
    assert isinstance(code, int), code
    return code, out, err


@CASES
@given(_lines())
def test_any_words(folder: Path, pack: Path, words: list[str]) -> None:
    """Exit 0 to 3; a fault is told in lines a screen can show; 3 only where the disk refused."""
    _fill(folder)
    (folder / "pack.pdf").write_bytes(pack.read_bytes())
    begun = time.process_time()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    code, out, err = run(*words)
    assert time.process_time() - begun < MOST_SECONDS
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < MOST_MB * 1000
    said = out + err
    assert code in (0, 1, 2, 3), said
    assert "Traceback" not in said
    assert "program failed" not in said
    if code >= 2:
        assert err
    if code == 3:
        assert "cannot be" in err or "too long" in err  # what the disk says of a name
    shown = {unicodedata.category(c) for line in err.splitlines() for c in line}
    assert not shown & {"Cc", "Cs", "Zl", "Zp"}
    if "--json" in words and out.startswith("{"):
        json.loads(out, parse_constant=pytest.fail)
    made = [p for p in folder.rglob("*") if p.is_file() and p.name not in FILES]
    for path in made:
        assert not path.name.endswith(".part")
        if path.suffix == ".svg":
            ElementTree.parse(path)
    assert {p.name for p in folder.parents[4].iterdir()} <= {"a", "config"}
