"""What jaws hold (design.md §6). Lengths mm."""

import enum
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.messages import tr_noop
from templategen.trade import defaults
from templategen.trade.records import Jaws

CLEARANCE = defaults.TENON_CLEARANCE.value  # mm between tenon and jaw bottom
GREATEST_SHARE = defaults.GREATEST_SHARE.value  # of the rim
FULL_GAP = defaults.CLOSED_GAP.value  # mm between jaws that count as closed
COIN = defaults.COIN_GAP.value  # mm


def widest(jaws: Jaws) -> float:
    """Diameter the jaws hold when opened to their greatest gap, mm: d0 + g / sin(π/n)."""
    return jaws.true_circle + jaws.max_gap / math.sin(math.pi / jaws.jaw_count)


def tenon_length_limit(jaws: Jaws) -> float:
    """Longest tenon that does not bottom in the jaws, mm."""
    return jaws.depth - CLEARANCE


def choose_jaws(
    jaws: Sequence[Jaws], *, rim_diameter: float, share: float, refuse_share: float
) -> Jaws | None:
    """The jaws whose closed circle comes nearest the wished share of the rim.

    Args:
        jaws: the shop's.
        rim_diameter: of the piece, mm.
        share: wished tenon over rim, 0..1.
        refuse_share: least share that holds, 0..1.

    Returns: the jaws, or None where none holds enough.
    """
    least, most = refuse_share * rim_diameter, GREATEST_SHARE * rim_diameter
    fitting = [j for j in jaws if least <= j.true_circle <= most]
    return min(fitting, key=lambda j: abs(j.true_circle - share * rim_diameter), default=None)


def jaws_ranges(
    jaws: Sequence[Jaws], *, low: float, high: float, share: float, refuse_share: float
) -> list[tuple[Jaws, float, float]]:
    """Which jaws `choose_jaws` takes for every rim radius of a range.

    Args:
        jaws: the shop's.
        low: least rim radius, mm, > 0.
        high: greatest rim radius, mm, at least `low`.
        share: wished tenon over rim, 0..1.
        refuse_share: least share that holds, 0..1.

    Returns: (jaws, from, to) with rim radii from <= r < to; where none holds, no range.
    """
    sizes = [j.true_circle for j in jaws]
    marks = {d / (2 * refuse_share) for d in sizes} | {d / (2 * GREATEST_SHARE) for d in sizes}
    marks |= {(a + b) / 2 / (2 * share) for a, b in itertools.combinations(sizes, 2)}
    edges = [low, *sorted(m for m in marks if low < m < high), math.inf]
    found = []
    for least, most in itertools.pairwise(edges):
        middle = least + (min(most, high + 1.0) - least) / 2
        chosen = choose_jaws(jaws, rim_diameter=2 * middle, share=share, refuse_share=refuse_share)
        if chosen is not None:
            found.append((chosen, least, most))
    return found


class Grip(enum.StrEnum):
    """Where jaws touch a tenon; a value is the key of its wording."""

    LOOSE = tr_noop("not held")  # smaller than the closed jaws
    FULL = tr_noop("full circle")
    NEARLY = tr_noop("nearly full circle")  # a coin's thickness between the jaws
    EDGES = tr_noop("at the edges")  # only the corners of the jaws bear


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How jaws hold a tenon on a piece.

    Args:
        jaws: what holds.
        diameter: of the tenon, mm.
        closed: size of the tenon ring at which the jaws form a circle, mm.
        widest: size at their greatest gap, mm.
        gap: between neighbouring jaws on this tenon, mm.
        grip: where they touch.
        share: of the rim diameter, 0..1.
    """

    jaws: Jaws
    diameter: float
    closed: float
    widest: float
    gap: float
    grip: Grip
    share: float


def hold(jaws: Jaws, *, diameter: float, rim_diameter: float) -> Hold:
    """How the jaws hold a tenon of that diameter on a piece with that rim, mm."""
    gap = (diameter - jaws.true_circle) * math.sin(math.pi / jaws.jaw_count)
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
        diameter=diameter,
        closed=jaws.true_circle,
        widest=widest(jaws),
        gap=max(0.0, gap),
        grip=grip,
        share=diameter / rim_diameter,
    )
