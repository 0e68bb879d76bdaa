"""Weighing records: a CSV file in, weighings out; a row that cannot be read is named, not lost.

A record is read as it is; rows are only ever added behind those that are there.
"""

import csv
import datetime
import io
import operator
import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from templategen.errors import InputError, LimitError, hidden
from templategen.inputs.toml_table import read_bounded, shown
from templategen.messages import Text, tr
from templategen.trade.quantities import GRAMS

MOST_BYTES = 1_000_000
MOST_ROWS = 20_000
MOST_BOWLS = 200  # of one record: each has a plot of its own
MOST_FAULTS = 100  # rows that are named
LEAST_G, MOST_G = 1.0, 2_000_000.0
FIRST_YEAR, LAST_YEAR = 1900, 2200
FAR = 4.0  # over or under the median by this factor: in another unit, no wood changes so much
NEW_RECORD = "date,mass_g,identity\n"
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
        """Every bowl of the record, in the order of its first row; '' for a nameless one."""
        return tuple(dict.fromkeys(w.identity for w in self.weighings))

    def of(self, identity: str) -> tuple[Weighing, ...]:
        """The weighings of one bowl by date; rows of one date stay in the file's order."""
        return tuple(
            sorted((w for w in self.weighings if w.identity == identity), key=lambda w: w.when)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRow:
    """A weighing as it is typed: ISO date, mass with or without its unit, tag of the bowl."""

    date: str
    mass: str
    identity: str = ""


def read_record(path: Path) -> Record:
    """The weighings of a CSV file with the columns date and mass, and identity if it has one.

    The mass column may name its unit (mass_g, mass_kg, mass_lb, mass_oz; plain mass is grams), a
    mass may carry its own. Columns are separated by comma, semicolon or tab; lines that begin
    with # are remarks; further columns are not read.

    Raises:
        InputError: missing, unreadable or too large, or without those columns.
        LimitError: of more than `MOST_ROWS` rows or `MOST_BOWLS` bowls.
    """
    name = path.name
    lines = re.split(r"\r\n?|\n", _text(path))
    body = [(n, t) for n, t in enumerate(lines, start=1) if t.strip() and not t.startswith("#")]
    if len(body) > MOST_ROWS:
        what = tr("more than {most} rows", most=MOST_ROWS)
        raise LimitError(what, where=name, mend=tr("part the record"))
    if not body:
        raise InputError(tr("is empty"), where=name, mend=tr("begin with the line: date,mass"))
    columns = _columns(body[0][1], where=_line(name, body[0][0]))
    weighings: list[Weighing] = []
    faults: list[tuple[int, InputError]] = []
    for number, text in body[1:]:
        try:
            weighings.append(_weighing(number, text, columns, where=_line(name, number)))
        except InputError as error:
            faults.append((number, error))
    if len({w.identity for w in weighings}) > MOST_BOWLS:
        what = tr("names more than {most} bowls", most=MOST_BOWLS)
        raise LimitError(what, where=name, mend=tr("part the record"))
    kept, far = _plausible(weighings, name)
    named = [fault for _, fault in sorted((*faults, *far), key=operator.itemgetter(0))]
    if len(named) > MOST_FAULTS:
        what = tr("{count} more rows like these", count=len(named) - MOST_FAULTS)
        named[MOST_FAULTS:] = [InputError(what, where=name)]
    return Record(name=name, unit=columns.unit, weighings=tuple(kept), faults=tuple(named))


def with_rows(text: str, rows: Sequence[NewRow], *, name: str) -> str:
    """The text of a record with rows added; what is there stays as it is.

    Args:
        text: of a CSV file; empty for a new one.
        rows: each as a person typed it, checked as the rows of a file are.
        name: of the file, for faults.

    Raises:
        InputError: a row is no weighing, or the file lacks the columns.
    """
    held = text or NEW_RECORD
    lines = [line for line in re.split(r"\r\n?|\n", held) if line.strip()]
    head = next((line for line in lines if not line.startswith("#")), "")
    columns = _columns(head, where=name)
    width = max(len(_cells(head, columns.delimiter)), columns.last + 1)
    added: list[str] = []
    for row in rows:
        cells = [""] * width
        cells[columns.date], cells[columns.mass] = row.date, row.mass
        if columns.identity is not None:
            cells[columns.identity] = row.identity
        elif row.identity:
            raise InputError(
                tr("has no column identity"), where=name, mend=tr("leave the bowl's name out")
            )
        out = io.StringIO()
        csv.writer(out, delimiter=columns.delimiter, lineterminator="").writerow(cells)
        if any(hidden(c) for c in out.getvalue()) or cells[0].startswith("#"):
            raise InputError(tr("holds a hidden character"), where=name, mend=tr("type it anew"))
        _weighing(len(lines) + len(added) + 1, out.getvalue(), columns, where=name)
        added.append(out.getvalue())
    ending = "" if held.endswith(("\n", "\r")) else "\n"
    return held + ending + "".join(line + "\n" for line in added)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """How a record is laid out: positions of the columns, and the unit of the mass column."""

    delimiter: str
    date: int
    mass: int
    identity: int | None
    unit: str

    @property
    def last(self) -> int:
        """The last position that is read."""
        return max(self.date, self.mass, self.identity or 0)


def _columns(head: str, *, where: Text) -> _Columns:
    """The columns that the first line names.

    Raises:
        InputError: date or mass is missing, or there is more than one mass.
    """
    delimiter = max(",;\t", key=head.count)
    heads = [cell.strip().casefold() for cell in _cells(head, delimiter)]
    unit_of = {"mass": "g", **{f"mass_{unit}": unit for unit in GRAMS}}
    masses = [cell for cell in heads if cell in unit_of]
    if "date" not in heads or len(masses) != 1:
        raise InputError(
            tr("the columns {names!r} lack a date and one mass", names=", ".join(heads)[:60]),
            where=where,
            mend=tr("begin with the line: date,mass_g (or mass_kg, mass_lb, mass_oz)"),
        )
    return _Columns(
        delimiter=delimiter,
        date=heads.index("date"),
        mass=heads.index(masses[0]),
        identity=heads.index("identity") if "identity" in heads else None,
        unit=unit_of[masses[0]],
    )


def _line(name: str, number: int) -> Text:
    """The place of a row."""
    return tr("{file}: line {number}", file=name, number=number)


def with_identity(record: Record, identity: str) -> Record:
    """The record of that bowl alone; a record without names belongs to it whole.

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
            tr("no bowl {identity!r} in {file}", identity=identity, file=record.name),
            where="--bowl",
            mend=tr("it has {names}", names=known),
        )
    return replace(record, weighings=tuple(w for w in record.weighings if w.identity == identity))


def _text(path: Path) -> str:
    raw = read_bounded(path, most=MOST_BYTES, ending=".csv", mend=tr("this is no weighing record"))
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


def _weighing(number: int, line: str, columns: _Columns, *, where: Text) -> Weighing:
    """One row.

    Raises:
        InputError: it is no weighing.
    """

    def fault(what: Text, mend: Text) -> InputError:
        return InputError(what, where=where, mend=mend)

    cells = _cells(line, columns.delimiter)
    if len(cells) <= columns.last:
        what = tr("has {count} of the columns", count=len(cells))
        raise fault(what, tr("fill in date and mass"))
    date, mass = cells[columns.date].strip(), cells[columns.mass].strip()
    try:
        when = datetime.datetime.fromisoformat(date).replace(tzinfo=None)
    except ValueError:
        what = tr("{value} is not a date", value=shown(date))
        raise fault(what, tr("write it as 2026-05-02")) from None
    if not FIRST_YEAR <= when.year <= LAST_YEAR:
        mend = tr("give a year from {first} to {last}", first=FIRST_YEAR, last=LAST_YEAR)
        raise fault(tr("{value} is out of bounds", value=shown(date)), mend)
    mass_g = mass_in_grams(mass, columns.unit)
    if mass_g is None:
        what = tr("{value} is not a mass", value=shown(mass))
        raise fault(what, tr("write 1234 or 1.234 kg"))
    if not LEAST_G <= mass_g <= MOST_G:
        what = tr("{value} is out of bounds", value=shown(mass))
        raise fault(what, tr("give 1 g to 2000 kg"))
    further = cells[columns.mass + 1 :] if len(cells) > columns.last + 1 else []
    if columns.delimiter == "," and further and further[0].isdigit():
        what = tr("'{mass}' may be one mass", mass=f"{mass},{further[0]}")
        raise fault(what, tr("write a decimal point, or put it in quotes"))
    name = "" if columns.identity is None else cells[columns.identity].strip()
    identity = "".join(c for c in name if c.isprintable())[:60]
    return Weighing(row=number, identity=identity, when=when, mass_g=mass_g)


def _plausible(
    weighings: list[Weighing], name: str
) -> tuple[list[Weighing], list[tuple[int, InputError]]]:
    """The weighings near the median of their bowl, and a fault with its row for each other one."""
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
                tr("{mass:g} g is far from the other weighings", mass=w.mass_g),
                where=_line(name, w.row),
                mend=tr("check the unit and the bowl"),
            )
            faults.append((w.row, fault))
    return kept, faults
