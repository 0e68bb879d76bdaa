"""A printer's measured scale: its correction undoes it, its bounds catch a fitted page."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Point
from templategen.trade.paper import Paper, paper_named
from templategen.trade.printer import NEAREST_EDGE, PrinterProfile, factor_from, skew_of_diagonals


@given(
    across=st.floats(0.9, 1.1),
    down=st.floats(0.9, 1.1),
    skew=st.floats(-0.02, 0.02),
    paper=st.sampled_from([paper_named("a4"), paper_named("letter").turned()]),
    x=st.floats(0, 200),
    y=st.floats(0, 200),
)
def test_the_correction_undoes_the_printer(
    across: float, down: float, skew: float, paper: Paper, x: float, y: float
) -> None:
    """A point corrected, then printed with the measured scale and skew, is where it was.

    The printer is worked out here by hand: it stretches a sheet about its middle, the shorter side
    across, and leans its upright lines. The margin keeps corrected content 5 mm inside.
    """
    profile = PrinterProfile(name="invented", across=across, down=down, skew=skew)
    moved = profile.correction(paper).apply(Point(x, y))
    u, v = moved.x - paper.width / 2, moved.y - paper.height / 2
    if paper.width > paper.height:  # its x axis runs along the longer side, down the printer
        u, v = v, -u
        u, v = across * u + skew * down * v, down * v
        u, v = -v, u
    else:
        u, v = across * u + skew * down * v, down * v
    assert paper.width / 2 + u == pytest.approx(x, abs=1e-9)
    assert paper.height / 2 + v == pytest.approx(y, abs=1e-9)
    margin = profile.margin(paper, 10.0)
    for corner in (Point(margin, margin), Point(paper.width - margin, margin)):
        put = profile.correction(paper).apply(corner)
        assert min(put.x, paper.width - put.x, put.y) >= NEAREST_EDGE - 1e-9


def test_skew_of_a_leaning_rectangle() -> None:
    """A rectangle of 180 x 250 whose uprights lean 1.5 mm: its diagonals, by Pythagoras."""
    rising, falling = math.hypot(181.5, 250), math.hypot(178.5, 250)
    for part in (1.0, 0.8):  # of the diagonals
        found = skew_of_diagonals(part * rising, part * falling, 180, 250)
        assert found == pytest.approx(1.5 / 250, rel=1e-4)
    assert skew_of_diagonals(300, 300, 180, 240) == 0


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("179.1/180", 0.995),
        ("0.9956", 0.9956),
        ("6 63/64 : 7", (6 + 63 / 64) / 7),
        ("18 cm/179 mm", 180 / 179),
        ("6 15/16 in + 0.047 in : 7 in", (6.9375 + 0.047) / 7),
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
