"""What shop and job files become, checked. Lengths mm, angles degrees as in the files.

Defaults stand in `templategen.trade.defaults`, each with its ground.
"""

import dataclasses
from dataclasses import dataclass, field
from typing import Any

from templategen.messages import Text, tr, tr_noop
from templategen.trade import defaults
from templategen.trade.choices import (
    Grain,
    Guard,
    LogRim,
    MeasuredAt,
    Objective,
    Order,
    OutsideShape,
)
from templategen.trade.part_kinds import PartKind
from templategen.trade.wood_names import GivenWood
from templategen.units import Units

UNNAMED = tr_noop("shop")  # the name of a shop that states none
UNTITLED = tr_noop("Untitled blank")  # the title of a job that states none


@dataclass(frozen=True, slots=True)
class ShareWall:
    """The rough wall is a share of the rim diameter, 0..1."""

    share: float


@dataclass(frozen=True, slots=True)
class LengthWall:
    """The rough wall is a length, mm."""

    length: float


@dataclass(frozen=True, slots=True)
class DryingWall:
    """The rough wall is what drying and truing will take from it (design.md §5)."""


Wall = ShareWall | LengthWall | DryingWall
Outside = OutsideShape | tuple[tuple[float, float], ...]  # or points (r, z), rim to shoulder, mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """A curved cutter; None where the shop file does not say. Lengths mm, angles degrees.

    Args:
        radius: pivot to the outermost corner of the tip.
        kerf: width of the tip.
        max_swing: greatest swing.
        section: of the blade behind the tip: width in the plane of the arc and height.
        arc: bare blade, from the tip to its holder.
        holder: width of the holder in the plane of the arc.
        relief_angle: under the cutting edge.
    """

    id: str
    radius: float
    kerf: float
    max_swing: float = defaults.MAX_SWING.value
    section: tuple[float, float] | None = None
    arc: float | None = None
    holder: float | None = None
    relief_angle: float | None = None

    @property
    def inner_radius(self) -> float:
        """Radius of the inner edge of the kerf, mm."""
        return self.radius - self.kerf


@dataclass(frozen=True, slots=True, kw_only=True)
class Jaws:
    """A set of chuck jaws: closed, they form a perfect circle of diameter `true_circle`, mm.

    `measured_at` says where that circle is measured; `depth` is from the mouth to the bottom, mm;
    `dovetail_angle` of the flanks against the axis, degrees; `max_gap` between neighbours, mm.
    """

    id: str
    true_circle: float
    depth: float
    measured_at: MeasuredAt = defaults.MEASURED_AT.value
    dovetail_angle: float = defaults.DOVETAIL_ANGLE.value  # degrees
    jaw_count: int = defaults.JAW_COUNT.value
    max_gap: float = defaults.MAX_GAP.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """The cutter post: how the pivot centre may stand, mm.

    `pin` is the diameter of the pivot pin that a template can drop over, `body` the outside
    diameter of the post, mm; None where the shop file does not say.
    """

    min_standoff: float = defaults.MIN_STANDOFF.value
    min_offset: float = defaults.MIN_OFFSET.value
    max_offset: float = defaults.MAX_OFFSET.value
    pin: float | None = None
    body: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lathe:
    """The lathe; None where the shop file does not say. mm, W, rpm, kg.

    `full_power_speed` is the spindle speed at which the pulley in use gives the full power.
    """

    swing: float | None = None
    centre_height: float | None = None
    power_w: float | None = None
    full_power_speed: float | None = None
    max_mass_kg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chuck:
    """The chuck's own limits; None where the shop file does not say. kg, rpm."""

    max_mass_kg: float | None = None
    max_speed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """The green disc, mm. `outside` is a shape, or points (r, z) from the rim to the shoulder."""

    diameter: float
    height: float
    wood: str = ""
    outside: Outside = defaults.OUTSIDE.value

    @property
    def shown_wood(self) -> Text:
        """The wood for people, in the language of the text; empty where the job names none."""
        return GivenWood(self.wood) if self.wood else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """A log, or the part of one that is sound.

    Args:
        diameter: of the wood under the bark, at the thinner end, mm, > 0.
        length: mm, > 0.
        pith: from the pith to the nearer plane of a blank, mm, ≥ 0.
        rim: which way the bowl of the job opens.
        end_trim: cut off at each end, mm, ≥ 0: where the ends have checked.
        saw: width of a saw cut between two blanks, mm, ≥ 0.
    """

    diameter: float
    length: float
    pith: float = defaults.LOG_PITH.value
    rim: LogRim = defaults.LOG_RIM.value
    end_trim: float = defaults.LOG_END_TRIM.value
    saw: float = defaults.LOG_SAW.value


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnWood:
    """A job's own figures for its wood; None where the job gives none.

    Shrinkage in % of the green size, green to ovendry; strength in kPa, hardness in N.
    """

    radial: float | None = None
    tangential: float | None = None
    along: float | None = None
    specific_gravity: float | None = None  # ovendry mass over green volume
    green_moisture: float | None = None  # % of the dry mass
    tension_across_kpa: float | None = None
    shear_along_kpa: float | None = None
    side_hardness_n: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """The relief cut: `shift` towards the axis, run in to `depth`, mm."""

    shift: float = defaults.RELIEF_SHIFT.value
    depth: float = defaults.RELIEF_DEPTH.value


@dataclass(frozen=True, slots=True, kw_only=True)
class PinnedCut:
    """A cut the turner fixes: by entry and depth, or by the pivot; the other pair is None. mm."""

    cutter: str
    entry_radius: float | None = None
    depth_at_axis: float | None = None
    pivot_offset: float | None = None
    pivot_standoff: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """How the blank is to be cored. `wall` and `floor`: see design; lengths mm, shares 0..1.

    Args:
        wall: policy for the rough wall.
        floor: None for "as the wall", else mm.
        order: "inner-first", all cores parted while the blank stays on its own tenon, or
            "outer-first", each core held again on its own tenon.
        wanted: rims that must be among the bowls, each ± `wanted_tolerance`.
        min_ratio: least depth over rim of a bowl, 0..1.
        pinned: cuts that are fixed.
        add_cuts: whether the planner adds cuts to the pinned ones.
    """

    wall: Wall = ShareWall(defaults.WALL_SHARE.value)
    finished_wall: float = defaults.FINISHED_WALL.value
    truing_margin: float = defaults.TRUING_MARGIN.value
    final_moisture: float = defaults.FINAL_MOISTURE.value
    across: Grain = defaults.ACROSS.value
    floor: float | None = None
    objective: Objective = defaults.OBJECTIVE.value
    wanted: tuple[float, ...] = ()
    wanted_tolerance: float = defaults.WANTED_TOLERANCE.value
    cutters: tuple[str, ...] = ()
    height_above_centre: float = defaults.HEIGHT_ABOVE_CENTRE.value
    relief: Relief | None = field(default_factory=Relief)
    max_slope: float = defaults.MAX_SLOPE.value  # degrees
    min_bowl: float = defaults.MIN_BOWL.value
    min_depth: float = defaults.MIN_DEPTH.value
    min_ratio: float = defaults.MIN_RATIO.value
    setting_tolerance: float = defaults.SETTING_TOLERANCE.value
    guard: Guard = defaults.GUARD.value
    order: Order = defaults.ORDER.value
    pinned: tuple[PinnedCut, ...] = ()
    add_cuts: bool = defaults.ADD_CUTS.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Tenon:
    """Tenon wishes: shares of the rim diameter, lengths mm."""

    share: float = defaults.TENON_SHARE.value
    core_share: float = defaults.CORE_SHARE.value
    length: float = defaults.TENON_LENGTH.value
    shoulder: float = defaults.TENON_SHOULDER.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """How the pack is printed. `parts` empty means all; `stock`: thicknesses in use, mm.

    `language`: of all that is printed and said of the job, ISO 639-1; empty where none is stated.
    `has_shop_set`: the shop has its own set of parts, so that packs leave them out.
    """

    paper: str = defaults.PAPER.value
    parts: tuple[PartKind, ...] = ()
    stock: tuple[float, ...] = defaults.STOCK.value
    language: str = ""
    has_shop_set: bool = defaults.HAS_SHOP_SET.value


def post_defaults(units: Units) -> Post:
    """The post of a shop that works in a unit."""
    return Post(
        min_standoff=defaults.MIN_STANDOFF.of(units),
        min_offset=defaults.MIN_OFFSET.of(units),
        max_offset=defaults.MAX_OFFSET.of(units),
    )


def nest_defaults(units: Units) -> Nest:
    """How a blank is cored where a unit is in use."""
    return Nest(
        finished_wall=defaults.FINISHED_WALL.of(units),
        truing_margin=defaults.TRUING_MARGIN.of(units),
        wanted_tolerance=defaults.WANTED_TOLERANCE.of(units),
        height_above_centre=defaults.HEIGHT_ABOVE_CENTRE.of(units),
        relief=Relief(shift=defaults.RELIEF_SHIFT.of(units), depth=defaults.RELIEF_DEPTH.of(units)),
        min_bowl=defaults.MIN_BOWL.of(units),
        min_depth=defaults.MIN_DEPTH.of(units),
        setting_tolerance=defaults.SETTING_TOLERANCE.of(units),
    )


def tenon_defaults(units: Units) -> Tenon:
    """Tenons where a unit is in use."""
    return Tenon(length=defaults.TENON_LENGTH.of(units), shoulder=defaults.TENON_SHOULDER.of(units))


def print_defaults(units: Units) -> Print:
    """Paper and thicknesses of stock that are usual where a unit is in use."""
    return Print(paper=defaults.PAPER.of(units), stock=defaults.STOCK.of(units))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Limits, and the shop's own defaults for its jobs; for grounds see the table of defaults.

    Args:
        max_coring_speed: rpm.
        caution_share: tenon over rim, 0..1, below which care is called for.
        refuse_share: below which a tenon is refused.
        dried_share: of a dried tenon, below which it does not hold for light finishing cuts.
        nest: what a job's [nest] leaves out, as far as `stated`.
        tenon: what a job's [tenon] leaves out, as far as `stated`.
        print: what a job's [print] leaves out, as far as `stated`.
        stated: the keys of these three that the shop file states, such as ``nest.wall``; the
            others are the defaults of the job's own unit.
    """

    max_coring_speed: float = defaults.MAX_CORING_SPEED.value
    caution_share: float = defaults.CAUTION_SHARE.value
    refuse_share: float = defaults.REFUSE_SHARE.value
    dried_share: float = defaults.DRIED_SHARE.value
    nest: Nest = field(default_factory=Nest)
    tenon: Tenon = field(default_factory=Tenon)
    print: Print = field(default_factory=Print)
    stated: tuple[str, ...] = ()

    def nest_of(self, units: Units) -> Nest:
        """What the [nest] of a job in a unit leaves out."""
        return dataclasses.replace(nest_defaults(units), **self._stated("nest", self.nest))

    def tenon_of(self, units: Units) -> Tenon:
        """What the [tenon] of a job in a unit leaves out."""
        return dataclasses.replace(tenon_defaults(units), **self._stated("tenon", self.tenon))

    def print_of(self, units: Units) -> Print:
        """What the [print] of a job in a unit leaves out."""
        return dataclasses.replace(print_defaults(units), **self._stated("print", self.print))

    def _stated(self, table: str, record: Nest | Tenon | Print) -> dict[str, Any]:
        keys = [key.partition(".") for key in self.stated]
        return {key: getattr(record, key) for name, _, key in keys if name == table}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What a turner's shop file states."""

    name: str
    units: Units
    cutters: tuple[Cutter, ...]
    jaws: tuple[Jaws, ...]
    lathe: Lathe = field(default_factory=Lathe)
    chuck: Chuck = field(default_factory=Chuck)
    post: Post = field(default_factory=Post)
    rules: Rules = field(default_factory=Rules)

    @property
    def shown_name(self) -> Text:
        """The name for people: translated where the shop states none."""
        return tr(UNNAMED) if self.name == UNNAMED else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a job file states; `date` is ISO text or empty; `shop` the file named in it or empty."""

    title: str
    date: str
    units: Units
    blank: Blank
    shop: str = ""
    nest: Nest = field(default_factory=Nest)
    tenon: Tenon = field(default_factory=Tenon)
    wood: OwnWood | None = None
    log: Log | None = None
    print: Print = field(default_factory=Print)

    @property
    def shown_title(self) -> Text:
        """The title for people: translated where the job states none."""
        return tr(UNTITLED) if self.title == UNTITLED else self.title
