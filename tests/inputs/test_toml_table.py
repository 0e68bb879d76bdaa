"""Reading a TOML file and the getters of one table: sizes, hidden characters, long keys."""

import os
import tracemalloc
from pathlib import Path

import pytest

from templategen.errors import InputError, InputErrors
from templategen.inputs.toml_table import TomlTable, read_toml
from templategen.messages import tr
from templategen.trade.choices import Order


def test_a_file_that_is_no_file(tmp_path: Path) -> None:
    """Missing, a folder, not UTF-8, too large."""
    missing = tmp_path / "none.toml"
    with pytest.raises(InputError) as caught:
        read_toml(missing)
    assert str(caught.value) == f"{missing}: no such file; check the name"
    with pytest.raises(InputError) as caught:
        read_toml(tmp_path)
    assert str(caught.value) == f"{tmp_path}: is a folder; name a .toml file"
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'name = "caf\xe9"')
    with pytest.raises(InputError) as caught:
        read_toml(latin)
    assert str(caught.value) == "latin.toml: not UTF-8 text; save it as UTF-8"
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * 1_000_001)
    with pytest.raises(InputError) as caught:
        read_toml(large)
    assert str(caught.value) == "large.toml: larger than 1 MB; this is no shop or job file"


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    """A file of 1 TB (of holes) is refused by its size; an endless device by the bound."""
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(10**12)
    tracemalloc.start()
    try:
        with pytest.raises(InputError, match="larger than 1 MB"):
            read_toml(huge)
        assert tracemalloc.get_traced_memory()[1] < 500_000
        if Path("/dev/zero").exists():
            with pytest.raises(InputError, match="larger than 1 MB"):
                read_toml(Path("/dev/zero"))
            assert tracemalloc.get_traced_memory()[1] < 10_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_read_to_the_bound(tmp_path: Path) -> None:
    """A pipe that nobody writes to is not waited for; one with a table in it is read."""
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    assert read_toml(pipe) == {}
    if not Path("/dev/fd").exists():
        pytest.skip("this system has no names for open files")
    out, into = os.pipe()
    os.write(into, b"a = 1")
    os.close(into)
    try:
        assert read_toml(Path(f"/dev/fd/{out}")) == {"a": 1}
    finally:
        os.close(out)


HIDDEN = ["\x00", "\x1b", "\x7f", "\x85", "\x9b", "\u200f", "\u2028", "\u202e", "\u2066", "\ufeff"]


@pytest.mark.parametrize("character", HIDDEN, ids=ascii)
def test_hidden_characters_are_refused_and_never_shown(character: str) -> None:
    """C0 and C1 controls and bidirectional marks (UAX #9, Unicode; list from memory).

    Refused in any text, and written out in the fault, also where they stand in a key.
    """
    faults: list[InputError] = []
    data = {"title": f"a{character}b", "names": [f"R{character}80"], f"shop{character}": "x"}
    table = TomlTable(data, where="job.toml", faults=faults)
    assert (table.text("title"), table.texts("names")) == ("", ())
    table.done()
    lines = InputErrors(faults).lines()
    written = character.encode("unicode_escape").decode()
    assert [line.split(": ")[1] for line in lines] == ["title", "names", f"shop{written}"]
    assert all(line.isprintable() for line in lines)


def test_letters_of_all_languages_stay() -> None:
    """Accents, fractions and the joiners that some scripts need are no hidden characters."""
    title = "Łukasz Ærø ½ ″ 木 क्‍ष"
    assert TomlTable({"title": title}, where="", faults=[]).text("title") == title


def test_a_long_key_or_value_is_cut_short() -> None:
    """One fault is one line that can be read."""
    faults: list[InputError] = []
    table = TomlTable({"k" * 5000: 1, "wall": "x" * 5000}, where="job.toml", faults=faults)
    table.length("wall", 1, 3, 200)
    table.done()
    assert len(faults) == 2
    assert all(len(str(fault)) < 200 for fault in faults)


def test_places_of_nested_tables() -> None:
    """File, then the keys that lead to the value; a place in a larger file goes on with a point."""
    for where, place in (
        ("job.toml", "job.toml: pages[2].mark.x"),
        ("a.pdf: recipe", "a.pdf: recipe.pages[2].mark.x"),
        ("", "pages[2].mark.x"),
        (tr("command line"), "command line: pages[2].mark.x"),
    ):
        table = TomlTable({"pages": [{}, {"mark": {}}]}, where=where, faults=[])
        inner = table.tables("pages", most=2)[1].table("mark")
        assert str(InputError("", where=inner.place("x"))).startswith(place)


def test_members_of_a_list_are_checked_one_by_one() -> None:
    """Each unknown word is a fault at its place; the others are kept, no list gives the default."""
    faults: list[InputError] = []
    table = TomlTable({"orders": ["inner-first", "iner-first", "zz"]}, where="f", faults=faults)
    default = (Order.OUTER_FIRST,)
    assert table.members("none", default, Order) == default
    assert table.members("orders", default, Order) == (Order.INNER_FIRST,)
    assert [str(fault) for fault in faults] == [
        "f: orders[2]: 'iner-first' is not known; did you mean 'inner-first'?",
        "f: orders[3]: 'zz' is not known; known: inner-first, outer-first",
    ]
    empty = TomlTable({"orders": []}, where="f", faults=faults)
    assert empty.members("orders", default, Order) == ()
