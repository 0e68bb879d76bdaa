"""A TOML table read with types, bounds and places; every fault is gathered, none hides another."""

import enum
import math
import os
import re
import stat
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from templategen.errors import (
    InputError,
    InputErrors,
    LimitError,
    either,
    hidden,
    known_names,
    plain,
    suggestion,
    unreadable,
)
from templategen.messages import Joined, Text, tr, tr_noop
from templategen.units import MM_PER_INCH, Units, inch_text, parse_length, typed_units

MOST_BYTES = 1_000_000
SLACK = 1e-9  # of a step, so that a bound that is a whole number of steps stays one
MOST_FAULTS = 100  # of one file: nobody mends more at a time
# A key of a hundred thousand parts would be read for hours. The words of a long text have blanks
# between them; each part is begun at its first letter only, so that the search itself is quick.
_LONG_KEY = re.compile(
    r"""(?<![\w-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}"""
)
_COMMA = re.compile(r"\d,\d")
_COMMA_LINE = re.compile(r"[^\"'#\[]*=\s*[+-]?\d+,\d+\s*(?:#.*)?")
_AT = re.compile(r"(.+) \(at line (\d+), column (\d+)\)", re.DOTALL)
_TOML = (  # what the library commonly says, entered for translation
    tr_noop("Cannot overwrite a value"),
    tr_noop("Expected '=' after a key in a key/value pair"),
    tr_noop("Expected newline or end of document after a statement"),
    tr_noop("Expected ']' at the end of a table declaration"),
    tr_noop("Expected ']]' at the end of an array declaration"),
    tr_noop("Invalid date or datetime"),
    tr_noop("Invalid initial character for a key part"),
    tr_noop("Invalid statement"),
    tr_noop("Invalid value"),
    tr_noop("Unclosed array"),
    tr_noop("Unclosed inline table"),
    tr_noop("Unescaped '\\' in a string"),
    tr_noop("Unterminated string"),
)


E = TypeVar("E", bound=enum.StrEnum)


def read_toml(path: Path) -> dict[str, object]:
    """The tables of a TOML file.

    Raises:
        InputError: missing, unreadable, too large, not UTF-8 or not TOML.
    """
    name = path.name
    raw = read_bounded(
        path, most=MOST_BYTES, ending=".toml", mend=tr("this is no shop or job file")
    )
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise InputError(tr("not UTF-8 text"), where=name, mend=tr("save it as UTF-8")) from error
    if _LONG_KEY.search(text):
        raise LimitError(
            tr("a key of more than {most} parts", most=40), where=name, mend=tr("mend that line")
        )
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        reason: Text = str(error)
        mend: Text = tr("mend that line")
        found = _AT.fullmatch(str(error))
        if found is not None:
            stated, line, column = found.groups()
            reason = tr(
                "{reason} (at line {line}, column {column})",
                reason=tr(stated),
                line=line,
                column=column,
            )
            if _COMMA_LINE.fullmatch(text.split("\n")[int(line) - 1].rstrip()):
                mend = decimal_point()
        raise InputError(tr("not TOML: {reason}", reason=reason), where=name, mend=mend) from error


def read_bounded(path: Path, *, most: int, ending: Text, mend: Text) -> bytes:
    """What a file holds, but never more than one byte past the bound.

    A file that says it is larger is not read at all; a pipe or a device is read to the bound,
    and one that nobody writes to is not waited for.

    Args:
        path: the file.
        most: bytes.
        ending: of the files wanted, for the mend of a folder.
        mend: what to say of a file that is too large.

    Raises:
        InputError: missing, a folder, unreadable.
        LimitError: too large.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with open(path, "rb", opener=lambda name, _: os.open(name, flags)) as file:
            handle = file.fileno()
            state = os.fstat(handle)
            regular = stat.S_ISREG(state.st_mode)
            if not regular and hasattr(os, "set_blocking"):
                os.set_blocking(handle, True)
            large = regular and state.st_size > most
            held = b"" if large else file.read(most + 1)
    except FileNotFoundError as error:
        raise InputError(tr("no such file"), where=str(path), mend=tr("check the name")) from error
    except IsADirectoryError as error:
        raise InputError(
            tr("is a folder"), where=str(path), mend=tr("name a {ending} file", ending=ending)
        ) from error
    except (OSError, ValueError) as error:
        raise unreadable(error, str(path)) from error
    if large or len(held) > most:
        bound = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"
        raise LimitError(tr("larger than {bound}", bound=bound), where=path.name, mend=mend)
    return held


class TomlTable:
    """One table of a file. Getters return the value or the default and note each fault.

    Args:
        data: the table.
        where: file, and place in it.
        faults: the list that gathers faults.
        units: of bare lengths.
        path: keys that lead from `where` to this table, such as ``cutters[1]``.
    """

    def __init__(
        self,
        data: object,
        *,
        where: Text,
        faults: list[InputError],
        units: Units = Units.MM,
        path: str = "",
    ) -> None:
        self.faults = faults
        self.where = where
        self.path = path
        self.units = units
        self.known: list[str] = []
        self.data: dict[str, object] = {}
        if isinstance(data, dict):
            self.data = data
        else:
            what = tr("{value} is not a table", value=shown(data))
            self.fault("", what, tr("see the commented starter files"))

    def place(self, key: str) -> Text:
        """File and key path of a key."""
        path = self._path(key)
        if not path or not self.where:
            return self.where or path
        if isinstance(self.where, str):
            return f"{self.where}{'.' if ': ' in self.where else ': '}{path}"
        return Joined((self.where, path), ": ")

    def _path(self, key: str) -> str:
        return ".".join(filter(None, (self.path, key)))

    def fault(self, key: str, what: Text, mend: Text) -> None:
        """Notes a fault, up to `MOST_FAULTS` of them."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(InputError(what, where=self.place(key), mend=mend))

    def raw(self, key: str) -> object:
        """The value as it stands, None if not given; the caller checks it."""
        if key not in self.known:
            self.known.append(key)
        return self.data.get(key)

    def text(self, key: str, default: str = "", *, longest: int = 200) -> str:
        """A line of text without control characters."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, str):
            self.fault(key, tr("{value} is not text", value=shown(value)), tr("put it in quotes"))
            return default
        if len(value) > longest:
            mend = tr("use one line of up to {count} letters", count=longest)
            self.fault(key, tr("not a short line of text"), mend)
            return default
        if any(hidden(c) for c in value):
            what = tr("{value} holds a hidden character", value=shown(value))
            self.fault(key, what, tr("type the text anew"))
            return default
        return value

    def member(self, key: str, default: E) -> E:
        """A member of the enum of the default, by its value."""
        allowed = [member.value for member in type(default)]
        return type(default)(self.choice(key, default.value, allowed))

    def choice(self, key: str, default: str, allowed: Sequence[str]) -> str:
        """One of the allowed words."""
        if self.raw(key) is None:
            return default
        value = self.text(key, default)
        if value not in allowed:
            known = tr("use {choice}", choice=either(allowed))
            mend = suggestion(value, allowed, known, cutoff=0.6)
            self.fault(key, tr("{value} is not known", value=shown(value)), mend)
            return default
        return value

    def members(self, key: str, default: tuple[E, ...], known: Iterable[E]) -> tuple[E, ...]:
        """A list of members of an enum, each one of those known, by their values."""
        members = {str(member.value): member for member in known}
        allowed = list(members)
        names = self.texts(key)
        for n, name in enumerate(names, start=1):
            if name not in allowed:
                what = tr("{value} is not known", value=shown(name))
                self.fault(f"{key}[{n}]", what, suggestion(name, allowed, known_names(allowed)))
        found = tuple(members[name] for name in names if name in members)
        return default if self.data.get(key) is None else found

    def _bounded(self, key: str, value: float, low: float, high: float) -> float | None:
        if math.isfinite(value) and low <= value <= high:
            return value
        what = tr("{value} is out of bounds", value=f"{value:g}")
        self.fault(key, what, bounds(low, high))
        return None

    def length(self, key: str, default: float, low: float, high: float) -> float:
        """A length within bounds, mm."""
        value = self.optional_length(key, low, high)
        return default if value is None else value

    def required_length(self, key: str, low: float, high: float) -> float:
        """A length within bounds that must be given, mm; `low` after a fault."""
        if self.raw(key) is None:
            self.fault(key, tr("is missing"), length_bounds(low, high, self.units))
        return self.length(key, low, low, high)

    def optional_length(self, key: str, low: float, high: float) -> float | None:
        """A length within bounds, mm; None if not given."""
        value = self.raw(key)
        if value is None:
            return None
        try:
            if not isinstance(value, str | int | float):
                raise ValueError
            number = parse_length(value, self.units)
        except ValueError:
            what = tr("{value} is not a length", value=shown(value))
            has_comma = isinstance(value, str) and _COMMA.search(value)
            mend = decimal_point() if has_comma else tr('write 40, "40 mm" or "1 3/4 in"')
            self.fault(key, what, mend)
            return None
        if low <= number <= high:
            return number
        typed = typed_units(value, self.units)
        figure = f"{number / typed.mm:g} {typed.value}"
        what = tr("{value} is out of bounds", value=figure)
        self.fault(key, what, length_bounds(low, high, typed))
        return None

    def lengths(
        self,
        key: str,
        default: tuple[float, ...],
        low: float,
        high: float,
        *,
        least: int = 1,
        most: int = 8,
    ) -> tuple[float, ...]:
        """A list of `least` to `most` lengths, each within bounds, mm."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, list) or not least <= len(value) <= most:
            mend = tr('write [3, "6 mm"], {least} to {count} of them', least=least, count=most)
            self.fault(key, tr("is not a list of lengths"), mend)
            return default
        inner = self._child({f"{key}[{n + 1}]": v for n, v in enumerate(value)}, "")
        return tuple(inner.required_length(name, low, high) for name in inner.data)

    def number(self, key: str, default: float, low: float, high: float) -> float:
        """A plain number within bounds."""
        value = self.optional_number(key, low, high)
        return default if value is None else value

    def optional_number(self, key: str, low: float, high: float) -> float | None:
        """A plain number within bounds; None if not given."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            what = tr("{value} is not a number", value=shown(value))
            self.fault(key, what, bounds(low, high))
            return None
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        return self._bounded(key, number, low, high)

    def whole(self, key: str, default: int, low: int, high: int) -> int:
        """A whole number within bounds."""
        value = self.number(key, default, low, high)
        if value != int(value):
            what = tr("{value} is not a whole number", value=f"{value:g}")
            self.fault(key, what, bounds(low, high))
            return default
        return int(value)

    def quantity(
        self, key: str, units: Mapping[str, float], low: float, high: float
    ) -> float | None:
        """A figure with its unit, such as ``1.5 kW``, in the base unit; None if not given."""
        value = self.raw(key)
        if value is None:
            return None
        text = value if isinstance(value, str) else ""
        match = re.fullmatch(r"\s*(\d{1,9}(?:\.\d{1,17})?)\s*([A-Za-z]+)\s*", text)
        scale = {k.lower(): v for k, v in units.items()}.get(match[2].lower()) if match else None
        if match is None or scale is None:
            what = tr("{value} has no known unit", value=shown(value))
            mend = tr("write a figure in {units}", units=either(units))
            self.fault(key, what, decimal_point() if _COMMA.search(text) else mend)
            return None
        return self._bounded(key, float(match[1]) * scale, low, high)

    def table(self, key: str) -> "TomlTable":
        """A table inside; empty if not given."""
        value = self.raw(key)
        return self._child({} if value is None else value, key)

    def optional_table(self, key: str) -> "TomlTable | None":
        """A table inside; None if not given."""
        return None if self.raw(key) is None else self.table(key)

    def tables(self, key: str, *, most: int) -> "list[TomlTable]":
        """The tables of an array."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list) or len(value) > most:
            mend = tr("write [[{key}]], at most {count}", key=self._path(key), count=most)
            self.fault(key, tr("is not a list of tables"), mend)
            return []
        return [self._child(v, f"{key}[{n + 1}]") for n, v in enumerate(value)]

    def texts(self, key: str, *, most: int = 60) -> tuple[str, ...]:
        """A list of short texts."""
        value = self.raw(key)
        if value is None:
            return ()
        if (
            not isinstance(value, list)
            or len(value) > most
            or not all(isinstance(v, str) for v in value)
        ):
            self.fault(key, tr("is not a list of names"), tr('write ["one", "two"]'))
            return ()
        for name in value:
            if len(name) > 200 or any(hidden(c) for c in name):
                what = tr("{value} is no name", value=shown(name))
                self.fault(key, what, tr("type the names anew"))
                return ()
        return tuple(value)

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            what = tr("{value} is neither true nor false", value=shown(value))
            self.fault(key, what, tr("write true or false"))
            return default
        return value

    def _child(self, value: object, key: str) -> "TomlTable":
        return TomlTable(
            value, where=self.where, faults=self.faults, units=self.units, path=self._path(key)
        )

    def done(self) -> None:
        """Notes every key that no getter asked for, with the nearest known one."""
        for key in self.data:
            if len(self.faults) >= MOST_FAULTS:
                return
            if key not in self.known:
                mend = suggestion(key, self.known, known_names(self.known))
                name = plain(key) if len(key) <= 40 else plain(key[:37]) + "..."
                self.fault(name, tr("unknown key"), mend)


def raise_faults(faults: list[InputError]) -> None:
    """Ends the reading of a file where there were faults.

    Raises:
        InputErrors: all of them.
    """
    if len(faults) >= MOST_FAULTS:
        faults.append(InputError(tr("there are more faults"), mend=tr("mend these first")))
    if faults:
        raise InputErrors(faults)


def shown(value: object) -> Text:
    """A value as a fault names it: 40 letters at most, nothing hidden."""
    try:
        text = repr(value)
    except ValueError:  # a whole number of more digits than Python writes out
        return tr("a number of thousands of digits")
    text = plain(text)
    return text if len(text) <= 40 else text[:37] + "..."


def two_lengths(raw: object, units: Units) -> tuple[float, float] | None:
    """The pair of lengths a list states, mm; None where it states none."""
    if not isinstance(raw, list) or len(raw) != 2:
        return None
    try:
        return parse_length(raw[0], units), parse_length(raw[1], units)
    except (ValueError, AttributeError):
        return None


def decimal_point() -> Text:
    """The mend for a decimal comma, which no file takes."""
    return tr("write a decimal point, as in 22.5")


def bounds(low: float, high: float) -> Text:
    """The mend that states the bounds, with the point that a file's figures need.

    >>> str(bounds(0.5, 100))
    'give 0.5 to 100'
    """
    return tr("give {low} to {high}", low=f"{low:g}", high=f"{high:g}")


def length_bounds(low: float, high: float, units: Units) -> Text:
    """The mend that states the bounds of a length in a unit.

    Args:
        low: mm.
        high: mm.
        units: of the text; bounds in inches are sizes that an inch rule shows, inside the others.

    >>> str(length_bounds(0.5, 100, Units.MM)), str(length_bounds(3, 200, Units.IN))
    ('give 0.5 to 100 mm', 'give 1/8 to 7 3/4 in')
    """
    low_text, high_text = length_range(low, high, units)
    return tr("give {low} to {high}", low=low_text, high=high_text)


def length_range(low: float, high: float, units: Units) -> tuple[str, str]:
    """Both bounds of a length as a file writes them, see `length_bounds`; the second with unit."""
    if units.first is Units.MM:
        return f"{low:g}", f"{high:g} mm"
    steps = [inch_step(length) for length in (low, high)]
    least = math.ceil(low / steps[0] - SLACK) * steps[0]
    most = math.floor(high / steps[1] + SLACK) * steps[1]
    return inch_text(least), f"{inch_text(most)} in"


def inch_step(length: float) -> float:
    """The step of inches that a bound of about a length is rounded to, mm."""
    inches = abs(length) / MM_PER_INCH
    for limit, parts in ((1 / 4, 32), (1, 16), (10, 4)):
        if inches < limit:
            return MM_PER_INCH / parts
    return MM_PER_INCH
