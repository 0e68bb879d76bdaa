"""Prints a pack anew from its recipe."""

import dataclasses
from dataclasses import dataclass
from pathlib import Path

from templategen.app.jobs import settle
from templategen.app.packs import shop_set_title
from templategen.app.printers import profile_named
from templategen.messages import Wording
from templategen.nest.check import check_plan
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.output.pdf import write_pdf
from templategen.proof.recipe import (
    MOST_BYTES,
    NAME,
    Recipe,
    read_recipe,
    recipe_bytes,
)
from templategen.proof.remake import remake
from templategen.proof.sandbox import SandboxedPack
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack, with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Reprint:
    """A pack that was printed anew; `profile` is the printer it is corrected for, or None."""

    pdf: Path
    sheets: int
    paper: str
    parts: int
    profile: PrinterProfile | None
    wording: Wording


def reprint(
    path: Path,
    out: Path,
    *,
    paper: str | None = None,
    printer: str | None = None,
    language: str = "",
) -> Reprint:
    """Prints a pack anew.

    Args:
        path: a PDF that this program wrote.
        out: folder for the new PDF.
        paper: by name; None for that of the pack.
        printer: name of a measured printer; None for that of the pack.
        language: ISO 639-1, asked for in this run; goes before the pack's own.

    Raises:
        InputError: an unknown paper or printer; a pack that cannot be read.
        OutputError: the disk.
    """
    sheet = None if paper is None else paper_named(paper)
    other = profile_named(printer)
    with SandboxedPack(path) as file:
        recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=file.name)
    opened = settle(recipe.job, recipe.shop, language)
    recipe = dataclasses.replace(recipe, job=opened.job)
    plan, parts = remake(recipe)
    if not recipe.is_shop_set:
        check_plan(plan)
    sheet, profile = sheet or recipe.paper, other or recipe.profile
    head = recipe.letterhead or Letterhead(name="")
    frame = PageFrame(paper=sheet, profile=profile)
    laid = make_pack(plan, parts, frame=frame, style=recipe.style, head=head.height)
    laid = with_letterhead(laid, head)
    title, name = _names(recipe, plan.job.title, opened.wording)
    data = write_pdf(laid, title=title, attachments={NAME: recipe_bytes(plan, laid)})
    changed = [
        "" if paper is None else safe_name(sheet.name),
        "" if other is None else safe_name(other.name, fallback="printer"),
        language,
    ]
    make_folder(out)
    target = out / f"{'-'.join(filter(None, [name, *changed]))}.pdf"
    write_atomically(target, data)
    return Reprint(
        pdf=target,
        sheets=len(laid.pages),
        paper=sheet.name,
        parts=len(parts),
        profile=profile,
        wording=opened.wording,
    )


def _names(recipe: Recipe, title: str, wording: Wording) -> tuple[str, str]:
    """The title of the PDF and the name of its file, as the first print had them."""
    if recipe.is_shop_set:
        return shop_set_title(title, wording), f"{safe_name(title, fallback='shop')}-set"
    return title, safe_name(title, fallback="pack")
