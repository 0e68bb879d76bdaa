"""A printer's measured scale: its correction undoes it, its bounds catch a fitted page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Point
from templategen.trade.paper import Paper, paper_named
from templategen.trade.printer import NEAREST_EDGE, PrinterProfile, factor_from


@given(
    across=st.floats(0.9, 1.1),
    down=st.floats(0.9, 1.1),
    paper=st.sampled_from([paper_named("a4"), paper_named("letter").turned()]),
    x=st.floats(0, 200),
    y=st.floats(0, 200),
)
def test_the_correction_undoes_the_printer(
    across: float, down: float, paper: Paper, x: float, y: float
) -> None:
    """A point corrected, then printed with the measured scale about the middle, is where it was.

    The shorter side goes across the printer; the margin keeps corrected content 5 mm inside.
    """
    profile = PrinterProfile(name="invented", across=across, down=down)
    wide = paper.width > paper.height
    scale_x, scale_y = (down, across) if wide else (across, down)
    moved = profile.correction(paper).apply(Point(x, y))
    assert paper.width / 2 + scale_x * (moved.x - paper.width / 2) == pytest.approx(x, abs=1e-9)
    assert paper.height / 2 + scale_y * (moved.y - paper.height / 2) == pytest.approx(y, abs=1e-9)
    margin = profile.margin(paper, 10.0)
    corner = profile.correction(paper).apply(Point(margin, margin))
    assert min(corner.x, corner.y) >= NEAREST_EDGE - 1e-9


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("179.1/180", 0.995),
        ("0.9956", 0.9956),
        ("6 63/64 : 7", (6 + 63 / 64) / 7),
        ("18 cm/179 mm", 180 / 179),
    ],
)
def test_factors_as_people_measure_them(text: str, factor: float) -> None:
    """Measured over wanted length, worked by hand."""
    assert factor_from(text, where="--across") == pytest.approx(factor)


def test_a_factor_out_of_bounds_names_the_cause() -> None:
    """Under 0.9 the print dialog fitted the page, over 1.1 it enlarged it; more is a slip."""
    with pytest.raises(LimitError, match=r"probably fitted the page to 85\.0 %"):
        factor_from("153/180", where="--across")
    with pytest.raises(LimitError, match="probably enlarged the page"):
        factor_from("1.2", where="--across")
    with pytest.raises(LimitError, match="the length you measured first"):
        factor_from("180/17.9", where="--across")
    with pytest.raises(InputError, match="is no measurement"):
        factor_from("wide", where="--across")
