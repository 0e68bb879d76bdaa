"""The tables [nest], [tenon] and [print]: what they inherit and how they are written back."""

import json

import pytest

from templategen.inputs.toml_table import TomlTable
from templategen.inputs.wishes import nest_from_table, nest_to_table, print_from_table
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import (
    DryingWall,
    LengthWall,
    Nest,
    PinnedCut,
    Print,
    Relief,
    ShareWall,
    Wall,
)
from templategen.units import Units


def _nest(data: dict[str, object], base: Nest) -> Nest:
    table = TomlTable(data, where="f", faults=[])
    nest = nest_from_table(table, base)
    assert not table.faults
    return nest


def test_a_relief_keeps_what_it_inherits() -> None:
    """True is the inherited relief, false none; a table keeps the figures it does not state."""
    own = Nest(relief=Relief(shift=4.0, depth=20.0))
    assert _nest({"relief": True}, own).relief == own.relief
    assert _nest({}, own).relief == own.relief
    assert _nest({"relief": False}, own).relief is None
    assert _nest({"relief": {"shift": 2}}, own).relief == Relief(shift=2.0, depth=20.0)
    assert _nest({"relief": True}, Nest(relief=None)).relief == Relief()


@pytest.mark.parametrize("units", [Units.MM, Units.IN])
@pytest.mark.parametrize("wall", [ShareWall(0.125), LengthWall(22.225), DryingWall()])
def test_a_nest_is_read_back_as_it_was_written(units: Units, wall: Wall) -> None:
    """Table and back through JSON: walls of every policy, a floor, fixed cuts of both kinds."""
    nest = Nest(
        wall=wall,
        floor=25.4 / 7,
        relief=None,
        pinned=(
            PinnedCut(cutter="R80", pivot_offset=-1.25, pivot_standoff=30.5),
            PinnedCut(cutter="R80", entry_radius=90.5, depth_at_axis=60.0),
        ),
        add_cuts=False,
    )
    table = json.loads(json.dumps(nest_to_table(nest, units)))
    again = nest_from_table(TomlTable(table, where="f", faults=[], units=units), Nest())
    assert again == nest


def test_an_empty_list_of_parts_is_all_of_them() -> None:
    """A job may take back the parts that its shop chose; what it does not say stays."""
    shop = Print(parts=(PartKind.TAG,), paper="a3")
    stated = print_from_table(TomlTable({"parts": []}, where="f", faults=[]), shop)
    assert stated == Print(parts=(), paper="a3")
    assert print_from_table(TomlTable({}, where="f", faults=[]), shop) == shop
