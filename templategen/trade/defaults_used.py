"""Which defaults shaped a plan: those of keys that neither the job nor its shop states."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from templategen.messages import Figure, Joined, Text
from templategen.trade import defaults
from templategen.trade.defaults import Default
from templategen.units import Length, Units

SHOP_TABLES = ("cutters", "jaws", "post", "rules")  # the others are those of a job file
SHARED_TABLES = ("nest", "tenon", "print")  # of a job file; under [rules] of its shop as well
UNIT_SIGNS = {"°": "°", "share": "", "count": ""}  # the others follow the figure after a blank
ARRAYS = ("cutters", "jaws")
FIXED = "fixed: "
ALONE = ("log",)  # tables of which nothing counts where the file has none


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedDefault:
    """A default that a plan was made with.

    Args:
        key: ``table.key`` of the shop or job file where it may be set; ``fixed: …`` where it
            may not.
        value: as text in the unit of that file.
        ground: why this figure.
    """

    key: str
    value: Text
    ground: Text


def defaults_used(job: Mapping[str, object], shop: Mapping[str, object]) -> tuple[UsedDefault, ...]:
    """Every default that counts for a job in a shop, in the order of the table of defaults.

    Args:
        job: the table of the job file, as read from TOML.
        shop: the table of its shop file; a key of cutters or jaws counts as left out where one
            of them leaves it out.
    """
    return tuple(
        _shown(entry, _units_of(entry.key, job, shop))
        for entry in defaults.TABLE
        if not _is_stated(entry.key, job, shop)
    )


def _is_stated(key: str, job: Mapping[str, object], shop: Mapping[str, object]) -> bool:
    table, *path = key.split(".")
    if key.startswith(FIXED):
        return False
    if table in ARRAYS and table not in shop:
        return True
    if table in SHOP_TABLES:
        return all(_holds(inner, path) for inner in _tables(shop.get(table)))
    if table in ALONE and table not in job:
        return True
    if path == ["wall policy"]:
        path = ["wall"]
    owns = [job.get(table)]
    if table in SHARED_TABLES:
        rules = shop.get("rules")
        owns.append(rules.get(table) if isinstance(rules, Mapping) else None)
    return any(_holds(inner, path) for own in owns for inner in _tables(own))


def _tables(value: object) -> Iterator[Mapping[str, object]]:
    """The tables of a key: of an array each one; one that holds nothing where there is none."""
    if isinstance(value, list):
        yield from (inner for inner in value if isinstance(inner, Mapping))
    else:
        yield value if isinstance(value, Mapping) else {}


def _holds(table: Mapping[str, object], path: list[str]) -> bool:
    """Whether a table states a key; ``relief = false`` states all that is below it."""
    first, *rest = path
    if first not in table:
        return False
    inner = table[first]
    return not rest or (_holds(inner, rest) if isinstance(inner, Mapping) else inner is False)


def _units_of(key: str, job: Mapping[str, object], shop: Mapping[str, object]) -> Units:
    """The unit of the file where a key may be set; millimetres where it may not."""
    if key.startswith(FIXED):
        return Units.MM
    stated = (shop if key.split(".")[0] in SHOP_TABLES else job).get("units")
    return Units.IN if stated == Units.IN.value else Units.MM


def _shown(entry: Default[Any], units: Units) -> UsedDefault:
    value = entry.of(units)
    items = value if isinstance(value, tuple) else (value,)
    shown = Joined(tuple(_text(item, entry.unit, units) for item in items))
    return UsedDefault(key=entry.key, value=shown, ground=entry.ground)


def _text(value: object, unit: str, units: Units) -> Text:
    """A value in its unit; words as a file states them."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value).lower()
    if unit == "mm":
        return Length(float(value), units)
    return Figure(float(value), ".4g", UNIT_SIGNS.get(unit, f" {unit}"))
