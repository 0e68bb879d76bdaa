"""Packs for a whole club: many blanks in one run, bad ones skipped, interrupted runs continued."""

import html.parser
import io
import json
import os
import pty
import signal
import subprocess
import sys
import time
import zipfile
import zlib
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
from commands import run_command
from PIL import Image

from templategen.errors import InputError
from templategen.proof.strangers import read_logo

ROOT = Path(__file__).resolve().parents[2]
ENV = {**os.environ, "PYTHONPATH": str(ROOT)}
QUICK = ["--part", "setting card"]
LIST = """\
name = "Lakeside <Turners> & Söhne (invented)"
papers = ["a4"]
date = 2026-05-02
[nest]
wall = "10 %"
[[blanks]]
name = "Anna"
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
job = "{examples}/inch-15.toml"
"""


def _run(*words: str, cwd: Path, jobs: int = 1) -> subprocess.CompletedProcess[str]:
    return run_command("club", *words, *QUICK, "--jobs", str(jobs), cwd=cwd)


def _list(folder: Path) -> Path:
    path = folder / "list.toml"
    path.write_text(LIST.replace("{examples}", str(ROOT / "examples")), encoding="utf-8")
    return path


def _all(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


class _Tags(html.parser.HTMLParser):
    """The pictures, links, headings and tags of a page."""

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
        self.words += data


def test_a_whole_list(tmp_path: Path) -> None:
    """Good entries are made, bad ones named and skipped; index and zip hold all; exit 1.

    One process and several write the same bytes.
    """
    _list(tmp_path)
    done = _run("list.toml", "--out", "one", cwd=tmp_path)
    assert done.returncode == 1
    lines = done.stderr.splitlines()
    assert (
        lines[0] == 'skipped: list.toml: blanks[3] "Cut short".diameter: -3 mm is out of bounds; '
        "give 50 to 1500 mm"
    )
    assert lines[1].startswith('skipped: list.toml: blanks[4] "Too small": ')
    assert lines[2] == "2 of 5 entries skipped, each named above."
    assert len(lines) == 3
    out = tmp_path / "one"
    assert sorted(p.name for p in out.glob("*.pdf")) == [
        "001-anna-a4.pdf",
        "001-anna-letter.pdf",
        "002-bob-b-a4.pdf",
        "005-mill-road-ash-invented-a4.pdf",
    ]
    page = (out / "index.html").read_text(encoding="utf-8")
    tags = _Tags()
    tags.feed(page)
    assert tags.tags.isdisjoint({"b", "turners", "script"})
    assert "Lakeside <Turners> & Söhne (invented)" in tags.words
    assert "../../Bob & <b>" in tags.words
    assert tags.words.count("Not made") == 2
    assert len(tags.sources) == 3
    for name in (*tags.sources, *tags.links):
        assert (out / name).resolve().is_relative_to(out.resolve())
        assert (out / name).is_file()
    (archive,) = out.glob("*.zip")
    with zipfile.ZipFile(archive) as packed:
        assert packed.testzip() is None
        inside = {n.split("/", 1)[1]: packed.read(n) for n in packed.namelist()}
        assert {i.date_time for i in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    shown = {"index.html", *tags.sources, *tags.links}
    assert inside == {n: (out / n).read_bytes() for n in shown}
    for pdf in out.glob("*.pdf"):
        text = pypdf.PdfReader(pdf, strict=True).pages[0].extract_text()
        assert "Lakeside <Turners> & Söhne (invented)" in text
    several = _run("list.toml", "--out", "two", cwd=tmp_path, jobs=3)
    assert several.returncode == 1
    assert sorted(several.stderr.splitlines()) == sorted(lines)
    assert _all(tmp_path / "two") == _all(out)


def test_an_interrupted_run_goes_on(tmp_path: Path) -> None:
    """A run ended in the middle leaves whole packs; the next run makes only what is missing."""
    rows = "".join(f"T{n},{260 + n},130\n" for n in range(8))
    (tmp_path / "list.csv").write_text(f"name,diameter,height\n{rows}")
    words = [sys.executable, "-m", "templategen", "club", "list.csv", *QUICK, "--out", "o"]
    first = subprocess.Popen(
        [*words, "--jobs", "2"], cwd=tmp_path, env=ENV, stderr=subprocess.PIPE, text=True
    )
    records = tmp_path / "o" / ".templategen-club"
    deadline = time.monotonic() + 60
    while len(list(records.glob("*-a4.json"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.02)
    first.send_signal(signal.SIGINT)
    _, said = first.communicate(timeout=60)
    assert first.returncode != 0
    assert "Traceback" not in said
    before = {p: p.stat().st_mtime_ns for p in (tmp_path / "o").glob("*.pdf")}
    assert 2 <= len(before) < 8
    assert not (tmp_path / "o" / "index.html").exists()
    damaged = min(before)
    damaged.write_bytes(damaged.read_bytes()[:-100])
    again = _run("list.csv", "--out", "o", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert f"8 packs, {len(before) - 1} kept from an earlier run" in again.stdout
    for path, when in before.items():
        assert (path.stat().st_mtime_ns == when) == (path != damaged)
    assert len(list((tmp_path / "o").glob("*.pdf"))) == 8
    assert not [p for p in (tmp_path / "o").rglob("*") if p.name.endswith(".part")]
    fresh = _run("list.csv", "--out", "f", cwd=tmp_path)
    assert fresh.returncode == 0
    assert _all(tmp_path / "f") == _all(tmp_path / "o")


def test_a_changed_entry_is_made_again(tmp_path: Path) -> None:
    """Another wall, another name of the club: the packs that change are made, no other."""
    head = "name,diameter,height,wall\n"
    (tmp_path / "list.csv").write_text(f"{head}A,300,140,22\nB,300,140,22\n")
    assert _run("list.csv", "--out", "o", cwd=tmp_path).returncode == 0
    (tmp_path / "list.csv").write_text(f"{head}A,300,140,22\nB,300,140,24\n")
    assert "2 packs, 1 kept" in _run("list.csv", "--out", "o", cwd=tmp_path).stdout
    assert "kept" not in _run("list.csv", "--out", "o", "--name", "X", cwd=tmp_path).stdout
    (tmp_path / "list.csv").write_text(f"{head}A,300,140,22\n")
    told = _run("list.csv", "--out", "o", "--name", "X", cwd=tmp_path).stdout
    assert "also holds 1 packs of another run" in told


def test_faults_of_the_list_itself(tmp_path: Path) -> None:
    """Settings are checked once, before any pack; nothing is written."""
    (tmp_path / "list.toml").write_text(
        'nam = "x"\n[nest]\nwall = "10 %"\n[[blanks]]\ndiameter = 300\nheight = 140\n'
    )
    done = _run("list.toml", "--out", "o", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.strip() == "list.toml: nam: unknown key; did you mean 'name'?"
    (tmp_path / "list.toml").write_text(
        "[nest]\nwal = 3\n[[blanks]]\ndiameter = 300\nheight = 140\n"
    )
    done = _run("list.toml", "--out", "o", cwd=tmp_path)
    assert done.stderr.strip() == "list.toml: nest.wal: unknown key; did you mean 'wall'?"
    for words, message in (
        (["none.csv"], "none.csv: no such file; check the name"),
        (["list.txt"], "list.txt: is no list; name a .toml or a .csv file"),
        (["list.csv", "--paper", "leter"], "unknown paper 'leter'; did you mean 'letter'?"),
        (["list.csv", "--jobs", "0"], "--jobs: 0 is out of bounds; give 1 to 64"),
        (["list.csv", "--logo", "no.png"], "no.png: no such file; check the name"),
        (["list.csv", "--shop", "no.toml"], "no.toml: no such file; check the name"),
    ):
        (tmp_path / "list.csv").write_text("diameter,height\n300,140\n")
        wanted = [*words] if "--jobs" in words else [*words, "--jobs", "1"]
        done = run_command("club", *wanted, "--out", "o", cwd=tmp_path)
        assert done.returncode == 2
        assert message in done.stderr
        assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "o").exists()


def test_memory_stays_the_same(tmp_path: Path) -> None:
    """Ten times as many entries need no more memory than noise: 4 MB on the peak."""
    code = (
        "import resource, runpy, sys\n"
        "try:\n"
        "    runpy.run_module('templategen', run_name='__main__')\n"
        "finally:\n"
        "    print('peak', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
    )
    peaks = []
    for count in (5, 50):
        rows = "".join(f"T{n},{230 + n % 40},120\n" for n in range(count))
        (tmp_path / f"l{count}.csv").write_text(f"name,diameter,height\n{rows}")
        words = ["club", f"l{count}.csv", *QUICK, "--jobs", "1", "--out", f"o{count}"]
        done = subprocess.run(
            [sys.executable, "-c", code, *words],
            cwd=tmp_path,
            env=ENV,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        peaks.append(int(done.stdout.split("peak ")[1]))  # kilobytes
    assert peaks[1] - peaks[0] < 4000


def test_bar_on_a_terminal_and_quiet_when_piped(tmp_path: Path) -> None:
    """A terminal is shown how far the run is; a pipe gets nothing but the result."""
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,300,140\nB,260,130\n")
    quiet = _run("list.csv", "--out", "p", cwd=tmp_path)
    assert (quiet.returncode, quiet.stderr) == (0, "")
    leader, follower = pty.openpty()
    shown = subprocess.Popen(
        [sys.executable, "-m", "templategen", "club", "list.csv", *QUICK, "--jobs", "1"],
        cwd=tmp_path,
        env={**ENV, "TERM": "xterm"},
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


SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20">{}</svg>'
GOOD = '<rect x="0" y="0" width="40" height="20" fill="#c80000"/>'


@pytest.mark.rendered
@pytest.mark.parametrize("kind", ["png", "svg"])
def test_logo_stands_on_the_cover(kind: str, tmp_path: Path) -> None:
    """Pdfium sees the red picture, 36 × 18 mm in its own shape, in the top right of the cover."""
    data = _png(80, 40) if kind == "png" else SVG.format(GOOD).encode()
    (tmp_path / f"logo.{kind}").write_bytes(data)
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,300,140\n")
    words = ["list.csv", "--logo", f"logo.{kind}", "--name", "Invented club", "--out", "o"]
    done = _run(*words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    document = pypdfium2.PdfDocument((tmp_path / "o" / "001-a-a4.pdf").read_bytes())
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
    for font in (
        pypdf.PdfReader(tmp_path / "o" / "001-a-a4.pdf").pages[0]["/Resources"]["/Font"].values()
    ):
        assert "/FontFile2" in font.get_object()["/FontDescriptor"]


@pytest.mark.parametrize("kind", ["png", "svg", "none"])
def test_a_reprint_has_the_same_cover(kind: str, tmp_path: Path) -> None:
    """A club's pack printed anew from its recipe is the same file: name, picture and all."""
    words = ["list.csv", "--name", "Invented club", "--out", "o"]
    if kind != "none":
        inside = '<g fill="#c80000"><title>a</title><rect width="40" height="20"/></g>'
        data = _png(80, 40) if kind == "png" else SVG.format(inside).encode()
        (tmp_path / f"logo.{kind}").write_bytes(data)
        words += ["--logo", f"logo.{kind}"]
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,220,100\n")
    assert _run(*words, cwd=tmp_path).returncode == 0
    command = [sys.executable, "-m", "templategen", "reprint", "o/001-a-a4.pdf", "--out", "again"]
    done = subprocess.run(command, cwd=tmp_path, env=ENV, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    (again,) = (tmp_path / "again").iterdir()
    assert again.read_bytes() == (tmp_path / "o" / "001-a-a4.pdf").read_bytes()


def _too_wide_png() -> bytes:
    """A PNG that claims 60000 pixels a side: its heading is all that may be read."""
    data = bytearray(_png(8, 8))
    data[16:24] = (60000).to_bytes(4, "big") * 2
    data[29:33] = zlib.crc32(bytes(data[12:29])).to_bytes(4, "big")
    return bytes(data)


ATTACKS = {
    "no picture": (b"hello", "neither PNG nor SVG"),
    "zero png": (b"\x89PNG\r\n\x1a\n" + bytes(8) + b"IHDR" + bytes(20), "is a broken PNG"),
    "broken png": (_png(8, 8)[:40], "is a broken PNG"),
    "wide png": (_too_wide_png(), "60000 × 60000 pixels"),
    "long png": (_png(1000, 3), "too long and thin"),
    "big file": (b"\x89PNG\r\n\x1a\n" + bytes(2_000_001), "larger than 2 MB"),
    "script": (SVG.format("<script>x</script>").encode(), "holds <script>"),
    "event": (SVG.format('<rect onload="x" width="3" height="3"/>').encode(), "holds a script"),
    "image": (SVG.format('<image href="file:///etc/passwd"/>').encode(), "holds <image>"),
    "use": (SVG.format('<use href="#a"/>').encode(), "holds <use>"),
    "text": (SVG.format("<text>x</text>").encode(), "holds <text>"),
    "link": (
        SVG.format('<linearGradient href="http://x.invalid/a"/>').encode(),
        "something outside itself",
    ),
    "style": (
        SVG.format("<style>@import url(http://x.invalid/a.css);</style>").encode(),
        "something outside itself",
    ),
    "fill": (
        SVG.format('<rect fill="url(http://x.invalid/#g)" width="3" height="3"/>').encode(),
        "something outside itself",
    ),
    "entities": (
        b'<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>' + SVG.format("&b;").encode(),
        "declares entities",
    ),
    "deep": (SVG.format("<g>" * 60 + "</g>" * 60).encode(), "too many shapes"),
    "many": (SVG.format("<g/>" * 6000).encode(), "too many shapes"),
    "empty": (b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0"/>', "shows nothing"),
    "utf-16": (SVG.format(GOOD).encode("utf-16"), "neither PNG nor SVG"),
}


@pytest.mark.parametrize("name", ATTACKS)
def test_bad_pictures_are_refused(name: str, tmp_path: Path) -> None:
    """Whatever could reach out, run, or swell up is refused with a reason and a mend."""
    data, message = ATTACKS[name]
    path = tmp_path / "logo.svg"
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_logo(path)
    assert message in str(caught.value)
    assert "; " in str(caught.value)


@pytest.mark.parametrize("slip", ["digest", "file", "picture", "sheets", "facts", "list"])
def test_records_cannot_be_led_outside(slip: str, tmp_path: Path) -> None:
    """A record that names a file outside the folder, or holds what it should not, is not used."""
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,300,140\n")
    assert _run("list.csv", "--out", "o", cwd=tmp_path).returncode == 0
    before = _all(tmp_path / "o")
    record = tmp_path / "o" / ".templategen-club" / "0001-a4.json"
    data = json.loads(record.read_text())
    (tmp_path / "secret").write_bytes(b"x")
    match slip:
        case "digest":
            data["digests"]["../secret"] = data["digests"].pop(data["file"])
        case "file" | "picture":
            data[slip] = "../secret"
        case "sheets":
            data[slip] = "<script>"
        case "facts":
            data[slip] = [[1]]
        case _:
            data = [data]
    record.write_text(json.dumps(data))
    again = _run("list.csv", "--out", "o", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    assert "kept" not in again.stdout
    assert _all(tmp_path / "o") == before


@pytest.mark.parametrize("name", ["club.toml", "club.csv"])
def test_example_lists(name: str, tmp_path: Path) -> None:
    """The lists among the examples are made without a fault."""
    done = _run(str(ROOT / "examples" / name), "--out", "o", cwd=tmp_path, jobs=2)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(list((tmp_path / "o").glob("*.pdf"))) == 4
