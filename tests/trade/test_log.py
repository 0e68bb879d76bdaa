"""Blanks of a log, against discs laid into the section of the log by shapely."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from templategen.geometry.solids import Corner
from templategen.trade.choices import LogRim
from templategen.trade.log import (
    HalfProfile,
    LogBlank,
    blanks_along,
    cylinder_profile,
    greatest_height,
    log_blanks,
    rim_from_pith,
    wood_radius_needed,
)
from templategen.trade.records import Log

LAKESIDE = Log(diameter=460, length=900, pith=15, end_trim=50, saw=4)


def _section(profile: list[Corner], height: float, pith: float, rim: LogRim) -> Polygon:
    """The disc seen along the log: the pith at the origin, the bark upwards."""
    if rim is LogRim.PITH:
        right = [(r, pith + z) for r, z in profile]
    else:
        right = [(r, pith + height - z) for r, z in profile]
    return Polygon([*right, *[(-x, y) for x, y in reversed(right)]])


def _bowl_profile(diameter: float, height: float) -> list[Corner]:
    """A rim, a belly and a foot of a third of the rim, straight sides."""
    r = diameter / 2
    return [(r, 0.0), (0.93 * r, height / 2), (0.6 * r, 0.9 * height), (r / 3, height)]


@given(
    diameter=st.floats(50, 600),
    height=st.floats(20, 300),
    pith=st.floats(0, 60),
    rim=st.sampled_from(LogRim),
)
def test_the_wood_needed_just_holds_the_disc(
    diameter: float, height: float, pith: float, rim: LogRim
) -> None:
    """A circle of that radius covers the disc's section, one 0.1 % smaller does not (shapely)."""
    profile = _bowl_profile(diameter, height)
    radius = wood_radius_needed(profile, height=height, pith=pith, rim=rim)
    section = _section(profile, height, pith, rim)
    middle = Point(0, 0)
    assert middle.hausdorff_distance(section) == pytest.approx(radius)
    assert not middle.buffer(radius * 0.999, 512).covers(section)
    assert middle.buffer(radius * 1.001, 512).covers(section)


@given(
    length=st.floats(50, 4000),
    trim=st.floats(0, 150),
    saw=st.floats(0, 12),
    diameter=st.floats(50, 600),
)
def test_discs_laid_one_after_another(
    length: float, trim: float, saw: float, diameter: float
) -> None:
    """Lay discs along one half with a saw cut between them until the sound length is used up."""
    log = Log(diameter=500, length=length, pith=10, end_trim=trim, saw=saw)
    laid, end = 0, trim
    while end + diameter <= length - trim + 1e-6:
        laid += 1
        end += diameter + saw
    assert blanks_along(log, diameter) == 2 * laid


@pytest.mark.parametrize("rim", list(LogRim))
@pytest.mark.parametrize("profile", [cylinder_profile, _bowl_profile])
@pytest.mark.parametrize("diameter", [150.0, 300.0, 400.0, 450.0])
def test_the_greatest_height_by_trying_every_section(
    rim: LogRim, profile: HalfProfile, diameter: float
) -> None:
    """Every height in steps of 5 mm laid into the circle of the log by shapely."""
    log = Point(0, 0).buffer(230 + 1e-6, 4096)
    fitting = [
        5.0 * n
        for n in range(1, 50)
        if log.covers(_section(list(profile(diameter, 5.0 * n)), 5.0 * n, 15, rim))
    ]
    found = greatest_height(LAKESIDE, diameter, rim=rim, step=5, profile=profile)
    assert found == (max(fitting) if fitting else None)


def test_a_plain_disc_is_the_half_chord() -> None:
    """Pythagoras: D 368 and t 15 in a radius of 230: sqrt(230² - 184²) = 138, so 123 high."""
    for rim in LogRim:
        assert greatest_height(LAKESIDE, 368, rim=rim, step=1) == 123
    assert greatest_height(LAKESIDE, 460, rim=LogRim.PITH, step=1) is None


def test_a_narrow_foot_is_higher_with_the_rim_to_the_pith() -> None:
    """The wide rim lies where the log is widest; common practice, no source."""
    heights = {
        rim: greatest_height(LAKESIDE, 380, rim=rim, step=5, profile=_bowl_profile)
        for rim in LogRim
    }
    pith, bark = heights[LogRim.PITH], heights[LogRim.BARK]
    assert pith is not None
    assert bark is not None
    assert pith > bark


def test_the_rim_plane_lies_as_the_section_shows() -> None:
    """The rim's line in the section is that far from the pith, either way round (shapely)."""
    for rim in LogRim:
        section = _section(_bowl_profile(300, 120), 120, 15, rim)
        y = rim_from_pith(pith=15, height=120, rim=rim)
        chord = LineString([(-400, y), (400, y)]).intersection(section)
        assert chord.length == pytest.approx(300)


def test_the_list_of_blanks() -> None:
    """Every blank of the list fits, one step more does not, and none is missing."""
    blanks = log_blanks(
        LAKESIDE, diameters=range(100, 500, 20), step=5, least_height=60, profile=_bowl_profile
    )
    assert blanks
    for diameter in range(100, 500, 20):
        for rim in LogRim:
            mine = [b for b in blanks if b.diameter == diameter and b.rim is rim]
            fitting = [
                5 * n
                for n in range(12, 47)
                if wood_radius_needed(
                    _bowl_profile(diameter, 5 * n), height=5 * n, pith=15, rim=rim
                )
                <= 230
            ]
            count = 2 * math.floor((800 + 4) / (diameter + 4))
            wanted = (
                [LogBlank(diameter=diameter, height=max(fitting), rim=rim, count=count)]
                if fitting
                else []
            )
            assert mine == wanted
    short = Log(diameter=460, length=300, pith=15, end_trim=50, saw=4)
    assert log_blanks(short, diameters=[220], step=5, least_height=60) == []
