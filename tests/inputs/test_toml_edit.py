"""TOML changed in place: the values are the wished ones, remarks stay."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError
from templategen.inputs.starters import starter_files
from templategen.inputs.toml_edit import edited_toml
from templategen.units import Units

FILES = [
    text
    for language in ("en", "de")
    for units in (Units.MM, Units.IN)
    for text in starter_files(language, units).values()
]
KEYS = st.sampled_from(["radius", "wall", "kerf", "title", "a b", "ü", "relief"])
VALUES = st.one_of(
    st.booleans(),
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12),
    st.lists(st.integers(0, 99), max_size=3),
)
TABLES = st.recursive(
    st.dictionaries(KEYS, VALUES, min_size=1, max_size=4),
    lambda inner: st.dictionaries(
        KEYS, st.one_of(VALUES, inner, st.lists(inner, min_size=1, max_size=3)), max_size=4
    ),
    max_leaves=12,
)


def _without_empty(value: object) -> object:
    if isinstance(value, dict):
        inner = {key: _without_empty(held) for key, held in value.items()}
        return {key: held for key, held in inner.items() if held != {}}
    return [_without_empty(held) for held in value] if isinstance(value, list) else value


@given(TABLES, TABLES)
def test_what_is_written_is_read(first: dict[str, Any], second: dict[str, Any]) -> None:
    """Python's own reader gives the wished table, from nothing and from another one.

    A form of file that cannot be changed in place is refused instead.
    """
    try:
        text = edited_toml("", first, where="x")
        changed = edited_toml(text, second, where="x")
    except InputError:
        return
    assert _without_empty(tomllib.loads(text)) == _without_empty(first)
    assert _without_empty(tomllib.loads(changed)) == _without_empty(second)


@pytest.mark.parametrize("text", FILES)
def test_an_unchanged_table_changes_no_byte(text: str) -> None:
    """Every starter file, in every language and unit."""
    assert edited_toml(text, tomllib.loads(text), where="x") == text


@pytest.mark.parametrize("text", FILES)
def test_every_value_changes_alone(text: str) -> None:
    """Each plain value of the starter files, changed alone, changes its own line alone."""
    table = tomllib.loads(text)
    for name, inner in table.items():
        if not isinstance(inner, dict):
            continue
        for key, value in inner.items():
            if not isinstance(value, int | float) or isinstance(value, bool):
                continue
            wished = {**table, name: {**inner, key: value + 1}}
            changed = edited_toml(text, wished, where="x")
            before, after = text.splitlines(), changed.splitlines()
            other = [n for n, line in enumerate(before) if line != after[n]]
            assert len(before) == len(after)
            assert len(other) == 1
            assert before[other[0]].startswith(key)
            assert before[other[0]].partition("#")[2] == after[other[0]].partition("#")[2]


def test_rows_keep_their_remarks_when_one_is_removed() -> None:
    """A row of an array taken out takes its own remarks along, and no others."""
    names = {"a": "first", "b": "second", "c": "third"}
    text = "\n".join(f'[[jaws]]\nid = "{key}"  # {name}\n' for key, name in names.items())
    changed = edited_toml(text, {"jaws": [{"id": "a"}, {"id": "c"}]}, where="x")
    assert "first" in changed
    assert "second" not in changed
    assert "third" in changed


def test_what_is_no_toml_is_refused() -> None:
    """A file that was spoiled by hand is named, and nothing is lost."""
    with pytest.raises(InputError, match=r"job\.toml: not TOML"):
        edited_toml("a = = 1", {"a": 2}, where="job.toml")
