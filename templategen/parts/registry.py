"""Every kind of part, in the order they are printed."""

import difflib
from collections.abc import Callable, Sequence

from templategen.errors import InputError
from templategen.messages import tr
from templategen.nest.plan import Plan
from templategen.parts import (
    cut_plate,
    cutter_arc,
    drying_sheet,
    gauge_block,
    gauge_stick,
    height_stick,
    radius_finder,
    scale_sheet,
    section_sheet,
    setting_card,
    tag,
    tenon_profile,
    tenon_ring,
)
from templategen.parts.drawing import Part
from templategen.parts.style import PrintStyle

KINDS: dict[str, Callable[..., tuple[Part, ...]]] = {
    "setting card": setting_card.make,
    "section sheet": section_sheet.make,
    "cut plate": cut_plate.make,
    "cutter arc": cutter_arc.make,
    "gauge stick": gauge_stick.make,
    "gauge block": gauge_block.make,
    "tenon ring": tenon_ring.make,
    "tenon profile": tenon_profile.make,
    "height stick": height_stick.make,
    "tag": tag.make,
    "drying sheet": drying_sheet.make,
    "radius finder": radius_finder.make,
    "scale sheet": scale_sheet.make,
}

# Not in a job's pack unless named: needed once a shop.
ON_REQUEST = frozenset({"radius finder", "scale sheet"})


def check_kinds(kinds: Sequence[str]) -> None:
    """Nothing, if every kind is known.

    Raises:
        InputError: an unknown kind; the nearest known one is offered.
    """
    for kind in kinds:
        if kind not in KINDS:
            near = difflib.get_close_matches(kind, sorted(KINDS), n=1, cutoff=0.4)
            mend = tr("known: {names}", names=", ".join(KINDS))
            if near:
                mend = tr("did you mean {name!r}?", name=near[0])
            raise InputError(
                tr("unknown kind of part {kind!r}", kind=kind),
                where=tr("part"),
                mend=mend,
            )


def make_parts(plan: Plan, *, kinds: Sequence[str], style: PrintStyle) -> tuple[Part, ...]:
    """The parts of the wished kinds (if none is named, all but those on request).

    Raises:
        InputError: an unknown kind; the nearest known one is offered.
    """
    check_kinds(kinds)
    parts: list[Part] = []
    for kind, make in KINDS.items():
        if kind in kinds or (not kinds and kind not in ON_REQUEST):
            parts += make(plan, style=style)
    return tuple(parts)
