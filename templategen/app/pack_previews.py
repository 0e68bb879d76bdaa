"""A pack looked at before it is saved: its parts, its sheets and pictures of them."""

from collections.abc import Callable
from dataclasses import dataclass

from templategen.app.jobs import OpenedJob
from templategen.app.packs import StoppedPlanError, nothing_to_print
from templategen.app.print_wishes import PrintWishes
from templategen.messages import Wording
from templategen.nest.plan import Plan
from templategen.output.page_pictures import page_png
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing
from templategen.parts.registry import KINDS, ON_REQUEST, make_parts
from templategen.parts.style import PrintStyle
from templategen.parts.use_sketch import use_sketch
from templategen.sheets.page import Pack, PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import Group, PartKind

__all__ = ["kind_pictures", "kinds_by_group", "page_png", "preview_pack"]

NEEDS = {  # fields of the forms without which a plan has none of a kind
    PartKind.LOG_END: ("job", "log.diameter"),
    PartKind.LOG_OVERLAY: ("job", "log.diameter"),
    PartKind.STANDOFF_BLOCK: ("shop", "post.body"),
    PartKind.HEIGHT_STICK: ("shop", "lathe.centre_height"),
}


def kinds_by_group() -> dict[Group, tuple[PartKind, ...]]:
    """The kinds of parts by the step of the work, in working order."""
    found: dict[Group, tuple[PartKind, ...]] = {}
    for kind in KINDS:
        found[kind.group] = (*found.get(kind.group, ()), kind)
    return {group: found[group] for group in Group if group in found}


@dataclass(frozen=True, slots=True, kw_only=True)
class KindPicture:
    """How a kind of part looks.

    Args:
        drawing: its first part, or how it is used where the plan has none of it.
        is_made: whether the plan has one.
        needs: document and key of the field without which there is none.
    """

    drawing: Drawing
    is_made: bool
    needs: tuple[str, str] | None = None


def kind_pictures(plan: Plan, wording: Wording) -> dict[PartKind, KindPicture]:
    """Every kind of part as this plan gives it, printed or not."""
    style = PrintStyle(units=plan.job.units, wording=wording)
    found: dict[PartKind, KindPicture] = {}
    for kind, make in KINDS.items():
        parts = make(plan, style=style)
        if parts:
            found[kind] = KindPicture(drawing=parts[0].drawing, is_made=True)
        else:
            drawing = use_sketch(kind)
            found[kind] = KindPicture(drawing=drawing, is_made=False, needs=NEEDS.get(kind))
    return found


def is_on_request(kind: PartKind) -> bool:
    """Whether a kind is printed only where it is named."""
    return kind in ON_REQUEST


def preview_pack(
    opened: OpenedJob,
    plan: Plan,
    wishes: PrintWishes,
    progress: Callable[[int, int], None],
) -> tuple[Pack, bytes]:
    """The pack as `write_pack` would write it.

    Args:
        opened: the job that was planned.
        plan: of that job.
        wishes: what to print.
        progress: called with steps done, of how many.

    Returns: its pages, and the PDF.

    Raises:
        StoppedPlanError: the plan has a stop.
        InputError: an unknown paper or kind of part, or no part is left.
    """
    if plan.has_stop:
        raise StoppedPlanError
    paper = paper_named(wishes.paper or plan.job.print.paper)
    style = PrintStyle(units=wishes.units or plan.job.units, wording=opened.wording)
    parts = make_parts(plan, kinds=wishes.kinds or plan.job.print.parts, style=style)
    if not parts:
        raise nothing_to_print("")
    progress(1, 3)
    frame = PageFrame(paper=paper, profile=wishes.profile)
    laid = make_pack(plan, parts, frame=frame, style=style)
    progress(2, 3)
    pdf = write_pdf(laid, title=plan.job.title, attachments={})
    return laid, pdf
