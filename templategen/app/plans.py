"""Plans an opened job, and gives the plan as JSON and as figures for a table."""

from templategen.app.jobs import OpenedJob
from templategen.nest import planner
from templategen.nest.estimates import Figures, figures_of, mass_text
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.parts.cautions import cautions_for
from templategen.trade.defaults_used import UsedDefault, defaults_used

__all__ = ["Figures", "cautions_for", "defaults_of", "figures_of", "make_plan", "mass_text",
           "plan_to_json"]  # fmt: skip


def defaults_of(opened: OpenedJob) -> tuple[UsedDefault, ...]:
    """The defaults that shape a plan because no file states another figure."""
    return defaults_used(opened.job_table, opened.shop_table)


def make_plan(opened: OpenedJob) -> Plan:
    """The best plan of a job, with suggestions where a rule binds."""
    return planner.make_plan(opened.job, opened.shop)
