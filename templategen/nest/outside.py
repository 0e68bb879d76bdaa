"""The turned outside of the blank (design.md §10), as (r, z) points from rim to shoulder."""

import math

from templategen.errors import InputError
from templategen.inputs.records import Blank


def turned_outside(
    blank: Blank, *, shoulder_depth: float, foot_radius: float, max_gap: float = 0.005
) -> list[tuple[float, float]]:
    """Points of the outside from the rim down to the flat shoulder, mm.

    Args:
        blank: the disc and the wished outside.
        shoulder_depth: zs, mm below the face.
        foot_radius: tenon radius and the flat beside it, mm.
        max_gap: largest distance between a chord and a true arc, mm.

    Raises:
        InputError: the tenon with its shoulder is wider than the blank, or the drawn outside
            leaves the blank.
    """
    rim = blank.diameter / 2
    if foot_radius >= rim or shoulder_depth <= 0:
        raise InputError(
            f"a tenon with its shoulder {2 * foot_radius:.1f} mm wide does not fit the blank",
            where="job: tenon",
            mend="lower tenon.share or tenon.shoulder, or tenon.length",
        )
    if blank.outside == "cylinder":
        return [(rim, 0.0), (rim, shoulder_depth)]
    if blank.outside == "arc":
        centre = (rim * rim - foot_radius**2 - shoulder_depth**2) / (2 * (rim - foot_radius))
        if centre > foot_radius:
            centre, radius, end = rim - shoulder_depth, shoulder_depth, math.pi / 2
        else:
            radius = rim - centre
            end = math.atan2(shoulder_depth, foot_radius - centre)
        step = 2 * math.acos(1 - max_gap / radius)
        count = max(8, math.ceil(end / step))
        return [
            (centre + radius * math.cos(end * n / count), radius * math.sin(end * n / count))
            for n in range(count + 1)
        ]
    if isinstance(blank.outside, str):
        raise InputError(f"unknown outside {blank.outside!r}", where="job: blank.outside")
    points = [(float(r), float(z)) for r, z in blank.outside]
    if any(r > rim + 1e-9 or z > shoulder_depth + 1e-9 for r, z in points):
        raise InputError(
            "the outside leaves the blank",
            where="job: blank.outside",
            mend=f"keep r within {rim:g} mm and z within {shoulder_depth:g} mm",
        )
    return points
