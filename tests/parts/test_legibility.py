"""Every kind of part, also small, thin or with long names: nothing lost, nothing over a line."""

import dataclasses
import functools

import pytest
import shapely
from builders import changed_job, demo_plan, invented_plan, make_shop, tiny_plan
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from part_shapes import (
    MM,
    SIZES_AND_STYLES,
    STYLES,
    assert_legible,
    box,
    lines,
    overlaps,
    parts_of,
    words,
)

from templategen.errors import InputError
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import cut_plate, cutter_arc, gauge_block, section_sheet, tenon_ring
from templategen.parts.drawing import BODY, Anchor, Role
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.style import PrintStyle
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    Relief,
    Tenon,
)
from templategen.units import Units

LONG = "Invented very long name of a tool, No."  # with a figure: 40 letters, the most a file may
UNBROKEN = "Inventedverylongnameofatoolinoneword"
CUT_OUT = (cut_plate.make, cutter_arc.make, gauge_block.make, tenon_ring.make)


@functools.cache
def renamed_plan(name: str) -> Plan:
    """The demo with long names for every cutter and every set of jaws."""
    plan = demo_plan()
    cutters = [dataclasses.replace(c, id=f"{name}{n}") for n, c in enumerate(plan.shop.cutters)]
    jaws = [dataclasses.replace(j, id=f"{name}{n}") for n, j in enumerate(plan.shop.jaws)]
    shop = dataclasses.replace(plan.shop, cutters=tuple(cutters), jaws=tuple(jaws))
    return make_plan(plan.job, shop, with_suggestions=False)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize(("size", "style"), [*SIZES_AND_STYLES, (None, MM)])
def test_every_part_is_legible(
    kind: str, size: tuple[float, float] | None, style: PrintStyle
) -> None:
    """Invented blanks, and the demo, whose lathe and post are stated.

    No text meets another or is under 9 pt (common practice, no source). On
    what is cut out it also stays clear of the edges, of holes and of lines (shapely).
    """
    for part in parts_of(size, kind, style):
        if part.drawing.paths(Role.CUT):
            assert_legible(part)
        else:
            assert not overlaps(part), part.title
            assert all(text.size >= BODY - 1e-9 for text in part.drawing.texts())


@pytest.mark.parametrize("kind", ["cut plate", "gauge stick", "gauge block", "tenon ring"])
def test_every_part_names_job_date_and_line(kind: str) -> None:
    """Design §7: name, job, its date and 'cut on the line'; a cutter arc is free of the job."""
    for part in parts_of((400, 180), kind, MM):
        for needed in ("cut on the line", "Invented blank", "2026-05-02"):
            assert needed in words(part), part.title


@pytest.mark.parametrize(
    "kind", ["setting card", "cut plate", "section sheet", "gauge stick", "tenon ring"]
)
def test_a_long_title_never_costs_the_date(kind: str) -> None:
    """A title that does not fit is cut short; the date stays."""
    plan = invented_plan()
    job = changed_job(plan.job, title="Invented very long title of a blank " * 4)
    for part in make_parts(dataclasses.replace(plan, job=job), kinds=(kind,), style=MM):
        assert "2026-05-02" in words(part), part.title
        assert not overlaps(part)


@pytest.mark.parametrize("units", [Units.IN, Units.BOTH])  # the longest figures
@pytest.mark.parametrize("name", [LONG, UNBROKEN])
def test_long_names_are_whole_and_stay_on_the_part(name: str, units: Units) -> None:
    """40 letters of a cutter or of jaws are all there, and run over nothing."""
    plan, style = renamed_plan(name), PrintStyle(units=units)
    cutters = {c.cutter.id for c in plan.cuts}
    jaws = {p.jaws.id for p in plan.bowls if p.jaws}
    for make in CUT_OUT:
        for part in make(plan, style=style):
            assert_legible(part)
            together = words(part).replace(" ", "")
            owned = jaws if make is tenon_ring.make else cutters
            if make is not gauge_block.make:  # a spacing is of no cutter and of no jaws
                assert any(o.replace(" ", "") in together for o in owned), part.title
    kinds = ["gauge stick", "setting card"]
    if (name, units) in [(LONG, Units.BOTH), (UNBROKEN, Units.IN)]:
        kinds.append("section sheet")  # slow to draw
    for part in make_parts(plan, kinds=kinds, style=style):
        assert not overlaps(part), part.key


@pytest.mark.parametrize("style", STYLES)
def test_tiny_parts_stay_legible(style: PrintStyle) -> None:
    """Cutters of 24 mm, jaws of 10 mm: the wording moves to a tab, the edges stay true."""
    for make in CUT_OUT:
        for part in make(tiny_plan(), style=style):
            assert_legible(part)
            if make is not cutter_arc.make:
                assert "2026-05-02" in words(part), part.title
            assert "cut on the line" in words(part), part.title


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
@settings(max_examples=5, deadline=None, derandomize=True)
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
    shop = make_shop(
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
        plan = make_plan(job, shop, with_suggestions=False)
    except InputError:
        assume(False)
    style = PrintStyle(units=units)
    for make in CUT_OUT:
        for part in make(plan, style=style):
            assert_legible(part)
    (sheet,) = section_sheet.make(plan, style=style)
    plain = [t for t in sheet.drawing.texts() if t.anchor is Anchor.MIDDLE and not t.bold]
    figures = [t for t in plain if not t.text.startswith("cut ")]  # beside a narrow kerf
    assert len(figures) == 3 * len(plan.cuts)  # least and greatest wall, floor
    drawn = shapely.STRtree(lines(sheet))
    for figure in figures:
        inside = box(figure).buffer(-0.1)
        assert len(drawn.query(inside, predicate="intersects")) == 0, figure.text
