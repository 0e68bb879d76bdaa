"""A finished plan: cuts, pieces, working order and findings. Lengths mm, angles radians."""

import enum
from dataclasses import dataclass

from templategen.messages import mark
from templategen.trade.records import Cutter, Jaws, Job, Relief, Shop


class Level(enum.StrEnum):
    """How grave a finding is."""

    STOP = mark("stop")
    CAUTION = mark("caution")
    NOTE = mark("note")


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing the plan has to say: which rule, and what would free it."""

    level: Level
    rule: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """What the wall around a cut does for each mm by which a setting is out, mm per mm."""

    offset: float
    standoff: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A cutter with its pivot at (pivot_offset, -pivot_standoff), numbered from the rim, from 1."""

    number: int
    cutter: Cutter
    pivot_offset: float
    pivot_standoff: float
    cutter_height: float
    entry_radius: float
    entry_from_rim: float
    depth_at_axis: float
    deepest: float
    swing: float
    slope: float
    stub: float  # diameter, mm
    relief: Relief | None
    sensitivity: Sensitivity


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl:
    """What one cut separates; piece 0 is the outermost bowl.

    `depth`: face to tenon shoulder. `wall_at`: the (r, z) points of the outside and of the inside
    between which the wall is least, None for the solid core.
    """

    number: int
    rim_diameter: float
    depth: float
    wall: float | None
    wall_at: tuple[tuple[float, float], tuple[float, float]] | None
    wall_required: float | None
    wall_worst: float | None
    floor: float | None
    floor_required: float | None
    floor_worst: float | None
    tenon_diameter: float
    tenon_length: float
    tenon_share: float
    jaws: Jaws | None
    size: float
    volume: float
    outline: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole plan. `outside` is the turned outside, rim to tenon end, as (r, z) points."""

    job: Job
    shop: Shop
    cuts: tuple[Cut, ...]
    bowls: tuple[Bowl, ...]
    sequence: tuple[int, ...]
    findings: tuple[Finding, ...]
    outside: tuple[tuple[float, float], ...]

    @property
    def has_stop(self) -> bool:
        """Whether a finding forbids the work."""
        return any(finding.level is Level.STOP for finding in self.findings)
