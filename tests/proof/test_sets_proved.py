"""Shop sets and club packs compared with their recipes."""

from pathlib import Path

import pytest
from builders import EXAMPLES
from commands import Run

from templategen.proof.verify import verify


@pytest.mark.parametrize("units", ["in", "both"])
def test_a_shop_set_is_true(units: str, run: Run) -> None:
    """A set is what its recipe gives, in each unit of its bars."""
    assert run("shop", "--units", units, "--out", "one")[0] == 0
    (pdf,) = Path("one").glob("*.pdf")
    assert verify(pdf.read_bytes(), "x.pdf").is_true


@pytest.mark.parametrize(("radius", "paper"), [(440, "a4"), (320, "a5")])
def test_the_set_of_one_large_cutter_is_true(radius: int, paper: str, run: Run) -> None:
    """Arcs so flat that their tiles are narrow: every seam has its marks, the file is as drawn."""
    Path("shop.toml").write_text(
        f'name = "Invented"\n[[cutters]]\nid = "A"\nradius = {radius}\nkerf = 9\n'
    )
    code, _, err = run("shop", "shop.toml", "--part", "cutter arc", "--paper", paper, "--out", "o")
    assert (code, err) == (0, "")
    (pdf,) = Path("o").glob("*.pdf")
    report = verify(pdf.read_bytes(), "x.pdf")
    assert report.is_true
    assert report.parts > 1  # tiles


def test_club_packs_are_true_on_a_measured_printer(run: Run) -> None:
    """A letterhead hides nothing from the measuring; another printer makes the packs anew."""
    added = run("printer", "add", "Shed", "--across", "99.5/100", "--down", "100.4/100")
    assert added[0] == 0, added
    Path("list.csv").write_text("name,diameter,height\nA,300,140\n")
    logo = str(EXAMPLES / "club-logo.svg")
    words = ["club", "list.csv", "--out", "o", "--name", "Invented club", "--logo", logo]
    words += ["--part", "cut plate", "--jobs", "1"]
    for printer, kept in (
        ([], False),
        (["--printer", "Shed"], False),
        (["--printer", "Shed"], True),
    ):
        code, out, err = run(*words, *printer)
        assert code == 0, err
        assert ("kept" in out) == kept
        if not kept:
            (pdf,) = Path("o").glob("001-a*.pdf")
            report = verify(pdf.read_bytes(), "x.pdf")
            assert report.is_true, [str(row.note) for row in report.rows if not row.is_true]
