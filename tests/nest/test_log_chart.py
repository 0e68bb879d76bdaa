"""Blanks of a log: their sizes by another route, their bowls by the chart of the same blanks."""

import math

import pytest
from builders import changed_job, make_cutters, make_jaws, make_shop

from templategen.nest.chart import make_chart
from templategen.nest.log_chart import make_log_chart, turned_profile
from templategen.trade.choices import LogRim, OutsideShape
from templategen.trade.records import Blank, Job, Log

SHOP = make_shop(cutters=make_cutters(80, 105, 135), jaws=make_jaws(50, 70, 100))
LOG = Log(diameter=460, length=900, pith=15, end_trim=50, saw=8)
DIAMETERS = (200.0, 300.0, 400.0)


@pytest.fixture(scope="module")
def job() -> Job:
    """A job whose own blank must not matter."""
    return changed_job(blank=Blank(diameter=123, height=77, outside=OutsideShape.ARC), log=LOG)


def test_bowls_are_those_of_the_chart(job: Job) -> None:
    """Each blank gives what the chart of the shop gives for its size, times the blanks."""
    made = make_log_chart(job, SHOP, diameters=DIAMETERS, step=5)
    assert made.rows
    for row in made.rows:
        size = {"diameters": [row.blank.diameter], "heights": [row.blank.height]}
        ((cell,),) = make_chart(job, SHOP, **size).cells
        assert row.cell == cell
        assert row.bowls == row.blank.count * cell.bowls


def test_the_whole_bowl_lies_in_the_log(job: Job) -> None:
    """No point of the turned outside or the tenon is farther from the pith than the wood reaches.

    The outside is the circle of design.md §10 written out here; 5 mm more height does not fit.
    """
    for row in make_log_chart(job, SHOP, diameters=DIAMETERS, step=5).rows:
        heights = (row.blank.height, row.blank.height + 5)
        fits = [_farthest(job, row.blank.diameter, h, row.blank.rim) <= 230 for h in heights]
        assert fits == [True, False], row.blank


def _farthest(job: Job, diameter: float, height: float, rim: LogRim) -> float:
    """Greatest distance of the bowl's surface from the pith, mm, over 2000 points of its arc."""
    tenon = job.tenon.share * diameter / 2
    foot, shoulder, half = tenon + job.tenon.shoulder, height - job.tenon.length, diameter / 2
    centre = (half**2 - foot**2 - shoulder**2) / (2 * (half - foot))
    points = [(tenon, height)]
    if centre <= foot:
        radius, last = half - centre, math.atan2(shoulder, foot - centre)
    else:
        centre, radius, last = half - shoulder, shoulder, math.pi / 2
    for n in range(2001):
        angle = last * n / 2000
        points.append((centre + radius * math.cos(angle), radius * math.sin(angle)))
    depth = (lambda z: 15 + z) if rim is LogRim.PITH else (lambda z: 15 + height - z)
    return max(math.hypot(r, depth(z)) for r, z in points)


def test_blanks_along_the_log(job: Job) -> None:
    """900 mm less two ends of 50 mm hold one disc of 400, two of 300, three of 200 a half log."""
    made = make_log_chart(job, SHOP, diameters=DIAMETERS, step=5, rims=(LogRim.PITH,))
    assert [row.blank.count for row in made.rows] == [6, 4, 2]


def test_flat_blanks_are_left_out(job: Job) -> None:
    """A blank lower than the least share of its rim is no bowl: a log's edge gives plates."""
    flat = changed_job(job, log=Log(diameter=300, length=900, pith=100))
    assert not make_log_chart(flat, SHOP, diameters=(250.0,), step=5).rows


def test_an_outside_of_points_takes_a_plain_disc() -> None:
    """Points belong to the job's own blank, so other blanks are fitted as whole discs."""
    job = changed_job(blank=Blank(diameter=200, height=90, outside=((100.0, 0.0), (60.0, 80.0))))
    assert list(turned_profile(job)(300, 120)) == [(150, 0), (150, 120)]
