"""The cautions printed on every pack and shown by the command line."""

from templategen.inputs.defaults import MAX_CORING_SPEED
from templategen.inputs.records import Shop

CAUTIONS: tuple[str, ...] = (
    "Wear a full face shield and stand clear of the line of the rim when the lathe starts.",
    "Switch the lathe off and lock the power before touching belts, cutters or the work.",
    "Core slowly: never above the speed on the card, and never above what the lathe, chuck and "
    "cutter makers allow for this size and mass. The makers' limits come first.",
    "Use sound wood only: no cracks, bark pockets or loose knots.",
    "Set the cutter above centre, never below; feed lightly and clear the shavings often.",
    "Strength, mass and power figures are estimates, never ratings.",
    "Local codes and qualified instruction come before anything printed here.",
)


def cautions_for(shop: Shop) -> tuple[str, ...]:
    """The cautions for work in a shop: one more where its own limits go past the usual."""
    usual, own = MAX_CORING_SPEED.value, shop.rules.max_coring_speed
    if own <= usual:
        return CAUTIONS
    extra = (
        f"The shop file allows {own:.0f} rpm. It is common practice not to core above "
        f"{usual:.0f} rpm: stay at or below that unless the makers of lathe, chuck and cutter "
        "all allow more for this size and mass."
    )
    return (extra, *CAUTIONS)
