"""Points, maps, boxes and arcs against numpy's matrices, shapely and plain trigonometry."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from templategen.geometry.shapes import (
    Arc,
    Box,
    Line,
    Point,
    Transform,
    bezier_arc,
    circle,
    union,
)

lengths = st.floats(-500, 500)
angles = st.floats(-7, 7)
maps = st.builds(
    lambda angle, dx, dy, size, mirrored: (
        Transform.scale(-size if mirrored else size, size)
        .then(Transform.rotate(angle))
        .then(Transform.move(dx, dy))
    ),
    angles,
    lengths,
    lengths,
    st.floats(0.1, 5),
    st.booleans(),
)
arcs = st.builds(
    lambda x, y, radius, start, sweep: Arc(Point(x, y), radius, start, sweep),
    lengths,
    lengths,
    st.floats(0.5, 400),
    angles,
    st.one_of(st.floats(0.01, 2 * math.pi), st.floats(-2 * math.pi, -0.01)),
)


def _matrix(map_: Transform) -> np.ndarray:
    """The 3 × 3 matrix of PDF 32000-1, 8.3.4 (from memory): rows a b, c d and e f."""
    a, b, c, d, e, f = map_
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])


def _along(arc: Arc, count: int = 400) -> list[Point]:
    return [arc.at(arc.from_angle + arc.sweep * n / count) for n in range(count + 1)]


@given(first=maps, second=maps, x=lengths, y=lengths)
def test_maps_are_matrices(first: Transform, second: Transform, x: float, y: float) -> None:
    """One map after another is the product of their matrices, and back is the inverse (numpy)."""
    both = _matrix(first) @ _matrix(second)
    assert np.allclose(_matrix(first.then(second)), both, atol=1e-9)
    met = first.then(second).apply(Point(x, y))
    assert met == pytest.approx(tuple((np.array([x, y, 1.0]) @ both)[:2]), abs=1e-6)
    assert np.allclose(_matrix(first.inverse()), np.linalg.inv(_matrix(first)), atol=1e-8)


@given(angle=angles, x=lengths, y=lengths)
def test_turns_are_those_of_a_general_library(angle: float, x: float, y: float) -> None:
    """A turn about the origin (shapely), and the angle that a map says it turns by."""
    turn = Transform.rotate(angle)
    theirs = affinity.rotate(shapely.Point(x, y), angle, origin=(0, 0), use_radians=True)
    assert turn.apply(Point(x, y)) == pytest.approx((theirs.x, theirs.y), abs=1e-9)
    assert math.remainder(turn.angle - angle, 2 * math.pi) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("quarters", range(-5, 6))
def test_quarter_turns_are_exact(quarters: int) -> None:
    """Nothing is left of a sine that should be nought, whichever way and how often."""
    a, b, *_ = Transform.rotate(quarters * math.pi / 2)
    assert (a, b) == [(1, 0), (0, 1), (-1, 0), (0, -1)][quarters % 4]
    assert Transform.rotate(quarters * math.pi / 2 + 1e-6).b not in (0, 1, -1)


def test_maps_by_hand() -> None:
    """The map that changes nothing, a shift, a stretch and a turn, each on one point."""
    assert Transform().apply(Point(3, 4)) == (3, 4)
    assert tuple(Transform()) == (1, 0, 0, 1, 0, 0)
    assert tuple(Transform.move(5, 7)) == (1, 0, 0, 1, 5, 7)
    assert tuple(Transform.scale(2, 3)) == (2, 0, 0, 3, 0, 0)
    assert Transform.scale(2, 3).apply(Point(3, 4)) == (6, 12)
    assert Transform.rotate(math.pi / 2).apply(Point(3, 4)) == (-4, 3)
    assert Transform.rotate(0.5)[4:] == (0, 0)


def test_a_flat_map_has_no_way_back() -> None:
    """A map that flattens the plane is not turned round."""
    with pytest.raises(ZeroDivisionError):
        Transform.scale(0, 1).inverse()


def test_boxes() -> None:
    """Sizes, growth, meeting and holding, the very edges included (shapely where it has a say)."""
    box, beside = Box(0, 0, 10, 5), Box(10, 0, 12, 7)
    assert (box.width, box.height) == (10, 5)
    assert (beside.width, beside.height) == (2, 7)
    assert box.grown(1) == Box(-1, -1, 11, 6)
    assert box.grown(-1) == Box(1, 1, 9, 4)
    assert Box(1, 2, 4, 9).height == 7
    assert Box(1, 2, 4, 9).width == 3
    assert not box.meets(Box(3, 5, 6, 9))
    assert not box.meets(Box(3, -4, 6, 0))
    assert not box.meets(Box(3, 6, 6, 9), gap=1.0)
    assert not box.holds(Box(3, 1, 10.5, 2))
    assert union([box, beside, Box(-3, 1, 0, 2)]) == Box(-3, 0, 12, 7)
    assert union((box, Box(0, -4, 1, 1))) == Box(0, -4, 10, 5)
    assert union([beside]) == beside
    places = range(-12, 13, 2)
    for x, y in itertools.product(places, places):
        other = Box(x, y, x + 4, y + 3)
        ours, theirs = shapely.box(*box), shapely.box(*other)
        assert box.meets(other) == (ours.intersection(theirs).area > 0)
        assert box.holds(other) == ours.covers(theirs)
        assert box.holds(other, slack=1.5) == shapely.box(*box.grown(1.5)).covers(theirs)
        near = shapely.box(*box.grown(2.5)).intersection(theirs).area > 0
        assert box.meets(other, gap=2.5) == near


@given(map_=maps, x0=lengths, y0=lengths, x1=lengths, y1=lengths)
def test_lines(map_: Transform, x0: float, y0: float, x1: float, y1: float) -> None:
    """A line moves by its ends, runs back, and its box is the least round it (shapely)."""
    line = Line(Point(x0, y0), Point(x1, y1))
    assert line.reversed() == Line(Point(x1, y1), Point(x0, y0))
    assert line.moved(map_) == Line(map_.apply(line.start), map_.apply(line.end))
    assert line.bounds() == shapely.LineString([line.start, line.end]).bounds


@given(arc=arcs)
def test_the_box_of_an_arc(arc: Arc) -> None:
    """No point lies outside, and each side is touched to the sagitta of the samples."""
    points, box = np.array(_along(arc)), arc.bounds()
    slack = arc.radius * (1 - math.cos(arc.sweep / 800)) + 1e-9
    low, high = points.min(axis=0), points.max(axis=0)
    for ours, theirs in ((box.left, low[0]), (box.bottom, low[1])):
        assert theirs - slack <= ours <= theirs + 1e-9
    for ours, theirs in ((box.right, high[0]), (box.top, high[1])):
        assert theirs - 1e-9 <= ours <= theirs + slack


def test_the_box_of_a_quarter() -> None:
    """A quarter from one axis to the next touches no third one; a circle touches all four."""
    quarter = Arc(Point(10, 20), 5, 0.0, math.pi / 2)
    assert quarter.bounds() == pytest.approx((10, 20, 15, 25), abs=1e-12)
    assert quarter.reversed().bounds() == pytest.approx((10, 20, 15, 25), abs=1e-12)
    assert circle(Point(10, 20), 5).bounds() == pytest.approx((5, 15, 15, 25), abs=1e-12)


@given(arc=arcs)
def test_an_arc_runs_back_the_way_it_came(arc: Arc) -> None:
    """Ends change places, the middle stays."""
    back = arc.reversed()
    assert back.start == pytest.approx(arc.end, abs=1e-9)
    assert back.end == pytest.approx(arc.start, abs=1e-9)
    half = arc.from_angle + arc.sweep / 2
    assert back.at(back.from_angle + back.sweep / 2) == pytest.approx(arc.at(half), abs=1e-9)


@given(arc=arcs, map_=maps)
def test_a_moved_arc_is_the_arc_of_the_moved_points(arc: Arc, map_: Transform) -> None:
    """Turned, shifted, scaled or mirrored: point by point where the map puts it."""
    moved = arc.moved(map_)
    for before, after in zip(_along(arc, 12), _along(moved, 12), strict=True):
        assert after == pytest.approx(map_.apply(before), abs=1e-6)


@pytest.mark.parametrize("size", [0.001, 1.0, 1000.0])
def test_the_size_of_a_map_does_not_matter(size: float) -> None:
    """Even maps of any size keep arcs, uneven ones by a ten-thousandth do not."""
    turn = Transform.rotate(0.3)
    moved = circle(Point(1, 2), 10).moved(Transform.scale(size, size).then(turn))
    assert moved.radius == pytest.approx(10 * size)
    with pytest.raises(ValueError, match="no circle"):
        circle(Point(1, 2), 10).moved(Transform.scale(size, size * 1.0001).then(turn))
    with pytest.raises(ValueError, match="no circle"):
        circle(Point(1, 2), 10).moved(Transform(size, 0, size * 1e-5, size))


@pytest.mark.parametrize(
    "map_",
    [
        Transform.scale(2, 1),
        Transform.scale(1, 1 + 1e-6),
        Transform(1, 0, 0.5, 1),
        # sheared so that both axes keep their length
        Transform(1, 0, math.cos(1.5), math.sin(1.5)),
    ],
)
def test_a_stretched_circle_is_refused(map_: Transform) -> None:
    """What would become an ellipse is no arc."""
    with pytest.raises(ValueError, match="no circle"):
        circle(Point(0, 0), 10).moved(map_)


def test_full_turns() -> None:
    """A circle either way is one, all but a full turn is not."""
    ring = circle(Point(1, 2), 3)
    assert ring.is_circle
    assert ring.reversed().is_circle
    assert (ring.centre, ring.radius, ring.sweep) == (Point(1, 2), 3, 2 * math.pi)
    assert ring.start == Point(4, 2)
    assert not Arc(Point(1, 2), 3, 0, 2 * math.pi - 1e-6).is_circle
    assert not Arc(Point(1, 2), 3, 0, math.pi).is_circle


@given(arc=arcs)
def test_cubics_lie_on_the_arc(arc: Arc) -> None:
    """Each cubic's points are a radius from the centre, to a micrometre at 1 m (numpy).

    They begin and end where the arc does, run its way, and none spans more than 30 degrees.
    """
    cubics = bezier_arc(arc)
    assert len(cubics) == math.ceil(abs(arc.sweep) / math.radians(30) - 1e-12)
    start = arc.start
    turned = 0.0
    for one, two, end in cubics:
        for t in np.linspace(0, 1, 9):
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            x, y = np.array(weights) @ np.array([start, one, two, end])
            away = math.hypot(x - arc.centre.x, y - arc.centre.y)
            assert away == pytest.approx(arc.radius, abs=1e-6 * arc.radius)
        first = math.atan2(start.y - arc.centre.y, start.x - arc.centre.x)
        last = math.atan2(end.y - arc.centre.y, end.x - arc.centre.x)
        turned += math.remainder(last - first, 2 * math.pi)
        start = end
    assert start == pytest.approx(arc.end, abs=1e-9)
    assert turned == pytest.approx(arc.sweep, abs=1e-9)


def test_a_very_short_arc_takes_one_cubic() -> None:
    """However short."""
    assert len(bezier_arc(Arc(Point(0, 0), 5, 1.0, 1e-13))) == 1
