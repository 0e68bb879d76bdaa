"""Records as the tables of a file: one key for each field, in the order of the fields."""

import enum
from dataclasses import Field, fields, is_dataclass
from typing import Any, ClassVar, Protocol

from templategen.units import Units, written_length

# Fields that hold a plain number; every other number is a length.
# fmt: off
NUMBERS = {
    "along", "arc", "caution_share", "core_share", "dovetail_angle", "dried_share",
    "final_moisture", "full_power_speed", "green_moisture", "jaw_count", "max_coring_speed",
    "max_slope", "max_speed", "max_swing", "min_ratio", "radial", "refuse_share",
    "relief_angle", "share", "specific_gravity", "tangential",
}
# fmt: on
# Key and unit of the fields whose unit the file names.
NAMED_UNITS = {
    "max_mass_kg": ("max_mass", "kg"),
    "power_w": ("power", "W"),
    "shear_along_kpa": ("shear_along", "kPa"),
    "side_hardness_n": ("side_hardness", "N"),
    "tension_across_kpa": ("tension_across", "kPa"),
}
LEFT_OUT_IF_EMPTY = {"language", "source"}


class Record(Protocol):
    """An instance of any data class."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


def record_to_table(record: Record, units: Units, **instead: object) -> dict[str, object]:
    """The table of a record in a file of those units; what is None has no key.

    Args:
        record: its numbers are lengths in mm unless listed above.
        units: of the file.
        instead: what the table holds for some fields instead.
    """
    table: dict[str, object] = {}
    for name in (field.name for field in fields(record)):
        value = getattr(record, name)
        if name in instead:
            table[name] = instead[name]
        elif value is not None and name in NAMED_UNITS:
            key, unit = NAMED_UNITS[name]
            table[key] = f"{value!r} {unit}"
        elif value != "" or name not in LEFT_OUT_IF_EMPTY:
            table[name] = _written(name, value, units)
    return {key: value for key, value in table.items() if value is not None}


def _written(name: str, value: object, units: Units) -> object:
    match value:
        case enum.Enum():
            return value.value
        case tuple():
            # The sides of a cutter's section name their millimetres in a file of either unit.
            unit = Units.IN if name == "section" else units
            return [_written(name, item, unit) for item in value]
        case float() | int() if name not in NUMBERS and not isinstance(value, bool):
            return written_length(value, units)
    if is_dataclass(value) and not isinstance(value, type):
        return record_to_table(value, units)
    return value
