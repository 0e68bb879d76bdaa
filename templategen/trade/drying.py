"""Shrinkage and the wall that survives it (design.md §5). Lengths mm."""

import math

from templategen.errors import LimitError
from templategen.messages import tr

FIBRE_SATURATION = 30.0  # %, Wood Handbook FPL-GTR-282 Eq. 4-9 (MCfs if unknown)
COLDEST, HOTTEST = -20.0, 100.0  # °C, the span the moisture equation is trusted over here


def shrinkage(s0_percent: float, moisture: float) -> float:
    """Shrinkage from green to a moisture content, as a fraction of the green size.

    Args:
        s0_percent: green to ovendry, %.
        moisture: final moisture content, %; above 30 nothing shrinks.
    """
    return s0_percent / 100 * max(0.0, 1 - moisture / FIBRE_SATURATION)


def drying_wall(
    rim_radius: float,
    finished_wall: float,
    truing_margin: float,
    across_percent: float,
    final_moisture: float,
    along_percent: float = 0.2,
) -> float:
    """Green wall that still holds a finished wall after drying oval, mm (design.md §5).

    Args:
        rim_radius: green outside radius, mm.
        finished_wall: mm.
        truing_margin: mm.
        across_percent: green to ovendry across the grain, %.
        final_moisture: %.
        along_percent: along the grain, %; 0.2 is the handbook's upper normal figure.
    """
    across = shrinkage(across_percent, final_moisture)
    along = shrinkage(along_percent, final_moisture)
    inner = (rim_radius * (1 - across) - finished_wall - truing_margin) / (1 - along)
    return rim_radius - inner


def emc(temperature_c: float, humidity: float) -> float:
    """Moisture content wood settles at, %: Hailwood-Horrobin, Wood Handbook FPL-GTR-282 Eq. 4-5.

    Args:
        temperature_c: air temperature, °C, -20 to 100.
        humidity: relative humidity, %, at least 0 and under 100.

    Raises:
        LimitError: a figure lies outside those bounds.

    >>> round(emc(20, 65), 1)
    12.0
    """
    t, h = temperature_c, humidity / 100
    if not (math.isfinite(t) and COLDEST <= t <= HOTTEST):
        raise LimitError(
            tr("temperature {figure} °C", figure=str(t)),  # as it was typed
            mend=tr("give {low:g} to {high:g} °C", low=COLDEST, high=HOTTEST),
        )
    if not 0 <= h < 1:
        raise LimitError(
            tr("relative humidity {figure} %", figure=str(humidity)),
            mend=tr("give 0 to under 100 %"),
        )
    w = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    first, second = k1 * kh, k1 * k2 * kh * kh
    return 1800 / w * (kh / (1 - kh) + (first + 2 * second) / (1 + first + second))


def density(
    specific_gravity: float, moisture: float, *, volumetric_percent: float | None = None
) -> float:
    """Mass of wood with its water, kg/m³: Wood Handbook FPL-GTR-282 Eq. 4-14, 4-11 and 4-12.

    Args:
        specific_gravity: ovendry mass over green volume.
        moisture: %, of the ovendry mass.
        volumetric_percent: green to ovendry by volume, %; 26.5 times the specific gravity if not
            known. It only counts below fibre saturation.
    """
    whole = 26.5 * specific_gravity if volumetric_percent is None else volumetric_percent
    at_moisture = specific_gravity / (1 - shrinkage(whole, moisture))
    return 1000 * at_moisture * (1 + moisture / 100)


def most_water(specific_gravity: float) -> float:
    """The most moisture wood can hold, %: Wood Handbook FPL-GTR-282 Eq. 4-3."""
    return 100 * (1.54 - specific_gravity) / (1.54 * specific_gravity)


def dry_mass(volume: float, specific_gravity: float) -> float:
    """Ovendry mass of a green volume, kg.

    Args:
        volume: green, mm³.
        specific_gravity: ovendry mass over green volume.
    """
    return volume / 1e9 * 1000 * specific_gravity


def mass_at(dry: float, moisture: float) -> float:
    """Mass at a moisture content (% of the ovendry mass), in the unit of `dry`."""
    return dry * (1 + moisture / 100)
