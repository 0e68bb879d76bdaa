"""Handbook figures of woods, with the source of each row (data/wood_species.csv)."""

import csv
import difflib
import functools
from dataclasses import dataclass
from pathlib import Path

from templategen.errors import InputError

DATA = Path(__file__).resolve().parent / "data" / "wood_species.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """One wood; None where the handbook has no figure. Shrinkage in % of the green size."""

    name: str
    botanical: str
    radial: float | None
    tangential: float | None
    volumetric: float | None
    specific_gravity: float | None
    mc_heart: float | None
    mc_sap: float | None
    tension_perp_kpa: float | None
    shear_parallel_kpa: float | None
    side_hardness_n: float | None
    source: str


@functools.cache
def woods() -> tuple[Wood, ...]:
    """All woods of the table, in its order."""

    def number(text: str) -> float | None:
        return float(text) if text.strip() else None

    with DATA.open(encoding="utf-8", newline="") as file:
        return tuple(
            Wood(
                name=row["common_name"],
                botanical=row["botanical_name"],
                radial=number(row["radial_shrinkage_pct"]),
                tangential=number(row["tangential_shrinkage_pct"]),
                volumetric=number(row["volumetric_shrinkage_pct"]),
                specific_gravity=number(row["specific_gravity_green"]),
                mc_heart=number(row["green_mc_heartwood_pct"]),
                mc_sap=number(row["green_mc_sapwood_pct"]),
                tension_perp_kpa=number(row["tension_perp_green_kpa"]),
                shear_parallel_kpa=number(row["shear_parallel_green_kpa"]),
                side_hardness_n=number(row["side_hardness_green_n"]),
                source=row["source"],
            )
            for row in csv.DictReader(file)
        )


def nearest_wood(name: str) -> str | None:
    """None if the wood is known or not named, else the nearest name, or '' if none is near."""
    if not name:
        return None
    names = {wood.name.casefold(): wood.name for wood in woods()}
    if name.casefold() in names:
        return None
    near = difflib.get_close_matches(name.casefold(), sorted(names), n=1, cutoff=0.5)
    return names[near[0]] if near else ""


def find_wood(name: str) -> Wood:
    """The wood of that name, upper or lower case.

    Raises:
        InputError: no such wood; the nearest name is offered.
    """
    for wood in woods():
        if wood.name.casefold() == name.casefold():
            return wood
    near = nearest_wood(name)
    raise InputError(
        f"unknown wood {name!r}",
        where="job: blank.wood",
        mend=f"did you mean {near!r}?" if near else "see the wood table",
    )
