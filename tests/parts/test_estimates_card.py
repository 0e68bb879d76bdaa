"""The card of estimates carries every figure of wood, holding and driving."""

import dataclasses

from builders import changed_job, demo_plan
from part_shapes import MM, words

from templategen.nest.estimates import figures_of, force_text, mass_text
from templategen.parts import setting_card
from templategen.trade.records import Lathe
from templategen.units import Units, format_length


def test_each_estimate_is_on_the_card() -> None:
    """Masses, dried sizes, forces and strength of every bowl and cut; all are called estimates."""
    plan = demo_plan()
    said = words(setting_card.make(plan, style=MM)[-1])
    figures = figures_of(plan)
    assert figures.mass is not None
    assert MM.text(mass_text(figures.mass)) in said
    for bowl in figures.bowls:
        assert bowl.dried is not None
        assert bowl.dried.wall_left is not None
        assert bowl.wet is not None
        assert bowl.break_force is not None
        dried = bowl.dried
        for length in (dried.across, dried.along, bowl.dried.wall_left, bowl.thumb_wall):
            assert format_length(length, Units.MM) in said
        for shown in (mass_text(bowl.wet), force_text(bowl.break_force), f"{bowl.strength:.2f}"):
            assert MM.text(shown) in said
    for cut in figures.cuts:
        assert cut.tip_force is not None
        assert MM.text(force_text(cut.tip_force)) in said
    for needed in ("6000 to 9000", "estimates", "never ratings"):
        assert needed in said


def test_unknown_wood_and_lathe_are_said_to_be_unknown() -> None:
    """Without wood and power no mass and no force is invented."""
    plan = demo_plan()
    bare = dataclasses.replace(
        plan,
        job=changed_job(plan.job, wood=""),
        shop=dataclasses.replace(plan.shop, lathe=Lathe()),
    )
    said = words(setting_card.make(bare, style=MM)[1])
    assert "wood not named" in said
    assert "not known" in said
    assert "force at the tip" not in said
