"""Figures of the plan's tables against the parts that are printed for the same plan."""

import dataclasses

from builders import demo_plan

from templategen.app.plan_tables import Cells, holding_rows, stop_rows
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


def test_a_core_that_its_stub_carries_is_said_to_be_held() -> None:
    """As on the figures card: a known stop without a release is no unknown figure."""
    plan = demo_plan()
    carried = dataclasses.replace(plan.cuts[0], release_angle=None, release_neck=None)
    plan = dataclasses.replace(plan, cuts=(carried, *plan.cuts[1:]))
    head, first, *_ = [
        [ENGLISH_WORDING.text(cell) for cell in row]
        for row in stop_rows(plan, Cells(PrintStyle(units=Units.MM)))
    ]
    assert first[head.index("free at")] == "stub holds"
