"""Tenon rings: the jaws' closed and widest tenons are pushed into them, by shapely."""

import math

import pytest
import shapely
from builders import changed_shop, demo_plan, make_jaws, make_shop, tiny_plan
from part_shapes import MM, STYLES, arcs, assert_legible, body, words
from shapely.affinity import translate
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from templategen.nest.plan import Plan
from templategen.parts import tenon_ring
from templategen.parts.drawing import Role
from templategen.parts.labels import shop_label
from templategen.parts.style import PrintStyle
from templategen.parts.tenon_ring import TenonSizes, sizes_used
from templategen.trade.choices import MeasuredAt
from templategen.trade.records import Jaws

AIR = 0.02  # mm


def _end_faces(jaws: Jaws, length: float) -> tuple[float, float]:
    """Closed and widest end face of a tenon, by plane trigonometry (common practice, no source).

    The neck is what the jaws measure at their mouth; the flank spreads by L tan α on either
    side. Two jaws moved out by t part by the chord 2 t sin(π/n), so t = g / (2 sin(π/n)).
    """
    spread = 2 * length * math.tan(math.radians(jaws.dovetail_angle))
    end = jaws.true_circle + (spread if jaws.measured_at is MeasuredAt.MOUTH else 0.0)
    return end, end + 2 * (jaws.max_gap / (2 * math.sin(math.pi / jaws.jaw_count)))


def _pushed(diameter: float, y: float) -> BaseGeometry:
    """A tenon's end face with its middle on the line of the lips, at a height in the ring."""
    return translate(Point(0, 0).buffer(diameter / 2, quad_segs=128), 0.0, y)


@pytest.mark.parametrize("plan", [demo_plan(), tiny_plan()])
def test_widest_goes_between_the_lips_and_stops_closed_seats(plan: Plan) -> None:
    """Widest: past the lips to the step, not into the round. Closed: seats without light.

    One just over the widest does not pass the lips.
    """
    parts = tenon_ring.make(plan, style=MM)
    sizes = sizes_used(plan)
    assert len(parts) == len(sizes) == len({b.jaws.id for b in plan.bowls if b.jaws})
    for part, one in zip(parts, sizes, strict=True):
        closed, widest = _end_faces(one.jaws, one.length)
        ring = body(part)
        low = ring.bounds[1]
        assert ring.intersection(_pushed(closed - 2 * AIR, 0.0)).area < 1e-6
        assert ring.intersection(_pushed(closed + 2 * AIR, 0.0)).area > 1e-3
        for step in range(20):  # on its way in, as far as the step at -3 mm
            y = low - widest / 2 + step * 0.5
            if y + widest / 2 - AIR < -3.0:
                assert ring.intersection(_pushed(widest - 2 * AIR, y)).area < 1e-6
        assert ring.intersection(_pushed(widest - 2 * AIR, 0.0)).area > 1.0
        lips = [x for x, y in ring.exterior.coords if abs(y - low) < 1e-9]
        gap = min(x for x in lips if x > 0) - max(x for x in lips if x < 0)
        assert gap == pytest.approx(widest, abs=1e-9)


def _shouldered(length: float, neck: float, top: float, flank: float) -> BaseGeometry:
    """A tenon left of its neck below the shoulder at y = `top`; `flank` is the tangent."""
    out, end = neck - 40.0, top - length
    tenon = Polygon([(out, top), (neck, top), (neck + length * flank, end), (out, end)])
    return tenon.union(shapely.box(out, top, out + 400.0, top + 20.0))


@pytest.mark.parametrize("plan", [demo_plan(), tiny_plan()])
def test_the_notch_meets_its_tenon(plan: Plan) -> None:
    """Laid on a true tenon it touches shoulder, flank and end face; a longer tenon lifts it.

    The wood is drawn from neck, length and dovetail angle by plane trigonometry.
    """
    for part, one in zip(tenon_ring.make(plan, style=MM), sizes_used(plan), strict=True):
        ring, flank = body(part), math.tan(math.radians(one.jaws.dovetail_angle))
        top = ring.bounds[3]
        neck = min(x for x, y in ring.exterior.coords if y == top)

        true = _shouldered(one.length, neck, top, flank)
        assert ring.intersection(true).area < 1e-6
        seam = ring.boundary.intersection(true.buffer(1e-7)).length
        assert seam > one.length + tenon_ring.LIP + plan.job.tenon.shoulder
        assert ring.intersection(_shouldered(one.length + 0.2, neck, top, flank)).area > 1
        (tick,) = part.drawing.paths(Role.MARK)
        assert tick.segments[0].start == pytest.approx((neck + plan.job.tenon.shoulder, top))


def test_full_circles_pass_a_tenon_of_their_size() -> None:
    """On request: a tenon just under size passes each plate, one just over does not."""
    plan = demo_plan()
    parts = tenon_ring.make_full(plan, style=MM)
    ends = [size for one in sizes_used(plan) for size in _end_faces(one.jaws, one.length)]
    for part, size in zip(parts, ends, strict=True):
        plate = body(part)
        assert plate.intersection(_pushed(size - 2 * AIR, 0.0)).area < 1e-6
        assert plate.intersection(_pushed(size + 2 * AIR, 0.0)).area > 1e-3
        assert_legible(part)


def test_the_shop_set_has_a_ring_for_each_set_of_jaws() -> None:
    """Round as the closed jaws hold it, for jaws measured at the mouth or at the bottom."""
    jaws = (*make_jaws(50, 130), *make_jaws(90, measured_at=MeasuredAt.BOTTOM))
    shop = changed_shop(make_shop(), jaws=jaws)
    label = shop_label(shop, "2026-05-02", MM)
    parts = tenon_ring.make_for_shop(shop, label=label, style=MM)
    assert len(parts) == 3
    for part, owned in zip(parts, jaws, strict=True):
        length = shop.rules.tenon_of(shop.units).length
        closed, _ = _end_faces(owned, length)
        round_ = min(arcs(part, Role.CUT), key=lambda arc: arc.radius)
        assert 2 * round_.radius == pytest.approx(closed, abs=1e-9)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("size", [12.0, 35.0, 60.0, 130.0, 240.0])
def test_no_word_stands_alone_where_it_need_not(size: float, style: PrintStyle) -> None:
    """Every row of a ring of any size is legible and has two words at least."""
    (jaws,) = make_jaws(size)
    shop = make_shop(jaws=(jaws,))
    (part,) = tenon_ring.make_for_shop(shop, label=shop_label(shop, "", style), style=style)
    assert_legible(part)
    beside = {"Go", "Stop"}
    assert all(" " in t.text for t in part.drawing.texts() if t.text not in beside)
    assert "cut on the line" in words(part)


def test_sizes_are_of_the_end_face() -> None:
    """10° over 9 mm: the end face is 3.17 mm wider than the neck (2 × 9 × tan 10°)."""
    (jaws,) = make_jaws(100, dovetail_angle=10.0)
    assert TenonSizes(jaws, 9.0).closed == pytest.approx(103.174, abs=0.001)
