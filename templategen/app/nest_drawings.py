"""Drawings for a screen: the nest, its rims, and parts made small."""

from collections.abc import Sequence

from templategen.messages import Wording
from templategen.nest.plan import Plan
from templategen.output.screen_svg import drawing_on_screen, groups_svg
from templategen.parts.drawing import Drawing, Text
from templategen.parts.nest_drawing import nest_groups, rim_groups
from templategen.parts.style import PrintStyle


def nest_svg(plan: Plan, wording: Wording, *, pinned: Sequence[int] = ()) -> str:
    """The half section with the ids of `nest_groups`.

    Args:
        plan: the plan.
        wording: language of the figures.
        pinned: numbers of the cuts that are fixed.
    """
    style = PrintStyle(units=plan.job.units, wording=wording)
    groups = nest_groups(plan, style=style, pinned=frozenset(pinned))
    return groups_svg(groups, name="nest", wording=wording)


def rims_svg(plan: Plan, wording: Wording) -> str:
    """The rims green and dried; empty where the shrinkage of the wood is not known."""
    groups = rim_groups(plan)
    return groups_svg(groups, name="rims", wording=wording) if groups else ""


def small_picture(drawing: Drawing) -> str:
    """A drawing so small that its wording could not be read: without it."""
    lines = tuple(item for item in drawing.items if not isinstance(item, Text))
    return drawing_on_screen(Drawing(items=lines))
