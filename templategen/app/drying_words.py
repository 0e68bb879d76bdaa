"""What a record of weighings tells, in words; nothing is promised."""

from collections.abc import Iterator

from templategen.app.drying import DryingBowl
from templategen.messages import Figure, Joined, Message, Text, tr, tr_count
from templategen.nest.estimates import two_figures
from templategen.trade.quantities import GRAMS
from templategen.trade.seasoning import COVER, State

PLACES = {"g": 0, "kg": 3, "lb": 2, "oz": 1}  # decimals of a mass, by its unit


def weighings_line(bowl: DryingBowl) -> Message:
    """How often a bowl was weighed, and its last mass."""
    rows = bowl.weighings
    return tr_count(
        "{count} weighing, {first} to {last}, last {mass}",
        "{count} weighings, {first} to {last}, last {mass}",
        len(rows),
        first=str(rows[0].when.date()),
        last=str(rows[-1].when.date()),
        mass=weighed(rows[-1].mass_g, bowl),
    )


def drying_lines(bowl: DryingBowl) -> Iterator[Text]:
    """What is known of a bowl, a line each."""
    progress = bowl.progress
    if progress.moisture is None or progress.plus_minus is None or progress.target_g is None:
        yield tr(
            "moisture not known yet: weigh it at least four times over some days, or give "
            "--wood, --job or --dry-mass"
        )
    else:
        yield tr(
            "moisture about {moisture:.1f} % ± {spread:.1f}",
            moisture=progress.moisture,
            spread=progress.plus_minus,
        )
        for ground in progress.grounds:
            text = tr(
                "from {ground}: dry mass {mass} ± {spread:.0f} %",
                ground=ground.ground,
                mass=weighed(ground.mass_g, bowl)
                if ground.is_given
                else estimated(ground.mass_g, bowl),
                spread=COVER * ground.spread * 100,
            )
            yield Joined(("  ", text), "")
        yield _state(bowl, progress.moisture - bowl.target, estimated(progress.target_g, bowl))
        if progress.state in (State.DRYING, State.UNKNOWN):
            yield from _outlook(bowl)
    for before, after in bowl.heavier():
        yield tr(
            "line {row}: heavier than line {before}; check the weighing, or the bowl "
            "has drawn water",
            row=after.row,
            before=before.row,
        )


def _outlook(bowl: DryingBowl) -> Iterator[Text]:
    """How long a bowl will take, or why it never gets there."""
    progress = bowl.progress
    if progress.days_left is not None:
        yield tr("about {days:.0f} days more at this pace", days=progress.days_left)
    elif progress.rest_moisture > bowl.target:
        yield tr(
            "this room settles wood at about {rest:.1f} %, above the target",
            rest=progress.rest_moisture,
        )


def _state(bowl: DryingBowl, over: float, mass: Text) -> Message:
    """Whether a bowl is ready that is `over` points of moisture from its target mass."""
    progress, target = bowl.progress, bowl.target
    match progress.state:
        case State.READY:
            return tr("ready: target {target:g} %, {mass} is met", target=target, mass=mass)
        case State.PERHAPS:
            return tr(
                "ready by estimate: target {target:g} %, {mass}, but known only to ± "
                "{spread:.0f} points: weigh on until the mass holds still",
                target=target,
                mass=mass,
                spread=progress.plus_minus,
            )
        case State.STALLED:
            return tr(
                "not ready: {over:.1f} points over the target {target:g} %, {mass}, and this "
                "room dries it no further than about {rest:.1f} %: a drier or warmer room",
                over=over,
                target=target,
                mass=mass,
                rest=progress.rest_moisture,
            )
        case State.DRYING | State.UNKNOWN:
            return tr(
                "not ready: {over:.1f} points over the target {target:g} %, {mass}; about "
                "{lose} to lose",
                over=over,
                target=target,
                mass=mass,
                lose=estimated(max(0.0, progress.to_lose_g or 0.0), bowl),
            )


def weighed(grams: float, bowl: DryingBowl) -> Text:
    """A weighing in the unit of the bowl's record."""
    return Figure(grams / GRAMS[bowl.unit], f".{PLACES[bowl.unit]}f", f" {bowl.unit}")


def estimated(grams: float, bowl: DryingBowl) -> Text:
    """An estimated mass in the unit of the bowl's record, to two figures."""
    return two_figures(grams / GRAMS[bowl.unit], f" {bowl.unit}")
