"""Centre of mass and inertia against scipy, trimesh and handbook solids."""

import math

import numpy as np
import pytest
import trimesh
from scipy import integrate

from templategen.geometry.solid_moments import centre_of_mass_depth, inertia_of_revolution

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
