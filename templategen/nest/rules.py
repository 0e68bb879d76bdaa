"""The rules a plan must satisfy (design.md §4), as figures of a piece and of the cut in it."""

import math
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.geometry import cuts as arcs
from templategen.geometry.solids import volume_of_revolution
from templategen.inputs.records import Cutter, Jaws, Job, Relief, Shop
from templategen.trade.drying import drying_wall
from templategen.trade.jaws import choose_jaws, tenon_length_limit
from templategen.trade.wood import wood_of

Points = tuple[tuple[float, float], ...]

SAME = 1e-9  # mm; two figures this near are the same
SEARCH_GAP = 0.02  # mm; chord error of an outside while searching
EXACT_GAP = 0.002  # mm; chord error of an outside whose wall is reported


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """A cutter set with its pivot at (p, -q): what the search tries."""

    cutter: Cutter
    p: float
    q: float
    entry_radius: float
    depth_at_axis: float

    @property
    def deepest(self) -> float:
        """Deepest point of the cut, mm."""
        return arcs.deepest_point(
            radius=self.cutter.radius, pivot_offset=self.p, pivot_standoff=self.q
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A piece before anything is cut out of it: its outside and how it is held.

    Args:
        outside: (r, z) points from the rim, mm.
        rim_radius: mm.
        shoulder: depth of the tenon's shoulder, mm.
        jaws: what holds it, or None.
        tenon_diameter: mm.
        tenon_length: mm.
        size: enclosed volume, mm³.
    """

    outside: Points
    rim_radius: float
    shoulder: float
    jaws: Jaws | None
    tenon_diameter: float
    tenon_length: float
    size: float


def required_wall(job: Job, *, rim_radius: float) -> float:
    """The wall the job asks of a piece, mm: a share, a length, or from drying (design.md §5)."""
    policy, figure = job.nest.wall
    if policy == "share":
        return figure * 2 * rim_radius
    if policy == "length":
        return figure
    wood = wood_of(job)
    across = None if wood is None else wood.across(job.nest.across)
    if wood is None or across is None:
        name = "the wood, which is not named" if wood is None else wood.name
        raise InputError(
            f"there is no {job.nest.across} shrinkage for {name}",
            where="job: nest.wall",
            mend=f"give wood.{job.nest.across}, or nest.wall as a length or a share",
        )
    return drying_wall(
        rim_radius,
        job.nest.finished_wall,
        job.nest.truing_margin,
        across,
        job.nest.final_moisture,
        wood.along,
    )


def required_floor(job: Job, *, rim_radius: float) -> float:
    """The floor the job asks of a piece, mm."""
    floor = job.nest.floor
    return required_wall(job, rim_radius=rim_radius) if floor is None else floor


def swing_from(cutter: Cutter, *, entry_radius: float, depth: float, height: float) -> Swing | None:
    """The setting that enters at a mark and reaches a depth, or None where no arc does."""
    square = entry_radius**2 - height**2
    if square <= 0:
        return None
    x = math.sqrt(square)
    if math.hypot(x, depth) >= 2 * cutter.radius:
        return None
    p, q = arcs.pivot_from_entry_and_depth(radius=cutter.radius, entry=x, depth=depth)
    return Swing(cutter=cutter, p=p, q=q, entry_radius=entry_radius, depth_at_axis=depth)


def fits_post(swing: Swing, shop: Shop) -> bool:
    """Rule 5: standoff and offset within what the post allows."""
    post = shop.post
    inside = post.min_offset - SAME <= swing.p <= post.max_offset + SAME
    return inside and swing.q >= post.min_standoff - SAME and abs(swing.p) < swing.cutter.radius


def fits_slope(swing: Swing, job: Job) -> bool:
    """Rule 5: the slope at the axis within the limit."""
    slope = arcs.slope_at_axis(radius=swing.cutter.radius, pivot_offset=swing.p)
    return abs(slope) <= math.radians(job.nest.max_slope) + SAME


def fits_swing(swing: Swing) -> bool:
    """Rule 5: the swing within the cutter's limit."""
    angle = arcs.swing_angle(
        radius=swing.cutter.radius, pivot_offset=swing.p, pivot_standoff=swing.q
    )
    return angle <= math.radians(swing.cutter.max_swing) + SAME


def wall_between(
    outside: Points, swing: Swing, *, height: float, p_error: float = 0.0, q_error: float = 0.0
) -> float:
    """Rule 1: least true distance between an outside and the outer edge of a cut, mm."""
    radius, p, q = swing.cutter.radius, swing.p + p_error, swing.q + q_error
    square = height * height
    # In the cutter's plane a distance is at most h greater than the true one, because
    # 0 <= r - x <= h; so points that are more than h further off than the best cannot win.
    ranked = sorted(
        (abs(math.hypot(math.sqrt(max(0.0, r * r - square)) - p, z + q) - radius), (r, z))
        for r, z in outside
    )
    least = math.inf
    for bound, point in ranked:
        if bound - height > least:
            break
        least = min(
            least,
            arcs.distance_to_edge(
                point, radius=radius, pivot_offset=p, pivot_standoff=q, height=height
            ),
        )
    return least


def quick_wall(outside: Points, swing: Swing, *, height: float) -> float:
    """As `wall_between`, but in the cutter's plane: never less, and quick.

    Points further out than the edge's ends count from the circle itself.
    """
    p, q = swing.p, swing.q
    square = height * height
    near = min((math.sqrt(max(0.0, r * r - square)) - p) ** 2 + (z + q) ** 2 for r, z in outside)
    return math.sqrt(near) - swing.cutter.radius


def core_outside(
    swing: Swing,
    *,
    height: float,
    relief: Relief | None,
    max_gap: float,
    p_error: float = 0.0,
    q_error: float = 0.0,
) -> Points:
    """The outside of the core a cut frees: its inner edge less the relief step, (r, z) mm."""
    return tuple(
        arcs.edge_points(
            radius=swing.cutter.radius - swing.cutter.kerf,
            pivot_offset=swing.p + p_error,
            pivot_standoff=swing.q + q_error,
            height=height,
            shift=relief.shift if relief else 0.0,
            shift_depth=relief.depth if relief else 0.0,
            max_gap=max_gap,
        )
    )


def depth_where(outside: Points, radius: float) -> float | None:
    """Rule 3: the depth at which an outside has the given radius, mm, or None."""
    for (r0, z0), (r1, z1) in zip(reversed(outside[:-1]), reversed(outside[1:]), strict=True):
        low, high = (r0, r1) if r0 < r1 else (r1, r0)
        if low <= radius <= high:
            return z0 if r0 == r1 else z0 + (radius - r0) * (z1 - z0) / (r1 - r0)
    return None


def enclosed(outside: Points) -> float:
    """Volume enclosed by an outside, the face and the axis, mm³."""
    return volume_of_revolution([(0.0, 0.0), *outside, (0.0, outside[-1][1])])


def core_body(swing: Swing, job: Job, shop: Shop, *, max_gap: float = SEARCH_GAP) -> Body | None:
    """Rules 3, 4 and 6: the core a cut frees, or None where it cannot be held or is too small."""
    height = job.nest.height_above_centre
    inner = swing.cutter.radius - swing.cutter.kerf
    if inner <= abs(swing.p) or inner <= swing.q:
        return None
    outside = core_outside(swing, height=height, relief=job.nest.relief, max_gap=max_gap)
    rim = outside[0][0]
    if 2 * rim < job.nest.min_bowl - SAME:
        return None
    jaws = choose_jaws(
        shop.jaws,
        rim_diameter=2 * rim,
        share=job.tenon.core_share,
        refuse_share=shop.rules.refuse_share,
    )
    if jaws is None:
        return None
    length = min(job.tenon.length, tenon_length_limit(jaws))
    end = depth_where(outside, jaws.true_circle / 2)
    if end is None or end - length < job.nest.min_depth - SAME:
        return None
    return Body(
        outside=outside,
        rim_radius=rim,
        shoulder=end - length,
        jaws=jaws,
        tenon_diameter=jaws.true_circle,
        tenon_length=length,
        size=enclosed(outside),
    )
