"""Gauge blocks: spacings measured by shapely, plies by scipy's mixed-integer solver."""

import dataclasses
import re

import numpy as np
import pytest
from builders import changed_job, demo_plan, make_jaws, make_shop
from part_shapes import MM, STYLES, assert_legible, body, words
from scipy import optimize  # type: ignore[import-untyped]
from shapely.geometry import LineString

from templategen.nest.plan import Plan
from templategen.parts import gauge_block
from templategen.parts.drawing import Part, Role
from templategen.parts.labels import shop_label
from templategen.parts.style import PrintStyle
from templategen.units import Units


def _height(part: Part) -> float:
    """Between the gauging faces of a block, near its end, mm."""
    return float(body(part).intersection(LineString([(10.0, -300.0), (10.0, 300.0)])).length)


def _heights(plan: Plan) -> dict[str, float]:
    """Height of each block by its key, mm."""
    return {p.key: _height(p) for p in gauge_block.make(plan, style=MM)}


def test_blocks_add_up() -> None:
    """Laid end to end on the face, they reach from the first entry mark to the last."""
    plan = demo_plan()
    tall = _heights(plan)
    span = plan.cuts[0].entry_radius - plan.cuts[-1].entry_radius
    assert sum(tall.values()) == pytest.approx(span, abs=1e-9)


def test_outer_first_blocks_measure_within_the_bowl_that_is_held(outer_first: Plan) -> None:
    """From the rim of the held bowl to the mark of its cut: plain geometry."""
    tall = _heights(outer_first)
    for cut, held in zip(outer_first.cuts, outer_first.bowls, strict=False):
        wanted = held.rim_diameter / 2 - cut.entry_radius
        assert tall[f"gauge-block-rim-{cut.number}"] == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("size", [0.5, 1.0, 2.0, 3.9, 5.0, 9.0, 12.0, 15.0, 16.0, 40.0])
@pytest.mark.parametrize("style", STYLES)
def test_blocks_of_any_thickness(size: float, style: PrintStyle) -> None:
    """The gauging edges are as far apart as they say; the wording never runs over a line."""
    shop = make_shop(jaws=make_jaws(100, depth=size))
    (part,) = gauge_block.make_for_shop(shop, label=shop_label(shop, "", style), style=style)
    assert_legible(part)
    assert _height(part) == pytest.approx(size, abs=1e-9)
    (outline,) = part.drawing.paths(Role.CUT)
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
def test_no_stack_is_nearer(size: float, stock: tuple[float, ...]) -> None:
    """Scipy's mixed-integer solver, a general library, finds none nearer, over or under.

    It minimises d with -d <= total - size <= d over whole counts, at least one ply.
    """
    stack = gauge_block.nearest_stack(size, stock)
    tall = sum(count * ply for count, ply in stack.plies)
    assert tall - stack.over == pytest.approx(size, abs=1e-9)
    count = len(stock)
    rows = np.array([[*stock, -1.0], [*(-p for p in stock), -1.0], [*([-1.0] * count), 0.0]])
    limits = optimize.LinearConstraint(rows, -np.inf, [size, -size, -1.0])
    whole = np.array([*([1] * count), 0])
    goal = np.array([*([0.0] * count), 1.0])
    best = optimize.milp(goal, constraints=limits, integrality=whole)
    assert abs(stack.over) == pytest.approx(best.fun, abs=0.006)


def _wording(stock: tuple[float, ...], style: PrintStyle) -> list[str]:
    """What each block of spacings of 36, 51.5 and 40 mm says with a stock of the job's own."""
    plan = demo_plan()
    plan = dataclasses.replace(plan, job=changed_job(plan.job, stock=stock))
    return [words(part) for part in gauge_block.make(plan, style=style)]


def test_blocks_say_how_they_are_made() -> None:
    """Either one copy cut flat to the line, or a stack with the count of its plies.

    And what lies between their faces, held flat on the face.
    """
    for text in (*_wording((18.0,), MM), *_wording((0.5, 10.0), MM)):
        assert "between the entry marks of cuts" in text
        assert "on the face" in text
        stacked = re.search(r"stack \d+ pl(y|ies): ", text)
        assert ("one copy, cut on the line" in text) != bool(stacked)
        assert "× 6 mm" not in text
    assert any(re.search(r"stack \d+ plies: ", text) for text in _wording((0.5, 10.0), MM))


def test_plies_keep_the_name_they_are_sold_under() -> None:
    """Millimetre plies on an inch print stay millimetres, so that the figures add up."""
    inches = PrintStyle(units=Units.IN)
    assert " mm" in " ".join(_wording((0.5, 18.0), inches))
    assert "× 1/64 in" in " ".join(_wording((25.4 / 64, 25.4 / 2), inches))
