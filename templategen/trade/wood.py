"""Handbook figures of woods, each with its source (data/wood_species.csv), or a job's own."""

import csv
import difflib
import functools
import re
from dataclasses import dataclass, replace
from pathlib import Path

from templategen.errors import InputError, meant
from templategen.messages import Figure, Joined, Text, tr, tr_noop
from templategen.trade.records import Job, OwnWood

DATA = Path(__file__).resolve().parent / "data" / "wood_species.csv"
ALONG = 0.2  # %, upper normal figure: Wood Handbook ch. 4, American Wood Council
ALONG_SOURCE = tr_noop("handbook's upper figure for normal wood, ch. 4; reaction wood shrinks more")
OWN_SOURCE = tr_noop("own figure of the job")
SOURCES = (  # as the table words them
    tr_noop("FPL-GTR-190 Table 4-1"),
    tr_noop("FPL-GTR-190 Table 4-1 (row Aspen)"),
    tr_noop("FPL-GTR-190 Table 4-3"),
    tr_noop("FPL-GTR-190 Table 5-5b"),
    tr_noop("FPL-GTR-282 Table 4-1 (public transcription)"),
    tr_noop("FPL-GTR-282 Table 4-3 (public transcription)"),
    tr_noop("FPL-GTR-282 Table 5-3b (public transcription)"),
    tr_noop("FPL-GTR-282 Table 5-5b (public transcription)"),
    tr_noop(
        "GTR-190 Table 4-4 (row order scrambled in the copy read; assignment to this wood from "
        "memory)"
    ),
    tr_noop("derived from GTR-190 Table 13-5 coefficients"),
    tr_noop("derived from GTR-190 Table 13-5 coefficients (S=3000/(1/C+20))"),
    tr_noop("derived from GTR-190 Table 13-5 coefficients and agreeing with a secondary page"),
    tr_noop("from a secondary public page only"),
    tr_noop(
        "from a secondary public page (that part of Table 4-3 was cut off; figure is as "
        "remembered from Table 4-3)"
    ),
    tr_noop("from memory: Table 4-1"),
    tr_noop("from memory: Table 4-1 (row Cottonwood)"),
    tr_noop("from memory: Table 4-1 (row Magnolia)"),
    tr_noop("from memory: Table 4-3"),
    tr_noop("from memory: Table 4-4"),
    tr_noop("from the secondary page"),
)

_SHRINKAGE = ("radial", "tangential", "volumetric")
_STRENGTH = ("tension_perp_kpa", "shear_parallel_kpa", "side_hardness_n")
_COVERS: tuple[tuple[str, tuple[str, ...]], ...] = (  # how a row's source begins: what it is for
    ("shrinkage", _SHRINKAGE),
    ("radial+tangential", _SHRINKAGE[:2]),
    ("volumetric", _SHRINKAGE[2:]),
    ("green MC", ("mc_heart", "mc_sap")),
    ("SG and strength", ("specific_gravity", *_STRENGTH)),
)
_MEMORY = re.compile(r"from memory|as remembered")


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
        """The name for people: a wording of its own where a job gives figures and no name."""
        return self.name or tr("own wood")

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
        return Joined(tuple(tr(part) for part in self._stated(field)), "; ")

    def _stated(self, field: str) -> list[str]:
        """What the table's row says of a figure's source."""
        return [
            part[len(start) :].strip(" :")
            for part in _clauses(self.source)
            for start, fields in _COVERS
            if part.startswith(start) and field in fields
        ]

    def is_from_memory(self, field: str) -> bool:
        """Whether the figure's source says that it was remembered, not read."""
        if self.figure(field) is None:
            return False
        source = self.own_source if field in self.own else "; ".join(self._stated(field))
        return _MEMORY.search(source) is not None

    @property
    def green_moisture(self) -> tuple[float, float] | None:
        """Least and greatest green moisture content of heartwood and sapwood, %, or None."""
        known = [m for m in (self.mc_heart, self.mc_sap) if m is not None]
        return (min(known), max(known)) if known else None


def _clauses(source: str) -> list[str]:
    """The parts of a row's source, split at the semicolons that stand outside brackets."""
    return [part.strip() for part in re.split(r";\s+(?![^(]*\))", source)]


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


def find_wood(name: str) -> Wood:
    """The wood of that name, upper or lower case.

    Raises:
        InputError: no such wood; the nearest name is offered.
    """
    wood = _known(name)
    if wood is None:
        near = nearest_wood(name)
        raise InputError(
            tr("unknown wood {name!r}", name=name),
            where=tr("job: {key}", key="blank.wood"),
            mend=meant(near) if near else tr("see the wood table"),
        )
    return wood


def is_wood(name: str) -> bool:
    """Whether the table has a wood of that name, upper or lower case."""
    return _known(name) is not None


def nearest_wood(name: str) -> str:
    """The name of the table that is nearest to an unknown one, or '' where none is near."""
    names = {wood.name.casefold(): wood.name for wood in woods()}
    near = difflib.get_close_matches(name.casefold(), sorted(names), n=1, cutoff=0.5)
    return names[near[0]] if near else ""


def _known(name: str) -> Wood | None:
    wanted = name.casefold()
    return next((wood for wood in woods() if wood.name.casefold() == wanted), None)


def search_woods(words: str) -> tuple[Wood, ...]:
    """The woods whose common or botanical name holds all the words, in the table's order.

    A wood of exactly that name comes alone. Empty where none holds them.
    """
    exact = _known(words.strip())
    if exact is not None:
        return (exact,)
    wanted = words.casefold().split()
    return tuple(
        wood
        for wood in woods()
        if wanted and all(w in f"{wood.name} {wood.botanical}".casefold() for w in wanted)
    )


def near_names(words: str, *, most: int = 5) -> tuple[str, ...]:
    """The nearest names of the table for a slip of the pen, nearest first, perhaps none.

    A near word counts as well as a near name, so that 'mapel' finds the maples.
    """
    names = {wood.name.casefold(): wood.name for wood in woods()}
    near = difflib.get_close_matches(words.casefold(), sorted(names), n=2, cutoff=0.6)
    each = sorted({word.strip("()") for name in names for word in name.split()})
    for word in words.casefold().split():
        for match in difflib.get_close_matches(word, each, n=1, cutoff=0.6):
            near += [name for name in sorted(names) if match in name.split()]
    return tuple(names[name] for name in dict.fromkeys(near))[:most]


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
    """The job's wood, its own figures first; None where the job neither names nor gives one.

    Raises:
        InputError: the table has no such wood and the job gives no figures of its own.
    """
    name = job.blank.wood
    if job.wood is not None:
        return with_own_figures(_known(name) or Wood(name=name), job.wood)
    return find_wood(name) if name else None
