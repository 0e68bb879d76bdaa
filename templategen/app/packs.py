"""Writes packs and shop sets: one PDF, and cutting files beside it."""

from collections.abc import Sequence
from pathlib import Path

from templategen.app.jobs import OpenedJob, OpenedShop
from templategen.app.print_wishes import (
    CuttingFolder,
    PackTarget,
    PrintWishes,
    WrittenPack,
    checked_wishes,
    wished_kinds,
)
from templategen.errors import InputError
from templategen.messages import Wording, tr
from templategen.nest.check import check_plan
from templategen.nest.plan import Plan
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part
from templategen.parts.lettering import missing_letters
from templategen.parts.registry import make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named

__all__ = ["CuttingFolder", "PrintWishes", "StoppedPlanError", "WrittenPack", "checked_wishes",
           "nothing_to_print", "shop_set_title", "wished_kinds", "write_pack",
           "write_shop_set"]  # fmt: skip


class StoppedPlanError(Exception):
    """A pack was asked for of a plan that has a stop finding; nothing is written."""


def write_pack(opened: OpenedJob, plan: Plan, wishes: PrintWishes, out: Path) -> WrittenPack:
    """Writes the templates of a plan.

    Args:
        opened: the job that was planned.
        plan: of that job.
        wishes: what to print.
        out: folder of the pack; made where it is missing.

    Raises:
        StoppedPlanError: the plan has a stop.
        InputError: an unknown paper or kind of part, or no part is left.
        GeometryError: the beam cannot be allowed for, or the plan breaks a rule.
        OutputError: the disk.
    """
    paper_named(wishes.paper or plan.job.print.paper)
    style = PrintStyle(units=wishes.units or plan.job.units, wording=opened.wording)
    parts = make_parts(plan, kinds=wishes.kinds or plan.job.print.parts, style=style)
    if plan.has_stop:
        raise StoppedPlanError
    check_plan(plan)
    name = safe_name(plan.job.title, fallback="pack")
    return _written(plan, parts, wishes, PackTarget(out, name, plan.job.title, style))


def write_shop_set(
    opened: OpenedShop, wishes: PrintWishes, out: Path, *, date: str = ""
) -> WrittenPack:
    """Writes the templates that a shop needs once, whatever the blank.

    Args:
        opened: the shop.
        wishes: what to print.
        out: folder of the set; made where it is missing.
        date: ISO date to print, or empty.

    Raises:
        InputError: an unknown paper or kind of part, or one that needs a job.
        GeometryError: the beam cannot be allowed for.
        OutputError: the disk.
    """
    shop = opened.shop
    style = PrintStyle(units=wishes.units or shop.units, wording=opened.wording)
    parts = shop_parts(shop, kinds=wishes.kinds, date=date, style=style)
    name = f"{safe_name(shop.name, fallback='shop')}-set"
    title = shop_set_title(shop.name, opened.wording)
    return _written(shop_plan(shop, date=date), parts, wishes, PackTarget(out, name, title, style))


def shop_set_title(shop: str, wording: Wording) -> str:
    """The title of the PDF of a shop's set."""
    return wording.say("{shop}: shop set", shop=shop)


def nothing_to_print(where: str) -> InputError:
    """The fault that no part is left of those asked for."""
    return InputError(tr("nothing to print"), where=where, mend=tr("name another kind of part"))


def _written(
    plan: Plan, parts: Sequence[Part], wishes: PrintWishes, target: PackTarget
) -> WrittenPack:
    if not parts:
        raise nothing_to_print("--part")
    pdf, sheets = None, 0
    paper = paper_named(wishes.paper or plan.job.print.paper)
    if "pdf" in wishes.formats:
        frame = PageFrame(paper=paper, profile=wishes.profile)
        laid = make_pack(plan, parts, frame=frame, style=target.style)
        data = write_pdf(laid, title=target.title, attachments={NAME: recipe_bytes(plan, laid)})
        make_folder(target.out)
        pdf, sheets = target.out / f"{target.name}.pdf", len(laid.pages)
        write_atomically(pdf, data)
    folders: tuple[CuttingFolder, ...] = ()
    open_lines = 0
    if wishes.formats != ("pdf",):
        # Loaded here because the library for DXF takes longer to load than a pack to write.
        from templategen.app.cutting_files import write_cutting_files  # noqa: PLC0415

        folders, open_lines = write_cutting_files(parts, wishes, target)
    words = "".join(text.text for part in parts for text in part.drawing.texts())
    return WrittenPack(
        parts=len(parts),
        pdf=pdf,
        sheets=sheets,
        paper=paper.name,
        folders=folders,
        beam=wishes.beam,
        open_lines=open_lines,
        missing=tuple(missing_letters(words)),
    )
