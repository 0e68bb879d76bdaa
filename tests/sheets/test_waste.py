"""Hatching of the waste: beside the part, never on it, and light in bytes."""

import dataclasses
import math

import pytest
from builders import example_plan, laid_pack
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing, Part, Role, arc_path, rectangle
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.waste import FAR, NEAR, hatching


def _points(segment: Segment) -> list[tuple[float, float]]:
    match segment:
        case Line(start, end):
            return [(start.x, start.y), (end.x, end.y)]
        case Arc():
            count = max(16, math.ceil(abs(segment.sweep) * segment.radius))
            angles = [segment.from_angle + segment.sweep * n / count for n in range(count + 1)]
            return [(p.x, p.y) for p in map(segment.at, angles)]


def test_a_plate_with_a_hole() -> None:
    """Outside the plate and inside its hole; areas by hand: length of the line × height of ticks.

    A closed square of 60 mm with a hole of 30 mm across: bands of 1.2 mm, at most round the whole.
    """
    plate = rectangle(Box(0.0, 0.0, 60.0, 60.0))
    hole = arc_path(circle(Point(30.0, 30.0), 15.0))
    bands = [
        LineString([p for s in path.segments for p in _points(s)])
        for path in hatching(Drawing(items=(plate, hole))).paths()
    ]
    middle = (NEAR + FAR) / 2
    outside = [band for band in bands if not box(0, 0, 60, 60).intersects(band)]
    inside = [band for band in bands if box(0, 0, 60, 60).intersects(band)]
    assert sum(band.length for band in outside) == pytest.approx(240, rel=0.05)
    assert sum(band.length for band in inside) == pytest.approx(
        2 * math.pi * (15 - middle), rel=0.05
    )


@pytest.mark.parametrize("name", ["lakeside-400.toml", "inch-15.toml"])
def test_no_tick_touches_a_part(name: str) -> None:
    """By shapely: all bands lie off the material of their part, and off its wording."""
    plan = example_plan(name)
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=plan.job.units))
    hatched = 0
    for part in parts:
        bands = [
            LineString([p for s in path.segments for p in _points(s)]).buffer(
                (FAR - NEAR) / 2, cap_style="flat"
            )
            for path in hatching(part.drawing).paths()
        ]
        hatched += bool(bands)
        if bands:
            ticks = unary_union(bands)
            assert ticks.intersection(_material(part)).area < 0.05 * len(bands), part.key
            for text in part.drawing.texts():
                assert not ticks.buffer(-0.05).intersects(Polygon(text.corners())), (part.key, text)
    assert hatched > 10


def _material(part: Part) -> Polygon:
    shape = Polygon()
    for path in part.drawing.paths(Role.CUT):
        if path.closed:
            area = Polygon([p for s in path.segments for p in _points(s)]).buffer(0)
            shape = shape.symmetric_difference(area)
    return shape


def test_it_takes_few_bytes() -> None:
    """Under a fifth of the file."""
    laid = laid_pack(example_plan("lakeside-400.toml"))
    bare = dataclasses.replace(
        laid,
        pages=tuple(
            dataclasses.replace(
                page,
                placements=tuple(
                    dataclasses.replace(p, waste=Drawing(items=())) for p in page.placements
                ),
            )
            for page in laid.pages
        ),
    )
    size, least = (len(write_pdf(p, title="", attachments={})) for p in (laid, bare))
    assert least < size < 1.2 * least
