"""Lists as CSV: comma, semicolon or tab, as spreadsheets of several languages write them."""

import codecs
import csv
import difflib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TextIO

from templategen.club.entries import MOST_ENTRIES, RawEntry
from templategen.errors import InputError, LimitError, known_names, meant, unreadable
from templategen.messages import Text, tr, tr_noop

LONGEST_LINE = 20_000  # letters of a line
CODED = 1_000_000  # bytes by which the coding is found
MOST_LINES = 100_000  # empty ones included
KEYS = ("name", "job", "shop", "paper", "diameter", "height", "wood", "outside", "wall", "date",
        "units")  # fmt: skip
_CSV = (  # what the library commonly says, entered for translation
    tr_noop("',' expected after '\"'"),
    tr_noop("';' expected after '\"'"),
    tr_noop("unexpected end of data"),
)
_LENGTH_KEYS = ("diameter", "height", "wall")


def _bounded(file: TextIO, name: str) -> Iterator[str]:
    number = 0
    while text := file.readline(LONGEST_LINE):
        number += 1
        if number > MOST_LINES:
            raise LimitError(
                tr("more than {count} lines", count=MOST_LINES),
                where=name,
                mend=tr("this is no list of blanks"),
            )
        if len(text) == LONGEST_LINE and not text.endswith("\n"):
            raise LimitError(
                tr("longer than {count} letters", count=LONGEST_LINE),
                where=line_of(name, number),
                mend=tr("this is no list of blanks"),
            )
        yield text


def _coding(path: Path) -> str:
    """UTF-8, or Windows-1252 (WHATWG Encoding Standard) where it cannot be that.

    Spreadsheets of western Europe still save a plain CSV in that code page.
    """
    with path.open("rb") as file:
        begun = file.read(CODED)
    try:
        codecs.getincrementaldecoder("utf-8")().decode(begun)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


def csv_entries(path: Path) -> Iterator[RawEntry]:
    """The lines of a CSV list; comma, semicolon or tab, whichever the heading uses."""
    name = path.name
    try:
        with path.open(encoding=_coding(path), newline="") as file:
            yield from _csv_rows(file, name)
    except FileNotFoundError as error:
        raise InputError(tr("no such file"), where=str(path), mend=tr("check the name")) from error
    except UnicodeDecodeError as error:
        raise InputError(
            tr("not UTF-8 text"), where=name, mend=tr("save it as CSV UTF-8")
        ) from error
    except csv.Error as error:
        raise InputError(
            tr("not CSV: {reason}", reason=tr(str(error))), where=name, mend=tr("mend that line")
        ) from error
    except OSError as error:
        raise unreadable(error, str(path)) from error


def _csv_rows(file: TextIO, name: str) -> Iterator[RawEntry]:
    heading, skipped = file.readline(LONGEST_LINE), 1
    if re.fullmatch(r"sep=.\s*", heading, flags=re.IGNORECASE):  # a mark of some spreadsheets
        heading, skipped = file.readline(LONGEST_LINE), 2
    comma = max(",;\t", key=heading.count)
    keys = [k.strip().lower() for k in next(csv.reader([heading], delimiter=comma), [])]
    _check_heading(keys, name)
    reader = csv.reader(_bounded(file, name), delimiter=comma, strict=True)
    number = 0
    for row in reader:
        if not any(cell.strip() for cell in row):
            continue
        number += 1
        if number > MOST_ENTRIES:
            raise LimitError(
                tr("more than {count} entries", count=MOST_ENTRIES),
                where=name,
                mend=tr("split the list"),
            )
        values: dict[str, Any] = {
            key: _spreadsheet_value(key, cell.strip())
            for key, cell in zip(keys, row, strict=False)
            if cell.strip()
        }
        if len(row) > len(keys):
            values[""] = (
                tr(
                    "{fields} fields under {headings} headings",
                    fields=len(row),
                    headings=len(keys),
                ),
                tr("put a text that holds {comma!r} in quotes", comma=comma),
            )
        yield RawEntry(number=number, where=line_of(name, reader.line_num + skipped), values=values)


def _spreadsheet_value(key: str, cell: str) -> str:
    """A cell as a job file writes it: lengths with a decimal point, whatever the comma parts."""
    if key in _LENGTH_KEYS and "." not in cell:  # 1.400,5 is refused as it stands
        return re.sub(r"(?<=\d),(?=\d)", ".", cell)
    return cell


def line_of(name: str, number: int) -> Text:
    """The place of a line of a list; lines count from 1."""
    return tr("{file} line {number}", file=name, number=number)


def _check_heading(keys: list[str], name: str) -> None:
    where = line_of(name, 1)
    for key in keys:
        if key not in KEYS:
            near = difflib.get_close_matches(key, sorted(KEYS), n=1)
            raise InputError(
                tr("unknown heading {key!r}", key=key[:40]),
                where=where,
                mend=meant(near[0]) if near else known_names(KEYS),
            )
        if keys.count(key) > 1:
            raise InputError(
                tr("heading {key!r} twice", key=key), where=where, mend=tr("leave one out")
            )
    if "job" not in keys and not {"diameter", "height"} <= set(keys):
        raise InputError(
            tr("names neither job nor diameter and height"), where=where, mend=known_names(KEYS)
        )
