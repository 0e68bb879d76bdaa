"""Inch users: fractions to 1/32 with decimals, letter paper, 6 in bars, both units on request."""

import io
import re
from fractions import Fraction
from pathlib import Path

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError
from templategen.inputs.job_file import job_from_table, read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.labels import lengths
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.cover import make_pack
from templategen.trade.paper import paper_named
from templategen.units import Units, parse_length, printed_length, printed_units

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
INCH = 25.4  # mm, exact: NIST SP 811 appendix B (from memory)


@given(length=st.floats(-2000, 2000))
def test_fraction_and_decimals(length: float) -> None:
    """The fraction is the nearest 1/32 in lowest terms; thousandths stand where it is rounded."""
    text = printed_length(length, Units.IN)
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


@given(length=st.floats(0, 2000))
def test_both(length: float) -> None:
    """A mixed label states tenths of a millimetre and the nearest 1/32 in."""
    metric, _, inches = printed_length(length, Units.BOTH).partition(" (")
    assert abs(parse_length(metric, Units.MM) - length) <= 0.05 + 1e-9
    assert abs(parse_length(inches.rstrip(")"), Units.MM) - length) <= INCH / 64 + 1e-9


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (INCH * Fraction(63, 4), "15 3/4 in"),
        (INCH * Fraction(1, 32), "1/32 in"),
        (INCH * Fraction(1, 20), "1/16 in (0.050)"),
        (INCH * 6, "6 in"),
        (22.0, "7/8 in (0.866)"),
        (0.0, "0 in"),
    ],
)
def test_known_lengths(mm: float, text: str) -> None:
    """Worked by hand: 22 mm is 0.8661 in, nearest 28/32; 1/20 in is 1.6/32, nearest 2/32."""
    assert printed_length(float(mm), Units.IN) == text


def _pages(units: Units | None) -> tuple[list[str], tuple[float, float]]:
    job = read_job(EXAMPLES / "inch-15.toml", known_wood=lambda _: None)
    plan = make_plan(job, read_shop(EXAMPLES / "inch-shop.toml"), with_mends=False)
    unit = units or job.units
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=unit))
    pack = make_pack(plan, parts, paper=paper_named(job.print.paper), units=unit)
    reader = pypdf.PdfReader(io.BytesIO(write_pdf(pack, title="t", attachments={})))
    box = reader.pages[0].mediabox
    return [page.extract_text() for page in reader.pages], (float(box.width), float(box.height))


def test_an_inch_job_prints_in_inches_on_letter() -> None:
    """No millimetre stands on any page; every page has its bars of 6 in; letter by default.

    Letter is 8.5 × 11 in (ANSI/ASME Y14.1), 612 × 792 pt.
    """
    pages, size = _pages(None)
    assert size == pytest.approx((612, 792), abs=0.01)
    for page in pages:
        assert not re.search(r"\d ?mm\b", page), re.findall(r".*\d ?mm\b.*", page)
        assert "6 in across" in page
        assert "6 in down" in page
    assert any(re.search(r"\d/32 in", page) for page in pages)
    assert any(re.search(r"in \(\d+\.\d{3}\)", page) for page in pages)


def test_both_units_on_request() -> None:
    """Each size of the section sheet stands in both units."""
    pages, _ = _pages(Units.BOTH)
    section = next(page for page in pages if "stub on the axis" in page)
    assert re.search(r"387\.4 mm \(15 1/4 in\)", section)
    assert not re.search(r"\d mm(?! \()", re.sub(r"150 mm (across|down)", "", section))


def test_units_asked_for() -> None:
    """A wrong unit is named with the right ones; a file cannot ask for both."""
    assert printed_units("both", Units.MM) is Units.BOTH
    assert printed_units(None, Units.IN) is Units.IN
    with pytest.raises(InputError, match="'cm' is no unit; use mm, in or both"):
        printed_units("cm", Units.MM)
    table = {"units": "both", "blank": {"diameter": 400, "height": 180}}
    with pytest.raises(InputError, match="'both' is not known"):
        job_from_table(table, where="job", known_wood=lambda _: None)


def test_lengths_joined() -> None:
    """A pair names its unit once, in both units as a pair each; worked by hand from 25.4 mm."""
    pair = (381.0, 12.7)
    assert lengths(pair, Units.MM) == "381 × 12.7 mm"
    assert lengths(pair, Units.IN) == "15 × 1/2 in"
    assert lengths(pair, Units.BOTH) == "381 × 12.7 mm (15 × 1/2 in)"
