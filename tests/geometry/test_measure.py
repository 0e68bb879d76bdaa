"""The second opinion on outlines: gaps and depths by hand, volumes against scipy."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from templategen.geometry.measure import depth_at_radius, least_gap, swept_volume


@pytest.mark.parametrize(
    ("other", "gap"),
    [
        ([(13, 4), (13, 4), (40, 5)], 5.0),  # a side without length
        ([(5, -5), (5, 5)], 0.0),  # crosses
        ([(5, 0), (5, 5)], 0.0),  # touches
        ([(-5, 10), (15, 10), (15, -1)], 5.0),  # past the end
        ([(20, 0), (30, 0)], 10.0),  # in one line with it, but farther on
        ([(9, 0), (30, 0)], 0.0),
        ([(5, 0.01), (5, 9)], 0.01),  # nearly touches
        ([(-2, 1), (12, 1)], 1.0),  # longer than the other, both corners beside its ends
    ],
)
def test_gaps_by_hand(other: list[tuple[float, float]], gap: float) -> None:
    """Distances from the side (0, 0) to (10, 0), worked out by hand."""
    line = [(0.0, 0.0), (10.0, 0.0)]
    assert least_gap(line, other) == pytest.approx(gap)
    assert least_gap(other, line) == pytest.approx(gap)


def test_depths_by_hand() -> None:
    """The deepest place at a radius; None where the line does not reach it."""
    assert depth_at_radius([(20, 0), (20, 30), (10, 40)], 20) == 30
    assert depth_at_radius([(10, 40), (20, 30), (20, 0)], 15) == pytest.approx(35)
    assert depth_at_radius([(20, 5), (10, 40)], 20.001) is None
    assert depth_at_radius([(20, 5), (10, 40)], 10) == 40


@given(radius=st.floats(1, 400), height=st.floats(1, 400), top=st.floats(0, 300))
def test_swept_volume(radius: float, height: float, top: float) -> None:
    """A cone's frustum by scipy's quadrature of its discs, run either way round."""

    def disc(z: float) -> float:
        return math.pi * (radius + (top - radius) * z / height) ** 2

    outline = [(0.0, 7.0), (radius, 7.0), (top, 7.0 + height), (0.0, 7.0 + height)]
    wanted = integrate.quad(disc, 0, height)[0]
    assert swept_volume(outline) == pytest.approx(wanted, rel=1e-9)
    assert swept_volume(outline[::-1]) == pytest.approx(wanted, rel=1e-9)
