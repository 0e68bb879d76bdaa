"""What holds a bowl again when it is dry (design.md §6). Lengths mm.

A dovetailed tenon is thinnest at its shoulder, the neck, which lies at the mouth of the jaws, and
widest at its end face, inside them. All sizes are those of sound wood; estimates, never ratings.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.trade import defaults
from templategen.trade.choices import MeasuredAt
from templategen.trade.jaws import closed_neck, flank_spread, tenon_length_limit, widest_neck
from templategen.trade.records import Jaws

LEAST_LENGTH = defaults.LEAST_HELD_LENGTH.value  # mm
TRUING = defaults.TENON_TRUING.value  # mm of diameter
ROUNDING = 1e-9  # mm, so that a tenon that just fits is not lost


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
        jaws: the set.
        neck: diameter to turn the tenon to at its shoulder.
        end: diameter of the end face then.
        length: of the tenon then, at most that of the dried one.
        share: neck over the dried rim, 0..1.
    """

    jaws: Jaws
    neck: float
    end: float
    length: float
    share: float


def held_when_dry(
    jaws: Sequence[Jaws], tenon: DriedTenon, *, rim_diameter: float, share: float
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


def _dry_hold(jaws: Jaws, tenon: DriedTenon, rim_diameter: float) -> DryHold | None:
    """The longest tenon that one set holds closed, or None: too little wood, or too short."""
    spread = flank_spread(1.0, jaws.dovetail_angle)  # both in mm of diameter a mm of length
    stock = (tenon.end - tenon.neck) / tenon.length
    length = min(tenon.length, tenon_length_limit(jaws))
    if jaws.measured_at is MeasuredAt.MOUTH and spread > stock:
        length = min(length, (tenon.neck - jaws.true_circle) / (spread - stock))
    if length < LEAST_LENGTH:
        return None
    neck = closed_neck(jaws, length)
    end = neck + spread * length
    if neck > tenon.neck or end > tenon.neck + stock * length + ROUNDING:
        return None
    return DryHold(jaws=jaws, neck=neck, end=end, length=length, share=neck / rim_diameter)


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
    jaws: Sequence[Jaws],
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
    deep = [one for one in jaws if tenon_length_limit(one) >= length]
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
