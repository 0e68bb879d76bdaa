"""Opens a job with its shop: the shop's own rules as defaults, and the language settled.

A language comes from ``language`` (what a person asked for in this run), else from the job or the
shop, else it is English; the machine's own language never reaches what is printed.
"""

import dataclasses
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from templategen.app.typed import typed_sides
from templategen.errors import InputError
from templategen.inputs.job_file import check_cutters, job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import demo_job, demo_shop, demo_tables
from templategen.inputs.toml_table import read_toml
from templategen.messages import ENGLISH, Text, Wording, tr
from templategen.trade.records import UNTITLED, Job, Print, Shop
from templategen.units import Units, typed_units

LONGEST_TITLE = 100  # letters


Table = Mapping[str, object]  # as read from TOML


@dataclass(frozen=True, slots=True)
class OwnedShop:
    """A shop, and the table of the file that states it."""

    shop: Shop
    table: Table


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedShop:
    """A shop, and the wording of what is printed for it."""

    shop: Shop
    wording: Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedJob:
    """A job, the shop it is done in, and the wording of what is printed and said of it.

    `job_table` and `shop_table` are what their files state, empty where there is no file.
    """

    job: Job
    shop: Shop
    wording: Wording
    job_table: Table = field(default_factory=dict)
    shop_table: Table = field(default_factory=dict)


def open_job(path: Path, *, shop: Path | None = None, language: str = "") -> OpenedJob:
    """The job of a file, with its shop.

    Args:
        path: job file.
        shop: shop file; None for the one that the job names, beside the job file.
        language: asked for in this run, ISO 639-1; goes before the job's own.

    Raises:
        InputError: every fault of the files; no shop is named; a cutter that the shop lacks.
    """
    table = read_toml(path)
    named = job_from_table(table, where=path.name).shop
    if shop is None and not named:
        raise InputError(tr("names no shop"), where=path.name, mend=tr('add shop = "shop.toml"'))
    owned = read_owned(path.parent / named if shop is None else shop)
    return job_in_shop(table, owned, where=path.name, language=language)


def open_blank(
    size: str,
    *,
    wood: str = "",
    shop: Path | None = None,
    language: str = "",
) -> OpenedJob:
    """A job for a bare blank, all else by the rules of the shop.

    Args:
        size: diameter and height as a person wrote them, such as ``400x180``, in the shop's unit
            where they name none. The job is in the unit that both are in, else in the shop's.
        wood: its name, or empty.
        shop: shop file; None for the invented demo shop.
        language: asked for in this run, ISO 639-1; goes before the shop's own.

    Raises:
        InputError: every fault of size, wood and shop.
    """
    fault = tr("{text!r} is not diameter x height", text=size)
    sides = diameter, height = typed_sides(size, "--blank", fault=fault, example="400x180")
    owned = read_owned(shop)
    table = {
        "units": common_unit(sides, owned.shop.units).value,
        "blank": {"diameter": diameter, "height": height, "wood": wood},
    }
    opened = job_in_shop(table, owned, where=tr("command line"), language=language)
    title = opened.wording.say("Blank {size}", size=size)[:LONGEST_TITLE]
    return dataclasses.replace(opened, job=dataclasses.replace(opened.job, title=title))


def common_unit(sides: Iterable[str], otherwise: Units) -> Units:
    """The unit that all lengths of a size were typed in, those without in `otherwise`; or that."""
    typed = {typed_units(side, otherwise) for side in sides}
    return typed.pop() if len(typed) == 1 else otherwise


def open_demo(*, shop: Path | None = None, language: str = "") -> OpenedJob:
    """The invented demo job, in the invented demo shop or in a shop of one's own.

    Raises:
        InputError: every fault of the shop file.
    """
    owned = read_owned(shop)
    opened = settle(demo_job(), owned.shop, language)
    return dataclasses.replace(opened, job_table=demo_tables()[0], shop_table=owned.table)


def open_shop(path: Path | None, *, language: str = "") -> OpenedShop:
    """The shop of a file, or the invented demo shop.

    Args:
        path: shop file, or None.
        language: asked for in this run, ISO 639-1; goes before the shop's own.

    Returns: the shop states the language that is used, so that a recipe holds it.

    Raises:
        InputError: every fault of the file.
    """
    shop = read_owned(path).shop
    own = shop.rules.print_of(shop.units)
    wording = Wording(language or own.language or ENGLISH)
    if wording.language != (own.language or ENGLISH):
        rules = dataclasses.replace(
            shop.rules,
            print=_stating(own, wording),
            stated=tuple(dict.fromkeys((*shop.rules.stated, "print.language"))),
        )
        shop = dataclasses.replace(shop, rules=rules)
    return OpenedShop(shop=shop, wording=wording)


def read_owned(path: Path | None) -> OwnedShop:
    """The shop of a file; the invented demo shop for None.

    Raises:
        InputError: every fault of the file.
    """
    if path is None:
        return OwnedShop(demo_shop(), demo_tables()[1])
    table = read_toml(path)
    return OwnedShop(shop_from_table(table, where=path.name), table)


def job_in_shop(table: Table, owned: OwnedShop, *, where: Text, language: str = "") -> OpenedJob:
    """The job of a table, what it leaves out by the rules of its shop.

    Args:
        table: of a job file.
        owned: the shop whose rules are the defaults and whose cutters are used.
        where: names the file in faults.
        language: asked for in this run, ISO 639-1; goes before the job's own.

    Raises:
        InputErrors: every fault of the table.
    """
    job = job_from_table(table, where=where, shop_defaults=owned.shop.rules)
    opened = settle(job, owned.shop, language)
    return dataclasses.replace(opened, job_table=table, shop_table=owned.table)


def settle(job: Job, shop: Shop, language: str = "") -> OpenedJob:
    """A job with its cutters found in the shop and its language settled.

    Returns: the job states the language that is used, so that a recipe holds it.

    Raises:
        InputError: a cutter that the shop lacks.
    """
    wording = Wording(language or job.print.language or ENGLISH)
    if job.title == UNTITLED:
        job = dataclasses.replace(job, title=wording.say(UNTITLED))
    if wording.language != (job.print.language or ENGLISH):
        job = dataclasses.replace(job, print=_stating(job.print, wording))
    check_cutters(job, shop)
    return OpenedJob(job=job, shop=shop, wording=wording)


def _stating(prints: Print, wording: Wording) -> Print:
    return dataclasses.replace(prints, language=wording.language)
