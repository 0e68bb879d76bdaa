"""Prints a pack anew from its recipe."""

from pathlib import Path

from templategen.app.printers import profile_named
from templategen.errors import InputError
from templategen.messages import tr
from templategen.output.files import make_folder, write_atomically
from templategen.output.names import safe_name
from templategen.proof.untrusted import Reprinted, reprinted
from templategen.trade.paper import paper_named


def reprint(
    path: Path,
    out: Path,
    *,
    paper: str | None = None,
    printer: str | None = None,
    language: str = "",
) -> tuple[Path, Reprinted]:
    """Prints a pack anew.

    Args:
        path: a PDF that this program wrote.
        out: folder for the new PDF.
        paper: by name; None for that of the pack.
        printer: name of a measured printer; None for that of the pack.
        language: ISO 639-1, asked for in this run; goes before the pack's own.

    Returns: the new PDF, and what was printed.

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
    return target, made
