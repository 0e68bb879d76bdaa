"""Plans an opened job, and gives the plan as JSON, as a picture and as figures for a table."""

from pathlib import Path

from templategen.app.jobs import OpenedJob
from templategen.messages import Wording
from templategen.nest import planner
from templategen.nest.estimates import (
    Figures,
    figures_of,
    force_text,
    mass_number,
    mass_text,
    speed_text,
    torque_text,
)
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.output.files import clear_leftovers, write_atomically
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts import section_sheet
from templategen.parts.cautions import cautions_for
from templategen.parts.style import PrintStyle

__all__ = [
    "Figures",
    "cautions_for",
    "figures_of",
    "force_text",
    "make_plan",
    "mass_number",
    "mass_text",
    "plan_to_json",
    "speed_text",
    "torque_text",
    "write_picture",
]


def make_plan(opened: OpenedJob) -> Plan:
    """The best plan of a job, with suggestions where a rule binds."""
    return planner.make_plan(opened.job, opened.shop)


def write_picture(plan: Plan, target: Path, wording: Wording) -> None:
    """Writes the half section full size as SVG.

    Raises:
        OutputError: the disk.
    """
    clear_leftovers(target.parent)
    (sheet,) = section_sheet.make(plan, style=PrintStyle(units=plan.job.units, wording=wording))
    look = SvgLook(margin=4.0, thin=0.3, paper=True, wording=wording)
    write_atomically(target, drawing_svg(sheet.drawing, look=look))
