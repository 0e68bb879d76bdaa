"""The recipe a pack carries: job, shop, plan, and where each part lies on each page.

Written with the pack, and read back to print it anew or to measure it. Whoever sends a pack may
have written the recipe inside, so it is read like a file: bounded, checked, every name known.
"""

import base64
import binascii
import dataclasses
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from templategen import __version__
from templategen.errors import InputError, InputErrors, LimitError, hidden
from templategen.inputs.job_file import check_cutters, job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.inputs.toml_table import TomlTable, shown
from templategen.messages import ENGLISH, Joined, Text, Wording, tr
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.parts.registry import KINDS
from templategen.parts.style import PrintStyle
from templategen.sheets.letterhead import MOST_LOGO, Letterhead, Logo, PictureKind
from templategen.sheets.page import Pack, Page
from templategen.trade.paper import Paper, paper_named
from templategen.trade.printer import LEAST, MOST, MOST_SKEW, PrinterProfile
from templategen.trade.records import Job, Shop
from templategen.units import Units

FORMAT = "templategen-pack/2"
NAME = "templategen-pack.json"
MOST_BYTES = 4_000_000  # a pack of 400 sheets has less than a quarter of it
LONGEST_CLUB = 100  # letters of a club's name
PRINT_ANEW = tr("print the job anew")
NO_PACK = tr("this is no pack")
Read = TypeVar("Read")


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A checked recipe.

    Args:
        where: names the pack.
        release: the version of this program that made it; empty where it does not say.
        job: what was planned.
        shop: with which cutters and jaws.
        plan: as it stands in the file: compared, never used.
        pages: likewise.
        units: of the print.
        paper: upright.
        kinds: of parts.
        profile: the printer that pages are corrected for, or None.
        letterhead: at the head of the first page; None where the pack has none.
    """

    where: str
    release: str
    job: Job
    shop: Shop
    plan: object
    pages: object
    units: Units
    paper: Paper
    kinds: tuple[str, ...]
    profile: PrinterProfile | None
    letterhead: Letterhead | None = None

    @property
    def language(self) -> str:
        """The language of the pack: its job's, or English."""
        return self.job.print.language or ENGLISH

    @property
    def style(self) -> PrintStyle:
        """Units and language of the pack."""
        return PrintStyle(units=self.units, wording=Wording(self.language))

    @property
    def is_shop_set(self) -> bool:
        """Whether the pack is a shop's set, which has no cuts and no bowls."""
        plan = self.plan
        return isinstance(plan, dict) and plan.get("cuts") == [] and plan.get("bowls") == []


def make_recipe(plan: Plan, pack: Pack) -> dict[str, Any]:
    """The recipe as an object ready for JSON (design.md §8): millimetres throughout.

    Args:
        plan: what the pack was made of.
        pack: with its letterhead, if it has one.
    """
    job, language = plan.job, pack.style.wording.language
    if language != (job.print.language or ENGLISH):
        # The pack is made again in its own language, which may be another than its job's.
        job = dataclasses.replace(job, print=dataclasses.replace(job.print, language=language))
        plan = dataclasses.replace(plan, job=job)
    return {
        "format": FORMAT,
        "release": __version__,
        "job": job_to_table(job),
        "shop": shop_to_table(plan.shop),
        "plan": plan_to_json(plan, pack.style.wording),
        "print": _print_to_json(pack),
        "pages": [_page_to_json(page) for page in pack.pages],
    }


def _print_to_json(pack: Pack) -> dict[str, Any]:
    kinds = {placement.part.kind for page in pack.pages for placement in page.placements}
    profile = pack.profile
    return {
        "units": pack.units.value,
        "paper": pack.paper.name,
        "kinds": [kind for kind in KINDS if kind in kinds],
        "printer": None if profile is None else dataclasses.asdict(profile),
        **_letterhead_to_json(pack.letterhead),
    }


def _page_to_json(page: Page) -> dict[str, Any]:
    """Where each part lies, as in the file: what a printer's profile changes included."""
    return {
        "number": page.number,
        "label": page.label,
        "paper": [page.paper.width, page.paper.height],
        "parts": [
            {
                "part": placement.part.key,
                "kind": placement.part.kind,
                "tile": placement.tile,
                "transform": list(placement.transform.then(page.correction)),
                "window": list(placement.clip.moved(page.correction)),
            }
            for placement in page.placements
        ],
        "marks": [
            {
                "part": mark.part_key,
                "tile": mark.tile,
                "label": mark.label,
                "x": mark.point.x,
                "y": mark.point.y,
            }
            for mark in page.marks
        ],
    }


def _letterhead_to_json(letterhead: Letterhead | None) -> dict[str, Any]:
    """The letterhead as the recipe states it: nothing for none, the picture's bytes as base64."""
    if letterhead is None:
        return {}
    logo = letterhead.logo
    if logo is not None and len(logo.data) > MOST_LOGO:
        logo = None
    return {
        "letterhead": {
            # A hidden letter does not show on the page, and would not be read back.
            "name": "".join(c for c in letterhead.name if not hidden(c)),
            "picture": None
            if logo is None
            else {"kind": logo.kind.value, "data": base64.b64encode(logo.data).decode("ascii")},
        }
    }


def recipe_bytes(plan: Plan, pack: Pack) -> bytes:
    """The recipe as UTF-8 JSON."""
    text = json.dumps(make_recipe(plan, pack), ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8")


def read_recipe(data: bytes, *, where: str) -> Recipe:
    """The recipe that bytes hold.

    Args:
        data: as found in a pack; may be anything.
        where: names the pack in faults.

    Raises:
        InputError: too large, not JSON, or not a recipe; one fault, and how many more there are.
    """
    place = f"{where}: recipe"
    if len(data) > MOST_BYTES:
        raise LimitError(
            tr("larger than {bound} MB", bound=MOST_BYTES // 1_000_000),
            where=place,
            mend=NO_PACK,
        )
    try:
        found = json.loads(data.decode("utf-8"), parse_constant=_no_number)
    except UnicodeDecodeError as error:
        raise InputError(tr("not UTF-8 text"), where=place, mend=PRINT_ANEW) from error
    except RecursionError as error:
        raise InputError(tr("nested too deeply"), where=place, mend=PRINT_ANEW) from error
    except ValueError as error:
        why = shown(str(error).split(":")[0])
        raise InputError(tr("not JSON ({why})", why=why), where=place, mend=PRINT_ANEW) from error
    try:
        return _recipe(found, where, place)
    except InputErrors as error:
        first, more = error.faults[0], len(error.faults) - 1
        mend: Text = first.mend
        if more:
            mend = tr("{mend} (and {count} more)", mend=mend, count=more)
        raise InputError(first.what, where=first.where, mend=mend) from error


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _recipe(found: object, where: str, place: str) -> Recipe:
    faults: list[InputError] = []
    top = TomlTable(found, where=place, faults=faults)
    format_ = top.text("format")
    if faults:
        raise InputErrors(faults)
    if format_ != FORMAT:
        what = tr("format {found} is not {format!r}", found=shown(format_), format=FORMAT)
        mend = tr("read it with the templategen that wrote it")
        raise InputErrors([InputError(what, where=place, mend=mend)])
    shop, job = _shop_and_job(top, place, faults)
    release = top.text("release", longest=40)
    plan, pages = top.raw("plan"), top.raw("pages")
    wishes = _print_wishes(top.table("print"), place, faults)
    top.done()
    if faults or job is None or shop is None:
        raise InputErrors(faults)
    return Recipe(
        where=where, release=release, job=job, shop=shop, plan=plan, pages=pages, **wishes
    )


def _shop_and_job(
    top: TomlTable, place: str, faults: list[InputError]
) -> tuple[Shop | None, Job | None]:
    """The shop and the job, each None if it has faults."""
    shop = _gathered(faults, place, lambda: shop_from_table(top.raw("shop"), where=f"{place}.shop"))
    rules = shop.rules if shop is not None else None
    job = _gathered(
        faults,
        place,
        lambda: job_from_table(top.raw("job"), where=f"{place}.job", shop_defaults=rules),
    )
    if job is not None and shop is not None:
        both = job, shop
        _gathered(faults, place, lambda: check_cutters(*both))
    return shop, job


def _print_wishes(table: TomlTable, place: str, faults: list[InputError]) -> dict[str, Any]:
    """What the recipe states of the print, by the names of `Recipe`'s fields."""
    kinds = table.texts("kinds")
    for kind in kinds:
        if kind not in KINDS:
            table.fault("kinds", tr("unknown kind of part {kind}", kind=shown(kind)), PRINT_ANEW)
    wishes: dict[str, Any] = {
        "units": Units(table.choice("units", "mm", tuple(Units))),
        "paper": _gathered(
            faults, place, lambda: paper_named(table.text("paper", "a4", longest=40))
        ),
        "kinds": kinds,
        "profile": _profile(table) if table.raw("printer") is not None else None,
    }
    if table.raw("letterhead") is not None:
        wishes["letterhead"] = _gathered(faults, place, lambda: _letterhead(table))
    table.done()
    return wishes


def _gathered(faults: list[InputError], place: str, read: Callable[[], Read]) -> Read | None:
    """What `read` gives, or None, its faults noted with the place before their own."""
    try:
        return read()
    except InputError as error:
        for fault in error.faults if isinstance(error, InputErrors) else (error,):
            where = fault.where
            if not (isinstance(where, str) and where.startswith(place)):
                where = Joined((place, where), ": ")
            faults.append(InputError(fault.what, where=where, mend=fault.mend))
        return None


def _profile(table: TomlTable) -> PrinterProfile:
    inner = table.table("printer")
    profile = PrinterProfile(
        name=inner.text("name", longest=40),
        across=inner.number("across", 1.0, LEAST, MOST),
        down=inner.number("down", 1.0, LEAST, MOST),
        skew=inner.number("skew", 0.0, -MOST_SKEW, MOST_SKEW),
    )
    inner.done()
    return profile


def _letterhead(table: TomlTable) -> Letterhead:
    """The letterhead, its picture checked anew as one from outside."""
    inner = table.table("letterhead")
    name = inner.text("name", longest=LONGEST_CLUB)
    logo = _picture(inner) if inner.raw("picture") is not None else None
    inner.done()
    return Letterhead(name=name, logo=logo)


def _picture(table: TomlTable) -> Logo | None:
    # Reading pictures takes libraries that only packs with a picture need: 0.1 s.
    from templategen.proof.logo import checked_logo  # noqa: PLC0415

    inner = table.table("picture")
    kind = inner.choice("kind", PictureKind.PNG.value, tuple(PictureKind))
    data = inner.raw("data")
    inner.done()
    where = inner.place("data")
    try:
        held = base64.b64decode(data if isinstance(data, str) else "?", validate=True)
    except (binascii.Error, ValueError) as error:
        raise InputError(tr("is not base64"), where=where, mend=PRINT_ANEW) from error
    logo = checked_logo(held, where=where)
    if logo.kind.value != kind:
        what = tr("is no picture of the kind {kind!r}", kind=kind)
        raise InputError(what, where=where, mend=PRINT_ANEW)
    return logo
