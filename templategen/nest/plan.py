"""A finished plan: cuts, bowls, working order and findings. Lengths mm, angles radians."""

import enum
import functools
from dataclasses import dataclass

from templategen.geometry import cuts as arcs
from templategen.geometry.curves import Curve, points_along
from templategen.messages import Message, tr_noop
from templategen.trade.records import Cutter, Jaws, Job, Relief, Shop

EXACT_GAP = 0.002  # mm; chord error of an outline whose volume is reported

Points = tuple[tuple[float, float], ...]  # (r, z), mm


class Level(enum.StrEnum):
    """How grave a finding is; the values are ids of the JSON, shown translated."""

    STOP = tr_noop("stop")
    CAUTION = tr_noop("caution")
    NOTE = tr_noop("note")


class Rule(enum.StrEnum):
    """What a finding is about; the values are ids of the JSON, shown translated."""

    WALL = tr_noop("wall")
    FLOOR = tr_noop("floor")
    TENON_STOCK = tr_noop("tenon stock")
    TENON_SHARE = tr_noop("tenon share")
    CUTTER = tr_noop("cutter")
    PIECE_SIZE = tr_noop("piece size")
    TOLERANCE = tr_noop("tolerance")
    LATHE_SWING = tr_noop("lathe swing")
    MARKS = tr_noop("marks")
    WALL_AND_RELIEF = tr_noop("wall and relief")
    ANOTHER_CUTTER = tr_noop("another cutter")
    ANOTHER_BOWL = tr_noop("another bowl")
    WOOD = tr_noop("wood")
    CUTTER_HEIGHT = tr_noop("cutter height")
    DRYING_WALL = tr_noop("drying wall")
    TENTH_OF_DIAMETER = tr_noop("tenth of diameter")
    MASS = tr_noop("mass")
    SPEED = tr_noop("speed")
    POWER = tr_noop("power")
    DROOP = tr_noop("droop")
    JAWS = tr_noop("jaws")
    TENON_STRENGTH = tr_noop("tenon strength")


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing the plan has to say: which rule, and what would free it."""

    level: Level
    rule: Rule
    text: Message


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """Change of the wall around a cut for each mm of error in a setting, mm per mm."""

    offset: float
    standoff: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSetting:
    """A cutter with its pivot at (pivot_offset, -pivot_standoff).

    The marks (entry and depth) follow from the pivot and the pivot from the marks; both are kept,
    so that the pair that was given stays free of rounding.

    Args:
        cutter: the cutter.
        pivot_offset: p, mm from the axis.
        pivot_standoff: q, mm in front of the face.
        entry_radius: true radius at which the tip meets the face, mm.
        depth_at_axis: depth of the outer edge on the axis, mm.
    """

    cutter: Cutter
    pivot_offset: float
    pivot_standoff: float
    entry_radius: float
    depth_at_axis: float

    @property
    def deepest(self) -> float:
        """Deepest point of the outer edge, mm."""
        return arcs.deepest_point(
            radius=self.cutter.radius,
            pivot_offset=self.pivot_offset,
            pivot_standoff=self.pivot_standoff,
        )

    @property
    def swing(self) -> float:
        """Angle from the face to the axis, radians."""
        return arcs.swing_angle(
            radius=self.cutter.radius,
            pivot_offset=self.pivot_offset,
            pivot_standoff=self.pivot_standoff,
        )

    @property
    def slope(self) -> float:
        """Slope of the edge at the axis, radians: positive leaves a dimple, negative a point."""
        return arcs.slope_at_axis(radius=self.cutter.radius, pivot_offset=self.pivot_offset)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A cut of a plan, numbered from the rim, from 1.

    Args:
        number: from 1.
        setting: cutter, pivot and marks.
        cutter_height: above centre, mm.
        entry_from_rim: from the rim of the bowl around the cut to the entry mark, mm.
        relief: the relief cut, or None.
        sensitivity: of the wall around it.
    """

    number: int
    setting: CutSetting
    cutter_height: float
    entry_from_rim: float
    relief: Relief | None
    sensitivity: Sensitivity

    @property
    def cutter(self) -> Cutter:
        """The cutter."""
        return self.setting.cutter

    @property
    def pivot_offset(self) -> float:
        """Pivot's distance p from the axis, mm."""
        return self.setting.pivot_offset

    @property
    def pivot_standoff(self) -> float:
        """Pivot's distance q in front of the face, mm."""
        return self.setting.pivot_standoff

    @property
    def entry_radius(self) -> float:
        """True radius of the entry mark, mm."""
        return self.setting.entry_radius

    @property
    def depth_at_axis(self) -> float:
        """Depth of the outer edge on the axis, mm."""
        return self.setting.depth_at_axis

    @property
    def deepest(self) -> float:
        """Deepest point of the outer edge, mm."""
        return self.setting.deepest

    @property
    def swing(self) -> float:
        """Angle from the face to the axis, radians."""
        return self.setting.swing

    @property
    def slope(self) -> float:
        """Slope of the edge at the axis, radians."""
        return self.setting.slope

    @property
    def stub(self) -> float:
        """Diameter of the stub left on the axis by a cutter above centre, mm."""
        return 2 * self.cutter_height


@dataclass(frozen=True, slots=True, kw_only=True)
class BowlShape:
    """A bowl before anything is cut out of it: its outside and its tenon.

    Args:
        curves: the outside from the rim down, in true arcs and straight sides.
        rim_radius: mm.
        shoulder: depth of the tenon's shoulder, mm.
        jaws: what holds it, or None.
        tenon_diameter: mm.
        tenon_length: mm.
        size: enclosed volume, mm³.
    """

    curves: tuple[Curve, ...]
    rim_radius: float
    shoulder: float
    jaws: Jaws | None
    tenon_diameter: float
    tenon_length: float
    size: float

    @property
    def outside(self) -> Points:
        """The outside as points, chord error at most `EXACT_GAP`."""
        return _points_of(self.curves)


@functools.lru_cache(maxsize=64)
def _points_of(curves: tuple[Curve, ...]) -> Points:
    return tuple(points_along(curves, max_gap=EXACT_GAP))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl:
    """What one cut separates; piece 0 is the outermost bowl.

    Args:
        number: from 0 at the rim; the last is the solid core.
        shape: its outside, rim and tenon.
        wall: least wall, mm; None for the solid core, as every figure of wall and floor.
        wall_at: the (r, z) points of the outside and of the inside between which it is least.
        wall_required: mm.
        wall_worst: least wall with the pivots out by the setting tolerance, mm.
        floor: from the deepest point of the next cut to the tenon's shoulder, mm.
        floor_required: mm.
        floor_worst: as `wall_worst`, mm.
        volume: of the bowl as it leaves the blank, mm³.
        outline: closed half section as it leaves the blank, (r, z).
    """

    number: int
    shape: BowlShape
    wall: float | None
    wall_at: tuple[tuple[float, float], tuple[float, float]] | None
    wall_required: float | None
    wall_worst: float | None
    floor: float | None
    floor_required: float | None
    floor_worst: float | None
    volume: float
    outline: Points

    @property
    def rim_diameter(self) -> float:
        """Rim diameter, mm."""
        return 2 * self.shape.rim_radius

    @property
    def depth(self) -> float:
        """From the face to the tenon's shoulder, mm."""
        return self.shape.shoulder

    @property
    def jaws(self) -> Jaws | None:
        """What holds it, or None."""
        return self.shape.jaws

    @property
    def tenon_diameter(self) -> float:
        """Tenon diameter, mm."""
        return self.shape.tenon_diameter

    @property
    def tenon_length(self) -> float:
        """Tenon length, mm."""
        return self.shape.tenon_length

    @property
    def tenon_share(self) -> float:
        """Tenon over rim diameter, 0..1."""
        return self.shape.tenon_diameter / self.rim_diameter

    @property
    def size(self) -> float:
        """Volume enclosed by its outside, mm³."""
        return self.shape.size


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole plan. `outside` is the turned outside, rim to tenon end, as (r, z) points."""

    job: Job
    shop: Shop
    cuts: tuple[Cut, ...]
    bowls: tuple[Bowl, ...]
    sequence: tuple[int, ...]
    findings: tuple[Finding, ...]
    outside: Points

    @property
    def has_stop(self) -> bool:
        """Whether a finding forbids the work."""
        return any(finding.level is Level.STOP for finding in self.findings)
