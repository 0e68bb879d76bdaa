"""Runs of a list: a hand-out for each bench, a set for each shop, index and zip; run after run."""

import html.parser
import io
import os
import pty
import re
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
from club_runs import Club, files_of, write_list
from commands import ENV, PROGRAM, ROOT, run_command
from PIL import Image

CLUB = "Lakeside <Turners> & Söhne (invented)"
LIST = f"""\
name = "{CLUB}"
papers = ["a4"]
date = 2026-05-02
shop = "{ROOT}/examples/lakeside-shop.toml"
[nest]
wall = "10 %"
[[blanks]]
name = "Jörg"
diameter = 300
height = 140
paper = ["a4", "letter"]
[[blanks]]
name = "../../Bob & <b>"
diameter = 260
height = "5 in"
wood = "American sycamore"
[[blanks]]
name = "Cut short"
diameter = -3
height = 140
[[blanks]]
name = "Too small"
diameter = 120
height = 40
[[blanks]]
name = "Near the door"
job = "{ROOT}/examples/inch-15.toml"
"""
SETS = {
    "shop-lakeside-shed-invented-set-a4.pdf",
    "shop-mill-road-barn-invented-set-a4.pdf",
}
BENCHES = {  # file by the title of its PDF
    "001-joerg-a4.pdf": "1 · Jörg",
    "001-joerg-letter.pdf": "1 · Jörg",
    "002-bob-b-a4.pdf": "2 · ../../Bob & <b>",
    "005-near-the-door-a4.pdf": "5 · Near the door · Mill Road ash (invented)",
}


class _Tags(html.parser.HTMLParser):
    """The pictures, links, tags and words of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.sources: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.sources += [v or "" for k, v in attrs if k == "src"]
        self.links += [v or "" for k, v in attrs if k == "href"]

    def handle_data(self, data: str) -> None:
        self.words += f"{data} "


def _listed(folder: Path, count: int = 3) -> None:
    """A list of benches that are quick to make."""
    write_list(folder / "list.csv", *(f"T{n},{230 + 5 * (n % 10)},120" for n in range(count)))


@pytest.fixture(scope="module")
def made(club: Club, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """The folder of a run over `LIST`, and what it said of faults."""
    folder = tmp_path_factory.mktemp("made")
    (folder / "list.toml").write_text(LIST, encoding="utf-8")
    done = club("list.toml", "--out", "one", cwd=folder)
    assert done.returncode == 1
    return folder, done.stderr.splitlines()


def test_bad_entries_are_named_and_the_others_made(made: tuple[Path, list[str]]) -> None:
    """Exit 1, a line for each; one PDF a bench and paper, one set a shop, whatever the paper."""
    folder, lines = made
    assert (
        lines[0] == 'skipped: list.toml: blanks[3] "Cut short".diameter: -3 mm is out of bounds; '
        "give 50 to 1500 mm"
    )
    assert lines[1].startswith('skipped: list.toml: blanks[4] "Too small": ')
    assert lines[2] == "2 of 5 entries skipped, each named above."
    assert len(lines) == 3
    assert {p.name for p in (folder / "one").glob("*.pdf")} == SETS | BENCHES.keys()


def test_number_and_name_stand_wherever_a_bench_is_read(made: tuple[Path, list[str]]) -> None:
    """In the PDF's title, on its first page under the club's name, and in every footer.

    A hand-out is one or two pages; its PDF is dated as the list (ISO 32000-2, 14.3.3).
    """
    folder, _ = made
    for name, title in BENCHES.items():
        reader = pypdf.PdfReader(folder / "one" / name, strict=True)
        assert reader.metadata is not None
        assert reader.metadata.title == title
        date = "D:20260709" if name.startswith("005") else "D:20260502"  # the job's own first
        assert reader.metadata["/CreationDate"] == date
        assert len(reader.pages) <= 2
        pages = [page.extract_text() for page in reader.pages]
        assert CLUB in pages[0]
        assert all(title in page for page in pages)
        number, _, bench = title.partition(" · ")
        rows = [row.strip() for row in pages[0].splitlines()]
        assert number in rows
        assert bench.split(" · ")[0] in rows


def test_the_index_names_all_and_leads_nowhere_else(made: tuple[Path, list[str]]) -> None:
    """Club, date, sheets by paper, cutters and bowls of each bench; names as text, not as tags."""
    out = made[0] / "one"
    tags = _Tags()
    tags.feed((out / "index.html").read_text(encoding="utf-8"))
    assert tags.tags.isdisjoint({"b", "turners", "script"})
    for words in (CLUB, "../../Bob & <b>", "2026-05-02", "Cutters in working order: R", "3 bowls"):
        assert words in tags.words
    assert tags.words.count("Not made") == 2
    assert len(tags.sources) == 3
    sheets = dict.fromkeys(("a4", "letter"), 0)
    for path in out.glob("*.pdf"):
        sheets[path.stem.rsplit("-", 1)[1]] += len(pypdf.PdfReader(path).pages)
    rows = " ".join(tags.words.split())
    assert f"A4 5 {sheets['a4']} Letter 1 {sheets['letter']}" in rows
    (archive,) = out.glob("*.zip")
    assert set(tags.links) == SETS | BENCHES.keys() | {archive.name}
    for name in (*tags.sources, *tags.links):
        assert (out / name).resolve().is_relative_to(out.resolve())
        assert (out / name).is_file()


def test_the_zip_holds_the_page_and_its_files(made: tuple[Path, list[str]]) -> None:
    """Byte for byte, dated as their jobs; its own page does not lead to the zip that it is in."""
    out = made[0] / "one"
    (archive,) = out.glob("*.zip")
    with zipfile.ZipFile(archive) as packed:
        assert packed.testzip() is None
        inside = {n.split("/", 1)[1]: packed.read(n) for n in packed.namelist()}
        dates = {i.filename.split("/", 1)[1]: i.date_time for i in packed.infolist()}
    page = inside.pop("index.html").decode("utf-8")
    assert archive.name not in page
    pictures = {p.relative_to(out).as_posix() for p in (out / "pictures").iterdir()}
    assert inside == {n: (out / n).read_bytes() for n in SETS | BENCHES.keys() | pictures}
    assert dates["index.html"] == dates["001-joerg-a4.pdf"] == (2026, 5, 2, 0, 0, 0)
    assert all(date > (2026, 1, 1) for date in dates.values())


def test_several_processes_write_the_same_bytes(made: tuple[Path, list[str]], club: Club) -> None:
    """Three at a time: the same faults and files, records included.

    Nothing in the current folder is run by them, whatever it is called.
    """
    folder, lines = made
    for name in ("pickle", "signal", "struct", "templategen"):
        (folder / f"{name}.py").write_text('raise SystemExit("this was run")\n')
    several = club("list.toml", "--out", "two", cwd=folder, jobs=3)
    assert several.returncode == 1
    assert sorted(several.stderr.splitlines()) == sorted(lines)
    assert files_of(folder / "two") == files_of(folder / "one")


def test_twenty_benches_in_one_shop(club: Club, tmp_path: Path) -> None:
    """At most two sheets each beside the one shop set, which is the last group of a whole pack."""
    _listed(tmp_path, 20)
    done = club("list.csv", "--out", "o", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    packs = {p.name: len(pypdf.PdfReader(p).pages) for p in (tmp_path / "o").glob("*.pdf")}
    (shop_set,) = (packs.pop(name) for name in list(packs) if name.startswith("shop-"))
    assert len(packs) == 20
    assert sum(packs.values()) <= 40
    assert f"To print: {sum(packs.values()) + shop_set} sheets of a4" in done.stdout


def test_full_packs_leave_the_shop_set_out(club: Club, tmp_path: Path) -> None:
    """`--full`: every sheet and every tag names number and bench; the shop's group is its set."""
    write_list(tmp_path / "list.csv", "Klaus,240,110")
    assert club("list.csv", "--out", "o", "--full", cwd=tmp_path).returncode == 0
    reader = pypdf.PdfReader(tmp_path / "o" / "001-klaus-a4.pdf")
    pages = [page.extract_text() for page in reader.pages]
    assert len(pages) > 2
    assert all("1 · Klaus" in page for page in pages)
    tags = [page for page in pages if "weighed green" in page or "bowl 1 of" in page]
    assert tags
    assert all(page.count("1 · Klaus") > len(re.findall("bowl . of", page)) for page in tags)
    assert not any("Once for this shop" in page for page in pages)
    assert len(list((tmp_path / "o").glob("shop-*.pdf"))) == 1


def test_shop_sets_are_left_out_where_nobody_needs_them(club: Club, tmp_path: Path) -> None:
    """The shop says that it has its set, or the list names the parts that it wants."""
    _listed(tmp_path, 1)
    assert club("list.csv", "--out", "a", "--part", "tag", cwd=tmp_path).returncode == 0
    with (tmp_path / "toy.toml").open("a", encoding="utf-8") as file:
        file.write("[rules.print]\nhas_shop_set = true\n")
    assert club("list.csv", "--out", "b", cwd=tmp_path).returncode == 0
    for out in ("a", "b"):
        assert [p.name for p in (tmp_path / out).glob("*.pdf")] == ["001-t0-a4.pdf"]
        assert "Shop sets" not in (tmp_path / out / "index.html").read_text("utf-8")


def test_an_interrupted_run_goes_on(club: Club, tmp_path: Path) -> None:
    """Ctrl-C leaves whole packs and says how to go on; the next run makes only what is missing."""
    _listed(tmp_path, 16)
    words = [*PROGRAM, "club", "list.csv", "--out", "o", "--jobs", "2"]
    first = subprocess.Popen(
        words, cwd=tmp_path, env={**ENV, **_settings()}, stderr=subprocess.PIPE, text=True
    )
    out = tmp_path / "o"
    deadline = time.monotonic() + 60
    while len(list(out.glob("*.pdf"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.02)
    first.send_signal(signal.SIGINT)
    _, said = first.communicate(timeout=60)
    assert first.returncode == 130
    assert said == "Stopped. The same command goes on from here.\n"
    before = {p: p.stat().st_mtime_ns for p in out.glob("*.pdf")}
    assert 2 <= len(before) < 16
    assert not (out / "index.html").exists()
    damaged = min(before)
    damaged.write_bytes(damaged.read_bytes()[:-100])
    again = club("list.csv", "--out", "o", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert f"17 PDFs, kept from an earlier run: {len(before) - 1}" in again.stdout
    for path, when in before.items():
        assert (path.stat().st_mtime_ns == when) == (path != damaged)
    assert not [p for p in out.rglob("*") if p.name.endswith(".part")]


def _settings() -> dict[str, str]:
    return {"XDG_CONFIG_HOME": os.environ["XDG_CONFIG_HOME"]}


def test_a_killed_run_leaves_nothing_behind(tmp_path: Path) -> None:
    """No process, no semaphore and no warning of one (POSIX: /dev/shm, as Linux keeps them)."""
    _listed(tmp_path, 30)
    before = set(Path("/dev/shm").glob("sem.*"))
    first = subprocess.Popen(
        [*PROGRAM, "club", "list.csv", "--jobs", "2", "--out", "o"],
        cwd=tmp_path,
        env={**ENV, **_settings()},
        stderr=subprocess.PIPE,
        text=True,
    )
    deadline = time.monotonic() + 60
    while not list((tmp_path / "o").glob("*.pdf")) and time.monotonic() < deadline:
        time.sleep(0.02)
    first.kill()
    _, said = first.communicate(timeout=60)  # ends when no process holds the pipe any more
    assert said == ""
    assert set(Path("/dev/shm").glob("sem.*")) <= before


def test_what_changed_is_made_again(club: Club, tmp_path: Path) -> None:
    """Another wall, another name of the club: the packs that change are made, no other.

    A bench that leaves the list is set aside; the others keep their numbers, a new one gets a
    number that nobody had, and one that comes back has its own again.
    """

    def run(*rows: str, name: str = "C") -> str:
        write_list(tmp_path / "list.csv", *rows, heading="name,diameter,height,wall")
        done = club("list.csv", "--out", "o", "--name", name, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def packs(folder: str) -> list[str]:
        return sorted(p.name for p in (tmp_path / folder).glob("[0-9]*.pdf"))

    a, b, c, d = "Ä,240,110,22", "B,240,110,22", "C,240,110,22", "D,240,110,22"
    run(a, b, c)
    assert packs("o") == ["001-ae-a4.pdf", "002-b-a4.pdf", "003-c-a4.pdf"]
    assert "4 PDFs, kept from an earlier run: 3" in run(a, "B,240,110,24", c)
    kept = (tmp_path / "o" / "003-c-a4.pdf").stat().st_mtime_ns
    told = run(a, d, c)
    assert "1 PDF that is no longer in the list is in o/old" in told
    assert packs("o") == ["001-ae-a4.pdf", "003-c-a4.pdf", "004-d-a4.pdf"]
    assert packs("o/old") == ["002-b-a4.pdf"]
    assert (tmp_path / "o" / "003-c-a4.pdf").stat().st_mtime_ns == kept
    page = (tmp_path / "o" / "index.html").read_text("utf-8")
    assert "002-b" not in page
    assert re.findall(r'number">(\d)', page) == ["1", "4", "3"]
    run(b, a, name="Another club")
    assert packs("o") == ["001-ae-a4.pdf", "002-b-a4.pdf"]
    run(a, name="Another club")
    assert packs("o/old") == [
        "002-b-a4-2.pdf", "002-b-a4.pdf", "003-c-a4.pdf", "004-d-a4.pdf"
    ]  # fmt: skip
    assert [p.name for p in (tmp_path / "o").glob("*.zip")] == ["another-club.zip"]


def test_benches_of_one_name_or_of_another_script(club: Club, tmp_path: Path) -> None:
    """They are told apart; letters that the font lacks are told and never printed as boxes."""
    names = ("Anna", "anna ", "Анна", "栗の鉢", "Zoë 栗", "", "", "דוד")
    write_list(tmp_path / "list.csv", *(f"{name},240,110" for name in names))
    done = club("list.csv", "--out", "o", "--name", "木 club", cwd=tmp_path)
    assert done.returncode == 0
    titles = {
        p.name: str(pypdf.PdfReader(p).metadata.title)  # type: ignore[union-attr] # there is one
        for p in sorted((tmp_path / "o").glob("0*.pdf"))
    }
    assert titles == {
        "001-anna-a4.pdf": "1 · Anna",
        "002-anna-2-a4.pdf": "2 · anna (2)",
        "003-bench-a4.pdf": "3 · Анна",
        "004-bench-a4.pdf": "4",
        "005-zoe-a4.pdf": "5 · Zoë ?",
        "006-blank-240-110-a4.pdf": "6 · Blank 240 × 110",
        "007-blank-240-110-2-a4.pdf": "7 · Blank 240 × 110 (2)",
        "008-bench-a4.pdf": "8",
    }
    assert done.stderr.splitlines() == [
        "note: the print cannot show 木: it says '? club'",
        'note: list.csv line 3 "anna": the name stands more than once: this one is called '
        "'anna (2)'",
        'note: list.csv line 5 "栗の鉢": the print cannot show 栗 の 鉢: it says the number alone',
        "note: list.csv line 6 \"Zoë 栗\": the print cannot show 栗: it says 'Zoë ?'",
        'note: list.csv line 9 "דוד": the print cannot show ד ו: it says the number alone',
    ]
    for path in (tmp_path / "o").glob("0*.pdf"):
        text = "".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
        assert not set(text) & set("栗の鉢木\ufffd\x00")


def test_hidden_characters_never_reach_the_screen(club: Club, tmp_path: Path) -> None:
    """ESC, OSC and line breaks of names and of files are shown written out, a line a fault."""
    evil = "a\x1b]0;title\x07\x1b[31m\nb"
    text = evil.replace("\x1b", "\\u001b").replace("\x07", "\\u0007").replace("\n", "\\n")
    blanks = f'[[blanks]]\nname = "{text}"\ndiameter = 240\nheight = 110\n'
    blanks += f'[[blanks]]\nname = "B"\njob = "{text}.toml"\n'
    blanks += '[[blanks]]\nname = "C"\ndiameter = 240\nheight = 110\n'
    (tmp_path / f"{evil}.toml").write_text(blanks)
    done = club(f"{evil}.toml", "--out", evil, cwd=tmp_path)
    assert done.returncode == 1
    assert not set(done.stdout + done.stderr) & {"\x1b", "\x07"}
    assert len(done.stderr.splitlines()) == 3
    assert len(done.stdout.splitlines()) == 4
    assert r"\x1b" in done.stderr
    assert r"\x1b" in done.stdout


def test_faults_of_the_list_itself(club: Club, tmp_path: Path) -> None:
    """Settings are checked once, before any pack; nothing is written."""
    bench = "[[blanks]]\ndiameter = 300\nheight = 140\n"
    for text, message in (
        ('nam = "x"\n' + bench, "list.toml: nam: unknown key; did you mean 'name'?"),
        ("[nest]\nwal = 3\n" + bench, "list.toml: nest.wal: unknown key; did you mean 'wall'?"),
    ):
        (tmp_path / "list.toml").write_text(text)
        done = club("list.toml", "--out", "o", cwd=tmp_path)
        assert done.returncode == 2
        assert done.stderr.strip() == message
    _listed(tmp_path, 1)
    for words, message in (
        (["none.csv"], "none.csv: no such file; check the name"),
        (["list.txt"], "list.txt: is no list; name a .toml or a .csv file"),
        (["list.csv", "--paper", "leter"], "unknown paper 'leter'; did you mean 'letter'?"),
        (["list.csv", "--logo", "no.png"], "no.png: no such file; check the name"),
        (["list.csv", "--shop", "no.toml"], "no.toml: no such file; check the name"),
    ):
        done = club(*words, "--out", "o", cwd=tmp_path)
        assert done.returncode == 2
        assert message in done.stderr
        assert len(done.stderr.splitlines()) == 1
    done = club("list.csv", "--out", "o", cwd=tmp_path, jobs=0)
    assert "--jobs: 0 is out of bounds; give 1 to 64" in done.stderr
    assert not (tmp_path / "o").exists()


def test_memory_stays_the_same(tmp_path: Path) -> None:
    """Once ten benches are made, thirty more of the same sizes raise the peak by under 3 MB.

    Measured in one process, so that what it loads is counted before.
    """
    code = (
        "import resource, sys\n"
        "from pathlib import Path\n"
        "from templategen.app.clubs import ClubWishes, open_club, run_club\n"
        "peaks = []\n"
        "def note(done, faults, notes):\n"
        "    assert not faults, faults\n"
        "    peaks.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
        "run_club(open_club(Path('list.csv'), ClubWishes(processes=1)), Path('o'), note)\n"
        "print(peaks[9], peaks[39])\n"
    )
    _listed(tmp_path, 40)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={**ENV, **_settings()},
        capture_output=True,
        text=True,
        check=True,
    )
    ten, forty = map(int, done.stdout.split())  # kilobytes
    assert forty - ten < 3000


def test_bar_on_a_terminal_and_quiet_when_piped(club: Club, tmp_path: Path) -> None:
    """A terminal is shown how far the run is; a pipe gets nothing but the result."""
    _listed(tmp_path, 2)
    quiet = club("list.csv", "--out", "p", cwd=tmp_path)
    assert (quiet.returncode, quiet.stderr) == (0, "")
    leader, follower = pty.openpty()
    shown = subprocess.Popen(
        [*PROGRAM, "club", "list.csv", "--jobs", "1", "--out", "p"],
        cwd=tmp_path,
        env={**ENV, **_settings(), "TERM": "xterm"},
        stdout=subprocess.DEVNULL,
        stderr=follower,
    )
    os.close(follower)
    seen = b""
    while True:
        try:
            seen += os.read(leader, 65536)
        except OSError:
            break
    os.close(leader)
    assert shown.wait(timeout=60) == 0
    assert b"2/2" in seen


def _png(width: int, height: int) -> bytes:
    file = io.BytesIO()
    Image.new("RGBA", (width, height), (200, 0, 0, 255)).save(file, "PNG")
    return file.getvalue()


SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20">'
    '<rect x="0" y="0" width="40" height="20" fill="#c80000"/></svg>'
)


def test_a_hand_out_is_verified(made: tuple[Path, list[str]]) -> None:
    """`verify` knows it, with the club's name, and finds every figure true."""
    done = run_command("verify", "001-joerg-letter.pdf", cwd=made[0] / "one")
    assert done.returncode == 0, done.stdout


@pytest.mark.rendered
@pytest.mark.parametrize("kind", ["png", "svg"])
def test_the_logo_stands_on_the_cover(kind: str, club: Club, tmp_path: Path) -> None:
    """Pdfium sees the red picture, 36 × 18 mm in its own shape, in the top right of the cover.

    A club's hand-out printed anew from its recipe is the same file: name, picture and all.
    """
    data = _png(80, 40) if kind == "png" else SVG.encode()
    (tmp_path / f"logo.{kind}").write_bytes(data)
    _listed(tmp_path, 1)
    words = ["list.csv", "--logo", f"logo.{kind}", "--name", "Invented club", "--out", "o"]
    done = club(*words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    path = tmp_path / "o" / "001-t0-a4.pdf"
    document = pypdfium2.PdfDocument(path.read_bytes())
    page = document[0]
    picture = np.asarray(page.render(scale=150 / 72, rev_byteorder=True).to_numpy())[:, :, :3]
    page.close()
    document.close()
    red = (picture[:, :, 0] > 150) & (picture[:, :, 1] < 60)
    rows, columns = np.nonzero(red)
    mm = 25.4 / 150
    assert (columns.max() - columns.min() + 1) * mm == pytest.approx(36.0, abs=0.4)
    assert (rows.max() - rows.min() + 1) * mm == pytest.approx(18.0, abs=0.4)
    assert columns.max() * mm == pytest.approx(200.0, abs=0.4)  # the right margin of A4
    assert rows.min() * mm > 10
    for font in pypdf.PdfReader(path).pages[0]["/Resources"]["/Font"].values():
        assert "/FontFile2" in font.get_object()["/FontDescriptor"]
    done = run_command("reprint", "o/001-t0-a4.pdf", "--out", "again", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (again,) = (tmp_path / "again").iterdir()
    assert again.read_bytes() == path.read_bytes()


@pytest.mark.parametrize("name", ["club.toml", "club.csv"])
def test_example_lists(name: str, club: Club, tmp_path: Path) -> None:
    """The lists among the examples are made without a fault, into a folder of the list's own."""
    done = club(str(ROOT / "examples" / name), cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(list((tmp_path / "templategen-club" / "club").glob("0*.pdf"))) == 4
    shutil.rmtree(tmp_path / "templategen-club")
