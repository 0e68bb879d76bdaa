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


@pytest.mark.parametrize("p", [-30.0, -0.5, 0.0, 0.5, 40.0])
def test_slope_and_deepest_by_sympy(p: float) -> None:
    """The tangent at the axis, and the deepest point on the near side of it, as sympy has them."""
    x = sympy.Symbol("x", real=True)
    edge = sympy.sqrt(100**2 - (x - p) ** 2) - 20
    slope = float(sympy.atan(edge.diff(x).subs(x, 0)))
    assert cuts.slope_at_axis(radius=100, pivot_offset=p) == pytest.approx(slope, abs=1e-9)
    deepest = float(edge.subs(x, max(0.0, p)))
    found = cuts.deepest_point(radius=100, pivot_offset=p, pivot_standoff=20)
    assert found == pytest.approx(deepest, abs=1e-9)


def test_the_longest_chord_and_the_shortest() -> None:
    """An entry and a depth 2R apart leave the pivot halfway between; none apart, no place."""
    found = cuts.pivot_from_entry_and_depth(radius=50, entry=60, depth=80)
    assert found == pytest.approx((30, -40))
    near = cuts.pivot_from_entry_and_depth(radius=50, entry=60, depth=79.9999)
    assert near == pytest.approx((30, -40), abs=0.2)
    with pytest.raises(GeometryError, match="no arc"):
        cuts.pivot_from_entry_and_depth(radius=50, entry=0, depth=0)
    with pytest.raises(GeometryError, match="no arc"):
        cuts.pivot_from_entry_and_depth(radius=50, entry=60, depth=80.01)
    tiny = cuts.pivot_from_entry_and_depth(radius=50, entry=0.3, depth=0.4)
    assert math.dist(tiny, (0.3, 0)) == pytest.approx(50)


@pytest.mark.parametrize(("chord", "rise"), [(0, 5), (5, 0), (-5, 5), (5, -5), (math.nan, 5)])
def test_no_radius_from_nothing(chord: float, rise: float) -> None:
    """A chord or a rise that is not above zero is no arc; small ones are."""
    with pytest.raises(GeometryError, match="above zero"):
        cuts.radius_from_chord(chord=chord, rise=rise)
    assert cuts.radius_from_chord(chord=0.8, rise=0.4) == pytest.approx(0.4)


def test_how_the_radius_hangs_on_the_rise() -> None:
    """The slope of c²/(8s) + s/2 by sympy, times what the rise is out (first order of any text)."""
    c, s = sympy.symbols("c s", positive=True)
    slope = (c**2 / (8 * s) + s / 2).diff(s)
    for chord, rise in ((120, 20), (200, 12), (100, 50), (60, 8)):
        expected = abs(float(slope.subs({c: chord, s: rise}))) * 0.25
        found = cuts.radius_uncertainty(chord=chord, rise=rise, rise_error=0.25)
        assert found == pytest.approx(expected, abs=1e-12)


@given(radius=st.floats(60, 300), half_angle=st.floats(0.35, 1.2), read=st.floats(-0.25, 0.25))
def test_a_rise_misread_moves_the_radius_no_farther(
    radius: float, half_angle: float, read: float
) -> None:
    """A radius from a rise read to a quarter millimetre stays within the stated uncertainty.

    A tenth of a millimetre is left for the bend of the curve, on arcs worth measuring.
    """
    chord, rise = 2 * radius * math.sin(half_angle), radius * (1 - math.cos(half_angle))
    error = cuts.radius_uncertainty(chord=chord, rise=rise, rise_error=0.25)
    found = cuts.radius_from_chord(chord=chord, rise=rise + read)
    assert abs(found - radius) <= error * 1.1 + 0.1
