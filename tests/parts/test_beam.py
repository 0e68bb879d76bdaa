"""Cut lines moved for a beam, held against shapely's buffers."""

import math

import pytest
import shapely
from builders import demo_plan
from outlines import material_of, points_of
from shapely.geometry import Polygon

from templategen.errors import GeometryError
from templategen.geometry.offset import is_inside
from templategen.geometry.shapes import Arc, Box, Line, Point, circle
from templategen.parts.beam import beamed, cut_outlines
from templategen.parts.drawing import Drawing, Part, Path, Role, arc_path, line, polyline, rectangle
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

TRUE = 0.01  # mm, the figure the project promises


def _part(*items: Path) -> Part:
    return Part(kind="test", key="test", title="Test", drawing=Drawing(items=items))


def test_outside_out_and_holes_in() -> None:
    """A ring of 30 and 20 cut with a beam of 0.2 is drawn as 30.1 and 19.9; an island grows."""
    ring = _part(
        arc_path(circle(Point(0, 0), 30.0)),
        arc_path(circle(Point(0, 0), 20.0)),
        arc_path(circle(Point(0, 0), 10.0)),
        arc_path(circle(Point(0, 0), 25.0), role=Role.MARK),
        line(50, 0, 60, 0, role=Role.CUT),
    )
    made = beamed(ring, beam=0.2)
    radii = [
        s.radius for p in made.drawing.paths(Role.CUT) for s in p.segments if isinstance(s, Arc)
    ]
    assert radii == pytest.approx([30.1, 19.9, 10.1], abs=1e-12)
    assert [p.segments[0].radius for p in made.drawing.paths(Role.MARK)] == [25.0]
    assert made.open_lines == 1


def test_outlines_in_pieces_and_with_an_implied_side() -> None:
    """A half disc whose straight side is implied, and one drawn as two paths, come out the same."""
    bow, side = Arc(Point(0, 0), 20.0, 0.0, math.pi), Line(Point(20, 0), Point(-20, 0))
    implied = beamed(_part(Path(segments=(bow,), closed=True)), beam=0.2)
    pieces = beamed(_part(Path(segments=(bow,)), Path(segments=(side,))), beam=0.2)
    for made in (implied, pieces):
        assert made.open_lines == 0
        (path,) = made.drawing.paths(Role.CUT)
        true = Polygon(points_of((bow, side.reversed()))).buffer(0.1, quad_segs=512)
        assert Polygon(points_of(path.segments)).boundary.hausdorff_distance(true.boundary) < TRUE


def test_what_no_beam_can_cut_is_refused() -> None:
    """Touching outlines, and outlines nearer than the beam."""
    plate = rectangle(Box(0, 0, 40, 20))
    with pytest.raises(GeometryError, match="cross or touch"):
        beamed(_part(plate, rectangle(Box(40, 0, 60, 20))), beam=0.2)
    with pytest.raises(GeometryError, match="room between"):
        beamed(_part(plate, rectangle(Box(40.5, 0, 60, 20))), beam=1.0)


def test_every_part_of_the_demo_takes_a_beam() -> None:
    """Each closed cut outline of the demo pack moves as shapely says."""
    checked = 0
    for part in make_parts(demo_plan(), kinds=(), style=PrintStyle(units=Units.MM)):
        made = beamed(part, beam=0.2)
        before, after = cut_outlines(part.drawing)[0], cut_outlines(made.drawing)[0]
        for old, new in zip(before, after, strict=True):
            shape = Polygon(points_of(old, fine=0.001))
            hole = sum(is_inside(old[0].start, o) for o in before if o is not old) % 2
            true = shape.buffer(-0.1 if hole else 0.1, quad_segs=64)
            assert Polygon(points_of(new, fine=0.001)).hausdorff_distance(true) < TRUE
            checked += 1
    assert checked > 30


def test_a_hole_no_wider_than_the_beam_is_marked_for_a_drill() -> None:
    """Holes of 3 mm stay crosses of 3 mm about their middles with beams of 3 mm and more."""
    plate = rectangle(Box(0, 0, 40, 20))
    part = _part(plate, arc_path(circle(Point(10, 12), 1.5)), arc_path(circle(Point(30, 10), 4.0)))
    for beam in (3.0, 4.0, 6.0):
        made = beamed(part, beam=beam)
        assert [(h.at, h.diameter) for h in made.holes] == [(Point(10, 12), 3.0)]
        assert made.blunt == ()
        ends = [(s.start, s.end) for path in made.drawing.paths(Role.MARK) for s in path.segments]
        assert sorted(ends) == [((8.5, 12), (11.5, 12)), ((10, 10.5), (10, 13.5))]
        outside, hole = sorted(cut_outlines(made.drawing)[0], key=len, reverse=True)
        assert hole[0].radius == pytest.approx(4.0 - beam / 2)
        wanted = shapely.box(0, 0, 40, 20).buffer(beam / 2, quad_segs=256)
        assert Polygon(points_of(outside)).symmetric_difference(wanted).area < TRUE
    assert beamed(part, beam=2.9).holes == ()


def test_a_slot_narrower_than_the_beam_keeps_its_outline_as_a_mark() -> None:
    """A cross would not show where a long opening lies."""
    part = _part(rectangle(Box(0, 0, 40, 20)), rectangle(Box(5, 8, 35, 10)))
    made = beamed(part, beam=3.0)
    assert [(h.at, h.diameter) for h in made.holes] == [(Point(20, 9), None)]
    (mark,) = made.drawing.paths(Role.MARK)
    assert Polygon(points_of(mark.segments)).equals(shapely.box(5, 8, 35, 10))


@pytest.mark.parametrize("beam", [0.2, 1.0, 3.0, 6.0])
def test_corners_that_stay_round_are_where_a_disc_does_not_reach(beam: float) -> None:
    """All the places where shapely's closing by half a beam adds to the shape, and no others.

    What stays in an inner corner of 90 degrees is half a beam times sqrt 2 - 1 deep (a right
    triangle), and whole at the bottom of a slot that the beam does not enter.
    """
    corners = [(0, 0), (60, 0), (60, 30), (40, 30), (40, 10), (36, 10), (36, 30), (20, 30),
               (20, 20), (0, 20)]  # fmt: skip
    part = _part(polyline(corners, closed=True))
    made = beamed(part, beam=beam)
    shape = material_of(part.drawing)
    closed = shape.buffer(beam / 2, quad_segs=256).buffer(-beam / 2, quad_segs=256)
    extra = closed.difference(shape)
    found = {(round(p.at.x, 6), round(p.at.y, 6)): p.gap for p in made.blunt}
    slot = {(36.0, 10.0), (40.0, 10.0)}
    deep = beam / 2 * (math.sqrt(2) - 1)
    assert set(found) == (slot | {(20.0, 20.0)} if deep > 0.05 else set())
    for at, left in found.items():
        assert extra.distance(shapely.Point(at)) < 1e-6
        if beam < 4.0 or at not in slot:
            assert left == pytest.approx(deep, abs=1e-9)
        else:
            assert left > 5  # the slot is 4 mm wide and 20 mm deep, the nearest cut is behind it


def test_the_demo_takes_a_bit_of_6_mm() -> None:
    """Of the widest beam no part is refused, and every small hole is found."""
    holes = 0
    for part in make_parts(demo_plan(), kinds=(), style=PrintStyle(units=Units.MM)):
        made = beamed(part, beam=6.0)
        before, _ = cut_outlines(part.drawing)
        after, _ = cut_outlines(made.drawing)
        assert len(before) - len(made.holes) <= len(after)
        holes += len(made.holes)
        assert all(hole.diameter is not None and hole.diameter <= 6.0 for hole in made.holes)
    assert holes > 10


def test_a_segment_of_no_length_is_no_side() -> None:
    """An arc of no angle and a line of no length between two sides change nothing."""
    box = rectangle(Box(0, 0, 40, 20))
    corner = box.segments[0].end
    odd = (Arc(Point(corner.x, corner.y - 5), 5.0, math.pi / 2, 0.0), Line(corner, corner))
    outline = Path(segments=(box.segments[0], *odd, *box.segments[1:]), closed=True)
    assert beamed(_part(outline), beam=1.0) == beamed(_part(box), beam=1.0)
