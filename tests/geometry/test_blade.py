"""Room of a blade in its kerf, against the kerf and the blade as solids measured point by point."""

import math

import numpy as np
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st
from shapely import contains_xy
from shapely.geometry import Polygon

from templategen.geometry.blade import BLADE_AIR, BladeRoom, blade_room

pytestmark = pytest.mark.property


def _kerf(radius: float, kerf: float, p: float, q: float, height: float) -> Polygon:
    """What the turning tip takes away, as a half section in true radius and depth."""
    angles = np.linspace(0.0, math.pi, 3001)
    sides = []
    for rho in (radius, radius - kerf):
        x, z = p + rho * np.cos(angles), rho * np.sin(angles) - q
        seen = x >= 0
        sides.append(np.column_stack([np.hypot(x[seen], height), z[seen]]))
    return Polygon([*sides[0].tolist(), *sides[1][::-1].tolist()])


def _blade_is_free(
    room: BladeRoom, *, radius: float, kerf: float, b: float, h: float, p: float, nearest: float
) -> bool:
    """Whether every point of the blade's two faces lies in the kerf, at its true radius.

    The blade is where the tip has been: behind it up to the face of the blank, top level with
    the edge, 41 heights, 300 places.
    """
    q = 0.2 * radius
    hole = _kerf(radius, kerf, p, q, h).buffer(1e-4)
    heights = np.linspace(h - b, h, 41)
    for rho in (radius - room.outside_needed, radius - kerf + room.inside_needed):
        last = math.acos((nearest - p) / rho)
        angles = np.linspace(math.asin((q + 1) / rho), last, 300)
        x, z = p + rho * np.cos(angles), rho * np.sin(angles) - q
        r = np.hypot(x[:, None], heights)
        if not contains_xy(hole, r, np.repeat(z[:, None], 41, axis=1)).all():
            return False
    return True


@pytest.mark.parametrize("radius", [75.0, 105.0, 250.0])
@pytest.mark.parametrize("p", [-25.0, -8.0, 0.0, 20.0])
@pytest.mark.parametrize(("b", "h"), [(20.0, 5.0), (25.0, 3.0), (12.0, 8.0), (20.0, 0.0)])
def test_a_blade_with_the_room_needed_is_free_and_with_less_is_not(
    radius: float, p: float, b: float, h: float
) -> None:
    """The faces of the blade at the needed room lie in the kerf, point by point (shapely).

    With 0.1 mm less on a side they do not. For p > 0 the figure outside is on the safe side.
    """
    kerf, nearest = 12.0, 14.0
    room = blade_room(
        radius=radius, kerf=kerf, section=(9, b), height=h, pivot_offset=p, nearest_x=nearest
    )
    at = {"radius": radius, "kerf": kerf, "b": b, "h": h, "p": p, "nearest": nearest}
    assert _blade_is_free(room, **at)
    for side in ("outside_needed", "inside_needed")[p > 0 :]:
        needed = {name: getattr(room, name) for name in room.__dataclass_fields__}
        if needed[side] > 0.1:
            needed[side] -= 0.1
            assert not _blade_is_free(BladeRoom(**needed), **at)


@given(radius=st.floats(60, 600), b=st.floats(5, 35), h=st.floats(0, 12))
def test_a_pivot_on_the_axis_meets_the_short_formula(radius: float, b: float, h: float) -> None:
    """With p = 0 the room is b (b - 2h)/(2R), the first term of design §4 rule 9."""
    room = blade_room(
        radius=radius, kerf=10, section=(6, b), height=h, pivot_offset=0, nearest_x=10
    )
    short = max(0.0, b * (b - 2 * h) / (2 * radius))
    assert room.outside_needed == pytest.approx(short, abs=short**2 / radius + 1e-9)
    assert room.outside_needed >= short - 1e-9


def test_the_kerf_equation_by_sympy() -> None:
    """A point of the blade meets the outer wall where sympy puts it, without our algebra.

    R 105, p -30, h 5, b 20, at x = 12: solve for ρ such that the lower edge, taken at its true
    radius back into the plane of the tip, lies R from the pivot.
    """
    rho = sympy.Symbol("rho", positive=True)
    x = 12
    w = sympy.sqrt(rho**2 - (x + 30) ** 2)  # depth below the pivot of that part of the blade
    plane_x = sympy.sqrt(x**2 + 15**2 - 5**2)
    answer = sympy.nsolve((plane_x + 30) ** 2 + w**2 - 105**2, rho, 100)
    room = blade_room(
        radius=105, kerf=12, section=(9, 20), height=5, pivot_offset=-30, nearest_x=12
    )
    assert room.outside_needed == pytest.approx(105 - float(answer), abs=1e-9)
    assert room.outside_needed > 2.5 * 20 * 10 / (2 * 105)  # the short formula is far too small


def test_touching_and_air() -> None:
    """9 mm in a kerf of 12 has 1.5 mm a side and is free at R 105; 11 mm touches; 10.5 is tight."""
    rooms = [
        blade_room(radius=105, kerf=12, section=(w, 20), height=5, pivot_offset=0, nearest_x=12)
        for w in (9.0, 10.0, 11.0)
    ]
    assert [r.outside for r in rooms] == [1.5, 1.0, 0.5]
    assert [r.touches for r in rooms] == [False, False, True]
    assert [r.has_air for r in rooms] == [True, False, False]
    assert rooms[0].outside_needed + BLADE_AIR == pytest.approx(1.457, abs=1e-3)


def test_a_low_blade_needs_no_room_outside() -> None:
    """A blade under 2h high never runs at a larger true radius than its tip (design §4 rule 9)."""
    room = blade_room(radius=105, kerf=12, section=(9, 10), height=5, pivot_offset=0, nearest_x=12)
    assert room.outside_needed == 0
    assert room.inside_needed > 0
