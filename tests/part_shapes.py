"""Parts as shapely sees them: outlines, what is left of the sheet, boxes of texts."""

import functools

import numpy as np
import shapely
from builders import demo_plan, invented_plan
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from templategen.geometry.shapes import Arc
from templategen.parts.drawing import BODY, Part, Path, Role, Text
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.units import Units

MM = PrintStyle(units=Units.MM)
STYLES = [PrintStyle(units=units) for units in Units]
TOUCH = 0.05  # mm²: boxes that share less do not overlap


SIZES = [(400, 180), (220, 90), (300, 130), (500, 220)]
# Every size and every style of units once: a fault of a kind shows in one of them.
SIZES_AND_STYLES = list(zip(SIZES, STYLES, strict=True))
STEPS = np.arange(201) / 200  # along an arc


def sampled(path: Path) -> list[tuple[float, float]]:
    """Points along a path, 200 on each arc; rounded, as an arc ends on the axis within 1e-14."""
    points: list[tuple[float, float]] = []
    for segment in path.segments:
        if isinstance(segment, Arc):
            angles = segment.from_angle + segment.sweep * STEPS
            xs = segment.centre.x + segment.radius * np.cos(angles)
            ys = segment.centre.y + segment.radius * np.sin(angles)
            points += zip(xs.round(9).tolist(), ys.round(9).tolist(), strict=True)
        else:
            points += [(round(x, 9), round(y, 9)) for x, y in (segment.start, segment.end)]
    return points


def outline(part: Part) -> Polygon:
    """What the largest cut line encloses."""
    return max((Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda o: o.area)


def body(part: Part) -> BaseGeometry:
    """What is left of the sheet when the part is cut out."""
    outlines = [Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)]
    outlines.sort(key=lambda o: -o.area)
    left: BaseGeometry = outlines[0]
    for hole in outlines[1:]:
        left = left.difference(hole)
    return left


def lines(part: Part) -> list[LineString]:
    """Every line that is drawn, fills left out."""
    return [LineString(sampled(p)) for p in part.drawing.paths() if p.fill is None]


def box(text: Text) -> Polygon:
    """The box of a text from the letters' own widths in the bundled font."""
    return Polygon(text.corners())


def overlaps(part: Part) -> dict[tuple[int, int], float]:
    """Pairs of texts, by their places, whose boxes overlap, and by how much, mm²."""
    boxes = np.array([box(text) for text in part.drawing.texts()], dtype=object)
    if len(boxes) == 0:
        return {}
    one, two = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    one, two = one[one < two], two[one < two]
    areas = shapely.area(shapely.intersection(boxes[one], boxes[two]))
    over = areas > TOUCH
    pairs = zip(one[over].tolist(), two[over].tolist(), strict=True)
    return dict(zip(pairs, areas[over].tolist(), strict=True))


@functools.cache
def parts_of(size: tuple[float, float] | None, kind: str, style: PrintStyle) -> tuple[Part, ...]:
    """The parts of a kind for the invented blank of a size, for the demo if it is None."""
    plan = invented_plan(*size) if size else demo_plan()
    return make_parts(plan, kinds=(kind,), style=style)


def words(part: Part) -> str:
    """All that a part says."""
    return " ".join(text.text for text in part.drawing.texts())


def arcs(part: Part, *roles: Role) -> list[Arc]:
    """The true arcs on lines of the roles, or on all."""
    found = part.drawing.paths(*roles)
    return [s for path in found for s in path.segments if isinstance(s, Arc)]


def assert_legible(part: Part) -> None:
    """Nothing under 9 pt, over another text, over a line or off what is cut out (shapely)."""
    assert not overlaps(part)
    assert all(text.size >= BODY - 1e-9 for text in part.drawing.texts())
    assert outline(part).is_valid, (part.key, explain_validity(outline(part)))
    kept = body(part).buffer(-0.3)
    shapely.prepare(kept)
    drawn = shapely.STRtree(lines(part))
    for text in part.drawing.texts():
        assert kept.covers(box(text)), (part.key, text.text)
        inside = box(text).buffer(-0.1)
        assert len(drawn.query(inside, predicate="intersects")) == 0, (part.key, text.text)
