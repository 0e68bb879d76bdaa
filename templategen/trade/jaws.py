"""What jaws hold (design.md §6). Lengths mm.

A dovetailed tenon is thinnest at its shoulder, the neck, which lies at the mouth of the jaws, and
widest at its end face, inside them; a tenon ring goes over the end face.
"""

import enum
import math
from dataclasses import dataclass

from templategen.messages import tr_noop
from templategen.trade import defaults
from templategen.trade.choices import MeasuredAt
from templategen.trade.records import Jaws

CLEARANCE = defaults.TENON_CLEARANCE.value  # mm between tenon and jaw bottom
GREATEST_SHARE = defaults.GREATEST_SHARE.value  # of the rim
FULL_GAP = defaults.CLOSED_GAP.value  # mm between jaws that count as closed
COIN = defaults.COIN_GAP.value  # mm


def flank_spread(length: float, dovetail_angle_deg: float) -> float:
    """How much wider the end face of a tenon is than its neck, mm: 2 L tan α."""
    return 2 * length * math.tan(math.radians(dovetail_angle_deg))


def closed_neck(jaws: Jaws, length: float) -> float:
    """Neck of the tenon of a length that the closed jaws hold as a perfect circle, mm.

    With `MeasuredAt.BOTTOM` the true circle is the end face of the tenon, whatever the depth of
    the jaws: a tenon shorter than they are deep then holds them open by a little, never loosely.
    """
    match jaws.measured_at:
        case MeasuredAt.MOUTH:
            return jaws.true_circle
        case MeasuredAt.BOTTOM:
            return jaws.true_circle - flank_spread(length, jaws.dovetail_angle)


def closed_end(jaws: Jaws, length: float) -> float:
    """End face of the tenon of a length that the closed jaws hold as a perfect circle, mm."""
    return closed_neck(jaws, length) + flank_spread(length, jaws.dovetail_angle)


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


def widest_neck(jaws: Jaws, length: float) -> float:
    """Neck of the tenon of a length that the jaws hold at their greatest gap, mm."""
    return opened_diameter(closed_neck(jaws, length), gap=jaws.max_gap, jaw_count=jaws.jaw_count)


def widest_end(jaws: Jaws, length: float) -> float:
    """End face of the tenon of a length that the jaws hold at their greatest gap, mm."""
    return widest_neck(jaws, length) + flank_spread(length, jaws.dovetail_angle)


def tenon_length_limit(jaws: Jaws) -> float:
    """Longest tenon that does not bottom in the jaws, mm."""
    return jaws.depth - CLEARANCE


class Grip(enum.StrEnum):
    """Where jaws touch a tenon; a value is the key of its wording."""

    LOOSE = tr_noop("not held")  # smaller than the closed jaws
    FULL = tr_noop("full circle")
    NEARLY = tr_noop("nearly full circle")  # a coin's thickness between the jaws
    EDGES = tr_noop("at the edges")  # only the corners of the jaws bear


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How jaws hold a tenon on a bowl.

    Args:
        jaws: what holds.
        neck: of the tenon, mm.
        closed: neck of the same length at which the jaws form a circle, mm.
        widest: neck at their greatest gap, mm.
        gap: between neighbouring jaws on this tenon, mm.
        grip: where they touch.
        share: of the rim diameter, 0..1.
    """

    jaws: Jaws
    neck: float
    closed: float
    widest: float
    gap: float
    grip: Grip
    share: float


def hold(jaws: Jaws, *, neck: float, length: float, rim_diameter: float) -> Hold:
    """How the jaws hold a tenon of that neck and length on a bowl with that rim, mm."""
    closed = closed_neck(jaws, length)
    gap = (neck - closed) * math.sin(math.pi / jaws.jaw_count)
    if gap < -FULL_GAP:
        grip = Grip.LOOSE
    elif gap <= FULL_GAP:
        grip = Grip.FULL
    elif gap <= COIN + 1e-9:
        grip = Grip.NEARLY
    else:
        grip = Grip.EDGES
    return Hold(
        jaws=jaws,
        neck=neck,
        closed=closed,
        widest=widest_neck(jaws, length),
        gap=max(0.0, gap),
        grip=grip,
        share=neck / rim_diameter,
    )
