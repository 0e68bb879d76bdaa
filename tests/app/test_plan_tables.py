"""Figures of the plan's tables against the parts that are printed for the same plan."""

from builders import demo_plan

from templategen.app.plan_tables import Cells, holding_rows
from templategen.messages import ENGLISH_WORDING
from templategen.nest.estimates import figures_of
from templategen.parts.style import PrintStyle
from templategen.parts.tenon_ring import make
from templategen.units import Units


def test_ring_sizes_are_those_of_the_printed_rings() -> None:
    """A ring goes over the end face of a dovetail, in the table as on the plate."""
    plan = demo_plan()
    head, *rows = [
        [ENGLISH_WORDING.text(cell) for cell in row]
        for row in holding_rows(plan, figures_of(plan), Cells(PrintStyle(units=Units.MM)))
    ]
    closed, widest = head.index("ring closed"), head.index("ring widest")
    wording = " ".join(
        " ".join(text.text for text in part.drawing.texts())
        for part in make(plan, style=PrintStyle(units=Units.MM))
    )
    assert len(rows) == 4
    for row in rows:
        assert f"{row[closed]} mm" in wording
        assert f"{row[widest]} mm" in wording
