"""Invented plans that several tests print."""

from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    Relief,
    Shop,
    Tenon,
)
from templategen.units import Units


def tiny() -> Plan:
    """An invented blank of the smallest kind, with cutters and jaws to match: several bowls."""
    shop = Shop(
        name="Invented toy shop",
        units=Units.MM,
        cutters=(Cutter(id="R24", radius=24, kerf=3), Cutter(id="R44", radius=44, kerf=3)),
        jaws=tuple(Jaws(id=str(d), true_circle=d, depth=6) for d in (10, 12, 15, 20, 27, 35, 50)),
    )
    job = Job(
        title="Invented tiny blank",
        date="2026-05-02",
        units=Units.MM,
        blank=Blank(diameter=100, height=56),
        nest=Nest(
            wall=LengthWall(5.0),
            min_bowl=24.0,
            min_depth=5.0,
            height_above_centre=1.0,
            max_slope=40.0,
            relief=Relief(shift=1.0, depth=5.0),
        ),
        tenon=Tenon(length=4.0, shoulder=1.0),
    )
    plan = make_plan(job, shop, with_mends=False)
    assert len(plan.cuts) >= 2
    return plan
