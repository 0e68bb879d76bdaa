"""Setting plates laid against the wood: shapely pushes them home and drops the pin in."""

import math

import pytest
import shapely
from at_the_lathe import (
    PLANS,
    UNKNOWN_POST,
    WITHIN,
    held_radius,
    pin_places,
    pushed_home,
    shares,
    wood_before,
    working_order,
)
from part_shapes import MM, STYLES, arcs, assert_legible, body, outline, sampled, words
from shapely import affinity
from shapely.geometry import Polygon

from templategen.nest.plan import Cut
from templategen.parts import setting_plate
from templategen.parts.drawing import Part, Role
from templategen.parts.style import PrintStyle

BY_PLAN = pytest.mark.parametrize("name", PLANS)


def _slot(part: Part) -> Polygon | None:
    """The closed hole for the pin, or None where the slot opens to the face."""
    holes = sorted(
        (Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda p: p.area
    )
    return holes[0] if len(holes) == 2 else None


def _pivots(cut: Cut) -> list[tuple[float, float]]:
    """The pivot of the cut and that of its relief cut."""
    shift = cut.relief.shift if cut.relief else 0.0
    return [(cut.pivot_offset - s, cut.pivot_standoff) for s in dict.fromkeys((0.0, shift))]


@BY_PLAN
def test_hooked_on_the_rim_the_pin_finds_both_pivots(name: str) -> None:
    """Edge on the face, hook on the rim: the slot's ends hold the pin at p and at p - s, z = -q."""
    plan = PLANS[name]()
    pin = plan.shop.post.pin
    assert pin is not None
    plates = setting_plate.make(plan, style=MM)
    assert len(plates) == len(plan.cuts)
    for cut, part in zip(working_order(plan), plates, strict=True):
        dx, dy = pushed_home(body(part), wood_before(plan, cut))
        assert abs(dx) < WITHIN
        assert abs(dy) < WITHIN
        slot = _slot(part)
        if slot is None:  # open to the face: the pin is pushed away from the face, to each side
            free = affinity.translate(outline(part), dx, dy)
            for x, y in _pivots(cut):
                held = Polygon(_circle(x, y, pin / 2 - 0.01))
                assert not held.intersects(free)
                assert Polygon(_circle(x, y + 2 * WITHIN, pin / 2)).intersects(free)
            continue
        places = affinity.translate(pin_places(slot, pin), dx, dy)
        left, bottom, right, top = places.bounds
        pivots = _pivots(cut)
        assert right == pytest.approx(max(x for x, _ in pivots), abs=WITHIN)
        assert left == pytest.approx(min(x for x, _ in pivots), abs=WITHIN)
        assert bottom == pytest.approx(cut.pivot_standoff, abs=WITHIN)
        assert top == pytest.approx(cut.pivot_standoff, abs=WITHIN)


def _circle(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    steps = [2 * math.pi * n / 2000 for n in range(2000)]
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in steps]


@BY_PLAN
def test_with_the_pin_there_the_tip_meets_the_face_at_the_notch(name: str) -> None:
    """The notch's point is where the tip touches: R from the pivot, and on the entry's radius."""
    plan = PLANS[name]()
    for cut, part in zip(working_order(plan), setting_plate.make(plan, style=MM), strict=True):
        corners = outline(part).exterior.coords
        x_entry = math.sqrt(cut.entry_radius**2 - cut.cutter_height**2)
        apex = min(corners, key=lambda c: math.hypot(c[0] - x_entry, c[1] - 3.0))
        assert apex[0] == pytest.approx(x_entry, abs=1e-3)
        assert apex[1] > 0
        pivot = (cut.pivot_offset, cut.pivot_standoff)
        assert math.dist(pivot, (apex[0], 0.0)) == pytest.approx(cut.cutter.radius, abs=1e-3)


@BY_PLAN
def test_the_plate_lies_in_front_of_the_face_but_for_its_hook(name: str) -> None:
    """Nothing of the plate enters the wood, and only the hook reaches behind the face."""
    plan = PLANS[name]()
    for cut, part in zip(working_order(plan), setting_plate.make(plan, style=MM), strict=True):
        shape = body(part)
        assert shape.geom_type == "Polygon", part.key  # one piece
        assert not shares(shape, wood_before(plan, cut))
        behind = shape.intersection(shapely.box(-2e3, -2e3, 2e3, -1e-3))
        rim = math.sqrt(held_radius(plan, cut) ** 2 - cut.cutter_height**2)
        assert behind.bounds[0] == pytest.approx(rim, abs=WITHIN)
        assert behind.bounds[1] <= -7.9


@pytest.mark.parametrize("name", UNKNOWN_POST)
def test_without_a_pin_the_crosses_and_lines_stand_at_the_pivots(name: str) -> None:
    """No hole is cut; every line to choose from is centred on the pivots and clear of the face."""
    plan = UNKNOWN_POST[name]()
    for cut, part in zip(
        working_order(plan),
        setting_plate.make(plan, style=PrintStyle(units=plan.job.units)),
        strict=True,
    ):
        assert len(part.drawing.paths(Role.CUT)) == 1
        found = {(round(a.centre.x, 6), round(a.centre.y, 6)) for a in arcs(part, Role.MARK)}
        assert found == {(round(x, 6), round(y, 6)) for x, y in _pivots(cut)}
        for arc in arcs(part, Role.MARK):
            assert arc.centre.y - arc.radius > 3.9
        assert "fits your pin" in words(part)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", [*PLANS, "unknown post"])
def test_every_plate_is_legible(name: str, style: PrintStyle) -> None:
    """Wording on the plate, over no line; it says which cut, which bowls and which height."""
    plan = UNKNOWN_POST["tiny"]() if name == "unknown post" else PLANS[name]()
    for cut, part in zip(working_order(plan), setting_plate.make(plan, style=style), strict=True):
        assert_legible(part)
        for needed in (
            f"cut {cut.number}: {cut.cutter.id}",
            f"between bowl {cut.number} and",
            "above centre",
            "rim",
            "face",
            "2026",
        ):
            assert needed in words(part), (part.key, needed)
