"""A pack made again from its recipe: plan, parts, pages and file."""

import dataclasses
import math
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.inputs.toml_table import TomlTable
from templategen.messages import Text, tr
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part
from templategen.parts.registry import SHOP_KINDS, check_kinds, make_parts, usual_kinds
from templategen.parts.shop_set import shop_parts, shop_plan, shop_set_title
from templategen.proof.recipe import NAME, Recipe, make_recipe, recipe_bytes
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import Pack, PageFrame
from templategen.sheets.work_order import make_pack, with_letterhead
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import PinnedCut

MOST_CUTS = 40
MUST_AGREE = frozenset({"cutter", "pivot_offset", "pivot_standoff", "rim_diameter", "wall"})
SAME_FIGURE = 1e-6  # mm, degrees, mm³ relative: two plans this near are the same plan


def replan(recipe: Recipe) -> Plan:
    """The plan of a recipe, made anew from its job and its shop, the same as the one it carries.

    Another version of the planner may choose other cuts: then the cuts of the recipe are taken as
    they are and judged by the rules. Findings are not compared: their wording may change.

    Raises:
        InputError: neither gives the plan inside, so the recipe has been changed or is too old.
    """
    with_suggestions = recipe.kinds != (PartKind.HAND_OUT,)  # it was planned without
    plan = make_plan(recipe.job, recipe.shop, with_suggestions=with_suggestions)
    found = _plan_difference(plan, recipe)
    if not found:
        return plan
    pins = _pinned_cuts(recipe)
    if pins:
        nest = dataclasses.replace(recipe.job.nest, pinned=pins, add_cuts=False)
        try:
            kept = make_plan(dataclasses.replace(recipe.job, nest=nest), recipe.shop)
        except InputError:
            kept = None  # the cuts cannot be made at all
        if kept is not None and not _plan_difference(kept, recipe):
            return dataclasses.replace(kept, job=recipe.job)
    raise InputError(
        found,
        where=f"{recipe.where}: recipe",
        mend=tr("it was changed, or made by a version of other rules: pack the job anew"),
    )


def _pinned_cuts(recipe: Recipe) -> tuple[PinnedCut, ...]:
    """The cuts the recipe carries, to be judged; none if they cannot be read."""
    faults: list[InputError] = []
    pins = []
    for table in TomlTable(recipe.plan, where="plan", faults=faults).tables("cuts", most=MOST_CUTS):
        pin = PinnedCut(
            cutter=table.text("cutter", longest=40),
            pivot_offset=table.required_length("pivot_offset", -1000, 1000),
            pivot_standoff=table.required_length("pivot_standoff", -1000, 1000),
        )
        pins.append(pin)
    return () if faults else tuple(pins)


def _plan_difference(plan: Plan, recipe: Recipe) -> Text:
    """Where a plan differs from the one a recipe carries, in words; empty if nowhere."""
    made = plan_to_json(plan)
    held = recipe.plan if isinstance(recipe.plan, dict) else {}
    return next(
        (
            found
            for key in ("cuts", "bowls")
            if (found := _difference(made[key], held.get(key), f"plan.{key}"))
        ),
        "",
    )


def _difference(made: object, held: object, place: str) -> Text:
    """Where two plans differ, in words; empty if nowhere."""
    if isinstance(made, bool) or isinstance(held, bool) or made is None or held is None:
        return "" if made is held or made == held else _is_other(place)
    if isinstance(made, int | float) and isinstance(held, int | float):
        try:
            held = float(held)
        except OverflowError:  # a whole number of hundreds of digits
            held = math.inf if held > 0 else -math.inf
        if math.isclose(made, held, rel_tol=SAME_FIGURE, abs_tol=SAME_FIGURE):
            return ""
        return tr(
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
        # A version may tell more of a cut or a bowl than another; what both tell must agree.
        pairs = [(made[k], held[k], f"{place}.{k}") for k in made if k in held]
    elif isinstance(made, list) and isinstance(held, list) and len(made) == len(held):
        pairs = [
            (m, h, f"{place}[{n}]") for n, (m, h) in enumerate(zip(made, held, strict=True), 1)
        ]
    else:
        return "" if made == held else _is_other(place)
    return next((found for pair in pairs if (found := _difference(*pair))), "")


def _is_other(place: str) -> Text:
    return tr("{place} is other than its job and shop give", place=place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remade:
    """A pack made again: what `pack` would print of the recipe's job today."""

    plan: Plan
    parts: tuple[Part, ...]
    pack: Pack
    title: str

    def file(self) -> bytes:
        """The pack as a PDF that carries its recipe."""
        held = {NAME: recipe_bytes(self.plan, self.pack)}
        return write_pdf(self.pack, title=self.title, attachments=held)


def remake(recipe: Recipe) -> Remade:
    """The pack of a recipe, in the language of the pack.

    Raises:
        InputError: see `replan`; or nothing to print.
    """
    style, kinds = recipe.style, recipe.kinds
    if recipe.is_shop_set:
        plan = shop_plan(recipe.shop, date=recipe.job.date)
        stated = dataclasses.replace(plan.job.print, language=recipe.job.print.language)
        plan = dataclasses.replace(plan, job=dataclasses.replace(plan.job, print=stated))
        parts = shop_parts(recipe.shop, kinds=kinds, date=recipe.job.date, style=style)
        title = shop_set_title(plan.job.title, style.wording)
    else:
        plan = replan(recipe)
        parts = make_parts(plan, kinds=kinds, style=style)
        title = plan.job.title
    if plan.has_stop or not parts:
        raise InputError(
            tr("its job gives nothing to print"),
            where=f"{recipe.where}: recipe",
            mend=tr("see what `templategen plan` says of the job"),
        )
    head = recipe.letterhead or Letterhead(name="")
    frame = PageFrame(paper=recipe.paper, profile=recipe.profile)
    pack = make_pack(plan, parts, frame=frame, style=style, head=head.height)
    if recipe.letterhead is not None:
        pack = with_letterhead(pack, head)
    return Remade(plan=plan, parts=tuple(parts), pack=pack, title=title)


def left_out(recipe: Recipe, remade: Remade) -> tuple[str, ...]:
    """The kinds of parts that the job gives when none is named and that the pack has not."""
    plan = remade.plan
    wished = tuple(SHOP_KINDS) if recipe.is_shop_set else (
        check_kinds(plan.job.print.parts) or usual_kinds(plan)
    )  # fmt: skip
    absent = [kind for kind in wished if kind not in recipe.kinds]
    if not absent:
        return ()
    if recipe.is_shop_set:
        parts = shop_parts(recipe.shop, kinds=absent, date=recipe.job.date, style=recipe.style)
    else:
        parts = make_parts(plan, kinds=absent, style=recipe.style)
    return tuple(dict.fromkeys(str(part.kind) for part in parts))


def recipe_difference(recipe: Recipe, remade: Remade) -> Text:
    """Where plan or places in a recipe differ from those made anew, in words; empty if nowhere."""
    made = make_recipe(remade.plan, remade.pack)
    return _difference(made["plan"], recipe.plan, "plan") or _difference(
        made["pages"], recipe.pages, "pages"
    )
