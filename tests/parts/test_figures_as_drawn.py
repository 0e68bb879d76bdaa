"""Figures are of what is drawn beside them, with the cutter in the centre and above it.

Every measure is taken from the drawing alone and compared with the figure that is read there.
"""

import functools
import math
import re
from collections.abc import Sequence

import pytest
from builders import changed_job, example_job, example_shop
from part_shapes import MM, arcs, body, words

from templategen.geometry.shapes import Line, Point
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import (
    blank_disc,
    cut_plate,
    cutter_arc,
    depth_stick,
    gauge_block,
    gauge_stick,
    height_stick,
    outside_template,
    section_sheet,
    setting_plate,
    standoff_block,
    stop_dial,
)
from templategen.parts.drawing import Anchor, Part, Path, Role, Text

PRINTED = 0.051  # mm: figures are printed to a tenth
BY_HEIGHT = pytest.mark.parametrize("height", [0.0, 5.0])
FIGURE = re.compile(r"\d+(?:\.\d+)?")


@functools.cache
def _plan(height: float) -> Plan:
    job = changed_job(example_job("lakeside-400.toml"), height_above_centre=height)
    return make_plan(job, example_shop("lakeside-400.toml"), with_suggestions=False)


def _arrows(part: Part) -> list[tuple[Point, Point]]:
    """The ends of each dimension: two heads follow one another, each starts at its tip."""
    heads = [p for p in part.drawing.paths(Role.NOTE) if p.fill == 0.0 and len(p.segments) == 3]
    tips = [head.segments[0].start for head in heads]
    return list(zip(tips[::2], tips[1::2], strict=True))


def _middle(ends: tuple[Point, Point]) -> Point:
    (x0, y0), (x1, y1) = ends
    return Point((x0 + x1) / 2, (y0 + y1) / 2)


def _ticks(part: Part, *, upright: bool) -> list[Path]:
    """Marks of one straight line across an edge of a stick."""
    marks = [p for p in part.drawing.paths(Role.MARK) if len(p.segments) == 1]
    lines = [(p, p.segments[0]) for p in marks if isinstance(p.segments[0], Line)]
    return [
        p
        for p, s in lines
        if abs((s.start.x if upright else s.start.y) - (s.end.x if upright else s.end.y)) < 1e-9
    ]


def _near(values: Sequence[float], figure: float) -> bool:
    return any(abs(value - figure) < PRINTED for value in values)


@BY_HEIGHT
def test_walls_and_floors_of_the_section(height: float) -> None:
    """Each arrow is as long as the figure nearest to it, and the plan's walls are all there."""
    plan = _plan(height)
    (part,) = section_sheet.make(plan, style=MM)
    texts = [t for t in part.drawing.texts() if t.anchor is Anchor.MIDDLE and not t.bold]
    arrows = _arrows(part)
    assert len(texts) == len(arrows) == 3 * len(plan.cuts)
    for text in texts:
        figure = float(FIGURE.findall(text.text)[-1])
        near = min(arrows, key=lambda ends: math.dist(_middle(ends), _middle_of_text(text)))
        assert math.dist(*near) == pytest.approx(figure, abs=PRINTED), text.text
    walls = [w for b in plan.bowls for w in (b.wall, b.wall_greatest, b.floor) if w is not None]
    assert sorted(walls) == pytest.approx(sorted(math.dist(*ends) for ends in arrows), abs=0.02)


def _middle_of_text(text: Text) -> Point:
    box = text.bounds()
    return Point((box.left + box.right) / 2, (box.bottom + box.top) / 2)


@BY_HEIGHT
def test_setting_plates(height: float) -> None:
    """The pivot's cross stands as far from the face and from the axis' mark as the words say."""
    for part in setting_plate.make(_plan(height), style=MM):
        found = re.search(
            r"pivot ([\d.]+) mm (towards the entry|past the axis), ([\d.]+) mm", words(part)
        )
        assert found is not None
        sign = 1.0 if found[2] == "towards the entry" else -1.0
        crosses = [
            (v.left, h.top)
            for h in (p.bounds() for p in _ticks(part, upright=False))
            for v in (p.bounds() for p in _ticks(part, upright=True))
            if abs((h.left + h.right) / 2 - v.left) < 1e-9
            and abs((v.bottom + v.top) / 2 - h.top) < 1e-9
        ]
        axis = next(
            b.left for b in (p.bounds() for p in _ticks(part, upright=True)) if b.bottom == 0
        )
        assert any(
            abs(x - axis - sign * float(found[1])) < PRINTED and abs(y - float(found[3])) < PRINTED
            for x, y in crosses
        )


@BY_HEIGHT
def test_gauge_stick_and_setting_plate_agree(height: float) -> None:
    """A mark of the stick and the notch of the plate, both from the rim, meet one place.

    The stick lies on a line through the axis, the plate h above it: r = hypot(x, h).
    """
    plan = _plan(height)
    (stick,) = gauge_stick.make(plan, style=MM)
    marks = [-p.bounds().top for p in _ticks(stick, upright=False)]
    rim = plan.bowls[0].rim_diameter / 2
    for label in stick.drawing.texts():
        found = re.fullmatch(r"(?:\d+: |\d+ relief |\d+ to \d+: )([\d.]+) mm", label.text)
        assert found is None or _near(marks, float(found[1])), label.text
    for cut, plate in zip(reversed(plan.cuts), setting_plate.make(plan, style=MM), strict=True):
        corners = [s.start for p in plate.drawing.paths(Role.CUT) for s in p.segments]
        level = [c for c in corners if abs(c.y) < 1e-6]
        notch = [c.x for c in corners if 0 < c.y <= 2 * setting_plate.NOTCH + 1e-6]
        entry = min(notch, key=lambda x: abs(x - cut.entry_radius))
        assert level
        assert any(abs(rim - math.hypot(entry, height) - mark) < PRINTED for mark in marks)


@BY_HEIGHT
def test_blocks_and_sticks(height: float) -> None:
    """Blocks are as high, marks as far and steps as tall as their wording says."""
    plan = _plan(height)
    for part in (*standoff_block.make(plan, style=MM), *gauge_block.make(plan, style=MM)):
        (ends,) = _arrows(part)
        title = words(part)
        figures = [float(f) for f in re.findall(r"([\d.]+) mm", title)]
        assert _near([math.dist(*ends)], figures[0]), title
    (depth,) = depth_stick.make(plan, style=MM)
    heights = [
        p.bounds().top for p in _ticks(depth, upright=False) if p.bounds().width == depth_stick.TICK
    ]
    for cut in plan.cuts:
        row = re.search(rf"{cut.number}: {cut.cutter.id}\D*([\d.]+) mm\D+([\d.]+) mm", words(depth))
        assert row is not None
        assert _near(heights, float(row[1]))
        assert _near(heights, float(row[2]))
    (tall,) = height_stick.make(plan, style=MM)
    _, _, _, top = body(tall).bounds
    centre = plan.shop.lathe.centre_height
    assert centre is not None
    assert f"{height:g} mm above centre" in words(tall)
    assert top == pytest.approx(centre + height)


@BY_HEIGHT
def test_the_outside_template(height: float) -> None:
    """Its curve starts half the stated rim from the axis and ends at the stated shoulder."""
    (part,) = outside_template.make(_plan(height), style=MM)
    found = re.search(r"rim Ø ([\d.]+) mm, shoulder ([\d.]+) mm", words(part))
    assert found is not None
    corners = [
        e for p in part.drawing.paths(Role.CUT) for s in p.segments for e in (s.start, s.end)
    ]
    assert _near([-c.y for c in corners], float(found[2]))
    beside_rim = [c.x for c in corners if abs(c.y) < 1e-6]  # the notch is cut about the rim
    assert _near([x + outside_template.NOTCH for x in beside_rim], float(found[1]) / 2)


@BY_HEIGHT
def test_trammel_strip_and_cutter_arcs(height: float) -> None:
    """A pencil's hole lies half of its stated diameter from the nail's; arcs have their radii."""
    plan = _plan(height)
    (strip,) = blank_disc.make(plan, style=MM)
    holes = [arc.centre for arc in arcs(strip) if arc.radius < 2]
    nail, *others = holes
    stated = [float(d) / 2 for d in re.findall(r"Ø ([\d.]+) mm", words(strip))]
    assert len(stated) == len(others)
    for radius in stated:
        assert _near([math.dist(nail, hole) for hole in others], radius)
    for part in cutter_arc.make(plan, style=MM):
        found = re.search(r"R ([\d.]+) mm kerf ([\d.]+) mm", words(part))
        assert found is not None
        radius, kerf = float(found[1]), float(found[2])
        assert _near([arc.radius for arc in arcs(part, Role.CUT)], radius)
        assert _near([arc.radius for arc in arcs(part, Role.MARK)], radius - kerf)


@BY_HEIGHT
def test_stop_dials(height: float) -> None:
    """The bold line stands as many degrees from the touch as the words say."""
    for part in stop_dial.make(_plan(height), style=MM):
        stated = re.search(r"STOP at ([\d.]+)°", words(part))
        assert stated is not None
        (bold,) = [p for p in part.drawing.paths(Role.MARK) if p.width == stop_dial.BOLD]
        x, y = bold.segments[0].start
        assert math.degrees(math.atan2(x, y)) == pytest.approx(float(stated[1]), abs=0.051)


@BY_HEIGHT
def test_cut_plates(height: float) -> None:
    """Entry and depth are those of the drawn edge; the depth scale's ticks lie at their figures."""
    for part in cut_plate.make(_plan(height), style=MM):
        found = re.search(
            r"entry ([\d.]+) mm from the axis in this plane, deepest ([\d.]+)", words(part)
        )
        assert found is not None
        edge = max(arcs(part, Role.CUT), key=lambda arc: arc.radius)
        assert _near([end.x for end in (edge.start, edge.end)], float(found[1]))
        assert _near([-edge.bounds().bottom], float(found[2]))
        ticks = [-p.bounds().top for p in _ticks(part, upright=False)]
        for text in part.drawing.texts():
            if re.fullmatch(r"\d+ mm", text.text) and text.at.x < 10:  # beside a tick
                assert _near(ticks, float(text.text[:-3]))
