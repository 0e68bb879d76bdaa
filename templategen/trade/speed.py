"""Speed limit for coring and the energy of a turning blank (design.md §6). Estimates.

Diameters mm, speeds rpm, energy J.
"""

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.solids import Corner, inertia_of_revolution
from templategen.units import MM_PER_INCH

DIAMETER_RULE = 6000.0  # diameter (in) × rpm; common practice, no source
START_SHARE = 0.5  # of the limit, to start with; design of the project, section 6
SPEED_STEP = 10.0  # rpm that a figure is rounded down to, so that none is above the limit


class SpeedBound(enum.StrEnum):
    """What sets a speed limit."""

    CAP = "coring cap"
    MAKER = "maker's limit"
    DIAMETER = "diameter rule"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoringSpeed:
    """The speed limit of a blank while it is cored, rpm.

    Args:
        limit: no figure above it may be shown.
        bound: which limit it is.
    """

    limit: float
    bound: SpeedBound

    @property
    def shown(self) -> float:
        """The limit in whole tens, rounded down, rpm; a limit under ten stays as it is."""
        return _rounded_down(self.limit)

    @property
    def start(self) -> float:
        """Half of the limit in whole tens, rounded down, rpm: the speed to start at."""
        return _rounded_down(START_SHARE * self.limit)


def coring_speed(
    diameter: float, *, cap_rpm: float, makers_rpm: Sequence[float] = ()
) -> CoringSpeed:
    """The least of the coring cap, the makers' limits and 6000 over the inches across.

    Args:
        diameter: of the blank that turns, mm, > 0.
        cap_rpm: the shop's cap for coring, rpm, > 0.
        makers_rpm: limits of lathe, chuck and tool that are known, rpm, > 0.

    >>> coring_speed(400, cap_rpm=500).shown, coring_speed(400, cap_rpm=500).start
    (380.0, 190.0)
    >>> coring_speed(200, cap_rpm=500, makers_rpm=[450]).bound
    <SpeedBound.MAKER: "maker's limit">
    """
    bounds = [
        (cap_rpm, SpeedBound.CAP),
        *((limit, SpeedBound.MAKER) for limit in makers_rpm),
        (DIAMETER_RULE / (diameter / MM_PER_INCH), SpeedBound.DIAMETER),
    ]
    limit, bound = min(bounds, key=lambda pair: pair[0])
    return CoringSpeed(limit=limit, bound=bound)


def _rounded_down(rpm: float) -> float:
    return math.floor(rpm / SPEED_STEP) * SPEED_STEP if rpm >= SPEED_STEP else rpm


def solid_energy(outline: Sequence[Corner], *, density_kg_m3: float, speed_rpm: float) -> float:
    """Energy of a solid of revolution that turns, J: ½ I ω².

    Args:
        outline: closed half section (r, z), straight sides, mm.
        density_kg_m3: green, with its water, kg/m³.
        speed_rpm: rpm, ≥ 0.
    """
    inertia = inertia_of_revolution(outline) / 1e15 * density_kg_m3  # mm⁵ to m⁵
    turning = 2 * math.pi * speed_rpm / 60  # rad/s
    return inertia * turning**2 / 2
