"""Text, figures, files and pictures from strangers: shown as they are, or refused with a line."""

import contextlib
import io
import json
import os
import pty
import re
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pypdf
import pypdfium2
import pytest
from builders import demo_plan, read_job
from commands import ENV, Run
from strange_folder import plant_modules, plant_settings
from strange_pdf import page, strange_files, stream

from templategen.errors import InputError, LimitError
from templategen.limits import Limits
from templategen.messages import Wording
from templategen.output.names import safe_name, unique_names
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof import sandbox
from templategen.proof.recipe import recipe_bytes
from templategen.proof.sandbox import in_sandbox
from templategen.proof.untrusted import verified
from templategen.proof.verify import verify
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.units import Units

MARKED = (
    '<b>bold</b> <img src="x.png"/> &amp; ]]> %%d %%c ^J {\\fArial;z} \\P (a)b\\) $k$ =1+1 '
    "[red]q[/red] \ufffe"
)
SHOWN = MARKED.removesuffix(" \ufffe")  # the last is no character (Unicode Standard, 23.7)
SVG_ELEMENTS = {"svg", "title", "desc", "defs", "g", "path", "text"}  # of our own drawings
IDS = [
    "<i>R1</i>",
    "../../up",
    "/etc/x",
    "CON",
    "nul.",
    "R 1",
    "r-1",
    "R_1",
    "%%d \\P",
    "・・",
    "a" * 40,
]


def _job(title: str, ids: list[str]) -> None:
    """A job and a shop in this folder, their texts as a TOML file may hold them."""
    rows = "".join(
        f"[[cutters]]\nid = {json.dumps(name)}\nradius = {105 - n}\nkerf = 9\n"
        for n, name in enumerate(ids)
    )
    Path("shop.toml").write_text(
        f"name = {json.dumps(title)}\n{rows}[[jaws]]\nid = {json.dumps(ids[0])}\n"
        "true_circle = 100\ndepth = 14\n[[jaws]]\nid = '(\\\\'\ntrue_circle = 50\ndepth = 14\n",
        "utf-8",
    )
    Path("job.toml").write_text(
        f'title = {json.dumps(title)}\nshop = "shop.toml"\n[blank]\ndiameter = 300\nheight = 140\n'
        '[nest]\nwall = "10 %"\n',
        "utf-8",
    )


def test_mark_up_is_printed_as_it_is(run: Run) -> None:
    """Tags, entities, DXF codes, brackets of PDF strings and of screens: all stay letters.

    The PDF is read with pypdf and pdfium, the SVG as XML, the DXF with ezdxf.
    """
    _job(MARKED, ["<i>R1</i> %%d \\P", "R2"])
    words = ["--format", "pdf,svg,dxf", "--live-text", "--part", "cutter arc"]
    code, _, err = run("pack", "job.toml", *words, "--out", "o")
    assert (code, err) == (0, "")
    (pdf,) = Path("o").glob("*.pdf")
    reader = pypdf.PdfReader(pdf, strict=True)
    assert reader.metadata is not None
    assert reader.metadata.title == MARKED
    (held,) = reader.attachments["templategen-pack.json"]
    assert json.loads(held)["job"]["title"] == MARKED
    document = pypdfium2.PdfDocument(pdf.read_bytes())
    cover = document[0].get_textpage().get_text_range()
    document.close()
    assert SHOWN in cover.replace("\r\n", " ")
    bookmarks = [str(entry.title) for entry in _flat(reader.outline)]
    assert any("<i>R1</i> %%d \\P" in title for title in bookmarks)
    (plate,) = Path("o").glob("*-svg/cutter-arc-i-r1-i-d-p.svg")
    root = ElementTree.parse(plate).getroot()
    assert {e.tag.split("}")[1] for e in root.iter()} <= SVG_ELEMENTS
    assert any("<i>R1</i> %%d \\P" in (e.text or "") for e in root.iter())
    (plate,) = Path("o").glob("*-dxf/cutter-arc-i-r1-i-d-p.dxf")
    texts = [e.plain_text() for e in ezdxf.readfile(plate).modelspace().query("TEXT")]
    # the name is broken over two lines; \\U+005C is how DXF writes a backslash
    assert "<i>R1</i> %%d \\P" in " ".join(texts).replace("\\U+005C", "\\")
    assert run("verify", str(pdf))[0] == 0


def _flat(outline: object) -> Iterator[pypdf.generic.Destination]:
    for entry in outline:  # type: ignore[attr-defined]
        if isinstance(entry, list):
            yield from _flat(entry)
        else:
            yield entry


def test_pictures_stay_xml(run: Run) -> None:
    """The section and the plot of a record are XML, whatever is written in or on the files."""
    _job("\ufffe\ufdd0 <x> ]]>", ["R1", "R2"])
    assert run("plan", "job.toml", "--picture", "p.svg")[0] == 0
    words = [e.text or "" for e in ElementTree.parse("p.svg").iter()]
    assert any("<x> ]]>" in word for word in words)
    record = Path("\udcff\x01 <x> $a_{b$ \ufffe.csv")
    record.write_text("date,mass\n2026-05-02,900\n2026-06-02,800\n")
    code, _, err = run("dry", str(record), "--plot", "q.svg")
    assert (code, err) == (0, "")
    words = [e.text or "" for e in ElementTree.parse("q.svg").iter()]
    assert any("<x> $a_{b$" in word for word in words)


def test_a_screen_shows_brackets_as_they_are(tmp_path: Path) -> None:
    """Names like the codes of a screen library, beside the bar on a terminal: shown, not obeyed."""
    (tmp_path / "list.csv").write_text(
        "name,diameter,height\n[bold red]x[/] :smile: [link=http://x.invalid]y,3,140\nA,300,140\n"
    )
    leader, follower = pty.openpty()
    shown = subprocess.Popen(
        [sys.executable, "-m", "templategen", "club", "list.csv", "--part", "tag", "--jobs", "1"],
        cwd=tmp_path,
        env={**ENV, "TERM": "xterm", "COLUMNS": "200"},
        stdout=subprocess.DEVNULL,
        stderr=follower,
    )
    os.close(follower)
    seen = b""
    with contextlib.suppress(OSError):
        while block := os.read(leader, 65536):
            seen += block
    os.close(leader)
    assert shown.wait(timeout=60) == 1
    text = re.sub(r"\s+", " ", seen.decode())
    assert "[bold red]x[/] :smile: [link=http://x.invalid]y" in text
    assert "\x1b]8;" not in text  # the code that begins a link on a screen


def test_names_never_lead_out_of_the_folder(run: Run, tmp_path: Path) -> None:
    """Ids and titles that are paths, devices, too long or alike: own plain files, all inside."""
    beside = set(tmp_path.parent.iterdir())
    for title in ("../../up", "C:\\x", "CON", "x" * 200):
        _job(title, ["R1"])
        words = ["--part", "tag", "--out", "o"]
        assert run("pack", "job.toml", "--format", "pdf,svg", *words)[0] == 0
    _job("x", IDS)
    words = ["--part", "cutter arc", "--out", "o"]
    assert run("shop", "shop.toml", "--format", "pdf,dxf", *words)[0] == 0
    made = [p for p in Path("o").rglob("*") if p.is_file()]
    assert set(tmp_path.parent.iterdir()) == beside
    assert {p.name for p in Path().iterdir()} == {"o", "shop.toml", "job.toml"}
    for path in made:
        for name in path.relative_to("o").parts:
            assert re.fullmatch(r"[a-z0-9](?:[a-z0-9-]*[a-z0-9])?(?:\.(?:pdf|svg|dxf))?", name)
            assert len(name) <= 70
            assert name.split(".")[0] not in {"con", "nul", "prn", "aux"}
    arcs = [p.name for p in made if p.parent.name == "x-set-dxf" and "cutter-arc" in p.name]
    assert len(arcs) == len(IDS)  # R 1, r-1 and R_1 have a file each


@pytest.mark.parametrize(
    "text",
    ["..", ".", "", "...", "/", "/etc/x", "nul.txt.", "x. . .", "．．／ｘ", "con", "CON.txt",
     "com1", "COM¹", "lpt9.x", "a.", "a ", "\u0430",
     "ａ", "a\u0301", "﹒﹒／", "x" * 10_000, "\u202e", "-rf", "~", "$HOME", "🙂", "İ", "²"],
)  # fmt: skip
def test_any_name_is_plain(text: str) -> None:
    """Letters, digits and hyphens in the middle, 1 to 68 of them; never a device of Windows."""
    name = safe_name(text)
    assert re.fullmatch(r"[a-z0-9](?:[a-z0-9-]*[a-z0-9])?", name)
    assert len(name) <= 68
    assert name.split("-")[0] not in {"con", "com1"} or "-" in name
    assert len(set(unique_names([text, text, name, name.upper()]))) == 4


def test_a_club_of_strange_names(run: Run, tmp_path: Path) -> None:
    """Names alike after cleaning have packs of their own; the club's name chooses no folder."""
    beside = set(tmp_path.parent.iterdir())
    rows = "".join(f'"{name}",260,130\n' for name in ("../a", "A", "a.", "/a", "=1+1"))
    Path("list.csv").write_text(f"name,diameter,height\n{rows}")
    words = ["--part", "tag", "--jobs", "1", "--out", "o", "--name", "../../<b>x</b>"]
    code, _, err = run("club", "list.csv", *words)
    assert (code, err) == (0, "")
    assert len(list(Path("o").glob("*.pdf"))) == 5
    assert (Path("o") / "b-x-b.zip").is_file()
    assert set(tmp_path.parent.iterdir()) == beside
    assert {p.name for p in Path().iterdir()} <= {"o", "list.csv", "config"}
    text = (Path("o") / "index.html").read_text("utf-8")
    assert "&lt;b&gt;x&lt;/b&gt;" in text
    assert "<b>" not in text


FIGURES = [
    "1e308",
    "-1e308",
    "1e-308",
    "-0.0",
    "nan",
    "-inf",
    "inf",
    "1" + "0" * 400,
    "0.1" + "0" * 300,
]


@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f[:8])
@pytest.mark.parametrize("quoted", [False, True], ids=["bare", "quoted"])
def test_figures_beyond_all_bounds(figure: str, quoted: bool, run: Run) -> None:
    """In every place of a length or a number: read within its bounds, or refused with its place."""
    written = f'"{figure}"' if quoted else figure
    _job("x", ["R1", "R2"])
    shop, job = Path("shop.toml").read_text(), Path("job.toml").read_text()
    for name, old in (
        ("shop.toml", "radius = 105"),
        ("shop.toml", "kerf = 9"),
        ("shop.toml", "true_circle = 100"),
        ("job.toml", "diameter = 300"),
        ("job.toml", 'wall = "10 %"'),
    ):
        text = shop if name == "shop.toml" else job
        Path("shop.toml").write_text(shop)
        Path("job.toml").write_text(job)
        Path(name).write_text(text.replace(old, f"{old.split(' =')[0]} = {written}", 1))
        code, _, err = run("plan", "job.toml")
        assert code == 2, (old, err)
        assert len(err.splitlines()) == 1
        assert err.startswith(f"{name}: ")
        assert len(err) < 300
    if quoted:  # on the command line all is text
        return
    for words in (
        ["plan", "--blank", f"{figure}x180"],
        ["measure", "--chord", figure, "--rise", "2"],
        ["pack", "--format", "svg", "--beam", figure],
        ["chart", "--diameters", f"{figure}-{figure}"],
        ["chart", "--heights", f"100-200/{figure}"],
        ["pack", "--paper", f"{figure}x200"],
        ["printer", "add", "x", f"--across={figure}", "--down=1"],
    ):
        code, _, err = run(*words)
        assert code == 2, (words, err)
        assert len(err.splitlines()) == 1


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of the test's own, the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="module")
def recipe() -> bytes:
    """The recipe of a pack of one kind of part of the built-in demo."""
    plan, style = demo_plan(), PrintStyle(units=Units.MM)
    parts = make_parts(plan, kinds=("gauge stick",), style=style)
    pack = make_pack(plan, parts, frame=PageFrame(paper=paper_named("a4")), style=style)
    return recipe_bytes(plan, pack)


@pytest.mark.parametrize("name", sorted(strange_files(b"{}")))
def test_a_strangers_pdf(name: str, recipe: bytes, here: Path) -> None:
    """Bombs, circles, lies and halves: a line, or compared and found wanting.

    Neither this process nor the sandbox swells by 500 MB; the kinder files are read without it.
    """
    data, message, is_cruel = strange_files(recipe)[name]
    path = here / "x.pdf"
    path.write_bytes(data)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    # Of all children so far; and on Linux one counts what this process held when it began.
    earlier = max(before, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
    lines: tuple[str, ...] = ()
    try:
        report = verified(path) if is_cruel else verify(data, "x.pdf")
        assert not report.is_true
    except InputError as error:
        lines = error.lines()
    assert bool(lines) or not message
    assert all(line.startswith("x.pdf: ") and message in line for line in lines)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000  # kB
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss < max(500_000, 1.1 * earlier)


@pytest.mark.skipif(sys.platform == "win32", reason="no such limits there")
def test_work_without_end_is_ended(
    recipe: bytes, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An outside of 500 points and 60 pages of 5000 lines: refused when its time is over."""
    told = json.loads(recipe)
    told["job"]["blank"]["outside"] = [[196 - n / 10, n * 0.3] for n in range(500)]
    content = stream(b"0 0 m " + b"9 9 l 10 9 l " * 2499 + b"S")
    Path("x.pdf").write_bytes(page(content, stream(json.dumps(told).encode()), pages=60))
    monkeypatch.setattr(sandbox, "LIMITS", Limits(memory=400_000_000, work=1))
    code, _, err = run("verify", "x.pdf")
    assert code == 2
    assert err.startswith("x.pdf: takes more than 1 s of a processor's time to be read")


def test_a_sandbox_that_cannot_start_blames_no_file(
    recipe: bytes, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No Python, or no room for it: the machine's fault, exit 3, and not a word of the file."""
    Path("x.pdf").write_bytes(page(stream(b""), stream(recipe)))
    monkeypatch.setattr(sandbox, "LIMITS", Limits(memory=30_000_000, work=1))
    code, _, err = run("verify", "x.pdf")
    assert (code, err.count("\n")) == (3, 1)
    assert err.startswith("the process that reads strange files could not start")
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    code, _, err = run("verify", "x.pdf")
    assert (code, err.count("\n")) == (3, 1)
    assert err.startswith("a process cannot be started (No such file or directory)")


@pytest.mark.parametrize("command", ["verify", "reprint"])
def test_nothing_in_the_folder_is_run(command: str, recipe: bytes, here: Path) -> None:
    """Modules and settings beside a pack, or in the home folder, are not run or obeyed."""
    (here / "x.pdf").write_bytes(page(stream(b""), stream(recipe)))
    plant_modules(here)
    plant_settings(here)
    done = subprocess.run(
        [sys.executable, "-m", "templategen", command, "x.pdf"],
        env={**ENV, "HOME": str(here)},
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr) == (1 if command == "verify" else 0, "")
    assert not (here / "was-run").exists()


@pytest.mark.parametrize("digits", [300, 400, 4000])
def test_a_figure_of_many_digits_in_a_recipe(digits: int, recipe: bytes) -> None:
    """More than a float can hold, where the plan is compared: a line, not a slip."""
    told = json.loads(recipe)
    for sign in (1, -1):
        told["plan"]["bowls"][0]["outline"][1][1] = sign * 10**digits
        data = json.dumps(told).encode()
        with pytest.raises(InputError, match="so other than its job and shop give") as fault:
            verify(page(stream(b""), stream(data)), "x.pdf")
        assert len(str(fault.value)) < 700


def test_a_locked_pack_and_one_that_is_open_to_read(recipe: bytes) -> None:
    """Encrypted with a password: refused. With the empty one: read like any other."""
    for password, message in (("secret", "is not a PDF that can be read"), ("", "")):
        writer = pypdf.PdfWriter()
        writer.add_blank_page(595, 842)
        writer.add_attachment("templategen-pack.json", recipe)
        writer.encrypt(password, owner_password="owner", algorithm="RC4-128")
        out = io.BytesIO()
        writer.write(out)
        if message:
            with pytest.raises(InputError, match=message):
                verify(out.getvalue(), "x.pdf")
        else:
            assert "/Encrypt" not in str(verify(out.getvalue(), "x.pdf").rows[0].note)


def test_the_sandbox_is_ended_in_time(
    recipe: bytes, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the clock runs out the file is refused, and the process is gone."""
    (here / "x.pdf").write_bytes(page(stream(b""), stream(recipe)))
    monkeypatch.setattr(sandbox, "WAIT", 0.0)
    with pytest.raises(InputError, match="takes more than 0 s to be read"):
        verified(here / "x.pdf")


def test_what_the_sandbox_tells() -> None:
    """Its faults keep their kinds and languages; a slip is said; too much memory as well."""
    with pytest.raises(RuntimeError, match="TypeError"):
        in_sandbox("templategen.proof.logo:picture", where="x")
    with pytest.raises(InputError, match="is neither PNG nor SVG") as fault:
        in_sandbox("templategen.proof.logo:picture", b"x", "x.png", where="x")
    (line,) = fault.value.lines(Wording("de"))
    assert line.startswith("x.png: ist weder PNG noch SVG")
    with pytest.raises(LimitError, match="more than 400 MB of memory"):
        in_sandbox("builtins:bytearray", 500_000_000, where="x")


TEXTS = {
    "a key of many parts": ("shop", f"a{'.a' * 400_000} = 1", "a key of more than 40 parts"),
    "many long keys": (
        "shop",
        "".join("a" + ' . "a"' * 45 + f".b{n} = 1\n" for n in range(3000)),
        "a key of more than 40 parts",
    ),
    "many keys": ("shop", "".join(f"k{n} = 1\n" for n in range(80_000)), "unknown key"),
    "many tables": ("shop", "[[cutters]]\n" * 80_000, "write [[cutters]], at most 60"),
    "arrays in arrays": ("shop", "a = " + "[" * 300_000, "not TOML"),
    "many digits": ("shop", "a = " + "9" * 900_000, "not TOML"),
    "many pieces": (
        "record",
        "identity,date,mass\n" + "".join(f"p{n},2026-05-02,900\n" for n in range(15_000)),
        "names more than 200 bowls",
    ),
    "many rows": ("record", "date,mass\n" + "x\n" * 400_000, "more than 20000 rows"),
    "many bad rows": ("record", "date,mass\n" + "x\n" * 15_000, "14900 more rows like these"),
    "many quotes": ("record", "date,mass\n" + '"' * 900_000, "has 1 of the columns"),
    "many columns": ("record", ",".join(["mass"] * 150_000), "lack a date and one mass"),
}


@pytest.mark.parametrize("name", TEXTS)
def test_a_megabyte_that_means_ill(name: str, run: Run) -> None:
    """Whatever a file of a megabyte holds, it is refused within seconds, in a hundred lines."""
    kind, text, message = TEXTS[name]
    Path("file").write_text(text)
    begun = time.process_time()
    words = {"shop": ["plan", "--shop", "file"], "record": ["dry", "--no-plot", "file"]}[kind]
    code, _, err = run(*words)
    assert time.process_time() - begun < 5
    assert code == 2
    assert message in err
    assert len(err.splitlines()) <= 110


def test_dots_in_a_long_text_are_no_key(run: Run) -> None:
    """Sentences and drawn outsides hold many dots and are read as they are."""
    _job("x", ["R1", "R2"])
    points = ", ".join(f"[{140.5 - n / 10}, {n / 10}]" for n in range(400))
    text = Path("job.toml").read_text() + f"# {'see www. ' * 50}\n"
    Path("job.toml").write_text(text.replace("height = 140", f"height = 140\noutside = [{points}]"))
    assert len(read_job(Path("job.toml")).blank.outside) == 400


def test_a_pipe_is_no_list(run: Run) -> None:
    """A list is read twice, so a pipe is refused and not waited for."""
    os.mkfifo("list.csv")
    code, _, err = run("club", "list.csv")
    assert code == 2
    assert err.strip() == "list.csv: is no file; name a .toml or a .csv file"
