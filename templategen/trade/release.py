"""Where to stop a cut, where its core comes free, where the tip rubs or droops (design.md §6).

Estimates for even, sound wood at rest, never ratings: a crack, a knot or a catch parts a core at
any depth, so the lathe is off and hands are away from the core before it hangs on its neck.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.solids import Corner, centre_of_mass_depth
from templategen.geometry.swing import TipPath

GRAVITY = 9.80665  # m/s², standard gravity, ISO 80000-3 (from memory)
STOP_FACTOR = 1.5  # neck at the stop over the neck that breaks; design of the project, section 6


def overhang(outline: Sequence[Corner], neck_depth: float) -> float:
    """How far the centre of mass of a core stands out from its neck, mm, at least 0.

    Args:
        outline: closed half section (r, z) of the core as it is when it is cut, mm.
        neck_depth: z of the neck on the axis, mm; the deepest point of the cut is the safe choice.
    """
    return max(0.0, neck_depth - centre_of_mass_depth(outline))


def breaking_neck(*, mass_kg: float, overhang: float, tension_kpa: float) -> float:
    """Diameter of a round neck that a core breaks by its own weight, mm.

    A bar held at the neck and bent by the weight m g at the lever l has the stress
    32 m g l/(π d³) at its edge; it breaks where that is the strength σ across the grain:
    ``d = (32 m g l/(π σ))^(1/3)``.

    Args:
        mass_kg: of the core, green, kg, ≥ 0.
        overhang: l, its centre of mass to the neck, mm, ≥ 0.
        tension_kpa: σ, green, across the grain, kPa, > 0.

    >>> round(breaking_neck(mass_kg=3, overhang=50, tension_kpa=3000), 1)
    17.1
    """
    moment = mass_kg * GRAVITY * overhang  # N mm
    return math.cbrt(32 * moment / (math.pi * tension_kpa / 1000))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One place of the tip on its way.

    Args:
        swing: from the touch on the face, radians, as a stop dial reads it.
        depth: of the tip's outer corner below the face, mm.
        neck: diameter of the wood that still carries the core, mm.
    """

    swing: float
    depth: float
    neck: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The end of a cut.

    Args:
        stop: where the lathe is stopped; never after `release`.
        release: where the core breaks off by its own weight, or None where the stub that a tip
            above centre leaves carries it.
    """

    stop: Stage
    release: Stage | None


def release_stages(path: TipPath, breaking_neck: float) -> Release | None:
    """Where a cut stops and where its core comes free.

    Stop at `STOP_FACTOR` times the neck that breaks: there it has 3.4 times the strength (d³). A
    core whose neck breaks right at the start of the cut has its stop at the touch.

    Args:
        path: of the tip in its final position, not that of the relief cut.
        breaking_neck: diameter, mm, ≥ 0.

    Returns: None where the tip never reaches the axis.
    """
    through = path.through_angle()
    if through is None:
        return None
    release = _angle_at(path, breaking_neck)
    stop = _angle_at(path, STOP_FACTOR * breaking_neck)
    return Release(
        stop=_stage(path, through if stop is None else stop),
        release=None if release is None else _stage(path, release),
    )


def _angle_at(path: TipPath, neck: float) -> float | None:
    """Angle at which the neck has a diameter: at the touch where it is wider than the entry.

    None where the stub is as wide.
    """
    if neck <= 2 * path.height:
        return None
    found = path.angle_at_neck_radius(neck / 2)
    return path.touch_angle() if found is None else found


def _stage(path: TipPath, angle: float) -> Stage:
    return Stage(
        swing=angle - path.touch_angle(),
        depth=path.depth(angle),
        neck=2 * path.neck_radius(angle),
    )


def rub_radius(*, height: float, relief_angle_deg: float) -> float:
    """True radius inside which the face below the tip's edge rubs on the neck, mm.

    At a true radius r a tip h above centre meets wood whose surface leans out below it by the
    angle asin(h/r). The face that falls back by the relief angle is clear of it while
    ``r ≥ h / sin(relief angle)``. The feed is left out; it makes the radius a little larger.

    Args:
        height: h of the tip above centre, mm, ≥ 0.
        relief_angle_deg: of the face below the edge against the upright, degrees, over 0 to 90.

    >>> round(rub_radius(height=5, relief_angle_deg=30), 6)
    10.0
    """
    return height / math.sin(math.radians(relief_angle_deg))


def centre_droop_radius(*, torque_nm: float, droop_per_newton: float, height: float) -> float:
    """True radius inside which full power would take the tip below the lathe's centre, mm.

    The force at the tip that uses up the torque is F = T/r, and the droop is F times that of one
    newton; at this radius it is h.

    Args:
        torque_nm: T at the speed of the pulley that gives full power, N m, ≥ 0.
        droop_per_newton: of the tip, mm/N, ≥ 0: `lathe.cutter_droop` of 1 N.
        height: h of the tip above centre, mm, ≥ 0; at 0 any force takes it below: inf.

    >>> centre_droop_radius(torque_nm=25, droop_per_newton=0.01, height=5)
    50.0
    """
    moved = torque_nm * 1000 * droop_per_newton
    if moved == 0:
        return 0.0
    return moved / height if height > 0 else math.inf
