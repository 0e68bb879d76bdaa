"""Greatest thickness of a wall, against shapely's directed Hausdorff distance on dense points."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from templategen.geometry.curves import Span, points_along
from templategen.geometry.greatest_distance import greatest_distance


@given(
    radius=st.floats(30, 150),
    x=st.floats(-20, 20),
    down=st.floats(10, 60),
    wall=st.floats(5, 40),
    height=st.sampled_from([0.0, 5.0]),
)
@settings(max_examples=25, deadline=None)
def test_against_shapely(radius: float, x: float, down: float, wall: float, height: float) -> None:
    """Points of the edge 0.02 mm apart, each with its distance from the outside (shapely)."""
    end = math.acos(-x / radius)
    edge = Span(x=x, z=-down / 3, radius=radius, start=0.2, end=end, height=height)
    outside = [(radius + x + wall, 0.0), (radius * 0.7, radius), (0.0, radius + wall)]
    found, (on_outside, on_edge) = greatest_distance(edge, outside)
    line = shapely.LineString(points_along([edge], max_gap=1e-4))
    places = np.append(np.arange(0.0, line.length, 0.02), line.length)
    where = shapely.line_interpolate_point(line, places)
    wanted = float(shapely.distance(where, shapely.LineString(outside)).max())
    assert found == pytest.approx(wanted, abs=0.01)
    assert math.dist(on_outside, on_edge) == pytest.approx(found)


def test_an_even_wall_is_as_thick_everywhere() -> None:
    """Two circles about one centre: the greatest distance is the difference of their radii."""
    inside = Span(x=0.0, z=0.0, radius=80.0, start=0.0, end=math.pi / 2)
    outer = Span(x=0.0, z=0.0, radius=100.0, start=0.0, end=math.pi / 2)
    found, _ = greatest_distance(inside, points_along([outer], max_gap=1e-4))
    assert found == pytest.approx(20.0, abs=2e-4)
