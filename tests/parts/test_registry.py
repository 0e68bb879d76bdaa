"""The registry: every kind is drawn, and a slip is answered with the nearest name."""

import dataclasses

import pytest
from builders import demo_plan, example_plan, invented_plan
from part_shapes import MM

from templategen.errors import InputError
from templategen.parts.registry import KINDS, ON_REQUEST, make_parts
from templategen.trade.part_kinds import DRAWN_KINDS, Group, Material, PartKind


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


def test_unknown_kind_names_the_nearest() -> None:
    """A slip of the pen is answered with the nearest kind."""
    with pytest.raises(InputError, match="cut plate"):
        make_parts(invented_plan(), kinds=("cit plate",), style=MM)
