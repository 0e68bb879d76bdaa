"""Volumes of revolution against scipy's quadrature and trimesh, general reference libraries."""

import itertools
import math

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate  # type: ignore[import-untyped]

from templategen.geometry.solids import volume_of_revolution
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan

pytestmark = pytest.mark.property


@given(
    radii=st.lists(st.floats(1, 500), min_size=2, max_size=6),
    step=st.floats(1, 60),
)
def test_frusta_meet_scipy(radii: list[float], step: float) -> None:
    """A stack of frusta, its radius linear between corners, by discs."""
    outline = [(0.0, 0.0), *((r, i * step) for i, r in enumerate(radii))]
    outline.append((0.0, (len(radii) - 1) * step))
    expected = 0.0
    for low, high in itertools.pairwise(radii):

        def disc(z: float, low: float = low, high: float = high) -> float:
            return math.pi * (low + (high - low) * z / step) ** 2

        expected += integrate.quad(disc, 0, step)[0]
    assert volume_of_revolution(outline) == pytest.approx(expected, rel=1e-9)


def test_a_bowl_meets_scipy() -> None:
    """A hemispherical shell in fine chords, by discs less the hollow."""
    count, outer, inner = 2000, 200.0, 180.0
    angles = [math.pi / 2 * i / count for i in range(count + 1)]
    outline = [(outer * math.cos(a), outer * math.sin(a)) for a in angles]
    outline += [(inner * math.cos(a), inner * math.sin(a)) for a in reversed(angles)]
    solid = integrate.quad(lambda z: math.pi * (outer**2 - z**2), 0, outer)[0]
    hollow = integrate.quad(lambda z: math.pi * (inner**2 - z**2), 0, inner)[0]
    assert volume_of_revolution(outline) == pytest.approx(solid - hollow, rel=1e-5)


def test_a_ring_off_the_axis_meets_pappus() -> None:
    """Pappus's centroid theorem: area times the way of the centroid (from memory)."""
    square = [(90.0, 0.0), (110.0, 0.0), (110.0, 20.0), (90.0, 20.0)]
    assert volume_of_revolution(square) == pytest.approx(400 * 2 * math.pi * 100)
    assert volume_of_revolution(square[::-1]) == pytest.approx(400 * 2 * math.pi * 100)


@pytest.mark.parametrize("number", [0, 1, 2, 3])
def test_pieces_of_the_demo_meet_trimesh(number: int) -> None:
    """Trimesh, a general mesh library, revolves each bowl's outline to the stated volume.

    A mesh of n sides has sin(2π/n) / (2π/n) of the round solid (area of a regular polygon).
    """
    plan = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    bowl = plan.bowls[number]
    sides = 360
    outline = np.array([*bowl.outline, bowl.outline[0]])
    mesh = trimesh.creation.revolve(outline, sections=sides)
    share = math.sin(2 * math.pi / sides) / (2 * math.pi / sides)
    assert abs(mesh.volume) == pytest.approx(bowl.volume * share, rel=1e-6)
