"""Which kinds of parts a pack has: by step of the work, and without what a shop has already."""

import pytest
from builders import changed_job, example_plan, example_shop

from templategen.errors import InputError
from templategen.nest.planner import make_plan
from templategen.parts.registry import ON_REQUEST, kinds_of_group, make_parts, usual_kinds
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import Group, PartKind
from templategen.trade.records import Print


def test_a_shop_that_has_its_set_prints_it_no_more() -> None:
    """With `has_shop_set` no part of the last step is left, and nothing else is missing."""
    plan = example_plan("small-220.toml")
    bare = make_plan(
        changed_job(plan.job, print=Print(has_shop_set=True)), plan.shop, with_suggestions=False
    )
    style = PrintStyle(units=plan.job.units)
    all_of, left = (make_parts(p, kinds=(), style=style) for p in (plan, bare))
    assert Group.SHOP in {part.group for part in all_of}
    assert [p.key for p in left] == [p.key for p in all_of if p.group is not Group.SHOP]
    # Named parts are printed all the same.
    assert make_parts(bare, kinds=("cutter arc",), style=style)
    assert example_shop("small-220.toml") == plan.shop


@pytest.mark.parametrize("name", ["set", "Set", "read", "read first", "read-first", "shop"])
def test_a_group_is_named_by_its_first_word(name: str) -> None:
    """The kinds of one step, all but those on request."""
    kinds = kinds_of_group(name)
    assert kinds
    assert len({kind.group for kind in kinds}) == 1
    assert not ON_REQUEST & set(kinds)


def test_every_usual_kind_is_in_one_group() -> None:
    """The steps together are the whole pack."""
    found = [kind for group in Group for kind in kinds_of_group(group.value)]
    assert sorted(found) == sorted(usual_kinds(example_plan("small-220.toml")))
    assert len(set(found)) == len(found)
    assert PartKind.SETTING_PLATE in found


def test_an_unknown_group_names_the_nearest() -> None:
    """A word that is no step is refused with the step it may mean."""
    with pytest.raises(InputError, match="did you mean 'cut'"):
        kinds_of_group("cuts")
