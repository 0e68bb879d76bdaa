"""Draws the half section of a plan; a module of its own, for planning alone needs no writer."""

from pathlib import Path

from templategen.messages import Wording
from templategen.nest.plan import Plan
from templategen.output.files import clear_leftovers, require_ending, write_atomically
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts import section_sheet
from templategen.parts.style import PrintStyle


def write_picture(plan: Plan, target: Path, wording: Wording) -> None:
    """Writes the half section full size as SVG.

    Raises:
        InputError: the name is not that of an SVG.
        OutputError: the disk.
    """
    require_ending(target, ".svg")
    clear_leftovers(target.parent)
    (sheet,) = section_sheet.make(plan, style=PrintStyle(units=plan.job.units, wording=wording))
    look = SvgLook(margin=4.0, thin=0.3, paper=True, wording=wording)
    write_atomically(target, drawing_svg(sheet.drawing, look=look))
