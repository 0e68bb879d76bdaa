"""Gauge sticks, blocks, tenon rings and the setting card against shapely and plain figures."""

import dataclasses
import itertools
import math

import pytest
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from templategen.geometry.shapes import Arc
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import gauge_block, gauge_stick, setting_card, tenon_ring
from templategen.parts.cautions import CAUTIONS
from templategen.parts.drawing import BODY, Part, Path, Role
from templategen.units import Units

MAKERS = (gauge_stick.make, gauge_block.make, tenon_ring.make, setting_card.make)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The built-in demo plan; its figures are invented."""
    return make_plan(demo_job(), demo_shop(), with_mends=False)


def _ring(path: Path) -> list[tuple[float, float]]:
    points: list[tuple[float, float]] = []
    for s in path.segments:
        if isinstance(s, Arc):
            angles = [s.from_angle + s.sweep * n / 720 for n in range(721)]
            points += [
                (s.centre.x + s.radius * math.cos(a), s.centre.y + s.radius * math.sin(a))
                for a in angles
            ]
        else:
            points += [(s.start.x, s.start.y), (s.end.x, s.end.y)]
    return points


def _body(part: Part) -> BaseGeometry:
    """What is left of the sheet when the part is cut out, by shapely."""
    outlines = [Polygon(_ring(p)) for p in part.drawing.paths(Role.CUT)]
    outlines.sort(key=lambda o: -o.area)
    body: BaseGeometry = outlines[0]
    for hole in outlines[1:]:
        body = body.difference(hole)
    return body


@pytest.mark.parametrize("units", list(Units))
def test_wording_is_legible(plan: Plan, units: Units) -> None:
    """No text is under 9 pt, none lies on another, none falls off the piece that is cut out."""
    for make in MAKERS:
        for part in make(plan, units=units):
            texts = part.drawing.texts()
            assert min(t.size for t in texts) >= BODY - 1e-9
            boxes = [Polygon(t.corners()) for t in texts]
            for one, two in itertools.combinations(boxes, 2):
                assert one.intersection(two).area < 1e-6, part.key
            if part.drawing.paths(Role.CUT):
                body = _body(part)
                assert all(body.covers(box) for box in boxes), part.key


def test_stick_marks_are_where_they_say(plan: Plan) -> None:
    """Left edge: rim less entry radius, and relief; right edge: deepest from the jaws."""
    (stick,) = gauge_stick.make(plan, units=Units.MM)
    ticks = [p.bounds() for p in stick.drawing.paths(Role.MARK)]
    left = sorted(-b.top for b in ticks if b.left == 0 and b.height < 1e-9)
    right = sorted(-b.top for b in ticks if b.right == gauge_stick.WIDTH and b.height < 1e-9)
    rim = plan.pieces[0].rim_diameter / 2
    entries = [rim - c.entry_radius for c in plan.cuts]
    shifted = [rim - c.entry_radius + c.relief.shift for c in plan.cuts if c.relief]
    assert left == pytest.approx(sorted(entries + shifted), abs=1e-9)
    shoulder = plan.pieces[0].depth  # seats on the jaw face
    assert right == pytest.approx(sorted(shoulder - c.deepest for c in plan.cuts), abs=1e-9)


def test_blocks_add_up(plan: Plan) -> None:
    """Stacked, the step blocks span from the first cut to the last."""
    blocks = {p.key: _body(p).bounds for p in gauge_block.make(plan, units=Units.MM)}
    tall = {key: b[3] - b[1] for key, b in blocks.items()}
    first, last = plan.cuts[0], plan.cuts[-1]
    rim = sum(t for key, t in tall.items() if "-rim-" in key)
    deep = sum(t for key, t in tall.items() if "-depth-" in key)
    assert rim == pytest.approx(first.entry_radius - last.entry_radius, abs=1e-9)
    assert deep == pytest.approx(first.deepest - last.deepest, abs=1e-9)
    depths = {p.jaws.depth for p in plan.pieces if p.jaws}
    assert {round(t, 9) for key, t in tall.items() if "-jaws-" in key} == depths


def test_rings_fit_the_tenon(plan: Plan) -> None:
    """A tenon just under size passes the ring and the mouth; one just over does not.

    Source of the widest size: the chord g between the corners of neighbouring jaws, n of them
    moved out along their own radii, by plane trigonometry (common practice, no source).
    """
    jaws = {p.jaws.id: p.jaws for p in plan.pieces if p.jaws}
    for number, owned in enumerate(jaws.values(), start=1):
        # Two jaws moved out by t part by the chord 2 t sin(pi/n): t = g / (2 sin(pi/n)).
        half = owned.max_gap / (2 * math.sin(math.pi / owned.jaw_count))
        sizes = {"closed": owned.true_circle, "widest": owned.true_circle + 2 * half}
        for name, diameter in sizes.items():
            parts = {p.key: p for p in tenon_ring.make(plan, units=Units.MM)}
            for shape in ("full", "mouthed"):
                body = _body(parts[f"tenon-ring-{number}-{name}-{shape}"])
                assert body.intersection(Spot(0, 0).buffer(diameter / 2 - 0.02, 64)).area < 1e-6
                assert body.intersection(Spot(0, 0).buffer(diameter / 2 + 0.1, 64)).area > 1
                assert body.is_valid
            wide = diameter / 2 - 0.02
            gap = Polygon([(-wide, 0), (wide, 0), (wide, -diameter), (-wide, -diameter)])
            assert body.intersection(gap).area < 1e-6  # the mouth of the last one


def test_card_fits_and_says_it_all(plan: Plan) -> None:
    """On A4 and letter in one piece, with every cut, piece, finding and caution."""
    (card,) = setting_card.make(plan, units=Units.MM)
    box = card.drawing.bounds()
    assert box.width <= 176
    assert box.height <= 235
    assert not card.may_tile
    assert not card.may_turn
    words = " ".join(t.text for t in card.drawing.texts())
    assert f"{plan.shop.rules.max_coring_speed:.0f} rpm or slower" in words
    for text in (*CAUTIONS, *(f.text for f in plan.findings)):
        assert " ".join(text.split()) in words
    for piece in plan.pieces:
        assert piece.jaws is None or piece.jaws.id in words


def test_no_cuts_make_no_stick(plan: Plan) -> None:
    """A blank that is not cored needs no stick."""
    assert gauge_stick.make(dataclasses.replace(plan, cuts=()), units=Units.MM) == ()
