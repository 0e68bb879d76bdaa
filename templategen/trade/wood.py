"""Figures of woods, each with its source (data/wood_species*.csv), or a job's own."""

import csv
import functools
from dataclasses import dataclass, replace
from pathlib import Path

from templategen.errors import InputError
from templategen.messages import Figure, Joined, Message, Text, tr, tr_noop
from templategen.trade.records import Job, OwnWood
from templategen.trade.wood_names import GivenWood, OneWood, match_wood, search_names
from templategen.trade.wood_sources import is_from_memory, is_one_page, sources_of

DATA = Path(__file__).resolve().parent / "data"
TABLES = ("wood_species.csv", "wood_species_more.csv")  # North America and trade; the rest
ALONG = 0.2  # %, upper normal figure: Wood Handbook ch. 4, American Wood Council
ALONG_SOURCE = tr_noop("handbook's upper figure for normal wood, ch. 4; reaction wood shrinks more")
OWN_SOURCE = tr_noop("own figure of the job")


@dataclass(frozen=True, slots=True)
class WoodProperty:
    """A field of `Wood`, its label (the key of its wording) and its unit."""

    field: str
    label: str
    unit: str
    places: int = 0

    def shown(self, value: float | None) -> Text:
        """A value as the table prints it, without its unit; empty for no figure."""
        return "" if value is None else Figure(value, f".{self.places}f")


PROPERTIES: tuple[WoodProperty, ...] = (
    WoodProperty("radial", tr_noop("shrinkage, radial"), "%", places=1),
    WoodProperty("tangential", tr_noop("shrinkage, tangential"), "%", places=1),
    WoodProperty("volumetric", tr_noop("shrinkage, by volume"), "%", places=1),
    WoodProperty("along", tr_noop("shrinkage, along the grain"), "%", places=1),
    WoodProperty("specific_gravity", tr_noop("specific gravity, green"), "", places=2),
    WoodProperty("mc_heart", tr_noop("green moisture, heartwood"), "%"),
    WoodProperty("mc_sap", tr_noop("green moisture, sapwood"), "%"),
    WoodProperty("tension_perp_kpa", tr_noop("tension across the grain, green"), "kPa"),
    WoodProperty("shear_parallel_kpa", tr_noop("shear along the grain, green"), "kPa"),
    WoodProperty("side_hardness_n", tr_noop("side hardness, green"), "N"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """One wood; None where there is no figure. Shrinkage in % of the green size.

    `source` tells where the table's figures were read; `own` names the figures that a job gave
    itself, and `own_source` where it has them from, if it says so.
    """

    name: str
    botanical: str = ""
    radial: float | None = None
    tangential: float | None = None
    volumetric: float | None = None
    along: float = ALONG
    specific_gravity: float | None = None
    mc_heart: float | None = None
    mc_sap: float | None = None
    tension_perp_kpa: float | None = None
    shear_parallel_kpa: float | None = None
    side_hardness_n: float | None = None
    source: str = ""
    own: tuple[str, ...] = ()
    own_source: str = ""

    @property
    def shown_name(self) -> Text:
        """The name in the language of the text; a wording of its own for a wood without one."""
        return GivenWood(self.name) if self.name else tr("own wood")

    def figure(self, field: str) -> float | None:
        """The figure of that field of `PROPERTIES`."""
        value = getattr(self, field)
        return None if value is None else float(value)

    def across(self, direction: str) -> float | None:
        """Shrinkage across the grain, %, in the direction "radial" or "tangential"."""
        return self.radial if direction == "radial" else self.tangential

    def source_of(self, field: str) -> Text:
        """Where a figure comes from; empty where there is no figure."""
        if self.figure(field) is None:
            return ""
        if field in self.own:
            return self.own_source or tr(OWN_SOURCE)
        if field == "along":
            return tr(ALONG_SOURCE)
        return Joined(tuple(tr(part) for part in sources_of(field, self.source)), "; ")

    def is_from_memory(self, field: str) -> bool:
        """Whether the figure's source says that it was remembered, not read."""
        if self.figure(field) is None:
            return False
        own = field in self.own
        sources = (self.own_source,) if own else sources_of(field, self.source)
        return any(is_from_memory(source) for source in sources)

    @property
    def rests_on_one_page(self) -> bool:
        """Whether shrinkage across the grain was read on one secondary page only."""
        fields = [f for f in ("radial", "tangential") if self.figure(f) and f not in self.own]
        return any(is_one_page(s) for f in fields for s in sources_of(f, self.source))

    @property
    def green_moisture(self) -> tuple[float, float] | None:
        """Least and greatest green moisture content of heartwood and sapwood, %, or None."""
        known = [m for m in (self.mc_heart, self.mc_sap) if m is not None]
        return (min(known), max(known)) if known else None


@functools.cache
def woods() -> tuple[Wood, ...]:
    """All woods of the tables, in their order."""
    return tuple(wood for table in TABLES for wood in _read(DATA / table))


def _read(table: Path) -> tuple[Wood, ...]:
    def number(text: str) -> float | None:
        return float(text) if text.strip() else None

    with table.open(encoding="utf-8", newline="") as file:
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


@functools.cache
def _by_latin() -> dict[str, Wood]:
    return {wood.botanical: wood for wood in woods()}


def find_wood(name: str) -> Wood:
    """The wood that a name means, in any language of the table (`wood_names`).

    Raises:
        InputError: no wood has the name, or several share it; the woods or names are offered.
    """
    match = match_wood(name)
    if isinstance(match, OneWood):
        return _by_latin()[match.latin]
    raise InputError(match.what, where=tr("job: {key}", key="blank.wood"), mend=match.mend)


def search_woods(words: str) -> tuple[Wood, ...]:
    """The woods that a name means, else those with a name that holds all the words.

    Returns:
        The usual meaning first, or in the order of the tables; empty where none holds them.
    """
    return tuple(_by_latin()[latin] for latin in search_names(words))


def with_own_figures(wood: Wood, own: OwnWood) -> Wood:
    """The wood with a job's own figures in place of the table's."""
    given: dict[str, float | None] = {
        "radial": own.radial,
        "tangential": own.tangential,
        "along": own.along,
        "specific_gravity": own.specific_gravity,
        "mc_heart": own.green_moisture,
        "tension_perp_kpa": own.tension_across_kpa,
        "shear_parallel_kpa": own.shear_along_kpa,
        "side_hardness_n": own.side_hardness_n,
    }
    stated = {field: value for field, value in given.items() if value is not None}
    if "mc_heart" in stated:
        stated["mc_sap"] = stated["mc_heart"]  # one figure for the whole blank
    changes: dict[str, object] = {**stated}
    if {"radial", "tangential"} & set(stated):
        changes["volumetric"] = None  # the table's belongs to the table's own two
    return replace(wood, **changes, own=tuple(stated), own_source=own.source)  # type: ignore[arg-type]


def wood_of(job: Job) -> Wood | None:
    """The job's wood under the name it gives, its own figures first.

    None where the job neither names nor gives a wood. A name that means no one wood has no
    figures but the job's own, see `wood_problem`.
    """
    name = job.blank.wood
    if not name and job.wood is None:
        return None
    match = match_wood(name)
    known = _by_latin()[match.latin] if isinstance(match, OneWood) else Wood(name=name)
    wood = replace(known, name=name)
    return wood if job.wood is None else with_own_figures(wood, job.wood)


def wood_problem(job: Job) -> Message | None:
    """What a plan has to say of a wood's name that is unknown or shared; None if it is neither."""
    name = job.blank.wood
    match = match_wood(name)
    if not name or isinstance(match, OneWood):
        return None
    if job.wood is not None:
        return tr("{what}: only the job's own figures are used", what=match.what)
    return tr("{what}: planned without drying figures; {mend}", what=match.what, mend=match.mend)
