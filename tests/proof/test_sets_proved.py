"""Shop sets and club packs measured against their recipes, and printed anew from them."""

from pathlib import Path

import pypdf
import pytest
from builders import EXAMPLES
from commands import Run


@pytest.mark.parametrize("units", ["mm", "in", "both"])
def test_a_shop_set_is_true_and_reprinted(units: str, run: Run) -> None:
    """The drawn paths of a set are those of its recipe; so are those of its reprint on letter."""
    assert run("shop", "--units", units, "--out", "one")[0] == 0
    (pdf,) = Path("one").glob("*.pdf")
    assert run("verify", str(pdf))[0] == 0
    assert run("reprint", str(pdf), "--paper", "letter", "--out", "two")[0] == 0
    (other,) = Path("two").glob("*.pdf")
    assert run("verify", str(other))[0] == 0
    assert float(pypdf.PdfReader(other).pages[0].mediabox.width) == pytest.approx(612, abs=0.01)


def test_club_packs_are_true_on_a_measured_printer(run: Run) -> None:
    """A letterhead hides nothing from the measuring; another printer makes the packs anew."""
    added = run("printer", "add", "Shed", "--across", "99.5/100", "--down", "100.4/100")
    assert added[0] == 0, added
    Path("list.csv").write_text("name,diameter,height\nA,300,140\n")
    logo = str(EXAMPLES / "club-logo.svg")
    words = ["club", "list.csv", "--out", "o", "--name", "Invented club", "--logo", logo]
    for printer, kept in (
        ([], False),
        (["--printer", "Shed"], False),
        (["--printer", "Shed"], True),
    ):
        code, out, err = run(*words, "--jobs", "1", *printer)
        assert code == 0, err
        assert ("kept" in out) == kept
        assert run("verify", "o/001-a-a4.pdf")[0] == 0
