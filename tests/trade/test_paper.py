"""Paper sizes by name against their standards, and sizes of one's own."""

import math

import pytest

from templategen.errors import InputError
from templategen.trade.paper import paper_named


@pytest.mark.parametrize(("name", "number"), [("a2", 2), ("A3", 3), ("a4", 4), (" a5 ", 5)])
def test_a_sizes(name: str, number: int) -> None:
    """ISO 216: area 1 m² halved `number` times, sides in the ratio 1 : √2, whole millimetres."""
    paper = paper_named(name)
    assert paper.width == math.floor(1000 * 2 ** (-1 / 4 - number / 2) + 0.2)
    assert paper.height == math.floor(1000 * 2 ** (1 / 4 - number / 2) + 0.2)


@pytest.mark.parametrize(
    ("name", "inches"), [("letter", (8.5, 11)), ("legal", (8.5, 14)), ("tabloid", (11, 17))]
)
def test_inch_sizes(name: str, inches: tuple[float, float]) -> None:
    """Letter and tabloid: ANSI/ASME Y14.1; legal from memory. Turned, the sides change places."""
    paper = paper_named(name)
    assert (paper.width / 25.4, paper.height / 25.4) == pytest.approx(inches)
    assert (paper.turned().height / 25.4, paper.turned().width / 25.4) == pytest.approx(inches)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("a44", "paper: unknown paper 'a44'; did you mean 'a4'?"),
        ("zzz", "paper: unknown paper 'zzz'; use a4, letter or a size such as 210x330"),
        ("100x300", "paper: '100x300' is out of bounds; give sides of 140 to 1200 mm"),
        ("9999x300", "paper: '9999x300' is out of bounds; give sides of 140 to 1200 mm"),
    ],
)
def test_papers_that_are_none(name: str, message: str) -> None:
    """One line with the nearest name or the bounds; sizes of one's own are width x height in mm."""
    with pytest.raises(InputError) as caught:
        paper_named(name)
    assert str(caught.value) == message
    own = paper_named("210X330.5")
    assert (own.width, own.height) == (210, 330.5)
