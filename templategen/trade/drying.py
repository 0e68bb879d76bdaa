"""Shrinkage and the wall that survives it (design.md §5). Lengths mm."""

import math

from templategen.errors import LimitError

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
        raise LimitError(f"temperature {t} °C", mend=f"give {COLDEST:g} to {HOTTEST:g} °C")
    if not 0 <= h < 1:
        raise LimitError(f"relative humidity {humidity} %", mend="give 0 to under 100 %")
    w = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    first, second = k1 * kh, k1 * k2 * kh * kh
    return 1800 / w * (kh / (1 - kh) + (first + 2 * second) / (1 + first + second))
