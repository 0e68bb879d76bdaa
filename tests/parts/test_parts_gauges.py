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
from templategen.nest.estimates import figures_of, force_text, mass_number, mass_text
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import (
    drying_sheet,
    gauge_block,
    gauge_stick,
    height_stick,
    setting_card,
    tag,
    tenon_profile,
    tenon_ring,
)
from templategen.parts.cautions import CAUTIONS
from templategen.parts.drawing import BODY, Part, Path, Role
from templategen.parts.style import PrintStyle
from templategen.trade.records import Lathe
from templategen.units import Units, format_length, printed_length

MAKERS = (
    gauge_stick.make,
    gauge_block.make,
    tenon_ring.make,
    setting_card.make,
    tenon_profile.make,
    height_stick.make,
    tag.make,
    drying_sheet.make,
)


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
        for part in make(plan, style=PrintStyle(units=units)):
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
    (stick,) = gauge_stick.make(plan, style=PrintStyle(units=Units.MM))
    ticks = [p.bounds() for p in stick.drawing.paths(Role.MARK)]
    left = sorted(-b.top for b in ticks if b.left == 0 and b.height < 1e-9)
    right = sorted(-b.top for b in ticks if b.right == gauge_stick.WIDTH and b.height < 1e-9)
    rim = plan.bowls[0].rim_diameter / 2
    entries = [rim - c.entry_radius for c in plan.cuts]
    shifted = [rim - c.entry_radius + c.relief.shift for c in plan.cuts if c.relief]
    assert left == pytest.approx(sorted(entries + shifted), abs=1e-9)
    shoulder = plan.bowls[0].depth  # seats on the jaw face
    assert right == pytest.approx(sorted(shoulder - c.deepest for c in plan.cuts), abs=1e-9)


def test_blocks_add_up(plan: Plan) -> None:
    """Stacked, the step blocks span from the first cut to the last."""
    blocks = {
        p.key: _body(p).bounds for p in gauge_block.make(plan, style=PrintStyle(units=Units.MM))
    }
    tall = {key: b[3] - b[1] for key, b in blocks.items()}
    first, last = plan.cuts[0], plan.cuts[-1]
    rim = sum(t for key, t in tall.items() if "-rim-" in key)
    deep = sum(t for key, t in tall.items() if "-depth-" in key)
    assert rim == pytest.approx(first.entry_radius - last.entry_radius, abs=1e-9)
    assert deep == pytest.approx(first.deepest - last.deepest, abs=1e-9)
    depths = {p.jaws.depth for p in plan.bowls if p.jaws}
    assert {round(t, 9) for key, t in tall.items() if "-jaws-" in key} == depths


def test_rings_fit_the_tenon(plan: Plan) -> None:
    """A tenon just under size passes the ring and the mouth; one just over does not.

    Source of the widest size: the chord g between the corners of neighbouring jaws, n of them
    moved out along their own radii, by plane trigonometry (common practice, no source).
    """
    jaws = {p.jaws.id: p.jaws for p in plan.bowls if p.jaws}
    for number, owned in enumerate(jaws.values(), start=1):
        # Two jaws moved out by t part by the chord 2 t sin(pi/n): t = g / (2 sin(pi/n)).
        half = owned.max_gap / (2 * math.sin(math.pi / owned.jaw_count))
        sizes = {"closed": owned.true_circle, "widest": owned.true_circle + 2 * half}
        for name, diameter in sizes.items():
            parts = {p.key: p for p in tenon_ring.make(plan, style=PrintStyle(units=Units.MM))}
            for shape in ("full", "mouthed"):
                body = _body(parts[f"tenon-ring-{number}-{name}-{shape}"])
                assert body.intersection(Spot(0, 0).buffer(diameter / 2 - 0.02, 64)).area < 1e-6
                assert body.intersection(Spot(0, 0).buffer(diameter / 2 + 0.1, 64)).area > 1
                assert body.is_valid
            wide = diameter / 2 - 0.02
            gap = Polygon([(-wide, 0), (wide, 0), (wide, -diameter), (-wide, -diameter)])
            assert body.intersection(gap).area < 1e-6  # the mouth of the last one


@pytest.mark.parametrize("units", list(Units))
def test_cards_fit_and_say_it_all(plan: Plan, units: Units) -> None:
    """On A4 and letter in one piece, with every cut, piece, finding and caution."""
    cards = setting_card.make(plan, style=PrintStyle(units=units))
    keys = [card.key for card in cards]
    assert keys[0] == "setting-card"
    assert set(keys) <= {"setting-card", "findings-card", "holding-card", "held-card"}
    assert "holding-card" in keys
    for card in cards:
        box = card.drawing.bounds()
        assert box.width <= 176
        assert box.height <= 235
        assert not card.may_tile
        assert not card.may_turn
    words = " ".join(t.text for card in cards for t in card.drawing.texts())
    assert f"{plan.shop.rules.max_coring_speed:.0f} rpm or slower" in words
    for text in (*CAUTIONS, *(f.text for f in plan.findings)):
        assert " ".join(text.split()) in words
    for piece in plan.bowls:
        assert piece.jaws is None or piece.jaws.id in words


def test_the_holding_card_carries_the_results(plan: Plan) -> None:
    """Each figure of wood, holding and driving stands on the card; all are called estimates."""
    words = " ".join(
        t.text
        for t in setting_card.make(plan, style=PrintStyle(units=Units.MM))[-1].drawing.texts()
    )
    figures = figures_of(plan)
    assert figures.mass is not None
    assert mass_text(figures.mass) in words
    for p in figures.bowls:
        assert p.dried is not None
        assert p.dried.wall_left is not None
        assert p.wet is not None
        assert p.break_force is not None
        for length in (p.dried.across, p.dried.along, p.dried.wall_left, p.thumb_wall):
            assert format_length(length, Units.MM) in words
        for shown in (mass_text(p.wet), force_text(p.break_force), f"{p.strength:.2f}"):
            assert shown in words
    for c in figures.cuts:
        assert c.tip_force is not None
        assert force_text(c.tip_force) in words
    assert "6000 to 9000" in words
    assert "estimates" in words
    assert "never ratings" in words
    bare = dataclasses.replace(
        plan,
        job=dataclasses.replace(plan.job, blank=dataclasses.replace(plan.job.blank, wood="")),
        shop=dataclasses.replace(plan.shop, lathe=Lathe()),
    )
    words = " ".join(
        t.text for t in setting_card.make(bare, style=PrintStyle(units=Units.MM))[1].drawing.texts()
    )
    assert "wood not named" in words
    assert "not known" in words
    assert "force at the tip" not in words


def _tenon(plan: Plan, number: int, *, longer: float = 0.0) -> BaseGeometry:
    """The wood beside and below a gauge: shoulder at y = 0 and the dovetail standing on it."""
    jaws = {p.jaws.id: (p.jaws, p.tenon_length) for p in plan.bowls if p.jaws}
    owned, long = list(jaws.values())[number - 1]
    flare = (long + longer) * math.tan(math.radians(owned.dovetail_angle))
    shoulder = Polygon([(-40, 0), (200, 0), (200, -20), (-40, -20)])
    top = long + longer
    return shoulder.union(Polygon([(-40, 0), (0, 0), (flare, top), (-40, top)]))


def test_profiles_meet_their_tenon(plan: Plan) -> None:
    """Laid on a true tenon the gauge touches all of it and cuts none; a longer one lifts it.

    The tenon is drawn here from its length and angle, and compared by shapely.
    """
    gauges = tenon_profile.make(plan, style=PrintStyle(units=Units.MM))
    assert len(gauges) == len({p.jaws.id for p in plan.bowls if p.jaws})
    for number, gauge in enumerate(gauges, start=1):
        body, wood = _body(gauge), _tenon(plan, number)
        assert body.intersection(wood).area < 1e-9
        seam = body.boundary.intersection(wood.buffer(1e-7)).length
        long = plan.bowls[0].tenon_length
        assert seam > long / math.cos(math.radians(10)) + tenon_profile.LIP
        assert body.intersection(_tenon(plan, number, longer=0.2)).area > 1
        marks = [p.bounds() for p in gauge.drawing.paths(Role.MARK)]
        depths = {p.jaws.depth for p in plan.bowls if p.jaws}
        assert max(m.top for m in marks) in depths
        assert max(m.top for m in marks) >= long + 1.5  # clear of the jaw bottom, common practice
        assert plan.job.tenon.shoulder in [m.left for m in marks]


def test_the_height_stick_has_its_two_steps(plan: Plan) -> None:
    """The invented lathe's 260 mm and the 5 mm above it (common practice), measured by shapely."""
    (stick,) = height_stick.make(plan, style=PrintStyle(units=Units.MM))
    body = _body(stick)
    for x, tall in ((height_stick.STEP / 2, 265.0), (height_stick.WIDTH - 2, 260.0)):
        column = body.intersection(Polygon([(x, -9), (x + 1, -9), (x + 1, 999), (x, 999)]))
        assert column.bounds[3] - column.bounds[1] == pytest.approx(tall)
    nest = dataclasses.replace(plan.job.nest, height_above_centre=0.0)
    level = dataclasses.replace(plan, job=dataclasses.replace(plan.job, nest=nest))
    (flat,) = height_stick.make(level, style=PrintStyle(units=Units.MM))
    assert _body(flat).bounds[3] == 260
    unknown = dataclasses.replace(plan, shop=dataclasses.replace(plan.shop, lathe=Lathe()))
    assert height_stick.make(unknown, style=PrintStyle(units=Units.MM)) == ()
    cutter = dataclasses.replace(plan.cuts[0].cutter, section=(9.0, 20.0))
    thin = dataclasses.replace(plan, cuts=(dataclasses.replace(plan.cuts[0], cutter=cutter),))
    (told,) = height_stick.make(thin, style=PrintStyle(units=Units.MM))
    assert "against droop" in " ".join(t.text for t in told.drawing.texts())


@pytest.mark.parametrize("units", list(Units))
def test_tags_and_sheets_carry_their_piece(plan: Plan, units: Units) -> None:
    """Identity, wood, date, wall, masses, finished size, the boxes to tick; two sheets a page."""
    tags, sheets = (
        tag.make(plan, style=PrintStyle(units=units)),
        drying_sheet.make(plan, style=PrintStyle(units=units)),
    )
    assert len(tags) == len(sheets) == len(plan.bowls)
    figures = figures_of(plan)
    for told, part, sheet in zip(figures.bowls, tags, sheets, strict=True):
        assert told.dried is not None
        assert told.target_mass is not None
        for made in (part, sheet):
            words = " ".join(t.text for t in made.drawing.texts())
            for text in (
                told.identity,
                plan.job.blank.wood,
                plan.job.date,
                "solid core" if told.wall is None else f"wall {printed_length(told.wall, units)}",
                mass_number(told.target_mass, units=units),
                printed_length(told.dried.circle, units),
                "end grain sealed: yes no",
                "never ratings",
            ):
                assert text in words, (made.key, text)
        assert part.drawing.bounds().width <= 87.1
        assert sheet.drawing.bounds().width <= 174.1
        assert 2 * sheet.drawing.bounds().height + 4 <= 236.4  # two on letter, ANSI/ASME Y14.1


def test_tags_without_figures_leave_room(plan: Plan) -> None:
    """No wood, no date: blanks to fill in, nothing invented."""
    blank = dataclasses.replace(plan.job.blank, wood="")
    bare = dataclasses.replace(plan, job=dataclasses.replace(plan.job, blank=blank, date=""))
    for part in (
        *tag.make(bare, style=PrintStyle(units=Units.MM)),
        *drying_sheet.make(bare, style=PrintStyle(units=Units.MM)),
    ):
        words = " ".join(t.text for t in part.drawing.texts())
        assert "wood: ____" in words
        assert "turned green on: ____" in words
        assert "weigh it" in words
        assert "weigh until it holds still" in words
        assert "kg" not in words
        boxes = [Polygon(t.corners()) for t in part.drawing.texts()]
        for one, two in itertools.combinations(boxes, 2):
            assert one.intersection(two).area < 1e-6, part.key


def test_no_cuts_make_no_stick(plan: Plan) -> None:
    """A blank that is not cored needs no stick."""
    assert (
        gauge_stick.make(dataclasses.replace(plan, cuts=()), style=PrintStyle(units=Units.MM)) == ()
    )


@pytest.fixture(scope="module")
def outer_first() -> Plan:
    """The demo with its cuts outer first."""
    job = demo_job()
    nest = dataclasses.replace(job.nest, order="outer-first")
    return make_plan(dataclasses.replace(job, nest=nest), demo_shop(), with_mends=False)


def test_outer_first_measures_from_the_piece_that_is_held(outer_first: Plan) -> None:
    """A stick for each cut, from the own rim and the own jaw face; blocks alike.

    The rim of the blank has gone with its bowl when the second cut is set: plain geometry.
    """
    plan = outer_first
    sticks = gauge_stick.make(plan, style=PrintStyle(units=Units.MM))
    blocks = {
        p.key: _body(p).bounds for p in gauge_block.make(plan, style=PrintStyle(units=Units.MM))
    }
    assert len(sticks) == len({s.key for s in sticks}) == len(plan.cuts) > 1
    for stick, cut, held in zip(sticks, plan.cuts, plan.bowls, strict=False):
        ticks = [p.bounds() for p in stick.drawing.paths(Role.MARK)]
        left = sorted(-b.top for b in ticks if b.left == 0 and b.height < 1e-9)
        right = [-b.top for b in ticks if b.right == gauge_stick.WIDTH and b.height < 1e-9]
        assert left[0] == pytest.approx(cut.entry_from_rim, abs=1e-9)
        assert right == pytest.approx([held.depth - cut.deepest], abs=1e-9)
        words = " ".join(t.text for t in stick.drawing.texts())
        assert held.jaws is not None
        assert held.number == 0 or f"rim of piece {held.number}" in words
        assert held.number == 0 or f"jaws {held.jaws.id}" in words
        rim, deep = (blocks[f"gauge-block-{name}-{cut.number}"] for name in ("rim", "depth"))
        assert rim[3] - rim[1] == pytest.approx(cut.entry_from_rim, abs=1e-9)
        assert deep[3] - deep[1] == pytest.approx(held.depth - cut.deepest, abs=1e-9)
    test_wording_is_legible(plan, Units.BOTH)
