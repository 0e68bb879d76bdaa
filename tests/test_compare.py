"""The comparer finds differences and names their place."""

import math

import pytest
from compare import assert_same, assert_same_outline, differences

from templategen.geometry.shapes import Arc, Line, Point


def test_differences_name_each_place() -> None:
    """A number off, a missing key, a key too many and a list of another length are all told."""
    found = {"cuts": [{"r": 100.0}, {"r": 80.2}], "extra": 1, "short": [1]}
    wanted = {"cuts": [{"r": 100.0}, {"r": 80.0}], "gone": 1, "short": [1, 2]}
    assert differences(found, wanted, within=1e-9) == [
        "value: no 'gone'",
        "value: 'extra' is not expected",
        "cuts[1].r: 80.2 is not 80.0; off by 0.2",
        "short: 1 entries, not 2",
    ]


def test_within_is_the_limit() -> None:
    """A difference below the tolerance passes, one above fails; true is no number."""
    assert_same([1.0, (2.0, "a")], (1.0 + 9e-7, [2.0, "a"]), within=1e-6)
    with pytest.raises(AssertionError, match=r"\[0\]"):
        assert_same([1.0], [1.0 + 2e-6], within=1e-6)
    assert differences(True, 1.0, within=1.0) == []
    assert differences(None, 0.0, within=1.0) == ["value: None is not 0.0"]


def test_outlines_are_compared_as_true_arcs() -> None:
    """A half circle equals its two quarters; one of 0.01 mm more radius is found."""
    half = Arc(Point(0.0, 0.0), 50.0, 0.0, math.pi)
    quarters = (
        Arc(Point(0.0, 0.0), 50.0, 0.0, math.pi / 2),
        Arc(Point(0.0, 0.0), 50.0, math.pi / 2, math.pi / 2),
    )
    chord = Line(Point(-50.0, 0.0), Point(50.0, 0.0))
    assert_same_outline((half, chord), (*quarters, chord), within=1e-4)
    larger = Arc(Point(0.0, 0.0), 50.01, 0.0, math.pi)
    with pytest.raises(AssertionError, match=r"outlines are 0\.01 mm apart"):
        assert_same_outline((larger,), (half,), within=1e-3)
