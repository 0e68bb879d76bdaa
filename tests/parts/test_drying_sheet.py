"""Drying sheets: two to a page and four to one of A4, with room to write; see also test_tag.py."""

import dataclasses
import itertools

import pytest
from builders import demo_plan
from part_shapes import STYLES, words

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan
from templategen.parts import drying_sheet
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle
from templategen.trade.records import OwnWood
from templategen.units import Units


@pytest.mark.parametrize("style", STYLES)
def test_two_sheets_fit_a_page_of_letter(style: PrintStyle) -> None:
    """Letter (ANSI/ASME Y14.1) less margins and bars leaves 236.4 mm."""
    for sheet in drying_sheet.make(demo_plan(), style=style):
        assert 2 * sheet.drawing.bounds().height + 4 <= 236.4
        assert ("mass_lb" if style.units.first is Units.IN else "mass_g") in words(sheet)


def test_four_sheets_of_one_unit_fit_a_page_of_a4() -> None:
    """A4 (ISO 216) less margins, bars and heading leaves 254 mm; 3 mm between two sheets."""
    tall = [s.drawing.bounds().height for s in drying_sheet.make(demo_plan(), style=STYLES[0])]
    assert sum(tall[:4]) + 9.0 <= 254.0


def test_the_table_has_rows_to_write_on() -> None:
    """Six rows or more, 6 mm apart: a hand can write in them (common practice, no source)."""
    for sheet in drying_sheet.make(demo_plan(), style=STYLES[0]):
        rules = sorted(
            p.bounds().top
            for p in sheet.drawing.paths(Role.NOTE)
            if p.bounds().height < 1e-9 and p.bounds().width > 50
        )
        gaps = [high - low for low, high in itertools.pairwise(rules)]
        assert len(gaps) >= 7  # the headings among them
        assert gaps == pytest.approx([6.0] * len(gaps))


def test_no_weight_on_the_way_is_above_the_green_one() -> None:
    """Wood that is 40 % moist when green never weighs what it would at 60 %."""
    moist = dataclasses.replace(demo_job(), wood=OwnWood(green_moisture=40.0))
    plan = make_plan(moist, demo_shop(), with_suggestions=False)
    told = words(drying_sheet.make(plan, style=STYLES[0])[0])
    assert "60 %" not in told
    assert "30 %" in told
    assert "60 %" in words(drying_sheet.make(demo_plan(), style=STYLES[0])[0])
