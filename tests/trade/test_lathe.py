"""Speed, power and droop against published examples and plain mechanics."""

import math

import pytest
from scipy import integrate

from templategen.trade import lathe


def test_rim_speeds_of_the_rule() -> None:
    """6000 over the inches is 1571 ft/min: π D rpm / 12, an open school-shop course."""
    metres = lathe.rim_speed(12 * 25.4, 6000 / 12)
    assert metres * 60 / 0.3048 == pytest.approx(1571, abs=0.6)


def test_torque_meets_a_published_example() -> None:
    """265 N·m at 3350 rpm is 92 965 W, about 125 hp: Giancoli, Physics, ch. 8 problem 49."""
    assert lathe.torque(92_965, 3350) == pytest.approx(265, abs=0.01)


def test_torque_meets_the_horsepower_formula() -> None:
    """Hp = T (lbf ft) × rpm / 5252.113; 1 lbf ft = 1.355818 N·m (NIST SP 811, from memory)."""
    pound_feet = lathe.torque(745.6999, 500) / 1.355818
    assert pound_feet == pytest.approx(5252.113 / 500, rel=1e-5)
    assert lathe.tip_force(28.65, 150) == pytest.approx(191.0)


def test_droop_meets_a_quarter_circle_of_round_bar() -> None:
    """2.648 in with E = 30e6: Timoshenko, Strength of Materials I; Poisson 0.3. Within 0.1 %."""
    found = lathe.arc_droop(50, 100, math.pi / 2, second_moment=0.7854, torsion=1.5708)
    assert found * lathe.STEEL_E / 30e6 == pytest.approx(2.648, rel=1e-3)


def test_droop_meets_the_curved_beam_of_macneal_and_harder() -> None:
    """0.5022 in in theory (1985); middle radius 4.22 from memory. Within half a per cent.

    Its bar has E = 1e7 and a Poisson's ratio of 0.25, so it is stiffer in twist than ours by
    1.3/1.25.
    """
    torsion = lathe.torsion_constant(0.1, 0.2) * 1.3 / 1.25
    found = lathe.arc_droop(1, 4.22, math.pi / 2, second_moment=0.2 * 0.1**3 / 12, torsion=torsion)
    assert found * lathe.STEEL_E / 1e7 == pytest.approx(0.5022, rel=5e-3)


@pytest.mark.parametrize("degrees", [1, 30, 90, 135, 180])
def test_droop_is_the_energy_integral(degrees: float) -> None:
    """Castigliano's integral of M² / EI + T² / GJ, by scipy, at any angle."""
    angle, force, radius, young, moment, torsion = math.radians(degrees), 190, 100, 2e5, 800, 2000
    shear = young / 2.6
    bend = integrate.quad(lambda t: force * (radius * math.sin(t)) ** 2 * radius, 0, angle)[0]
    twist = integrate.quad(
        lambda t: force * (radius - radius * math.cos(t)) ** 2 * radius, 0, angle
    )
    expected = bend / (young * moment) + twist[0] / (shear * torsion)
    found = lathe.arc_droop(force, radius, angle, second_moment=moment, torsion=torsion)
    assert found == pytest.approx(expected, rel=1e-9)


def test_a_short_arc_droops_as_a_straight_bar() -> None:
    """P L³ / 3 E I for a cantilever, any handbook of mechanics (from memory)."""
    length = 1e4 * math.radians(0.2)
    found = lathe.arc_droop(10, 1e4, math.radians(0.2), second_moment=500, torsion=900)
    assert found == pytest.approx(10 * length**3 / (3 * 2e5 * 500), rel=1e-3)


@pytest.mark.parametrize(
    ("ratio", "printed"),
    [(1.0, 0.141), (1.5, 0.196), (2.0, 0.229), (3.0, 0.263), (5.0, 0.291), (10.0, 0.312)],
)
def test_torsion_constant_meets_a_published_table(ratio: float, printed: float) -> None:
    """J / (a b³), from a structural program's theory manual; either side may be the longer."""
    assert lathe.torsion_constant(7 * ratio, 7) / (7 * ratio * 7**3) == pytest.approx(
        printed, abs=6e-4
    )
    assert lathe.torsion_constant(7, 7 * ratio) == lathe.torsion_constant(7 * ratio, 7)


def test_cutter_droop_takes_the_middle_of_the_section() -> None:
    """Width in the arc's plane, height upright: b h³/12 (any handbook of mechanics)."""
    direct = lathe.arc_droop(
        200,
        100,
        math.pi / 2,
        second_moment=10 * 25**3 / 12,
        torsion=25 * 10**3 * 0.2488,  # a/b = 2.5 lies between the table's 0.229 and 0.263
    )
    found = lathe.cutter_droop(200, radius=105, section=(10, 25), angle=math.pi / 2)
    assert found == pytest.approx(direct, rel=5e-3)
