"""A job's own figures for its wood: the ``[wood]`` table, in place of the handbook's."""

import dataclasses
from typing import Any

from templategen.inputs.toml_table import TomlTable
from templategen.trade.records import OwnWood

PRESSURES = {"kPa": 1.0, "MPa": 1000.0, "psi": 6.894757}  # kPa; lbf/in² from NIST SP 811
FORCES = {"N": 1.0, "kN": 1000.0, "lbf": 4.448222}  # N; NIST SP 811


def read_own_wood(table: TomlTable) -> OwnWood | None:
    """The figures a ``[wood]`` table states, or None where it states none.

    Shrinkage is in % of the green size, 0 to 25; specific gravity 0.1 to 1.3, ovendry mass over
    green volume; green moisture 20 to 300 % of the dry mass. Each fault is noted in the table.
    """
    own = OwnWood(
        radial=_figure(table, "radial", 0.1, 25),
        tangential=_figure(table, "tangential", 0.1, 25),
        along=_figure(table, "along", 0, 5),
        specific_gravity=_figure(table, "specific_gravity", 0.1, 1.3),
        green_moisture=_figure(table, "green_moisture", 20, 300),
        tension_across_kpa=table.quantity("tension_across", PRESSURES, 100, 50_000),
        shear_along_kpa=table.quantity("shear_along", PRESSURES, 100, 100_000),
        side_hardness_n=table.quantity("side_hardness", FORCES, 100, 50_000),
        source=table.text("source", longest=120),
    )
    table.done()
    return None if own == OwnWood(source=own.source) else own


def _figure(table: TomlTable, key: str, low: float, high: float) -> float | None:
    if table.raw(key) is None:
        return None
    return table.number(key, low, low, high)


def own_wood_to_table(own: OwnWood) -> dict[str, Any]:
    """The figures as the table they are read from; reading it back gives them again."""
    units = {
        "tension_across_kpa": ("tension_across", "kPa"),
        "shear_along_kpa": ("shear_along", "kPa"),
        "side_hardness_n": ("side_hardness", "N"),
    }
    table: dict[str, Any] = {}
    for name, value in dataclasses.asdict(own).items():
        if value in (None, ""):
            continue
        key, unit = units.get(name, (name, ""))
        table[key] = f"{value!r} {unit}" if unit else value
    return table
