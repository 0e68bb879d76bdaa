"""Drawings for machines, held against shapely and against what was drawn."""

import itertools
import math

import pytest
import shapely
from builders import demo_plan, example_plan
from compare import as_polyline
from outlines import points_of
from shapely.geometry import LineString, Polygon

from templategen.geometry.offset import segment_length
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
from templategen.parts.drawing import Drawing, Path, Role, arc_path, line, rectangle
from templategen.parts.machine_lines import inner_first, machine_drawing, uncovered
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units


def _strip(segment: Segment) -> LineString:
    return as_polyline([segment], max_gap=0.004)


def test_whatever_lies_inside_is_cut_before() -> None:
    """Rings in one another and beside one another, in every order that they are given in."""
    rings = [(circle(Point(x, 0.0), r),) for x, r in ((0, 30), (0, 20), (-8, 5), (8, 5), (80, 9))]
    for order in itertools.permutations(rings):
        run = inner_first(order)
        assert sorted(map(id, run)) == sorted(map(id, rings))
        shapes = [Polygon(points_of(ring, fine=0.01)) for ring in run]
        for n, early in enumerate(shapes):
            assert not any(early.contains(late) for late in shapes[n + 1 :])


def test_operations_run_from_the_mark_to_the_outside() -> None:
    """Notes and marks before cuts, and no line of the model is lost or drawn twice.

    One part of each kind: the length of each role is that of the union of its lines, what lies on
    a stronger line left out (shapely).
    """
    plans = {(): demo_plan(), ("log end",): example_plan("inch-15.toml")}
    for kinds, plan in plans.items():
        parts = make_parts(plan, kinds=kinds, style=PrintStyle(units=Units.MM))
        cut = [part for part in parts if part.drawing.paths(Role.CUT)]
        for part in {part.kind: part for part in cut}.values():
            made = machine_drawing([part.drawing])
            roles = [path.role for path in made.paths()]
            assert roles == sorted(roles, key=[Role.NOTE, Role.MARK, Role.CUT].index)
            assert made.texts() == part.drawing.texts()
            assert all(path.fill is None and not path.dashed for path in made.paths())
            stronger = shapely.MultiLineString()
            for role in (Role.CUT, Role.MARK, Role.NOTE):
                own = [_strip(s) for path in made.paths(role) for s in path.segments]
                drawn = [
                    _strip(s)
                    for path in part.drawing.paths(role)
                    if not path.dashed and (path.line_width > 0 or path.fill is not None)
                    for s in path.segments
                    if segment_length(s) > 0.05
                ]
                lines = shapely.unary_union(own)
                assert sum(one.length for one in own) == pytest.approx(lines.length, abs=0.05)
                there = shapely.unary_union([lines, stronger]).buffer(0.02)
                assert all(there.covers(one) for one in drawn), part.title
                stronger = shapely.unary_union([lines, stronger])


def test_dashes_are_lines_of_two_millimetres() -> None:
    """2 mm on, 1.2 mm off, on round a corner and along an arc; the last may be shorter."""
    corner = Path(
        segments=(
            Line(Point(0, 0), Point(7, 0)),
            Arc(Point(7, 5), 5.0, -math.pi / 2, math.pi / 2),
            Line(Point(12, 5), Point(12, 20)),
        ),
        role=Role.MARK,
        dashed=True,
    )
    made = machine_drawing([Drawing(items=(corner,))]).paths(Role.MARK)
    lengths = [sum(segment_length(s) for s in path.segments) for path in made]
    total = 7 + 5 * math.pi / 2 + 15
    assert len(made) == math.ceil(total / 3.2)
    assert lengths[:-1] == pytest.approx([2.0] * (len(made) - 1))
    assert lengths[-1] <= 2.0 + 1e-9
    gaps = [math.dist(a.segments[-1].end, b.segments[0].start) for a, b in itertools.pairwise(made)]
    assert all(gap < 1.2 + 1e-9 for gap in gaps)
    assert gaps[0] == pytest.approx(1.2)


def test_a_line_on_another_is_drawn_once() -> None:
    """The cut keeps its length, the mark what sticks out of it, the note nothing."""
    plate = rectangle(Box(0, 0, 40, 20))
    mark = line(-5, 20, 15, 20)
    note = line(2, 20, 10, 20, role=Role.NOTE)
    twice = line(15, 20, -5, 20)
    made = machine_drawing([Drawing(items=(note, mark, twice, plate))])
    assert made.paths(Role.NOTE) == ()
    (left,) = made.paths(Role.MARK)
    assert left.segments == (Line(Point(-5, 20), Point(0, 20)),)
    (cut,) = made.paths(Role.CUT)
    assert sum(segment_length(s) for s in cut.segments) == pytest.approx(120)


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("start", [0.0, 1.0, 3.0, 6.2])
def test_arcs_over_one_another_leave_the_rest(start: float, way: int) -> None:
    """Two arcs of one circle, wherever they begin and whichever way they run: angles add up."""
    other = Arc(Point(3, 4), 10.0, 0.5, 2.0)
    if way < 0:
        other = other.reversed()
    one = Arc(Point(3, 4), 10.0, start, 1.5)
    pieces = uncovered(one, [other])
    free = [
        a
        for n in range(1000)
        if not 0.5 <= (a := (start + 1.5 * (n + 0.5) / 1000) % (2 * math.pi)) <= 2.5
    ]
    assert sum(abs(p.sweep) for p in pieces) == pytest.approx(1.5 * len(free) / 1000, abs=0.004)
    assert uncovered(one, [circle(Point(3, 4), 10.0)]) == []
    assert uncovered(one, [circle(Point(3, 4.1), 10.0)]) == [one]


def test_an_inside_shows_by_its_outline_and_white_hides_nothing() -> None:
    """A dark arrow head becomes three lines; a white patch is not run at all."""
    dark = Path(
        segments=(
            Line(Point(0, 0), Point(2, 0)),
            Line(Point(2, 0), Point(1, 3)),
            Line(Point(1, 3), Point(0, 0)),
        ),
        role=Role.NOTE,
        closed=True,
        fill=0.0,
        width=0.0,
    )
    white = rectangle(Box(-5, -5, 5, 5), role=Role.NOTE, fill=1.0, width=0.0)
    made = machine_drawing([Drawing(items=(white, dark, arc_path(circle(Point(0, 0), 20.0))))])
    (head,) = made.paths(Role.NOTE)
    assert len(head.segments) == 3
    assert head.closed
