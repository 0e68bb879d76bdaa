"""Every default in one table, each with its unit and its ground (design.md §10).

The records take their defaults from here, and the readers theirs from the records. A ground is
a published source, or says that there is none: `PRACTICE` for what turners commonly do,
`CHOSEN` for a figure picked here that a shop or a job should replace by its own.
"""

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from templategen.trade.choices import Grain, Guard, Objective, Order

V = TypeVar("V", bound=float | str | tuple[float, ...])

PRACTICE = "common practice, no source"
CHOSEN = "chosen here, no source; set your own"


@dataclass(frozen=True, slots=True, kw_only=True)
class Default(Generic[V]):
    """One default.

    Args:
        key: where it is set, ``table.key`` of a shop or job file, or ``fixed`` where it is not.
        value: in `unit`.
        unit: "mm", "°", "%", "rpm", "share" (0..1), "count" or "word".
        ground: why this figure: a source, `PRACTICE` or `CHOSEN`, and what it is for.
    """

    key: str
    value: V
    unit: str
    ground: str


MAX_SWING = Default(key="cutters.max_swing", value=100.0, unit="°", ground=CHOSEN)

DOVETAIL_ANGLE = Default(key="jaws.dovetail_angle", value=10.0, unit="°", ground=CHOSEN)
JAW_COUNT = Default(key="jaws.jaw_count", value=4, unit="count", ground=PRACTICE)
MAX_GAP = Default(
    key="jaws.max_gap",
    value=2.0,
    unit="mm",
    ground=f"{PRACTICE}: a gap of a coin's thickness still holds well",
)

MIN_STANDOFF = Default(key="post.min_standoff", value=15.0, unit="mm", ground=CHOSEN)
MIN_OFFSET = Default(key="post.min_offset", value=-30.0, unit="mm", ground=CHOSEN)
MAX_OFFSET = Default(key="post.max_offset", value=40.0, unit="mm", ground=CHOSEN)

MAX_CORING_SPEED = Default(
    key="rules.max_coring_speed",
    value=500.0,
    unit="rpm",
    ground=f"{PRACTICE}: not over 500 rpm while coring",
)
CAUTION_SHARE = Default(
    key="rules.caution_share",
    value=0.4,
    unit="share",
    ground=f"{PRACTICE}: a tenon under 0.4 of the rim calls for care",
)
REFUSE_SHARE = Default(
    key="rules.refuse_share",
    value=1 / 3,
    unit="share",
    ground=f"{PRACTICE}: a tenon under a third of the rim is refused",
)

OUTSIDE = Default(key="blank.outside", value="arc", unit="word", ground=CHOSEN)

WALL_POLICY = Default(
    key="nest.wall policy",
    value="share",
    unit="word",
    ground=f"{PRACTICE}: the rough wall is a share of the rim diameter",
)
WALL_SHARE = Default(
    key="nest.wall",
    value=0.1,
    unit="share",
    ground=f"{PRACTICE}: the rough wall is a tenth of the rim diameter",
)
FINISHED_WALL = Default(key="nest.finished_wall", value=8.0, unit="mm", ground=CHOSEN)
TRUING_MARGIN = Default(key="nest.truing_margin", value=3.0, unit="mm", ground=CHOSEN)
FINAL_MOISTURE = Default(
    key="nest.final_moisture",
    value=10.0,
    unit="%",
    ground="within the 6 to 14 % of wood kept indoors; figure chosen here, from memory",
)
ACROSS = Default(
    key="nest.across",
    value=Grain.TANGENTIAL,
    unit="word",
    ground="the greater shrinkage of the two: Wood Handbook FPL-GTR-282 ch. 4 (from memory)",
)
OBJECTIVE = Default(key="nest.objective", value=Objective.MOST, unit="word", ground=CHOSEN)
HEIGHT_ABOVE_CENTRE = Default(
    key="nest.height_above_centre",
    value=5.0,
    unit="mm",
    ground=f"{PRACTICE}: 5 mm above centre, 10 mm for very hard woods, never below",
)
RELIEF_SHIFT = Default(
    key="nest.relief.shift",
    value=5.0,
    unit="mm",
    ground=f"{PRACTICE}: the tool shifted about 5 mm for the relief cut",
)
RELIEF_DEPTH = Default(
    key="nest.relief.depth",
    value=25.0,
    unit="mm",
    ground=f"{PRACTICE}: a relief cut about 25 mm deep",
)
MAX_SLOPE = Default(key="nest.max_slope", value=12.0, unit="°", ground=CHOSEN)
MIN_BOWL = Default(key="nest.min_bowl", value=120.0, unit="mm", ground=CHOSEN)
MIN_DEPTH = Default(key="nest.min_depth", value=25.0, unit="mm", ground=CHOSEN)
SETTING_TOLERANCE = Default(key="nest.setting_tolerance", value=1.0, unit="mm", ground=CHOSEN)
GUARD = Default(
    key="nest.guard", value=Guard.NOMINAL, unit="word", ground="design of the project, section 4"
)
ORDER = Default(
    key="nest.order",
    value=Order.INNER_FIRST,
    unit="word",
    ground=f"{PRACTICE}: the blank stays on its own tenon until every core is parted",
)
ADD_CUTS = Default(key="nest.add_cuts", value=True, unit="word", ground=CHOSEN)

TENON_SHARE = Default(
    key="tenon.share",
    value=0.5,
    unit="share",
    ground=f"{PRACTICE}: the tenon that holds the blank while coring is half its diameter",
)
CORE_SHARE = Default(
    key="tenon.core_share",
    value=0.4,
    unit="share",
    ground=f"{PRACTICE}: two fifths of the rim are enough once no coring follows",
)
TENON_LENGTH = Default(key="tenon.length", value=9.0, unit="mm", ground=CHOSEN)
TENON_SHOULDER = Default(
    key="tenon.shoulder",
    value=6.0,
    unit="mm",
    ground=f"{PRACTICE}: the tenon seats on a flat shoulder; its width is chosen here",
)
TENON_CLEARANCE = Default(
    key="fixed: tenon clearance",
    value=1.5,
    unit="mm",
    ground=f"{PRACTICE}: a tenon seats on its shoulder and never bottoms in the jaws",
)
GREATEST_SHARE = Default(
    key="fixed: greatest tenon share",
    value=0.75,
    unit="share",
    ground=f"{PRACTICE}: a wider tenon leaves no foot",
)

CLOSED_GAP = Default(
    key="fixed: gap of closed jaws",
    value=0.1,
    unit="mm",
    ground=f"{PRACTICE}: a sheet of paper between the jaws still counts as closed",
)
COIN_GAP = Default(
    key="fixed: coin's thickness",
    value=2.8,
    unit="mm",
    ground="Royal Mint's 1 pound, the thickest coin looked up (public reprint); that such a gap "
    f"still holds well is {PRACTICE}",
)
LEAST_POWER = Default(
    key="fixed: least power for coring",
    value=1118.5,
    unit="W",
    ground=f"{PRACTICE}: 1.5 hp",
)
VERY_HARD = Default(
    key="fixed: side hardness of very hard wood", value=5000.0, unit="N", ground=CHOSEN
)
HEIGHT_VERY_HARD = Default(
    key="fixed: cutter above centre in very hard wood",
    value=10.0,
    unit="mm",
    ground=PRACTICE,
)
LEAST_MARGIN = Default(
    key="fixed: tenon's break estimate over the motor's steady force",
    value=4.0,
    unit="times",
    ground="chosen here, no source: a catch is many times the steady force",
)

PAPER = Default(
    key="print.paper",
    value="a4",
    unit="word",
    ground="ISO 216, the office paper of most countries",
)
INCH_PAPER = Default(
    key="print.paper of an inch job",
    value="letter",
    unit="word",
    ground="ANSI/ASME Y14.1, the office paper where inches are in use",
)
STOCK = Default(
    key="print.stock",
    value=(3.0, 6.0, 18.0),
    unit="mm",
    ground=f"{PRACTICE}: plies and boards a woodworker has at hand",
)
INCH_STOCK = Default(
    key="print.stock of an inch job",
    value=(25.4 / 8, 25.4 / 4, 25.4 * 3 / 4),
    unit="mm",
    ground=f"{PRACTICE}: 1/8, 1/4 and 3/4 in, plies and boards a woodworker has at hand",
)

TABLE: tuple[Default[Any], ...] = tuple(
    entry for entry in list(globals().values()) if isinstance(entry, Default)
)
