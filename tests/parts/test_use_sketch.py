"""Use sketches: within their box, in lines that print, with a line that fits in any language."""

import itertools
import math
import re
from collections.abc import Callable

import pytest
import shapely
from compare import as_polyline

from templategen.geometry.shapes import Arc, Box
from templategen.messages import Wording, languages
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.drawing import BODY, Path, Role
from templategen.parts.labels import LEADING
from templategen.parts.lettering import text_width
from templategen.parts.sketches import at_lathe, end_on
from templategen.parts.sketches.covered import without_covered_lines
from templategen.parts.sketches.strokes import BOLD, HEIGHT, WIDTH, box
from templategen.parts.style import PrintStyle
from templategen.parts.use_sketch import USE_LINES, use_rows, use_sketch
from templategen.trade.part_kinds import PartKind
from templategen.units import Units

BOX = Box(0.0, 0.0, WIDTH, HEIGHT)
STYLES = [PrintStyle(units=Units.MM, wording=Wording(code)) for code in languages()]


@pytest.mark.parametrize("kind", PartKind)
def test_a_sketch_fits_its_box_with_its_lines(kind: PartKind) -> None:
    """Design §7: about 35 × 25 mm, half the width of each line included, and well filled."""
    sketch = use_sketch(kind)
    for path in sketch.paths():
        assert BOX.holds(path.bounds().grown(path.line_width / 2)), path
    bounds = sketch.bounds()
    assert bounds.width > 0.55 * WIDTH
    assert bounds.height > 0.5 * HEIGHT


@pytest.mark.parametrize("kind", PartKind)
def test_lines_print_and_are_never_cut(kind: PartKind) -> None:
    """Bold lines for the part, thinner ones for all around it; notes alone, and no words.

    No saw or laser follows notes, and a sketch without words reads in any language.
    """
    sketch = use_sketch(kind)
    widths = {p.line_width for p in sketch.paths() if p.line_width > 0}
    assert all(0.15 <= width <= 0.5 for width in widths)
    assert BOLD in widths
    assert min(widths) <= 0.2
    assert {p.role for p in sketch.paths()} == {Role.NOTE}
    assert not sketch.texts()


@pytest.mark.parametrize("draw", [at_lathe.stop_dial, at_lathe.depth_stick, end_on.gauge_stick])
def test_lines_under_a_tint_are_gone(draw: Callable[[], list[Path]]) -> None:
    """What is left is as long as shapely finds it; a line along a tint's edge may stay or go."""
    raw = draw()
    least = most = 0.0
    for n, path in enumerate(raw):
        if path.line_width > 0:
            above = shapely.union_all([_area(p) for p in raw[n + 1 :] if p.fill is not None])
            least += _line(path).difference(above.buffer(0.01)).length
            most += _line(path).difference(above.buffer(-0.01)).length
    left = [path for path in without_covered_lines(raw) if path.line_width > 0]
    assert all(path.fill is None for path in left)
    assert least < sum(_line(path).length for path in left) < most
    assert most < 0.95 * sum(_line(path).length for path in raw if path.line_width > 0)


def test_a_square_over_a_square_hides_its_corner() -> None:
    """Two squares of 10 mm, one 5 mm over the other each way: 10 of 40 mm are hidden."""
    low, high = box(0.0, 0.0, 10.0, 10.0, fill=1.0), box(5.0, 5.0, 15.0, 15.0, fill=1.0)
    lines = [path for path in without_covered_lines([low, high]) if path.line_width > 0]
    assert [round(_line(path).length, 6) for path in lines] == [15.0, 15.0, 40.0]


def _line(path: Path) -> shapely.LineString:
    return as_polyline(path.segments, max_gap=0.001)


def _area(path: Path) -> shapely.Polygon:
    return shapely.Polygon(as_polyline(path.segments, max_gap=0.001))


@pytest.mark.parametrize("kind", PartKind)
def test_runs_of_a_sketch_are_whole(kind: PartKind) -> None:
    """Each segment starts where the one before ends, as the drawing model asks."""
    for path in use_sketch(kind).paths():
        runs = [*path.segments, *(path.segments[:1] if path.closed else ())]
        assert all(math.dist(a.end, b.start) < 1e-6 for a, b in itertools.pairwise(runs)), path


def test_every_kind_has_a_picture_and_a_line_of_its_own() -> None:
    """No two kinds share a sketch or a sentence."""
    assert len({use_sketch(kind) for kind in PartKind}) == len(PartKind)
    assert len(set(USE_LINES.values())) == len(PartKind)


@pytest.mark.parametrize("kind", PartKind)
@pytest.mark.parametrize("style", STYLES)
def test_the_line_is_short_and_breaks_between_words(kind: PartKind, style: PrintStyle) -> None:
    """At most 60 letters; in a room of 24 mm no word is broken, beside a sketch it fits."""
    said = style.text(USE_LINES[kind])
    assert 10 < len(said) <= 60
    for room in (24.0, WIDTH, 80.0):
        rows = use_rows(kind, style, room=room)
        assert " ".join(rows) == said
        assert max(text_width(row, size=BODY) for row in rows) <= room
        assert room < WIDTH or len(rows) * LEADING <= HEIGHT


def test_parts_at_a_turning_lathe_say_lathe_off() -> None:
    """All that touches wood or jaws on the lathe says so first: common practice, no source.

    The stop dial alone is read while the cut is made; it lies on the post, clear of the wood.
    """
    off = {kind for kind in PartKind if USE_LINES[kind].template.startswith("Lathe off.")}
    at_the_lathe = {kind for kind in PartKind if kind.group in {"turn", "set", "cut"}}
    at_the_lathe |= {PartKind.HOLDING_CARD, PartKind.JAW_DEPTH_BLOCK}
    assert off == at_the_lathe - {PartKind.STOP_DIAL}


@pytest.mark.parametrize("kind", PartKind)
def test_a_sketch_has_true_arcs_in_a_file(kind: PartKind) -> None:
    """Circles and arcs of a sketch reach the SVG as arcs, not as strings of short lines."""
    arcs = [s for p in use_sketch(kind).paths() for s in p.segments if isinstance(s, Arc)]
    written = drawing_svg(use_sketch(kind), look=SvgLook()).decode()
    assert len(re.findall(r"A[\d.]", written)) >= len(arcs) > 0
