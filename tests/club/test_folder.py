"""The folder of a list's packs: whose it is, and what a stranger may have put into it."""

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from club_runs import Club, files_of, write_list

from templategen.output.files import fcntl

BENCH = "A,240,110"
PACK, RECORD = "001-a-a4.pdf", ".templategen-club/001-a-a4.json"


@pytest.fixture(scope="module")
def base(club: Club, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a list of one bench, and with its packs in ``o``."""
    folder = tmp_path_factory.mktemp("base")
    write_list(folder / "list.csv", BENCH)
    assert club("list.csv", "--out", "o", cwd=folder).returncode == 0
    return folder


@pytest.fixture
def folder(base: Path, tmp_path: Path) -> Path:
    """A copy of `base` to spoil."""
    return Path(shutil.copytree(base, tmp_path / "f"))


def _facts(path: Path) -> None:
    data = json.loads(path.read_text())
    data["facts"] = ["<script>"]
    path.write_text(json.dumps(data))


def _forged(path: Path) -> None:
    """Another PDF, its digest in the record: the record alone would prove it."""
    import hashlib

    out = path.parents[1]
    (out / PACK).write_bytes(b"%PDF-1.7 of a stranger")
    data = json.loads(path.read_text())
    data["digests"][PACK] = hashlib.sha256((out / PACK).read_bytes()).hexdigest()
    path.write_text(json.dumps(data))


def _outside(path: Path) -> None:
    data = json.loads(path.read_text())
    data["digests"]["../list.csv"] = data["digests"].pop(PACK)
    path.write_text(json.dumps(data))


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def _link(path: Path) -> None:
    shutil.copy(path, path.parents[2] / "elsewhere")
    path.unlink()
    path.symlink_to("../../elsewhere")


def _linked_pack(path: Path) -> None:
    pack = path.parents[1] / PACK
    pack.rename(path.parents[2] / "elsewhere.pdf")
    pack.symlink_to("../elsewhere.pdf")


SPOILED: dict[str, Callable[[Path], object]] = {
    "facts": _facts,
    "forged": _forged,
    "outside": _outside,
    "deep": lambda path: path.write_text("[" * 200_000),
    "huge": lambda path: os.truncate(path, 100_000_000),
    "list": lambda path: path.write_text("[1]"),
    "bytes": lambda path: path.write_bytes(b"\xff\xfe"),
    "number": lambda path: path.write_text("1" * 100_000),
}


@pytest.mark.parametrize("way", SPOILED)
def test_a_record_that_was_written_by_another_counts_for_nothing(
    way: str, folder: Path, base: Path, club: Club
) -> None:
    """The pack is made anew, and every file is again what the first run wrote."""
    SPOILED[way](folder / "o" / RECORD)
    again = club("list.csv", "--out", "o", cwd=folder)
    assert again.returncode == 0, again.stderr
    assert "2 PDFs, kept from an earlier run: 1" in again.stdout
    assert files_of(folder / "o") == files_of(base / "o")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize(
    ("spoil", "told"), [(_pipe, ""), (_link, ""), (_linked_pack, "is a symbolic link")]
)
def test_pipes_and_links_are_neither_waited_for_nor_followed(
    spoil: Callable[[Path], None], told: str, folder: Path, club: Club
) -> None:
    """A record gives way; a pack that is a link is named. What a link leads to stays as it was."""
    spoil(folder / "o" / RECORD)
    before = {p: p.read_bytes() for p in folder.glob("elsewhere*")}
    archive = folder / "o" / "list.zip"
    first = archive.read_bytes()
    again = club("list.csv", "--out", "o", cwd=folder)
    assert again.returncode == bool(told)
    assert told in again.stderr
    assert {p: p.read_bytes() for p in folder.glob("elsewhere*")} == before
    assert archive.read_bytes() == first


def test_packs_sealed_by_another_user_are_made_anew(
    folder: Path, base: Path, club: Club, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder from elsewhere, whatever its records say; also where no settings can be kept."""
    for home in (str(folder / "home"), "/dev/null"):
        monkeypatch.setenv("XDG_CONFIG_HOME", home)
        done = club("list.csv", "--out", "o", cwd=folder)
        assert done.returncode == 0
        assert "kept" not in done.stdout
        assert (folder / "o" / PACK).read_bytes() == (base / "o" / PACK).read_bytes()
    assert (folder / "home" / "templategen" / "club-seal").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "text",
    ["[" * 200_000, "{}", '{"format": "templategen-club-record/2", "numbers": {"a": 1, "b": 1}}'],
)
def test_a_spoiled_record_of_the_list(text: str, folder: Path, club: Club) -> None:
    """One line that names it, and nothing is changed."""
    (folder / "o" / ".templategen-club" / "list.json").write_text(text)
    before = files_of(folder)
    done = club("list.csv", "--out", "o", cwd=folder)
    assert done.returncode == 2
    assert "list.json: is not as this program writes it" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert files_of(folder) == before


def test_another_list_has_no_place_in_the_folder(folder: Path, club: Club) -> None:
    """Refused in one line that names the list; the same list elsewhere in the tree is the same."""
    write_list(folder / "other.csv", BENCH)
    before = files_of(folder)
    done = club("other.csv", "--out", "o", cwd=folder)
    assert done.returncode == 2
    assert done.stderr == (
        "o: holds the packs of the list 'list.csv'; name another folder with --out\n"
    )
    assert files_of(folder) == before
    folder.rename(folder.with_name("moved"))
    moved = club("list.csv", "--out", "o", cwd=folder.with_name("moved"))
    assert "2 PDFs, kept from an earlier run: 2" in moved.stdout


@pytest.mark.skipif(fcntl is None, reason="no locks on files here")
def test_a_folder_that_another_run_is_in(
    folder: Path, club: Club, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is waited for, but not for ever: one line that says so, exit 3, nothing changed."""
    monkeypatch.setattr("templategen.output.files.LONGEST_WAIT", 0.1)
    before = files_of(folder)
    handle = os.open(folder / "o" / ".templategen-club", os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        done = club("list.csv", "--out", "o", cwd=folder)
    finally:
        os.close(handle)
    assert done.returncode == 3
    assert "another run is busy in this folder" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert files_of(folder) == before


@pytest.mark.parametrize("name", ["index.html", "list.zip", "pictures", "007-notes.pdf"])
def test_a_folder_with_files_of_others_is_refused(name: str, club: Club, tmp_path: Path) -> None:
    """Nothing of the names that a run writes is written over, nor is the folder begun."""
    write_list(tmp_path / "list.csv", BENCH)
    (tmp_path / "o").mkdir()
    (tmp_path / "o" / name).write_text("mine")
    before = files_of(tmp_path)
    done = club("list.csv", "--out", "o", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith(f"o/{name}: was there before and might be written over; ")
    assert files_of(tmp_path) == before
    assert not (tmp_path / "o" / ".templategen-club").exists()


def test_what_is_read_is_never_written_over(folder: Path, club: Club) -> None:
    """A logo, a shop or a job that lies where a file of the list would: refused, whole."""
    logo = folder / "o" / "pictures" / "club-logo.svg"
    logo.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2" width="4" height="2">'
        '<rect width="4" height="2" fill="#c80000"/></svg>'
    )
    shop = folder / "o" / PACK
    shop.write_text('[[cutters]]\nid = "A"\nradius = 80\nkerf = 9\n')
    before = files_of(folder)
    for words, path in (["--logo", str(logo)], logo), ([], shop):
        if path is shop:
            text = (folder / "list.csv").read_text().replace("toy.toml", f"o/{PACK}")
            (folder / "list.csv").write_text(text)
            before = files_of(folder)
        done = club("list.csv", "--out", "o", *words, cwd=folder)
        assert done.returncode in (1, 2)
        assert f"{path.name}: is read by this list and would be written over" in done.stderr
        assert files_of(folder) == before


@pytest.mark.parametrize("name", [".templategen-club", "pictures", "old"])
def test_inner_folders_are_no_links(name: str, folder: Path, club: Club) -> None:
    """A link in place of an inner folder leads out of the folder: refused, nothing is written."""
    inner, elsewhere = folder / "o" / name, folder / "elsewhere"
    elsewhere.mkdir()
    shutil.rmtree(inner, ignore_errors=True)
    inner.symlink_to("../elsewhere")
    done = club("list.csv", "--out", "o", cwd=folder)
    assert done.returncode == 2
    assert done.stderr.startswith(f"o/{name}: is a link; ")
    assert list(elsewhere.iterdir()) == []
