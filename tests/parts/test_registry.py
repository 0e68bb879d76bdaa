"""The registry: every kind is drawn, and a slip is answered with the nearest name."""

import pytest
from builders import demo_plan, invented_plan
from part_shapes import MM

from templategen.errors import InputError
from templategen.parts.registry import KINDS, ON_REQUEST, make_parts
from templategen.trade.part_kinds import PartKind


def test_every_kind_is_drawn_in_the_order_of_the_print() -> None:
    """Each kind has a maker, and its parts carry its name and keys of their own."""
    assert list(KINDS) == list(PartKind)
    parts = make_parts(demo_plan(), kinds=tuple(PartKind), style=MM)
    assert list(dict.fromkeys(p.kind for p in parts)) == list(PartKind)
    assert len({p.key for p in parts}) == len(parts)
    usual = {p.kind for p in make_parts(demo_plan(), kinds=(), style=MM)}
    assert usual == set(PartKind) - ON_REQUEST


def test_unknown_kind_names_the_nearest() -> None:
    """A slip of the pen is answered with the nearest kind."""
    with pytest.raises(InputError, match="cut plate"):
        make_parts(invented_plan(), kinds=("cut plat",), style=MM)
