"""Which blanks a log gives (design.md §5). Lengths mm.

A blank is cut from a half log: its rim and foot planes run along the log, and the one nearer to
the pith is `pith` away from it, so that the pith itself goes out with the saw. In the section
across the log the pith is at the centre of a circle of wood.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templategen.geometry.solids import Corner
from templategen.trade.choices import LogRim
from templategen.trade.records import Log

HalfProfile = Callable[[float, float], Sequence[Corner]]  # (diameter, height) to corners (r, z)
SAME = 1e-9  # slack, so that rounding never rejects a blank that just fits


@dataclass(frozen=True, slots=True, kw_only=True)
class LogBlank:
    """A size of blank that a log gives: the highest one of its diameter, mm.

    Args:
        diameter: of the disc.
        height: face to back.
        rim: which way it opens.
        count: how many of it the whole log gives, both halves together.
    """

    diameter: float
    height: float
    rim: LogRim
    count: int


def cylinder_profile(diameter: float, height: float) -> list[Corner]:
    """Half profile of a plain disc: corners (r, z) from the face to the back, mm."""
    return [(diameter / 2, 0.0), (diameter / 2, height)]


def rim_from_pith(*, pith: float, height: float, rim: LogRim) -> float:
    """Distance of the rim plane from the pith, mm.

    Args:
        pith: from the pith to the nearer plane of the blank, mm, ≥ 0.
        height: of the blank, mm.
        rim: which way it opens.
    """
    match rim:
        case LogRim.PITH:
            return pith
        case LogRim.BARK:
            return pith + height


def wood_radius_needed(
    profile: Sequence[Corner], *, height: float, pith: float, rim: LogRim
) -> float:
    """Radius of wood around the pith that holds a disc, mm.

    The greatest ``hypot(r, t + z)`` over the profile with the rim to the pith, else
    ``hypot(r, t + H - z)``. Between two corners of a straight side neither is greater than at the
    corners; of an arc give points close enough together.

    Args:
        profile: half profile (r, z) of the disc, z from its face, mm.
        height: H, face to back, mm.
        pith: t, from the pith to the nearer plane of the blank, mm, ≥ 0.
        rim: which way it opens.

    >>> wood_radius_needed([(120, 0), (0, 150)], height=150, pith=10, rim=LogRim.PITH)
    160.0
    """
    start = rim_from_pith(pith=pith, height=height, rim=rim)
    towards_bark = 1 if rim is LogRim.PITH else -1
    return max(math.hypot(r, start + towards_bark * z) for r, z in profile)


def blanks_along(log: Log, diameter: float) -> int:
    """How many discs of a diameter a log gives, both halves together.

    Each half gives ``floor((l - 2 trim + saw)/(D + saw))``: n discs need n - 1 saw cuts between
    them.

    >>> log = Log(diameter=460, length=900, pith=15, end_trim=50, saw=4)
    >>> blanks_along(log, 398)
    4
    """
    sound = log.length - 2 * log.end_trim
    return 2 * max(0, math.floor((sound + log.saw) / (diameter + log.saw) + SAME))


def greatest_height(
    log: Log, diameter: float, *, rim: LogRim, step: float, profile: HalfProfile = cylinder_profile
) -> float | None:
    """Height of the highest disc of a diameter that fits the log's section, mm.

    Args:
        log: its length is not looked at.
        diameter: of the disc, mm, > 0.
        rim: which way it opens.
        step: heights are whole multiples of it, mm, > 0.
        profile: half profile of a disc of a diameter and height. A plain disc needs the same log
            either way round; one with a narrow foot is higher with its rim to the pith.

    Returns: None where not even one step fits.
    """
    wood = log.diameter / 2
    for n in range(math.floor((wood - log.pith) / step + SAME), 0, -1):
        height = n * step
        needed = wood_radius_needed(
            profile(diameter, height), height=height, pith=log.pith, rim=rim
        )
        if needed <= wood + SAME:
            return height
    return None


def log_blanks(
    log: Log,
    *,
    diameters: Sequence[float],
    step: float,
    least_height: float,
    profile: HalfProfile = cylinder_profile,
) -> list[LogBlank]:
    """The blanks a log gives: for each diameter the highest disc, both ways round.

    Args:
        log: the log.
        diameters: to try, mm.
        step: heights are whole multiples of it, mm, > 0.
        least_height: lower blanks are left out, mm.
        profile: half profile of a disc of a diameter and height.

    Returns: in the order of the diameters, rim to the pith before rim to the bark; a diameter of
        which the log has not even one is left out.
    """
    found = []
    for diameter in diameters:
        count = blanks_along(log, diameter)
        for rim in LogRim if count else ():
            height = greatest_height(log, diameter, rim=rim, step=step, profile=profile)
            if height is not None and height >= least_height:
                found.append(LogBlank(diameter=diameter, height=height, rim=rim, count=count))
    return found
