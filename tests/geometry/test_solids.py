"""Solids of revolution against scipy, trimesh (general reference libraries) and handbook solids."""

import itertools
import math

import numpy as np
import pytest
import trimesh
from builders import demo_plan
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate  # type: ignore[import-untyped]

from templategen.geometry.solids import (
    centre_of_mass_depth,
    inertia_of_revolution,
    volume_of_revolution,
)

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
    bowl = demo_plan().bowls[number]
    sides = 360
    outline = np.array([*bowl.outline, bowl.outline[0]])
    mesh = trimesh.creation.revolve(outline, sections=sides)
    share = math.sin(2 * math.pi / sides) / (2 * math.pi / sides)
    assert abs(mesh.volume) == pytest.approx(bowl.volume * share, rel=1e-6)


BOWL = [
    (0.0, 60.0),
    (50.0, 55.0),
    (90.0, 0.0),
    (100.0, 0.0),
    (70.0, 60.0),
    (30.0, 75.0),
    (0.0, 75.0),
]


def test_handbook_solids() -> None:
    """Hemisphere: 3/8 of its radius deep, (2/5) m r²; cylinder: half way, (1/2) m r².

    Tables of centroids and inertia of any handbook of mechanics.
    """
    half = [(100 * math.cos(a), 100 * math.sin(a)) for a in np.linspace(0, math.pi / 2, 2001)]
    ball = [(0.0, 0.0), *half]
    volume = 2 / 3 * math.pi * 100**3
    assert centre_of_mass_depth(ball) == pytest.approx(37.5, abs=1e-4)
    assert inertia_of_revolution(ball) == pytest.approx(0.4 * volume * 100**2, rel=1e-6)
    disc = [(0.0, 10.0), (200.0, 10.0), (200.0, 190.0), (0.0, 190.0)]
    assert centre_of_mass_depth(disc) == pytest.approx(100)
    mass = math.pi * 200**2 * 180
    assert inertia_of_revolution(disc) == pytest.approx(0.5 * mass * 200**2)


def test_a_hollow_bowl_by_mesh() -> None:
    """Trimesh turns the outline into a solid of 720 sides and integrates over its faces."""
    mesh = trimesh.creation.revolve(np.array([*BOWL, BOWL[0]]), sections=720)
    mesh.density = 1.0
    sides = 720  # a polygon of n sides holds sin(2π/n)/(2π/n) of the circle's area
    smaller = math.sin(2 * math.pi / sides) / (2 * math.pi / sides)
    assert mesh.center_mass[2] == pytest.approx(centre_of_mass_depth(BOWL), abs=1e-3)
    about_axis = abs(mesh.moment_inertia[2][2]) / smaller
    assert about_axis == pytest.approx(inertia_of_revolution(BOWL), rel=1e-4)


def test_a_hollow_bowl_by_integrals() -> None:
    """Scipy integrates r z and r³ over the area between the two curves of the outline."""

    def inner(r: float) -> float:
        return float(np.interp(r, [0, 50, 90], [60, 55, 0]))

    def outer(r: float) -> float:
        return float(np.interp(r, [0, 30, 70, 100], [75, 75, 60, 0]))

    def over_area(power: int, of_z: int) -> float:
        def strip(r: float) -> float:
            top = inner(r) if r < 90 else 0.0
            n = of_z + 1
            return r**power * (outer(r) ** n - top**n) / n

        return float(integrate.quad(strip, 0, 100, points=[30, 50, 70, 90], limit=200)[0])

    depth = over_area(1, 1) / over_area(1, 0)
    assert centre_of_mass_depth(BOWL) == pytest.approx(depth, rel=1e-9)
    assert centre_of_mass_depth(BOWL[::-1]) == pytest.approx(depth, rel=1e-9)
    inertia = 2 * math.pi * over_area(3, 0)
    assert inertia_of_revolution(BOWL) == pytest.approx(inertia, rel=1e-9)
