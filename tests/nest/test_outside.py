"""Turned outsides: arcs, cylinders and drawn ones, and those that do not fit."""

import dataclasses
import math

import pytest
from shapely.geometry import LineString, Point

from templategen.errors import InputError
from templategen.geometry.curves import Side, Span, points_along
from templategen.nest.outside import blank_outside, outside_curves
from templategen.nest.rules import setting_at
from templategen.trade.records import Blank, Cutter

swap = dataclasses.replace


@pytest.mark.parametrize(
    ("diameter", "shoulder", "foot"), [(400, 168, 108), (300, 40, 60), (200, 99, 70), (200, 90, 10)]
)
def test_the_arc_of_an_outside(diameter: float, shoulder: float, foot: float) -> None:
    """From the rim, square to the face, to the foot; a flat blank has a quarter and a flat.

    A circle square to the face has its centre on it (Euclid III, 18).
    """
    blank = Blank(diameter=diameter, height=shoulder + 12)
    (arc,) = outside_curves(blank, shoulder_depth=shoulder, foot_radius=foot)
    assert isinstance(arc, Span)
    assert arc.z == 0
    assert arc.at(arc.start) == pytest.approx((diameter / 2, 0.0))
    foot_r, foot_z = arc.at(arc.end)
    assert foot_z == pytest.approx(shoulder)
    assert foot_r >= foot - 1e-9
    if foot_r > foot + 1e-9:  # a quarter, then flat
        assert arc.radius == pytest.approx(shoulder)
        assert arc.end == pytest.approx(math.pi / 2)
    else:
        middle = Point(foot_r, foot_z).distance(Point(arc.x, 0.0))
        assert middle == pytest.approx(arc.radius)


def test_a_cylinder_and_a_drawn_outside() -> None:
    """Straight down, or along the points; points that fall together are one."""
    blank = Blank(diameter=300, height=100, outside="cylinder")
    (side,) = outside_curves(blank, shoulder_depth=88.0, foot_radius=70.0)
    assert side == Side(r0=150.0, z0=0.0, r1=150.0, z1=88.0)
    points = ((150.0, 0.0), (150.0, 0.0), (140.0, 50.0), (90.0, 88.0))
    drawn = swap(blank, outside=points)
    sides = outside_curves(drawn, shoulder_depth=88.0, foot_radius=70.0, tenon_radius=60.0)
    assert len(sides) == 2
    (low,) = outside_curves(blank, shoulder_depth=0.5, foot_radius=70.0)
    assert low.at(1.0) == (150.0, 0.5)
    straight = swap(blank, outside=((150.0, 0.0), (60.0, 88.0)))  # as narrow as its tenon
    assert len(outside_curves(straight, shoulder_depth=88, foot_radius=70, tenon_radius=60)) == 1
    pointed = swap(blank, outside=((150.0, 0.0), (0.5, 88.0)))
    assert len(outside_curves(pointed, shoulder_depth=88.0, foot_radius=70.0)) == 1
    line = LineString(points_along(sides))
    assert line.equals(LineString([points[0], *points[2:]]))


@pytest.mark.parametrize(
    ("changes", "figures", "words"),
    [
        ({"diameter": 140}, {"foot_radius": 70.0}, "140.0 mm wide"),
        ({}, {"shoulder_depth": 0.0}, "does not fit"),
        ({"outside": "ball"}, {}, "'ball'"),
        ({"outside": ((150.01, 0.0), (90.0, 80.0))}, {}, "leaves the blank"),
        ({"outside": ((150.0, 0.0), (90.0, 88.01))}, {}, "leaves the blank"),
        ({"outside": ((150.0, 0.0), (59.9, 80.0))}, {}, "narrower than its tenon of 120.0 mm"),
        ({"outside": ((150.0, 0.0), (150.0, 0.0))}, {}, "single point"),
    ],
)
def test_outsides_that_do_not_fit(
    changes: dict[str, object], figures: dict[str, float], words: str
) -> None:
    """Wider than the blank, deeper than the shoulder, narrower than the tenon, none at all."""
    blank = swap(Blank(diameter=300, height=100), **changes)  # type: ignore[arg-type]
    usual = {"shoulder_depth": 88.0, "foot_radius": 70.0, "tenon_radius": 60.0}
    with pytest.raises(InputError, match=words) as caught:
        outside_curves(blank, **{**usual, **figures})
    assert str(caught.value).startswith("job: ")


@pytest.mark.parametrize("outside", ["arc", "cylinder", ((150.0, 0.0), (120.0, 88.0))])
def test_the_flat_beside_the_tenon_belongs_to_the_outside(outside: object) -> None:
    """It runs on to the neck at the shoulder, whatever the shape (design.md §4, rule 1)."""
    blank = swap(Blank(diameter=300, height=100), outside=outside)  # type: ignore[arg-type]
    curves = blank_outside(blank, shoulder_depth=88.0, tenon_radii=(60.0, 61.6), flat=6.0)
    assert curves[-1].at(curves[-1].end) == pytest.approx((60.0, 88.0))
    assert isinstance(curves[-1], Side)
    line = LineString(points_along(curves))
    assert line.is_simple
    plain = outside_curves(blank, shoulder_depth=88.0, foot_radius=66.0, tenon_radius=61.6)
    assert curves[: len(plain)] == plain
    none = blank_outside(
        swap(blank, outside="arc"), shoulder_depth=88.0, tenon_radii=(60.0, 60.0), flat=0.0
    )
    assert none[-1].at(none[-1].end) == pytest.approx((60.0, 88.0))


@pytest.mark.parametrize("height", [0.0, 5.0])
@pytest.mark.parametrize("depth", [130.0, 160.0])
def test_an_even_outside_is_concentric_with_the_first_cut(height: float, depth: float) -> None:
    """From the rim on, one circle about the pivot; by Pythagoras in the cutter's plane.

    It ends at the shoulder, or at the foot, which then goes straight down.
    """
    blank = Blank(diameter=400, height=depth + 9, outside="even")
    cutter = Cutter(id="R170", radius=170.0, kerf=9.0)
    cut = setting_at(cutter, pivot_offset=8.0, pivot_standoff=25.0, height=height)
    assert cut is not None
    shape = {"shoulder_depth": depth, "tenon_radii": (80.0, 81.6), "flat": 6.0}
    curves = blank_outside(blank, **shape, first_cut=cut, cutter_height=height)  # type: ignore[arg-type]
    arc = curves[0]
    assert isinstance(arc, Span)
    assert arc.at(arc.start) == pytest.approx((200.0, 0.0))
    radius = math.hypot(math.sqrt(200**2 - height**2) - 8.0, 25.0)
    for r, z in points_along([arc]):
        away = math.hypot(math.sqrt(r * r - height * height) - 8.0, z + 25.0)
        assert away == pytest.approx(radius)
    foot_r, foot_z = arc.at(arc.end)
    if depth == 130.0:
        assert foot_z == pytest.approx(depth)
        assert foot_r > 86.0
    else:
        assert foot_r == pytest.approx(86.0)
        assert foot_z < depth
    assert curves[-1].at(curves[-1].end) == pytest.approx((80.0, depth))
    first = blank_outside(blank, **shape)  # type: ignore[arg-type]
    assert first == blank_outside(swap(blank, outside="arc"), **shape)  # type: ignore[arg-type]
