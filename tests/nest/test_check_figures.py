"""The second look at a plan, figure by figure: one thing is changed, and that one is told."""

import dataclasses
import math
from collections.abc import Callable

import pytest
from builders import changed_job, demo_plan, pin_of, plan_of
from changed_plans import with_bowl, with_cut

from templategen.errors import OutputError
from templategen.inputs.starters import demo_job
from templategen.messages import tr
from templategen.nest import check
from templategen.nest.check import check_plan
from templategen.nest.plan import Finding, Level, Plan, Rule
from templategen.trade.records import (
    Cutter,
    DryingWall,
    LengthWall,
    Relief,
    ShareWall,
)
from templategen.units import Units

swap = dataclasses.replace


@pytest.fixture
def plan() -> Plan:
    """The demo plan: four bowls, nothing wrong with it."""
    return demo_plan()


def _job(plan: Plan, **changes: object) -> Plan:
    return swap(plan, job=changed_job(plan.job, **changes))


def _post(plan: Plan, **changes: object) -> Plan:
    return swap(plan, shop=swap(plan.shop, post=swap(plan.shop.post, **changes)))  # type: ignore[arg-type]


def _cutters(plan: Plan, change: Callable[[Cutter], Cutter]) -> Plan:
    """The plan with every cutter changed, in the shop and in the cuts."""
    shop = swap(plan.shop, cutters=tuple(change(c) for c in plan.shop.cutters))
    cuts = tuple(dataclasses.replace(c, cutter=change(c.cutter)) for c in plan.cuts)
    return swap(plan, shop=shop, cuts=cuts)


def _smallest_jaws(plan: Plan) -> Plan:
    """A core said to be held by jaws that close on less than its stub is wide."""
    tiny = swap(plan.shop.jaws[0], id="tiny", true_circle=8.0, dovetail_angle=0.0)
    rules = swap(plan.shop.rules, refuse_share=0.001)
    plan = swap(plan, shop=swap(plan.shop, jaws=(*plan.shop.jaws, tiny), rules=rules))
    spread = 2 * plan.bowls[1].tenon_length * math.tan(math.radians(tiny.dovetail_angle))
    return with_bowl(plan, 2, jaws=tiny, tenon_diameter=8.0, tenon_end_diameter=8.0 + spread)


def _shallow_jaws(plan: Plan) -> Plan:
    """The jaws of the blank, too shallow by a hundredth for its tenon."""
    jaws = plan.bowls[0].jaws
    assert jaws is not None
    shallow = swap(jaws, depth=plan.bowls[0].tenon_length + 1.49)
    shop = swap(plan.shop, jaws=(*plan.shop.jaws, shallow))
    return with_bowl(swap(plan, shop=shop), 1, jaws=shallow)


def _lathe(plan: Plan, **changes: object) -> Plan:
    return swap(plan, shop=swap(plan.shop, lathe=swap(plan.shop.lathe, **changes)))  # type: ignore[arg-type]


def _speed(plan: Plan, **changes: object) -> Plan:
    assert plan.speed is not None
    return swap(plan, speed=swap(plan.speed, **changes))  # type: ignore[arg-type]


def _with_wall(plan: Plan, wall: float) -> Plan:
    """The plan with a required wall that much over what the outermost bowl has."""
    assert plan.bowls[0].wall is not None
    return _job(plan, wall=LengthWall(plan.bowls[0].wall + wall), floor=3.0)


def _with_floor(plan: Plan, floor: float) -> Plan:
    assert plan.bowls[0].floor is not None
    return _job(plan, floor=plan.bowls[0].floor + floor)


def _steepest(plan: Plan) -> float:
    return max(abs(math.degrees(cut.slope)) for cut in plan.cuts)


SPOILS: list[tuple[str, Callable[[Plan], Plan]]] = [
    ("not numbered", lambda p: swap(p, sequence=p.sequence[:-1])),
    ("not numbered", lambda p: with_cut(p, 2, number=1)),
    ("do not go together", lambda p: swap(p, bowls=p.bowls[:-1])),
    ("more than the blank", lambda p: _job(p, diameter=150.0)),
    ("no cutter R170x", lambda p: with_cut(p, 1, cutter=swap(p.cuts[0].cutter, id="R170x"))),
    (
        "cut 1: radius at the entry",
        lambda p: with_cut(p, 1, entry_radius=p.cuts[0].entry_radius + 0.5),
    ),
    ("cut 2: radius at the axis", lambda p: with_cut(p, 2, depth_at_axis=50.0)),
    ("swing left", lambda p: _cutters(p, lambda c: swap(c, max_swing=40.0))),
    ("slope left", lambda p: _job(p, max_slope=_steepest(p) - 0.01)),
    ("standoff measures", lambda p: _post(p, min_standoff=p.cuts[0].pivot_standoff + 0.001)),
    ("offset measures", lambda p: _post(p, min_offset=p.cuts[0].pivot_offset + 0.001)),
    ("offset left", lambda p: _post(p, max_offset=p.cuts[0].pivot_offset - 0.001)),
    ("height or relief", lambda p: _job(p, height_above_centre=4.0)),
    ("height or relief", lambda p: _job(p, relief=None)),
    (
        "entry from the rim",
        lambda p: with_cut(p, 1, entry_from_rim=p.cuts[0].entry_from_rim + 0.03),
    ),
    ("entry in marks", lambda p: swap(p, job=swap(p.job, units=Units.IN))),
    ("bowl 1: rim is said", lambda p: with_bowl(p, 1, rim_diameter=p.bowls[0].rim_diameter + 0.03)),
    ("volume", lambda p: with_bowl(p, 1, volume=p.bowls[0].volume * 1.00001)),
    ("core 4: rim measures", lambda p: _job(p, min_bowl=p.bowls[3].rim_diameter + 0.001)),
    ("depth measures", lambda p: _job(p, min_depth=p.bowls[3].depth + 0.001)),
    ("not solid", lambda p: with_bowl(p, 4, wall=20.0)),
    ("not solid", lambda p: with_bowl(p, 4, floor=20.0)),
    ("no inside", lambda p: with_bowl(p, 1, wall=None)),
    ("no inside", lambda p: with_bowl(p, 2, floor=None)),
    ("wall is said", lambda p: with_bowl(p, 1, wall=p.bowls[0].wall - 0.03)),
    ("floor is said", lambda p: with_bowl(p, 1, floor=p.bowls[0].floor - 0.03)),
    ("bowl 1: wall measures", lambda p: _with_wall(p, 0.05)),
    ("bowl 1: floor measures", lambda p: _with_floor(p, 0.03)),
    ("worst wall measures", lambda p: _job(_with_wall(p, -0.1), guard="worst")),
    (
        "worst floor measures",
        lambda p: _job(_with_floor(p, -0.1), wall=LengthWall(3.0), guard="worst"),
    ),
    ("no jaws of the shop", lambda p: with_bowl(p, 3, jaws=None)),
    (
        "no jaws of the shop",
        lambda p: with_bowl(p, 2, jaws=swap(p.bowls[1].jaws, id="borrowed")),  # type: ignore[type-var]
    ),
    ("bowl 2: tenon is said", lambda p: with_bowl(p, 2, tenon_diameter=99.0)),
    ("dovetail", lambda p: with_bowl(p, 1, tenon_end_diameter=p.bowls[0].tenon_end_diameter + 0.1)),
    ("depth of the jaws", _shallow_jaws),
    ("greatest wall", lambda p: with_bowl(p, 1, wall_greatest=p.bowls[0].wall_greatest + 0.03)),
    ("neck is said", lambda p: with_cut(p, 1, stop_neck=p.cuts[0].stop_neck + 0.05)),
    ("depth at the stop", lambda p: with_cut(p, 1, stop_depth=p.cuts[0].stop_depth + 0.05)),
    ("release measures", lambda p: with_cut(p, 1, release_angle=p.cuts[0].stop_angle - 0.01)),
    ("end of the cut", lambda p: with_cut(p, 1, through_angle=p.cuts[0].through_angle - 0.01)),
    ("bare blade", lambda p: _cutters(p, lambda c: swap(c, arc=60.0))),
    ("kerf measures", lambda p: _cutters(p, lambda c: swap(c, kerf=4.9))),
    ("air around the disc", lambda p: _lathe(p, swing=p.job.blank.diameter + 19.9)),
    ("air around the disc", lambda p: _lathe(p, centre_height=p.job.blank.diameter / 2 + 9.9)),
    ("speed measures", lambda p: _speed(p, max_rpm=390.0)),
    ("speed to start at", lambda p: _speed(p, start_rpm=200.0)),
    ("depth measures", lambda p: _job(p, min_ratio=0.5)),
    (
        "tenon share measures",
        lambda p: swap(p, shop=swap(p.shop, rules=swap(p.shop.rules, refuse_share=0.6))),
    ),
    ("tenon end", lambda p: _job(p, height=p.job.blank.height + 0.001)),
    ("tenon does not fit", _smallest_jaws),
    ("tenon shoulder", lambda p: with_bowl(p, 2, depth=p.bowls[1].depth + 0.05)),
]


@pytest.mark.parametrize("number", range(len(SPOILS)))
def test_one_figure_out_is_told(number: int, plan: Plan) -> None:
    """The figure that is out is the one that is named."""
    words, spoil = SPOILS[number]
    with pytest.raises(OutputError, match=words) as caught:
        check_plan(spoil(plan))
    assert caught.value.exit_code == 3
    every = list(check._faults(spoil(plan)))  # the others too can be asked for
    assert str(caught.value) == (
        f"the program failed its own check ({every[0]}); "
        "nothing is printed; please report this line with the input files"
    )


def test_a_floor_is_as_thick_as_a_wall_unless_the_job_says() -> None:
    """Planned with floors of 5 mm, some floor is thinner than the wall: wrong where none is set."""
    thin = plan_of(floor=5.0)
    check_plan(thin)
    with pytest.raises(OutputError, match="floor measures"):
        check_plan(_job(thin, floor=None))


@pytest.mark.parametrize("height", [0.0, 5.0])
def test_a_wall_that_is_least_at_the_axis(height: float) -> None:
    """With low floors and short tenons walls are least there: in the blank and in the cores."""
    tenon = swap(demo_job().tenon, length=4.0)
    flat = plan_of(floor=3.0, height_above_centre=height, tenon=tenon, diameter=450.0, height=150.0)
    at = [p.wall_at[0][0] for p in flat.bowls[1:] if p.wall_at is not None]
    assert sum(r < height + 1e-6 for r in at) >= 2
    check_plan(flat)
    for number in (1, 2):
        wall = flat.bowls[number].wall
        assert wall is not None
        with pytest.raises(OutputError, match=f"bowl {number + 1}: wall is said"):
            check_plan(with_bowl(flat, number + 1, wall=wall + 0.03))


def test_a_tenon_as_long_as_the_jaws_allow() -> None:
    """Asked for longer ones, the planner ends each 1.5 mm short of the jaws' depth, no more."""
    deep = plan_of(tenon=swap(demo_job().tenon, length=40.0))
    held = [(p.jaws.depth, p.tenon_length) for p in deep.bowls if p.jaws is not None]
    assert len(held) >= 3
    assert all(depth - length == 1.5 for depth, length in held)
    check_plan(deep)


def test_what_is_within_the_tolerance_passes(plan: Plan) -> None:
    """Chords lie aside of arcs: figures that differ by less than that are right."""
    wall, floor = plan.bowls[0].wall, plan.bowls[0].floor
    assert wall is not None
    assert floor is not None
    for right in (
        plan,
        with_bowl(plan, 1, wall=wall + 0.005, floor=floor - 0.005),
        with_bowl(plan, 1, volume=plan.bowls[0].volume * (1 + 1e-7)),
        _post(plan, min_standoff=plan.cuts[-1].pivot_standoff - 100, max_offset=500.0),
        _job(plan, min_bowl=plan.bowls[3].rim_diameter),
        _job(plan, floor=min(p.floor for p in plan.bowls[:-1] if p.floor is not None)),
    ):
        check_plan(right)


def test_a_plan_with_a_stop_is_not_asked(plan: Plan) -> None:
    """It is not for printing: whatever is wrong with it was told already."""
    stop = Finding(level=Level.STOP, rule=Rule.WALL, text=tr("invented"))
    wrong = with_bowl(plan, 1, wall=1.0)
    check_plan(swap(wrong, findings=(stop,)))
    note = swap(stop, level=Level.NOTE)
    with pytest.raises(OutputError, match="wall is said"):
        check_plan(swap(wrong, findings=(note,)))


def test_a_pinned_cut_need_not_lie_on_a_mark(plan: Plan) -> None:
    """Marks are asked of the planner's cuts; entry and depth each on its own."""
    cut = plan.cuts[0]
    for entry, depth, told in ((0.0, -0.2, "depth in marks"), (-0.2, 0.0, "entry in marks")):
        aside = swap(
            cut, entry_radius=cut.entry_radius + entry, depth_at_axis=cut.depth_at_axis + depth
        )
        pinned = plan_of(pinned=(pin_of(aside),), add_cuts=False)
        assert not pinned.has_stop
        check_plan(pinned)
        with pytest.raises(OutputError, match=told):
            check_plan(_job(pinned, pinned=()))


@pytest.mark.parametrize("across", ["tangential", "radial"])
def test_walls_for_drying_are_worked_out_anew(across: str) -> None:
    """A plan for drying passes; asked to dry further, or in a wood unknown, its walls are thin."""
    plan = plan_of(wood="White ash", wall=DryingWall(), across=across)
    assert not plan.has_stop
    check_plan(plan)
    for thin in (
        _job(plan, finished_wall=plan.job.nest.finished_wall + 1.0),
        _job(plan, truing_margin=plan.job.nest.truing_margin + 1.0),
        _job(plan, final_moisture=0.0),
        _job(plan, wood=""),
    ):
        with pytest.raises(OutputError, match=r"bowl 1: (wall|floor) measures"):
            check_plan(thin)


def test_walls_for_drying_by_hand() -> None:
    """Nothing dries away at 30 %: the wall is then the finished one and what truing takes.

    Fibre saturation 30 %, Wood Handbook FPL-GTR-282.
    """
    plan = plan_of(wood="White ash", wall=DryingWall(), final_moisture=30.0)
    need = plan.job.nest.finished_wall + plan.job.nest.truing_margin
    assert plan.bowls[0].wall_required == pytest.approx(need)
    check_plan(plan)
    with pytest.raises(OutputError, match="wall measures"):
        check_plan(_job(plan, final_moisture=6.0))


def _bent(plan: Plan, number: int, where: int) -> Plan:
    """One corner of an outline a twentieth of a micrometre further out."""
    outline = list(plan.bowls[number].outline)
    r, z = outline[where]
    outline[where] = (r + 5e-5, z)
    return with_bowl(plan, number + 1, outline=tuple(outline))


@pytest.mark.parametrize("relief", [None, Relief(), Relief(shift=3.0, depth=12.0)])
@pytest.mark.parametrize("height", [0.0, 5.0])
def test_every_corner_lies_on_its_cut(relief: Relief | None, height: float) -> None:
    """Inside and outside are asked apart, above the relief step and below it."""
    plan = plan_of(relief=relief, height_above_centre=height)
    check_plan(plan)
    outline = plan.bowls[1].outline
    for where in (5, len(outline) // 4):  # runs from the rim down, then from the axis up
        with pytest.raises(OutputError, match="bowl 2: outside leaves the cut"):
            check_plan(_bent(plan, 1, where))
    for where in (len(outline) * 2 // 3, len(outline) - 5):
        with pytest.raises(OutputError, match="bowl 2: inside leaves the cut"):
            check_plan(_bent(plan, 1, where))
        (only,) = check._faults(_bent(plan, 1, where))  # a line that leaves its cut is told once
        assert "inside" in str(only)


@pytest.mark.parametrize("height", [0.0, 5.0])
@pytest.mark.parametrize("flat", [False, True])
def test_worst_cases_are_those_of_the_planner(height: float, flat: bool) -> None:
    """Drawn and measured on chords here, by Newton's method there; neither calls the other.

    In a flat blank with low floors the worst walls are at the axis.
    """
    job = changed_job(height_above_centre=height)
    if flat:
        tenon = swap(job.tenon, length=4.0)
        job = changed_job(job, diameter=450.0, height=150.0, floor=3.0, tenon=tenon)
    for tolerance in (0.5, 2.0):
        plan = plan_of(job, setting_tolerance=tolerance)
        for bowl in plan.bowls[:-1]:
            bare = check._outside(plan, bowl)
            bare = bare[:-2] if bowl.number == 1 else bare
            worst = check._worst_wall(plan, bowl, bare)
            assert worst == pytest.approx(bowl.wall_worst, abs=0.02)
            assert check._worst_floor(plan, bowl) == pytest.approx(bowl.floor_worst, abs=0.02)


def test_a_wall_by_share_is_asked_of_every_rim() -> None:
    """A tenth of the rim's diameter: planned so it passes, asked for a little more it does not."""
    plan = plan_of(wall=ShareWall(0.06), floor=5.0)
    check_plan(plan)
    for bowl in plan.bowls[:-1]:
        assert bowl.wall is not None
        assert bowl.wall >= 0.06 * bowl.rim_diameter - 1e-6
    share = min(p.wall / p.rim_diameter for p in plan.bowls[:-1] if p.wall is not None)
    check_plan(_job(plan, wall=ShareWall(share)))
    with pytest.raises(OutputError, match="wall measures"):
        check_plan(_job(plan, wall=ShareWall(share + 0.0005)))
