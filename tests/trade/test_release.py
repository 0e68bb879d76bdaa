"""Stop, release, rub and droop against mechanics done another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize
from shapely.geometry import LineString, Point

from templategen.geometry.swing import TipPath
from templategen.trade import lathe, release


@given(mass=st.floats(0.1, 30), lever=st.floats(5, 150), tension=st.floats(1500, 8000))
def test_the_breaking_neck_is_the_stress_integral(
    mass: float, lever: float, tension: float
) -> None:
    """Stress σ y/r over the round neck times y, by scipy, carries the weight's moment.

    The bending of a bar of any handbook of mechanics; 9.80665 m/s².
    """
    radius = release.breaking_neck(mass_kg=mass, overhang=lever, tension_kpa=tension) / 2000
    carried = integrate.quad(
        lambda y: tension * 1000 * y / radius * y * 2 * math.sqrt(radius**2 - y**2),
        -radius,
        radius,
    )[0]
    assert carried == pytest.approx(mass * 9.80665 * lever / 1000, rel=1e-5)


def test_overhang_of_a_hemisphere() -> None:
    """A half ball of 80 mm has its centre 3/8 of 80 below the face: 50 mm before a neck at 80."""
    half = [(80 * math.cos(a), 80 * math.sin(a)) for a in np.linspace(0, math.pi / 2, 501)]
    assert release.overhang([(0.0, 0.0), *half], 80) == pytest.approx(50, abs=1e-3)
    assert release.overhang([(0.0, 0.0), *half], 20) == 0


PATH = TipPath(radius=105, kerf=12, pivot_offset=6, pivot_standoff=22, height=5)


@pytest.mark.parametrize("p", [-25.0, 0.0, 6.0, 30.0])
def test_the_stages_are_found_by_walking_the_tip(p: float) -> None:
    """Walk the tip's edge in steps of 0.001°: the neck is the least true radius it has touched.

    At the release that is the breaking neck, at the stop 1.5 times it, and the stop comes first.
    """
    path = TipPath(radius=105, kerf=12, pivot_offset=p, pivot_standoff=22, height=5)
    breaking = 24.0
    stages = release.release_stages(path, breaking)
    assert stages is not None
    assert stages.release is not None
    angles = np.arange(math.asin(22 / 105), 1.95, math.radians(0.001))
    corners = [p + rho * np.cos(angles) for rho in (105.0, 93.0)]
    nearest = np.minimum(*corners)
    necks = 2 * np.hypot(nearest, 5)
    for stage, neck in ((stages.stop, 1.5 * breaking), (stages.release, breaking)):
        at = int(np.argmax(necks <= neck))
        assert stage.swing == pytest.approx(angles[at] - angles[0], abs=math.radians(0.002))
        assert stage.neck == pytest.approx(neck)
        assert stage.depth == pytest.approx(105 * math.sin(angles[at]) - 22, abs=0.01)
    assert stages.stop.swing < stages.release.swing < path.through_angle() - path.touch_angle()


def test_a_stub_that_carries_the_core() -> None:
    """A core whose breaking neck is under 2h hangs on the stub: no release, stop at the latest."""
    light = release.release_stages(PATH, 8.0)
    assert light is not None
    assert light.release is None
    assert light.stop.neck == pytest.approx(12)
    feather = release.release_stages(PATH, 6.0)
    assert feather is not None
    assert feather.stop.neck == pytest.approx(10)


def test_a_core_too_heavy_for_any_neck() -> None:
    """A neck wider than the entry breaks at once: stop at the touch."""
    heavy = release.release_stages(PATH, 400.0)
    assert heavy is not None
    assert heavy.stop.swing == 0
    assert heavy.stop.depth == pytest.approx(0)


def test_a_tip_that_never_reaches_the_axis() -> None:
    """With the pivot farther out than R no core comes free."""
    far = TipPath(radius=105, kerf=12, pivot_offset=106, pivot_standoff=22, height=5)
    assert release.release_stages(far, 20.0) is None


@given(height=st.floats(0.5, 12), relief=st.floats(3, 40), share=st.floats(0.3, 3))
def test_the_face_under_the_edge_rubs_inside_the_radius(
    height: float, relief: float, share: float
) -> None:
    """The face drawn below the edge by shapely cuts the round neck inside that radius only."""
    limit = release.rub_radius(height=height, relief_angle_deg=relief)
    radius = limit * share
    if radius <= height * 1.001 or abs(share - 1) < 0.01:
        return
    x = math.sqrt(radius**2 - height**2)
    back = height * 0.02  # a short face: it touches first right below the edge
    face = LineString([(x, height), (x + back * math.tan(math.radians(relief)), height - back)])
    middle = face.interpolate(0.02, normalized=True)
    inside = Point(0, 0).distance(middle) < radius
    assert inside == (share < 1)


@pytest.mark.parametrize("height", [3.0, 5.0, 10.0])
def test_the_radius_of_droop_by_bisection(height: float) -> None:
    """Scipy finds the radius at which the steady force of full power bends the tip by h."""
    bar = {"radius": 105, "section": (9.0, 20.0), "angle": math.radians(110)}
    found = release.centre_droop_radius(
        torque_nm=28.6, droop_per_newton=lathe.cutter_droop(1.0, **bar), height=height
    )
    solved = optimize.brentq(
        lambda r: lathe.cutter_droop(lathe.tip_force(28.6, r), **bar) - height, 0.01, 5000
    )
    assert found == pytest.approx(solved, rel=1e-9)


def test_no_height_and_no_power() -> None:
    """On centre any force takes the tip below it; without power nothing does."""
    at = release.centre_droop_radius
    assert at(torque_nm=20, droop_per_newton=0.01, height=0) == math.inf
    assert at(torque_nm=0, droop_per_newton=0.01, height=0) == 0
