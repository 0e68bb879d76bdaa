"""Lengths as text: every spelling a turner uses, exact both ways, in millimetres and inches."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError
from templategen.messages import Wording
from templategen.units import (
    Length,
    Units,
    format_length,
    parse_length,
    parse_size,
    printed_units,
    written_length,
)

INCH = 25.4  # mm, exact: NIST SP 811 appendix B (from memory)
GERMAN = Wording("de")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("406 mm", 406.0),
        (" 40.6CM ", 406.0),
        ("16 in", 16 * INCH),
        ("15 3/4 in", 15.75 * INCH),
        ("15-3/4 inches", 15.75 * INCH),
        ('15¾"', 15.75 * INCH),
        ("½″", INCH / 2),
        ("-1/4 in", -INCH / 4),
        (".5", 0.5),
        ("3/8", 0.375),
        (12, 12.0),
    ],
)
def test_spellings_of_a_length(text: str | float, mm: float) -> None:
    """Worked by hand; a bare number is in the file's unit."""
    assert parse_length(text, Units.MM) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["", "wide", "1/0", "1 2", "3/4/5", "22,5 mm", "1e3", "4 ft", "nan"]
)
def test_texts_that_are_no_length(text: str) -> None:
    """Refused, whatever is near to a length in them."""
    with pytest.raises(ValueError, match=r"length|fraction"):
        parse_length(text, Units.MM)


@pytest.mark.parametrize("value", [True, float("nan"), float("inf"), 10**400])
def test_numbers_that_are_no_length(value: float) -> None:
    """True, what is not finite, and what no float can hold."""
    with pytest.raises(ValueError, match="length"):
        parse_length(value, Units.IN)


@given(
    length=st.floats(1e-7, 1e6) | st.floats(-1e6, -1e-7),
    units=st.sampled_from((Units.MM, Units.IN)),
)
def test_a_written_length_reads_back_to_the_same_bits(length: float, units: Units) -> None:
    """What a recipe or a file holds loses nothing, and never has a comma."""
    held = written_length(length, units)
    assert "," not in str(held)
    assert parse_length(held, units) == length


@given(length=st.floats(-2000, 2000))
def test_fraction_and_decimals(length: float) -> None:
    """The fraction is the nearest 1/32 in lowest terms; thousandths stand where it is rounded."""
    text = format_length(length, Units.IN, decimals=True)
    fraction, _, decimals = text.partition(" in")
    value = parse_length(fraction, Units.IN)
    assert abs(value - length) <= INCH / 64 + 1e-9
    bottom = re.search(r"/(\d+)$", fraction)
    if bottom:
        assert int(bottom[1]) in (2, 4, 8, 16, 32)
    exact = abs(value - length) < 0.0005 * INCH
    assert (decimals == "") == exact
    if decimals:
        assert abs(float(decimals.strip(" ()")) * INCH - length) <= 0.0005 * INCH + 1e-9


@given(length=st.floats(0, 2000), units=st.sampled_from((Units.BOTH, Units.BOTH_IN)))
def test_both(length: float, units: Units) -> None:
    """Tenths of a millimetre, the nearest 1/32 in and thousandths, the main unit first."""
    text = format_length(length, units, decimals=True)
    parts = text.rstrip(")").replace(" (", ", ").split(", ")
    metric = next(part for part in parts if part.endswith(" mm"))
    inches = next(part for part in parts if part.endswith(" in"))
    assert parts[0] == (inches if units is Units.BOTH_IN else metric)
    assert parse_length(metric, Units.MM) == pytest.approx(length, abs=0.05 + 1e-9)
    fraction = parse_length(inches, Units.MM)
    assert fraction == pytest.approx(length, abs=INCH / 64 + 1e-9)
    thousandths = [part for part in parts if part not in (metric, inches)]
    if abs(fraction - length) >= 0.0006 * INCH:
        assert float(thousandths[0]) * INCH == pytest.approx(length, abs=0.0006 * INCH)


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("18x8in", (18 * INCH, 8 * INCH)),
        ("18 x 8 in", (18 * INCH, 8 * INCH)),
        ('18"x8', (18 * INCH, 8 * INCH)),
        ("460x200mm", (460.0, 200.0)),
        ("46 cm X 200 mm", (460.0, 200.0)),
        ("15 3/4 × 7½ inch", (15.75 * INCH, 7.5 * INCH)),
        ("400x180", (400.0, 180.0)),
    ],
)
def test_a_size_in_one_text(text: str, sides: tuple[float, float]) -> None:
    """A unit that one side names counts for both; without one it is the file's. Worked by hand."""
    assert parse_size(text, Units.MM) == pytest.approx(sides, rel=1e-12)


def test_a_size_without_a_unit_is_in_the_unit_of_the_file() -> None:
    """18 by 8 in a file in inches."""
    assert parse_size("18x8", Units.IN) == pytest.approx((18 * INCH, 8 * INCH))


@pytest.mark.parametrize("text", ["", "x", "18", "18x", "18x8x2", "18 by 8", "widexhigh"])
def test_texts_that_are_no_size(text: str) -> None:
    """Refused: not two lengths with a times sign between them."""
    with pytest.raises(ValueError, match=r"size|length"):
        parse_size(text, Units.MM)


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (INCH * Fraction(63, 4), Units.IN, "15 3/4 in"),
        (INCH * Fraction(1, 32), Units.IN, "1/32 in"),
        (INCH * Fraction(1, 20), Units.IN, "1/16 in (0.050)"),
        (INCH * 6, Units.IN, "6 in"),
        (22.0, Units.IN, "7/8 in (0.866)"),
        (-22.0, Units.IN, "-7/8 in (-0.866)"),
        (0.0, Units.IN, "0 in"),
        (-0.01, Units.MM, "0 mm"),
        (22.46, Units.MM, "22.5 mm"),
        (101.0, Units.BOTH, "101 mm (3 31/32 in, 3.976)"),
        (101.0, Units.BOTH_IN, "3 31/32 in (3.976, 101 mm)"),
        (INCH, Units.BOTH_IN, "1 in (25.4 mm)"),
    ],
)
def test_known_lengths(mm: float, units: Units, text: str) -> None:
    """Worked by hand: 22 mm is 0.8661 in, nearest 28/32; 1/20 in is 1.6/32, nearest 2/32."""
    assert format_length(float(mm), units, decimals=True) == text


def test_lengths_in_german() -> None:
    """A decimal comma in millimetres and thousandths; a length in a message does as the rest."""
    assert format_length(22.5, Units.MM, decimals=True, wording=GERMAN) == "22,5 mm"
    assert format_length(22.0, Units.IN, decimals=True, wording=GERMAN) == "7/8 in (0,866)"
    assert format_length(22.0, Units.BOTH, unit=False, wording=GERMAN) == "22"
    assert GERMAN.text(Length(22.5, Units.MM)) == "22,5 mm"
    assert GERMAN.say("{a} / {b}", a=Length(0.5, Units.MM), b=0.5) == "0,5 mm / 0,5"


def test_units_asked_for() -> None:
    """A wrong unit is named with the right ones."""
    assert printed_units("both", Units.MM) is Units.BOTH
    assert printed_units(None, Units.IN) is Units.IN
    with pytest.raises(InputError, match="'cm' is no unit; use mm, in or both"):
        printed_units("cm", Units.MM)
