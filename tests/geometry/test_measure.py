"""The second opinion on outlines: gaps, depths and volumes against shapely and scipy."""

import itertools
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from templategen.geometry.measure import depth_at_radius, least_gap, swept_volume

microns = st.floats(0, 60).map(lambda figure: round(figure, 3))
spots = st.tuples(microns, microns)


@given(
    one=st.lists(spots, min_size=2, max_size=6),
    other=st.lists(spots, min_size=2, max_size=6),
    apart=st.sampled_from([0.0, 30.0, 80.0]),
)
def test_least_gap(
    one: list[tuple[float, float]], other: list[tuple[float, float]], apart: float
) -> None:
    """Any two lines, crossing, touching or apart, are as far from one another as shapely says."""
    there = [(r, z + apart) for r, z in other]
    wanted = shapely.LineString(one).distance(shapely.LineString(there))
    assert least_gap(one, there) == pytest.approx(wanted, abs=1e-9)
    assert least_gap(there, one) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(
    ("other", "gap"),
    [
        ([(13, 4), (13, 4), (40, 5)], 5.0),  # a side without length
        ([(5, -5), (5, 5)], 0.0),  # crosses
        ([(5, 0), (5, 5)], 0.0),  # touches
        ([(-5, 10), (15, 10), (15, -1)], 5.0),  # past the end
        ([(40, 3), (40, 3)], math.hypot(30, 3)),
        ([(20, 0), (30, 0)], 10.0),  # in one line with it, but farther on
        ([(-9, 0), (-4, 0)], 4.0),
        ([(9, 0), (30, 0)], 0.0),
        ([(5, 0.01), (5, 9)], 0.01),  # all but touches
        ([(4, 0.3), (6, 0.3)], 0.3),
        ([(-2, 1), (12, 1)], 1.0),  # longer than the other, both corners beside its ends
    ],
)
def test_gaps_by_hand(other: list[tuple[float, float]], gap: float) -> None:
    """From the side (0, 0) to (10, 0), worked out by hand."""
    line = [(0.0, 0.0), (10.0, 0.0)]
    small = [(r / 20, z / 20) for r, z in other]
    assert least_gap([(0, 0), (0.5, 0)], small) == pytest.approx(gap / 20)
    assert least_gap(line, other) == pytest.approx(gap)
    assert least_gap(other, line) == pytest.approx(gap)
    upright, beside = [(z, r) for r, z in line], [(z, r) for r, z in other]
    assert least_gap(upright, beside) == pytest.approx(gap)
    assert least_gap(beside, upright) == pytest.approx(gap)


@given(
    line=st.lists(spots, min_size=2, max_size=6),
    radius=st.floats(0, 60),
)
def test_depth_at_a_radius(line: list[tuple[float, float]], radius: float) -> None:
    """The deepest of where shapely cuts the line at that radius; None where it does not."""
    upright = shapely.LineString([(radius, -1), (radius, 61)])
    met = shapely.LineString(line).intersection(upright)
    found = depth_at_radius(line, radius)
    if met.is_empty:
        near = min(abs(r - radius) for r, _ in line)
        assert found is None or near < 1e-6
    elif all(abs(a[0] - b[0]) > 1e-3 for a, b in itertools.pairwise(line)):
        assert found == pytest.approx(met.bounds[3], abs=1e-6)


def test_depth_beside_an_upright_side() -> None:
    """A side that runs straight down has every depth at its radius and so none of its own."""
    assert depth_at_radius([(20, 0), (20, 30)], 20) is None
    assert depth_at_radius([(20, 0), (20, 30), (10, 40)], 20) == 30
    assert depth_at_radius([(10, 40), (20, 30), (20, 0)], 20) == 30
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


def test_swept_volume_of_nothing() -> None:
    """A line there and back has no area and sweeps nothing."""
    assert swept_volume([(5, 0), (9, 4)]) == 0
    assert swept_volume([(5, 5), (5, 9), (5, 5), (5, 1)]) == 0
