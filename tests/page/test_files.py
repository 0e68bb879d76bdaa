"""Jobs, shops and records of the folder: kept remarks, changes made elsewhere, faults of fields."""

import os
import signal
import subprocess
import sys
import textwrap
import tomllib
from pathlib import Path
from typing import Any

import pytest
from asking import Asker

from templategen.app.jobs import open_job


def test_writing_what_was_read_changes_nothing(page: Asker) -> None:
    """A form that is saved unchanged leaves every byte of its file."""
    for file, kind in (("job.toml", "job"), ("shop.toml", "shop")):
        before = (page.root / file).read_bytes()
        held = page.ask("read", file=file)[1]
        status, after = page.ask(
            "write", file=file, kind=kind, table=held["table"], digest=held["digest"]
        )
        assert (status, after) == (200, held)
        assert (page.root / file).read_bytes() == before


def test_only_the_changed_key_changes(page: Asker) -> None:
    """A typed figure with a decimal comma replaces one value; all remarks stay."""
    page.ask("copy", **{"from": "starter:job", "file": "changed.toml"})
    path = page.root / "changed.toml"
    before = path.read_text(encoding="utf-8")
    held = page.ask("read", file="changed.toml")[1]
    held["table"]["blank"]["diameter"] = "380,5"
    status, _ = page.ask(
        "write", file="changed.toml", kind="job", table=held["table"], digest=held["digest"]
    )
    assert status == 200
    assert path.read_text(encoding="utf-8") == before.replace(
        "diameter = 400", "diameter = 380.5", 1
    )
    assert open_job(path).job.blank.diameter == 380.5


def test_a_change_made_elsewhere_is_kept(page: Asker) -> None:
    """Two windows on one job: the second to save gets the table of the first, and may choose."""
    page.ask("copy", **{"from": "starter:job", "file": "twice.toml"})
    first = page.ask("read", file="twice.toml")[1]
    second = page.ask("read", file="twice.toml")[1]
    first["table"]["title"] = "First window"
    second["table"]["title"] = "Second window"
    one = {"file": "twice.toml", "kind": "job", "table": first["table"], "digest": first["digest"]}
    other = {**one, "table": second["table"]}
    assert page.ask("write", **one)[0] == 200
    status, answer = page.ask("write", **other)
    assert status == 409
    assert answer["conflict"]["table"]["title"] == "First window"
    assert "First window" in (page.root / "twice.toml").read_text(encoding="utf-8")
    again = {**other, "digest": answer["conflict"]["digest"]}
    assert page.ask("write", **again)[0] == 200
    assert "Second window" in (page.root / "twice.toml").read_text(encoding="utf-8")


def test_a_new_file_never_replaces_one(page: Asker) -> None:
    """A new name that is taken is a conflict, for a written and for a copied file."""
    table = page.ask("read", file="job.toml")[1]["table"]
    before = (page.root / "job.toml").read_bytes()
    assert page.ask("write", file="job.toml", kind="job", table=table, digest=None)[0] == 409
    assert page.ask("copy", **{"from": "shop.toml", "file": "job.toml"})[0] == 409
    assert (page.root / "job.toml").read_bytes() == before


def test_a_half_typed_job_is_not_written(page: Asker) -> None:
    """Faults name their fields as those of a file, and the file stays as it was saved."""
    before = (page.root / "job.toml").read_bytes()
    held = page.ask("read", file="job.toml")[1]
    table: dict[str, Any] = held["table"]
    table["blank"]["diameter"] = "4o0"
    table["nest"]["wall"] = "40 %"
    table["tenon"]["share"] = "0,9"
    status, answer = page.ask(
        "write", file="job.toml", kind="job", table=table, digest=held["digest"]
    )
    assert status == 422
    assert {fault["key"] for fault in answer["faults"]} == {
        "blank.diameter", "nest.wall", "tenon.share"
    }  # fmt: skip
    assert {fault["doc"] for fault in answer["faults"]} == {"job"}
    assert (page.root / "job.toml").read_bytes() == before


@pytest.mark.parametrize(("language", "what"), [("en", "is missing"), ("de", "fehlt")])
def test_faults_speak_the_language_of_the_window(page: Asker, language: str, what: str) -> None:
    """A fault is worded in the language that the request names."""
    _, answer = page.ask("plan", job={"blank": {}}, shop={}, language=language)
    assert what in {fault["what"] for fault in answer["faults"]}


def test_a_row_of_cutters_keeps_its_remarks(page: Asker) -> None:
    """A cutter put in between the others leaves their rows and remarks alone."""
    page.ask("copy", **{"from": "starter:shop", "file": "more.toml"})
    before = (page.root / "more.toml").read_text(encoding="utf-8")
    held = page.ask("read", file="more.toml")[1]
    held["table"]["cutters"].insert(1, {"id": "R90", "radius": "90", "kerf": "9"})
    status, _ = page.ask(
        "write", file="more.toml", kind="shop", table=held["table"], digest=held["digest"]
    )
    after = (page.root / "more.toml").read_text(encoding="utf-8")
    assert status == 200
    assert tomllib.loads(after)["cutters"][1] == {"id": "R90", "radius": 90, "kerf": 9}
    assert [line for line in before.splitlines() if "#" in line] == [
        line for line in after.splitlines() if "#" in line
    ]


@pytest.mark.skipif(os.name != "posix", reason="kills a process at a set moment")
def test_a_server_killed_while_saving_leaves_the_old_file(empty_folder: Path) -> None:
    """A process that dies with the new file half written leaves the old one and no lock."""
    before = (empty_folder / "job.toml").read_bytes()
    program = textwrap.dedent(
        f"""
        import os, signal, sys
        from pathlib import Path
        from templategen.app.folder import WorkFolder
        folder = WorkFolder(Path({str(empty_folder)!r}))
        held = folder.read("job.toml")
        os.fsync = lambda handle: os.kill(os.getpid(), signal.SIGKILL)
        folder.write("job.toml", {{**held.table, "title": "New"}}, known=held.digest)
        """
    )
    ended = subprocess.run([sys.executable, "-c", program], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert (empty_folder / "job.toml").read_bytes() == before
    whole = program.replace("os.fsync = lambda handle: os.kill(os.getpid(), signal.SIGKILL)", "")
    subprocess.run([sys.executable, "-c", whole], check=True)
    assert b'title = "New"' in (empty_folder / "job.toml").read_bytes()
    assert sorted(path.name for path in empty_folder.iterdir()) == ["job.toml", "shop.toml"]


def test_weighings_are_added_and_read(page: Asker) -> None:
    """Typed weighings reach the CSV file that `dry` reads; one changed elsewhere is refused."""
    rows = [
        {"date": "2026-05-02", "mass": "2310 g", "bowl": "A-1"},
        {"date": "2026-05-12", "mass": "2,1 kg", "bowl": "A-1"},
    ]
    status, made = page.ask("weigh", file="weights.csv", digest=None, rows=rows)
    assert status == 200
    told = page.ask("weighings", file="weights.csv")[1]
    assert told["digest"] == made["digest"]
    assert [bowl["name"] for bowl in told["bowls"]] == ["A-1"]
    assert told["bowls"][0]["rows"] == [["2026-05-02", "2310 g"], ["2026-05-12", "2100 g"]]
    assert told["bowls"][0]["svg"].count("<svg") == 1
    assert page.ask("weigh", file="weights.csv", digest=None, rows=rows)[0] == 409
    assert page.ask("weigh", file="weights.csv", digest="old", rows=rows)[0] == 409
    bad = [{"date": "2.5.2026", "mass": "2 kg", "bowl": "A-1"}]
    status, answer = page.ask("weigh", file="weights.csv", digest=made["digest"], rows=bad)
    assert (status, "not a date" in answer["faults"][0]["what"]) == (422, True)


def test_printers_are_kept_in_their_two_number_form(
    page: Asker, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Measured and wanted length, with a comma too, give the factor; a fault names its field."""
    monkeypatch.setattr("platformdirs.user_config_path", lambda *_, **__: tmp_path / "config")
    status, answer = page.ask("keep_printer", name="study", across="149,25/150", down="150/150")
    assert status == 200
    assert answer["printers"] == [{"name": "study", "across": 0.995, "down": 1.0, "skew": 0.0}]
    status, answer = page.ask("keep_printer", name="study", across="15/150", down="1")
    assert (status, answer["faults"][0]["key"]) == (422, "across")
    assert page.ask("forget_printer", name="study")[1] == {"printers": []}


def test_a_radius_from_chord_and_rise(page: Asker) -> None:
    """The radius is c²/(8 s) + s/2, with a decimal comma and in inches."""
    radius = 120.5**2 / (8 * 20) + 20 / 2
    found = page.ask("measure", chord="120,5", rise="20", units="mm")[1]
    assert float(found["value"]) == pytest.approx(radius, abs=0.06)
    found = page.ask("measure", chord="5", rise="1", units="in")[1]
    assert found["value"] == "3 5/8"  # 25/8 + 1/2


def test_the_folder_is_made_with_starter_files(tmp_path: Path) -> None:
    """A first start gives a job and a shop that plan; a folder that holds something stays."""
    from templategen.app.folder import open_folder
    from templategen.messages import Wording
    from templategen.units import Units

    held = open_folder(tmp_path / "new" / "deep", wording=Wording("de"), units=Units.MM)
    assert [(one.file, one.kind) for one in held.files()] == [
        ("job.toml", "job"), ("shop.toml", "shop")
    ]  # fmt: skip
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "notes.txt").touch()
    assert open_folder(tmp_path / "own", wording=Wording("de"), units=Units.MM).files() == ()
