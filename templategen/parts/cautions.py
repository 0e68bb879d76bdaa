"""The cautions printed on every pack and shown by the command line.

All of them are common practice, no source, except the last two, which are the limits of what this
program knows.
"""

from templategen.messages import Message, tr, tr_noop
from templategen.trade.defaults import MAX_CORING_SPEED
from templategen.trade.records import Shop

SPEED_ON_THE_CARD = tr(
    "Core slowly, never above the speed on the card. The makers' limits of lathe, chuck and "
    "cutter for this size and mass come first."
)
SPEED_OF_BLANK = tr_noop(
    "Core this blank at {speed:.0f} rpm at most, start at {start:.0f}. The makers' limits of "
    "lathe, chuck and cutter for this size and mass come first."
)  # where the speed of the blank is known, in place of the one above

CAUTIONS: tuple[Message, ...] = (
    tr(
        "Full face shield over safety glasses, dust mask, hearing protection. No gloves, no loose "
        "sleeves."
    ),
    tr("Stay out of the line of the rim all the time, not only at the start."),
    tr("Switch off and lock the power before you touch belts, cutters or the work."),
    tr("Power locked, turn the work and the whole swing of the cutter by hand before each start."),
    tr("Lock post, banjo and chuck, and tighten them again after the first minute."),
    tr("No tailstock supports the work while you core: its tenon alone holds it."),
    tr(
        "Stop before the core comes free. Lathe off before you touch a loose core; never lever "
        "while it runs."
    ),
    SPEED_ON_THE_CARD,
    tr("Use sound wood only: no cracks, bark pockets or loose knots."),
    tr("Set the cutter above centre, never below; feed lightly and clear the shavings often."),
    tr("Get help with lifting: a green blank is heavy."),
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
