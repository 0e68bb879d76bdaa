"""Reads untrusted files, each in the sandbox alone."""

from dataclasses import dataclass
from pathlib import Path

from templategen.inputs.toml_table import read_bounded
from templategen.limits import Limits
from templategen.messages import tr
from templategen.proof.report import Report, Row
from templategen.proof.sandbox import LIMITS, in_sandbox
from templategen.sheets.letterhead import MOST_LOGO, Logo, PictureKind
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile

MOST_PACK = 20_000_000  # bytes; a pack of 400 sheets has less than half of it
LOGO_LIMITS = Limits(memory=LIMITS.memory, work=5)  # each pack draws it again


@dataclass(frozen=True, slots=True, kw_only=True)
class Reprinted:
    """A pack that was made again, not yet written; `title` is its job's, or its shop's name."""

    title: str
    is_shop_set: bool
    sheets: int
    paper: str
    parts: int
    profile: PrinterProfile | None
    language: str
    data: bytes


def verified(path: Path) -> Report:
    """How a pack differs from what its recipe gives.

    Raises:
        InputError: it cannot be read or is no pack.
        OutputError: the sandbox cannot be started.
    """
    answer, _ = in_sandbox("templategen.proof.tasks:verify", *_pack(path), where=path.name)
    return Report(**{**answer, "rows": [Row(**row) for row in answer["rows"]]})


def reprinted(
    path: Path, *, paper: Paper | None, profile: PrinterProfile | None, language: str
) -> Reprinted:
    """A pack made again from its recipe, on other paper, for another printer, in another language.

    Raises:
        InputError: it cannot be read or is no pack.
        OutputError: the sandbox cannot be started.
    """
    wishes = paper, profile, language
    task = "templategen.proof.tasks:reprint"
    answer, data = in_sandbox(task, *_pack(path), *wishes, where=path.name)
    printer = answer.pop("profile")
    return Reprinted(**answer, profile=printer and PrinterProfile(**printer), data=data)


def _pack(path: Path) -> tuple[bytes, str]:
    mend = tr("this is no pack")
    return read_bounded(path, most=MOST_PACK, ending=".pdf", mend=mend), path.name


def read_logo(path: Path) -> Logo:
    """The picture of a file, checked.

    Args:
        path: a PNG or an SVG of up to 2 MB.

    Raises:
        InputError: missing, unreadable, neither PNG nor SVG, broken, too large, or an SVG that
            holds text, scripts, pictures or anything from outside.
        OutputError: the sandbox cannot be started.
    """
    mend = tr("use a smaller picture")
    data = read_bounded(path, most=MOST_LOGO, ending=tr(".png or .svg"), mend=mend)
    task = "templategen.proof.logo:picture"
    answer, clean = in_sandbox(
        task, data, path.name, where=path.name, limits=LOGO_LIMITS, mend=mend
    )
    kind = PictureKind(answer["kind"])
    return Logo(data=clean, kind=kind, width=answer["width"], height=answer["height"])
