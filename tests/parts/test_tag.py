"""Tags and drying sheets: each carries what its bowl needs on the shelf."""

import dataclasses
import itertools

import pytest
from builders import changed_job, demo_plan, example_plan
from part_shapes import MM, STYLES, overlaps, words

from templategen.nest.estimates import figures_of, mass_number
from templategen.parts import drying_sheet, tag
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("module", "width"), [(tag, 87.1), (drying_sheet, 174.1)])
def test_each_bowl_has_its_own(module: object, width: float, style: PrintStyle) -> None:
    """Identity, wood, date, wall, masses, finished size and the boxes to tick."""
    plan = demo_plan()
    figures = figures_of(plan)
    parts = module.make(plan, style=style)  # type: ignore[attr-defined]
    assert len(parts) == len(plan.bowls)
    for part, whole, bowl in zip(parts, plan.bowls, figures.bowls, strict=True):
        assert whole.dried is not None
        assert bowl.target_mass is not None
        for text in (
            bowl.identity,
            plan.job.blank.wood,
            plan.job.date,
            "solid core" if bowl.wall is None else f"wall {style.length(bowl.wall)}",
            mass_number(bowl.target_mass, units=style.units),
            style.length(whole.dried.largest_circle),
            "end grain sealed: yes no",
            "never ratings",
        ):
            assert style.text(text) in words(part), (part.key, text)
        assert part.drawing.bounds().width <= width


@pytest.mark.parametrize("name", ["lakeside-400", "small-220"])
def test_a_tag_takes_nine_weighings(name: str) -> None:
    """Rows of 5 mm and more for date and mass, three blocks beside one another.

    Ruled paper for handwriting has lines 5 mm apart and more (common practice, no source).
    """
    for part in tag.make(example_plan(f"{name}.toml"), style=MM):
        rules = sorted(
            p.bounds().top
            for p in part.drawing.paths(Role.NOTE)
            if p.bounds().height < 1e-9 and p.bounds().width > 80
        )
        rows = [b - a for a, b in itertools.pairwise([part.drawing.bounds().bottom, *rules])]
        assert 3 * sum(row >= 4.99 for row in rows) >= 9
        assert words(part).count("date mass") == 3


def test_without_figures_there_is_room_to_write() -> None:
    """No wood, no date: blanks to fill in, nothing invented."""
    plan = demo_plan()
    bare = dataclasses.replace(plan, job=changed_job(plan.job, wood="", date=""))
    for part in (*tag.make(bare, style=MM), *drying_sheet.make(bare, style=MM)):
        for needed in (
            "wood: ____",
            "turned green on: ____",
            "weigh it",
            "weigh until it holds still",
        ):
            assert needed in words(part)
        assert "kg" not in words(part)
        assert not overlaps(part)
