"""Speed limits and energy against common practice and plain mechanics."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.trade.lathe import rim_speed
from templategen.trade.speed import SpeedBound, coring_speed, solid_energy


@pytest.mark.parametrize(("inches", "rpm"), [(12, 500), (16, 370), (20, 300), (24, 250)])
def test_the_diameter_rule(inches: float, rpm: float) -> None:
    """6000 over the inches, in whole tens below it; common practice, no source."""
    speed = coring_speed(inches * 25.4, cap_rpm=1000)
    assert speed.bound is SpeedBound.DIAMETER
    assert speed.shown == pytest.approx(rpm)


@given(diameter=st.floats(50, 1500))
def test_the_diameter_rule_is_a_rim_speed(diameter: float) -> None:
    """6000 is 1571 ft/min at the rim: π D rpm / 12, an open school-shop course."""
    speed = coring_speed(diameter, cap_rpm=1e9)
    assert rim_speed(diameter, speed.limit) * 60 / 0.3048 == pytest.approx(1571, abs=0.5)


@given(
    diameter=st.floats(50, 1500),
    cap=st.floats(5, 3000),
    makers=st.lists(st.floats(5, 3000), max_size=3),
)
def test_no_figure_is_above_any_limit(diameter: float, cap: float, makers: list[float]) -> None:
    """What is shown is under every limit, and the start is at most half of each."""
    speed = coring_speed(diameter, cap_rpm=cap, makers_rpm=makers)
    for limit in (cap, *makers, 6000 * 25.4 / diameter):
        assert 0 < speed.shown <= limit * (1 + 1e-12)
        assert 0 < speed.start <= limit / 2 * (1 + 1e-12)


def test_which_limit_binds() -> None:
    """The least one is named."""
    assert coring_speed(200, cap_rpm=500).bound is SpeedBound.CAP
    assert coring_speed(200, cap_rpm=500, makers_rpm=[800, 400]).bound is SpeedBound.MAKER
    assert coring_speed(400, cap_rpm=500, makers_rpm=[800, 400]).bound is SpeedBound.DIAMETER


def test_energy_by_adding_up_moving_rings() -> None:
    """½ m v² of 20,000 thin rings, each with its own speed, is the energy of the disc."""
    radii = np.linspace(0, 0.2, 20001)
    middle = (radii[1:] + radii[:-1]) / 2
    masses = 900 * 0.18 * math.pi * (radii[1:] ** 2 - radii[:-1] ** 2)
    speeds = 2 * math.pi * middle * 380 / 60
    expected = float((masses * speeds**2 / 2).sum())
    outline = [(0.0, 0.0), (200.0, 0.0), (200.0, 180.0), (0.0, 180.0)]
    solid = solid_energy(outline, density_kg_m3=900, speed_rpm=380)
    assert solid == pytest.approx(expected, rel=1e-6)


def test_energy_of_a_known_flywheel() -> None:
    """A disc of 1 kg and 2 m at 60/(2π) rpm turns at 1 rad/s: I = ½ kg m², so a quarter joule."""
    thick = 1 / math.pi  # mm, of 1000 kg/m³
    outline = [(0.0, 0.0), (1000.0, 0.0), (1000.0, thick), (0.0, thick)]
    energy = solid_energy(outline, density_kg_m3=1000, speed_rpm=60 / (2 * math.pi))
    assert energy == pytest.approx(0.25)
