"""A finished plan: cuts, bowls, working order and findings. Lengths mm, angles radians."""

import enum
import functools
from dataclasses import dataclass

from templategen.geometry import cuts as arcs
from templategen.geometry.curves import Curve, points_along
from templategen.geometry.swing import TipPath, holder_reach
from templategen.messages import Message, Text, tr, tr_noop
from templategen.trade.holding_again import DryHold
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
    BOWL_SIZE = tr_noop("bowl size")
    BOWL_SHAPE = tr_noop("bowl shape")
    REACH = tr_noop("reach")
    BLADE = tr_noop("blade")
    LATHE = tr_noop("lathe")
    LOG = tr_noop("log")
    EVEN_WALL = tr_noop("even wall")
    RELEASE = tr_noop("release")
    RUB = tr_noop("rub")
    HELD_AGAIN = tr_noop("held again")
    TOLERANCE = tr_noop("tolerance")
    MARKS = tr_noop("marks")
    WANTED = tr_noop("wanted rims")
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
    """One thing the plan has to say: which rule, and what would free it.

    Args:
        level: how grave.
        rule: what it is about.
        text: one short line.
        places: what it speaks of: ``bowl-2`` or ``cut-1``; empty for the whole plan.
        tried: changes that were tried without success, for who asks.
        changed: of a suggestion: the job and the shop with its change made.
    """

    level: Level
    rule: Rule
    text: Message
    places: tuple[str, ...] = ()
    tried: tuple[Message, ...] = ()
    changed: tuple[Job, Shop] | None = None


def stop(rule: Rule, text: Message, *places: str) -> Finding:
    """A finding that forbids the work."""
    return Finding(level=Level.STOP, rule=rule, text=text, places=places)


def caution(rule: Rule, text: Message, *places: str) -> Finding:
    """A finding to be weighed before the work."""
    return Finding(level=Level.CAUTION, rule=rule, text=text, places=places)


def note(rule: Rule, text: Message, *places: str) -> Finding:
    """A finding that is worth knowing."""
    return Finding(level=Level.NOTE, rule=rule, text=text, places=places)


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

    @property
    def bare_needed(self) -> float | None:
        """Rule 8: bare blade that keeps the holder out of the wood, radians; None: no blade does.

        A holder whose width is not stated is taken as of no width.
        """
        return holder_reach(
            radius=self.cutter.radius,
            pivot_offset=self.pivot_offset,
            pivot_standoff=self.pivot_standoff,
            holder=self.cutter.holder or 0.0,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut(CutSetting):
    """A cut of a plan, numbered from the rim, from 1: cut n runs between bowls n and n + 1.

    A swing is an angle from the touch of the tip on the face, radians, as a stop dial reads it.
    Forces and the droop are estimates, None where motor or cutter are not known well enough.

    Args:
        number: from 1.
        cutter_height: above centre, mm.
        entry_from_rim: along the face to the entry mark, mm, from the rim that is on the lathe
            when the cut is made: of the blank, or of the core that is held again.
        relief: the relief cut, or None.
        sensitivity: of the wall around it.
        stop_angle: swing at which the lathe is stopped, or None where the wood is not known.
        stop_depth: depth of the tip there, mm.
        stop_neck: diameter of the wood that still carries the core there, mm.
        release_angle: swing at which the core may break off by its own weight, or None where the
            stub carries it or the wood is not known.
        release_neck: diameter of the neck there, mm.
        through_angle: swing at which the tip reaches the axis, or None where it does not.
        rub_radius: true radius inside which the face below the tip's edge rubs, mm.
        droop_radius: true radius inside which full power takes the tip below centre, mm.
        force_entry_n: at the tip at full power at the entry, N.
        force_half_n: half way along the swing, N.
        force_release_n: where the lathe is stopped, N.
    """

    number: int
    cutter_height: float
    entry_from_rim: float
    relief: Relief | None
    sensitivity: Sensitivity
    stop_angle: float | None = None
    stop_depth: float | None = None
    stop_neck: float | None = None
    release_angle: float | None = None
    release_neck: float | None = None
    through_angle: float | None = None
    rub_radius: float | None = None
    droop_radius: float | None = None
    force_entry_n: float | None = None
    force_half_n: float | None = None
    force_release_n: float | None = None

    @property
    def place(self) -> str:
        """Its name in `Finding.places`."""
        return f"cut-{self.number}"

    @property
    def tip_path(self) -> TipPath:
        """The way of the tip from the face to the axis."""
        return TipPath(
            radius=self.cutter.radius,
            kerf=self.cutter.kerf,
            pivot_offset=self.pivot_offset,
            pivot_standoff=self.pivot_standoff,
            height=self.cutter_height,
        )

    @property
    def touch_angle(self) -> float:
        """Angle at the pivot at which the tip touches the face, radians: asin(q/R)."""
        return self.tip_path.touch_angle()

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
        tenon_diameter: of its neck, at the shoulder, mm.
        tenon_end_diameter: of its end face, mm.
        tenon_length: mm.
        size: enclosed volume, mm³.
    """

    curves: tuple[Curve, ...]
    rim_radius: float
    shoulder: float
    jaws: Jaws | None
    tenon_diameter: float
    tenon_end_diameter: float
    tenon_length: float
    size: float

    @property
    def outside(self) -> Points:
        """The outside as points, chord error at most `EXACT_GAP`."""
        return _points_of(self.curves)


@functools.lru_cache(maxsize=64)
def _points_of(curves: tuple[Curve, ...]) -> Points:
    return tuple(points_along(curves, max_gap=EXACT_GAP))


class BowlKind(enum.StrEnum):
    """What the cuts separate; the values are ids of the JSON."""

    BOWL = "bowl"
    CORE = "core"  # the solid one in the middle


@dataclass(frozen=True, slots=True, kw_only=True)
class DriedBowl:
    """A bowl at its final moisture, mm: an estimate for even wood without twist.

    Args:
        rim_across: rim diameter across the grain.
        rim_along: rim diameter along the grain.
        rim_out_of_flat: how far the rim leaves its plane.
        largest_circle: diameter of the largest true circle of the rim.
        tenon_across: neck of the tenon across the grain.
        tenon_along: neck of the tenon along the grain.
    """

    rim_across: float
    rim_along: float
    rim_out_of_flat: float
    largest_circle: float
    tenon_across: float
    tenon_along: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LogFit:
    """How the blank lies in its log, mm.

    Args:
        diameter_needed: of the wood under the bark.
        count: blanks of this size that the whole log gives.
        rim_from_pith: from the pith to the plane of the rim.
    """

    diameter_needed: float
    count: int
    rim_from_pith: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLimits:
    """Speed of the blank while it is cored.

    Args:
        max_rpm: no figure above it is shown.
        start_rpm: to start with: half of it.
        energy_j: of the blank at `max_rpm`, J, or None without its mass.
    """

    max_rpm: float
    start_rpm: float
    energy_j: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl(BowlShape):
    """What the cuts separate; bowl 1 is the outermost.

    Args:
        number: from 1 at the rim; the last is the solid core.
        wall: least wall, mm; None for the solid core, as every figure of wall and floor.
        wall_at: the (r, z) points of the outside and of the inside between which it is least.
        wall_greatest: greatest distance of the inside from the outside, mm.
        wall_greatest_at: the points between which it is greatest.
        wall_required: mm.
        wall_worst: least wall with the pivots out by the setting tolerance, mm.
        floor: from the deepest point of the next cut to the tenon's shoulder, mm.
        floor_required: mm.
        floor_worst: as `wall_worst`, mm.
        volume: of the bowl as it leaves the blank, mm³.
        outline: closed half section as it leaves the blank, (r, z).
        dried: at the final moisture; None without the shrinkage of the wood.
        held_again: how it is held when dry; None where no jaws do, or without the shrinkage.
    """

    number: int
    wall: float | None
    wall_at: tuple[tuple[float, float], tuple[float, float]] | None
    wall_required: float | None
    wall_worst: float | None
    floor: float | None
    floor_required: float | None
    floor_worst: float | None
    volume: float
    outline: Points
    wall_greatest: float | None = None
    wall_greatest_at: tuple[tuple[float, float], tuple[float, float]] | None = None
    dried: DriedBowl | None = None
    held_again: DryHold | None = None

    @property
    def kind(self) -> BowlKind:
        """A bowl, or the solid core."""
        return BowlKind.CORE if self.wall is None else BowlKind.BOWL

    @property
    def place(self) -> str:
        """Its name in `Finding.places`."""
        return f"bowl-{self.number}"

    @property
    def shown_name(self) -> Message:
        """What people call it."""
        if self.kind is BowlKind.CORE:
            return tr("core {number}", number=self.number)
        return tr("bowl {number}", number=self.number)

    @property
    def rim_diameter(self) -> float:
        """Rim diameter, mm."""
        return 2 * self.rim_radius

    @property
    def depth(self) -> float:
        """From the face to the tenon's shoulder, mm."""
        return self.shoulder

    @property
    def tenon_share(self) -> float:
        """Neck of the tenon over rim diameter, 0..1."""
        return self.tenon_diameter / self.rim_diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSet:
    """Another set of cuts that a turner would weigh against the best one.

    Args:
        label: one line: what it gives and gives up.
        rims: rim diameters of its bowls from the outside inward, mm.
        cutters: ids of its cutters from the rim inward.
        cautions: number of cautions of its plan.
        settings: its cuts from the rim inward.
    """

    label: Text
    rims: tuple[float, ...]
    cutters: tuple[str, ...]
    cautions: int
    settings: tuple[CutSetting, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole plan.

    Args:
        job: as checked.
        shop: as checked.
        cuts: from the rim inward.
        bowls: from the outside inward; the last is the solid core.
        sequence: numbers of the cuts in working order.
        findings: gravest rules first.
        outside: the turned outside, rim to tenon end, as (r, z) points.
        log: how the blank lies in its log; None where the job names none.
        speed: while coring.
        sets: other sets of cuts.
        marks: mm between the marks on which the cuts were sought; None where all are pinned.
    """

    job: Job
    shop: Shop
    cuts: tuple[Cut, ...]
    bowls: tuple[Bowl, ...]
    sequence: tuple[int, ...]
    findings: tuple[Finding, ...]
    outside: Points
    log: LogFit | None = None
    speed: SpeedLimits | None = None
    sets: tuple[OtherSet, ...] = ()
    marks: float | None = None

    def cut_in(self, bowl: Bowl) -> Cut | None:
        """The cut that hollows a bowl; None for the core."""
        return self.cuts[bowl.number - 1] if bowl.number <= len(self.cuts) else None

    @property
    def working_order(self) -> tuple[Cut, ...]:
        """The cuts as they are made one after another."""
        return tuple(self.cuts[number - 1] for number in self.sequence)

    def cut_freeing(self, bowl: Bowl) -> Cut | None:
        """The cut that parts a bowl from the one around it; None for bowl 1."""
        return self.cuts[bowl.number - 2] if bowl.number > 1 else None

    @property
    def has_stop(self) -> bool:
        """Whether a finding forbids the work."""
        return any(finding.level is Level.STOP for finding in self.findings)
