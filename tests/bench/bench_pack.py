"""How long packs take, against processes that only import and draw as much.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_pack.py` runs them. Figures
once measured stand in DEVELOPERS.md. Times are processor time of the process and its children, the
least of several rounds, so that a busy machine does not count.
"""

import re
import resource
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest
from builders import EXAMPLES

from templategen.parts.lettering import font_path

ROUNDS = 9
OPERATORS = {b"m": "moveTo", b"l": "lineTo", b"c": "curveTo", b"re": "rect"}
LOADED = """
import sys
from templategen.cli.main import app
try:
    app({words!r}, standalone_mode=False)
finally:
    own = sys.argv[1] == "own"
    names = [n for n in sys.modules if n.startswith("templategen") == own and n != "__main__"]
    sys.stderr.write(" ".join(names))
"""  # the modules a command has loaded at its end
FLOOR = """
import importlib, io, sys
for name in open(sys.argv[1]).read().split():
    try:
        importlib.import_module(name)
    except ImportError:
        pass  # made by another module as it is loaded
"""
DRAWN = """
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
rl_config.useA85 = 0
for name, path in zip(("plain", "bold"), sys.argv[3:]):
    pdfmetrics.registerFont(TTFont(name, io.BytesIO(open(path, "rb").read())))
canvas = Canvas(sys.argv[2] + ".pdf", invariant=1, pageCompression=1, initialFontName="plain")
for page in {pages!r}:
    for numbers, operators in page["paths"]:
        run = canvas.beginPath()
        take = iter(numbers)
        for operator, count in operators:
            getattr(run, operator)(*[next(take) for _ in range(count)])
        canvas.drawPath(run)
    for font, size, string in page["texts"]:
        run = canvas.beginText()
        run.setFont(font, size)
        run.textOut(string)
        canvas.drawText(run)
    canvas.showPage()
canvas.save()
"""
EMPTY = """
import typer
app = typer.Typer()
@app.command()
def nothing() -> None: pass
app(args=[], standalone_mode=False)
"""
HELP = """
import typer
app = typer.Typer()
@app.command()
def nothing() -> None: pass
app(args=["--help"], standalone_mode=False)
"""


@pytest.fixture(autouse=True, scope="module")
def _byte_code(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Byte code is kept from run to run, as it is for an installed program."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        patch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path_factory.mktemp("byte-code")))
        yield


def _spent(*words: str) -> float:
    """Processor time of one whole process, user and system, s."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def _least(*commands: tuple[str, ...]) -> list[float]:
    """The least time of each command; they take turns, so that all see the same machine."""
    taken = [[_spent(*words) for words in commands] for _ in range(ROUNDS)]
    return [min(column) for column in zip(*taken, strict=True)]


def _drawn(path: Path) -> list[dict[str, list[object]]]:
    """What the pages of a pack draw: every path and string, as reportlab's canvas takes them."""
    pages = []
    for page in pypdf.PdfReader(path).pages:
        paths: list[object] = []
        texts: list[object] = []
        numbers: list[float] = []
        operators: list[tuple[str, int]] = []
        face, size = "plain", 9.0
        for operands, operator in page.get_contents().operations:
            if operator in OPERATORS:
                numbers += [float(n) for n in operands]
                operators.append((OPERATORS[operator], len(operands)))
            elif operator == b"h":
                operators.append(("close", 0))
            elif operator in (b"S", b"s", b"f", b"f*", b"B", b"B*", b"b", b"n") and operators:
                paths.append((numbers, operators))
                numbers, operators = [], []
            elif operator == b"Tf":
                font = page["/Resources"]["/Font"][operands[0]]["/BaseFont"]
                face, size = ("bold" if "Bold" in font else "plain"), float(operands[1])
            elif operator == b"Tj":
                texts.append((face, size, "n" * len(operands[0])))
        pages.append({"paths": paths, "texts": texts})
    # The letters themselves, so that the fonts embedded hold as many.
    for page, shown in zip(pages, pypdf.PdfReader(path).pages, strict=True):
        letters = re.sub(r"\s+", "", shown.extract_text())
        for n, (face, size, string) in enumerate(page["texts"]):
            taken, letters = letters[: len(string)], letters[len(string) :]
            page["texts"][n] = (face, size, taken.ljust(len(string), "n"))
    return pages


def test_pack_as_a_process(tmp_path: Path) -> None:
    """`pack` of the 400 × 180 example against a process that imports and draws as much."""
    pack = ("pack", str(EXAMPLES / "lakeside-400.toml"), "--out", str(tmp_path / "out"))
    found = {}
    for whose in ("other", "own"):
        code = LOADED.format(words=pack)
        ran = subprocess.run([sys.executable, "-c", code, whose], capture_output=True, check=True)
        found[whose] = ran.stderr.decode().split()
    (made,) = (tmp_path / "out").glob("*.pdf")
    pages = _drawn(made)
    (tmp_path / "modules").write_text(" ".join(found["other"]))
    (tmp_path / "all").write_text(" ".join(found["other"] + found["own"]))
    (tmp_path / "floor.py").write_text(FLOOR + DRAWN.format(pages=pages))
    (tmp_path / "imports.py").write_text(FLOOR)
    fonts = [str(font_path(bold=bold)) for bold in (False, True)]
    floor, over_own, imports, packed = _least(
        (str(tmp_path / "floor.py"), str(tmp_path / "modules"), str(tmp_path / "floor"), *fonts),
        (str(tmp_path / "floor.py"), str(tmp_path / "all"), str(tmp_path / "floor"), *fonts),
        (str(tmp_path / "imports.py"), str(tmp_path / "modules")),
        ("-m", "templategen", *pack),
    )
    steps = sum(len(operators) for page in pages for _, operators in page["paths"])
    strings = sum(len(page["texts"]) for page in pages)
    drawn = pypdf.PdfReader(tmp_path / "floor.pdf")
    assert len(drawn.pages) == len(pages)
    sys.stdout.write(
        f"{len(pages)} pages, {steps} path operations, {strings} strings; "
        f"imports {imports * 1e3:.0f} ms, floor {floor * 1e3:.0f} ms "
        f"(with the program's own modules {over_own * 1e3:.0f} ms), pack {packed * 1e3:.0f} ms: "
        f"{packed / floor:.2f} x ({packed / over_own:.2f} x)\n"
    )


def test_help_as_a_process() -> None:
    """`--help` against typer and an empty command, and against the help of an empty command."""
    empty, own_help, helped = _least(("-c", EMPTY), ("-c", HELP), ("-m", "templategen", "--help"))
    sys.stdout.write(
        f"empty typer command {empty * 1e3:.0f} ms, its help {own_help * 1e3:.0f} ms, "
        f"--help {helped * 1e3:.0f} ms: {helped / empty:.2f} x ({helped / own_help:.2f} x)\n"
    )
