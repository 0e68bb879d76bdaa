"""The rules a plan must satisfy (design.md §4): each a named function that gives a figure.

Lengths mm, angles radians, volumes mm³. The cutter works h above centre, so every radius is
r = hypot(x, h).
"""

import functools
import math
from collections.abc import Iterable
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.geometry import cuts as arcs
from templategen.geometry.blade import BladeRoom, blade_room
from templategen.geometry.curves import (
    Curve,
    Pair,
    Span,
    least_distance,
    least_places,
)
from templategen.messages import tr, tr_noop
from templategen.nest.plan import BowlShape, CutSetting
from templategen.trade.choices import Guard
from templategen.trade.drying import drying_wall
from templategen.trade.jaws import closed_end, closed_neck, tenon_length_limit
from templategen.trade.records import (
    Cutter,
    DryingWall,
    Jaws,
    Job,
    LengthWall,
    Relief,
    ShareWall,
    Shop,
)
from templategen.trade.wood import wood_of

NO_SHRINKAGE = {
    "radial": tr_noop("there is no radial shrinkage for {wood}"),
    "tangential": tr_noop("there is no tangential shrinkage for {wood}"),
}

SAME = 1e-9  # mm; figures that differ by less are equal
MET = 1e-6  # mm; a wall or floor short by less is met: distances are found by iteration
BLADE_TO = 10.0  # mm from the axis; until then the tip's blade must have room; chosen here
LATHE_AIR = 10.0  # mm around the disc as sawn; design of the project, section 4 rule 10
FARTHEST_SHIFT = 4.5  # greatest change of a wall, mm for each mm of setting tolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class WallLine:
    """The wall required of a bowl: `base` + `slope` x rim radius, mm."""

    base: float
    slope: float

    def at(self, rim_radius: float) -> float:
        """The wall required at a rim radius, mm."""
        return self.base + self.slope * rim_radius


def wall_line(job: Job) -> WallLine:
    """Rule 1: the wall the job asks for: a share, a length, or from drying (design.md §5).

    Raises:
        InputError: the wood's shrinkage is not in the table.
    """
    match job.nest.wall:
        case ShareWall(share):
            return WallLine(base=0.0, slope=2 * share)
        case LengthWall(length):
            return WallLine(base=length, slope=0.0)
        case DryingWall():
            return _drying_line(job)


def _drying_line(job: Job) -> WallLine:
    wood = wood_of(job)
    across = None if wood is None else wood.across(job.nest.across)
    if wood is None or across is None:
        name = tr("the wood, which is not named") if wood is None else wood.shown_name
        raise InputError(
            tr(NO_SHRINKAGE[job.nest.across], wood=name),
            where=tr("job: {key}", key="nest.wall"),
            mend=tr(
                "give {key}, or nest.wall as a length or a share", key=f"wood.{job.nest.across}"
            ),
        )

    def wall(radius: float) -> float:
        return drying_wall(
            radius,
            job.nest.finished_wall,
            job.nest.truing_margin,
            across,
            job.nest.final_moisture,
            wood.along,
        )

    return WallLine(base=wall(0.0), slope=wall(1.0) - wall(0.0))


def required(job: Job, *, rim_radius: float) -> tuple[float, float]:
    """Rules 1 and 2: the wall and the floor the job asks of a bowl, mm."""
    wall = wall_line(job).at(rim_radius)
    return wall, wall if job.nest.floor is None else job.nest.floor


def setting_from(
    cutter: Cutter, *, entry_radius: float, depth: float, height: float
) -> CutSetting | None:
    """The setting that enters at a mark and reaches a depth, or None where no arc does."""
    square = entry_radius**2 - height**2
    if square <= 0:
        return None
    x = math.sqrt(square)
    if depth <= 0 or math.hypot(x, depth) >= 2 * cutter.radius:
        return None
    # entry < 2R and depth > 0: the pivot is nearer than R to the axis and to the face
    p, q = arcs.pivot_from_entry_and_depth(radius=cutter.radius, entry=x, depth=depth)
    return CutSetting(
        cutter=cutter,
        pivot_offset=p,
        pivot_standoff=q,
        entry_radius=entry_radius,
        depth_at_axis=depth,
    )


def setting_at(
    cutter: Cutter, *, pivot_offset: float, pivot_standoff: float, height: float
) -> CutSetting | None:
    """The setting with a given pivot, or None where its arc never meets face and axis."""
    if abs(pivot_offset) >= cutter.radius or abs(pivot_standoff) >= cutter.radius:
        return None
    x = pivot_offset + math.sqrt(cutter.radius**2 - pivot_standoff * pivot_standoff)
    depth = math.sqrt(cutter.radius**2 - pivot_offset * pivot_offset) - pivot_standoff
    if x <= 0 or depth <= 0:
        return None
    return CutSetting(
        cutter=cutter,
        pivot_offset=pivot_offset,
        pivot_standoff=pivot_standoff,
        entry_radius=math.hypot(x, height),
        depth_at_axis=depth,
    )


def moved(setting: CutSetting, *, offset: float, standoff: float, height: float) -> CutSetting:
    """The setting with its pivot shifted, mm; the same setting where the cutter then misses."""
    found = setting_at(
        setting.cutter,
        pivot_offset=setting.pivot_offset + offset,
        pivot_standoff=setting.pivot_standoff + standoff,
        height=height,
    )
    return setting if found is None else found


def fits_standoff(setting: CutSetting, shop: Shop) -> bool:
    """Rule 5: the pivot no nearer the face than the post allows."""
    return setting.pivot_standoff >= shop.post.min_standoff - SAME


def fits_lathe(diameter: float, shop: Shop) -> bool:
    """Rule 10: a disc as sawn turns over bed and banjo with `LATHE_AIR`, as far as is stated."""
    lathe = shop.lathe
    rooms = (None if lathe.swing is None else lathe.swing / 2, lathe.centre_height)
    return all(room is None or diameter / 2 + LATHE_AIR <= room + SAME for room in rooms)


def offset_limits(shop: Shop, relief: Relief | None) -> tuple[float, float]:
    """Rule 5: least and greatest pivot offset, mm; the relief position p - s is within them too."""
    shift = relief.shift if has_relief(relief) and relief is not None else 0.0
    return shop.post.min_offset + shift, shop.post.max_offset


def fits_offset(setting: CutSetting, shop: Shop, relief: Relief | None) -> bool:
    """Rule 5: the pivot within what the post allows, for the cut and for its relief cut."""
    low, high = offset_limits(shop, relief)
    return low - SAME <= setting.pivot_offset <= high + SAME


def has_relief(relief: Relief | None) -> bool:
    """Whether there is a relief cut at all."""
    return relief is not None and relief.shift > 0 and relief.depth > 0


def fits_relief(cutter: Cutter, relief: Relief | None) -> bool:
    """Rule 5: the relief shift at most the kerf; a wider one leaves a ring of wood standing."""
    return relief is None or not has_relief(relief) or relief.shift <= cutter.kerf + SAME


def fits_reach(setting: CutSetting) -> bool:
    """Rule 8: the bare blade is long enough, or its arc is not stated."""
    if setting.cutter.arc is None:
        return True
    needed = setting.bare_needed
    return needed is not None and needed <= math.radians(setting.cutter.arc) + SAME


@functools.lru_cache(maxsize=1024)
def blade_offsets(cutter: Cutter, height: float) -> tuple[float, float]:
    """Rule 9: least and greatest pivot offset at which the blade does not touch its kerf, mm.

    The room is examined until the tip is `BLADE_TO` from the axis. Each place of the blade limits
    the offset on one side, so the offsets without touch are one range.

    Args:
        cutter: any.
        height: of the cutter above centre, mm.

    Returns: (-inf, inf) where the section is not stated, (inf, -inf) where the blade touches
        at every offset.
    """
    if cutter.section is None:
        return -math.inf, math.inf

    def touches(offset: float) -> bool:
        return blade_of(cutter, height=height, pivot_offset=offset, nearest_x=BLADE_TO).touches

    most = math.floor(cutter.inner_radius / 2)
    free = next(
        (p for n in range(2 * most + 1) if not touches(p := (n + 1) // 2 * (-1) ** n)), None
    )
    if free is None:
        return math.inf, -math.inf
    ends = []
    for end in (-cutter.inner_radius, cutter.inner_radius):
        good, bad = float(free), end
        while abs(bad - good) > SAME / 2:
            middle = (good + bad) / 2
            good, bad = (good, middle) if touches(middle) else (middle, bad)
        ends.append(good)
    return ends[0], ends[1]


def blade_of(cutter: Cutter, *, height: float, pivot_offset: float, nearest_x: float) -> BladeRoom:
    """Rule 9: the room beside the blade of a cutter whose section is stated."""
    assert cutter.section is not None  # the caller has looked
    return blade_room(
        radius=cutter.radius,
        kerf=cutter.kerf,
        section=cutter.section,
        height=height,
        pivot_offset=pivot_offset,
        nearest_x=nearest_x,
    )


def fits_blade(setting: CutSetting, *, height: float) -> bool:
    """Rule 9: the blade does not touch its kerf, or its section is not stated."""
    low, high = blade_offsets(setting.cutter, height)
    return low - SAME <= setting.pivot_offset <= high + SAME


def least_shoulder(job: Job, rim_radius: float) -> float:
    """Rule 6: least depth of a core, face to tenon shoulder, mm: `min_depth` and `min_ratio`."""
    return max(job.nest.min_depth, 2 * rim_radius * job.nest.min_ratio)


def fits_slope(setting: CutSetting, job: Job) -> bool:
    """Rule 5: the slope at the axis within the limit."""
    return abs(setting.slope) <= math.radians(job.nest.max_slope) + SAME


def fits_swing(setting: CutSetting) -> bool:
    """Rule 5: the swing within the cutter's limit."""
    return setting.swing <= math.radians(setting.cutter.max_swing) + SAME


def edge_of(setting: CutSetting, *, height: float) -> Span:
    """The outer edge of a cut from the face to the axis: the inside of the bowl around it."""
    p, q, radius = setting.pivot_offset, setting.pivot_standoff, setting.cutter.radius
    start, end = math.asin(q / radius), math.acos(-p / radius)
    return Span(x=p, z=-q, radius=radius, start=start, end=end, height=height)


def core_curves(
    setting: CutSetting, *, height: float, relief: Relief | None
) -> tuple[Span, ...] | None:
    """The outside of the core a cut frees: its inner edge less the relief step.

    Returns: the curves from the rim down, or None where the inner edge misses the face or the
        axis, or does not reach below the relief cut.
    """
    pivot = setting.pivot_offset, setting.pivot_standoff
    return inner_edge(setting.cutter.inner_radius, pivot=pivot, height=height, relief=relief)


def inner_edge(
    radius: float, *, pivot: tuple[float, float], height: float, relief: Relief | None
) -> tuple[Span, ...] | None:
    """As `core_curves`, for an inner edge of a radius with its pivot at (p, -q), mm."""
    p, q = pivot
    if radius <= abs(p) or radius <= abs(q):
        return None
    start, end = math.asin(q / radius), math.acos(-p / radius)
    if p + radius * math.cos(start) <= SAME:
        return None  # at the face it is on the axis or past it: nothing is left of the core
    if relief is None or not has_relief(relief):
        return (Span(x=p, z=-q, radius=radius, start=start, end=end, height=height),)
    sine = (relief.depth + q) / radius
    if sine >= 1:
        return None
    turn = math.asin(sine)
    if p - relief.shift + radius * min(math.cos(turn), math.cos(start)) <= SAME:
        return None
    upper = Span(x=p - relief.shift, z=-q, radius=radius, start=start, end=turn, height=height)
    lower = Span(x=p, z=-q, radius=radius, start=turn, end=end, height=height)
    return upper, lower


def core_size(curves: tuple[Span, ...]) -> float:
    """Size of a core: the volume its outside encloses, mm³, in closed form."""
    return math.pi * sum(_swept(curve, curve.end) - _swept(curve, curve.start) for curve in curves)


def _swept(curve: Span, angle: float) -> float:
    """Antiderivative of (x² + h²) dz along a span, x = p + ρ cos, z = ρ sin - q."""
    p, rho, sine, cosine = curve.x, curve.radius, math.sin(angle), math.cos(angle)
    return (
        rho * (p * p + curve.height**2) * sine
        + p * rho * rho * (angle + sine * cosine)
        + rho**3 * (sine - sine**3 / 3)
    )


def tenon_end(curves: tuple[Span, ...], diameter: float) -> float | None:
    """Rule 3: the depth at which a core's outside has the radius of the end face, mm, or None.

    A dovetailed tenon is widest there, so that is where its wood must reach out to.
    """
    square = (diameter / 2) ** 2 - curves[0].height ** 2
    if square < 0:
        return None
    x = math.sqrt(square)
    for curve in reversed(curves):  # the relief step only narrows: below it first
        cosine = (x - curve.x) / curve.radius
        if abs(cosine) <= 1 and curve.start <= math.acos(cosine) <= curve.end:
            return curve.z + curve.radius * math.sin(math.acos(cosine))
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonSize:
    """A tenon: `neck` at its shoulder and `end` at its end face, diameters; its `length`; mm."""

    neck: float
    end: float
    length: float


def tenon_for(jaws: Jaws | None, job: Job) -> TenonSize | None:
    """Rules 3 and 4: the tenon that closed jaws hold as a perfect circle, or None without jaws."""
    if jaws is None:
        return None
    length = min(job.tenon.length, tenon_length_limit(jaws))
    return TenonSize(neck=closed_neck(jaws, length), end=closed_end(jaws, length), length=length)


def wall_of(
    shape: BowlShape,
    setting: CutSetting,
    *,
    height: float,
    near: Iterable[Pair] | None = None,
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Rule 1: the least true distance between the outside and the next cut, and where, mm."""
    edge = edge_of(setting, height=height)
    return least_distance(shape.curves, edge, near=near)


def wall_places(shape: BowlShape, inner: CutSetting, job: Job) -> tuple[Pair, ...]:
    """Rules 1 and 7: where the wall is least, or may become least by a setting error."""
    within = 2 * FARTHEST_SHIFT * job.nest.setting_tolerance
    edge = edge_of(inner, height=job.nest.height_above_centre)
    return least_places(shape.curves, edge, within=within)


def floor_of(shape: BowlShape, setting: CutSetting) -> float:
    """Rule 2: from the shoulder of the bowl's tenon to the deepest point of the next cut, mm."""
    return shape.shoulder - setting.deepest


def errors_of(tolerance: float) -> list[tuple[float, float]]:
    """Rule 7: the four shifts of a pivot, ±t in offset and in standoff, mm."""
    if tolerance == 0:
        return [(0.0, 0.0)]
    return [(p, q) for p in (-tolerance, tolerance) for q in (-tolerance, tolerance)]


def worst_of(
    shape: BowlShape,
    own: CutSetting | None,
    inner: CutSetting,
    job: Job,
    *,
    near: tuple[Pair, ...] | None = None,
) -> tuple[float, float]:
    """Rule 7: least wall and floor with the pivots of both bounding cuts out by ±t, mm.

    Args:
        shape: the bowl.
        own: the cut that freed it; None for the turned outside, which has no pivot.
        inner: the cut made in it.
        job: height, relief and setting tolerance.
        near: `wall_places`, if known.

    Returns: the worst wall and the worst floor.
    """
    height, errors = job.nest.height_above_centre, errors_of(job.nest.setting_tolerance)
    outsides: list[tuple[tuple[Curve, ...], float]] = []
    for dp, dq in errors if own is not None else [(0.0, 0.0)]:
        curves, shoulder = shape.curves, shape.shoulder
        if own is not None and (dp or dq):
            shifted = moved(own, offset=dp, standoff=dq, height=height)
            spans = core_curves(shifted, height=height, relief=job.nest.relief)
            if spans is not None:
                curves = spans
                end = tenon_end(spans, shape.tenon_end_diameter)
                shoulder = (0.0 if end is None else end) - shape.tenon_length
        outsides.append((curves, shoulder))
    if near is None:
        near = wall_places(shape, inner, job)
    wall = floor = math.inf
    for dp, dq in errors:
        cut = moved(inner, offset=dp, standoff=dq, height=height)
        edge = edge_of(cut, height=height)
        for curves, shoulder in outsides:
            wall = min(wall, least_distance(curves, edge, near=near)[0])
            floor = min(floor, shoulder - cut.deepest)
    return wall, floor


def meets(shape: BowlShape, own: CutSetting | None, inner: CutSetting, job: Job) -> bool:
    """Rules 1, 2 and 7: wall and floor as required, nominal or worst as `guard` says."""
    wall, floor = required(job, rim_radius=shape.rim_radius)
    if floor_of(shape, inner) < floor - MET:
        return False
    if wall_of(shape, inner, height=job.nest.height_above_centre)[0] < wall - MET:
        return False
    if job.nest.guard == Guard.NOMINAL:
        return True
    least_wall, least_floor = worst_of(shape, own, inner, job)
    return least_wall >= wall - MET and least_floor >= floor - MET
