"""Writes packs and shop sets: one PDF, and cutting files beside it."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from templategen.app.jobs import OpenedJob, OpenedShop
from templategen.app.print_wishes import (
    PackTarget,
    PrintWishes,
    WrittenPack,
)
from templategen.errors import InputError
from templategen.messages import tr
from templategen.nest.check import check_plan
from templategen.nest.plan import Plan
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Part
from templategen.parts.lettering import missing_letters
from templategen.parts.registry import make_parts
from templategen.parts.shop_set import shop_parts, shop_plan, shop_set_title
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.cutting_sheet import MACHINE_CAUTION
from templategen.trade.paper import paper_named

__all__ = ["MACHINE_CAUTION", "StoppedPlanError", "letters_lacking", "nothing_to_print",
           "write_pack", "write_shop_set"]  # fmt: skip

Progress = Callable[[int, int], None]  # steps done, of how many


class StoppedPlanError(Exception):
    """A pack was asked for of a plan that has a stop finding; nothing is written."""


def write_pack(
    opened: OpenedJob,
    plan: Plan,
    wishes: PrintWishes,
    out: Path,
    *,
    progress: Progress | None = None,
) -> WrittenPack:
    """Writes the templates of a plan: a PDF, cutting files a part, or parts nested on sheets.

    Args:
        opened: the job that was planned.
        plan: of that job.
        wishes: what to print.
        out: folder of the pack; made where it is missing.
        progress: called with steps done, of how many.

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
    return _written(plan, parts, wishes, PackTarget(out, name, plan.job.title, style), progress)


def write_shop_set(
    opened: OpenedShop,
    wishes: PrintWishes,
    out: Path,
    *,
    date: str = "",
    progress: Progress | None = None,
) -> WrittenPack:
    """Writes the templates that a shop needs once, whatever the blank.

    Args:
        opened: the shop.
        wishes: what to print.
        out: folder of the set; made where it is missing.
        date: ISO date to print, or empty.
        progress: called with steps done, of how many.

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
    target = PackTarget(out, name, title, style)
    return _written(shop_plan(shop, date=date), parts, wishes, target, progress)


def nothing_to_print(where: str) -> InputError:
    """The fault that no part is left of those asked for."""
    return InputError(tr("nothing to print"), where=where, mend=tr("name another kind of part"))


def letters_lacking(parts: Sequence[Part]) -> str:
    """The letters of parts that the font lacks, each once."""
    return missing_letters("".join(text.text for part in parts for text in part.drawing.texts()))


def _written(
    plan: Plan,
    parts: Sequence[Part],
    wishes: PrintWishes,
    target: PackTarget,
    progress: Progress | None,
) -> WrittenPack:
    if not parts:
        raise nothing_to_print("--part")
    paper = paper_named(wishes.paper or plan.job.print.paper)
    done = WrittenPack(
        parts=len(parts),
        paper=paper.name,
        beam=wishes.beam,
        missing=letters_lacking(parts),
    )
    if wishes.formats != ("pdf",):
        # Loaded here because the library for DXF takes longer to load than a pack to write.
        from templategen.app.cutting_files import write_files_to_cut  # noqa: PLC0415

        stock = plan.job.print.stock
        cut = write_files_to_cut(parts, wishes, target, stock=stock, progress=progress)
        done = replace(done, cut=cut)
    if "pdf" in wishes.formats:
        frame = PageFrame(paper=paper, profile=wishes.profile)
        laid = make_pack(plan, parts, frame=frame, style=target.style)
        data = write_pdf(laid, title=target.title, attachments={NAME: recipe_bytes(plan, laid)})
        make_folder(target.out)
        pdf = target.out / f"{target.name}.pdf"
        write_atomically(pdf, data)
        done = replace(done, pdf=pdf, sheets=len(laid.pages))
    return done
