"""Plans with single figures changed, as no planner would make them."""

import dataclasses
from typing import Any

from templategen.nest.plan import Bowl, Plan


def changed_bowl(bowl: Bowl, **changes: Any) -> Bowl:  # noqa: ANN401 - any field
    """A bowl with fields changed; `rim_diameter` and `depth` too."""
    if "rim_diameter" in changes:
        changes["rim_radius"] = changes.pop("rim_diameter") / 2
    if "depth" in changes:
        changes["shoulder"] = changes.pop("depth")
    return dataclasses.replace(bowl, **changes)


def with_cut(plan: Plan, number: int, /, **changes: Any) -> Plan:  # noqa: ANN401 - any field
    """The plan with one cut changed, counted from 1."""
    cuts = list(plan.cuts)
    cuts[number - 1] = dataclasses.replace(cuts[number - 1], **changes)
    return dataclasses.replace(plan, cuts=tuple(cuts))


def with_bowl(plan: Plan, number: int, /, **changes: Any) -> Plan:  # noqa: ANN401 - any field
    """The plan with one bowl changed, counted from 1."""
    bowls = list(plan.bowls)
    bowls[number - 1] = changed_bowl(bowls[number - 1], **changes)
    return dataclasses.replace(plan, bowls=tuple(bowls))
