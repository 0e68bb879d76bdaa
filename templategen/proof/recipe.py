"""The recipe a pack carries: job, shop, plan, and where each part lies on each page.

Written with the pack, and read back to print it anew or to measure it. Whoever sends a pack may
have written the recipe inside, so it is read like a file: bounded, checked, every name known.
"""

import base64
import binascii
import dataclasses
import json
import math
from dataclasses import dataclass
from typing import Any

from templategen.errors import InputError, InputErrors, LimitError, TemplategenError, hidden
from templategen.geometry.shapes import Box, Point, Transform
from templategen.inputs.job_file import check_cutters, job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.inputs.toml_table import REQUIRED, TomlTable, shown
from templategen.messages import ENGLISH, say, speaking, spoken
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.nest.planner import make_plan
from templategen.parts.drawing import Part
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.sheets.letterhead import Letterhead, Logo, PictureKind
from templategen.sheets.page import Pack
from templategen.trade.paper import Paper, paper_named
from templategen.trade.printer import LEAST, MOST, PrinterProfile
from templategen.trade.records import Job, Pinned, Shop
from templategen.trade.wood import nearest_wood
from templategen.units import Units

FORMAT = "templategen-pack/1"
NAME = "templategen-pack.json"
MOST_BYTES = 4_000_000  # a pack of 400 sheets has less than a quarter of it
MOST_PAGES = 1000
MOST_ON_A_PAGE = 200
MOST_PARTS = 4000
FARTHEST = 20_000.0  # mm: no coordinate of a part or a page lies beyond
MOST_CUTS = 40
MOST_LOGO = 2_000_000  # bytes of a picture that is carried along
LONGEST_CLUB = 100  # letters of a club's name
MUST_AGREE = frozenset({"cutter", "pivot_offset", "pivot_standoff", "rim_diameter", "wall"})
SAME_FIGURE = 1e-6  # mm, degrees, mm³ relative: two plans this near are the same plan


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPart:
    """Where a part, or a tile of it, lies on a page: part to page, and its window, page mm.

    Both are as in the file, what a printer's profile changes included.
    """

    key: str
    kind: str
    tile: str
    transform: Transform
    window: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidMark:
    """A registration mark on a tile, part mm."""

    key: str
    tile: str
    label: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPage:
    """One page as the recipe states it."""

    number: int
    label: str
    paper: Paper
    parts: tuple[LaidPart, ...]
    marks: tuple[LaidMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A checked recipe. `plan` is as it stands in the file and is compared, never used.

    `letterhead` is None where the pack has none, or was made before recipes held it.
    """

    where: str
    job: Job
    shop: Shop
    plan: object
    units: Units
    paper: Paper
    kinds: tuple[str, ...]
    profile: PrinterProfile | None
    pages: tuple[LaidPage, ...]
    letterhead: Letterhead | None = None

    @property
    def language(self) -> str:
        """The language of the pack: its job's, or English."""
        return self.job.print.language or ENGLISH


def make_recipe(plan: Plan, pack: Pack) -> dict[str, Any]:
    """The recipe as an object ready for JSON (design.md §8): millimetres throughout.

    Args:
        plan: what the pack was made of.
        pack: with its letterhead, if it has one.
    """
    kinds = {p.part.kind: None for page in pack.pages for p in page.placements}
    job = plan.job
    if spoken() != (job.print.language or ENGLISH):
        # The pack is worded in the language in use; made anew it must come out the same.
        job = dataclasses.replace(job, print=dataclasses.replace(job.print, language=spoken()))
        plan = dataclasses.replace(plan, job=job)
    return {
        "format": FORMAT,
        "job": job_to_table(job),
        "shop": shop_to_table(plan.shop),
        "plan": plan_to_json(plan),
        "print": {
            "units": pack.units.value,
            "paper": pack.paper.name,
            "kinds": [kind for kind in KINDS if kind in kinds],
            "printer": None
            if pack.profile is None
            else {
                "name": pack.profile.name,
                "across": pack.profile.across,
                "down": pack.profile.down,
            },
            **_letterhead_said(pack.letterhead),
        },
        "pages": [
            {
                "number": page.number,
                "label": page.label,
                "paper": [page.paper.width, page.paper.height],
                "parts": [
                    {
                        "part": placement.part.key,
                        "kind": placement.part.kind,
                        "tile": placement.tile,
                        "transform": list(placement.transform.then(page.correction)),
                        "window": list(_moved(placement.clip, page.correction)),
                    }
                    for placement in page.placements
                ],
                "marks": [
                    {
                        "part": m.part_key,
                        "tile": m.tile,
                        "label": m.label,
                        "x": m.point.x,
                        "y": m.point.y,
                    }
                    for m in page.marks
                ],
            }
            for page in pack.pages
        ],
    }


def _letterhead_said(letterhead: Letterhead | None) -> dict[str, Any]:
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


def _moved(box: Box, transform: Transform) -> Box:
    one = transform.apply(Point(box.left, box.bottom))
    two = transform.apply(Point(box.right, box.top))
    return Box(one.x, one.y, two.x, two.y)


def recipe_bytes(plan: Plan, pack: Pack) -> bytes:
    """The recipe as UTF-8 JSON."""
    text = json.dumps(make_recipe(plan, pack), indent=1, ensure_ascii=False, allow_nan=False)
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
            say("larger than {bound} MB", bound=MOST_BYTES // 1_000_000),
            where=place,
            mend=say("this is no pack"),
        )
    again = say("print the job anew")
    try:
        found = json.loads(data.decode("utf-8"), parse_constant=_no_number)
    except UnicodeDecodeError as error:
        raise InputError(say("not UTF-8 text"), where=place, mend=again) from error
    except RecursionError as error:
        raise InputError(say("nested too deeply"), where=place, mend=again) from error
    except ValueError as error:
        why = shown(str(error).split(":")[0])
        raise InputError(say("not JSON ({why})", why=why), where=place, mend=again) from error
    try:
        return _recipe(found, where, place)
    except InputErrors as error:
        first, more = error.faults[0], len(error.faults) - 1
        mend = first.mend
        if more:
            mend = say("{mend} (and {count} more)", mend=mend, count=more)
        raise InputError(first.what, where=first.where, mend=mend) from error


def _no_number(name: str) -> float:
    raise ValueError(say("{name} is no number", name=name))


def _recipe(found: object, where: str, place: str) -> Recipe:
    faults: list[InputError] = []
    top = TomlTable(found, where=place, faults=faults)
    format_ = top.text("format")
    if faults:
        raise InputErrors(faults)
    if format_ != FORMAT:
        fault = InputError(
            say("format {found} is not {format!r}", found=shown(format_), format=FORMAT),
            where=place,
            mend=say("read it with the templategen that wrote it"),
        )
        raise InputErrors([fault])
    shop: Shop | None = _gathered(
        faults, place, lambda: shop_from_table(top.raw("shop"), where=f"{place}.shop")
    )
    usual = shop.rules if shop is not None else None
    job: Job | None = _gathered(
        faults,
        place,
        lambda: job_from_table(
            top.raw("job"), where=f"{place}.job", known_wood=nearest_wood, usual=usual
        ),
    )
    plan = top.raw("plan")
    table = top.table("print")
    units = Units(table.choice("units", "mm", tuple(Units)))
    paper = _gathered(faults, place, lambda: paper_named(table.text("paper", "a4", longest=40)))
    kinds = table.texts("kinds")
    for kind in kinds:
        if kind not in KINDS:
            what = say("unknown kind of part {kind}", kind=shown(kind))
            table.fault("kinds", what, say("print the job anew"))
    profile = _profile(table) if table.raw("printer") is not None else None
    letterhead = None
    if table.raw("letterhead") is not None:
        letterhead = _gathered(faults, place, lambda: _letterhead(table))
    table.done()
    pages = [_page(t) for t in top.tables("pages", most=MOST_PAGES)]
    if not pages:
        top.fault("pages", say("holds no page"), say("print the job anew"))
    if len({page.number for page in pages}) != len(pages):
        top.fault("pages", say("a page number stands twice"), say("print the job anew"))
    if sum(len(page.parts) for page in pages) > MOST_PARTS:
        what = say("more than {most} parts and tiles", most=MOST_PARTS)
        top.fault("pages", what, say("this is no pack"))
    top.done()
    if job is not None and shop is not None:
        both = job, shop
        _gathered(faults, place, lambda: check_cutters(*both))
    if faults or job is None or shop is None or paper is None:
        raise InputErrors(faults)
    return Recipe(
        where=where,
        job=job,
        shop=shop,
        plan=plan,
        units=units,
        paper=paper,
        kinds=kinds,
        profile=profile,
        pages=tuple(pages),
        letterhead=letterhead,
    )


def _gathered(faults: list[InputError], place: str, read: Any) -> Any:  # noqa: ANN401 - as read
    """What `read` gives, or None, its faults noted with the place before their own."""
    try:
        return read()
    except InputErrors as error:
        found: list[TemplategenError] = list(error.faults)
    except InputError as error:
        found = [error]
    for fault in found:
        where = fault.where if fault.where.startswith(place) else f"{place}: {fault.where}"
        faults.append(InputError(fault.what, where=where, mend=fault.mend))
    return None


def _profile(table: TomlTable) -> PrinterProfile:
    inner = table.table("printer")
    profile = PrinterProfile(
        name=inner.text("name", longest=40),
        across=inner.number("across", 1.0, LEAST, MOST),
        down=inner.number("down", 1.0, LEAST, MOST),
    )
    inner.done()
    return profile


def _letterhead(table: TomlTable) -> Letterhead:
    """The letterhead, its picture checked anew as one from outside.

    Raises:
        InputError: the picture is not one that may stand on a page.
    """
    inner = table.table("letterhead")
    name = inner.text("name", longest=LONGEST_CLUB)
    logo = _picture(inner) if inner.raw("picture") is not None else None
    inner.done()
    return Letterhead(name=name, logo=logo)


def _picture(table: TomlTable) -> Logo | None:
    from templategen.output.logo import checked_logo

    inner = table.table("picture")
    kind = inner.choice("kind", PictureKind.PNG.value, tuple(PictureKind))
    data = inner.raw("data")
    inner.done()
    where = inner.place("data")
    try:
        held = base64.b64decode(data if isinstance(data, str) else "?", validate=True)
    except (binascii.Error, ValueError) as error:
        raise InputError(
            say("is not base64"), where=where, mend=say("print the job anew")
        ) from error
    logo = checked_logo(held, where=where)
    if logo.kind.value != kind:
        what = say("is no picture of the kind {kind!r}", kind=kind)
        raise InputError(what, where=where, mend=say("print the job anew"))
    return logo


def _page(table: TomlTable) -> LaidPage:
    width, height = _numbers(table, "paper", 2, 100.0, 2000.0)
    parts = [_part(t) for t in table.tables("parts", most=MOST_ON_A_PAGE)]
    marks = [_mark(t) for t in table.tables("marks", most=MOST_ON_A_PAGE)]
    page = LaidPage(
        number=table.whole("number", 1, 1, 10_000),
        label=table.text("label", longest=40),
        paper=Paper(name="", width=width, height=height),
        parts=tuple(parts),
        marks=tuple(marks),
    )
    table.done()
    return page


def _part(table: TomlTable) -> LaidPart:
    transform = Transform(*_numbers(table, "transform", 6, -FARTHEST, FARTHEST))
    a, b, c, d, _, _ = transform
    sizes = math.hypot(a, b), math.hypot(c, d)
    square = abs(a * c + b * d) <= 1e-9 and a * d - b * c > 0
    if not square or not all(1 / MOST - 1e-9 <= size <= 1 / LEAST + 1e-9 for size in sizes):
        what = say("does not lay a part down at its size")
        table.fault("transform", what, say("print the job anew"))
        transform = Transform()
    window = Box(*_numbers(table, "window", 4, -FARTHEST, FARTHEST))
    part = LaidPart(
        key=table.text("part", longest=80),
        kind=table.text("kind", longest=40),
        tile=table.text("tile", longest=8),
        transform=transform,
        window=window,
    )
    table.done()
    return part


def _mark(table: TomlTable) -> LaidMark:
    mark = LaidMark(
        key=table.text("part", longest=80),
        tile=table.text("tile", longest=8),
        label=table.text("label", longest=120),
        point=Point(
            table.number("x", 0.0, -FARTHEST, FARTHEST), table.number("y", 0.0, -FARTHEST, FARTHEST)
        ),
    )
    table.done()
    return mark


def _numbers(table: TomlTable, key: str, count: int, low: float, high: float) -> list[float]:
    value = table.raw(key)
    if (
        isinstance(value, list)
        and len(value) == count
        and all(isinstance(v, int | float) and not isinstance(v, bool) for v in value)
        and all(low <= v <= high for v in value)
    ):
        return [float(v) for v in value]
    what = say("{value} is not {count} numbers in bounds", value=shown(value), count=count)
    table.fault(key, what, say("print the job anew"))
    return [low] * count


def replan(recipe: Recipe) -> Plan:
    """The plan of a recipe, made anew from its job and its shop, the same as the one it carries.

    Another version of the planner may choose other cuts: then the cuts of the recipe are taken as
    they are and judged by the rules. Findings are not compared: their wording may change.

    Raises:
        InputError: neither gives the plan inside, so the recipe has been changed or is too old.
    """
    with speaking(recipe.language):
        plan = make_plan(recipe.job, recipe.shop)
    found = _other(plan, recipe)
    if not found:
        return plan
    pins = _pins(recipe)
    if pins:
        nest = dataclasses.replace(recipe.job.nest, pinned=pins, add_cuts=False)
        try:
            with speaking(recipe.language):
                kept = make_plan(dataclasses.replace(recipe.job, nest=nest), recipe.shop)
        except InputError:
            kept = None  # the cuts cannot be made at all
        if kept is not None and not _other(kept, recipe):
            return dataclasses.replace(kept, job=recipe.job)
    raise InputError(
        found,
        where=f"{recipe.where}: recipe",
        mend=say("it was changed, or made by a version of other rules: pack the job anew"),
    )


def _pins(recipe: Recipe) -> tuple[Pinned, ...]:
    """The cuts the recipe carries, to be judged; none if they cannot be read."""
    faults: list[InputError] = []
    pins = []
    for table in TomlTable(recipe.plan, where="plan", faults=faults).tables("cuts", most=MOST_CUTS):
        pin = Pinned(
            cutter=table.text("cutter", longest=40),
            pivot_offset=table.length("pivot_offset", REQUIRED, -1000, 1000),
            pivot_standoff=table.length("pivot_standoff", REQUIRED, -1000, 1000),
        )
        pins.append(pin)
    return () if faults else tuple(pins)


def _other(plan: Plan, recipe: Recipe) -> str:
    """Where a plan differs from the one a recipe carries, in words; empty if nowhere."""
    made = plan_to_json(plan)
    held = recipe.plan if isinstance(recipe.plan, dict) else {}
    return next(
        (
            found
            for key in ("cuts", "pieces")
            if (found := _difference(made[key], held.get(key), f"plan.{key}"))
        ),
        "",
    )


def _difference(made: object, held: object, place: str) -> str:
    """Where two plans part, in words; empty if nowhere."""
    if isinstance(made, bool) or isinstance(held, bool) or made is None or held is None:
        return "" if made is held or made == held else _is_other(place)
    if isinstance(made, int | float) and isinstance(held, int | float):
        try:
            held = float(held)
        except OverflowError:  # a whole number of hundreds of digits
            held = math.inf if held > 0 else -math.inf
        if math.isclose(made, held, rel_tol=SAME_FIGURE, abs_tol=SAME_FIGURE):
            return ""
        return say(
            "{place} is {held:g}, not {made:g}, so other than its job and shop give",
            place=place,
            held=held,
            made=float(made),
        )
    if (
        isinstance(made, dict)
        and isinstance(held, dict)
        and held.keys() >= MUST_AGREE & made.keys()
    ):
        # A version may tell more of a cut or a piece than another; what both tell must agree.
        pairs = [(made[k], held[k], f"{place}.{k}") for k in made if k in held]
    elif isinstance(made, list) and isinstance(held, list) and len(made) == len(held):
        pairs = [
            (m, h, f"{place}[{n}]") for n, (m, h) in enumerate(zip(made, held, strict=True), 1)
        ]
    else:
        return "" if made == held else _is_other(place)
    return next((found for pair in pairs if (found := _difference(*pair))), "")


def _is_other(place: str) -> str:
    return say("{place} is other than its job and shop give", place=place)


def remake(recipe: Recipe) -> tuple[Plan, tuple[Part, ...]]:
    """The plan and the parts of a recipe; of a shop's set, the plan that stands for the shop.

    Both are worded in the language of the pack, whatever the screen speaks.

    Raises:
        InputError: see `replan`; or nothing to print.
    """
    if is_shop_set(recipe):
        with speaking(recipe.language):
            plan = shop_plan(recipe.shop, date=recipe.job.date)
            stated = dataclasses.replace(plan.job.print, language=recipe.job.print.language)
            plan = dataclasses.replace(plan, job=dataclasses.replace(plan.job, print=stated))
            parts = shop_parts(plan, kinds=recipe.kinds, units=recipe.units)
    else:
        plan = replan(recipe)
        with speaking(recipe.language):
            parts = make_parts(plan, kinds=recipe.kinds, units=recipe.units)
    if plan.has_stop or not parts:
        raise InputError(
            say("its job gives nothing to print"),
            where=f"{recipe.where}: recipe",
            mend=say("see what `templategen plan` says of the job"),
        )
    return plan, parts


def is_shop_set(recipe: Recipe) -> bool:
    """Whether the pack is a shop's set, which has no cuts and no pieces."""
    plan = recipe.plan
    return isinstance(plan, dict) and plan.get("cuts") == [] and plan.get("pieces") == []
