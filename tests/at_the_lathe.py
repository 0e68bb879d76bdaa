"""The lathe as tests see it: wood, rim, post and tip in the cutter's plane, and parts laid on them.

All in the frame of the plan: x from the axis towards the entry, y = -z, so that the wood lies below
y = 0. Figures come from the plan's own radii and depths, never from the code that draws.
"""

import functools
import math
from collections.abc import Callable

import shapely
from builders import (
    changed_job,
    demo_plan,
    example_job,
    example_plan,
    example_shop,
    tiny_plan,
    with_post,
)
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from templategen.inputs.starters import demo_shop
from templategen.nest.plan import Cut, Plan
from templategen.nest.planner import make_plan
from templategen.trade.choices import Order
from templategen.trade.records import PinnedCut

WITHIN = 0.02  # mm: how near a part laid against the wood brings the pivot (issue of the parts)
TOUCH = 1e-4  # mm²: what two shapes that touch may share


@functools.cache
def outer_first_plan() -> Plan:
    """The lakeside blank with each core held again."""
    job = changed_job(example_job("lakeside-400.toml"), order=Order.OUTER_FIRST)
    return make_plan(job, example_shop("lakeside-400.toml"), with_suggestions=False)


@functools.cache
def past_axis_plan() -> Plan:
    """A pinned cut with its pivot past the axis (p < 0)."""
    pin = PinnedCut(cutter="R135", pivot_offset=-12.0, pivot_standoff=30.0)
    job = changed_job(diameter=330.0, height=150.0, pinned=(pin,), add_cuts=False)
    return make_plan(job, demo_shop(), with_suggestions=False)


PLANS: dict[str, Callable[[], Plan]] = {
    "lakeside": lambda: with_post(example_plan("lakeside-400.toml"), pin=16.0, body=30.0),
    "small": lambda: with_post(example_plan("small-220.toml"), pin=10.0, body=24.0),
    "inch": lambda: with_post(example_plan("inch-15.toml"), pin=12.7, body=31.75),
    "outer first": lambda: with_post(outer_first_plan(), pin=16.0, body=30.0),
    "past the axis": lambda: with_post(past_axis_plan(), pin=16.0, body=30.0),
    "tiny": lambda: with_post(tiny_plan(), pin=5.0, body=12.0),
    "thick pin": lambda: with_post(example_plan("lakeside-400.toml"), pin=40.0, body=42.0),
    "demo": lambda: with_post(demo_plan(), pin=12.0, body=25.0),
}
UNKNOWN_POST: dict[str, Callable[[], Plan]] = {
    "lakeside": lambda: with_post(example_plan("lakeside-400.toml"), pin=None, body=None),
    "inch": lambda: with_post(example_plan("inch-15.toml"), pin=None, body=None),
    "tiny": lambda: with_post(tiny_plan(), pin=None, body=None),
}


def working_order(plan: Plan) -> list[Cut]:
    """The cuts as they are made."""
    return [next(c for c in plan.cuts if c.number == number) for number in plan.sequence]


def held_radius(plan: Plan, cut: Cut) -> float:
    """Radius of the rim on the lathe: the blank's, or that of the core that is held again, mm.

    A core's rim is where the inner edge of its relief cut meets the face.
    """
    if plan.job.nest.order is Order.OUTER_FIRST and cut.number > 1:
        before = plan.cuts[cut.number - 2]
        p = before.pivot_offset - (before.relief.shift if before.relief else 0.0)
        x = p + math.sqrt(before.cutter.inner_radius**2 - before.pivot_standoff**2)
        return math.hypot(x, before.cutter_height)
    return plan.job.blank.diameter / 2


def jaw_face(plan: Plan, cut: Cut) -> float:
    """Depth of the face of the jaws that hold the work, mm: the shoulder of the held tenon."""
    held = plan.bowls[cut.number - 1 if plan.job.nest.order is Order.OUTER_FIRST else 0]
    return held.depth


def wood_before(plan: Plan, cut: Cut) -> BaseGeometry:
    """The wood in the cutter's plane before a cut, cores that are parted already left out.

    The plane is h above centre and meets the circle of the rim at sqrt((D/2)² - h²).
    """
    rim = math.sqrt(held_radius(plan, cut) ** 2 - cut.cutter_height**2)
    wood: BaseGeometry = shapely.box(-rim, -plan.job.blank.height, rim, 0.0)
    if plan.job.nest.order is Order.INNER_FIRST and cut.number < len(plan.cuts):
        wood = wood.difference(hollow_of(plan.cuts[cut.number]))
    return wood


def wood_after(plan: Plan, cut: Cut) -> BaseGeometry:
    """The wood in the cutter's plane when the cut is made and its core is out."""
    return wood_before(plan, cut).difference(hollow_of(cut))


def hollow_of(cut: Cut) -> BaseGeometry:
    """What is gone of both sides of the axis when the core is out, to 1 µm (shapely)."""
    pivot = shapely.Point(cut.pivot_offset, cut.pivot_standoff)
    disc = pivot.buffer(cut.cutter.radius, quad_segs=2000)
    half = disc.intersection(shapely.box(0.0, -2000.0, 2000.0, 0.0))
    return half.union(affinity.scale(half, -1.0, 1.0, origin=(0.0, 0.0)))


def pushed_home(plate: BaseGeometry, wood: BaseGeometry) -> tuple[float, float]:
    """How far a plate is shifted when its straight edge and then its hook stop at the wood, mm.

    It starts in front of the face with its hook 6 mm outside the rim, is pushed to the face, then
    towards the axis.
    """
    dy = slid(lambda d: shares(plate, wood, 6.0, d), start=40.0)
    dx = slid(lambda d: shares(plate, wood, d, dy + 1e-3), start=6.0)
    return dx, dy


def shares(part: BaseGeometry, wood: BaseGeometry, dx: float = 0.0, dy: float = 0.0) -> bool:
    """Whether a part that is shifted would enter the wood."""
    return bool(affinity.translate(part, dx, dy).intersection(wood).area > TOUCH)


def slid(enters: Callable[[float], bool], *, start: float) -> float:
    """The least shift from `start` to its opposite at which nothing enters, by bisection, mm."""
    low, high = -start, start
    assert enters(low)
    assert not enters(high)
    while high - low > 1e-5:
        middle = (low + high) / 2
        low, high = (middle, high) if enters(middle) else (low, middle)
    return high


def pin_places(hole: Polygon, pin: float) -> BaseGeometry:
    """Where the centre of a pin can be in a hole, the file's own 0.005 mm of play given."""
    return hole.buffer(-(pin / 2 - 0.005), quad_segs=400)


def tip_at(cut: Cut, angle: float) -> tuple[float, float]:
    """Place of the tip's outer corner by its angle below the line through the pivot along x."""
    radius = cut.cutter.radius
    return (
        cut.pivot_offset + radius * math.cos(angle),
        cut.pivot_standoff - radius * math.sin(angle),
    )
