"""The command ``verify``: a line when all is true, the untrue rows when not."""

import json
from pathlib import Path

import pypdf
import pytest
from builders import EXAMPLES
from commands import Run

from templategen.proof.recipe import NAME


@pytest.fixture
def pack(run: Run, tmp_path: Path) -> Path:
    """The tenon rings of a small shop, printed."""
    shop = str(EXAMPLES / "small-shop.toml")
    assert run("shop", shop, "--part", "tenon ring", "--out", ".")[0] == 0
    (path,) = tmp_path.glob("*.pdf")
    return path


def test_a_true_pack_is_a_line(run: Run, pack: Path) -> None:
    """All true: one line, which says what else there could be; with ``--all`` the list before."""
    code, out, err = run("verify", pack.name)
    assert (code, err, out.count("\n")) == (0, "", 1)
    assert out.startswith("True: ")
    assert "; it holds no parts but tenon ring" in out
    every = run("--language", "de", "verify", pack.name, "--all")[1]
    assert every.splitlines()[-1].startswith("Stimmt: ")
    assert every.count("0,0000 mm") >= 4
    assert every.count(": stimmt\n") >= 4


def test_an_untrue_pack_shows_what_is_untrue(run: Run, pack: Path) -> None:
    """A page drawn at 99 % is listed with its deviations, and nothing that is true."""
    spoiled = pypdf.PdfWriter(clone_from=pack)
    for page in spoiled.pages:
        page.add_transformation(pypdf.Transformation().scale(0.99))
    spoiled.write(pack)
    code, out, _ = run("verify", pack.name)
    assert code == 1
    rows = [line for line in out.splitlines() if line.startswith("  ")]
    assert rows
    assert all("mm from its place" in line for line in rows)
    assert "Not true; " in out
    assert "scaled to 99.00 % across" in out


def test_a_pack_of_another_release(run: Run, pack: Path) -> None:
    """It says so in a line; it is not called true."""
    held = json.loads(pypdf.PdfReader(pack).attachments[NAME][0])
    held["release"] = "0.0.7"
    writer = pypdf.PdfWriter(clone_from=pack)
    writer.root_object["/Names"].pop("/EmbeddedFiles")
    writer.add_attachment(NAME, json.dumps(held).encode())
    writer.write(pack)
    code, out, err = run("verify", pack.name)
    assert (code, err, out.count("\n")) == (1, "", 1)
    assert out.startswith("Made by another release (0.0.7): its lines lie as this one draws them")
