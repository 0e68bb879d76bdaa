"""Holding cards: what holds each bowl green and dry, and the discs to turn its tenon on."""

import dataclasses
import re

import pytest
from builders import changed_job, demo_plan, example_plan, tiny_plan
from part_shapes import MM, STYLES, assert_legible, words

from templategen.nest.plan import Plan
from templategen.parts import holding_card
from templategen.parts.blank_disc import circles_to_draw
from templategen.parts.held_bowl import dried_disc, green_disc
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.units import Units, format_length


@pytest.mark.parametrize(
    "plan",
    [demo_plan(), example_plan("small-220.toml"), tiny_plan()],
    ids=["demo", "small", "tiny"],
)
@pytest.mark.parametrize("style", STYLES)
def test_each_bowl_has_a_legible_card(plan: Plan, style: PrintStyle) -> None:
    """One card a bowl, nothing over a line or off the card."""
    cards = holding_card.make(plan, style=style)
    assert len(cards) == len(plan.bowls)
    for card in cards:
        assert_legible(card)


def test_jaws_green_and_dry_and_the_oval_are_named() -> None:
    """The plan's own figures: green jaws, dry jaws with the neck to turn, the dried oval."""
    plan = demo_plan()
    for bowl, card in zip(plan.bowls, holding_card.make(plan, style=MM), strict=True):
        said = words(card)
        assert bowl.jaws is not None
        assert f"green: jaws {bowl.jaws.id}" in said
        assert bowl.dried is not None
        assert format_length(bowl.dried.largest_circle, Units.MM) in said
        if bowl.held_again is None:
            assert "dry: none of the shop's jaws hold it" in said
        else:
            neck = format_length(bowl.held_again.neck, Units.MM)
            assert f"dry: jaws {bowl.held_again.jaws.id}, neck Ø {neck}" in said


def test_a_dried_mouth_still_slides_over_its_disc() -> None:
    """The dry disc is less than the green one and less than the mouth dried by the least factor.

    Across the grain nothing keeps more than 1 - 0 of its width, nor less than 1 - S0: bounds from
    the wood's own shrinkage.
    """
    plan = demo_plan()
    for bowl in plan.bowls[:-1]:
        green, dry = green_disc(plan, bowl), dried_disc(plan, bowl)
        assert green is not None
        assert dry is not None
        assert 0.85 * green < dry < green
    assert green_disc(plan, plan.bowls[-1]) is None
    assert dried_disc(plan, plan.bowls[-1]) is None


def test_solid_bowls_are_held_by_the_face() -> None:
    """The core always, and every core where the cuts go outer first: it has no mouth yet."""
    plan = demo_plan()
    cards = holding_card.make(plan, style=MM)
    assert words(cards[-1]).count("face on a flat disc") == 2  # green, and again when dry
    assert "mouth over a disc" in words(cards[1])
    again = dataclasses.replace(plan, job=changed_job(plan.job, order=Order.OUTER_FIRST))
    green, _ = re.split("dry: ", words(holding_card.make(again, style=MM)[1]), maxsplit=1)
    assert "face on a flat disc" in green
    assert not any("green disc" in " ".join(rows) for _, rows in circles_to_draw(again, MM))
    assert any("green disc" in " ".join(rows) for _, rows in circles_to_draw(plan, MM))


@pytest.mark.parametrize("order", [Order.INNER_FIRST, Order.OUTER_FIRST])
def test_nothing_is_turned_on_a_disc_without_the_tail_centre(order: Order) -> None:
    """A disc holds by friction, so the tail centre presses on: common practice, no source."""
    plan = demo_plan()
    plan = dataclasses.replace(plan, job=changed_job(plan.job, order=order))
    for card in holding_card.make(plan, style=MM):
        said = words(card)
        assert said.count("turn it: ") == said.count("tail centre on the foot")


def test_a_solid_core_has_no_wall_left() -> None:
    """Only hollow bowls name the wall that is left when they are turned true."""
    *hollow, core = holding_card.make(demo_plan(), style=MM)
    assert all("wall left" in words(card) for card in hollow)
    assert "wall left" not in words(core)


def test_an_unknown_wood_makes_no_dry_figures() -> None:
    """Without shrinkage nothing is said of the dried bowl but to measure it."""
    plan = demo_plan()
    bowls = tuple(dataclasses.replace(b, dried=None, held_again=None) for b in plan.bowls)
    bare = dataclasses.replace(plan, job=changed_job(plan.job, wood=""), bowls=bowls)
    for card in holding_card.make(bare, style=MM):
        assert "measure it when it is dry" in words(card)
        assert "oval" not in words(card)
