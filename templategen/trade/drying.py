"""Shrinkage and the wall that survives it (design.md §5). Lengths mm."""

FIBRE_SATURATION = 30.0  # %, Wood Handbook FPL-GTR-282 Eq. 4-9 (MCfs if unknown)


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
