"""The commands ``printer``, and pages corrected for one."""

import json
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from builders import EXAMPLES
from commands import Run


def test_printers_are_kept(run: Run, tmp_path: Path) -> None:
    """Add, list, replace and remove; the file lies in the configuration folder, whole."""
    assert run("printer", "list")[1].startswith("No printer is kept")
    code, out, _ = run("printer", "add", "study", "--across", "179.2/180", "--down", "251.0/250")
    assert code == 0
    assert "prints 0.9956 across and 1.0040 down" in out
    assert run("printer", "add", "club", "--across", "6 63/64 : 7", "--down", "1")[0] == 0
    assert [text.split(":")[0] for text in run("printer", "list")[1].splitlines()] == [
        "club",
        "study",
    ]
    kept = tmp_path / "config" / "printers.json"
    assert json.loads(kept.read_text())["printers"][1]["across"] == pytest.approx(179.2 / 180)
    assert [path.name for path in kept.parent.iterdir()] == ["printers.json"]
    assert run("printer", "add", "study", "--across", "1.001", "--down", "1")[0] == 0
    assert "1.0010 across" in run("printer", "list")[1]
    assert run("printer", "remove", "study")[0] == 0
    assert "study" not in run("printer", "list")[1]
    code, _, err = run("printer", "remove", "clbu")
    assert (code, err) == (2, "--printer: no printer 'clbu'; did you mean 'club'?\n")


def test_skew_is_measured_in_two_ways(run: Run) -> None:
    """As a lean over a height, or by two diagonals: 181.5 and 178.5 by 250, by Pythagoras."""
    lengths = "--across", "180/180", "--down", "250/250"
    assert run("printer", "add", "lean", *lengths, "--skew=-0.3/250")[0] == 0
    diagonals = f"{(181.5**2 + 250**2) ** 0.5:.3f}/{(178.5**2 + 250**2) ** 0.5:.3f}"
    assert run("printer", "add", "pair", *lengths, "--diagonals", diagonals)[0] == 0
    listed = run("printer", "list")[1].splitlines()
    assert [line.split("skew ")[1] for line in listed] == [
        "-0.120 mm in 100 mm",
        "+0.600 mm in 100 mm",
    ]
    for words in (
        ("--across", "1", "--down", "1", "--diagonals", "309.1/307.8"),
        (*lengths, "--diagonals", "309"),
        (*lengths, "--skew", "6/250"),
        (*lengths, "--skew", "askew"),
    ):
        code, _, err = run("printer", "add", "bad", *words)
        assert (code, len(err.splitlines())) == (2, 1)
        assert err.startswith(f"{words[-2]}: ")


@pytest.mark.parametrize(
    ("across", "message"),
    [
        ("161/180", "the print dialog probably fitted the page to 89.4 %"),
        ("0.88", "the print dialog probably fitted the page to 88.0 %"),
        ("1.25", "the print dialog probably enlarged the page to 125.0 %"),
        ("179", "give the length you measured first"),
        ("180/0", "is no measurement"),
        ("1/2/3", "is no measurement"),
        ("nan", "is no measurement"),
        ("-1", "is no measurement"),
        ("", "is no measurement"),
    ],
)
def test_factors_out_of_reach(across: str, message: str, run: Run, tmp_path: Path) -> None:
    """A factor outside 0.9 to 1.1 is refused with its likely cause; nothing is kept.

    Fit-to-page gives 97.1 % at a 3 mm margin and 94.1 % for A4 on letter (arithmetic): within
    reach, so warned of below, not refused.
    """
    code, _, err = run("printer", "add", "study", "--across", across, "--down", "1")
    assert code == 2
    assert message in err
    assert err.startswith("--across: ")
    assert len(err.splitlines()) == 1
    assert not (tmp_path / "config").exists()


def test_a_fitted_page_is_suspected(run: Run) -> None:
    """97 % is kept, with the question whether the page was fitted."""
    code, _, err = run("printer", "add", "study", "--across", "174.6/180", "--down", "0.998")
    assert code == 0
    assert err.startswith("caution: 97.0 % is more than printers are out by")


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", "nonsense", '{"format": "templategen-printers/1", "printers": [3]}']
)
def test_a_spoiled_list_of_printers(text: str, run: Run, tmp_path: Path) -> None:
    """A spoiled file is told with its place, and left as it is."""
    kept = tmp_path / "config" / "printers.json"
    kept.parent.mkdir()
    kept.write_text(text)
    code, _, err = run("pack", "--printer", "study")
    assert code == 2
    assert str(kept) in err
    assert "Traceback" not in err
    assert kept.read_text() == text


def test_corrected_bars_say_so(run: Run, tmp_path: Path) -> None:
    """Pages for a printer are corrected by its factors; bars and cover name it."""
    run("printer", "add", "study", "--across", "0.99", "--down", "1.005")
    job = str(EXAMPLES / "small-220.toml")
    assert run("pack", job, "--printer", "study", "--part", "gauge stick")[0] == 0
    (path,) = (tmp_path / "templategen-pack").iterdir()
    reader = pypdf.PdfReader(path, strict=True)
    for page in reader.pages:
        text = page.extract_text()
        assert "150 mm across, corrected for study: measure before you cut" in text
        assert "150 mm down, corrected for study: measure before you cut" in text
    cover = " ".join(reader.pages[0].extract_text().split())
    assert "Corrected for the printer study, which prints 0.99 across and 1.005 down" in cover
    # A picture at 600 dpi: the bar across is longer than 150 mm by the factor, in the file.
    document = pypdfium2.PdfDocument(path)
    bitmap = document[1].render(scale=600 / 72, grayscale=True)
    row = bitmap.to_numpy().reshape(bitmap.height, bitmap.width)
    foot = row[-round(35 / 25.4 * 600) :] < 128  # the bar across is the longest line down here
    bar = max(foot, key=lambda dark: int(dark.sum()))
    columns = [n for n, dark in enumerate(bar) if dark]
    assert (columns[-1] - columns[0]) / 600 * 25.4 == pytest.approx(150 / 0.99, abs=0.2)
    document.close()
    assert run("verify", str(path))[0] == 0
