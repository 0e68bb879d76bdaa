"""What stands behind a plan: its marks, and the defaults that no file states."""

from templategen.app.jobs import OpenedJob
from templategen.cli.screen import Screen
from templategen.nest.plan import Plan


def show_grounds(opened: OpenedJob, made: Plan, screen: Screen) -> None:
    """Prints what shaped the plan although no file says it."""
