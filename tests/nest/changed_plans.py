"""Plans with single figures changed, as no planner would make them."""

import dataclasses

from templategen.nest.plan import Bowl, BowlShape, Cut, CutSetting, Plan

SETTING = {field.name for field in dataclasses.fields(CutSetting)}
SHAPE = {field.name for field in dataclasses.fields(BowlShape)}


def changed_cut(cut: Cut, **changes: object) -> Cut:
    """A cut with fields of its own or of its setting changed."""
    setting = {name: changes.pop(name) for name in SETTING & set(changes)}
    return dataclasses.replace(cut, setting=dataclasses.replace(cut.setting, **setting), **changes)  # type: ignore[arg-type]


def changed_bowl(bowl: Bowl, **changes: object) -> Bowl:
    """A bowl with fields of its own or of its shape changed; `rim_diameter` and `depth` too."""
    if "rim_diameter" in changes:
        changes["rim_radius"] = changes.pop("rim_diameter") / 2  # type: ignore[operator]
    if "depth" in changes:
        changes["shoulder"] = changes.pop("depth")
    shape = {name: changes.pop(name) for name in SHAPE & set(changes)}
    return dataclasses.replace(bowl, shape=dataclasses.replace(bowl.shape, **shape), **changes)  # type: ignore[arg-type]


def with_cut(plan: Plan, number: int, /, **changes: object) -> Plan:
    """The plan with one cut changed, counted from 1."""
    cuts = list(plan.cuts)
    cuts[number - 1] = changed_cut(cuts[number - 1], **changes)
    return dataclasses.replace(plan, cuts=tuple(cuts))


def with_bowl(plan: Plan, number: int, /, **changes: object) -> Plan:
    """The plan with one bowl changed, counted from 1."""
    bowls = list(plan.bowls)
    bowls[number - 1] = changed_bowl(bowls[number - 1], **changes)
    return dataclasses.replace(plan, bowls=tuple(bowls))
