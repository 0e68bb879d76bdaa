"""A picture of the nest as SVG, true arcs kept as arcs."""

from templategen.nest.plan import Plan
from templategen.output.svg import drawing_svg
from templategen.parts import section_sheet

MARGIN = 4.0  # mm round the section
THIN = 0.3  # mm: the thinnest line that still shows on a screen


def section_svg(plan: Plan) -> str:
    """The half section of the whole nest at 1:1, millimetres, viewBox in the same numbers."""
    (sheet,) = section_sheet.make(plan, units=plan.job.units)
    data = drawing_svg(sheet.drawing, title=plan.job.title, margin=MARGIN, thin=THIN, paper=True)
    return data.decode("utf-8")
