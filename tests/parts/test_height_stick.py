"""The height stick: its two steps measured by shapely."""

import dataclasses

import pytest
from builders import changed_job, demo_plan
from part_shapes import MM, body
from shapely.geometry import Polygon

from templategen.parts import height_stick
from templategen.trade.records import Lathe


def test_the_steps_are_at_the_cutter_and_at_the_centre() -> None:
    """The invented lathe's 260 mm, and 5 mm above it (common practice, no source)."""
    plan = demo_plan()
    (stick,) = height_stick.make(plan, style=MM)
    for x, tall in ((height_stick.STEP / 2, 265.0), (height_stick.WIDTH - 2, 260.0)):
        column = body(stick).intersection(Polygon([(x, -9), (x + 1, -9), (x + 1, 999), (x, 999)]))
        assert column.bounds[3] - column.bounds[1] == pytest.approx(tall)
    level = dataclasses.replace(plan, job=changed_job(plan.job, height_above_centre=0.0))
    (flat,) = height_stick.make(level, style=MM)
    assert body(flat).bounds[3] == 260


def test_no_stick_without_the_lathe_s_height() -> None:
    """Nothing is guessed where the shop states no height of its centres."""
    plan = demo_plan()
    unknown = dataclasses.replace(plan, shop=dataclasses.replace(plan.shop, lathe=Lathe()))
    assert height_stick.make(unknown, style=MM) == ()
