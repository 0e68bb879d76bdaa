"""Stop dials dropped over the pin and swung (numbers by the circle of the tip alone)."""

import math
import re

import pytest
import shapely
from at_the_lathe import PLANS, UNKNOWN_POST, WITHIN, tip_at, working_order
from part_shapes import MM, STYLES, arcs, assert_legible, outline, sampled, words
from shapely import affinity
from shapely.geometry import Polygon

from templategen.geometry.shapes import Point
from templategen.messages import Wording
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts import cut_plate, setting_card, stop_dial
from templategen.parts.drawing import Part, Path, Role, Text
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.drying import density
from templategen.trade.wood import wood_of
from templategen.units import Units, format_length

G = 9.80665  # m/s², standard gravity (CGPM 1901, from memory)
HOLDER = math.radians(110.0)  # how far the mark on the holder trails the tip: any angle will do


def _named(part: Part) -> dict[str, tuple[float, Text]]:
    """Direction of each mark with a name, radians, and its wording, by its first words."""
    found = {}
    for item, following in zip(part.drawing.items, part.drawing.items[1:], strict=False):
        if isinstance(item, Path) and isinstance(following, Text) and len(item.segments) == 2:
            start = item.segments[0].start
            name = re.split(r" \d", following.text)[0]
            found[name] = (math.atan2(start.y, start.x), following)
    return found


def _tip(part: Part, cut: Cut, direction: float) -> float:
    """Direction of the tip below the face when the holder's mark stands at a mark of the dial.

    The dial is turned on the pin until its 0 meets the holder's mark with the tip on the face; seen
    from above the blade swings clockwise, so the tip is `HOLDER` ahead of the mark.
    """
    touch = math.asin(cut.pivot_standoff / cut.cutter.radius)
    zero, _ = _named(part)["touch"]
    turned = (-touch + HOLDER) - zero
    return -(direction + turned - HOLDER)


def _dials(plan: Plan, style: PrintStyle = MM) -> list[tuple[Cut, Part]]:
    return list(zip(working_order(plan), stop_dial.make(plan, style=style), strict=True))


@pytest.mark.parametrize("name", PLANS)
def test_swung_to_a_mark_the_tip_is_as_deep_as_it_says(name: str) -> None:
    """Every mark with a depth, named or every 10 degrees: the tip is there, to the millimetre."""
    for cut, part in _dials(PLANS[name]()):
        named = _named(part)
        zero, _ = named["touch"]
        directions = {text.text: direction for direction, text in named.values()}
        count = 0
        for text in part.drawing.texts():
            match = re.match(r"(?:(\d+)° · |[A-Za-z ]+ )(\d+(?:\.\d)?) mm$", text.text)
            if match is None:
                continue
            direction = directions.get(text.text)
            if direction is None:
                direction = zero - math.radians(float(match[1]))
            _, y = tip_at(cut, _tip(part, cut, direction))
            assert -y == pytest.approx(float(match[2]), abs=0.501)
            if match[1]:  # on the way: no deeper than where the turner stops
                last = cut.deepest if cut.stop_depth is None else cut.stop_depth
                assert float(match[2]) <= last + 1e-6
            count += 1
        assert count >= 3


@pytest.mark.parametrize("name", PLANS)
def test_the_lines_stand_every_five_degrees_from_the_touch(name: str) -> None:
    """Lines without a name stand at whole fives of the swing, long ones at whole tens."""
    for cut, part in _dials(PLANS[name]()):
        zero, _ = _named(part)["touch"]
        ticks = [p.segments[0] for p in part.drawing.paths(Role.MARK) if len(p.segments) == 1]
        ticks = [t for t in ticks if math.hypot(*t.start) > 50]
        for tick in ticks:
            swing = math.degrees(zero - math.atan2(tick.start.y, tick.start.x))
            assert swing / 5 == pytest.approx(round(swing / 5), abs=1e-6)
            is_long = math.dist(tick.start, tick.end) > 5
            assert is_long == (round(swing) % 10 == 0)
        assert len(ticks) >= math.degrees(cut.swing) / 5 - 5


@pytest.mark.parametrize("name", PLANS)
def test_the_stop_is_the_plan_s(name: str) -> None:
    """Swung to the stop, the tip is as deep and the neck as wide as the plan says."""
    for cut, part in _dials(PLANS[name]()):
        named = _named(part)
        assert ("STOP" in named) == (cut.stop_depth is not None)
        if cut.stop_depth is None or cut.stop_angle is None:
            continue
        angle = _tip(part, cut, named["STOP"][0])
        _, y = tip_at(cut, angle)
        assert -y == pytest.approx(cut.stop_depth, abs=WITHIN)
        assert cut.stop_neck == pytest.approx(_neck(cut, angle), abs=WITHIN)
        assert f"STOP at {math.degrees(cut.stop_angle):.1f}°" in words(part)


@pytest.mark.parametrize("name", PLANS)
def test_relief_and_through_are_where_the_wood_says(name: str) -> None:
    """At 'relief' the tip is at the relief's depth; at 'through' a corner of it is on the axis."""
    for cut, part in _dials(PLANS[name]()):
        named = _named(part)
        if cut.relief:
            _, y = tip_at(cut, _tip(part, cut, named["relief"][0]))
            assert -y == pytest.approx(cut.relief.depth, abs=WITHIN)
        angle = _tip(part, cut, named["through"][0])
        outer = cut.pivot_offset + cut.cutter.radius * math.cos(angle)
        inner = cut.pivot_offset + cut.cutter.inner_radius * math.cos(angle)
        assert min(outer, inner) == pytest.approx(0.0, abs=WITHIN)


@pytest.mark.parametrize("name", ["lakeside", "small", "inch", "outer first", "demo"])
def test_at_the_stop_the_neck_is_half_as_wide_again_as_one_that_breaks(name: str) -> None:
    """The neck at 'breaks off' bends at the wood's strength under the core: 32 M/(π d³) = σ.

    Bending of a round bar from any handbook of strength of materials; the core's volume and centre
    of mass by discs of shapely's section, its density by the wood's figures.
    """
    plan = PLANS[name]()
    wood = wood_of(plan.job)
    assert wood is not None
    assert wood.tension_perp_kpa is not None
    for cut, part in _dials(plan):
        named = _named(part)
        assert "STOP" in named
        limit = 1.5 * _breaking(plan, cut)
        stop = _neck(cut, _tip(part, cut, named["STOP"][0]))
        assert stop == pytest.approx(max(limit, 2 * cut.cutter_height), rel=0.01, abs=0.05)
        if "breaks off" in named:
            off = _neck(cut, _tip(part, cut, named["breaks off"][0]))
            assert stop == pytest.approx(1.5 * off, rel=1e-3)
            assert named["STOP"][0] > named["breaks off"][0] > named["through"][0]


def _neck(cut: Cut, angle: float) -> float:
    """Diameter of the wood that is left at a direction of the tip, mm."""
    nearest = min(
        cut.pivot_offset + radius * math.cos(angle)
        for radius in (cut.cutter.radius, cut.cutter.inner_radius)
    )
    return 2 * math.hypot(nearest, cut.cutter_height)


def _breaking(plan: Plan, cut: Cut) -> float:
    core = plan.bowls[cut.number]
    section = _section(plan, core)
    volume = moment = 0.0
    low, high = section.bounds[1], section.bounds[3]
    step = (high - low) / 2000
    for n in range(2000):
        z = low + (n + 0.5) * step
        chord = section.intersection(shapely.LineString([(0.0, z), (2000.0, z)]))
        for piece in getattr(chord, "geoms", [chord]):
            if piece.length:
                disc = math.pi * (piece.bounds[2] ** 2 - piece.bounds[0] ** 2) * step
                volume, moment = volume + disc, moment + disc * z
    wood = wood_of(plan.job)
    assert wood is not None
    assert wood.tension_perp_kpa is not None
    assert wood.specific_gravity is not None
    assert wood.green_moisture is not None
    heaviest = density(
        wood.specific_gravity, max(wood.green_moisture), volumetric_percent=wood.volumetric
    )
    arm = cut.deepest - moment / volume
    bending = volume / 1e9 * heaviest * G * arm  # N mm
    return math.cbrt(32 * bending / (math.pi * wood.tension_perp_kpa / 1000))


def _section(plan: Plan, core: Bowl) -> Polygon:
    """Half section of the core when it is cut: hollow inner first, solid outer first."""
    if plan.job.nest.order is Order.INNER_FIRST:
        return Polygon(core.outline)
    outside = core.outside
    return Polygon([(0.0, 0.0), *outside, (0.0, outside[-1][1])])


@pytest.mark.parametrize("name", PLANS)
def test_dropped_over_the_pin_the_scale_stands_clear_of_the_post(name: str) -> None:
    """The hole fits the pin at the dial's centre; rim and ticks lie beyond the post's body."""
    plan = PLANS[name]()
    pin, thick = plan.shop.post.pin, plan.shop.post.body
    assert pin is not None
    assert thick is not None
    for _, part in _dials(plan):
        hole = min(
            (Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda p: p.area
        )
        assert hole.centroid.distance(shapely.Point(0, 0)) < 1e-6
        assert hole.bounds[2] == pytest.approx(pin / 2, abs=1e-6)
        rim = max(arc.radius for arc in arcs(part, Role.CUT))
        assert rim >= thick / 2 + 25
        assert all(arc.centre == Point(0.0, 0.0) for arc in arcs(part, Role.CUT))


def test_a_dial_in_front_of_the_face_enters_no_wood() -> None:
    """With the holder's mark well behind the tip, the dial stays in front of the face all along."""
    for cut, part in _dials(PLANS["lakeside"]()):
        shape = max(
            (Polygon(sampled(p)) for p in part.drawing.paths(Role.CUT)), key=lambda p: p.area
        )
        zero, _ = _named(part)["touch"]
        touch = math.asin(cut.pivot_standoff / cut.cutter.radius)
        turned = affinity.rotate(shape, -touch + HOLDER - zero, origin=(0, 0), use_radians=True)
        assert turned.bounds[1] > -cut.pivot_standoff


def test_a_wood_without_figures_has_no_stop_and_says_so() -> None:
    """Nothing is made up where the strength of the wood is not known."""
    for _, part in _dials(PLANS["tiny"]()):
        assert "STOP" not in _named(part)
        assert "no STOP mark" in words(part)
        assert "through" in _named(part)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", [*PLANS, "unknown post", "unknown inch post"])
def test_every_dial_is_legible(name: str, style: PrintStyle) -> None:
    """Names and wording on the dial, none over another or over a line."""
    unknown = {"unknown post": "tiny", "unknown inch post": "inch"}
    plan = UNKNOWN_POST[unknown[name]]() if name in unknown else PLANS[name]()
    for cut, part in _dials(plan, style):
        assert_legible(part)
        assert f"cut {cut.number}: {cut.cutter.id}" in words(part)
        assert ("fits your pin" in words(part)) == (name in unknown)


@pytest.mark.parametrize("units", [Units.MM, Units.IN])
def test_a_dial_reads_as_the_cards_do(units: Units) -> None:
    """The depth and the angle at the stop are rounded on the dial as on the setting card."""
    plan = PLANS["inch" if units is Units.IN else "lakeside"]()
    style = PrintStyle(units=units)
    (card,) = setting_card.make(plan, style=style)
    for cut, part in _dials(plan, style):
        assert cut.stop_depth is not None
        assert f"STOP {format_length(cut.stop_depth, units)}" in words(part)
        (angle,) = re.findall(r"STOP at (\d+\.\d°)", words(part))
        assert angle in words(card)


def test_depths_on_the_way_are_coarse() -> None:
    """At every 10° an inch dial reads in sixteenths, as one swings."""
    for _, part in _dials(PLANS["inch"](), PrintStyle(units=Units.IN)):
        found = [int(d) for d in re.findall(r"° · (?:\d+ )?\d+/(\d+) in", words(part))]
        assert found
        assert max(found) <= 16


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_dial_lies_in_the_window_of_a_large_cut_plate(language: str) -> None:
    """Each dial of the 400 × 180 example has 4 mm round it in the window, in one quarter turn."""
    plan = PLANS["lakeside"]()
    style = PrintStyle(units=Units.MM, wording=Wording(language))
    window = sorted(_cut_out(cut_plate.make(plan, style=style)[0]), key=lambda o: o.area)[-2]
    for _, part in _dials(plan, style):
        dial = affinity.rotate(outline(part).buffer(4.0), -90, origin=(0, 0))
        left, _, _, top = dial.bounds
        corner = window.bounds[0] - left, window.bounds[3] - top
        assert any(
            window.contains(affinity.translate(dial, corner[0] + dx, corner[1] - dy))
            for dx in range(9)
            for dy in range(9)
        )


def _cut_out(part: Part) -> list[Polygon]:
    return [Polygon(sampled(path)) for path in part.drawing.paths(Role.CUT)]
