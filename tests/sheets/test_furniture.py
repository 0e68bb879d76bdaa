"""What every page carries beside its parts."""

import pytest

from templategen.geometry.shapes import Line
from templategen.parts.drawing import Path
from templategen.parts.style import PrintStyle
from templategen.sheets.furniture import Contents, bars, footer, page_furniture
from templategen.sheets.page import Imprint, PageFrame
from templategen.trade.paper import paper_named
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


def _stations(bar: tuple[Path, ...], *, axis: int, side: int) -> list[float]:
    """Where the ticks on one side of a bar stand, mm from its start."""
    base = bar[0].segments[0]
    assert isinstance(base, Line)
    found = []
    for tick in bar[1:]:
        segment = tick.segments[0]
        assert isinstance(segment, Line)
        if (segment.end[1 - axis] - segment.start[1 - axis]) * side > 0:
            found.append(segment.start[axis] - base.start[axis])
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("units", list(Units))
def test_bars_of_each_unit(paper: str, units: Units) -> None:
    """150 mm in tens and 6 in in inches of 25.4 mm; both units on both sides of one line."""
    frame = PageFrame(paper=paper_named(paper))
    ticks = {
        Units.MM: [10.0 * n for n in range(16)],
        Units.IN: [25.4 * n for n in range(7)],  # international inch, 1959
    }
    for bar, axis in zip(bars(frame, units), (0, 1), strict=True):
        for side, unit in zip((1, -1), units.shown, strict=False):
            assert _stations(bar, axis=axis, side=side) == pytest.approx(ticks[unit])


@pytest.mark.parametrize("units", [Units.MM, Units.BOTH])
def test_the_head_says_step_and_material(units: Units) -> None:
    """The heading stands at the top in bold, and a caution on every page."""
    frame, style = PageFrame(paper=paper_named("a4")), PrintStyle(units=units)
    drawing = page_furniture(
        frame,
        style,
        Imprint(job_title="Ash", date=""),
        label="Sheet 2",
        contents=Contents("Set the post · glue to ply", ("Setting plate",)),
    )
    top = max(drawing.texts(), key=lambda text: text.at.y)
    assert (top.text, top.bold) == ("Set the post · glue to ply", True)
    assert any("Face shield" in text.text for text in drawing.texts())
