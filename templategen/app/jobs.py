"""Opens a job with its shop: the shop's own rules as defaults, and the language settled.

A language comes from ``language`` (what a person asked for in this run), else from the job or the
shop, else it is English; the machine's own language never reaches what is printed.
"""

import dataclasses
from dataclasses import dataclass
from pathlib import Path

from templategen.errors import InputError
from templategen.inputs.job_file import check_cutters, job_from_table
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import demo_job, demo_shop
from templategen.inputs.toml_table import read_toml
from templategen.messages import ENGLISH, Text, Wording, tr
from templategen.trade.records import UNTITLED, Job, Print, Shop

LONGEST_TITLE = 100  # letters


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedShop:
    """A shop, and the wording of what is printed for it."""

    shop: Shop
    wording: Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedJob:
    """A job, the shop it is done in, and the wording of what is printed and said of it."""

    job: Job
    shop: Shop
    wording: Wording


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
        raise no_shop(path.name)
    owned = read_shop(path.parent / named if shop is None else shop)
    return job_in_shop(table, owned, where=path.name, language=language)


def open_blank(
    size: str,
    sides: tuple[str, str],
    *,
    wood: str = "",
    shop: Path | None = None,
    language: str = "",
) -> OpenedJob:
    """A job for a bare blank, all else by the rules of the shop.

    Args:
        size: the blank as a person wrote it, for the title.
        sides: diameter and height as texts, in the shop's unit where they name none.
        wood: its name, or empty.
        shop: shop file; None for the invented demo shop.
        language: asked for in this run, ISO 639-1; goes before the shop's own.

    Raises:
        InputError: every fault of size, wood and shop.
    """
    owned = read_owned(shop)
    diameter, height = sides
    table: dict[str, object] = {
        "units": owned.units.value,
        "blank": {"diameter": diameter, "height": height, "wood": wood},
    }
    opened = job_in_shop(table, owned, where=tr("command line"), language=language)
    title = opened.wording.say("Blank {size}", size=size)[:LONGEST_TITLE]
    return dataclasses.replace(opened, job=dataclasses.replace(opened.job, title=title))


def open_demo(*, shop: Path | None = None, language: str = "") -> OpenedJob:
    """The invented demo job, in the invented demo shop or in a shop of one's own.

    Raises:
        InputError: every fault of the shop file.
    """
    return settle(demo_job(), read_owned(shop), language)


def open_shop(path: Path | None, *, language: str = "") -> OpenedShop:
    """The shop of a file, or the invented demo shop.

    Args:
        path: shop file, or None.
        language: asked for in this run, ISO 639-1; goes before the shop's own.

    Returns: the shop states the language that is used, so that a recipe holds it.

    Raises:
        InputError: every fault of the file.
    """
    shop = read_owned(path)
    own = shop.rules.print_of(shop.units)
    wording = Wording(language or own.language or ENGLISH)
    if wording.language != (own.language or ENGLISH):
        stated = _stating(own, wording)
        shop = dataclasses.replace(shop, rules=dataclasses.replace(shop.rules, print=stated))
    return OpenedShop(shop=shop, wording=wording)


def read_owned(path: Path | None) -> Shop:
    """The shop of a file; the invented demo shop for None.

    Raises:
        InputError: every fault of the file.
    """
    return demo_shop() if path is None else read_shop(path)


def job_in_shop(table: object, shop: Shop, *, where: Text, language: str = "") -> OpenedJob:
    """The job of a table, what it leaves out by the rules of its shop.

    Args:
        table: of a job file.
        shop: whose rules are the defaults and whose cutters are used.
        where: names the file in faults.
        language: asked for in this run, ISO 639-1; goes before the job's own.

    Raises:
        InputErrors: every fault of the table.
    """
    job = job_from_table(table, where=where, shop_defaults=shop.rules)
    return settle(job, shop, language)


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


def no_shop(where: str) -> InputError:
    """The fault that a job names no shop."""
    return InputError(tr("names no shop"), where=where, mend=tr('add shop = "shop.toml"'))


def _stating(prints: Print, wording: Wording) -> Print:
    return dataclasses.replace(prints, language=wording.language)
