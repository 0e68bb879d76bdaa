"""The turned outside of the blank (design.md §10): curves from rim to shoulder, true radii."""

import dataclasses
import itertools
import math

from templategen.errors import InputError
from templategen.geometry.curves import Curve, Side, Span
from templategen.messages import tr
from templategen.nest.plan import CutSetting
from templategen.trade.choices import OutsideShape
from templategen.trade.records import Blank

SAME_POINT = 1e-6  # mm: points of a drawn outside nearer than this are one


def blank_outside(
    blank: Blank,
    *,
    shoulder_depth: float,
    tenon_radii: tuple[float, float],
    flat: float,
    first_cut: CutSetting | None = None,
    cutter_height: float = 0.0,
) -> tuple[Curve, ...]:
    """The turned outside from the rim down to the neck of the tenon, the flat beside it included.

    Args:
        blank: the disc and the wished outside.
        shoulder_depth: zs, mm below the face.
        tenon_radii: of the neck, at the shoulder, and of the end face, mm.
        flat: width of the flat beside the tenon, mm.
        first_cut: that an even outside is concentric with; without it the outside is an arc.
        cutter_height: above centre, mm.

    Raises:
        InputError: as `outside_curves`.
    """
    neck, end = tenon_radii
    shape = blank.outside
    if shape == OutsideShape.EVEN and first_cut is None:
        shape = OutsideShape.ARC
    curves = outside_curves(
        dataclasses.replace(
            blank, outside=OutsideShape.ARC if shape == OutsideShape.EVEN else shape
        ),
        shoulder_depth=shoulder_depth,
        foot_radius=neck + flat,
        tenon_radius=end,
    )
    if shape == OutsideShape.EVEN and first_cut is not None:
        foot = neck + flat
        curves = _even_curves(blank.diameter / 2, shoulder_depth, foot, first_cut, cutter_height)
    last = curves[-1].at(curves[-1].end)
    if math.dist(last, (neck, shoulder_depth)) <= SAME_POINT:
        return curves
    return (*curves, Side(r0=last[0], z0=last[1], r1=neck, z1=shoulder_depth))


def _even_curves(
    rim: float, depth: float, foot: float, cut: CutSetting, height: float
) -> tuple[Curve, ...]:
    """The circle about the pivot of a cut through the rim, down to the shoulder or the foot.

    Where it is at the foot before it is at the shoulder, the foot goes straight down.
    """
    p, q = cut.pivot_offset, cut.pivot_standoff
    across = math.sqrt(rim * rim - height * height) - p
    radius = math.hypot(across, q)
    inward = (math.sqrt(max(0.0, foot * foot - height * height)) - p) / radius
    end = min(math.acos(max(-1.0, min(1.0, inward))), math.pi / 2)
    if radius * math.sin(end) - q > depth:
        end = math.asin((depth + q) / radius)
    arc = Span(x=p, z=-q, radius=radius, start=math.atan2(q, across), end=end, height=height)
    found: list[Curve] = [arc]
    r, z = arc.at(end)
    if depth - z > SAME_POINT:
        corners = [(r, z), (foot, z), (foot, depth)]
        found += [
            Side(r0=a[0], z0=a[1], r1=b[0], z1=b[1])
            for a, b in itertools.pairwise(corners)
            if math.dist(a, b) > SAME_POINT
        ]
    return tuple(found)


def outside_curves(
    blank: Blank, *, shoulder_depth: float, foot_radius: float, tenon_radius: float = 0.0
) -> tuple[Curve, ...]:
    """The turned outside from the rim down to the flat shoulder, without the flat; not `even`.

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
    if blank.outside == OutsideShape.CYLINDER:
        return (Side(r0=rim, z0=0.0, r1=rim, z1=shoulder_depth),)
    if blank.outside == OutsideShape.ARC:
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
