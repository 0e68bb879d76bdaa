"""The one table of defaults: records take theirs from it, each with a ground."""

import dataclasses
import inspect
from typing import Any

import pytest

from templategen.trade import defaults, records

SECTIONS = {
    records.Cutter: "cutters",
    records.Jaws: "jaws",
    records.Post: "post",
    records.Rules: "rules",
    records.Blank: "blank",
    records.Log: "log",
    records.Relief: "nest.relief",
    records.Nest: "nest",
    records.Tenon: "tenon",
    records.Print: "print",
}


def _record_defaults() -> dict[str, Any]:
    """Every default of the records that is a choice: not None, empty or a record of its own."""
    found: dict[str, Any] = {}
    for _, record in inspect.getmembers(records, dataclasses.is_dataclass):
        for field in dataclasses.fields(record):
            value = field.default
            if value is dataclasses.MISSING or value in (None, "", ()):
                continue
            found[f"{SECTIONS[record]}.{field.name}"] = value
    return found


def test_each_default_of_the_records_stands_in_the_table() -> None:
    """Same key, same value; a record that grows a default must enter it with its ground."""
    table = {entry.key: entry.value for entry in defaults.TABLE}
    assert len(table) == len(defaults.TABLE)
    found = _record_defaults()
    assert len(found) > 25
    for key, value in found.items():
        if key == "nest.wall":
            value = value.share
        assert table.pop(key) == value, key
    apart = {k for k in table if not k.startswith("fixed: ")}
    assert apart == {"nest.wall policy"}


def test_each_default_has_unit_and_ground() -> None:
    """No figure without its unit and a source or the plain word that there is none."""
    for entry in defaults.TABLE:
        assert entry.unit in {"mm", "°", "%", "rpm", "share", "count", "word", "W", "N", "times"}, (
            entry.key
        )
        assert any(
            word in str(entry.ground)
            for word in ("no source", "from memory", "ISO", "ANSI", "design of the project")
        ), entry.key


def test_the_usual_figures_of_the_trade() -> None:
    """Common practice, no source: the figures turners go by while coring."""
    assert defaults.TENON_SHARE.value == 0.5
    assert defaults.HEIGHT_ABOVE_CENTRE.value == 5
    assert (defaults.RELIEF_SHIFT.value, defaults.RELIEF_DEPTH.value) == (5, 25)
    assert defaults.MAX_CORING_SPEED.value == 500
    assert defaults.CAUTION_SHARE.value == 0.4
    assert defaults.REFUSE_SHARE.value == pytest.approx(1 / 3)
