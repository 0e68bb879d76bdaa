"""Every default in one table, each with its unit and its ground (design.md §10).

The records take their defaults from here, and the readers theirs from the records. A ground is
a published source, or says that there is none: `PRACTICE` for what turners commonly do,
`CHOSEN` for a figure picked here that a shop or a job should replace by its own.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Generic, TypeVar

from templategen.messages import Joined, Text, tr
from templategen.trade.choices import (
    Grain,
    Guard,
    LogRim,
    MeasuredAt,
    Objective,
    Order,
    OutsideShape,
)
from templategen.units import MM_PER_INCH, Units

V = TypeVar("V", bound=float | str | tuple[float, ...])

PRACTICE = tr("common practice, no source")
CHOSEN = tr("chosen here, no source; set your own")


@dataclass(frozen=True, slots=True)
class Default(Generic[V]):
    """One default.

    Args:
        key: where it is set, ``table.key`` of a shop or job file, or ``fixed`` where it is not.
        value: in `unit`.
        unit: "mm", "°", "%", "rpm", "share" (0..1), "count" or "word".
        ground: why this figure: a source, `PRACTICE` or `CHOSEN`, and what it is for.
        inch_value: in `unit`, where files in inches have a value of their own: a size that an
            inch rule shows, near to `value`; None where they have not.
    """

    key: str
    value: V
    unit: str
    ground: Text
    inch_value: V | None = None

    def of(self, units: Units) -> V:
        """The default of a file in a unit."""
        if units is Units.IN and self.inch_value is not None:
            return self.inch_value
        return self.value


def inches(number: int, of: int = 1) -> float:
    """A whole number or a fraction of inches, mm.

    >>> inches(3, 8)
    9.525
    """
    return float(Fraction(number, of) * Fraction(str(MM_PER_INCH)))


def _practice(reason: Text) -> Text:
    """The ground of what turners commonly do, with what it is for."""
    return Joined((PRACTICE, reason), ": ")


MAX_SWING = Default("cutters.max_swing", 100.0, "°", CHOSEN)

MEASURED_AT = Default("jaws.measured_at", MeasuredAt.MOUTH, "word", CHOSEN)
DOVETAIL_ANGLE = Default("jaws.dovetail_angle", 10.0, "°", CHOSEN)
JAW_COUNT = Default("jaws.jaw_count", 4, "count", PRACTICE)
MAX_GAP = Default(
    "jaws.max_gap",
    2.0,
    "mm",
    _practice(tr("a gap of a coin's thickness still holds well")),
    inch_value=inches(5, 64),
)

MIN_STANDOFF = Default("post.min_standoff", 15.0, "mm", CHOSEN, inch_value=inches(5, 8))
MIN_OFFSET = Default("post.min_offset", -30.0, "mm", CHOSEN, inch_value=inches(-5, 4))
MAX_OFFSET = Default("post.max_offset", 40.0, "mm", CHOSEN, inch_value=inches(3, 2))

MAX_CORING_SPEED = Default(
    "rules.max_coring_speed", 500.0, "rpm", _practice(tr("not over 500 rpm while coring"))
)
CAUTION_SHARE = Default(
    "rules.caution_share",
    0.4,
    "share",
    _practice(tr("a tenon under 0.4 of the rim calls for care")),
)
REFUSE_SHARE = Default(
    "rules.refuse_share",
    1 / 3,
    "share",
    _practice(tr("a tenon under a third of the rim is refused")),
)
DRIED_SHARE = Default(
    "rules.dried_share",
    0.25,
    "share",
    tr("from memory: a dried tenon of a quarter of the rim holds for light finishing cuts"),
)

OUTSIDE = Default("blank.outside", OutsideShape.ARC, "word", CHOSEN)

LOG_PITH = Default("log.pith", 15.0, "mm", CHOSEN, inch_value=inches(5, 8))
LOG_RIM = Default(
    "log.rim", LogRim.PITH, "word", _practice(tr("a bowl opens towards the pith of its half log"))
)
LOG_END_TRIM = Default(
    "log.end_trim",
    50.0,
    "mm",
    _practice(tr("the ends of a log check first and are cut off; the length is chosen here")),
    inch_value=inches(2),
)
LOG_SAW = Default(
    "log.saw",
    8.0,
    "mm",
    tr("width of the cut of a chain saw, from memory"),
    inch_value=inches(5, 16),
)

WALL_POLICY = Default(
    "nest.wall policy",
    "share",
    "word",
    _practice(tr("the rough wall is a share of the rim diameter")),
)
WALL_SHARE = Default(
    "nest.wall", 0.1, "share", _practice(tr("the rough wall is a tenth of the rim diameter"))
)
FINISHED_WALL = Default("nest.finished_wall", 8.0, "mm", CHOSEN, inch_value=inches(5, 16))
TRUING_MARGIN = Default("nest.truing_margin", 3.0, "mm", CHOSEN, inch_value=inches(1, 8))
FINAL_MOISTURE = Default(
    "nest.final_moisture",
    10.0,
    "%",
    tr("within the 6 to 14 % of wood kept indoors; figure chosen here, from memory"),
)
ACROSS = Default(
    "nest.across",
    Grain.TANGENTIAL,
    "word",
    tr("the greater shrinkage of the two: Wood Handbook FPL-GTR-282 ch. 4 (from memory)"),
)
OBJECTIVE = Default("nest.objective", Objective.MOST, "word", CHOSEN)
WANTED_TOLERANCE = Default("nest.wanted_tolerance", 5.0, "mm", CHOSEN, inch_value=inches(1, 4))
HEIGHT_ABOVE_CENTRE = Default(
    "nest.height_above_centre",
    5.0,
    "mm",
    _practice(tr("5 mm above centre, 10 mm for very hard woods, never below")),
    inch_value=inches(3, 16),
)
RELIEF_SHIFT = Default(
    "nest.relief.shift",
    5.0,
    "mm",
    _practice(tr("the tool shifted about 5 mm for the relief cut")),
    inch_value=inches(3, 16),
)
RELIEF_DEPTH = Default(
    "nest.relief.depth",
    25.0,
    "mm",
    _practice(tr("a relief cut about 25 mm deep")),
    inch_value=inches(1),
)
MAX_SLOPE = Default("nest.max_slope", 12.0, "°", CHOSEN)
MIN_BOWL = Default("nest.min_bowl", 120.0, "mm", CHOSEN, inch_value=inches(19, 4))
MIN_DEPTH = Default("nest.min_depth", 25.0, "mm", CHOSEN, inch_value=inches(1))
MIN_RATIO = Default(
    "nest.min_ratio",
    0.2,
    "share",
    tr("from memory: a core flatter than a fifth of its rim is a plate"),
)
SETTING_TOLERANCE = Default("nest.setting_tolerance", 1.0, "mm", CHOSEN, inch_value=inches(1, 32))
GUARD = Default("nest.guard", Guard.NOMINAL, "word", tr("design of the project, section 4"))
ORDER = Default(
    "nest.order",
    Order.INNER_FIRST,
    "word",
    _practice(tr("the blank stays on its own tenon until every core is parted")),
)
ADD_CUTS = Default("nest.add_cuts", True, "word", CHOSEN)

TENON_SHARE = Default(
    "tenon.share",
    0.5,
    "share",
    _practice(tr("the tenon that holds the blank while coring is half its diameter")),
)
CORE_SHARE = Default(
    "tenon.core_share",
    0.4,
    "share",
    _practice(tr("two fifths of the rim are enough once no coring follows")),
)
TENON_LENGTH = Default("tenon.length", 9.0, "mm", CHOSEN, inch_value=inches(3, 8))
TENON_SHOULDER = Default(
    "tenon.shoulder",
    6.0,
    "mm",
    _practice(tr("the tenon seats on a flat shoulder; its width is chosen here")),
    inch_value=inches(1, 4),
)
TENON_CLEARANCE = Default(
    "fixed: tenon clearance",
    1.5,
    "mm",
    _practice(tr("a tenon seats on its shoulder and never bottoms in the jaws")),
)
LEAST_HELD_LENGTH = Default("fixed: shortest dried tenon that holds", 4.0, "mm", CHOSEN)
TENON_TRUING = Default(
    "fixed: diameter left for truing a dried tenon",
    2.0,
    "mm",
    tr("design of the project, section 6"),
)
GREATEST_SHARE = Default(
    "fixed: greatest tenon share", 0.75, "share", _practice(tr("a wider tenon leaves no foot"))
)

CLOSED_GAP = Default(
    "fixed: gap of closed jaws",
    0.1,
    "mm",
    _practice(tr("a sheet of paper between the jaws still counts as closed")),
)
COIN_GAP = Default(
    "fixed: coin's thickness",
    2.8,
    "mm",
    tr(
        "Royal Mint's 1 pound, the thickest coin looked up (public reprint); that such a gap "
        "still holds well is common practice, no source"
    ),
)
LEAST_POWER = Default("fixed: least power for coring", 1118.5, "W", _practice(tr("1.5 hp")))
VERY_HARD = Default("fixed: side hardness of very hard wood", 5000.0, "N", CHOSEN)
HEIGHT_VERY_HARD = Default("fixed: cutter above centre in very hard wood", 10.0, "mm", PRACTICE)
UNEVEN_WALL = Default(
    "fixed: greatest wall over least",
    1.5,
    "times",
    _practice(tr("uneven walls check in drying; the figure is the design's, section 4")),
)
FACEPLATE_FROM = Default(
    "fixed: blank that is usually held by a faceplate",
    400.0,
    "mm",
    tr("common practice, no source, for the faceplate; the size is chosen here"),
)

PAPER = Default(
    "print.paper",
    "a4",
    "word",
    tr("ISO 216, the office paper of most countries; where inches are in use ANSI letter"),
    inch_value="letter",
)
STOCK = Default(
    "print.stock",
    (3.0, 6.0, 18.0),
    "mm",
    _practice(tr("plies and boards a woodworker has at hand")),
    inch_value=(inches(1, 8), inches(1, 4), inches(3, 4)),
)
HAS_SHOP_SET = Default("print.has_shop_set", False, "word", CHOSEN)

TABLE: tuple[Default[Any], ...] = tuple(
    entry for entry in list(globals().values()) if isinstance(entry, Default)
)
