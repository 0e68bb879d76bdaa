"""A job and its shop as forms: opened, a cut fixed where it was dragged to, changes as data."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from templategen.app.forms import form_of, table_of
from templategen.app.jobs import OpenedJob, OwnedShop, job_in_shop
from templategen.errors import InputError, InputErrors, TemplategenError
from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.messages import tr
from templategen.nest import planner
from templategen.nest.plan import Cut, CutSetting, Finding, OtherSet, Plan
from templategen.trade.records import Job, PinnedCut, Shop
from templategen.units import Units, inch_text

SAME = 1e-6  # mm
PAIRS = (("entry_radius", "depth_at_axis"), ("pivot_offset", "pivot_standoff"))
STEPS = {"entry": 0, "depth": 0, "offset": 1, "standoff": 1}  # which pair a step changes
MOST_STEPS = 1000  # marks at a time
Form = Mapping[str, object]


class FormError(Exception):
    """Faults of a form.

    Args:
        faults: document (job, shop or record) and fault, at least one.
    """

    def __init__(self, faults: list[tuple[str, TemplategenError]]) -> None:
        super().__init__(faults)
        self.faults = faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """Where a cut is to go.

    Args:
        cut: its number.
        pair: of `PAIRS`: 0 for entry and depth, 1 for the pivot.
        first: entry or offset, mm.
        second: depth or standoff, mm.
    """

    cut: int
    pair: int
    first: float
    second: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A key of a form and its new value; None removes it."""

    doc: str
    key: str
    value: object


def open_forms(job: Form, shop: Form, *, language: str) -> OpenedJob:
    """The job and the shop that two forms state.

    Args:
        job: form of a job.
        shop: form of a shop.
        language: of what is said.

    Raises:
        FormError: every fault of both.
    """
    faults: list[tuple[str, TemplategenError]] = []
    job_table, shop_table = table_of(job, "job"), table_of(shop, "shop")
    owned: OwnedShop | None = None
    try:
        owned = OwnedShop(shop_from_table(shop_table, where=""), shop_table)
    except InputError as error:
        faults += _each("shop", error)
    try:
        if owned is not None:
            return job_in_shop(job_table, owned, where="", language=language)
        job_from_table(job_table, where="")
    except InputError as error:
        faults += _each("job", error)
    raise FormError(faults)


def check_form(form: Form, doc: str) -> dict[str, object]:
    """The table of a form that has no fault.

    Raises:
        FormError: every fault of it.
    """
    table = table_of(form, doc)
    try:
        if doc == "shop":
            shop_from_table(table, where="")
        else:
            job_from_table(table, where="")
    except InputError as error:
        raise FormError(_each(doc, error)) from error
    return table


def _each(doc: str, error: InputError) -> list[tuple[str, TemplategenError]]:
    faults = error.faults if isinstance(error, InputErrors) else (error,)
    return [(doc, fault) for fault in faults]


def planned(opened: OpenedJob, *, with_suggestions: bool = False) -> Plan:
    """The plan; suggestions and other sets take longer than all else.

    Raises:
        FormError: the blank, the tenon, the wood or a fixed cut cannot be.
    """
    try:
        return planner.make_plan(opened.job, opened.shop, with_suggestions=with_suggestions)
    except InputError as error:
        raise FormError(_each("job", error)) from error


def pins_of(plan: Plan) -> dict[int, int]:
    """Which cuts of a plan are fixed: number of the cut, and place of its pin in the job."""
    found: dict[int, int] = {}
    for cut in plan.cuts:
        for place, pin in enumerate(plan.job.nest.pinned):
            if place not in found.values() and _is_of(pin, cut):
                found[cut.number] = place
                break
    return found


def _is_of(pin: PinnedCut, setting: CutSetting) -> bool:
    stated = [key for pair in PAIRS for key in pair if getattr(pin, key) is not None]
    return pin.cutter == setting.cutter.id and all(
        abs(getattr(pin, key) - getattr(setting, key)) < SAME for key in stated
    )


def stepped(cut: Cut, steps: Mapping[str, int], units: Units) -> Move:
    """The move of a cut by marks.

    Args:
        cut: where it is.
        steps: marks by name, entry and depth or offset and standoff.
        units: of the job, whose marks are taken.

    Raises:
        InputError: none of these, or of both pairs.
    """
    wanted = {STEPS[name] for name in steps if name in STEPS}
    if len(wanted) != 1 or steps.keys() - STEPS.keys():
        raise InputError(tr("no such step of a cut"))
    pair = wanted.pop()
    names = [name for name in STEPS if STEPS[name] == pair]
    values = []
    for key, name in zip(PAIRS[pair], names, strict=True):
        count = steps.get(name, 0)
        if abs(count) > MOST_STEPS:
            raise InputError(tr("no such step of a cut"))
        values.append(getattr(cut, key) + count * units.grid)
    return Move(cut=cut.number, pair=pair, first=values[0], second=values[1])


def with_pin(form: Form, plan: Plan, move: Move) -> dict[str, Any]:
    """A job's form in which a cut is fixed where it was moved to, on the marks of the job.

    Args:
        form: of the job.
        plan: of that job.
        move: where to.

    Raises:
        InputError: no such cut.
    """
    cut = numbered_cut(plan, move.cut)
    pins, place = _pins(form), pins_of(plan).get(move.cut)
    grid = plan.job.units.grid
    values = (round(value / grid) * grid for value in (move.first, move.second))
    pin: dict[str, object] = {"cutter": cut.cutter.id}
    for key, value in zip(PAIRS[move.pair], values, strict=True):
        pin[key] = _written(value, plan.job.units)
    if place is None:
        pins.append(pin)
    else:
        pins[place] = pin
    return _with_pins(form, pins)


def without_pin(form: Form, plan: Plan, number: int) -> dict[str, Any]:
    """A job's form in which a cut is free again.

    Raises:
        InputError: the cut is not fixed.
    """
    place = pins_of(plan).get(number)
    if place is None:
        raise InputError(tr("cut {number} is not fixed", number=number))
    pins = _pins(form)
    del pins[place]
    return _with_pins(form, pins)


def with_set(form: Form, other: OtherSet, units: Units) -> dict[str, Any]:
    """A job's form with the cuts of another set fixed, and no more."""
    pins: list[object] = [
        {
            "cutter": setting.cutter.id,
            "entry_radius": _written(setting.entry_radius, units),
            "depth_at_axis": _written(setting.depth_at_axis, units),
        }
        for setting in other.settings
    ]
    changed = _with_pins(form, pins)
    changed["nest"] = {**changed["nest"], "add_cuts": False}
    return changed


def cut_at(plan: Plan, move: Move) -> int | None:
    """The number that a moved cut has in the plan made after it."""
    grid = plan.job.units.grid
    wished = [round(value / grid) * grid for value in (move.first, move.second)]
    for cut in plan.cuts:
        found = [getattr(cut, key) for key in PAIRS[move.pair]]
        if all(abs(a - b) < SAME for a, b in zip(found, wished, strict=True)):
            return cut.number
    return None


def numbered_cut(plan: Plan, number: int) -> Cut:
    """The cut of a number.

    Raises:
        InputError: the plan has none.
    """
    if not 1 <= number <= len(plan.cuts):
        raise InputError(tr("no cut {number}", number=number))
    return plan.cuts[number - 1]


def _pins(form: Form) -> list[object]:
    nest = form.get("nest")
    pins = nest.get("pinned") if isinstance(nest, Mapping) else None
    return list(pins) if isinstance(pins, list) else []


def _with_pins(form: Form, pins: list[object]) -> dict[str, Any]:
    nest = form.get("nest")
    changed = dict(nest) if isinstance(nest, Mapping) else {}
    changed["pinned"] = pins
    if not pins:
        del changed["pinned"]
    return {**form, "nest": changed}


def _written(length: float, units: Units) -> float | str:
    """A length on the marks, as a form holds it."""
    if units is Units.IN:
        return inch_text(length)
    return round(length, 6)


def changes_of(finding: Finding, plan: Plan) -> tuple[Change, ...]:
    """What a suggestion changes in the forms; empty for a finding that suggests nothing."""
    if finding.changed is None:
        return ()
    job, shop = finding.changed
    return (
        *_differences("job", _nest_tables(plan.job), _nest_tables(job)),
        *_shop_changes(plan.shop, shop),
    )


def _short(value: object) -> object:
    """A changed figure as a person would type it."""
    if isinstance(value, float):
        return round(value, 6)
    if isinstance(value, str) and value.endswith(" %"):
        return f"{float(value[:-2]):.6g} %"
    return value


def _nest_tables(job: Job) -> dict[str, Any]:
    table = job_to_table(job)
    return {key: table[key] for key in ("blank", "nest", "tenon")}


def _shop_changes(old: Shop, new: Shop) -> tuple[Change, ...]:
    """The rows of cutters and jaws that are added."""
    before, after = form_of(shop_to_table(old)), form_of(shop_to_table(new))
    return tuple(
        Change(doc="shop", key=key, value=after[key])
        for key in ("cutters", "jaws")
        if before[key] != after[key]
    )


def _differences(
    doc: str, old: Mapping[str, Any], new: Mapping[str, Any], path: str = ""
) -> tuple[Change, ...]:
    found: list[Change] = []
    for key in {**old, **new}:
        place = f"{path}.{key}" if path else key
        before, after = old.get(key), new.get(key)
        if before == after:
            continue
        if isinstance(before, Mapping) and isinstance(after, Mapping):
            found += _differences(doc, before, after, place)
        else:
            found.append(Change(doc=doc, key=place, value=_short(after)))
    return tuple(found)
