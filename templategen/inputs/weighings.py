"""Weighing records: a CSV file in, weighings out; a row that cannot be read is named, not lost.

The record itself is only ever read.
"""

import csv
import datetime
import operator
import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from templategen.errors import InputError, LimitError
from templategen.inputs.toml_table import read_bounded
from templategen.messages import say

GRAMS = {"g": 1.0, "kg": 1000.0, "lb": 453.59237, "oz": 453.59237 / 16}  # NIST SP 811
MOST_BYTES = 1_000_000
MOST_ROWS = 20_000
MOST_PIECES = 200  # of one record: each has a plot of its own
MOST_FAULTS = 100  # rows that are named
LEAST_G, MOST_G = 1.0, 2_000_000.0
FIRST_YEAR, LAST_YEAR = 1900, 2200
FAR = 4.0  # a mass this many times above or below the others is in another unit: no wood does that
_MASS = re.compile(r"(\d{1,9}(?:[.,]\d{1,9})?)\s*([A-Za-z]*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One row of a record: `row` counts the file's lines from 1, mass in grams."""

    row: int
    identity: str
    when: datetime.datetime
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A record: `unit` is that of its mass column, `faults` name the rows left out."""

    name: str
    unit: str
    weighings: tuple[Weighing, ...]
    faults: tuple[InputError, ...]

    def identities(self) -> tuple[str, ...]:
        """Every piece of the record, in the order of its first row; '' for a nameless one."""
        return tuple(dict.fromkeys(w.identity for w in self.weighings))

    def of(self, identity: str) -> tuple[Weighing, ...]:
        """The weighings of one piece by date; rows of one date stay in the file's order."""
        return tuple(
            sorted((w for w in self.weighings if w.identity == identity), key=lambda w: w.when)
        )


def read_record(path: Path) -> Record:
    """The weighings of a CSV file with the columns date and mass, and identity if it has one.

    The mass column may say its unit (mass_g, mass_kg, mass_lb, mass_oz; plain mass is grams), a
    mass may carry its own. Comma, semicolon and tab part the columns; lines that begin with # are
    remarks; further columns are not read.

    Raises:
        InputError: missing, unreadable or too large, or without those columns.
        LimitError: of more than `MOST_ROWS` rows or `MOST_PIECES` pieces.
    """
    lines = re.split(r"\r\n?|\n", _text(path))
    name = path.name
    body = [(n, t) for n, t in enumerate(lines, start=1) if t.strip() and not t.startswith("#")]
    if len(body) > MOST_ROWS:
        raise LimitError(
            say("more than {most} rows", most=MOST_ROWS), where=name, mend=say("part the record")
        )
    if not body:
        raise InputError(say("is empty"), where=name, mend=say("begin with the line: date,mass"))
    first, head = body[0]
    delimiter = max(",;\t", key=head.count)
    heads = [cell.strip().casefold() for cell in _cells(head, delimiter)]
    unit_of = {"mass": "g", **{f"mass_{unit}": unit for unit in GRAMS}}
    masses = [cell for cell in heads if cell in unit_of]
    if "date" not in heads or len(masses) != 1:
        raise InputError(
            say("the columns {names!r} lack a date and one mass", names=", ".join(heads)[:60]),
            where=_line(name, first),
            mend=say("begin with the line: date,mass_g (or mass_kg, mass_lb, mass_oz)"),
        )
    columns = {
        "date": heads.index("date"),
        "mass": heads.index(masses[0]),
        "identity": heads.index("identity") if "identity" in heads else -1,
    }
    unit = unit_of[masses[0]]
    weighings: list[Weighing] = []
    faults: list[tuple[int, InputError]] = []
    for number, text in body[1:]:
        try:
            weighings.append(
                _weighing(number, _cells(text, delimiter), columns, unit, comma=delimiter == ",")
            )
        except ValueError as error:
            what, mend = error.args
            faults.append((number, InputError(what, where=_line(name, number), mend=mend)))
    if len({w.identity for w in weighings}) > MOST_PIECES:
        raise LimitError(
            say("names more than {most} pieces", most=MOST_PIECES),
            where=name,
            mend=say("part the record"),
        )
    kept, far = _near(weighings, name)
    named = [fault for _, fault in sorted((*faults, *far), key=operator.itemgetter(0))]
    if len(named) > MOST_FAULTS:
        left = len(named) - MOST_FAULTS
        named[MOST_FAULTS:] = [
            InputError(say("{count} more rows like these", count=left), where=name)
        ]
    return Record(
        name=name,
        unit=unit,
        weighings=tuple(kept),
        faults=tuple(named),
    )


def _line(name: str, number: int) -> str:
    """The place of a row."""
    return say("{file}: line {number}", file=name, number=number)


def with_identity(record: Record, identity: str) -> Record:
    """The record of that piece alone; a record without names belongs to it whole.

    Raises:
        InputError: the record has names, but not that one.
    """
    names = record.identities()
    if names in ((), ("",)):
        weighings = tuple(replace(w, identity=identity) for w in record.weighings)
        return replace(record, weighings=weighings)
    if identity not in names:
        known = ", ".join(n for n in names if n)
        raise InputError(
            say("no piece {identity!r} in {file}", identity=identity, file=record.name),
            where="--piece",
            mend=say("it has {names}", names=known),
        )
    return replace(record, weighings=tuple(w for w in record.weighings if w.identity == identity))


def _text(path: Path) -> str:
    raw = read_bounded(path, most=MOST_BYTES, ending=".csv", mend=say("this is no weighing record"))
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    return raw.decode("utf-16" if wide else "utf-8-sig", errors="replace")


def _cells(line: str, delimiter: str) -> list[str]:
    """The cells of one line; an open quotation mark spoils its own line only."""
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


def mass_in_grams(text: str, unit: str) -> float | None:
    """The mass a text states, g, a bare figure in `unit`; None where it states none.

    >>> mass_in_grams("1.25 kg", "g")
    1250.0
    """
    match = _MASS.fullmatch(text.strip())
    grams = GRAMS.get((match[2] or unit).casefold()) if match else None
    return None if match is None or grams is None else float(match[1].replace(",", ".")) * grams


def _weighing(
    number: int, cells: Sequence[str], columns: dict[str, int], unit: str, *, comma: bool
) -> Weighing:
    """One row.

    Raises:
        ValueError: with what is wrong and the mend.
    """
    if len(cells) <= max(columns.values()):
        what = say("has {count} of the columns", count=len(cells))
        raise ValueError(what, say("fill in date and mass"))
    date = cells[columns["date"]].strip()
    try:
        when = datetime.datetime.fromisoformat(date).replace(tzinfo=None)
    except ValueError:
        what = say("{value} is not a date", value=_short(date))
        raise ValueError(what, say("write it as 2026-05-02")) from None
    if not FIRST_YEAR <= when.year <= LAST_YEAR:
        mend = say("give a year from {first} to {last}", first=FIRST_YEAR, last=LAST_YEAR)
        raise ValueError(say("{value} is out of bounds", value=_short(date)), mend)
    mass = cells[columns["mass"]].strip()
    figure = mass_in_grams(mass, unit)
    if figure is None:
        what = say("{value} is not a mass", value=_short(mass))
        raise ValueError(what, say("write 1234 or 1.234 kg"))
    if not LEAST_G <= figure <= MOST_G:
        what = say("{value} is out of bounds", value=_short(mass))
        raise ValueError(what, say("give 1 g to 2000 kg"))
    if comma and len(cells) > max(columns.values()) + 1 and cells[columns["mass"] + 1].isdigit():
        tail = cells[columns["mass"] + 1]
        raise ValueError(
            say("'{mass}' may be one mass", mass=f"{mass},{tail}"),
            say("write a decimal point, or put it in quotes"),
        )
    name = cells[columns["identity"]].strip() if columns["identity"] >= 0 else ""
    identity = "".join(c for c in name if c.isprintable())[:60]
    return Weighing(row=number, identity=identity, when=when, mass_g=figure)


def _near(
    weighings: list[Weighing], name: str
) -> tuple[list[Weighing], list[tuple[int, InputError]]]:
    """The weighings that can be of one piece, and a fault for each that cannot."""
    kept: list[Weighing] = []
    faults: list[tuple[int, InputError]] = []
    masses: dict[str, list[float]] = {}
    for w in weighings:
        masses.setdefault(w.identity, []).append(w.mass_g)
    middles = {identity: statistics.median(found) for identity, found in masses.items()}
    for w in weighings:
        if 1 / FAR <= w.mass_g / middles[w.identity] <= FAR:
            kept.append(w)
        else:
            fault = InputError(
                say("{mass:g} g is far from the other weighings", mass=w.mass_g),
                where=_line(name, w.row),
                mend=say("check the unit and the piece"),
            )
            faults.append((w.row, fault))
    return kept, faults


def _short(text: str) -> str:
    return repr(text if len(text) <= 30 else text[:27] + "...")
