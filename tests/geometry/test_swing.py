"""Where the tip and the holder are, against polygons of shapely, a general reference library."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

from templategen.geometry.cuts import deepest_point, swing_angle
from templategen.geometry.swing import HOLDER_AIR, TipPath, holder_reach

pytestmark = pytest.mark.property

PATHS = st.builds(
    lambda radius, kerf, p, q, height: TipPath(
        radius=radius,
        kerf=kerf * radius,
        pivot_offset=p * radius,
        pivot_standoff=q * radius,
        height=height,
    ),
    st.floats(60, 600),
    st.floats(0.02, 0.2),
    st.floats(-0.4, 0.4),
    st.floats(0.01, 0.5),
    st.floats(0, 12),
)
SHARES = st.floats(0.001, 0.999)


def _edge_at(path: TipPath, angle: float) -> LineString:
    """The cutting edge turned to an angle by shapely, in (x, z)."""
    flat = LineString([(path.radius - path.kerf, 0), (path.radius, 0)])
    turned = affinity.rotate(flat, angle, origin=(0, 0), use_radians=True)
    return affinity.translate(turned, path.pivot_offset, -path.pivot_standoff)


WOOD = box(-2000, 0, 2000, 2000)  # z > 0


@given(path=PATHS, share=SHARES)
def test_depth_and_nearest_x_are_those_of_the_turned_edge(path: TipPath, share: float) -> None:
    """The edge turned and cut off at the face by shapely has that depth and that least x."""
    start = path.touch_angle()
    angle = start + share * (math.pi / 2 + 0.4 - start)
    edge = _edge_at(path, angle)
    assert edge.bounds[3] == pytest.approx(path.depth(angle), abs=1e-9 * path.radius)
    inside = edge.intersection(WOOD)
    if inside.length > 1e-6:
        assert path.nearest_x(angle) == pytest.approx(inside.bounds[0], abs=1e-6)


@given(path=PATHS, share=SHARES)
def test_depth_and_neck_give_their_angle_back(path: TipPath, share: float) -> None:
    """A depth on the way in, and a neck on the whole way, occur at one angle only."""
    start, end = path.touch_angle(), path.through_angle()
    assert end is not None
    angle = start + share * (end - start)
    neck = path.neck_radius(angle)
    found = path.angle_at_neck_radius(neck)
    assert found is not None
    assert path.neck_radius(found) == pytest.approx(neck, abs=1e-6)
    if path.nearest_x(angle) > 0.1:  # on the axis itself dr/dx is 0: the angle is uncertain
        assert found == pytest.approx(angle, abs=1e-6)
    on_the_way_in = min(angle, math.pi / 2)
    found = path.angle_at_depth(path.depth(on_the_way_in))
    assert found == pytest.approx(on_the_way_in, abs=1e-6)


@given(path=PATHS)
def test_the_neck_falls_to_the_stub(path: TipPath) -> None:
    """From the touch to the axis the neck only gets smaller, and ends at the height h."""
    start, end = path.touch_angle(), path.through_angle()
    assert end is not None
    necks = [path.neck_radius(start + n / 200 * (end - start)) for n in range(201)]
    assert all(a >= b - 1e-9 for a, b in itertools.pairwise(necks))
    assert necks[-1] == pytest.approx(path.height, abs=1e-6)
    entry = path.pivot_offset + math.sqrt(path.radius**2 - path.pivot_standoff**2)
    assert necks[0] == pytest.approx(math.hypot(entry, path.height), abs=1e-6)


@given(path=PATHS)
def test_the_first_corner_on_the_axis_parts_the_core(path: TipPath) -> None:
    """With p ≥ 0 the parting angle ends the swing (design §3); with p < 0 it comes before."""
    end = path.through_angle()
    assert end is not None
    whole = path.touch_angle() + swing_angle(
        radius=path.radius, pivot_offset=path.pivot_offset, pivot_standoff=path.pivot_standoff
    )
    if path.pivot_offset >= 0:
        assert end == pytest.approx(whole, abs=1e-9)
    elif path.pivot_offset < -0.1:
        assert end < whole
    just_before = _edge_at(path, end - 1e-4).bounds[0]
    assert just_before > 0
    assert _edge_at(path, end).bounds[0] == pytest.approx(0, abs=1e-6)


def test_what_the_tip_never_does_has_no_angle() -> None:
    """No angle for a depth below the deepest point, a neck under h or wider than the entry."""
    path = TipPath(radius=100, kerf=10, pivot_offset=10, pivot_standoff=20, height=5)
    deepest = deepest_point(radius=100, pivot_offset=10, pivot_standoff=20)
    assert path.angle_at_depth(deepest) == pytest.approx(math.pi / 2)
    assert path.angle_at_depth(deepest + 0.001) is None
    assert path.angle_at_depth(-121) is None
    assert path.angle_at_neck_radius(4.99) is None
    entry = math.hypot(10 + math.sqrt(100**2 - 20**2), 5)
    assert path.angle_at_neck_radius(entry + 0.001) is None
    beyond = TipPath(radius=100, kerf=10, pivot_offset=101, pivot_standoff=20, height=5)
    assert beyond.through_angle() is None


def _holder(radius: float, angle: float, width: float, p: float, q: float) -> Polygon:
    """A holder as a straight bar behind the bare blade, its front square to the blade."""
    bar = box(radius - width / 2, -60, radius + width / 2, 0)  # tip side is +z at angle 0
    turned = affinity.rotate(bar, angle, origin=(0, 0), use_radians=True)
    return affinity.translate(turned, p, -q)


@pytest.mark.parametrize("radius", [75.0, 105.0, 183.0, 300.0])
@pytest.mark.parametrize("p", [-30.0, 0.0, 25.0])
@pytest.mark.parametrize("q", [15.0, 25.0, 60.0])
@pytest.mark.parametrize("width", [16.0, 40.0, 55.0])
def test_a_holder_behind_enough_bare_blade_stays_out(
    radius: float, p: float, q: float, width: float
) -> None:
    """A bar swung about the pivot keeps its air over the whole swing, measured by shapely."""
    reach = holder_reach(radius=radius, pivot_offset=p, pivot_standoff=q, holder=width)
    assert reach is not None
    start = math.asin(q / radius)
    end = start + swing_angle(radius=radius, pivot_offset=p, pivot_standoff=q)
    gaps = [
        -_holder(radius, start + n / 90 * (end - start) - reach, width, p, q).bounds[3]
        for n in range(91)
    ]
    assert min(gaps) >= HOLDER_AIR - 1e-9
    assert min(gaps) == pytest.approx(gaps[-1])  # nearest when the core comes free
    # the rule counts half a width towards the face; so a blade shorter by that arc must foul
    missing = (width + HOLDER_AIR) / radius + 0.02
    assert _holder(radius, end - reach + missing, width, p, q).intersects(WOOD)


def test_a_holder_that_just_has_its_air() -> None:
    """With the middle of the holder's front at its half width + 5 in front of the face.

    R 105, q 25, c 25: the front stands at angle 0 beside the pivot, so a quarter turn is needed.
    """
    reach = holder_reach(radius=105, pivot_offset=0, pivot_standoff=25, holder=40)
    assert reach == pytest.approx(math.pi / 2)
    level = affinity.translate(box(85, -20, 125, 20), 0, -25)  # a square about that point
    assert level.bounds[3] == pytest.approx(-HOLDER_AIR)


def test_a_holder_too_wide_for_any_blade() -> None:
    """Behind the pivot the blade is R + q from the face: a half width beyond that never fits."""
    assert holder_reach(radius=60, pivot_offset=0, pivot_standoff=15, holder=139) is not None
    assert holder_reach(radius=60, pivot_offset=0, pivot_standoff=15, holder=141) is None
