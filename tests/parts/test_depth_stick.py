"""The depth stick put into the hollow and against the jaws (shapely)."""

import dataclasses
import math
from functools import partial

import pytest
import shapely
from at_the_lathe import PLANS, WITHIN, jaw_face, shares, slid, wood_after, working_order
from builders import laid_pack, make_cutters, make_jaws, make_job, make_shop
from part_shapes import MM, STYLES, assert_legible, body, words
from shapely import affinity

from templategen.nest.plan import Cut
from templategen.nest.planner import make_plan
from templategen.parts import depth_stick
from templategen.parts.depth_stick import FOOT, WIDTH
from templategen.parts.drawing import Part, Role, Text
from templategen.parts.style import PrintStyle

RIDES = 0.15  # mm: how far a foot of 4 mm stands above the deepest point of a small hollow


def _marks(part: Part, *, left: bool) -> dict[int, float]:
    """Height of each cut's mark on an edge: a tick, then the number in bold."""
    found: dict[int, float] = {}
    edge = 0.0
    for item in part.drawing.items:
        if isinstance(item, Text):
            if item.bold and item.text.isdigit() and (item.at.x < WIDTH / 2) == left:
                found.setdefault(int(item.text), edge)
        elif item.role is Role.MARK and item.segments[0].start.y == item.segments[0].end.y:
            edge = item.segments[0].start.y
    return found


@pytest.mark.parametrize("name", PLANS)
def test_in_the_hollow_the_mark_meets_a_straightedge(name: str) -> None:
    """Slid down until its foot stands on the wood, the cut's mark is level with the face."""
    plan = PLANS[name]()
    (part,) = depth_stick.make(plan, style=MM)
    marks = _marks(part, left=True)
    assert set(marks) == {cut.number for cut in plan.cuts}
    for cut in plan.cuts:
        assert marks[cut.number] == pytest.approx(_deepest(cut), abs=WITHIN)
        across = max(cut.pivot_offset, 0.0) - WIDTH + FOOT / 2
        stick = affinity.translate(body(part), across, -marks[cut.number])
        wood = wood_after(plan, cut)
        off = slid(partial(shares, stick, wood, 0.0), start=5.0)
        assert -WITHIN < off < RIDES + _slope(cut)


def _deepest(cut: Cut) -> float:
    """The deepest point of the tip's circle right of the axis, by stepping along it."""
    p, q, radius = cut.pivot_offset, cut.pivot_standoff, cut.cutter.radius
    angles = [math.pi * n / 20_000 for n in range(20_001)]
    return max(radius * math.sin(a) - q for a in angles if p + radius * math.cos(a) >= 0)


def _slope(cut: Cut) -> float:
    """How far a foot that straddles the axis stands above a point (p < 0), mm."""
    return max(0.0, -cut.pivot_offset / cut.cutter.radius * FOOT / 2)


@pytest.mark.parametrize("name", PLANS)
def test_beside_the_blank_the_mark_is_level_with_the_deepest_point(name: str) -> None:
    """With its foot on the face of the jaws, the mark lies as deep below the face as the cut."""
    plan = PLANS[name]()
    (part,) = depth_stick.make(plan, style=MM)
    marks = _marks(part, left=False)
    for cut in plan.cuts:
        foot = -jaw_face(plan, cut)
        assert foot + marks[cut.number] == pytest.approx(-_deepest(cut), abs=WITHIN)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", PLANS)
def test_the_stick_is_legible_and_names_every_cut(name: str, style: PrintStyle) -> None:
    """Wording on the stick, over no line but those of its table; each cut with its cutter."""
    plan = PLANS[name]()
    (part,) = depth_stick.make(plan, style=style)
    assert_legible(part)
    for cut in working_order(plan):
        assert f"{cut.number}: {cut.cutter.id}" in words(part)


def test_the_right_edge_is_straight_from_foot_to_head() -> None:
    """It lies along the blank's outside: nothing stands out beyond it."""
    (part,) = depth_stick.make(PLANS["lakeside"](), style=MM)
    shape = body(part)
    edge = shapely.LineString([(WIDTH, 0.0), (WIDTH, shape.bounds[3])])
    assert shape.boundary.intersection(edge).length == pytest.approx(edge.length)
    assert shape.bounds[2] == WIDTH


def test_no_stick_without_a_cut() -> None:
    """A plan without cuts has no depths to read."""
    plan = dataclasses.replace(PLANS["lakeside"](), cuts=(), sequence=())
    assert depth_stick.make(plan, style=MM) == ()


def test_a_stick_for_deep_cuts_lies_on_one_sheet() -> None:
    """Cuts of 200 mm: no seam, for which a stick is too narrow, on A4 and letter."""
    cutters = make_cutters(224, 160, 110, 70)
    shop = make_shop(cutters=cutters, jaws=make_jaws(50, 70, 100, 130, 160, 260))
    plan = make_plan(make_job(500, 250), shop, with_suggestions=False)
    assert max(cut.deepest for cut in plan.cuts) > 200
    for paper in ("a4", "letter"):
        pack = laid_pack(plan, paper=paper, kinds=("depth stick",))
        placed = [q for page in pack.pages for q in page.placements]
        assert [q.tile for q in placed if q.part.kind == "depth stick"] == [""]
