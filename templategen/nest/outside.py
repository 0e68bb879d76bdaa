"""The turned outside of the blank (design.md §10): curves from rim to shoulder, true radii."""

import itertools
import math

from templategen.errors import InputError
from templategen.geometry.curves import Curve, Side, Span
from templategen.messages import tr
from templategen.trade.records import Blank

SAME_POINT = 1e-6  # mm: points of a drawn outside nearer than this are one


def outside_curves(
    blank: Blank, *, shoulder_depth: float, foot_radius: float, tenon_radius: float = 0.0
) -> tuple[Curve, ...]:
    """The turned outside from the rim down to the flat shoulder.

    Args:
        blank: the disc and the wished outside.
        shoulder_depth: zs, mm below the face.
        foot_radius: tenon radius and the flat beside it, mm.
        tenon_radius: mm; a drawn outside may nowhere be narrower.

    Raises:
        InputError: the tenon with its shoulder is wider than the blank, or the drawn outside
            leaves the blank or is narrower than the tenon.
    """
    rim = blank.diameter / 2
    if foot_radius >= rim or shoulder_depth <= 0:
        raise InputError(
            tr(
                "a tenon with its shoulder {width:.1f} mm wide does not fit the blank",
                width=2 * foot_radius,
            ),
            where=tr("job: {key}", key="tenon"),
            mend=tr("lower tenon.share or tenon.shoulder, or tenon.length"),
        )
    if blank.outside == "cylinder":
        return (Side(r0=rim, z0=0.0, r1=rim, z1=shoulder_depth),)
    if blank.outside == "arc":
        centre = (rim * rim - foot_radius**2 - shoulder_depth**2) / (2 * (rim - foot_radius))
        if centre > foot_radius:
            centre, radius, end = rim - shoulder_depth, shoulder_depth, math.pi / 2
        else:
            radius = rim - centre
            end = math.atan2(shoulder_depth, foot_radius - centre)
        return (Span(x=centre, z=0.0, radius=radius, start=0.0, end=end),)
    if isinstance(blank.outside, str):
        raise InputError(
            tr("unknown outside {name!r}", name=blank.outside),
            where=tr("job: {key}", key="blank.outside"),
        )
    return _drawn_sides(blank.outside, rim, shoulder_depth, tenon_radius)


def _drawn_sides(
    outside: tuple[tuple[float, float], ...], rim: float, depth: float, tenon_radius: float
) -> tuple[Side, ...]:
    """The sides of an outside given by its points, checked against blank and tenon.

    Raises:
        InputError: it leaves the blank, is narrower than the tenon or a single point.
    """
    points = [(float(r), float(z)) for r, z in outside]
    if any(r > rim + 1e-9 or z > depth + 1e-9 for r, z in points):
        raise InputError(
            tr("the outside leaves the blank"),
            where=tr("job: {key}", key="blank.outside"),
            mend=tr("keep r within {r:g} mm and z within {z:g} mm", r=rim, z=depth),
        )
    if any(r < tenon_radius - SAME_POINT for r, _ in points):
        raise InputError(
            tr("the outside is narrower than its tenon of {width:.1f} mm", width=2 * tenon_radius),
            where=tr("job: {key}", key="blank.outside"),
            mend=tr("keep r at {r:.1f} mm or more, or lower tenon.share", r=tenon_radius),
        )
    apart = points[:1]
    for point in points[1:]:
        if math.dist(point, apart[-1]) > SAME_POINT:  # a side of no length has no direction
            apart.append(point)
    if len(apart) < 2:
        raise InputError(
            tr("the outside is a single point"),
            where=tr("job: {key}", key="blank.outside"),
            mend=tr("write [[r, z], …] from the rim (z = 0) to the shoulder, z rising"),
        )
    return tuple(Side(r0=a[0], z0=a[1], r1=b[0], z1=b[1]) for a, b in itertools.pairwise(apart))
