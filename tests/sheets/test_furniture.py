"""What every page carries beside its parts."""

from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import footer
from templategen.sheets.page import Imprint
from templategen.units import Units


def _footer(titles: tuple[str, ...], job_title: str, date: str) -> str:
    imprint = Imprint(job_title=job_title, date=date)
    style = PrintStyle(units=Units.MM)
    return footer(style, imprint, label="Sheet 4", titles=titles, room=170.0)


def test_footer_names_what_fits() -> None:
    """A long list keeps the first names whole and counts the rest; job and date stay."""
    titles = tuple(f"Tenon ring {n}, closed, mouthed" for n in range(5))
    text = _footer(titles, "Lakeside", "2026-05-02")
    assert f"{titles[0]} and 4 more" in text
    assert text.endswith("Lakeside · 2026-05-02")
    assert "…" not in text
    assert _footer(titles[:1], "", "") == f"Sheet 4 · {titles[0]}"
    short = _footer(titles, "L" * 200, "2026-05-02")
    assert short.endswith("… · 2026-05-02")
