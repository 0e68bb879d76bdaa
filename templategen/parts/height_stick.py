"""Height stick: stands on the lathe's reference and shows the centre and the cutter's height."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import Item, Part, Text, part_of, polyline
from templategen.parts.labels import LEADING, JobLabel, flag_rows, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Shop

WIDTH = 30.0  # mm; a stick too short for its wording is wider
STEP = 15.0  # mm, width of the step for the cutter
FIRST = 7.0  # mm from the left edge to the baseline of the first row of wording


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The stick for the job's height; none where the shop file gives no ``centre_height``."""
    height = plan.job.nest.height_above_centre
    return _sticks(plan.shop, height, job_label(plan, style), style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """The stick for the height that the shop's jobs have by default; see `make`."""
    return _sticks(shop, shop.rules.nest_of(shop.units).height_above_centre, label, style)


def _sticks(shop: Shop, height: float, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """The stick with two steps.

    The tall step on the left ends at the cutter's height, the step on the right at the centre:
    hold that one to the tailstock's point to prove the stick before it is trusted.

    Args:
        shop: for its lathe.
        height: of the cutter above centre, mm, >= 0.
        label: of the stick.
        style: of its wording.
    """
    centre = shop.lathe.centre_height
    if centre is None:
        return ()
    room = centre - 12.0
    phrases = [*_phrases(height, centre, style), label.fitted(room)]
    rows = flag_rows([phrase for phrase in phrases if phrase], width=room)
    width = max(WIDTH, FIRST + (len(rows) - 1) * LEADING + 4.0)
    corners = [(0.0, 0.0), (width, 0.0), (width, centre)]
    if height > 0:
        corners += [(STEP, centre), (STEP, centre + height), (0.0, centre + height)]
    else:
        corners.append((0.0, centre))
    items: list[Item] = [
        polyline(corners, closed=True),
        *_along(rows),
    ]
    return (part_of(PartKind.HEIGHT_STICK, "height-stick", style.say("Height stick"), items),)


def _along(rows: Sequence[str]) -> list[Text]:
    """Rows of wording along the stick, read from its right side, the first in bold."""
    return [
        Text(text=row, at=Point(FIRST + n * LEADING, 6.0), angle=math.pi / 2, bold=n == 0)
        for n, row in enumerate(rows)
    ]


def _phrases(height: float, centre: float, style: PrintStyle) -> list[str]:
    return [
        style.say("Height stick"),
        style.say("cut on the line"),
        style.say(
            "left step: top of the cutter's tip, {height} above centre, never below",
            height=style.length(height),
        ),
        style.say(
            "right step: centre, {centre} above the bed it stands on; prove it at the "
            "tailstock's point",
            centre=style.length(centre),
        ),
    ]
