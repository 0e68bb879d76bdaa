"""The command ``scan``: a simulated scan of the scale sheet, through to a printer that is kept."""

import json
from pathlib import Path

import pytest
from commands import Run
from scans import as_file, printer, scanned, turn


def test_a_scan_keeps_a_printer(run: Run, tmp_path: Path) -> None:
    """What it prints and keeps is what the sheet was printed with, to 0.0001; faults are one line.

    A page that is kept at 97 % is suspected of having been fitted; one at 80 % is found nowhere.
    """
    assert run("scale", "--paper", "148x210")[0] == 0
    pdf = "templategen-pack/scale-148x210.pdf"
    data = (tmp_path / pdf).read_bytes()
    for name, scale in (("true", (0.9956, 1.0031, 0.0012)), ("fitted", (0.97, 0.97, 0.0))):
        grey = scanned(data, 0, turn(-1) @ printer(*scale), dpi=150, glass=(160, 224))
        (tmp_path / f"{name}.png").write_bytes(as_file(grey, dpi=150))
    code, out, err = run("scan", "true.png", pdf, "--printer", "study")
    assert (code, err) == (0, "")
    assert "across: 0.9956" in out
    assert "down: 1.0031" in out
    assert "lean +0.12" in out
    (kept,) = json.loads((tmp_path / "config" / "printers.json").read_text())["printers"]
    assert kept["name"] == "study"
    found = [kept[key] for key in ("across", "down", "skew")]
    assert found == pytest.approx([0.9956, 1.0031, 0.0012], abs=1e-4)
    assert "skew +0.12" in run("printer", "list")[1]
    code, out, err = run("scan", "fitted.png", pdf)
    assert code == 0
    assert err.startswith("caution: the page was probably fitted")
    assert "Nothing is kept" in out
    for words, says in (
        (("true.png", "true.png"), "true.png: is not a PDF that can be read"),
        (("none.png", pdf), "none.png: no such file"),
        (("true.png", pdf, "--rule", "a", "1,2", "9"), "--rule: 'a' is no place in a picture"),
    ):
        code, _, err = run("scan", *words)
        assert (code, len(err.splitlines())) == (2, 1)
        assert err.startswith(says)
