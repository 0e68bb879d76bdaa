"""Shows the findings of a plan."""

from templategen.cli.screen import Screen
from templategen.messages import Joined, Text, tr
from templategen.nest.plan import Level, Plan


def show_findings(made: Plan, screen: Screen, *, err: bool = False, explain: bool = False) -> None:
    """Prints the findings, gravest first, each on a line.

    Args:
        made: the plan.
        screen: where.
        err: whether they go to the error output.
        explain: whether the changes that were tried in vain follow.
    """
    gravest = list(Level)
    for finding in sorted(made.findings, key=lambda f: gravest.index(f.level)):
        show_finding(screen, (finding.level.value, finding.rule, finding.text), err=err)
        for change in finding.tried if explain else ():
            screen.show_wrapped(change, first="  - ", err=err)


def show_finding(screen: Screen, finding: tuple[str, str, Text], *, err: bool = False) -> None:
    """Prints one finding: level and rule, which are ids and templates of wording, and text."""
    level, rule, text = finding
    screen.show(Joined((tr(level), tr(str(rule)), text), ": "), err=err)
