"""What jaws hold (design.md §6). Lengths mm.

A dovetailed tenon is thinnest at its shoulder, the neck, which lies at the mouth of the jaws, and
widest at its end face, inside them; a tenon ring goes over the end face.
"""

import enum
import math

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


def widest_neck(jaws: Jaws, length: float) -> float:
    """Neck of the tenon of a length that the jaws hold at their greatest gap g, mm.

    Each jaw moves out along its own middle; neighbours part by sin(π/n) of the growth of the
    diameter: ``d0 + g / sin(π/n)``.
    """
    return closed_neck(jaws, length) + jaws.max_gap / math.sin(math.pi / jaws.jaw_count)


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


def grip_of(jaws: Jaws, *, neck: float, length: float) -> Grip:
    """Where the jaws touch a tenon of that neck and length, mm."""
    gap = (neck - closed_neck(jaws, length)) * math.sin(math.pi / jaws.jaw_count)
    if gap < -FULL_GAP:
        return Grip.LOOSE
    if gap <= FULL_GAP:
        return Grip.FULL
    return Grip.NEARLY if gap <= COIN + 1e-9 else Grip.EDGES
