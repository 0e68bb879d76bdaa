"""Rim speed, power and the droop of a cutter (design.md §6). Estimates, never ratings.

Lengths mm, speeds rpm, power W, torque N·m, forces N.
"""

import math

from templategen.trade import defaults

LEAST_POWER_W = defaults.LEAST_POWER.value
STEEL_E = 200_000.0  # N/mm², Young's modulus of steel, from memory
STEEL_POISSON = 0.3  # of steel, from memory


def rim_speed(diameter: float, speed_rpm: float) -> float:
    """Speed of the rim, m/s.

    >>> round(rim_speed(25.4, 6000), 2)
    7.98
    """
    return math.pi * diameter / 1000 * speed_rpm / 60


def torque(power_w: float, speed_rpm: float) -> float:
    """Torque of a motor that gives its whole power at a speed, N·m: P = T ω."""
    return power_w / (2 * math.pi * speed_rpm / 60)


def tip_force(torque_nm: float, radius: float) -> float:
    """Force at the tip that uses up a torque at a radius, N."""
    return torque_nm / (radius / 1000)


def torsion_constant(width: float, height: float) -> float:
    """Torsion constant of a rectangle, mm⁴ (Roark's formula; within 4 %)."""
    a, b = max(width, height), min(width, height)
    return a * b**3 * (1 / 3 - 0.21 * b / a * (1 - b**4 / (12 * a**4)))


def arc_droop(
    force: float,
    radius: float,
    angle: float,
    *,
    second_moment: float,
    torsion: float,
) -> float:
    """Droop of the free end of a steel arc held at the other end, loaded square to its plane.

    Castigliano with bending M = P R sin θ and twist T = P R (1 - cos θ); Roark's Formulas,
    curved beams loaded normal to their plane.

    Args:
        force: at the free end, N.
        radius: of the arc's middle line, mm.
        angle: the arc subtends, radians, over 0 up to a half turn.
        second_moment: of the section about the axis in the arc's plane, mm⁴.
        torsion: torsion constant of the section, mm⁴.

    Returns: mm.
    """
    shear = STEEL_E / (2 * (1 + STEEL_POISSON))
    bend = angle / 2 - math.sin(2 * angle) / 4
    twist = 3 * angle / 2 - 2 * math.sin(angle) + math.sin(2 * angle) / 4
    return force * radius**3 * (bend / (STEEL_E * second_moment) + twist / (shear * torsion))


def cutter_droop(
    force: float, *, radius: float, section: tuple[float, float], angle: float
) -> float:
    """How far a steel cutter's tip bends down under a force, mm.

    Args:
        force: down at the tip, N.
        radius: pivot centre to the outermost corner of the tip, mm.
        section: width in the plane of the arc and height, mm.
        angle: the arc that stands out from its holder, radians.
    """
    width, height = section
    return arc_droop(
        force,
        radius - width / 2,
        angle,
        second_moment=width * height**3 / 12,
        torsion=torsion_constant(width, height),
    )
