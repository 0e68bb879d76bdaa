"""The setting card: nothing that a turner needs is left out, and it fits a sheet."""

import dataclasses

import pytest
from builders import demo_plan, invented_plan
from part_shapes import MM, STYLES, words

from templategen.messages import Wording, tr
from templategen.nest.plan import Finding, Level, Rule
from templategen.parts import setting_card
from templategen.parts.cautions import CAUTIONS
from templategen.parts.style import PrintStyle
from templategen.units import Units


@pytest.mark.parametrize("style", STYLES)
def test_cards_fit_a_sheet_and_say_it_all(style: PrintStyle) -> None:
    """On A4 and letter (176 × 235) in one piece, with every cut, bowl, finding and caution."""
    plan = demo_plan()
    cards = setting_card.make(plan, style=style)
    keys = [card.key for card in cards]
    assert keys[0] == "setting-card"
    assert set(keys) <= {"setting-card", "findings-card", "holding-card", "held-card"}
    assert "holding-card" in keys
    for card in cards:
        box = card.drawing.bounds()
        assert box.width <= 176
        assert box.height <= 235
        assert not card.may_tile
        assert not card.may_turn
    said = " ".join(words(card) for card in cards)
    assert f"{plan.shop.rules.max_coring_speed:.0f} rpm or slower" in said
    for text in (*CAUTIONS, *(f.text for f in plan.findings)):
        assert " ".join(style.text(text).split()) in said
    for bowl in plan.bowls:
        assert bowl.jaws is None or bowl.jaws.id in said


def test_no_stop_is_dropped() -> None:
    """However many findings there are, each that forbids the work is on the card."""
    notes = [Finding(level=Level.NOTE, rule=Rule.MARKS, text=tr(f"note {n}")) for n in range(12)]
    stop = Finding(level=Level.STOP, rule=Rule.WALL, text=tr("forbidden zebra"))
    crowded = dataclasses.replace(invented_plan(), findings=(*notes, stop))
    assert any("zebra" in words(card) for card in setting_card.make(crowded, style=MM))


def test_no_cut_and_no_bowl_is_dropped() -> None:
    """Nine cuts are nine columns, in as many tables as they need."""
    plan = invented_plan()
    cuts = tuple(dataclasses.replace(plan.cuts[0], number=n) for n in range(31, 40))
    bowls = tuple(dataclasses.replace(plan.bowls[0], number=n) for n in range(51, 60))
    order = tuple(c.number for c in cuts)
    many = dataclasses.replace(plan, cuts=cuts, bowls=bowls, sequence=order)
    part, *_ = setting_card.make(many, style=MM)
    texts = {t.text for t in part.drawing.texts()}
    assert {str(n) for n in (*range(31, 40), *range(51, 60))} <= texts
    assert part.may_tile == (part.drawing.bounds().height > 235)


def test_what_is_not_there_is_said_in_the_language_of_the_print() -> None:
    """A bowl that no jaws hold has a cell in German on a German card."""
    plan = demo_plan()
    bare = dataclasses.replace(
        plan.bowls[0], shape=dataclasses.replace(plan.bowls[0].shape, jaws=None)
    )
    plan = dataclasses.replace(plan, bowls=(bare, *plan.bowls[1:]))
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    texts = {t.text for p in setting_card.make(plan, style=style) for t in p.drawing.texts()}
    assert "keine" in texts
    assert "none" not in texts
