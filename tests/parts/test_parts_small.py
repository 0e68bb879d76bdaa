"""Parts that are small, thin or owned by someone with long names: nothing lost, nothing over."""

import dataclasses
import functools
import itertools
import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from builders import tiny_plan
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import optimize  # type: ignore[import-untyped]
from shapely.geometry import LineString, Polygon
from shapely.validation import explain_validity

from templategen.errors import InputError
from templategen.geometry.shapes import Arc
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import cut_plate, cutter_arc, gauge_block, section_sheet, tenon_ring
from templategen.parts.drawing import BODY, Part, Path, Role
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    Print,
    Relief,
    Shop,
    Tenon,
)
from templategen.units import Units

LONG = "Invented very long name of a tool, No."  # with a figure: 40 letters, the most a file may
UNBROKEN = "Inventedverylongnameofatoolinoneword"


@functools.cache
def _demo() -> Plan:
    return make_plan(demo_job(), demo_shop(), with_mends=False)


@functools.cache
def _renamed(name: str) -> Plan:
    """The demo with long names for every cutter and every set of jaws."""
    plan = _demo()
    cutters = {c.id: f"{name}{n}" for n, c in enumerate(plan.shop.cutters)}
    jaws = {j.id: f"{name}{n}" for n, j in enumerate(plan.shop.jaws)}
    shop = dataclasses.replace(
        plan.shop,
        cutters=tuple(dataclasses.replace(c, id=cutters[c.id]) for c in plan.shop.cutters),
        jaws=tuple(dataclasses.replace(j, id=jaws[j.id]) for j in plan.shop.jaws),
    )
    return make_plan(plan.job, shop, with_mends=False)


def _sampled(path: Path) -> list[tuple[float, float]]:
    points: list[tuple[float, float]] = []
    for segment in path.segments:
        if isinstance(segment, Arc):
            first, sweep = segment.from_angle, segment.sweep
            points += [segment.at(first + sweep * n / 200) for n in range(201)]
        else:
            points += [segment.start, segment.end]
    return [(round(x, 7), round(y, 7)) for x, y in points]


def _check(part: Part) -> None:
    """Nothing under 9 pt, over another text, over a line or off what is cut out (shapely)."""
    boxes = [(t.text, Polygon(t.corners())) for t in part.drawing.texts()]
    for (one, box), (two, other) in itertools.combinations(boxes, 2):
        assert box.intersection(other).area < 0.05, (part.key, one, two)
    assert all(t.size >= BODY - 1e-9 for t in part.drawing.texts())
    outlines = sorted(
        (Polygon(_sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda o: -o.area
    )
    body = outlines[0]
    assert body.is_valid, (part.key, explain_validity(body))
    for hole in outlines[1:]:
        body = body.difference(hole)
    lines = [LineString(_sampled(p)) for p in part.drawing.paths()]
    for text, box in boxes:
        assert body.buffer(-0.3).covers(box), (part.key, text)
        assert not any(box.buffer(-0.1).intersects(line) for line in lines), (part.key, text)


def _words(part: Part) -> str:
    return " ".join(t.text for t in part.drawing.texts())


CUT_OUT = (cut_plate.make, cutter_arc.make, gauge_block.make, tenon_ring.make)


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("name", [LONG, UNBROKEN])
def test_long_names_are_whole_and_stay_on_the_part(name: str, units: Units) -> None:
    """40 letters of a cutter or of jaws are all there, and run over nothing."""
    plan = _renamed(name)
    cutters = {c.cutter.id for c in plan.cuts}
    jaws = {p.jaws.id for p in plan.bowls if p.jaws}
    for make in CUT_OUT:
        for part in make(plan, style=PrintStyle(units=units)):
            _check(part)
            together = _words(part).replace(" ", "")
            owned = jaws if make in (tenon_ring.make, gauge_block.make) else cutters
            if "step" not in part.title:
                assert any(o.replace(" ", "") in together for o in owned), part.title
    for kind in ("section sheet", "gauge stick", "setting card"):
        for part in make_parts(plan, kinds=(kind,), style=PrintStyle(units=units)):
            boxes = [Polygon(t.corners()) for t in part.drawing.texts()]
            for one, two in itertools.combinations(boxes, 2):
                assert one.intersection(two).area < 0.05, part.key


@pytest.mark.parametrize("units", list(Units))
def test_tiny_parts_stay_legible(units: Units) -> None:
    """Cutters of 30 mm, jaws of 12 mm: the wording moves to a tab, the edges stay true."""
    plan = tiny_plan()
    for make in CUT_OUT:
        for part in make(plan, style=PrintStyle(units=units)):
            _check(part)
            if make is not cutter_arc.make:
                assert "2026-05-02" in _words(part), part.title
            assert "cut on the line" in _words(part), part.title


@pytest.mark.parametrize("plan", [_demo, tiny_plan, lambda: _renamed(UNBROKEN)])
@pytest.mark.parametrize("units", list(Units))
def test_every_cut_plate_says_how_to_set_the_cut(plan: Callable[[], Plan], units: Units) -> None:
    """Entry, deepest, height above centre and pivot are on each plate, however small."""
    made = plan()
    for cut, part in zip(
        made.cuts, cut_plate.make(made, style=PrintStyle(units=units)), strict=True
    ):
        words = _words(part)
        for needed in ("entry", "deepest", "above centre", "pivot", "off the face"):
            assert needed in words, (part.title, needed)
        (outline,) = part.drawing.paths(Role.CUT)
        (edge,) = [s for s in outline.segments if isinstance(s, Arc)]
        assert edge.radius == cut.cutter.radius
        ends = [(s.start, s.end) for s in outline.segments]
        corners = [p for pair in ends for p in pair]
        assert any(math.dist(p, (0.0, 0.0)) < 1e-9 for p in corners)  # face meets axis


@pytest.mark.parametrize("size", [0.5, 1.0, 2.0, 3.9, 5.0, 9.0, 12.0, 15.0, 16.0, 40.0])
@pytest.mark.parametrize("units", list(Units))
def test_blocks_of_any_thickness(size: float, units: Units) -> None:
    """The gauging edges are as far apart as they say; the wording never runs over a line."""
    plan = _demo()
    jaws = dataclasses.replace(plan.bowls[0].jaws, depth=size)  # type: ignore[type-var]
    pieces = (dataclasses.replace(plan.bowls[0], jaws=jaws),)
    thin = dataclasses.replace(plan, bowls=pieces, cuts=())
    (part,) = gauge_block.make(thin, style=PrintStyle(units=units))
    _check(part)
    (outline,) = part.drawing.paths(Role.CUT)
    body = Polygon(_sampled(outline))
    across = body.intersection(LineString([(10.0, -100.0), (10.0, 100.0)]))
    assert across.length == pytest.approx(size, abs=1e-9)
    flat = [s for s in outline.segments if abs(s.start.y - s.end.y) < 1e-9]
    assert any(abs(s.start.x - s.end.x) >= 39.9 for s in flat)


@pytest.mark.parametrize(
    ("size", "stock"),
    [
        (40.0, (3.0, 6.0, 18.0)),
        (51.5, (3.0, 6.0, 18.0)),
        (2.0, (3.0, 6.0, 18.0)),
        (43.65625, (3.175, 6.35, 19.05)),
        (50.8, (3.175, 6.35, 19.05)),
        (37.0, (4.0, 9.0, 15.0)),
        (61.3, (2.7, 5.5, 8.8, 12.1)),
    ],
)
def test_laminations_are_the_best_there_are(size: float, stock: tuple[float, ...]) -> None:
    """Scipy's mixed-integer solver, a general library, finds no taller and no shorter stack."""
    chosen, rest = gauge_block.laminations(size, stock)
    tall = sum(count * ply for count, ply in chosen)
    assert tall + rest == pytest.approx(size, abs=1e-9)
    assert rest >= 0
    plies = np.array(stock)
    room = optimize.LinearConstraint(plies, 0, size + 1e-6)
    whole = np.ones_like(plies)
    best = optimize.milp(-plies, constraints=room, integrality=whole)
    assert tall == pytest.approx(-best.fun, abs=0.006)
    full = optimize.LinearConstraint(plies, tall - 0.003, tall + 0.003)
    fewest = optimize.milp(whole, constraints=full, integrality=whole)
    assert sum(count for count, _ in chosen) == round(fewest.fun)


def test_blocks_name_the_plies_in_use() -> None:
    """The job's own stock, and what is left over, stand on every block."""
    plan = _demo()
    own = dataclasses.replace(plan.job, print=Print(stock=(4.0, 10.0)))
    for part in gauge_block.make(
        dataclasses.replace(plan, job=own), style=PrintStyle(units=Units.MM)
    ):
        words = _words(part)
        assert "plies" in words
        assert "rest" in words
        assert "× 10 mm" in words or "× 4 mm" in words
        assert "18 mm" not in words


def test_plies_keep_the_name_they_are_sold_under() -> None:
    """Millimetre plies on an inch print stay millimetres, so that the figures add up."""
    words = " ".join(_words(p) for p in gauge_block.make(_demo(), style=PrintStyle(units=Units.IN)))
    assert "× 18 mm" in words
    own = dataclasses.replace(_demo().job, print=Print(stock=(25.4 / 8, 25.4 / 2)))
    inch = dataclasses.replace(_demo(), job=own)
    assert "× 1/2 in" in " ".join(
        _words(p) for p in gauge_block.make(inch, style=PrintStyle(units=Units.IN))
    )


def test_cutter_arcs_carry_depth_ticks() -> None:
    """Ticks 10 mm apart stand at R less the depth above the pivot, on both sides (design §7)."""
    for part in cutter_arc.make(_demo(), style=PrintStyle(units=Units.MM)):
        radius = max(
            s.radius for p in part.drawing.paths(Role.CUT) for s in p.segments if isinstance(s, Arc)
        )
        ticks = [p.bounds() for p in part.drawing.paths(Role.MARK)]
        level = [b for b in ticks if b.height < 1e-9 and abs(b.bottom) > 1e-9]
        depths = sorted({round(radius - b.bottom, 6) for b in level})
        assert len(depths) >= 4
        assert all(d % 10 == pytest.approx(0, abs=1e-6) for d in depths)
        assert np.diff(depths) == pytest.approx(10.0)
        assert len(level) == 2 * len(depths)
        shape = Polygon(_sampled(part.drawing.paths(Role.CUT)[0])).buffer(1e-6)
        assert all(shape.covers(LineString([(b.left, b.top), (b.right, b.top)])) for b in level)
        figures = [float(t.text) for t in part.drawing.texts() if t.text.isdigit()]
        assert figures
        assert set(figures) <= {float(d) for d in depths}


@given(
    units=st.sampled_from(Units),
    diameter=st.floats(60, 500),
    share=st.floats(0.3, 0.6),
    radii=st.lists(st.floats(20, 200), min_size=1, max_size=4, unique=True),
    kerf=st.floats(1.5, 12),
    circles=st.lists(st.floats(12, 250), min_size=4, max_size=8, unique=True),
    name=st.sampled_from(["R", LONG[:-1], UNBROKEN]),
    relief=st.sampled_from([None, Relief(), Relief(shift=2, depth=8)]),
)
@settings(max_examples=12, deadline=None, derandomize=True)
def test_parts_of_any_shop_stay_legible(
    units: Units,
    diameter: float,
    share: float,
    radii: list[float],
    kerf: float,
    circles: list[float],
    name: str,
    relief: Relief | None,
) -> None:
    """Whatever the cutters, jaws and blank: nothing lost, nothing over a line."""
    shop = Shop(
        name="Invented",
        units=units,
        cutters=tuple(Cutter(id=f"{name}{n}", radius=r, kerf=kerf) for n, r in enumerate(radii)),
        jaws=tuple(
            Jaws(id=f"{name}{n}", true_circle=d, depth=5 + d / 20) for n, d in enumerate(circles)
        ),
    )
    job = Job(
        title="Invented blank of no great fame",
        date="2026-05-02",
        units=units,
        blank=Blank(diameter=diameter, height=diameter * share),
        nest=Nest(
            wall=LengthWall(4 + diameter / 40),
            min_bowl=25.0,
            min_depth=5.0,
            max_slope=30.0,
            height_above_centre=3.0,
            relief=relief,
        ),
        tenon=Tenon(length=3.0, shoulder=2.0),
    )
    try:
        plan = make_plan(job, shop, with_mends=False)
    except InputError:
        assume(False)
    for make in CUT_OUT:
        for part in make(plan, style=PrintStyle(units=units)):
            _check(part)
    (sheet,) = section_sheet.make(plan, style=PrintStyle(units=units))
    lines = [LineString(_sampled(p)) for p in sheet.drawing.paths() if p.fill is None]
    figures = [
        t for t in sheet.drawing.texts() if re.match(r"(piece \d+: )?(wall|floor) \d", t.text)
    ]
    assert len(figures) == 2 * len(plan.cuts)
    for figure in figures:
        box = Polygon(figure.corners()).buffer(-0.1)
        assert not any(box.intersects(line) for line in lines), figure.text
