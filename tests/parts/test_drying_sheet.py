"""Drying sheets: two to a page, with room to write; see also test_tag.py."""

import itertools

import pytest
from builders import demo_plan
from part_shapes import STYLES, words

from templategen.parts import drying_sheet
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle
from templategen.units import Units


@pytest.mark.parametrize("style", STYLES)
def test_two_sheets_fit_a_page_of_letter(style: PrintStyle) -> None:
    """Letter (ANSI/ASME Y14.1) less margins and bars leaves 236.4 mm."""
    for sheet in drying_sheet.make(demo_plan(), style=style):
        assert 2 * sheet.drawing.bounds().height + 4 <= 236.4
        assert ("mass_lb" if style.units is Units.IN else "mass_g") in words(sheet)


def test_the_table_has_rows_to_write_on() -> None:
    """Five rows or more, 6.5 mm apart: a hand can write in them (common practice, no source)."""
    for sheet in drying_sheet.make(demo_plan(), style=STYLES[0]):
        rules = sorted(
            p.bounds().top
            for p in sheet.drawing.paths(Role.NOTE)
            if p.bounds().height < 1e-9 and p.bounds().width > 150
        )
        gaps = [high - low for low, high in itertools.pairwise(rules)]
        assert len(gaps) >= 6  # the headings among them
        assert gaps == pytest.approx([6.5] * len(gaps))
