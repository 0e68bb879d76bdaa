"""Keys of the shop file that holding and driving need: the cutter's section, the chuck's limits."""

from typing import Any

from templategen.inputs.toml_table import TomlTable
from templategen.messages import say
from templategen.trade.records import Chuck, Cutter
from templategen.units import Units, parse_length, written_length

KILOGRAMS = {"kg": 1.0, "lb": 0.45359237}  # NIST SP 811


def read_section(table: TomlTable) -> tuple[float, float] | None:
    """Width in the plane of the arc (1 to 60 mm) and height (1 to 100 mm) of a cutter's bar."""
    raw = table.raw("section")
    if raw is None:
        return None
    try:
        if not isinstance(raw, list):
            raise TypeError
        width, height = (parse_length(side, table.units) for side in raw)
    except (TypeError, ValueError, AttributeError):
        mend = say("write section = [9, 25]")
        table.fault("section", say("is not a width and a height"), mend)
        return None
    if not (1 <= width <= 60 and 1 <= height <= 100):
        mend = say("give a width of 1 to 60 mm and a height of 1 to 100 mm")
        table.fault("section", say("is out of bounds"), mend)
        return None
    return width, height


def section_to_table(cutter: Cutter) -> dict[str, Any]:
    """The section as its key of the cutter's table; empty where it is not known.

    The lengths name their millimetres, so that they read back in a shop of either unit.
    """
    if cutter.section is None:
        return {}
    return {"section": [written_length(side, Units.IN) for side in cutter.section]}


def read_chuck(table: TomlTable) -> Chuck:
    """The chuck's own limits: mass, and speed of 20 to 5000 rpm."""
    given = table.raw("max_speed") is not None
    chuck = Chuck(
        max_mass_kg=table.quantity("max_mass", KILOGRAMS, 1, 5000),
        max_speed=table.number("max_speed", 500.0, 20, 5000) if given else None,
    )
    table.done()
    return chuck


def chuck_to_table(chuck: Chuck) -> dict[str, Any]:
    """The limits as their table; reading it back gives them again."""
    mass = None if chuck.max_mass_kg is None else f"{chuck.max_mass_kg!r} kg"
    table = {"max_mass": mass, "max_speed": chuck.max_speed}
    return {key: figure for key, figure in table.items() if figure is not None}
