"""The chart against the plan of each of its blanks, and its JSON key by key."""

from dataclasses import replace as swap

import pytest
from builders import changed_job, changed_shop, make_jaws, plan_of

from templategen.inputs.shop_file import shop_to_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.chart import chart_to_json, every_cell, make_chart
from templategen.trade.records import DryingWall, PinnedCut

SIZES = {"diameters": [240.0, 400.0], "heights": [110.0, 180.0]}


PIN = PinnedCut(cutter="R170", entry_radius=170.0, depth_at_axis=140.0)
JOBS = {
    "arc": demo_job(),
    "cylinder": changed_job(outside="cylinder"),
    "drawn": changed_job(outside=((200.0, 0.0), (110.0, 171.0))),
    "pinned": changed_job(pinned=(PIN,), add_cuts=False),
    "drying": changed_job(wall=DryingWall()),
}


@pytest.mark.parametrize("name", sorted(JOBS))
def test_each_cell_is_the_plan_of_its_blank(name: str) -> None:
    """Bowls, cutters and rims are those `make_plan` gives for the blank alone.

    Pins belong to the job's own blank and are left out; so is an outside that was drawn for it.
    """
    job, shop = JOBS[name], demo_shop()
    made = make_chart(job, shop, **SIZES)
    assert made.job is job
    assert made.shop is shop
    assert (made.diameters, made.heights) == ((240.0, 400.0), (110.0, 180.0))
    outside = job.blank.outside if isinstance(job.blank.outside, str) else "arc"
    sizes = [(d, h) for d in SIZES["diameters"] for h in SIZES["heights"]]
    for (diameter, height), cell in zip(sizes, every_cell(made), strict=True):
        plan = plan_of(
            job, diameter=diameter, height=height, outside=outside, pinned=(), add_cuts=True
        )
        assert (cell.diameter, cell.height) == (diameter, height)
        assert cell.bowls == len(plan.bowls)
        assert cell.cutters == tuple(c.cutter.id for c in plan.cuts)
        assert cell.rims == pytest.approx([p.rim_diameter for p in plan.bowls])
        assert str(cell.reason) == ("" if plan.cuts else "no cutter fits")


def test_a_blank_clears_the_swing_by_ten_millimetres() -> None:
    """All round (design.md §4, rule 10); a wider one does not go, and keeps its size."""
    shop = swap(demo_shop(), lathe=swap(demo_shop().lathe, swing=320.0))
    made = make_chart(demo_job(), shop, diameters=[300.0, 300.5], heights=[120.0])
    goes, wide = every_cell(made)
    assert goes.bowls > 1
    assert (wide.diameter, wide.height, wide.bowls, wide.rims) == (300.5, 120.0, 0, ())
    assert str(wide.reason) == "over the lathe's swing"


def test_the_json_of_a_chart() -> None:
    """Every key as it is told; lengths mm."""
    made = make_chart(demo_job(), demo_shop(), diameters=[400.0], heights=[180.0])
    (cell,) = every_cell(made)
    assert chart_to_json(made) == {
        "format": "templategen-chart/1",
        "shop": shop_to_table(demo_shop()),
        "diameters": [400.0],
        "heights": [180.0],
        "blanks": [
            {
                "diameter": 400.0,
                "height": 180.0,
                "bowls": 4,
                "cutters": ["R170", "R135", "R80"],
                "rims": list(cell.rims),
                "reason": "",
            }
        ],
    }


def test_the_chart_says_why_a_blank_gives_nothing() -> None:
    """Over the swing, too low for its tenon, no jaws, no cutter: each with its own reason."""
    shop = changed_shop(jaws=make_jaws(100))
    job = changed_job(min_bowl=120.0)
    chart = make_chart(job, shop, diameters=[150.0, 280.0, 500.0, 600.0], heights=[20.0, 120.0])
    reasons = [[str(cell.reason) for cell in row] for row in chart.cells]
    assert reasons[0][1] == "no cutter fits"
    assert (chart.cells[0][1].bowls, chart.cells[0][1].cutters) == (1, ())
    assert reasons[1][1] == ""
    assert len(chart.cells[1][1].rims) == chart.cells[1][1].bowls
    assert reasons[2][1] == "no jaws hold it"
    assert reasons[3] == ["over the lathe's swing"] * 2
    tall = swap(job, tenon=swap(job.tenon, length=30.0))
    ((low,),) = make_chart(tall, changed_shop(jaws=()), diameters=[250.0], heights=[20.0]).cells
    assert str(low.reason) == "the tenon does not fit"  # 30 mm of it in 20 mm of wood
    assert (
        make_chart(job, shop, diameters=[280.0], heights=[120.0]).cells[0][0] == chart.cells[1][1]
    )
