"""What pdfium reads from a pack lies on the lines of the model, path by path.

`verify` compares a file with the file that its recipe gives; that such a file is true to the
model is held here, by a reader that has no part in writing it.
"""

import dataclasses
import math
from collections.abc import Iterator

import pytest
from builders import example_plan, laid_pack

from templategen.geometry.shapes import Arc, Line, Point, Segment, Transform
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing, Path
from templategen.parts.style import PrintStyle
from templategen.proof.pdf_reader import DrawnPath, PackFile
from templategen.sheets.page import Page
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

TRUE = 0.001  # mm


def _model(page: Page) -> Iterator[tuple[Path, Transform]]:
    """The paths of a page in the order of drawing, with the map to the page."""
    layers: list[tuple[Drawing, Transform]] = [(page.underlay, Transform())]
    for placement in page.placements:
        layers += [(placement.waste, placement.transform)]
        layers += [(placement.part.drawing, placement.transform)]
    for drawing, transform in [*layers, (page.furniture, Transform())]:
        for path in drawing.paths():
            yield path, transform.then(page.correction)


def _cubic(points: tuple[Point, ...], t: float) -> Point:
    """A point of a Bézier curve of degree 3 (ISO 32000-2, 8.5.2.2)."""
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    x, y = (sum(w * p[n] for w, p in zip(weights, points, strict=True)) for n in (0, 1))
    return Point(x, y)


def _distance(path: Path, drawn: DrawnPath, back: Transform) -> float:
    """How far the drawn run, in the model's millimetres, lies from the model's segments."""
    points = [back.apply(point) for point in drawn.points]
    worst, place = math.dist(points[0], path.segments[0].start), 1
    for segment in path.segments:
        last = points[place - 1]
        turned = 0.0
        while True:
            kind = drawn.kinds[place]
            step = 3 if kind == "c" else 1
            curve = (last, *points[place : place + step])
            if isinstance(segment, Arc):
                assert kind == "c"
                for n in range(1, 9):
                    far = math.dist(_cubic(curve, n / 8), segment.centre) - segment.radius
                    worst = max(worst, abs(far))
                turned += _angle(segment.centre, last, curve[-1])
            last, place = curve[-1], place + step
            if not isinstance(segment, Arc) or abs(turned - abs(segment.sweep)) < 1e-3:
                break
        worst = max(worst, math.dist(last, segment.end))
    assert set(drawn.kinds[place:]) <= {"h", "l"}
    assert path.closed == ("h" in drawn.kinds)
    return worst


def _angle(centre: Point, one: Point, other: Point) -> float:
    """The angle between two points seen from a centre, 0 to pi."""
    a, b = (math.atan2(p.y - centre.y, p.x - centre.x) for p in (one, other))
    return abs((b - a + math.pi) % math.tau - math.pi)


def _length(segment: Segment) -> float:
    match segment:
        case Line(start, end):
            return math.dist(start, end)
        case Arc():
            return abs(segment.sweep) * segment.radius


@pytest.mark.parametrize(
    ("name", "paper", "units"),
    [("lakeside-400.toml", "a4", Units.MM), ("inch-15.toml", "letter", Units.BOTH)],
)
def test_every_path_lies_on_the_model(name: str, paper: str, units: Units) -> None:
    """Lines, arcs, widths and the marks of all sheets, on a printer that stretches and leans."""
    profile = PrinterProfile(name="Shed", across=0.995, down=1.004, skew=0.001)
    plan = example_plan(name)
    laid = laid_pack(plan, paper=paper, style=PrintStyle(units=units), profile=profile)
    file = write_pdf(laid, title="x", attachments={})
    count = 0
    with PackFile(file, "x.pdf") as pack:
        for page, drawn in zip(laid.pages, pack.pages(), strict=True):
            for (path, transform), found in zip(_model(page), drawn.paths, strict=True):
                back = transform.inverse()
                assert _distance(path, found, back) < TRUE, (page.number, path)
                assert found.width == pytest.approx(path.line_width, rel=0.01)
                assert (found.colours[1] is not None) == (path.fill is not None)
                count += sum(_length(segment) > 0 for segment in path.segments)
    assert count > 1000


def test_a_wrong_path_is_seen() -> None:
    """The measure above sees an arc of another radius and a line that ends elsewhere."""
    arc = Arc(centre=Point(0, 0), radius=50, from_angle=0.0, sweep=1.0)
    path = Path(segments=(arc, Line(arc.end, Point(0, 0))))
    drawn = _drawn(path)
    assert _distance(path, drawn, Transform()) < TRUE
    wider = dataclasses.replace(arc, radius=50.1)
    other = Path(segments=(wider, Line(wider.end, Point(0, 0))))
    assert _distance(other, drawn, Transform()) == pytest.approx(0.1, abs=0.001)
    moved = Path(segments=(arc, Line(arc.end, Point(0, 0.2))))
    assert _distance(moved, drawn, Transform()) == pytest.approx(0.2, abs=0.001)


def _drawn(path: Path) -> DrawnPath:
    """A path as a page of a file shows it."""
    laid = laid_pack(example_plan("small-220.toml"), kinds=("tag",))
    page = dataclasses.replace(laid.pages[0], placements=(), furniture=Drawing(items=(path,)))
    one = dataclasses.replace(laid, pages=(page,))
    with PackFile(write_pdf(one, title="x", attachments={}), "x.pdf") as pack:
        (held,) = (page.paths for page in pack.pages())
    return held[-1]
