"""Gauge blocks: spacings measured by shapely, plies by scipy's mixed-integer solver."""

import dataclasses

import numpy as np
import pytest
from builders import changed_job, demo_plan
from part_shapes import MM, STYLES, assert_legible, body, words
from scipy import optimize  # type: ignore[import-untyped]
from shapely.geometry import LineString

from templategen.nest.plan import Plan
from templategen.parts import gauge_block
from templategen.parts.drawing import Role
from templategen.parts.style import PrintStyle
from templategen.units import Units


def _heights(plan: Plan) -> dict[str, float]:
    """Height of each block by its key, mm."""
    bounds = {p.key: body(p).bounds for p in gauge_block.make(plan, style=MM)}
    return {key: top - bottom for key, (_, bottom, _, top) in bounds.items()}


def test_blocks_add_up() -> None:
    """Stacked, the step blocks span from the first cut to the last."""
    plan = demo_plan()
    tall = _heights(plan)
    first, last = plan.cuts[0], plan.cuts[-1]
    rim = sum(t for key, t in tall.items() if "-rim-" in key)
    deep = sum(t for key, t in tall.items() if "-depth-" in key)
    assert rim == pytest.approx(first.entry_radius - last.entry_radius, abs=1e-9)
    assert deep == pytest.approx(first.deepest - last.deepest, abs=1e-9)
    depths = {p.jaws.depth for p in plan.bowls if p.jaws}
    assert {round(t, 9) for key, t in tall.items() if "-jaws-" in key} == depths


def test_outer_first_blocks_measure_within_the_bowl_that_is_held(outer_first: Plan) -> None:
    """Own rim to mark, and jaw face to deepest: plain geometry."""
    tall = _heights(outer_first)
    for cut, held in zip(outer_first.cuts, outer_first.bowls, strict=False):
        rim, deep = (tall[f"gauge-block-{name}-{cut.number}"] for name in ("rim", "depth"))
        assert rim == pytest.approx(cut.entry_from_rim, abs=1e-9)
        assert deep == pytest.approx(held.depth - cut.deepest, abs=1e-9)


@pytest.mark.parametrize("size", [0.5, 1.0, 2.0, 3.9, 5.0, 9.0, 12.0, 15.0, 16.0, 40.0])
@pytest.mark.parametrize("style", STYLES)
def test_blocks_of_any_thickness(size: float, style: PrintStyle) -> None:
    """The gauging edges are as far apart as they say; the wording never runs over a line."""
    plan = demo_plan()
    jaws = dataclasses.replace(plan.bowls[0].jaws, depth=size)  # type: ignore[type-var]
    shape = dataclasses.replace(plan.bowls[0].shape, jaws=jaws)
    bowls = (dataclasses.replace(plan.bowls[0], shape=shape),)
    (part,) = gauge_block.make(dataclasses.replace(plan, bowls=bowls, cuts=()), style=style)
    assert_legible(part)
    across = body(part).intersection(LineString([(10.0, -100.0), (10.0, 100.0)]))
    assert across.length == pytest.approx(size, abs=1e-9)
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


def _wording(stock: tuple[float, ...] | None, style: PrintStyle) -> list[str]:
    """What each block says where the job has a stock of its own."""
    plan = demo_plan()
    if stock:
        plan = dataclasses.replace(plan, job=changed_job(plan.job, stock=stock))
    return [words(part) for part in gauge_block.make(plan, style=style)]


def test_blocks_name_the_plies_in_use() -> None:
    """The job's own stock, and what is left over, stand on every block."""
    for text in _wording((4.0, 10.0), MM):
        assert "plies" in text
        assert "rest" in text
        assert "× 10 mm" in text or "× 4 mm" in text
        assert "18 mm" not in text


def test_plies_keep_the_name_they_are_sold_under() -> None:
    """Millimetre plies on an inch print stay millimetres, so that the figures add up."""
    inches = PrintStyle(units=Units.IN)
    assert "× 18 mm" in " ".join(_wording(None, inches))
    assert "× 1/2 in" in " ".join(_wording((25.4 / 8, 25.4 / 2), inches))
