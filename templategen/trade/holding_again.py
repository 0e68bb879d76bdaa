"""Dovetail tenons and what holds a bowl again when it is dry (design.md §6). Lengths mm.

A dovetailed tenon is thinnest at its shoulder, the neck, which lies at the mouth of the jaws, and
widest at its end face, inside them. All sizes are those of sound wood; estimates, never ratings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from templategen.trade.choices import MeasuredAt

END_CLEARANCE = 1.5  # mm from the end face to the bottom of the jaws; common practice, no source
LEAST_LENGTH = 4.0  # mm; a shorter tenon is not counted as held; chosen here, no source
TRUING = 2.0  # mm of diameter left for truing a dried tenon; design of the project, section 6
ROUNDING = 1e-9  # mm, so that a tenon that just fits is not lost


class DovetailJaws(Protocol):
    """What this module needs of a set of jaws; lengths mm, the angle in degrees."""

    @property
    def id(self) -> str:
        """Name of the set."""
        ...

    @property
    def true_circle(self) -> float:
        """Diameter of the closed jaws when they form a perfect circle, > 0."""
        ...

    @property
    def measured_at(self) -> MeasuredAt:
        """Where that diameter is measured."""
        ...

    @property
    def depth(self) -> float:
        """From the mouth to the bottom of the jaws, > 0."""
        ...

    @property
    def dovetail_angle(self) -> float:
        """Of the flanks against the axis, degrees, 0 to under 90."""
        ...

    @property
    def jaw_count(self) -> int:
        """Number of jaws, at least 2."""
        ...

    @property
    def max_gap(self) -> float:
        """Greatest gap between neighbouring jaws, ≥ 0."""
        ...


def flank_spread(length: float, dovetail_angle_deg: float) -> float:
    """How much wider the end face of a tenon is than its neck, mm: 2 L tan α."""
    return 2 * length * math.tan(math.radians(dovetail_angle_deg))


def closed_neck(jaws: DovetailJaws, length: float) -> float:
    """Neck of the tenon of a length that the closed jaws hold as a perfect circle, mm.

    With `MeasuredAt.BOTTOM` the true circle is the end face of the tenon, whatever the depth of
    the jaws: a tenon shorter than they are deep then holds them open by a little, never loosely.
    """
    match jaws.measured_at:
        case MeasuredAt.MOUTH:
            return jaws.true_circle
        case MeasuredAt.BOTTOM:
            return jaws.true_circle - flank_spread(length, jaws.dovetail_angle)


def opened_diameter(diameter: float, *, gap: float, jaw_count: int) -> float:
    """Distance between the middles of opposite jaws with a gap beside each, mm.

    Each jaw moves out along its own middle; neighbours part by sin(π/n) of the growth of the
    diameter: ``d0 + g / sin(π/n)``.

    Args:
        diameter: of the closed jaws, where the opened size is wanted, mm.
        gap: between neighbouring jaws, mm, ≥ 0.
        jaw_count: n, at least 2.
    """
    return diameter + gap / math.sin(math.pi / jaw_count)


def corner_diameter(diameter: float, *, gap: float, jaw_count: int) -> float:
    """Diameter of the round tenon that the corners of opened jaws touch, mm.

    A tenon wider than the true circle is flatter than the jaws: their corners touch it first, and
    they stand nearer than the middles by half of the growth times 1 - cos(π/n).

    Args:
        diameter: of the closed jaws, mm, > 0.
        gap: between neighbouring jaws, mm, ≥ 0.
        jaw_count: n, at least 2.
    """
    half_angle = math.pi / jaw_count
    moved = gap / (2 * math.sin(half_angle))
    along = diameter / 2 * math.cos(half_angle) + moved
    return 2 * math.hypot(along, diameter / 2 * math.sin(half_angle))


def widest_neck(jaws: DovetailJaws, length: float) -> float:
    """Neck of the tenon of a length that the jaws hold at their greatest gap, mm."""
    return opened_diameter(closed_neck(jaws, length), gap=jaws.max_gap, jaw_count=jaws.jaw_count)


def longest_tenon(jaws: DovetailJaws) -> float:
    """Longest tenon that seats on its shoulder and never bottoms in the jaws, mm."""
    return max(0.0, jaws.depth - END_CLEARANCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriedTenon:
    """A tenon that has dried oval, mm: the smaller diameters are what a true circle keeps.

    Args:
        neck: smaller diameter at the shoulder.
        end: smaller diameter of the end face.
        length: shoulder to end face, > 0.
    """

    neck: float
    end: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DryHold:
    """Jaws that hold a dried bowl, closed to a perfect circle on its tenon turned true, mm.

    Args:
        jaws: the id of the set.
        neck: diameter to turn the tenon to at its shoulder.
        end: diameter of the end face then.
        length: of the tenon then, at most that of the dried one.
        share: neck over the dried rim, 0..1.
    """

    jaws: str
    neck: float
    end: float
    length: float
    share: float


def held_when_dry(
    jaws: Sequence[DovetailJaws], tenon: DriedTenon, *, rim_diameter: float, share: float
) -> DryHold | None:
    """The jaws that hold a dried bowl for light finishing cuts, and the tenon to turn for them.

    Of the sets whose closed circle can be turned from the dried tenon the widest one is taken,
    on the longest tenon that it allows. The flank may be turned steeper or flatter than it was;
    a shorter tenon is cut off at its end face.

    Args:
        jaws: all that the shop owns.
        tenon: as dried.
        rim_diameter: of the dried rim turned true, mm, > 0.
        share: least neck over the rim, 0..1.

    Returns: None where no set holds it at that share.
    """
    holds = [_dry_hold(one, tenon, rim_diameter) for one in jaws]
    return max(
        (hold for hold in holds if hold is not None and hold.share >= share),
        key=lambda hold: hold.neck,
        default=None,
    )


def _dry_hold(jaws: DovetailJaws, tenon: DriedTenon, rim_diameter: float) -> DryHold | None:
    """The longest tenon that one set holds closed, or None: too little wood, or too short."""
    spread = flank_spread(1.0, jaws.dovetail_angle)  # both in mm of diameter a mm of length
    stock = (tenon.end - tenon.neck) / tenon.length
    length = min(tenon.length, longest_tenon(jaws))
    if jaws.measured_at is MeasuredAt.MOUTH and spread > stock:
        length = min(length, (tenon.neck - jaws.true_circle) / (spread - stock))
    if length < LEAST_LENGTH:
        return None
    neck = closed_neck(jaws, length)
    end = neck + spread * length
    if neck > tenon.neck or end > tenon.neck + stock * length + ROUNDING:
        return None
    return DryHold(jaws=jaws.id, neck=neck, end=end, length=length, share=neck / rim_diameter)


def green_neck_for(dry_neck: float, tangential: float) -> float:
    """Neck of a green tenon that still gives a neck when dry, mm: (d + 2)/(1 - S_T).

    Args:
        dry_neck: to be turned when dry, mm.
        tangential: shrinkage S_T to the final moisture, fraction, 0 to under 1.
    """
    return (dry_neck + TRUING) / (1 - tangential)


@dataclass(frozen=True, slots=True, kw_only=True)
class GreenTenonMend:
    """A wider green tenon that would be held again when dry.

    Args:
        neck: green, mm.
        green_jaws: id of the set that holds it green, opened.
        dry_jaws: id of the set that holds it dry.
    """

    neck: float
    green_jaws: str
    dry_jaws: str


def green_tenon_mend(
    jaws: Sequence[DovetailJaws],
    *,
    length: float,
    tangential: float,
    green_necks: tuple[float, float],
    least_dry_neck: float,
) -> GreenTenonMend | None:
    """The narrowest green tenon that the shop's jaws hold green, and again when dry.

    Args:
        jaws: all that the shop owns.
        length: of the tenon, mm; sets that are too shallow for it are left out.
        tangential: shrinkage S_T to the final moisture, fraction, 0 to under 1.
        green_necks: least and greatest neck that may hold the bowl while it is cored, mm.
        least_dry_neck: that may hold it dry, mm: the wished share of the dried rim.

    Returns: None where no set does; then smaller jaws or a recess are left.
    """
    deep = [one for one in jaws if longest_tenon(one) >= length]
    found = [
        GreenTenonMend(neck=neck, green_jaws=green.id, dry_jaws=dry.id)
        for dry in deep
        if closed_neck(dry, length) >= least_dry_neck
        for neck in (green_neck_for(closed_neck(dry, length), tangential),)
        if green_necks[0] <= neck <= green_necks[1]
        for green in deep
        if closed_neck(green, length) <= neck <= widest_neck(green, length)
    ]
    return min(found, key=lambda mend: mend.neck, default=None)


def dry_jaws_wanted(
    tenon: DriedTenon, *, rim_diameter: float, share: float
) -> tuple[float, float] | None:
    """Least and greatest neck of jaws, to be bought or borrowed, that would hold a dried bowl, mm.

    Args:
        tenon: as dried.
        rim_diameter: of the dried rim turned true, mm.
        share: least neck over the rim, 0..1.

    Returns: None where the dried tenon itself is under the share: then a recess is left.
    """
    least = share * rim_diameter
    return (least, tenon.neck) if least <= tenon.neck else None
