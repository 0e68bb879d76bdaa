"""Strength of a tenon against plain mechanics."""

import math

import pytest
from scipy import integrate

from templategen.trade import tenon


def test_tenon_strength_grows_as_the_cube() -> None:
    """Section modulus π d³/32 (any handbook of mechanics): half the diameter, an eighth."""
    assert tenon.strength_share(100, 200) == 1
    assert tenon.strength_share(50, 200) == pytest.approx(1 / 8)
    for small, large in ((60, 90), (100, 130)):
        ratio = tenon.bending_moment(large, 4000) / tenon.bending_moment(small, 4000)
        assert ratio == pytest.approx((large / small) ** 3)


def test_bending_moment_is_the_stress_integral() -> None:
    """Stress σ y/r over a round section times y, by scipy; sycamore's 4340 kPa is Table 5-3b's."""
    radius, stress = 0.05, 4340e3
    moment = integrate.quad(
        lambda y: stress * y / radius * y * 2 * math.sqrt(radius**2 - y**2), -radius, radius
    )[0]
    assert tenon.bending_moment(100, 4340) == pytest.approx(moment, rel=1e-6)


@pytest.mark.parametrize("jaw_count", [2, 3, 4, 8])
def test_shear_moment_is_the_shear_integral(jaw_count: int) -> None:
    """Shear over one jaw's part of the round, times its distance from the far edge, by scipy.

    Wood that slides across its grain has 18 % of its strength along it at the least (Wood
    Handbook ch. 5, rolling shear, from memory).
    """
    radius, length, stress = 0.06, 0.009, 0.18 * 6900e3
    half = math.pi / jaw_count
    moment = integrate.quad(
        lambda angle: stress * length * radius * (radius + radius * math.cos(angle)), -half, half
    )[0]
    found = tenon.shear_moment(120, length=9, jaw_count=jaw_count, shear_kpa=6900)
    assert found == pytest.approx(moment, rel=1e-6)


def test_the_weaker_way_breaks_the_tenon() -> None:
    """The force at a lever of 0.2 m whose moment is the lesser of the two."""
    assert tenon.break_force((50.0, 30.0), 200) == pytest.approx(150)
    assert tenon.break_force((30.0, 50.0), 200) == pytest.approx(150)
