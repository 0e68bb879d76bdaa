"""A pack made again from its recipe: the plan and the parts that its pages should show."""

import dataclasses
import math

from templategen.errors import InputError
from templategen.inputs.toml_table import TomlTable
from templategen.messages import Text, tr
from templategen.nest.plan import Plan
from templategen.nest.plan_json import plan_to_json
from templategen.nest.planner import make_plan
from templategen.parts.drawing import Part
from templategen.parts.registry import make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.proof.recipe import Recipe
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
    plan = make_plan(recipe.job, recipe.shop)
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


def remake(recipe: Recipe) -> tuple[Plan, tuple[Part, ...]]:
    """The plan and the parts of a recipe; of a shop's set, the plan that stands for the shop.

    The parts are worded in the language of the pack.

    Raises:
        InputError: see `replan`; or nothing to print.
    """
    if recipe.is_shop_set:
        plan = shop_plan(recipe.shop, date=recipe.job.date)
        stated = dataclasses.replace(plan.job.print, language=recipe.job.print.language)
        plan = dataclasses.replace(plan, job=dataclasses.replace(plan.job, print=stated))
        parts = shop_parts(
            recipe.shop, kinds=recipe.kinds, date=recipe.job.date, style=recipe.style
        )
    else:
        plan = replan(recipe)
        parts = make_parts(plan, kinds=recipe.kinds, style=recipe.style)
    if plan.has_stop or not parts:
        raise InputError(
            tr("its job gives nothing to print"),
            where=f"{recipe.where}: recipe",
            mend=tr("see what `templategen plan` says of the job"),
        )
    return plan, parts
