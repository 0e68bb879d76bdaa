"""Shop sets and club packs measured against their recipes, and printed anew from them."""

import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from builders import ROOT


def _run(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    home = {"XDG_CONFIG_HOME": str(cwd / "config"), "HOME": str(cwd)}
    return subprocess.run(
        [sys.executable, "-m", "templategen", *words],
        cwd=cwd,
        env={**os.environ, **home, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("units", ["mm", "in", "both"])
def test_a_shop_set_is_true_and_reprinted(units: str, tmp_path: Path) -> None:
    """The drawn paths of a set are those of its recipe; so are those of its reprint on letter."""
    made = _run("shop", "--units", units, "--out", "one", cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    (pdf,) = (tmp_path / "one").glob("*.pdf")
    proved = _run("verify", str(pdf), cwd=tmp_path)
    assert proved.returncode == 0, proved.stdout
    again = _run("reprint", str(pdf), "--paper", "letter", "--out", "two", cwd=tmp_path)
    assert again.returncode == 0, again.stderr
    (other,) = (tmp_path / "two").glob("*.pdf")
    proved = _run("verify", str(other), cwd=tmp_path)
    assert proved.returncode == 0, proved.stdout
    assert float(pypdf.PdfReader(other).pages[0].mediabox.width) == pytest.approx(612, abs=0.01)


def test_club_packs_are_true_on_a_measured_printer(tmp_path: Path) -> None:
    """A letterhead hides nothing from the measuring; another printer makes the packs anew."""
    added = _run(
        *("printer", "add", "Shed", "--across", "99.5/100", "--down", "100.4/100"), cwd=tmp_path
    )
    assert added.returncode == 0, added.stderr
    (tmp_path / "list.csv").write_text("name,diameter,height\nA,300,140\n")
    logo = str(ROOT / "examples" / "club-logo.svg")
    words = ["club", "list.csv", "--out", "o", "--name", "Invented club", "--logo", logo]
    for printer, kept in (
        ([], False),
        (["--printer", "Shed"], False),
        (["--printer", "Shed"], True),
    ):
        made = _run(*words, *printer, cwd=tmp_path)
        assert made.returncode == 0, made.stderr
        assert ("kept" in made.stdout) == kept
        proved = _run("verify", "o/001-a-a4.pdf", cwd=tmp_path)
        assert proved.returncode == 0, proved.stdout
        text = pypdf.PdfReader(tmp_path / "o" / "001-a-a4.pdf").pages[0].extract_text()
        assert ("Shed" in text) == bool(printer)
        assert "Invented club" in text
