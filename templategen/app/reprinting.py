"""Prints a pack anew from its recipe."""

from dataclasses import dataclass
from pathlib import Path

from templategen.app.printers import profile_named
from templategen.errors import InputError
from templategen.messages import Wording, tr
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.proof.untrusted import reprinted
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
    made = reprinted(path, paper=sheet, profile=other, language=language)
    name = safe_name(made.title, fallback="shop" if made.is_shop_set else "pack")
    changed = [
        "set" if made.is_shop_set else "",
        "" if sheet is None else safe_name(sheet.name),
        "" if other is None else safe_name(other.name, fallback="printer"),
        language,
    ]
    make_folder(out)
    target = out / f"{'-'.join(filter(None, [name, *changed]))}.pdf"
    if target.exists() and target.samefile(path):
        raise InputError(
            tr("the new pack would take the place of this one"),
            where=str(path),
            mend=tr("name another folder with --out"),
        )
    write_atomically(target, made.data)
    return Reprint(
        pdf=target,
        sheets=made.sheets,
        paper=made.paper,
        parts=made.parts,
        profile=made.profile,
        wording=Wording(made.language),
    )
