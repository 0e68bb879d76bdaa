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
        ("Größe Ø 5", "grosse-5"),
    ],
)
def test_names_are_safe(text: str, name: str) -> None:
    """Nothing but letters, digits and hyphens, so no folder can be reached."""
    assert safe_name(text) == name


def test_same_names_get_numbers() -> None:
    """No two files of a pack share a name, whatever the parts are called."""
    names = unique_names(["Ring", "ring", "Ring 2", "RING", "…", "?"])
    assert len(set(names)) == len(names)
    assert names[0] == "ring"
    assert all(a != b for a, b in itertools.combinations(names, 2))
