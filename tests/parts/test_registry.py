"""The registry: every kind is drawn, and a slip is answered with the nearest name."""

import pytest
from builders import demo_plan, invented_plan
from part_shapes import MM

from templategen.errors import InputError
from templategen.parts.registry import KINDS, ON_REQUEST, make_parts


def test_every_kind_is_drawn_in_the_order_of_the_print() -> None:
    """Each kind's parts carry its name and keys of their own."""
    parts = make_parts(demo_plan(), kinds=tuple(KINDS), style=MM)
    assert list(dict.fromkeys(p.kind for p in parts)) == list(KINDS)
    assert len({p.key for p in parts}) == len(parts)
    usual = {p.kind for p in make_parts(demo_plan(), kinds=(), style=MM)}
    assert usual == set(KINDS) - ON_REQUEST


def test_unknown_kind_names_the_nearest() -> None:
    """A slip of the pen is answered with the nearest kind."""
    with pytest.raises(InputError, match="cut plate"):
        make_parts(invented_plan(), kinds=("cut plat",), style=MM)
