"""Discs that bowls are held on by their mouths, green and dried (design.md §5 and §6). mm.

All of it are estimates for even wood without twist.
"""

from templategen.geometry.ring_shrinkage import DriedRim, dried_rim
from templategen.nest.plan import Bowl, Plan
from templategen.nest.plan_figures import rim_to_pith, ring_shrinkage
from templategen.trade.choices import Order
from templategen.trade.wood import wood_of

DISC_CLEARANCE = 1.0  # mm of diameter, so that a mouth slides over its disc; chosen here, no source


def mouth_diameter(plan: Plan, bowl: Bowl) -> float | None:
    """Inside diameter of a green bowl at its rim, mm; None for the solid core."""
    cut = plan.cut_in(bowl)
    return None if cut is None else 2 * cut.entry_radius


def green_disc(plan: Plan, bowl: Bowl) -> float | None:
    """Disc that the mouth of a green bowl slides over while its tenon is turned, mm.

    None for the solid core, and where the cuts go outer first: then the tenon is turned on the
    solid core, before it has a mouth.
    """
    mouth = mouth_diameter(plan, bowl)
    if mouth is None or plan.job.nest.order is Order.OUTER_FIRST:
        return None
    return mouth - DISC_CLEARANCE


def dried_disc(plan: Plan, bowl: Bowl) -> float | None:
    """Disc that the mouth of a dried bowl slides over, mm; None for the core or unknown wood."""
    mouth = mouth_diameter(plan, bowl)
    dried = None if mouth is None else dried_circle(plan, mouth)
    return None if dried is None else dried.circle - DISC_CLEARANCE


def dried_circle(plan: Plan, diameter: float) -> DriedRim | None:
    """What a circle on the face becomes when dry; None without shrinkage figures.

    Args:
        plan: with the wood.
        diameter: green, mm, > 0.
    """
    shrunk = ring_shrinkage(plan.job, wood_of(plan.job))
    if shrunk is None:
        return None
    return dried_rim(diameter / 2, rim_to_pith=rim_to_pith(plan.job), shrinkage=shrunk)
