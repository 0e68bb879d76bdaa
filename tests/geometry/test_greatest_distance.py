"""Greatest thickness of a wall, against shapely's directed Hausdorff distance on dense points."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from templategen.geometry.curves import Span, points_along
from templategen.geometry.greatest_distance import greatest_distance


def _greatest(edge: Span, outside: list[tuple[float, float]]) -> float:
    """Points of the edge 0.02 mm apart, each with its distance from the outside (shapely)."""
    line = shapely.LineString(points_along([edge], max_gap=1e-4))
    places = np.append(np.arange(0.0, line.length, 0.02), line.length)
    where = shapely.line_interpolate_point(line, places)
    return float(shapely.distance(where, shapely.LineString(outside)).max())


@given(
    radius=st.floats(30, 150),
    x=st.floats(-20, 20),
    down=st.floats(10, 60),
    wall=st.floats(5, 40),
    height=st.sampled_from([0.0, 5.0]),
)
@settings(max_examples=25, deadline=None)
def test_against_shapely(radius: float, x: float, down: float, wall: float, height: float) -> None:
    """Any edge in an outside of straight sides."""
    end = math.acos(-x / radius)
    edge = Span(x=x, z=-down / 3, radius=radius, start=0.2, end=end, height=height)
    outside = [(radius + x + wall, 0.0), (radius * 0.7, radius), (0.0, radius + wall)]
    found, (on_outside, on_edge) = greatest_distance(edge, outside)
    assert found == pytest.approx(_greatest(edge, outside), abs=0.01)
    assert math.dist(on_outside, on_edge) == pytest.approx(found)


def test_a_peak_between_two_places_that_are_examined() -> None:
    """Seen from beside a relief step the wall is thickest; at the face it is nearly as thick."""
    edge = Span(x=6.2353, z=-31.2566, radius=80.0, start=0.4014, end=1.6488, height=10.0)
    core = {"z": -51.6748, "radius": 126.0, "height": 10.0}
    upper = Span(x=19.9478, start=0.42258, end=0.65421, **core)
    lower = Span(x=24.9478, start=0.65421, end=1.77011, **core)
    outside = points_along([upper, lower], max_gap=1e-3)
    found, (on_outside, on_edge) = greatest_distance(edge, outside)
    assert found == pytest.approx(_greatest(edge, outside), abs=1e-3)
    assert math.dist(on_outside, on_edge) == pytest.approx(found)


def test_an_even_wall_is_as_thick_everywhere() -> None:
    """Two circles about one centre: the greatest distance is the difference of their radii."""
    inside = Span(x=0.0, z=0.0, radius=80.0, start=0.0, end=math.pi / 2)
    outer = Span(x=0.0, z=0.0, radius=100.0, start=0.0, end=math.pi / 2)
    found, _ = greatest_distance(inside, points_along([outer], max_gap=1e-4))
    assert found == pytest.approx(20.0, abs=2e-4)
