"""Plates, section, card and registry: against sympy, shapely and the trade's usual figures."""

import dataclasses
import functools
import itertools
import math
import re

import pytest
import sympy
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from templategen.errors import InputError
from templategen.geometry.shapes import Arc, Line
from templategen.nest.plan import Cut, Finding, Level, Plan
from templategen.nest.planner import make_plan
from templategen.parts import cut_plate, cutter_arc, section_sheet, setting_card
from templategen.parts.cautions import CAUTIONS
from templategen.parts.drawing import BODY, Part, Path, Role, Text
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.style import PrintStyle
from templategen.trade.records import Blank, Cutter, Jaws, Job, LengthWall, Nest, Shop
from templategen.units import Units

SHOP = Shop(
    name="Invented shop",
    units=Units.MM,
    cutters=tuple(Cutter(id=f"R{r}", radius=r, kerf=9) for r in (80, 105, 135, 170)),
    jaws=tuple(Jaws(id=str(d), true_circle=d, depth=14) for d in (50, 70, 100, 130, 160, 200)),
)


@functools.cache
def _plan(diameter: float, height: float) -> Plan:
    """The plan of an invented blank, made once."""
    return make_plan(_job(diameter, height), SHOP)


def _job(diameter: float, height: float) -> Job:
    return Job(
        title="Invented blank",
        date="2026-05-02",
        units=Units.MM,
        blank=Blank(diameter=diameter, height=height),
        nest=Nest(wall=LengthWall(22.0)),
    )


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The 400 × 180 plan."""
    return _plan(400, 180)


def _sampled(path: Path) -> list[tuple[float, float]]:
    points: list[tuple[float, float]] = []
    for segment in path.segments:
        match segment:
            case Line(start=start):
                points.append((start.x, start.y))
                if not path.closed and segment is path.segments[-1]:
                    points.append((segment.end.x, segment.end.y))
            case Arc(from_angle=first, sweep=sweep):
                points += [segment.at(first + sweep * n / 200) for n in range(201)]
    return [(round(x, 9), round(y, 9)) for x, y in points]  # an arc ends on the axis within 1e-14


def _box(text: Text) -> Polygon:
    return Polygon(text.corners())


def clashes(part: Part) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes overlap by more than a hair, by shapely."""
    return [
        (one.text, two.text)
        for one, two in itertools.combinations(part.drawing.texts(), 2)
        if _box(one).intersection(_box(two)).area > 0.05
    ]


def _closed(path: Path) -> bool:
    ends = [(s.start, s.end) for s in path.segments]
    return all(math.dist(a[1], b[0]) < 1e-6 for a, b in zip(ends, ends[1:] + ends[:1], strict=True))


def test_cut_plate_edge_passes_through_entry_and_axis_points(plan: Plan) -> None:
    """Checked with sympy's circle and exact point distances, not with the project's arcs."""
    for cut, part in zip(
        plan.cuts, cut_plate.make(plan, style=PrintStyle(units=Units.MM)), strict=True
    ):
        outline = part.drawing.paths(Role.CUT)[0]
        (edge,) = [s for s in outline.segments if isinstance(s, Arc)]
        centre = sympy.Point(cut.pivot_offset, cut.pivot_standoff)
        entry_x = math.sqrt(cut.entry_radius**2 - cut.cutter_height**2)
        for point in (sympy.Point(entry_x, 0), sympy.Point(0, -cut.depth_at_axis)):
            assert abs(float(centre.distance(point)) - cut.cutter.radius) < 1e-3
        assert math.dist(edge.start, (entry_x, 0)) < 1e-3
        assert math.dist(edge.end, (0, -cut.depth_at_axis)) < 1e-3
        assert _closed(outline)
        assert Polygon(_sampled(outline)).is_valid
        assert min(y for _, y in _sampled(outline)) == pytest.approx(-cut.deepest, abs=0.01)


def test_cutter_arc_is_one_closed_outline_with_a_true_arc(plan: Plan) -> None:
    """The convex edge is R from the pivot (shapely distances); the inner edge R - k is marked."""
    by_id = {c.id: c for c in plan.shop.cutters}
    parts = cutter_arc.make(plan, style=PrintStyle(units=Units.MM))
    assert len(parts) == len({cut.cutter.id for cut in plan.cuts})
    for part in parts:
        cutter = by_id[part.title.split()[-1]]
        outline = part.drawing.paths(Role.CUT)[0]
        assert _closed(outline)
        shape = Polygon(_sampled(outline))
        assert shape.is_valid
        assert shape.covers(ShapelyPoint(0, 0))
        far = ShapelyPoint(0, 0).hausdorff_distance(LineString(_sampled(outline)))
        assert far == pytest.approx(cutter.radius, abs=1e-6)
        dashed = [p for p in part.drawing.paths(Role.MARK) if p.dashed]
        radii = {s.radius for p in dashed for s in p.segments if isinstance(s, Arc)}
        assert radii == {cutter.radius - cutter.kerf}


@pytest.mark.parametrize("size", [(400, 180), (220, 90), (300, 130), (500, 220)])
@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("units", list(Units))
def test_no_text_overlaps_another(kind: str, size: tuple[float, float], units: Units) -> None:
    """No text box meets another, and none is under 9 pt (common practice, no source)."""
    made = _plan(*size)
    for part in make_parts(made, kinds=(kind,), style=PrintStyle(units=units)):
        assert clashes(part) == []
        assert all(text.size >= BODY - 1e-9 for text in part.drawing.texts())


@pytest.mark.parametrize("size", [(400, 180), (220, 90), (300, 130), (500, 220)])
@pytest.mark.parametrize("kind", ["cut plate", "cutter arc", "gauge stick", "gauge block"])
@pytest.mark.parametrize("units", list(Units))
def test_wording_stays_on_the_plate(kind: str, size: tuple[float, float], units: Units) -> None:
    """What is cut out keeps its wording: every text lies inside the outline (shapely)."""
    made = _plan(*size)
    for part in make_parts(made, kinds=(kind,), style=PrintStyle(units=units)):
        shape = Polygon(_sampled(part.drawing.paths(Role.CUT)[0])).buffer(0.05)
        lost = [t.text for t in part.drawing.texts() if not shape.covers(_box(t))]
        assert lost == [], part.title


@pytest.mark.parametrize(
    "kind",
    [
        "cut plate",
        "gauge stick",
        "gauge block",
        "tenon ring",
    ],
)
def test_every_part_names_job_date_and_line(plan: Plan, kind: str) -> None:
    """Design §7: name, job, its date and 'cut on the line'; a cutter arc is free of the job."""
    for part in make_parts(plan, kinds=(kind,), style=PrintStyle(units=Units.MM)):
        words = " ".join(t.text for t in part.drawing.texts())
        for needed in ("cut on the line", "Invented blank", "2026-05-02"):
            assert needed in words, part.title


def test_section_walls_and_floors_are_stated(plan: Plan) -> None:
    """Every wall and floor stands on the sheet as a figure, and the stub is noted."""
    (part,) = section_sheet.make(plan, style=PrintStyle(units=Units.MM))
    words = " ".join(t.text for t in part.drawing.texts())
    for piece in plan.bowls:
        if piece.wall is not None:
            assert f"{piece.wall:.1f}".rstrip("0").rstrip(".") in words
    assert "stub" in words
    arcs = [s for p in part.drawing.paths() for s in p.segments if isinstance(s, Arc)]
    assert {c.cutter.radius for c in plan.cuts} <= {a.radius for a in arcs}


def _curves(made: Plan, number: int) -> tuple[LineString, LineString]:
    """The two boundaries of a piece in true radii, sampled from the cut's published figures."""

    def edge(cut: Cut, radius: float, shift: float) -> LineString:
        points = []
        for n in range(6001):
            z = cut.deepest * n / 6000
            rest = radius**2 - (z + cut.pivot_standoff) ** 2
            step = shift if cut.relief and z < cut.relief.depth else 0.0
            x = cut.pivot_offset + math.sqrt(max(0.0, rest)) - step
            if rest >= 0 and x >= 0:
                points.append((math.hypot(x, cut.cutter_height), -z))
        return LineString(points)

    cut = made.cuts[number]
    inside = edge(cut, cut.cutter.radius, 0.0)
    if number == 0:
        return LineString([(r, -z) for r, z in made.outside[:-3]]), inside
    own = made.cuts[number - 1]
    shift = own.relief.shift if own.relief else 0.0
    return edge(own, own.cutter.radius - own.cutter.kerf, shift), inside


@pytest.mark.parametrize("size", [(400, 180), (220, 90), (300, 130), (500, 220)])
def test_walls_are_dimensioned_where_they_are_least(size: tuple[float, float]) -> None:
    """Shapely's distance of the two boundaries is met at the two points of the dimension.

    The sheet is drawn in the cutter's plane, so a point lies up to r - sqrt(r² - h²) nearer the
    axis than its true radius.
    """
    made = _plan(*size)
    for number, cut in enumerate(made.cuts):
        outer, inner = _curves(made, number)
        places = section_sheet.least_wall(made, number)
        true = [
            ShapelyPoint(
                point.x if number == 0 and n == 0 else math.hypot(point.x, cut.cutter_height),
                point.y,
            )
            for n, point in enumerate(places)
        ]
        assert true[0].distance(outer) < 0.02
        assert true[1].distance(inner) < 0.02
        assert true[0].distance(true[1]) == pytest.approx(outer.distance(inner), abs=0.02)
        wall = made.bowls[number].wall
        assert wall is not None
        assert true[0].distance(true[1]) == pytest.approx(wall, abs=0.02)


@pytest.mark.parametrize("size", [(400, 180), (220, 90), (300, 130), (500, 220)])
@pytest.mark.parametrize("units", list(Units))
def test_no_figure_of_the_section_lies_on_a_line(size: tuple[float, float], units: Units) -> None:
    """Every figure is there, and its box meets no line of the drawing (shapely)."""
    made = _plan(*size)
    (part,) = section_sheet.make(made, style=PrintStyle(units=units))
    lines = [LineString(_sampled(p)) for p in part.drawing.paths() if p.fill is None]
    figures = [
        t for t in part.drawing.texts() if re.match(r"(piece \d: )?(wall|floor|solid)", t.text)
    ]
    assert len(figures) >= 2 * len(made.cuts) + 1
    for figure in figures:
        box = _box(figure).buffer(-0.1)
        assert not any(box.intersects(one) for one in lines), figure.text
    heads = [p for p in part.drawing.paths() if p.fill == 0.0]
    assert len(heads) == 4 * len(made.cuts)


def test_the_turned_outside_is_one_true_arc(plan: Plan) -> None:
    """Design §10's circle, worked out by sympy through the rim, with its centre on the face."""
    foot = plan.bowls[0].tenon_diameter / 2 + plan.job.tenon.shoulder
    c = sympy.symbols("c")
    deep = sympy.Float(plan.bowls[0].depth)
    (centre,) = sympy.solve((200 - c) ** 2 - (foot - c) ** 2 - deep**2, c)
    arc = section_sheet.outside_segments(plan)[0]
    assert isinstance(arc, Arc)
    assert arc.centre.x == pytest.approx(float(centre), abs=1e-6)
    assert arc.radius == pytest.approx(200 - float(centre), abs=1e-6)
    assert (arc.end.x, arc.end.y) == pytest.approx((foot, -plan.bowls[0].depth), abs=1e-6)
    ends = section_sheet.outside_segments(plan)
    assert all(math.dist(a.end, b.start) < 1e-6 for a, b in itertools.pairwise(ends))
    shallow = _plan(500, 220)
    assert sum(isinstance(s, Arc) for s in section_sheet.outside_segments(shallow)) == 1


def test_setting_card_fits_a_sheet(plan: Plan) -> None:
    """The card fits A4 and letter with 10 mm margins and the bars (176 × 235)."""
    part, *_others = setting_card.make(plan, style=PrintStyle(units=Units.MM))
    box = part.drawing.bounds()
    assert box.width <= 176
    assert box.height <= 235
    assert not part.may_tile
    assert not part.may_turn


def test_setting_card_drops_no_stop_finding(plan: Plan) -> None:
    """However many findings there are, each that forbids the work is on the card."""
    notes = tuple(Finding(level=Level.NOTE, rule="note", text=f"note {n}") for n in range(12))
    stop = Finding(level=Level.STOP, rule="wall", text="forbidden zebra")
    crowded = dataclasses.replace(plan, findings=(*notes, stop))
    cards = setting_card.make(crowded, style=PrintStyle(units=Units.MM))
    assert any("zebra" in t.text for card in cards for t in card.drawing.texts())


def test_setting_card_drops_no_cut_and_no_piece(plan: Plan) -> None:
    """Nine cuts are nine columns, in as many tables as they need."""
    cuts = tuple(dataclasses.replace(plan.cuts[0], number=n) for n in range(31, 40))
    pieces = tuple(dataclasses.replace(plan.bowls[0], number=n) for n in range(51, 60))
    order = tuple(c.number for c in cuts)
    many = dataclasses.replace(plan, cuts=cuts, bowls=pieces, sequence=order)
    part, *_others = setting_card.make(many, style=PrintStyle(units=Units.MM))
    words = {t.text for t in part.drawing.texts()}
    assert {str(n) for n in (*range(31, 40), *range(51, 60))} <= words
    assert part.may_tile == (part.drawing.bounds().height > 235)


@pytest.mark.parametrize(
    "kind", ["setting card", "cut plate", "section sheet", "gauge stick", "tenon ring"]
)
def test_a_long_title_never_costs_the_date(plan: Plan, kind: str) -> None:
    """A title that does not fit is cut short; the date stays."""
    job = dataclasses.replace(plan.job, title="Invented very long title of a blank " * 4)
    for part in make_parts(
        dataclasses.replace(plan, job=job), kinds=(kind,), style=PrintStyle(units=Units.MM)
    ):
        assert any("2026-05-02" in t.text for t in part.drawing.texts()), part.title
        assert clashes(part) == []


def test_unknown_kind_names_the_nearest(plan: Plan) -> None:
    """A slip of the pen is answered with the nearest kind."""
    with pytest.raises(InputError, match="cut plate"):
        make_parts(plan, kinds=("cut plat",), style=PrintStyle(units=Units.MM))


def test_cautions_are_sentences_that_cover_the_trade() -> None:
    """The usual cautions of coring (common practice, no source)."""
    assert all(c[0].isupper() and c.endswith(".") for c in CAUTIONS)
    words = " ".join(CAUTIONS).lower()
    for needed in (
        "face shield",
        "lock",
        "speed",
        "mass",
        "sound wood",
        "stand clear",
        "makers' limits",
        "never ratings",
        "local codes",
        "qualified",
    ):
        assert needed in words
