"""The registry: every kind is drawn, and a pack has the kinds that its job asks for."""

import dataclasses

import pytest
from builders import changed_job, demo_plan, example_plan
from part_shapes import MM

from templategen.errors import InputError
from templategen.nest.planner import make_plan
from templategen.parts.registry import KINDS, ON_REQUEST, kinds_of_group, make_parts, usual_kinds
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import DRAWN_KINDS, Group, Material, PartKind
from templategen.trade.records import Print


def test_every_kind_is_drawn_in_the_order_of_the_work() -> None:
    """Each kind has a maker or is not promised; its parts carry its name and keys of their own."""
    assert list(KINDS) == list(DRAWN_KINDS)
    plan = example_plan("lakeside-400.toml")  # its log, lathe and post are stated
    parts = make_parts(plan, kinds=DRAWN_KINDS, style=MM)
    assert list(dict.fromkeys(p.kind for p in parts)) == list(DRAWN_KINDS)
    assert len({p.key for p in parts}) == len(parts)
    usual = {p.kind for p in make_parts(plan, kinds=(), style=MM)}
    assert usual == set(DRAWN_KINDS) - ON_REQUEST


def test_parts_carry_the_step_and_the_material_of_their_kind() -> None:
    """The groups of a pack run in working order; what is no kind is a sheet to read."""
    parts = make_parts(demo_plan(), kinds=(), style=MM)
    steps = [list(Group).index(p.group) for p in parts]
    assert steps == sorted(steps)
    assert {p.material for p in parts if p.group is Group.SET} == {Material.PLY}
    cover = dataclasses.replace(parts[0], kind="cover")
    assert (cover.group, cover.material) == (Group.READ_FIRST, Material.PAPER)


def test_a_word_of_the_name_makes_the_part() -> None:
    """'rings' means the tenon rings; a kind named twice is made once."""
    parts = make_parts(demo_plan(), kinds=("rings", "tenon ring"), style=MM)
    assert {p.kind for p in parts} == {PartKind.TENON_RING}
    assert len({p.key for p in parts}) == len(parts)


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
