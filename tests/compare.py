"""The comparer of the tests: numbers, points, JSON and outlines within a stated tolerance.

Each check raises AssertionError with the place and the size of the greatest difference.
"""

import math
from collections.abc import Mapping, Sequence

from shapely.geometry import LineString, Point

from templategen.geometry.shapes import Arc, Segment

SAME_FIGURE = 1e-9  # relative and absolute: one formula computed in two ways
SAME_POINT = 1e-6  # mm: one point computed in two ways
DRAWN = 0.001  # mm: a point that was written to a file and read back
CHORD = 0.01  # mm: greatest distance between an arc and the polyline that stands for it


def differences(found: object, wanted: object, *, within: float, place: str = "") -> list[str]:
    """Where two values of numbers, texts, sequences and mappings differ, one line for each place.

    Args:
        found: value that is tested.
        wanted: value that is right.
        within: greatest difference of two numbers; taken as relative for numbers above 1.
        place: name of the value, in front of each line.
    """
    here = place or "value"
    if _is_number(found) and _is_number(wanted):
        if math.isclose(found, wanted, rel_tol=within, abs_tol=within):  # type: ignore[arg-type]
            return []
        return [f"{here}: {found!r} is not {wanted!r}; off by {found - wanted:.3g}"]  # type: ignore[operator]
    if isinstance(found, Mapping) and isinstance(wanted, Mapping):
        lines = [f"{here}: no {key!r}" for key in wanted if key not in found]
        lines += [f"{here}: {key!r} is not expected" for key in found if key not in wanted]
        for key in wanted:
            if key in found:
                inner = f"{place}.{key}" if place else str(key)
                lines += differences(found[key], wanted[key], within=within, place=inner)
        return lines
    if _is_list(found) and _is_list(wanted):
        if len(found) != len(wanted):  # type: ignore[arg-type]
            return [f"{here}: {len(found)} entries, not {len(wanted)}"]  # type: ignore[arg-type]
        pairs = zip(found, wanted, strict=True)  # type: ignore[call-overload]
        return [
            line
            for n, (one, two) in enumerate(pairs)
            for line in differences(one, two, within=within, place=f"{place}[{n}]")
        ]
    return [] if found == wanted else [f"{here}: {found!r} is not {wanted!r}"]


def assert_same(found: object, wanted: object, *, within: float = SAME_FIGURE) -> None:
    """Checks numbers, points, lists and JSON objects; see `differences`."""
    lines = differences(found, wanted, within=within)
    assert not lines, "\n".join([f"{len(lines)} differences, allowed {within:g}:", *lines[:20]])


def assert_same_outline(
    found: Sequence[Segment], wanted: Sequence[Segment], *, within: float = SAME_POINT
) -> None:
    """Checks that two runs of lines and arcs cover the same points, wherever each begins.

    Both are compared as polylines with a chord error of a tenth of `within`, by shapely.
    """
    one, two = as_polyline(found, max_gap=within / 10), as_polyline(wanted, max_gap=within / 10)
    apart = one.hausdorff_distance(two)
    if apart > within:
        worst = max(one.coords, key=lambda c: two.distance(Point(c)))
        x, y = worst[:2]
        raise AssertionError(
            f"outlines are {apart:.6g} mm apart, allowed {within:g} mm; "
            f"found ({x:.4f}, {y:.4f}) lies {two.distance(Point(worst)):.6g} mm from the wanted one"
        )


def as_polyline(segments: Sequence[Segment], *, max_gap: float) -> LineString:
    """Lines and arcs as one polyline that is nowhere further than `max_gap`, mm, from them."""
    points = [tuple(segments[0].start)]
    for segment in segments:
        if isinstance(segment, Arc):
            step = 2 * math.acos(max(-1.0, 1 - max_gap / segment.radius))
            count = max(1, math.ceil(abs(segment.sweep) / step))
            for n in range(1, count):
                point = segment.at(segment.from_angle + segment.sweep * n / count)
                points.append((point.x, point.y))
        points.append(tuple(segment.end))
    return LineString(points)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str | bytes)
