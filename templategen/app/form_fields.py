"""The fields of a form: every key of a job and of a shop file, for people who edit no text.

Defaults come from the table of defaults, limits from the readers of the files themselves, so that
a form never says other bounds than a file has.
"""

import enum
import functools
from collections.abc import Iterable
from dataclasses import dataclass, replace

from templategen.errors import InputError, InputErrors
from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.wishes import nest_to_table
from templategen.messages import Text, Wording, languages, tr, tr_noop
from templategen.trade.choices import (
    Grain,
    Guard,
    LogRim,
    MeasuredAt,
    Objective,
    Order,
)
from templategen.trade.defaults_used import defaults_used
from templategen.trade.records import UNNAMED, UNTITLED, nest_defaults
from templategen.units import Units

MISSING = tr("is missing")  # what a reader says
FAR = 1e9  # out of the bounds of every figure
FORM_PAPERS = ("a4", "a3", "a5", "letter", "legal", "tabloid")


class Kind(enum.StrEnum):
    """How a field is typed."""

    TEXT = "text"
    DATE = "date"
    LENGTH = "length"
    NUMBER = "number"
    QUANTITY = "quantity"  # a figure with its unit, such as 1.5 kW
    CHOICE = "choice"
    FLAG = "flag"
    WOOD = "wood"
    WALL = "wall"  # "10 %", a length, or "drying"
    FLOOR = "floor"  # "wall" or a length
    OUTSIDE = "outside"  # "arc", "even", "cylinder" or points
    RELIEF = "relief"  # false, or a table of two lengths
    SECTION = "section"  # width and height
    LENGTHS = "lengths"
    CUTTERS = "cutters"  # ids of cutters
    PARTS = "parts"  # kinds of parts


LENGTH_KINDS = {Kind.LENGTH, Kind.LENGTHS, Kind.WALL, Kind.FLOOR, Kind.SECTION}


@dataclass(frozen=True, slots=True)
class Field:
    """One key.

    Args:
        path: ``table.key``; of an array the key of each of its tables.
        kind: how it is typed.
        label: English template.
        help: what it is and how it is measured, one sentence; English template.
        unit: sign behind the figure; lengths have that of their file.
        choices: values and their labels.
        is_simple: whether it stands among the first fields of its table.
    """

    path: str
    kind: Kind
    label: str
    help: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    is_simple: bool = False

    @property
    def is_length(self) -> bool:
        """Whether its figures are lengths."""
        return self.kind in LENGTH_KINDS


@dataclass(frozen=True, slots=True)
class FieldTable:
    """The fields of a table of a file; `has_rows` for an array of tables."""

    table: str
    label: str
    fields: tuple[Field, ...]
    has_rows: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldNotes:
    """What stands beside a field: its default as text and its limits; empty where there is none."""

    default: str
    limits: str
    is_required: bool


UNITS_CHOICES = (("mm", tr_noop("millimetres")), ("in", tr_noop("inches")))
OUTSIDE_CHOICES = (
    ("arc", tr_noop("arc from the rim to the foot")),
    ("even", tr_noop("even: follows the first cut")),
    ("cylinder", tr_noop("cylinder")),
)

Fields = tuple[Field, ...]


def _table(
    table: str, label: str, *, simple: Fields = (), more: Fields = (), has_rows: bool = False
) -> FieldTable:
    """A table of fields that are named without it; the simple ones stand first."""
    first = (replace(field, is_simple=True) for field in simple)
    fields = (replace(f, path=f"{table}.{f.path}" if table else f.path) for f in (*first, *more))
    return FieldTable(table, label, tuple(fields), has_rows=has_rows)


JOB_FIELDS = (
    _table("", tr_noop("Job"), simple=(
        Field("title", Kind.TEXT, tr_noop("Title")),
        Field("date", Kind.DATE, tr_noop("Date"), tr_noop("Printed on every sheet.")),
        Field("units", Kind.CHOICE, tr_noop("Unit"), tr_noop("Of lengths without a unit."),
              choices=UNITS_CHOICES),
        Field("shop", Kind.TEXT, tr_noop("Shop file"), tr_noop("Beside the job file.")),
    )),
    _table("blank", tr_noop("Blank"), simple=(
        Field("diameter", Kind.LENGTH, tr_noop("Diameter"),
              tr_noop("Of the green disc, before anything is turned.")),
        Field("height", Kind.LENGTH, tr_noop("Height"),
              tr_noop("From the face to the back, before the tenon is turned.")),
        Field("wood", Kind.WOOD, tr_noop("Wood"), tr_noop("Any common or Latin name.")),
        Field("outside", Kind.OUTSIDE, tr_noop("Outside"),
              tr_noop("Shape of the turned outside, from the rim to the foot."),
              choices=OUTSIDE_CHOICES),
    )),
    _table("nest", tr_noop("Nest"), simple=(
        Field("wall", Kind.WALL, tr_noop("Wall"),
              tr_noop("Of the green bowls: a share of the rim, a length, or what drying takes.")),
        Field("objective", Kind.CHOICE, tr_noop("Wish"), tr_noop("What comes first."),
              choices=((Objective.MOST, tr_noop("most bowls")),
                       (Objective.LARGEST, tr_noop("a large bowl 2")),
                       (Objective.EVEN, tr_noop("even walls")))),
        Field("order", Kind.CHOICE, tr_noop("Order of the cuts"),
              tr_noop("Inner first: all cores are cut while the blank stays on its tenon."),
              choices=((Order.INNER_FIRST, tr_noop("inner first")),
                       (Order.OUTER_FIRST, tr_noop("outer first")))),
        Field("min_bowl", Kind.LENGTH, tr_noop("Smallest bowl"), tr_noop("Least rim diameter.")),
    ), more=(
        Field("wanted", Kind.LENGTHS, tr_noop("Wanted rims"),
              tr_noop("Rim diameters that must be among the bowls.")),
        Field("wanted_tolerance", Kind.LENGTH, tr_noop("Tolerance of wanted rims"),
              tr_noop("More or less than wanted.")),
        Field("cutters", Kind.CUTTERS, tr_noop("Cutters"),
              tr_noop("Those that may be used; none ticked: all.")),
        Field("height_above_centre", Kind.LENGTH, tr_noop("Cutter above centre"),
              tr_noop("Height of the cutting edge above the lathe's centre.")),
        Field("relief", Kind.RELIEF, tr_noop("Relief cut"),
              tr_noop("The cutter is shifted towards the axis and run in, then set back.")),
        Field("relief.shift", Kind.LENGTH, tr_noop("Relief shift")),
        Field("relief.depth", Kind.LENGTH, tr_noop("Relief depth")),
        Field("finished_wall", Kind.LENGTH, tr_noop("Finished wall"),
              tr_noop("Of the dry bowl, where the wall allows for drying.")),
        Field("truing_margin", Kind.LENGTH, tr_noop("Truing margin"),
              tr_noop("Turned off when the bowl is dry.")),
        Field("final_moisture", Kind.NUMBER, tr_noop("Final moisture"),
              tr_noop("Of the dry bowl."), unit="%"),
        Field("across", Kind.CHOICE, tr_noop("Shrinkage across the grain"),
              tr_noop("Tangential is the larger one."),
              choices=((Grain.TANGENTIAL, tr_noop("tangential")),
                       (Grain.RADIAL, tr_noop("radial")))),
        Field("floor", Kind.FLOOR, tr_noop("Floor"), tr_noop("As the wall, or a length.")),
        Field("max_slope", Kind.NUMBER, tr_noop("Greatest slope at the axis"),
              tr_noop("How steep a cut may meet the axis."), unit="°"),
        Field("min_depth", Kind.LENGTH, tr_noop("Least depth of a bowl")),
        Field("min_ratio", Kind.NUMBER, tr_noop("Least depth over rim"),
              tr_noop("Flatter ones are plates.")),
        Field("setting_tolerance", Kind.LENGTH, tr_noop("Setting tolerance"),
              tr_noop("How far out a pivot may stand.")),
        Field("guard", Kind.CHOICE, tr_noop("Walls hold"),
              tr_noop("As planned, or also with every pivot out by the tolerance."),
              choices=((Guard.NOMINAL, tr_noop("as planned")), (Guard.WORST, tr_noop("at worst")))),
        Field("add_cuts", Kind.FLAG, tr_noop("Add cuts beside fixed ones"),
              tr_noop("Whether the planner adds cuts to those that are fixed.")),
    )),
    _table("tenon", tr_noop("Tenons"), more=(
        Field("share", Kind.NUMBER, tr_noop("Share of the blank"),
              tr_noop("Diameter of the holding tenon over that of the blank.")),
        Field("core_share", Kind.NUMBER, tr_noop("Share of the cores"),
              tr_noop("Tenon over rim of every other bowl.")),
        Field("length", Kind.LENGTH, tr_noop("Length")),
        Field("shoulder", Kind.LENGTH, tr_noop("Shoulder"),
              tr_noop("Flat beside the tenon, on which the jaws seat.")),
    )),
    _table("log", tr_noop("Log"), simple=(
        Field("diameter", Kind.LENGTH, tr_noop("Diameter of the log"),
              tr_noop("Without bark, at the thinner end.")),
        Field("length", Kind.LENGTH, tr_noop("Length of the log")),
    ), more=(
        Field("pith", Kind.LENGTH, tr_noop("Pith to the blank"),
              tr_noop("From the pith to the nearer plane of the blank.")),
        Field("rim", Kind.CHOICE, tr_noop("The bowl opens"),
              choices=((LogRim.PITH, tr_noop("towards the pith")),
                       (LogRim.BARK, tr_noop("towards the bark")))),
        Field("end_trim", Kind.LENGTH, tr_noop("End trim"), tr_noop("Cut off at each end.")),
        Field("saw", Kind.LENGTH, tr_noop("Saw cut"), tr_noop("Width of a saw cut.")),
    )),
    _table("wood", tr_noop("Own figures of the wood"), more=(
        Field("tangential", Kind.NUMBER, tr_noop("Tangential shrinkage"),
              tr_noop("Of the green size, green to ovendry."), unit="%"),
        Field("radial", Kind.NUMBER, tr_noop("Radial shrinkage"),
              tr_noop("Of the green size, green to ovendry."), unit="%"),
        Field("along", Kind.NUMBER, tr_noop("Shrinkage along the grain"), unit="%"),
        Field("specific_gravity", Kind.NUMBER, tr_noop("Specific gravity"),
              tr_noop("Ovendry mass over green volume.")),
        Field("green_moisture", Kind.NUMBER, tr_noop("Green moisture"),
              tr_noop("Of the ovendry mass."), unit="%"),
        Field("tension_across", Kind.QUANTITY, tr_noop("Tension across the grain"),
              tr_noop("Such as 4340 kPa.")),
        Field("shear_along", Kind.QUANTITY, tr_noop("Shear along the grain"),
              tr_noop("Such as 6900 kPa.")),
        Field("side_hardness", Kind.QUANTITY, tr_noop("Side hardness"),
              tr_noop("Such as 2700 N.")),
        Field("source", Kind.TEXT, tr_noop("Source"), tr_noop("Where the figures come from.")),
    )),
    _table("print", tr_noop("Print"), simple=(
        Field("paper", Kind.CHOICE, tr_noop("Paper"),
              choices=tuple((name, name) for name in FORM_PAPERS)),
    ), more=(
        Field("language", Kind.CHOICE, tr_noop("Language of the print"),
              choices=tuple((code, code) for code in languages())),
        Field("has_shop_set", Kind.FLAG, tr_noop("The shop set is made"),
              tr_noop("Packs then leave out what a shop needs once.")),
        Field("stock", Kind.LENGTHS, tr_noop("Plies at hand"),
              tr_noop("Thicknesses that gauge blocks are built from.")),
        Field("parts", Kind.PARTS, tr_noop("Parts"),
              tr_noop("Those that are printed; none ticked: all.")),
    )),
)  # fmt: skip
SHOP_FIELDS = (
    _table("", tr_noop("Shop"), simple=(
        Field("name", Kind.TEXT, tr_noop("Name")),
        Field("units", Kind.CHOICE, tr_noop("Unit"), tr_noop("Of lengths without a unit."),
              choices=UNITS_CHOICES),
    )),
    _table("cutters", tr_noop("Cutters"), has_rows=True, simple=(
        Field("id", Kind.TEXT, tr_noop("Name"), tr_noop("A short name of its own.")),
        Field("radius", Kind.LENGTH, tr_noop("Radius"),
              tr_noop("From the pivot to the outermost corner of the tip: swing the tip over "
                      "paper and measure that arc.")),
        Field("kerf", Kind.LENGTH, tr_noop("Kerf"), tr_noop("Width of the tip.")),
    ), more=(
        Field("arc", Kind.NUMBER, tr_noop("Bare blade"),
              tr_noop("Angle of bare blade from the tip to its holder."), unit="°"),
        Field("holder", Kind.LENGTH, tr_noop("Holder"),
              tr_noop("Width of the holder in the plane of the blade.")),
        Field("section", Kind.SECTION, tr_noop("Section of the blade"),
              tr_noop("Width and height of the blade behind the tip.")),
        Field("relief_angle", Kind.NUMBER, tr_noop("Relief angle"),
              tr_noop("Under the cutting edge."), unit="°"),
        Field("max_swing", Kind.NUMBER, tr_noop("Greatest swing"), unit="°"),
    )),
    _table("jaws", tr_noop("Jaws"), has_rows=True, simple=(
        Field("id", Kind.TEXT, tr_noop("Name"), tr_noop("A short name of its own.")),
        Field("true_circle", Kind.LENGTH, tr_noop("True circle"),
              tr_noop("Diameter at which the closed jaws form a circle.")),
        Field("depth", Kind.LENGTH, tr_noop("Depth"),
              tr_noop("From the mouth of the jaws to their bottom.")),
    ), more=(
        Field("measured_at", Kind.CHOICE, tr_noop("Measured at"),
              tr_noop("Where the true circle is measured."),
              choices=((MeasuredAt.MOUTH, tr_noop("the mouth")),
                       (MeasuredAt.BOTTOM, tr_noop("the bottom")))),
        Field("dovetail_angle", Kind.NUMBER, tr_noop("Dovetail angle"),
              tr_noop("Of the flanks against the axis."), unit="°"),
        Field("jaw_count", Kind.NUMBER, tr_noop("Number of jaws")),
        Field("max_gap", Kind.LENGTH, tr_noop("Greatest gap"),
              tr_noop("Between neighbouring jaws where they still hold.")),
    )),
    _table("post", tr_noop("Post"), simple=(
        Field("min_standoff", Kind.LENGTH, tr_noop("Least standoff"),
              tr_noop("Nearest the pivot may stand in front of the face.")),
        Field("min_offset", Kind.LENGTH, tr_noop("Least offset"),
              tr_noop("Of the pivot from the axis; negative: beyond it.")),
        Field("max_offset", Kind.LENGTH, tr_noop("Greatest offset"),
              tr_noop("Of the pivot from the axis.")),
    ), more=(
        Field("pin", Kind.LENGTH, tr_noop("Pin"),
              tr_noop("Diameter of the pivot pin that a template can drop over.")),
        Field("body", Kind.LENGTH, tr_noop("Body"), tr_noop("Outside diameter of the post.")),
    )),
    _table("lathe", tr_noop("Lathe"), simple=(
        Field("swing", Kind.LENGTH, tr_noop("Swing"), tr_noop("Greatest diameter over the bed.")),
        Field("centre_height", Kind.LENGTH, tr_noop("Centre height"),
              tr_noop("Of the spindle above the bed.")),
        Field("power", Kind.QUANTITY, tr_noop("Power"), tr_noop("Such as 1.5 kW.")),
    ), more=(
        Field("full_power_speed", Kind.NUMBER, tr_noop("Full power from"),
              tr_noop("Speed of the spindle at which this pulley gives the full power."),
              unit="rpm"),
        Field("max_mass", Kind.QUANTITY, tr_noop("Greatest mass"), tr_noop("Such as 60 kg.")),
    )),
    _table("chuck", tr_noop("Chuck"), more=(
        Field("max_mass", Kind.QUANTITY, tr_noop("Greatest mass"), tr_noop("Such as 60 kg.")),
        Field("max_speed", Kind.NUMBER, tr_noop("Greatest speed"), unit="rpm"),
    )),
    _table("rules", tr_noop("Rules"), more=(
        Field("max_coring_speed", Kind.NUMBER, tr_noop("Greatest coring speed"),
              tr_noop("Never above the makers' limits."), unit="rpm"),
        Field("caution_share", Kind.NUMBER, tr_noop("Caution below a share of"),
              tr_noop("Tenon over rim.")),
        Field("refuse_share", Kind.NUMBER, tr_noop("Stop below a share of"),
              tr_noop("Tenon over rim.")),
        Field("dried_share", Kind.NUMBER, tr_noop("Share of a dried tenon"),
              tr_noop("That still holds for light finishing cuts.")),
    )),
)  # fmt: skip
FORMS = {"job": JOB_FIELDS, "shop": SHOP_FIELDS}


def kinds_of(doc: str) -> dict[str, Kind]:
    """The kind of every field of a job or a shop by its path."""
    return {field.path: field.kind for table in FORMS[doc] for field in table.fields}


@functools.lru_cache(maxsize=16)
def notes_of(doc: str, units: Units, wording: Wording) -> dict[str, FieldNotes]:
    """Default, limits and need of every field of a form by its path.

    Args:
        doc: job or shop.
        units: of the file.
        wording: whose language the texts are in.
    """
    bare: dict[str, object] = {"units": units.value}
    shop = {**bare, "cutters": [{}], "jaws": [{}]}
    used = defaults_used({**bare, "log": {}}, shop)
    shown = {one.key: wording.text(one.value) for one in used}
    shown |= {"title": wording.say(UNTITLED), "name": wording.say(UNNAMED), "units": "mm"}
    shown["nest.wall"] = str(nest_to_table(nest_defaults(units), units)["wall"])
    limits = _limits(doc, units)
    needed = _needed(doc, units)
    return {
        path: FieldNotes(
            default=shown.get(path, ""),
            limits=wording.text(limits.get(path, "")),
            is_required=path in needed,
        )
        for path in kinds_of(doc)
    }


def _limits(doc: str, units: Units) -> dict[str, Text]:
    """What the reader of a file says of figures that are far out of bounds."""
    table: dict[str, object] = {"units": units.value}
    for group in FORMS[doc]:
        for field in group.fields:
            if field.kind in (Kind.LENGTH, Kind.NUMBER, Kind.WALL, Kind.FLOOR):
                _put(table, field.path, FAR, has_rows=group.has_rows)
    found: dict[str, Text] = {}
    for path, _, mend in _faults(doc, table):
        found.setdefault(path, mend)  # the bounds come first, how fields go together after them
    return found


def _needed(doc: str, units: Units) -> frozenset[str]:
    """The paths that the reader of a file misses in an empty one."""
    table: dict[str, object] = {"units": units.value, "blank": {}, "log": {}}
    if doc == "shop":
        table = {"units": units.value, "cutters": [{}], "jaws": [{}]}
    return frozenset(path for path, what, _ in _faults(doc, table) if what == MISSING)


def _put(table: dict[str, object], path: str, value: object, *, has_rows: bool) -> None:
    first, _, rest = path.partition(".")
    if not rest:
        table[first] = value
        return
    inner = table.setdefault(first, [{}] if has_rows else {})
    row = inner[0] if isinstance(inner, list) else inner
    if isinstance(row, dict):
        _put(row, rest, value, has_rows=False)


def _faults(doc: str, table: dict[str, object]) -> Iterable[tuple[str, Text, Text]]:
    """Path, what is wrong and the mend of each fault."""
    try:
        if doc == "job":
            job_from_table(table, where="")
        else:
            shop_from_table(table, where="")
    except InputErrors as errors:
        return [
            (str(fault.where).replace("[1]", ""), fault.what, fault.mend)
            for fault in errors.faults
            if isinstance(fault, InputError)
        ]
    return []
