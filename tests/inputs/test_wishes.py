"""The tables [nest], [tenon] and [print]: what they inherit and how they are written back."""

from templategen.inputs.toml_table import TomlTable
from templategen.inputs.wishes import nest_from_table, print_from_table
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import (
    Nest,
    Print,
    Relief,
)


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


def test_an_empty_list_of_parts_is_all_of_them() -> None:
    """A job may take back the parts that its shop chose; what it does not say stays."""
    shop = Print(parts=(PartKind.TAG,), paper="a3")
    stated = print_from_table(TomlTable({"parts": []}, where="f", faults=[]), shop)
    assert stated == Print(parts=(), paper="a3")
    assert print_from_table(TomlTable({}, where="f", faults=[]), shop) == shop
