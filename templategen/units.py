"""Units of length: text in, millimetres out, and back. A bare length is in mm everywhere."""

import enum
import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from templategen.errors import InputError
from templategen.messages import ENGLISH_WORDING, InEnglish, Wording, tr

MM_PER_INCH = 25.4  # exact: the international inch, NIST SP 811 (from memory)
HALF_THOU = 0.0005  # in: a smaller difference does not show in thousandths
POINTS_PER_INCH = 72.0  # PDF default user space, ISO 32000-1, 8.3.2

_QUOTES = {"″": "in", "”": "in", '"': "in", "''": "in"}
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LENGTH = re.compile(
    r"""^\s*(?P<sign>[+-]?)\s*
        (?:(?P<whole>\d{1,7})\s*[\s-]\s*(?P<num>\d{1,4})/(?P<den>\d{1,4})
          |(?P<num2>\d{1,4})/(?P<den2>\d{1,4})
          |(?P<decimal>\d{1,9}(?:\.\d{0,25})?|\.\d{1,25}))
        \s*(?P<unit>mm|cm|in|inch|inches)?\s*$""",
    re.VERBOSE | re.IGNORECASE,
)

_SIZE = re.compile(r"\s*([^x×]{1,30}?)\s*[x×]\s*([^x×]{1,30}?)\s*", re.IGNORECASE)
_UNIT = re.compile(r"""(?:mm|cm|in|inch|inches|["″”]|'')\s*$""", re.IGNORECASE)


class Units(enum.StrEnum):
    """The unit a file is written in and a page is printed in; both only for print."""

    MM = "mm"
    IN = "in"
    BOTH = "both"  # millimetres first, inches behind them in brackets
    BOTH_IN = "both-in"  # inches first, millimetres behind them in brackets

    @property
    def shown(self) -> "tuple[Units, ...]":
        """The units that a length is printed in, the main one first."""
        match self:
            case Units.BOTH:
                return Units.MM, Units.IN
            case Units.BOTH_IN:
                return Units.IN, Units.MM
            case Units.MM | Units.IN:
                return (self,)

    @property
    def first(self) -> "Units":
        """The main unit, millimetres or inches."""
        return self.shown[0]

    @property
    def is_both(self) -> bool:
        """Whether lengths are printed in both units."""
        return len(self.shown) == 2

    @property
    def mm(self) -> float:
        """Millimetres in one of the main unit."""
        return MM_PER_INCH if self.first is Units.IN else 1.0

    @property
    def grid(self) -> float:
        """The step a turner can mark, mm: 0.5 mm, or 1/64 in (design.md §4)."""
        return MM_PER_INCH / 64 if self.first is Units.IN else 0.5

    def starting_with(self, own: "Units") -> "Units":
        """The same, but of both units the one of a file first.

        >>> Units.BOTH.starting_with(Units.IN)
        <Units.BOTH_IN: 'both-in'>
        """
        if not self.is_both:
            return self
        return Units.BOTH_IN if own.first is Units.IN else Units.BOTH


def parse_length(text: str | float, units: Units) -> float:
    """The length a text or a bare number states, mm.

    Args:
        text: "406 mm", "16 in", "15 3/4 in", "15 3/4", 406; a bare number is in `units`.
        units: the unit of a bare number.

    Returns: mm, finite.

    Raises:
        ValueError: the text is not a length.

    >>> parse_length("15 3/4 in", Units.MM)
    400.05
    >>> parse_length("15 3/4", Units.IN)
    400.05
    >>> parse_length(40, Units.MM)
    40.0
    """
    if isinstance(text, bool):
        raise ValueError("not a length")
    if isinstance(text, int | float):
        try:
            value = float(text)
        except OverflowError as error:
            raise ValueError("not a finite length") from error
        if not math.isfinite(value):
            raise ValueError("not a finite length")
        return value * units.mm
    clean = text.strip()
    for vulgar, plain in _VULGAR.items():
        clean = clean.replace(vulgar, f" {plain}")
    for quote, name in _QUOTES.items():
        clean = clean.replace(quote, f" {name}")
    match = _LENGTH.match(clean)
    if match is None:
        raise ValueError("not a length")
    if match["decimal"] is not None:
        number = Fraction(match["decimal"] if match["decimal"] != "." else "0")
    else:
        whole = Fraction(match["whole"] or 0)
        denominator = int(match["den"] or match["den2"])
        if denominator == 0:
            raise ValueError("a fraction with nothing below the line")
        number = whole + Fraction(int(match["num"] or match["num2"]), denominator)
    unit = (match["unit"] or units.value).lower()
    scale = Fraction(10) if unit == "cm" else Fraction(254, 10) if unit[:2] == "in" else Fraction(1)
    value = float(number * scale)
    return -value if match["sign"] == "-" else value


def typed_units(text: object, units: Units) -> Units:
    """The unit that the text of a length names; where it names none, that of its file.

    >>> typed_units("8 in", Units.MM), typed_units(200, Units.IN)
    (<Units.IN: 'in'>, <Units.IN: 'in'>)
    """
    found = _UNIT.search(text) if isinstance(text, str) else None
    if found is None:
        return units.first
    return Units.MM if "m" in found[0].lower() else Units.IN


def inch_text(length: float) -> str:
    """A length in inches as a file holds it, to 1/64, without its unit.

    >>> inch_text(-31.75)
    '-1 1/4'
    """
    return _inches(length, 64)


def split_size(text: str) -> tuple[str, str]:
    """The two lengths of a size, as texts; a unit that only one of them names counts for both.

    Args:
        text: such as ``400x180``, ``18 x 8 in``, ``18"x8"`` or ``15 3/4 in × 180 mm``.

    Raises:
        ValueError: the text is not two lengths with a times sign between them.

    >>> split_size("18x8in")
    ('18 in', '8in')
    """
    match = _SIZE.fullmatch(text)
    if match is None:
        raise ValueError("not a size")
    sides = match[1], match[2]
    units = [found[0].strip() if (found := _UNIT.search(side)) else "" for side in sides]
    first, second = (
        side if unit or not other else f"{side} {other}"
        for side, unit, other in zip(sides, units, reversed(units), strict=True)
    )
    return first, second


def parse_size(text: str, units: Units) -> tuple[float, float]:
    """The two lengths of a size, mm.

    Args:
        text: see `split_size`.
        units: the unit of lengths where neither names one.

    Raises:
        ValueError: the text is not two lengths with a times sign between them.

    >>> parse_size("18x8in", Units.MM) == (18 * 25.4, 8 * 25.4)
    True
    """
    first, second = split_size(text)
    return parse_length(first, units), parse_length(second, units)


def written_length(length: float, units: Units) -> float | str:
    """A length as a file of those units holds it, without loss.

    Args:
        length: mm, finite.
        units: of the file.

    Returns: the plain figure for a millimetre file, else text that states the millimetres;
        `parse_length` gives the same length back from either.

    >>> written_length(22.225, Units.IN)
    '22.225 mm'
    >>> written_length(22.5, Units.MM)
    22.5
    """
    if units is Units.MM:
        return length
    return f"{Decimal(repr(float(length))):f} mm"


class Rounding(NamedTuple):
    """How finely a length is written: decimals in millimetres, and the finest fraction of an inch.

    Trailing zeros are dropped; the denominator is a power of two.
    """

    places: int = 1
    denominator: int = 32


USUAL_ROUNDING = Rounding()


def format_length(
    length: float,
    units: Units,
    *,
    rounding: Rounding = USUAL_ROUNDING,
    unit: bool = True,
    decimals: bool = False,
    wording: Wording = ENGLISH_WORDING,
) -> str:
    """A length as a turner reads it.

    Args:
        length: mm.
        units: millimetres come with decimals, inches as a fraction; of both the second one stands
            in brackets.
        rounding: how finely.
        unit: whether the unit's name follows; without it the main unit is printed alone.
        decimals: whether thousandths of an inch follow where the fraction is rounded.
        wording: whose decimal sign is used.

    Returns: such as ``22.5 mm`` or ``15 3/4 in``. Inches print exactly or rounded to the
        nearest fraction.

    >>> format_length(400.05, Units.IN)
    '15 3/4 in'
    >>> format_length(22.0, Units.MM)
    '22 mm'
    >>> format_length(101.0, Units.IN, decimals=True)
    '3 31/32 in (3.976)'
    >>> format_length(101.0, Units.BOTH)
    '101 mm (3 31/32 in)'
    >>> format_length(101.0, Units.BOTH_IN, decimals=True)
    '3 31/32 in (3.976, 101 mm)'
    """
    inches = _inches(length, rounding.denominator)
    first = {
        Units.MM: _named(_metric(length, rounding.places), Units.MM, wording, unit=unit),
        Units.IN: _named(inches, Units.IN, wording, unit=unit),
    }
    if units is Units.MM or (units.is_both and not unit):
        return first[units.first]
    is_rounded = abs(length - parse_length(inches, Units.IN)) >= HALF_THOU * MM_PER_INCH
    exact = wording.in_figures(f"{length / MM_PER_INCH:.3f}")
    thousandths = [exact] if decimals and is_rounded else []
    others = [first[other] for other in units.shown[1:]]
    behind = [*others, *thousandths] if units is Units.BOTH else [*thousandths, *others]
    return f"{first[units.first]} ({', '.join(behind)})" if behind else first[units.first]


def _metric(length: float, places: int) -> str:
    """Millimetres with up to so many decimals, trailing zeros dropped."""
    text = f"{length:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _named(figure: str, units: Units, wording: Wording, *, unit: bool) -> str:
    """A figure as a language writes it, with its unit or without."""
    shown = wording.in_figures(figure)
    return f"{shown} {units.value}" if unit else shown


def _inches(length: float, denominator: int) -> str:
    """Inches as a whole number and a reduced fraction, such as ``-1 3/4``."""
    steps = round(abs(length) / MM_PER_INCH * denominator)
    whole, rest = divmod(steps, denominator)
    fraction = str(Fraction(rest, denominator)) if rest else ""
    text = " ".join(filter(None, (str(whole) if whole or not rest else "", fraction)))
    return f"-{text}" if length < 0 and steps else text


@dataclass(frozen=True, slots=True)
class Length(InEnglish):
    """A length in a message, written as `format_length` does.

    Args:
        value: mm.
        units: of the text.
        decimals: whether thousandths of an inch follow where the fraction is rounded.
    """

    value: float
    units: Units
    decimals: bool = True

    def written(self, wording: Wording) -> str:
        """The length in a language."""
        return format_length(self.value, self.units, decimals=self.decimals, wording=wording)


def printed_units(text: str | None, otherwise: Units) -> Units:
    """The units a person asks for; `otherwise`, those of the file, if none.

    Raises:
        InputError: not one of mm, in, both.
    """
    if text is None:
        return otherwise
    if text not in (Units.MM, Units.IN, Units.BOTH):
        raise InputError(
            tr("{text!r} is no unit", text=text), where="--units", mend=tr("use mm, in or both")
        )
    return Units(text).starting_with(otherwise)
