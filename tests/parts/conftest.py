"""Plans that several tests of parts share."""

import pytest
from builders import changed_job

from templategen.inputs.starters import demo_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.trade.choices import Order


@pytest.fixture(scope="session")
def outer_first() -> Plan:
    """The demo with its cuts outer first."""
    return make_plan(changed_job(order=Order.OUTER_FIRST), demo_shop(), with_suggestions=False)
