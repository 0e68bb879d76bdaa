"""What stands behind a plan: its marks, and the defaults that no file states."""

from templategen.app.jobs import OpenedJob
from templategen.app.plans import defaults_of
from templategen.cli.screen import Screen
from templategen.messages import Joined, tr_noop
from templategen.nest.plan import Plan
from templategen.units import Length


def show_grounds(opened: OpenedJob, made: Plan, screen: Screen) -> None:
    """Prints what shaped the plan although no file says it."""
    screen.show()
    own, marks = made.job.units.grid, made.marks
    if marks is not None:
        template = tr_noop("Entries and depths were sought on marks of {marks}")
        if marks > own:
            template = tr_noop(
                "Entries and depths were sought on marks of {marks} instead of {own}: there were "
                "too many settings to try them all"
            )
        units = made.job.units
        screen.tell(template, marks=Length(marks, units), own=Length(own, units))
    screen.tell("Defaults of this plan: no file states another figure")
    for default in defaults_of(opened):
        parts = (default.key, " = ", default.value, ": ", default.ground)
        screen.show_wrapped(Joined(parts, ""), first="- ")
