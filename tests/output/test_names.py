"""File names made from the names of parts."""

import itertools

import pytest

from templategen.output.names import safe_name, unique_names


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("../../../etc/passwd", "etc-passwd"),
        ("C:\\x\\y", "c-x-y"),
        ("CON", "con-part"),
        ("…", "part"),
        ("a" * 500, "a" * 60),
        ("Größe Ø 5", "groesse-5"),
        ("Łódź", "lodz"),
        ("Øre Børge", "oere-boerge"),
    ],
)
def test_names_are_safe(text: str, name: str) -> None:
    """Nothing but letters, digits and hyphens, so no folder can be reached."""
    assert safe_name(text) == name


def test_titles_without_latin_letters_get_names_apart() -> None:
    """Two titles of another script, or alike but for it, never share a file."""
    for one, other in (("Анна", "Ольга"), ("Анна 2", "Ольга 2"), ("栗の鉢", "桜の鉢")):
        assert safe_name(one) != safe_name(other)
        assert safe_name(one) == safe_name(one)


def test_same_names_get_numbers() -> None:
    """No two files of a pack share a name, whatever the parts are called."""
    names = unique_names(["Ring", "ring", "Ring 2", "RING", "…", "?"])
    assert len(set(names)) == len(names)
    assert names[0] == "ring"
    assert all(a != b for a, b in itertools.combinations(names, 2))
