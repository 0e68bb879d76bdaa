"""The plan of a chain of cuts: its figures and its findings, without suggestions."""

import dataclasses
import math
from typing import Any

from templategen.geometry.curves import Pair, points_along
from templategen.geometry.solids import volume_of_revolution
from templategen.nest.estimates import estimate_findings
from templategen.nest.findings import blank_findings, judge
from templategen.nest.plan import (
    EXACT_GAP,
    Bowl,
    BowlShape,
    Cut,
    CutSetting,
    Plan,
    Points,
    Sensitivity,
)
from templategen.nest.plan_figures import with_figures
from templategen.nest.rules import (
    edge_of,
    floor_of,
    moved,
    required,
    wall_of,
    wall_places,
    worst_of,
)
from templategen.nest.search import Chain
from templategen.nest.tenon_choice import outside_with_tenon
from templategen.trade.choices import Order
from templategen.trade.records import Job, Shop

NUDGE = 0.5  # mm; step of the difference quotients of a wall


def build_plan(job: Job, shop: Shop, chain: Chain) -> Plan:
    """The plan of a chain of cuts with its figures and its findings, without suggestions."""
    blank = chain.shapes[0]
    bowls = tuple(_bowl(n, chain, job) for n in range(len(chain.shapes)))
    cuts = tuple(_cut(n, chain, job, bowls) for n in range(len(chain.settings)))
    order = range(1, len(cuts) + 1)
    plan = Plan(
        job=job,
        shop=shop,
        cuts=cuts,
        bowls=bowls,
        sequence=tuple(order if job.nest.order == Order.OUTER_FIRST else reversed(order)),
        findings=(),
        outside=outside_with_tenon(blank, job),
    )
    plan = with_figures(plan)
    findings = blank_findings(job, shop, blank) + judge(plan) + estimate_findings(plan)
    return dataclasses.replace(plan, findings=tuple(findings))


def _fields(record: CutSetting | BowlShape) -> dict[str, Any]:
    return {field.name: getattr(record, field.name) for field in dataclasses.fields(record)}


def _cut(n: int, chain: Chain, job: Job, bowls: tuple[Bowl, ...]) -> Cut:
    setting, height, bowl = chain.settings[n], job.nest.height_above_centre, bowls[n]
    on_lathe = bowl if job.nest.order == Order.OUTER_FIRST else bowls[0]
    assert bowl.wall_at is not None  # every bowl that is cut has one
    return Cut(
        **_fields(setting),
        number=n + 1,
        cutter_height=height,
        entry_from_rim=on_lathe.rim_radius - setting.entry_radius,
        relief=job.nest.relief,
        sensitivity=_sensitivity(bowl, setting, height=height, at=bowl.wall_at),
    )


def _sensitivity(shape: BowlShape, setting: CutSetting, *, height: float, at: Pair) -> Sensitivity:
    """Change of the wall around a cut for each mm of its settings, by difference quotients."""

    def wall(offset: float, standoff: float, up: float) -> float:
        cut = moved(setting, offset=offset, standoff=standoff, height=height)
        return wall_of(shape, cut, height=height + up, near=(at,))[0]

    low = min(NUDGE, height)
    return Sensitivity(
        offset=(wall(NUDGE, 0, 0) - wall(-NUDGE, 0, 0)) / (2 * NUDGE),
        standoff=(wall(0, NUDGE, 0) - wall(0, -NUDGE, 0)) / (2 * NUDGE),
        height=(wall(0, 0, NUDGE) - wall(0, 0, -low)) / (NUDGE + low),
    )


def _bowl(n: int, chain: Chain, job: Job) -> Bowl:
    shape, settings = chain.shapes[n], chain.settings
    outside = shape.outside
    outside = outside_with_tenon(shape, job) if n == 0 else (*outside, (0.0, outside[-1][1]))
    wall = at = worst = need = floor = floor_worst = floor_need = None
    outline: Points = (*outside, (0.0, 0.0))
    if n < len(settings):
        inner = settings[n]
        places = wall_places(shape, inner, job)
        at, wall = places[0], math.dist(*places[0])
        need, floor_need = required(job, rim_radius=shape.rim_radius)
        floor = floor_of(shape, inner)
        own = settings[n - 1] if n else None
        worst, floor_worst = worst_of(shape, own, inner, job, near=places)
        edge = edge_of(inner, height=job.nest.height_above_centre)
        inside = points_along([edge], max_gap=EXACT_GAP)
        outline = (*outside, (0.0, inside[-1][1]), *reversed(inside))
    return Bowl(
        **_fields(shape),
        number=n + 1,
        wall=wall,
        wall_at=at,
        wall_required=need,
        wall_worst=worst,
        floor=floor,
        floor_required=floor_need,
        floor_worst=floor_worst,
        volume=volume_of_revolution(list(outline)),
        outline=outline,
    )
