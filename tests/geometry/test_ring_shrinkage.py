"""The drying of a bowl by its growth rings, against the strain of the map and known limits."""

import math

import numpy as np
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from templategen.geometry.ring_shrinkage import (
    RingShrinkage,
    dried_place,
    dried_rim,
    dried_tenon,
)

pytestmark = pytest.mark.property

WOODS = st.builds(
    RingShrinkage, radial=st.floats(0, 0.08), tangential=st.floats(0.01, 0.13),
    along=st.floats(0, 0.004),
)  # fmt: skip


@given(wood=WOODS, u=st.floats(-250, 250), v=st.floats(5, 300))
def test_the_strain_of_the_map(wood: RingShrinkage, u: float, v: float) -> None:
    """Finite differences: -S_R along the radius, -S_T along the ring, and the two stay square.

    What shrinkage means: Wood Handbook FPL-GTR-282 ch. 4, per direction of the ring.
    """
    step = 1e-4
    r = math.hypot(u, v)
    outward, round_ = (u / r, v / r), (v / r, -u / r)

    def stretched(direction: tuple[float, float]) -> tuple[float, float]:
        ends = [
            dried_place(u + s * step * direction[0], v + s * step * direction[1], wood)
            for s in (1, -1)
        ]
        return (
            (ends[0][0] - ends[1][0]) / (2 * step),
            (ends[0][1] - ends[1][1]) / (2 * step),
        )

    radial, tangential = stretched(outward), stretched(round_)
    assert math.hypot(*radial) == pytest.approx(1 - wood.radial, abs=1e-6)
    assert math.hypot(*tangential) == pytest.approx(1 - wood.tangential, abs=1e-6)
    assert radial[0] * tangential[0] + radial[1] * tangential[1] == pytest.approx(0, abs=1e-6)


@given(radius=st.floats(50, 300), pith=st.floats(0, 300), s=st.floats(0, 0.1))
def test_even_shrinkage_only_scales(radius: float, pith: float, s: float) -> None:
    """With S_R = S_T = S_0 the bowl stays round and flat, and smaller by S."""
    rim = dried_rim(
        radius, rim_to_pith=pith, shrinkage=RingShrinkage(radial=s, tangential=s, along=s)
    )
    for found in (rim.across, rim.along, rim.circle):
        assert found == pytest.approx(2 * radius * (1 - s))
    assert rim.sides_lifted == pytest.approx(0, abs=1e-9)


@given(radius=st.floats(50, 250), wood=WOODS)
def test_far_from_the_pith_it_is_a_flat_sawn_board(radius: float, wood: RingShrinkage) -> None:
    """A kilometre from the pith the width shrinks by S_T and the rim stays flat."""
    rim = dried_rim(radius, rim_to_pith=1e6, shrinkage=wood)
    assert rim.across == pytest.approx(2 * radius * (1 - wood.tangential), rel=1e-6)
    assert rim.along == pytest.approx(2 * radius * (1 - wood.along))
    assert rim.sides_lifted == pytest.approx(0, abs=0.01)


@given(radius=st.floats(50, 250), pith=st.floats(0, 200), wood=WOODS)
def test_the_width_lies_between_a_quarter_sawn_and_a_flat_sawn_board(
    radius: float, pith: float, wood: RingShrinkage
) -> None:
    """Across the grain a rim, and a tenon, keep between 1 - S_T and 1 - S_R where S_R ≤ S_T."""
    if wood.radial > wood.tangential:
        return
    rim = dried_rim(radius, rim_to_pith=pith, shrinkage=wood)
    least, most = 1 - wood.tangential, 1 - wood.radial
    assert least - 1e-12 <= rim.across / (2 * radius) <= most + 1e-12
    assert rim.sides_lifted >= -1e-9
    across, along = dried_tenon(2 * radius, wood)
    assert across <= rim.across + 1e-9
    assert along == rim.along


def _solid_rim(radius: float, pith: float, wood: RingShrinkage) -> np.ndarray:
    """The rim laid out in rings: arcs cut into pieces, each shrunk, and put together again.

    The place at u lies on the ring through it; walk along the ring from the middle in 2,000
    pieces, each shorter by S_T, on a circle that is smaller by S_R.
    """
    turns = np.linspace(0, 2 * math.pi, 1441)
    places = []
    for u, w in zip(radius * np.cos(turns), radius * np.sin(turns), strict=True):
        ring = math.hypot(u, pith)
        arc = ring * math.asin(min(1.0, abs(u) / ring))
        piece = arc / 2000 * (1 - wood.tangential)
        heading, x, y = 0.0, 0.0, ring * (1 - wood.radial)
        turn = 2 * math.asin(piece / (2 * ring * (1 - wood.radial)))
        steps = np.arange(2000)
        headings = heading + turn * (steps + 0.5)
        x += float((piece * np.cos(headings)).sum())
        y -= float((piece * np.sin(headings)).sum())
        places.append((math.copysign(x, u), y, w * (1 - wood.along)))
    return np.array(places)


@pytest.mark.parametrize("pith", [15.0, 60.0, 195.0])
def test_a_rim_put_together_ring_by_ring(pith: float) -> None:
    """Rings walked in short pieces give the oval, its lift and its largest circle (shapely).

    American sycamore, 5.0 and 8.4 % to ovendry (Wood Handbook Table 4-3), to 10 %.
    """
    wood = RingShrinkage(radial=0.050 * 2 / 3, tangential=0.084 * 2 / 3, along=0.002 * 2 / 3)
    rim = dried_rim(200, rim_to_pith=pith, shrinkage=wood)
    places = _solid_rim(200, pith, wood)
    assert np.ptp(places[:, 0]) == pytest.approx(rim.across, abs=2e-3)
    assert np.ptp(places[:, 2]) == pytest.approx(rim.along, abs=2e-3)
    assert np.ptp(places[:, 1]) == pytest.approx(rim.sides_lifted, abs=2e-3)
    outline = Polygon(places[:, [0, 2]])
    circle = 2 * Point(0, 0).distance(outline.exterior)
    assert circle == pytest.approx(rim.circle, abs=5e-3)
    elsewhere = max(Point(x, y).distance(outline.exterior) for x in (-1, 0, 1) for y in (-1, 0, 1))
    assert elsewhere <= circle / 2 + 1e-9  # no circle beside the axis is larger


def test_the_lift_close_to_the_axis_by_sympy() -> None:
    """For a small rim the lift is b² (1 - κ²)(1 - S_R)/(2 t): the series of the map by sympy."""
    u, t, ratio, radial = sympy.symbols("u t kappa s", positive=True)
    height = sympy.sqrt(u**2 + t**2) * (1 - radial) * sympy.cos(ratio * sympy.atan(u / t))
    second = sympy.series(height, u, 0, 4).removeO().coeff(u, 2)
    assert sympy.simplify(second - (1 - radial) * (1 - ratio**2) / (2 * t)) == 0
    wood = RingShrinkage(radial=0.03, tangential=0.06, along=0)
    kappa = 0.94 / 0.97
    expected = 5**2 * (1 - kappa**2) * 0.97 / (2 * 200)
    rim = dried_rim(5, rim_to_pith=200, shrinkage=wood)
    assert rim.sides_lifted == pytest.approx(expected, rel=1e-3)


def test_a_rim_in_the_plane_of_the_pith() -> None:
    """With the pith in the rim plane the half circle closes to less than a half turn.

    The sides lie on a radius, so they keep 1 - S_R of their distance from the pith.
    """
    wood = RingShrinkage(radial=0.03, tangential=0.06, along=0.001)
    u, v = dried_place(150, 0, wood)
    assert math.hypot(u, v) == pytest.approx(150 * 0.97)
    assert math.degrees(math.atan2(u, v)) == pytest.approx(90 * 0.94 / 0.97)
    assert dried_rim(150, rim_to_pith=0, shrinkage=wood).sides_lifted == pytest.approx(v)
