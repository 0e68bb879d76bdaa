"""Log card and overlay: the discs lie in the log, and the cuts fall between them."""

import dataclasses
import itertools
import math

import pytest
from builders import changed_job, demo_plan
from part_shapes import MM, STYLES, assert_legible, lines, words
from shapely.geometry import LineString, Point

from templategen.nest.plan import Plan
from templategen.parts import log_end
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle
from templategen.trade.choices import LogRim
from templategen.trade.records import Log

LOG = Log(diameter=600.0, length=1400.0, pith=15.0, end_trim=50.0, saw=8.0)


def _plan(log: Log | None) -> Plan:
    plan = demo_plan()
    return dataclasses.replace(plan, job=changed_job(plan.job, log=log))


def test_a_job_without_a_log_has_neither() -> None:
    """No log is invented."""
    assert log_end.make(_plan(None), style=MM) == ()
    assert log_end.make_overlay(_plan(None), style=MM) == ()


@pytest.mark.parametrize("length", [400.0, 507.9, 508.1, 900.0, 1400.0, 2500.0])
def test_whole_discs_lie_between_the_cuts(length: float) -> None:
    """Between two saw cuts there is a whole disc; the ends that may have checked are off."""
    log = dataclasses.replace(LOG, length=length)
    plan = _plan(log)
    cuts = log_end.cross_cuts(plan, log)
    for one, two in itertools.pairwise(cuts):
        assert two - one - log.saw == pytest.approx(plan.job.blank.diameter, abs=1e-9)
    if cuts:
        assert cuts[0] + log.saw / 2 == pytest.approx(log.end_trim)
        assert cuts[-1] - log.saw / 2 <= log.length - log.end_trim + 1e-9
    room = length - 2 * log.end_trim
    assert bool(cuts) == (room >= plan.job.blank.diameter)


@pytest.mark.parametrize("rim", LogRim)
def test_the_overlay_has_the_pith_the_saw_lines_and_the_bowl(rim: LogRim) -> None:
    """Saw lines at pith and pith + H; the profile between them, its rim on the stated side.

    Every point of it is within the wood radius that the formula of the log gives (design §5).
    """
    log = dataclasses.replace(LOG, rim=rim)
    plan = _plan(log)
    (part,) = log_end.make_overlay(plan, style=MM)
    height, radius = plan.job.blank.height, plan.job.blank.diameter / 2
    drawn = lines(part)
    for y in (0.0, log.pith, log.pith + height):
        level = LineString([(-radius, y), (radius, y)])
        assert any(level.buffer(0.01).intersection(line).length > radius / 2 for line in drawn)
    left, right = log_end.profile_paths(plan, log)
    assert left.bounds().right == pytest.approx(radius)
    rim_side = log.pith if rim is LogRim.PITH else log.pith + height
    ends = [(abs(s.start.x), s.start.y) for s in (left.segments[0], right.segments[0])]
    assert ends == [pytest.approx((radius, rim_side), abs=1e-9)] * 2
    start, towards = (log.pith, 1) if rim is LogRim.PITH else (log.pith + height, -1)
    needed = max(math.hypot(r, start + towards * z) for r, z in plan.outside)
    wood = Point(0, 0).buffer(needed + 0.01, quad_segs=256)
    for segment in (*left.segments, *right.segments):
        assert wood.covers(Point(segment.start))
        assert wood.covers(Point(segment.end))


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(
    "log", [LOG, Log(diameter=420.0, length=900.0), Log(diameter=600, length=6000)]
)
def test_both_are_legible(log: Log, style: PrintStyle) -> None:
    """Cards of short and long logs: nothing over a line, nothing over another text."""
    (card,) = log_end.make(_plan(log), style=style)
    assert_legible(card)
    (overlay,) = log_end.make_overlay(_plan(log), style=style)
    assert_legible(overlay)


def test_the_card_says_how_many_and_whether_it_fits() -> None:
    """Six blanks of 400 mm from 1400 mm, both halves; a thin log is called too thin."""
    (card,) = log_end.make(_plan(LOG), style=MM)
    assert "6 from this log, 3 from each half" in words(card)
    (thin,) = log_end.make(_plan(dataclasses.replace(LOG, diameter=380.0)), style=MM)
    assert "too thin for the bowl" in words(thin)
    assert card.drawing.paths(Role.CUT)
