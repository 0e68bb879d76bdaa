"""What the records work out themselves."""

import dataclasses

import pytest

from templategen.messages import ENGLISH_WORDING, Wording
from templategen.trade.records import UNNAMED, UNTITLED, Cutter, print_defaults
from templategen.units import Units
from tests.builders import make_job, make_shop


def test_stated_names_stay_and_missing_ones_are_translated() -> None:
    """A title or shop name is as written in every language; the stand-ins are in the catalogue."""
    german = Wording("de")
    job, shop = make_job(), make_shop()
    assert german.text(job.shown_title) == job.title
    assert german.text(shop.shown_name) == shop.name
    untitled = dataclasses.replace(job, title=UNTITLED)
    unnamed = dataclasses.replace(shop, name=UNNAMED)
    assert ENGLISH_WORDING.text(untitled.shown_title) == "Untitled blank"
    assert german.text(untitled.shown_title) == "Rohling ohne Titel"
    assert german.text(unnamed.shown_name) == "Werkstatt"


def test_inner_edge_of_a_cutter() -> None:
    """Design §2: the inner edge of the kerf runs at R - k."""
    assert Cutter(id="a", radius=105, kerf=12).inner_radius == 93


def test_print_defaults_follow_the_unit() -> None:
    """A4 where millimetres are in use, letter (ANSI/ASME Y14.1) and inch plies where inches are."""
    assert print_defaults(Units.MM).paper == "a4"
    inch = print_defaults(Units.IN)
    assert inch.paper == "letter"
    assert [ply / 25.4 for ply in inch.stock] == pytest.approx([1 / 8, 1 / 4, 3 / 4])
