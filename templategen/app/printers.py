"""The printers a user has measured, kept in the user's own configuration folder."""

import dataclasses
import json
from pathlib import Path

import platformdirs

from templategen.errors import (
    InputError,
    InputErrors,
    hidden,
    known_names,
    machine_reason,
    suggestion,
)
from templategen.inputs.toml_table import TomlTable, shown
from templategen.messages import tr
from templategen.output.files import alone_in, make_folder, write_atomically
from templategen.trade.printer import (
    LEAST,
    MOST,
    MOST_SKEW,
    PrinterProfile,
    checked_skew,
    factor_from,
    measured_lengths,
    skew_of_diagonals,
)

FORMAT = "templategen-printers/1"
FILE = "printers.json"
LONGEST_NAME = 24  # letters: it stands beside the bars
MOST_PRINTERS = 200
FITTED = 0.02  # a printer itself is seldom out by more: common practice, no source
MOST_BYTES = 100_000


def printers_path() -> Path:
    """Where the printers are kept."""
    return Path(platformdirs.user_config_path("templategen", appauthor=False)) / FILE


def read_printers(path: Path) -> dict[str, PrinterProfile]:
    """The printers of a file by name, sorted; none if there is no file.

    Raises:
        InputError: the file cannot be read or has been spoiled; nothing is lost.
    """
    mend = tr("mend it, or delete it and measure your printers again")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError(tr("larger than 100 kB"), where=str(path), mend=mend)
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except OSError as error:
        why = machine_reason(error, tr("unreadable"))
        raise InputError(tr("cannot be read ({why})", why=why), where=str(path)) from error
    except (ValueError, RecursionError) as error:
        raise InputError(tr("is not JSON"), where=str(path), mend=mend) from error
    faults: list[InputError] = []
    top = TomlTable(data, where=str(path), faults=faults)
    if top.text("format") != FORMAT:
        top.fault("format", tr("is not {format!r}", format=FORMAT), mend)
    found: dict[str, PrinterProfile] = {}
    for table in top.tables("printers", most=MOST_PRINTERS):
        profile = PrinterProfile(
            name=table.text("name", longest=LONGEST_NAME),
            across=table.number("across", 1.0, LEAST, MOST),
            down=table.number("down", 1.0, LEAST, MOST),
            skew=table.number("skew", 0.0, -MOST_SKEW, MOST_SKEW),
        )
        table.done()
        found[profile.name] = profile
    top.done()
    if faults:
        raise InputErrors(faults)
    return dict(sorted(found.items()))


def write_printers(path: Path, printers: dict[str, PrinterProfile]) -> None:
    """Keeps the printers; the old file stays whole until the new one is.

    Raises:
        OutputError: no permission, disk full.
    """
    data = {
        "format": FORMAT,
        "printers": [dataclasses.asdict(printer) for _, printer in sorted(printers.items())],
    }
    make_folder(path.parent)
    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
    write_atomically(path, f"{text}\n".encode())


def keep_printer(
    name: str, *, across: str, down: str, skew: str = "", diagonals: str = ""
) -> tuple[PrinterProfile, Path]:
    """Keeps a printer's measured scale.

    Args:
        name: what its owner calls it.
        across: measured over wanted length along the shorter side of the paper, see `factor_from`.
        down: the same along its longer side.
        skew: how far an upright line leans to the right over its height, as ``0.3/250``; negative
            to the left; or empty.
        diagonals: measured lengths of the diagonal that rises to the right and of the other one,
            as ``309.1/307.8``, instead of `skew`; or empty.

    Returns: the printer, and the file it is kept in.

    Raises:
        InputError: no name, no measurement, or too many printers.
        OutputError: the disk.
    """
    return keep_profile(
        PrinterProfile(
            name=_checked_name(name),
            across=factor_from(across, where="--across"),
            down=factor_from(down, where="--down"),
            skew=_measured_skew(across, down, skew, diagonals),
        )
    )


def keep_profile(profile: PrinterProfile) -> tuple[PrinterProfile, Path]:
    """Keeps a printer that has been measured; an older one of its name is replaced.

    Returns: the printer, and the file it is kept in.

    Raises:
        InputError: a name that is none, or too many printers.
        OutputError: the disk.
    """
    profile = dataclasses.replace(profile, name=_checked_name(profile.name))
    path = printers_path()
    make_folder(path.parent)
    with alone_in(path.parent):  # two runs at once would overwrite each other's printer
        known = read_printers(path)
        if len(known) >= MOST_PRINTERS and profile.name not in known:
            raise InputError(
                tr("{count} printers are kept already", count=MOST_PRINTERS),
                where="printer",
                mend=tr("remove one"),
            )
        write_printers(path, {**known, profile.name: profile})
    return profile, path


def _measured_skew(across: str, down: str, skew: str, diagonals: str) -> float:
    """The skew that `keep_printer` was given; 0 if none.

    Raises:
        InputError: no measurement, or the bars' lengths are not known.
    """
    if not diagonals:
        return _lean(skew)
    pair = measured_lengths(diagonals, where="--diagonals")
    sides = [measured_lengths(across, where="--across"), measured_lengths(down, where="--down")]
    if skew or len(pair) != 2 or not all(len(side) == 2 for side in sides):
        raise InputError(
            tr("{text!r} needs both bars beside it", text=diagonals),
            where="--diagonals",
            mend=tr("give --across and --down as measured/wanted lengths, and no --skew"),
        )
    found = skew_of_diagonals(pair[0], pair[1], sides[0][0], sides[1][0])
    return checked_skew(found, where="--diagonals")


def _lean(text: str) -> float:
    """The skew of ``0.3/250``, or of a plain number; 0 for ''."""
    clean = text.strip()
    if clean in ("", "0"):
        return 0.0
    lengths = measured_lengths(clean.lstrip("+-"), where="--skew")
    size = lengths[0] / lengths[1] if len(lengths) == 2 else lengths[0]
    return checked_skew(-size if clean.startswith("-") else size, where="--skew")


def looks_fitted(across: float, down: float) -> bool:
    """Whether a page of these factors was probably fitted to the paper by the print dialog."""
    return max(abs(across - 1), abs(down - 1)) > FITTED


def kept_printers() -> dict[str, PrinterProfile]:
    """The printers of this user by name, sorted.

    Raises:
        InputError: their file cannot be read.
    """
    return read_printers(printers_path())


def forget_printer(name: str) -> PrinterProfile:
    """Removes a printer and gives it back.

    Raises:
        InputError: there is no such printer.
        OutputError: the disk.
    """
    path = printers_path()
    make_folder(path.parent)
    with alone_in(path.parent):
        known = read_printers(path)
        profile = _named(name, known)
        del known[profile.name]
        write_printers(path, known)
    return profile


def profile_named(name: str | None) -> PrinterProfile | None:
    """The measured printer of a name; None for None.

    Raises:
        InputError: there is none; the nearest is offered.
    """
    return None if name is None else _named(name, kept_printers())


def _named(name: str, printers: dict[str, PrinterProfile]) -> PrinterProfile:
    if name in printers:
        return printers[name]
    none = tr("print the scale sheet and add the printer first")
    mend = suggestion(name, printers, known_names(printers) if printers else none)
    raise InputError(tr("no printer {name}", name=shown(name)), where="--printer", mend=mend)


def _checked_name(name: str) -> str:
    """A printer's name.

    Raises:
        InputError: empty, too long, or with hidden characters.
    """
    clean = " ".join(name.split())
    if not clean or len(clean) > LONGEST_NAME or any(hidden(c) for c in clean):
        raise InputError(
            tr("{name} is no name for a printer", name=shown(name)),
            where="printer",
            mend=tr("give it up to {most} letters, such as study", most=LONGEST_NAME),
        )
    return clean
