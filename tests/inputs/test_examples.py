"""The invented examples and starter files: their cutters can make the cuts of their own plans."""

import math
import tomllib

import pytest

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import starter_files
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.units import Units
from tests.builders import demo_plan, example_plan

EXAMPLES = ("lakeside-400.toml", "small-220.toml", "inch-15.toml")


def _starter_plan(units: Units) -> Plan:
    files = starter_files("en", units)
    shop = shop_from_table(tomllib.loads(files["shop.toml"]), where="shop.toml")
    table = tomllib.loads(files["job.toml"])
    job = job_from_table(table, where="job.toml", shop_defaults=shop.rules)
    return make_plan(job, shop, with_suggestions=False)


PLANS = {
    **{name: lambda name=name: example_plan(name) for name in EXAMPLES},
    "demo": demo_plan,
    "starter in mm": lambda: _starter_plan(Units.MM),
    "starter in inches": lambda: _starter_plan(Units.IN),
}


@pytest.mark.parametrize("name", PLANS)
def test_cutters_reach_and_have_room_in_their_kerf(name: str) -> None:
    """Rules 8 and 9 of design.md section 4, by its own formulas; at least two bowls from each."""
    plan = PLANS[name]()
    assert len(plan.bowls) >= 3
    for cut in plan.cuts:
        cutter = cut.cutter
        radius, p, q = cutter.radius, cut.pivot_offset, cut.pivot_standoff
        assert cutter.arc is not None
        assert cutter.holder is not None
        assert cutter.section is not None
        swing = math.acos(-p / radius) - math.asin(q / radius)
        holder = math.asin((q - cutter.holder / 2 - 5) / radius)
        assert math.radians(cutter.arc) >= swing + math.asin(q / radius) - holder
        width, height = cutter.section
        needed = height * (height - 2 * cut.cutter_height) / (2 * radius) + 0.5
        assert (cutter.kerf - width) / 2 >= needed


def test_the_examples_show_pin_body_and_log() -> None:
    """Each example's post has a pin and a body; two examples state their log."""
    plans = [example_plan(name) for name in EXAMPLES]
    for plan in plans:
        assert plan.shop.post.pin is not None
        assert plan.shop.post.body is not None
        assert plan.shop.post.pin < plan.shop.post.body
    logs = [plan.job.log for plan in plans]
    assert [log is not None for log in logs] == [True, False, True]
