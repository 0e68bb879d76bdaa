"""Every kind of part and the function that draws it, in the order of the print."""

from collections.abc import Sequence
from typing import Protocol

from templategen.errors import InputError, known_names, suggestion
from templategen.messages import tr
from templategen.nest.plan import Plan
from templategen.parts import (
    blank_disc,
    cut_plate,
    cutter_arc,
    depth_stick,
    drying_sheet,
    figures_card,
    gauge_block,
    gauge_stick,
    hand_out,
    height_stick,
    holding_card,
    log_end,
    outside_template,
    radius_finder,
    scale_sheet,
    section_sheet,
    setting_card,
    setting_plate,
    standoff_block,
    stop_dial,
    tag,
    tenon_profile,
    tenon_ring,
)
from templategen.parts.drawing import Part
from templategen.parts.labels import JobLabel, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import Group, PartKind, part_kind_named
from templategen.trade.records import Shop


class PlanMaker(Protocol):
    """Draws the parts of one kind that a plan needs, none if it needs none."""

    def __call__(self, plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
        """The parts, in the order of the print."""


class ShopMaker(Protocol):
    """Draws the parts of one kind that a shop needs once, whatever the blank."""

    def __call__(self, shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
        """The parts, in the order of the print."""


def _for_plan(make: ShopMaker) -> PlanMaker:
    """The parts that a plan's shop needs, marked with the plan's job."""

    def make_for_plan(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
        return make(plan.shop, label=job_label(plan, style), style=style)

    return make_for_plan


KINDS: dict[PartKind, PlanMaker] = {  # in the order of the work, that of PartKind
    PartKind.SETTING_CARD: setting_card.make,
    PartKind.FIGURES_CARD: figures_card.make,
    PartKind.SECTION_SHEET: section_sheet.make,
    PartKind.HAND_OUT: hand_out.make,
    PartKind.BLANK_DISC: blank_disc.make,
    PartKind.LOG_END: log_end.make,
    PartKind.LOG_OVERLAY: log_end.make_overlay,
    PartKind.OUTSIDE_TEMPLATE: outside_template.make,
    PartKind.TENON_RING: tenon_ring.make,
    PartKind.FULL_CIRCLE: tenon_ring.make_full,
    PartKind.TENON_PROFILE: tenon_profile.make,
    PartKind.SETTING_PLATE: setting_plate.make,
    PartKind.STANDOFF_BLOCK: standoff_block.make,
    PartKind.GAUGE_STICK: gauge_stick.make,
    PartKind.GAUGE_BLOCK: gauge_block.make,
    PartKind.HEIGHT_STICK: height_stick.make,
    PartKind.DEPTH_STICK: depth_stick.make,
    PartKind.CUT_PLATE: cut_plate.make,
    PartKind.STOP_DIAL: stop_dial.make,
    PartKind.TAG: tag.make,
    PartKind.DRYING_SHEET: drying_sheet.make,
    PartKind.HOLDING_CARD: holding_card.make,
    PartKind.CUTTER_ARC: cutter_arc.make,
    PartKind.RADIUS_FINDER: _for_plan(radius_finder.make_for_shop),
    PartKind.JAW_DEPTH_BLOCK: _for_plan(gauge_block.make_for_shop),
    PartKind.SCALE_SHEET: _for_plan(scale_sheet.make_for_shop),
}
SHOP_KINDS: dict[PartKind, ShopMaker] = {  # the shop set, in the order of the print
    PartKind.CUTTER_ARC: cutter_arc.make_for_shop,
    PartKind.TENON_RING: tenon_ring.make_for_shop,
    PartKind.HEIGHT_STICK: height_stick.make_for_shop,
    PartKind.RADIUS_FINDER: radius_finder.make_for_shop,
    PartKind.JAW_DEPTH_BLOCK: gauge_block.make_for_shop,
    PartKind.SCALE_SHEET: scale_sheet.make_for_shop,
}
ON_REQUEST = frozenset(  # for other wishes, on other parts too, or needed once a shop
    {
        PartKind.HAND_OUT,
        PartKind.LOG_OVERLAY,
        PartKind.FULL_CIRCLE,
        PartKind.TENON_PROFILE,
        PartKind.DRYING_SHEET,
        PartKind.RADIUS_FINDER,
        PartKind.SCALE_SHEET,
    }
)


def check_kinds(kinds: Sequence[str]) -> tuple[PartKind, ...]:
    """The kinds meant by those names, each once: a name, a plural, a word or a beginning of it.

    Raises:
        InputError: an unknown or unclear name; the nearest known ones are offered.
    """
    return tuple(dict.fromkeys(part_kind_named(kind, KINDS) for kind in kinds))


def usual_kinds(plan: Plan) -> tuple[PartKind, ...]:
    """The kinds that a pack has where none is named."""
    has_set = plan.job.print.has_shop_set
    return tuple(
        kind
        for kind in KINDS
        if kind not in ON_REQUEST and not (has_set and kind.group is Group.SHOP)
    )


def kinds_of_group(name: str) -> tuple[PartKind, ...]:
    """The kinds of parts of a step of the work, without those on request.

    Args:
        name: of the step, its first word is enough: ``set``, ``read``.

    Raises:
        InputError: no step has that name, or nothing is printed for it.
    """
    words = name.casefold().replace("-", " ").split()
    found = next((g for g in Group if words in (g.value.split(), g.value.split()[:1])), None)
    if found is None:
        known = [group.value for group in Group]
        raise InputError(
            tr("unknown group {name!r}", name=name),
            where="--group",
            mend=suggestion(name, known, known_names(known)),
        )
    return tuple(kind for kind in KINDS if kind.group is found and kind not in ON_REQUEST)


def make_parts(plan: Plan, *, kinds: Sequence[str], style: PrintStyle) -> tuple[Part, ...]:
    """The parts of a plan, in the order of the print.

    Args:
        plan: checked plan.
        kinds: of parts; if none is named all but those on request, and without the parts that a
            shop needs once where the job says that its shop has them.
        style: units and language of the print.

    Raises:
        InputError: an unknown kind; the nearest known one is offered.
    """
    wanted = check_kinds(kinds) or usual_kinds(plan)
    return tuple(
        part for kind, make in KINDS.items() if kind in wanted for part in make(plan, style=style)
    )
