"""The cautions printed on every pack and shown by the command line."""

from templategen.messages import Message, tr
from templategen.trade.defaults import MAX_CORING_SPEED
from templategen.trade.records import Shop

CAUTIONS: tuple[Message, ...] = (
    tr("Wear a full face shield and stand clear of the line of the rim when the lathe starts."),
    tr("Switch the lathe off and lock the power before touching belts, cutters or the work."),
    tr(
        "Core slowly: never above the speed on the card, and never above what the lathe, chuck "
        "and cutter makers allow for this size and mass. The makers' limits come first."
    ),
    tr("Use sound wood only: no cracks, bark pockets or loose knots."),
    tr("Set the cutter above centre, never below; feed lightly and clear the shavings often."),
    tr("Strength, mass and power figures are estimates, never ratings."),
    tr("Local codes and qualified instruction come before anything printed here."),
)


def cautions_for(shop: Shop) -> tuple[Message, ...]:
    """The cautions for work in a shop; one more where the shop's own limits pass the usual."""
    usual, own = MAX_CORING_SPEED.value, shop.rules.max_coring_speed
    if own <= usual:
        return CAUTIONS
    extra = tr(
        "The shop file allows {own:.0f} rpm. It is common practice not to core above "
        "{usual:.0f} rpm: stay at or below that unless the makers of lathe, chuck and cutter "
        "all allow more for this size and mass.",
        own=own,
        usual=usual,
    )
    return (extra, *CAUTIONS)
