"""The figures card carries every figure of wood, holding and driving, and calls it an estimate."""

import dataclasses

import pytest
from builders import changed_job, demo_plan, example_plan, invented_plan
from part_shapes import MM, STYLES, overlaps, words

from templategen.messages import Wording
from templategen.nest.estimates import energy_text, figures_of, force_text, mass_text
from templategen.parts import figures_card
from templategen.parts.style import PrintStyle
from templategen.trade.records import Lathe
from templategen.units import Units, format_length


@pytest.mark.parametrize("style", STYLES)
def test_cards_fit_a_sheet(style: PrintStyle) -> None:
    """On A4 and letter (176 × 235), and no text over another."""
    for card in figures_card.make(demo_plan(), style=style):
        bounds = card.drawing.bounds()
        assert bounds.width <= 176
        assert bounds.height <= 235
        assert not overlaps(card)


def test_each_estimate_is_on_the_card() -> None:
    """Masses, forces, strength and walls of every bowl and cut; the energy and what it means."""
    plan = demo_plan()
    said = words(figures_card.make(plan, style=MM)[0])
    figures = figures_of(plan)
    assert figures.mass is not None
    assert MM.text(mass_text(figures.mass)) in said
    assert figures.speed.energy_j is not None
    assert MM.text(energy_text(figures.speed.energy_j)) in said
    assert "a catch can break any tenon" in said
    for bowl, own in zip(plan.bowls, figures.bowls, strict=True):
        assert own.wet is not None
        assert own.break_force is not None
        for shown in (mass_text(own.wet), force_text(own.break_force)):
            assert MM.text(shown) in said
        for length in (bowl.wall, bowl.wall_greatest, bowl.wall_worst, bowl.floor_worst):
            assert length is None or format_length(length, Units.MM, unit=False) in said
    for cut in plan.cuts:
        for force in (cut.force_entry_n, cut.force_half_n, cut.force_release_n):
            assert force is None or MM.text(force_text(force)) in said
        assert format_length(cut.entry_radius, Units.MM, unit=False) in said
    assert "never ratings" in said


def test_a_core_that_its_stub_carries_is_not_called_unknown() -> None:
    """Where the stop is known and the core's weight breaks no neck, the card says what holds."""
    plan = demo_plan()
    assert all(cut.release_angle is not None for cut in plan.cuts[:1])
    carried = dataclasses.replace(plan.cuts[0], release_angle=None, release_neck=None)
    plan = dataclasses.replace(plan, cuts=(carried, *plan.cuts[1:]))
    said = words(figures_card.make(plan, style=MM)[0])
    assert "stub holds" in said
    assert "not known" not in said


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("name", ["lakeside-400", "small-220", "inch-15"])
def test_the_other_sets_are_on_the_card(name: str, language: str) -> None:
    """Each set that a turner would weigh, with its rims and cutters (design §4)."""
    plan = example_plan(f"{name}.toml", with_suggestions=True)
    style = PrintStyle(units=plan.job.units, wording=Wording(language))
    said = " ".join(words(part) for part in figures_card.make(plan, style=style))
    assert plan.sets
    for other in plan.sets:
        assert style.text(other.label) in said
        assert figures_card.slashed(other.rims, style, unit=True) in said
        assert ", ".join(other.cutters) in said


def test_no_figure_is_a_multiple_of_a_load() -> None:
    """Design §6: never as a multiple of the motor's force, and no least height."""
    said = words(figures_card.make(demo_plan(), style=MM)[0])
    assert "times motor" not in said
    assert "east height" not in said


def test_unknown_wood_and_lathe_are_said_to_be_unknown() -> None:
    """Without wood and power no mass and no force is invented."""
    plan = demo_plan()
    bare = dataclasses.replace(
        plan,
        job=changed_job(plan.job, wood=""),
        shop=dataclasses.replace(plan.shop, lathe=Lathe()),
        cuts=tuple(
            dataclasses.replace(c, force_entry_n=None, force_half_n=None, force_release_n=None)
            for c in plan.cuts
        ),
    )
    said = words(figures_card.make(bare, style=MM)[0])
    assert "wood not named" in said
    assert "not known" in said
    assert "force: entry" not in said


def test_no_cut_and_no_bowl_is_dropped() -> None:
    """Nine cuts and ten bowls are as many columns, in as many tables as they need."""
    plan = invented_plan()
    cuts = tuple(dataclasses.replace(plan.cuts[0], number=n) for n in range(1, 10))
    bowls = tuple(dataclasses.replace(plan.bowls[0], number=n) for n in range(1, 11))
    many = dataclasses.replace(plan, cuts=cuts, bowls=bowls, sequence=tuple(range(1, 10)))
    texts = [t.text for p in figures_card.make(many, style=MM) for t in p.drawing.texts()]
    assert all(texts.count(str(n)) >= 2 for n in range(1, 10))
    assert "10" in texts
