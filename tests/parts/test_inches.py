"""Packs for inch users: letter paper, 6 in bars, no millimetres; both units on request."""

import functools
import io
import re

import pypdf
import pytest
from builders import example_job, example_plan

from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Text
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.units import Units


@functools.cache
def _pages(units: Units | None) -> tuple[list[str], tuple[float, float]]:
    job, plan = example_job("inch-15.toml"), example_plan("inch-15.toml")
    style = PrintStyle(units=units or job.units)
    parts = make_parts(plan, kinds=(), style=style)
    pack = make_pack(plan, parts, frame=PageFrame(paper=paper_named(job.print.paper)), style=style)
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
    """The blank and the radii on the section sheet stand in both units, its tables in one."""
    pages, _ = _pages(Units.BOTH)
    section = next(page for page in pages if "Section, half" in page)
    assert re.search(r"387\.4\smm\s\(15\s1/4\sin\)", " ".join(pages))
    radii = re.findall(r"R\s[\d.]+\smm(\s\()?", section)
    assert radii
    assert all(radii)


def test_thousandths_stay_with_their_figure() -> None:
    """No row begins with the thousandths of a figure, none ends with the dot between phrases."""
    parts = make_parts(example_plan("inch-15.toml"), kinds=(), style=PrintStyle(units=Units.IN))
    rows = [item.text for part in parts for item in part.drawing.items if isinstance(item, Text)]
    assert any(re.search(r"in \(\d+\.\d{3}\)", row) for row in rows)
    assert not [row for row in rows if re.match(r"\(\d+\.\d{3}", row) or row.endswith(" ·")]
