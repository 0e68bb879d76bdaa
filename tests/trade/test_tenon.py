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
        ratio = tenon.break_moment(large, 4000) / tenon.break_moment(small, 4000)
        assert ratio == pytest.approx((large / small) ** 3)


def test_break_moment_is_the_stress_integral() -> None:
    """Stress σ y/r over a round section times y, by scipy; sycamore's 4340 kPa is Table 5-3b's."""
    radius, stress = 0.05, 4340e3
    moment = integrate.quad(
        lambda y: stress * y / radius * y * 2 * math.sqrt(radius**2 - y**2), -radius, radius
    )[0]
    assert tenon.break_moment(100, 4340) == pytest.approx(moment, rel=1e-6)
    assert tenon.break_force(100, 4340, 200) == pytest.approx(moment / 0.2, rel=1e-6)
