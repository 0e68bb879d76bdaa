"""Inch users: fractions to 1/32 with decimals, letter paper, 6 in bars, both units on request."""

import io
import re
from pathlib import Path

import pypdf
import pytest

from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.labels import lengths
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.cover import make_pack
from templategen.trade.paper import paper_named
from templategen.units import Units

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
INCH = 25.4  # mm, exact: NIST SP 811 appendix B (from memory)


def _pages(units: Units | None) -> tuple[list[str], tuple[float, float]]:
    job = read_job(EXAMPLES / "inch-15.toml")
    plan = make_plan(job, read_shop(EXAMPLES / "inch-shop.toml"), with_suggestions=False)
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


def test_lengths_joined() -> None:
    """A pair names its unit once, in both units as a pair each; worked by hand from 25.4 mm."""
    pair = (381.0, 12.7)
    assert lengths(pair, Units.MM) == "381 × 12.7 mm"
    assert lengths(pair, Units.IN) == "15 × 1/2 in"
    assert lengths(pair, Units.BOTH) == "381 × 12.7 mm (15 × 1/2 in)"
