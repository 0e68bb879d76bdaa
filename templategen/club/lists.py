"""Club lists: many blanks in one file, as TOML or CSV. Read piece by piece, checked one by one."""

import dataclasses
import re
import stat
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

from templategen.club.entries import LONGEST_NAME, MOST_ENTRIES, RawEntry
from templategen.club.tables import csv_entries
from templategen.errors import InputError, InputErrors
from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import demo_shop
from templategen.inputs.toml_table import TomlTable, read_toml, shown
from templategen.messages import ENGLISH, Joined, Text, languages, tr
from templategen.trade.part_kinds import DRAWN_KINDS, PartKind
from templategen.trade.records import DryingWall, Job, Shop
from templategen.trade.wood_names import OneWood, UnknownWood, match_wood
from templategen.units import Units

MOST_PAPERS = 8
WITHOUT_WOOD = "10 %"  # wall of a blank whose drying is not known: common practice, no source
_BLANK_KEYS = ("diameter", "height", "wood", "outside", "wall", "date", "units")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubSettings:
    """What holds for the whole list.

    Args:
        name: of the club, printed on the covers; may be empty.
        logo: path of its picture, or None.
        shop: path of the shop for entries that name none, nor do their job files; or None.
        units: of bare lengths.
        papers: by name, at least one; empty means each job's own.
        parts: kinds of parts; empty means all.
        date: ISO date for entries that name none, or empty.
        nest: a job file's table of the same name, for blanks given in the list itself.
        tenon: likewise.
        language: of every pack, of the index and of the messages; empty where none is stated.
        full: whether each bench gets a full pack instead of a hand-out.
    """

    name: str = ""
    logo: Path | None = None
    shop: Path | None = None
    units: Units = Units.MM
    papers: tuple[str, ...] = ()
    parts: tuple[PartKind, ...] = ()
    date: str = ""
    nest: dict[str, Any] = field(default_factory=dict)
    tenon: dict[str, Any] = field(default_factory=dict)
    language: str = ""
    full: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubEntry:
    """One checked entry.

    Args:
        name: what the list calls it, else the title of its job file, else its size.
        job: without a title of its own where the blank is given in the list.
        shop: that it is done in.
        papers: by name, at least one.
        is_titled: whether the job has its title from a job file.
        shop_path: of the shop's file; None for the built-in demo shop.
        notes: to be shown with it.
    """

    name: Text
    job: Job
    shop: Shop
    papers: tuple[str, ...]
    is_titled: bool
    shop_path: Path | None = None
    notes: tuple[Text, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubList:
    """A list: its settings, how many entries, and the entries one after the other."""

    settings: ClubSettings
    count: int
    entries: Callable[[], Iterator[RawEntry]]


def read_club(path: Path) -> ClubList:
    """The list a file states, by its ending .toml or .csv.

    Raises:
        InputError: the file, its settings or its heading are wrong; entries are checked later.
    """
    kind = path.suffix.lower()
    if kind == ".toml":
        return _from_toml(path)
    if kind == ".csv":
        if _is_pipe(path):  # it is read twice
            raise InputError(
                tr("is no file"), where=str(path), mend=tr("name a .toml or a .csv file")
            )
        count = sum(1 for _ in csv_entries(path))
        if not count:
            raise InputError(
                tr("holds no entry"), where=path.name, mend=tr("add a line for each blank")
            )
        return ClubList(settings=ClubSettings(), count=count, entries=lambda: csv_entries(path))
    raise InputError(tr("is no list"), where=str(path), mend=tr("name a .toml or a .csv file"))


def _is_pipe(path: Path) -> bool:
    try:
        mode = path.stat().st_mode
    except OSError:  # reported when it is read
        return False
    return not (stat.S_ISREG(mode) or stat.S_ISDIR(mode))


def _from_toml(path: Path) -> ClubList:
    faults: list[InputError] = []
    top = TomlTable(read_toml(path), where=path.name, faults=faults)
    beside = path.parent
    logo, shop = top.text("logo"), top.text("shop")
    nest, tenon, rows = top.raw("nest"), top.raw("tenon"), top.raw("blanks")
    date = top.raw("date")
    settings = ClubSettings(
        name=top.text("name", longest=LONGEST_NAME),
        logo=beside / logo if logo else None,
        shop=beside / shop if shop else None,
        units=Units(top.choice("units", "mm", ("mm", "in"))),
        papers=top.texts("papers", most=MOST_PAPERS),
        parts=top.members("parts", (), DRAWN_KINDS),
        date="" if date is None else iso_date(str(date)),
        nest=nest if isinstance(nest, dict) else {},
        tenon=tenon if isinstance(tenon, dict) else {},
        language=top.choice("language", ENGLISH, languages()) if "language" in top.data else "",
        full=top.flag("full", default=False),
    )
    top.known.append("language")
    for key, value in (("nest", nest), ("tenon", tenon)):
        if value is not None and not isinstance(value, dict):
            mend = tr("write [{key}] as in a job file", key=key)
            top.fault(key, tr("is not a table"), mend)
    if not isinstance(rows, list) or not rows:
        mend = tr("add a [[blanks]] table for each blank")
        top.fault("blanks", tr("holds no entry"), mend)
        rows = []
    elif len(rows) > MOST_ENTRIES:
        what = tr("{count} entries", count=len(rows))
        top.fault("blanks", what, tr("at most {count} in one list", count=MOST_ENTRIES))
    top.done()
    if faults:
        raise InputErrors(faults)
    # The tables meant for every entry are read once with a blank, so that their faults come once.
    sample = {"diameter": "400 mm", "height": "180 mm", "wood": "American sycamore"}
    job_from_table(_job_table(sample, settings), where=path.name)

    def entries() -> Iterator[RawEntry]:
        for number, row in enumerate(rows, start=1):
            values = row if isinstance(row, dict) else {"": _no_table(row)}
            yield RawEntry(
                number=number, where=f"{path.name}: blanks[{number}]", values=dict(values)
            )

    return ClubList(settings=settings, count=len(rows), entries=entries)


def iso_date(text: str) -> str:
    """A date as ISO 8601 where it is written 2.5.2026, as German spreadsheets do; else as it is.

    >>> iso_date("02.05.2026"), iso_date("2026-05-02")
    ('2026-05-02', '2026-05-02')
    """
    found = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", text.strip())
    if found is None:
        return text
    day, month, year = found.groups()
    return f"{year}-{month:0>2}-{day:0>2}"


def _no_table(row: object) -> tuple[Text, Text]:
    """What is wrong with an entry that is no table, and the mend."""
    return (
        tr("{value} is not a table", value=shown(row)),
        tr("add a [[blanks]] table for each blank"),
    )


def check_entry(raw: RawEntry, settings: ClubSettings, *, folder: Path) -> ClubEntry:
    """One entry, checked, with the files it names.

    Args:
        raw: as it stands in the list.
        settings: of the list.
        folder: where the list lies; paths in it start there.

    Raises:
        InputError: every fault of the entry, or of a file it names.
    """
    stated = _stated(raw)
    shop_path = folder / stated.shop if stated.shop else settings.shop
    where: Text
    if stated.job:
        path = folder / stated.job
        where, table = path.name, read_toml(path)
        beside = job_from_table(table, where=where).shop
        if not stated.shop and beside:
            shop_path = path.parent / beside
        if shop_path is None:
            raise InputError(
                tr("names no shop"), where=raw.where, mend=tr('add shop = "shop.toml"')
            )
    else:
        where, table = raw.where, _job_table(raw.values, settings)
    shop = demo_shop() if shop_path is None else read_shop(shop_path)
    table, notes = _plannable(table, shop)
    try:
        job = job_from_table(table, where=where, shop_defaults=shop.rules)
    except InputErrors as error:
        for fault in error.faults:
            fault.where = _without_blank(fault.where)
        raise
    if settings.parts:
        job = dataclasses.replace(job, print=dataclasses.replace(job.print, parts=settings.parts))
    return ClubEntry(
        name=stated.name or (job.shown_title if stated.job else _size(raw)),
        job=job,
        shop=shop,
        papers=tuple(dict.fromkeys(stated.papers or settings.papers or (job.print.paper,))),
        is_titled=bool(stated.job),
        shop_path=shop_path,
        notes=notes,
    )


def _plannable(table: dict[str, Any], shop: Shop) -> tuple[dict[str, Any], tuple[Text, ...]]:
    """The table of a job, and a note on a wood that no table has or that has no figures of its own.

    A wall by drying needs a wood that is known: where it is not, the wall is a share of the rim,
    so that the bench is not left out.
    """
    blank, nest = table.get("blank"), table.get("nest", {})
    if not isinstance(blank, dict) or not isinstance(nest, dict) or "wood" in table:
        return table, ()
    wood = blank.get("wood", "")
    if not isinstance(wood, str):
        return table, ()
    match = match_wood(wood)
    by_shop = "wall" not in nest and shop.rules.nest_of(shop.units).wall == DryingWall()
    if not isinstance(match, OneWood) and (nest.get("wall") == "drying" or by_shop):
        what = match.what if wood else tr("no wood is named")
        note = tr("{what}: wall {wall} of the rim, no drying figures", what=what, wall=WITHOUT_WOOD)
        return {**table, "nest": {**nest, "wall": WITHOUT_WOOD}}, (note,)
    if wood and isinstance(match, UnknownWood):
        note = tr("{what}: planned without drying figures; {mend}",
                  what=match.what, mend=match.mend)  # fmt: skip
        return table, (note,)
    return table, ()


class _Stated(NamedTuple):
    """What an entry says of itself; the figures of its blank stay in its values."""

    name: str
    job: str
    shop: str
    papers: tuple[str, ...]


def _stated(raw: RawEntry) -> _Stated:
    """The entry's own keys, checked.

    Raises:
        InputErrors: every fault of the keys; the figures of the blank are checked with the job.
    """
    faults: list[InputError] = []
    table = TomlTable(raw.values, where=raw.where, faults=faults)
    if isinstance(whole := raw.values.get(""), tuple):
        table.known.append("")
        table.fault("", *whole)
    stated = _Stated(
        name=table.text("name", longest=LONGEST_NAME),
        job=table.text("job"),
        shop=table.text("shop"),
        papers=_papers(table),
    )
    for key in _BLANK_KEYS:
        given = table.raw(key) is not None
        if given and stated.job and key != "units":
            mend = tr("change the job file, or leave out job")
            table.fault(key, tr("not with a job file"), mend)
    table.done()
    if faults:
        raise InputErrors(faults)
    return stated


def _without_blank(where: Text) -> Text:
    """The place of a fault without the table [blank], which a list's own entry does not have."""
    if isinstance(where, Joined):
        return Joined(tuple(_without_blank(part) for part in where.parts), where.separator)
    if isinstance(where, str):
        text = where.removeprefix("blank.")
        return text.replace(": blank.", ": ").replace(".blank.", ".")
    return where


def _size(raw: RawEntry) -> Text:
    return tr(
        "Blank {diameter} × {height}",
        diameter=str(raw.values.get("diameter", "")),
        height=str(raw.values.get("height", "")),
    )


def _papers(table: TomlTable) -> tuple[str, ...]:
    value = table.raw("paper")
    if isinstance(value, str):
        papers = tuple(value.replace(";", " ").replace("+", " ").split())
        if len(papers) <= MOST_PAPERS:
            return papers
        what = tr("{count} papers", count=len(papers))
        table.fault("paper", what, tr("at most {count}", count=MOST_PAPERS))
        return ()
    return table.texts("paper", most=MOST_PAPERS)


def _job_table(values: Mapping[str, Any], settings: ClubSettings) -> dict[str, Any]:
    """The table of a job file for a blank given in the list itself."""
    blank = {k: values[k] for k in ("diameter", "height", "wood", "outside") if k in values}
    data: dict[str, Any] = {
        "units": values.get("units", settings.units.value),
        "blank": blank,
        "nest": {**settings.nest, **({"wall": values["wall"]} if "wall" in values else {})},
        "tenon": settings.tenon,
    }
    date = values.get("date", settings.date)
    if date:
        data["date"] = iso_date(date) if isinstance(date, str) else date
    return data
