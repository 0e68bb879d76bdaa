"""One cut's formulas against sympy, a general reference library (exact circle algebra)."""

import math

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import GeometryError
from templategen.geometry import cuts

pytestmark = pytest.mark.property


@given(
    radius=st.floats(60, 1000),
    entry_share=st.floats(0.3, 1.0),
    depth_share=st.floats(0.2, 0.9),
)
def test_pivot_lies_one_radius_from_entry_and_depth(
    radius: float, entry_share: float, depth_share: float
) -> None:
    """The pivot of an entry and a depth is R away from both points (design §3)."""
    entry, depth = radius * entry_share, radius * depth_share
    p, q = cuts.pivot_from_entry_and_depth(radius=radius, entry=entry, depth=depth)
    assert math.hypot(entry - p, q) == pytest.approx(radius, abs=1e-9 * radius)
    assert math.hypot(p, depth + q) == pytest.approx(radius, abs=1e-9 * radius)


def test_pivot_agrees_with_sympy() -> None:
    """Sympy intersects the two circles about the entry and the axis point exactly."""
    entry, depth, radius = 150, 110, 135
    circles = [
        sympy.Circle(sympy.Point(entry, 0), radius),
        sympy.Circle(sympy.Point(0, depth), radius),
    ]
    answers = [(float(s.x), -float(s.y)) for s in circles[0].intersection(circles[1])]
    expected = max(answers, key=lambda pair: pair[1])
    found = cuts.pivot_from_entry_and_depth(radius=radius, entry=entry, depth=depth)
    assert found == pytest.approx(expected, abs=1e-9)


def test_swing_is_the_central_angle() -> None:
    """The swing is the angle sympy finds between the rays to the face and to the axis."""
    p, q, radius = 10.0, 25.0, 135.0
    centre = sympy.Point(p, -q)
    face = sympy.Point(p + math.sqrt(radius**2 - q**2), 0)
    axis = sympy.Point(0, math.sqrt(radius**2 - p**2) - q)
    angle = sympy.Ray(centre, face).closing_angle(sympy.Ray(centre, axis))
    found = cuts.swing_angle(radius=radius, pivot_offset=p, pivot_standoff=q)
    assert found == pytest.approx(abs(float(angle)), abs=1e-9)


@given(radius=st.floats(20, 1000), half_angle=st.floats(0.1, 1.5))
def test_radius_from_chord_and_rise(radius: float, half_angle: float) -> None:
    """Chord 2R sin α and rise R(1 - cos α) give R back (circle segment, any handbook)."""
    chord, rise = 2 * radius * math.sin(half_angle), radius * (1 - math.cos(half_angle))
    assert cuts.radius_from_chord(chord=chord, rise=rise) == pytest.approx(radius, rel=1e-9)


def test_no_arc_is_an_error() -> None:
    """An entry and a depth further apart than 2R have no arc."""
    with pytest.raises(GeometryError, match="no arc"):
        cuts.pivot_from_entry_and_depth(radius=50, entry=90, depth=90)
