"""The command ``scale``."""

from pathlib import Path

import pypdfium2
import pytest
from commands import Run


@pytest.mark.parametrize(
    ("paper", "across", "down", "diagonal"),
    [("a4", "180 mm", "250 mm", "260 mm"), ("letter", "7 in", "9 in", "9 in")],
)
def test_the_scale_sheet(
    paper: str, across: str, down: str, diagonal: str, run: Run, tmp_path: Path
) -> None:
    """Its bars run near the full page, its diagonals keep clear of the corners (Pythagoras)."""
    code, out, _ = run("scale", "--paper", paper)
    assert code == 0
    assert f"scale-{paper}.pdf" in out
    document = pypdfium2.PdfDocument(tmp_path / "templategen-pack" / f"scale-{paper}.pdf")
    page = document[0]
    words = page.get_textpage().get_text_range()
    assert f"across: {across} between" in words
    assert f"down: {down} between" in words
    lengths = []
    for item in page.get_objects():
        left, bottom, right, top = item.get_bounds()
        lengths.append((right - left, top - bottom))
    unit = 72.0 if "in" in across else 72 / 25.4
    wide, high = (float(t.split()[0]) * unit for t in (across, down))
    assert max(w for w, _ in lengths) == pytest.approx(wide, abs=1.5)
    assert max(h for _, h in lengths) == pytest.approx(high, abs=1.5)
    assert wide > 0.8 * page.get_width()
    assert high > 0.8 * page.get_height()
    whole = (wide**2 + high**2) ** 0.5 / unit
    assert 0.75 * whole < float(diagonal.split()[0]) < 0.9 * whole
    assert f"Rising to the right, wanted {diagonal}" in words
    document.close()
