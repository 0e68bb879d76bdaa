"""A TOML table read with types, bounds and places; every fault is gathered, none hides another."""

import difflib
import enum
import functools
import math
import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from templategen.errors import (
    InputError,
    InputErrors,
    LimitError,
    hidden,
    machine_reason,
    plain,
)
from templategen.messages import mark, say
from templategen.units import Units, parse_length

MOST_BYTES = 1_000_000
MOST_FAULTS = 100  # of one file: nobody mends more at a time
# A key of a hundred thousand parts would be read for hours. The words of a long text have blanks
# between them; each part is begun at its first letter only, so that the search itself is quick.
_LONG_KEY = re.compile(
    r"""(?<![\w-])(?:(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}"""
)
WATTS_PER_HP = 745.7  # NIST SP 811 (745.6999, further digits from memory)
_COMMA = re.compile(r"\d,\d")
_COMMA_LINE = re.compile(r"[^\"'#\[]*=\s*[+-]?\d+,\d+\s*(?:#.*)?")
_AT = re.compile(r"(.+) \(at line (\d+), column (\d+)\)", re.DOTALL)
_TOML = (  # what the library commonly says, entered for translation
    mark("Cannot overwrite a value"),
    mark("Expected '=' after a key in a key/value pair"),
    mark("Expected newline or end of document after a statement"),
    mark("Expected ']' at the end of a table declaration"),
    mark("Expected ']]' at the end of an array declaration"),
    mark("Invalid date or datetime"),
    mark("Invalid initial character for a key part"),
    mark("Invalid statement"),
    mark("Invalid value"),
    mark("Unclosed array"),
    mark("Unclosed inline table"),
    mark("Unescaped '\\' in a string"),
    mark("Unterminated string"),
)


E = TypeVar("E", bound=enum.StrEnum)


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file.

    Raises:
        InputError: missing, unreadable, too large, not UTF-8 or not TOML.
    """
    name = path.name
    raw = read_bounded(
        path, most=MOST_BYTES, ending=".toml", mend=say("this is no shop or job file")
    )
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise InputError(say("not UTF-8 text"), where=name, mend=say("save it as UTF-8")) from error
    if _LONG_KEY.search(text):
        raise LimitError(
            say("a key of more than {most} parts", most=40), where=name, mend=say("mend that line")
        )
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        reason, mend = str(error), say("mend that line")
        found = _AT.fullmatch(reason)
        if found is not None:
            said, line, column = found.groups()
            reason = say(
                "{reason} (at line {line}, column {column})",
                reason=say(said),
                line=line,
                column=column,
            )
            if _COMMA_LINE.fullmatch(text.split("\n")[int(line) - 1].rstrip()):
                mend = decimal_point()
        raise InputError(say("not TOML: {reason}", reason=reason), where=name, mend=mend) from error


def read_bounded(path: Path, *, most: int, ending: str, mend: str) -> bytes:
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
        raise InputError(
            say("no such file"), where=str(path), mend=say("check the name")
        ) from error
    except IsADirectoryError as error:
        raise InputError(
            say("is a folder"), where=str(path), mend=say("name a {ending} file", ending=ending)
        ) from error
    except (OSError, ValueError) as error:
        why = machine_reason(error, say("unreadable"))
        raise InputError(say("cannot be read ({reason})", reason=why), where=str(path)) from error
    if large or len(held) > most:
        bound = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"
        raise LimitError(say("larger than {bound}", bound=bound), where=path.name, mend=mend)
    return held


class TomlTable:
    """One table of a file. Getters return the value or the default and note each fault.

    Args:
        data: the table.
        where: file, and place in it.
        faults: the list that gathers faults.
        units: of bare lengths.
    """

    def __init__(
        self, data: object, *, where: str, faults: list[InputError], units: Units = Units.MM
    ) -> None:
        self.faults = faults
        self.where = where
        self.units = units
        self.known: list[str] = []
        self.data: dict[str, Any] = {}
        if isinstance(data, dict):
            self.data = data
        else:
            self.fault(
                "",
                say("{value} is not a table", value=shown(data)),
                say("see the commented starter files"),
            )

    def place(self, key: str) -> str:
        """File and key path of a key."""
        if not key:
            return self.where
        return f"{self.where}.{key}" if ": " in self.where else f"{self.where}: {key}"

    def fault(self, key: str, what: str, mend: str) -> None:
        """Notes a fault, up to `MOST_FAULTS` of them."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(InputError(what, where=self.place(key), mend=mend))

    def _get(self, key: str) -> Any:  # noqa: ANN401 - the value of a file can be anything
        self.known.append(key)
        return self.data.get(key)

    def text(self, key: str, default: str = "", *, longest: int = 200) -> str:
        """A line of text without control characters."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, str):
            self.fault(key, say("{value} is not text", value=shown(value)), say("put it in quotes"))
            return default
        if len(value) > longest:
            mend = say("use one line of up to {count} letters", count=longest)
            self.fault(key, say("not a short line of text"), mend)
            return default
        if any(hidden(c) for c in value):
            what = say("{value} holds a hidden character", value=shown(value))
            self.fault(key, what, say("type the text anew"))
            return default
        return value

    def member(self, key: str, default: E) -> E:
        """A member of the enum of the default, by its value."""
        allowed = [member.value for member in type(default)]
        return type(default)(self.choice(key, default.value, allowed))

    def choice(self, key: str, default: str, allowed: Sequence[str]) -> str:
        """One of the allowed words."""
        value = self.text(key, default)
        if value not in allowed:
            near = difflib.get_close_matches(value, sorted(allowed), n=1)
            mend = meant(near[0]) if near else say("use {choice}", choice=either(allowed))
            self.fault(key, say("{value} is not known", value=shown(value)), mend)
            return default
        return value

    def _bounded(
        self,
        key: str,
        value: float,
        default: Any,  # noqa: ANN401 - any default
        low: float,
        high: float,
        unit: str,
    ) -> Any:  # noqa: ANN401 - number or the default
        if not math.isfinite(value) or not low <= value <= high:
            what = say("{value} is out of bounds", value=f"{value:g}{unit}")
            self.fault(key, what, bounds(low, high, unit))
            return default
        return value

    def length(self, key: str, default: Any, low: float, high: float) -> Any:  # noqa: ANN401 - float or the default
        """A length within bounds, mm."""
        value = self._get(key)
        if value is None:
            if default is REQUIRED:
                self.fault(key, say("is missing"), bounds(low, high, " mm"))
                return low
            return default
        try:
            if not isinstance(value, str | int | float):
                raise ValueError
            number = parse_length(value, self.units)
        except ValueError:
            what = say("{value} is not a length", value=shown(value))
            comma = isinstance(value, str) and _COMMA.search(value)
            mend = decimal_point() if comma else say('write 40, "40 mm" or "1 3/4 in"')
            self.fault(key, what, mend)
            return low if default is REQUIRED else default
        return self._bounded(key, number, low if default is REQUIRED else default, low, high, " mm")

    def lengths(
        self, key: str, default: tuple[float, ...], low: float, high: float, *, most: int = 8
    ) -> tuple[float, ...]:
        """A list of one to `most` lengths, each within bounds, mm."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, list) or not 1 <= len(value) <= most:
            mend = say('write [3, "6 mm"], 1 to {count} of them', count=most)
            self.fault(key, say("is not a list of lengths"), mend)
            return default
        inner = self._child({f"{key}[{n + 1}]": v for n, v in enumerate(value)}, "")
        return tuple(inner.length(name, REQUIRED, low, high) for name in inner.data)

    def number(self, key: str, default: float, low: float, high: float) -> float:
        """A plain number within bounds."""
        value = self._get(key)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int | float):
            what = say("{value} is not a number", value=shown(value))
            self.fault(key, what, bounds(low, high))
            return default
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        return float(self._bounded(key, number, default, low, high, ""))

    def whole(self, key: str, default: int, low: int, high: int) -> int:
        """A whole number within bounds."""
        value = self.number(key, default, low, high)
        if value != int(value):
            what = say("{value} is not a whole number", value=f"{value:g}")
            self.fault(key, what, bounds(low, high))
            return default
        return int(value)

    def quantity(self, key: str, units: dict[str, float], low: float, high: float) -> float | None:
        """A figure with its unit, such as ``1.5 kW``, in the base unit; None if not given."""
        value = self._get(key)
        if value is None:
            return None
        text = value if isinstance(value, str) else ""
        match = re.fullmatch(r"\s*(\d{1,9}(?:\.\d{1,17})?)\s*([A-Za-z]+)\s*", text)
        scale = {k.lower(): v for k, v in units.items()}.get(match[2].lower()) if match else None
        if match is None or scale is None:
            what = say("{value} has no known unit", value=shown(value))
            mend = say("write a figure in {units}", units=either(units))
            self.fault(key, what, decimal_point() if _COMMA.search(text) else mend)
            return None
        bounded = self._bounded(key, float(match[1]) * scale, None, low, high, "")
        return None if bounded is None else float(bounded)

    def table(self, key: str) -> "TomlTable":
        """A table inside; empty if not given."""
        value = self._get(key)
        return self._child({} if value is None else value, key)

    def tables(self, key: str, *, most: int) -> "list[TomlTable]":
        """The tables of an array."""
        value = self._get(key)
        if value is None:
            return []
        if not isinstance(value, list) or len(value) > most:
            named = self.place(key).rpartition(": ")[2]
            mend = say("write [[{key}]], at most {count}", key=named, count=most)
            self.fault(key, say("is not a list of tables"), mend)
            return []
        return [self._child(v, f"{key}[{n + 1}]") for n, v in enumerate(value)]

    def texts(self, key: str, *, most: int = 60) -> tuple[str, ...]:
        """A list of short texts."""
        value = self._get(key)
        if value is None:
            return ()
        if (
            not isinstance(value, list)
            or len(value) > most
            or not all(isinstance(v, str) for v in value)
        ):
            self.fault(key, say("is not a list of names"), say('write ["one", "two"]'))
            return ()
        for name in value:
            if len(name) > 200 or any(hidden(c) for c in name):
                what = say("{value} is no name", value=shown(name))
                self.fault(key, what, say("type the names anew"))
                return ()
        return tuple(value)

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self._get(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            what = say("{value} is neither true nor false", value=shown(value))
            self.fault(key, what, say("write true or false"))
            return default
        return value

    def raw(self, key: str) -> Any:  # noqa: ANN401 - the caller checks
        """The value as it stands."""
        return self._get(key)

    def _child(self, value: object, key: str) -> "TomlTable":
        return TomlTable(value, where=self.place(key), faults=self.faults, units=self.units)

    def done(self) -> None:
        """Notes every key that no getter asked for, with the nearest known one."""
        for key in self.data:
            if len(self.faults) >= MOST_FAULTS:
                return
            if key not in self.known:
                near = difflib.get_close_matches(key, sorted(self.known), n=1, cutoff=0.4)
                mend = meant(near[0]) if near else known_names(self.known)
                name = plain(key) if len(key) <= 40 else plain(key[:37]) + "..."
                self.fault(name, say("unknown key"), mend)


T = TypeVar("T")
REQUIRED = object()


def finish(faults: list[InputError], make: Callable[[], T]) -> T:
    """The object, if there was no fault.

    Raises:
        InputErrors: there were.
    """
    if len(faults) >= MOST_FAULTS:
        faults.append(InputError(say("there are more faults"), mend=say("mend these first")))
    if faults:
        raise InputErrors(faults)
    return make()


def shown(value: object) -> str:
    """A value as a fault names it: 40 letters at most, nothing hidden."""
    try:
        text = repr(value)
    except ValueError:  # a whole number of more digits than Python writes out
        return say("a number of thousands of digits")
    text = plain(text)
    return text if len(text) <= 40 else text[:37] + "..."


def decimal_point() -> str:
    """The mend for a decimal comma, which no file takes."""
    return say("write a decimal point, as in 22.5")


def meant(near: str) -> str:
    """The mend that offers the nearest known name."""
    return say("did you mean {name!r}?", name=near)


def known_names(names: Iterable[str]) -> str:
    """The mend that lists the known names."""
    return say("known: {names}", names=", ".join(names))


def either(names: Iterable[str]) -> str:
    """Words of a file, one of which is to be chosen.

    >>> either(["mm", "in"])
    'mm or in'
    """
    return functools.reduce(lambda a, b: say("{first} or {other}", first=a, other=b), names)


def bounds(low: float, high: float, unit: str = "") -> str:
    """The mend that states the bounds, with the point that a file's figures need.

    >>> bounds(0.5, 100, " mm")
    'give 0.5 to 100 mm'
    """
    return say("give {low} to {high}", low=f"{low:g}", high=f"{high:g}{unit}")
