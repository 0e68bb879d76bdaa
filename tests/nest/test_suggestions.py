"""Which changes are tried as mends, in which order, and what is said of each that helps."""

import dataclasses
import itertools

import pytest

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import planner
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import make_cut_table, may_hold, room_of
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import blank_shape, make_plan
from templategen.nest.search import best_chain
from templategen.nest.suggestions import suggestions
from templategen.trade.records import (
    Blank,
    DryingWall,
    Job,
    LengthWall,
    PinnedCut,
    Relief,
    ShareWall,
    Shop,
)

swap = dataclasses.replace


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The demo plan of four bowls."""
    return make_plan(demo_job(), demo_shop(), with_suggestions=False)


def _changes(plan: Plan, job: Job, shop: Shop) -> tuple[tuple[str, object], ...]:
    """What a trial changes of the job and of the shop, in plain words and figures."""
    found: list[tuple[str, object]] = []
    for part in ("nest", "tenon"):
        old, new = getattr(plan.job, part), getattr(job, part)
        for field in dataclasses.fields(old):
            if getattr(old, field.name) != getattr(new, field.name):
                found.append((field.name, getattr(new, field.name)))
    assert swap(job, nest=plan.job.nest, tenon=plan.job.tenon) == plan.job
    added = [c.radius for c in shop.cutters if c not in plan.shop.cutters]
    assert swap(shop, cutters=plan.shop.cutters) == plan.shop
    return (*found, *(("cutter", radius) for radius in added))


def _tried(plan: Plan, *, stopped: bool = False) -> list[tuple[tuple[str, object], ...]]:
    tried = []

    def count(job: Job, shop: Shop, grid: float, more_than: int) -> int:
        assert grid == 2.0  # every fourth mark of half a millimetre
        assert more_than == len(plan.bowls)
        tried.append(_changes(plan, job, shop))
        return more_than

    suggestions(plan, count, grid=0.5, stopped=stopped)
    return tried


def test_the_changes_that_are_tried(plan: Plan) -> None:
    """Thinner walls, smaller bowls, no relief, steeper, another cutter, thinner tenons.

    95, 90 and 80 hundredths of the job's own figures, on its marks; 40 % tenons down to a third.
    """
    nest = plan.job.nest
    assert nest.wall == LengthWall(22.0)
    assert nest.min_bowl == 120.0
    tried = _tried(plan)
    cutters = [change for change in tried if change[0][0] == "cutter"]
    assert [change for change in tried if change not in cutters] == [
        (("wall", LengthWall(20.5)),),  # 20.9 on half millimetres
        (("wall", LengthWall(19.5)),),
        (("wall", LengthWall(17.5)),),
        (("min_bowl", 114.0),),
        (("min_bowl", 108.0),),
        (("min_bowl", 96.0),),
        (("relief", None),),
        (("max_slope", nest.max_slope + 3),),
        (("max_slope", nest.max_slope + 6),),
        (("core_share", pytest.approx(0.38)),),
        (("core_share", pytest.approx(0.36)),),
    ]
    radii = [change[0][1] for change in cutters]
    assert radii == sorted(radii)  # type: ignore[type-var]
    owned = [c.radius for c in plan.shop.cutters]
    between = [(a + b) / 2 for a, b in itertools.pairwise(owned)]
    assert all(any(abs(r - m) <= 2.5 for r in radii) for m in between)  # type: ignore[operator]
    assert all(r % 5 == 0 and r not in owned for r in radii)  # type: ignore[operator]
    assert all(30 <= r <= 220 for r in radii)  # type: ignore[operator]


def test_walls_by_share_and_for_drying(plan: Plan) -> None:
    """The share itself is lowered, or the finished wall."""
    share = swap(plan, job=swap(plan.job, nest=swap(plan.job.nest, wall=ShareWall(0.1))))
    walls = [c[0][1] for c in _tried(share) if c[0][0] == "wall"]
    assert walls == [ShareWall(pytest.approx(0.1 * part)) for part in (0.95, 0.9, 0.8)]
    nest = swap(plan.job.nest, wall=DryingWall(), finished_wall=10.0)
    drying = swap(plan, job=swap(plan.job, nest=nest))
    finished = [c[0][1] for c in _tried(drying) if c[0][0] == "finished_wall"]
    assert finished == [9.5, 9.0, 8.0]


def test_stronger_changes_where_the_plan_has_no_core(plan: Plan) -> None:
    """Down to half of the wall, but only where a stop leaves a single bowl."""
    bare = swap(plan, bowls=plan.bowls[:1], cuts=())
    walls = [c[0][1] for c in _tried(bare, stopped=True) if c[0][0] == "wall"]
    assert walls == [LengthWall(wall) for wall in [19.5, 17.5, 14.0, 11.0]]
    walls = [c[0][1] for c in _tried(plan, stopped=True) if c[0][0] == "wall"]
    assert walls == [LengthWall(wall) for wall in [20.5, 19.5, 17.5]]


def test_named_cutters_stay_named(plan: Plan) -> None:
    """A job that names its cutters tries the new one beside them, and no other of the shop."""
    nest = swap(plan.job.nest, cutters=("R80", "R170"))
    tried = _tried(swap(plan, job=swap(plan.job, nest=nest)))
    added = [c for c in tried if c[-1][0] == "cutter"]
    assert added
    for change in added:
        assert change[0] == ("cutters", ("R80", "R170", "another"))
    assert any(change[-1][1] == 125.0 for change in added)  # halfway between 80 and 170


@pytest.mark.parametrize("more", [1, 2])
def test_the_first_change_of_each_kind_that_helps_is_told(plan: Plan, more: int) -> None:
    """The smallest; a kind that helps in no way is not spoken of where another does."""

    def count(job: Job, shop: Shop, grid: float, more_than: int) -> int:
        thin = job.nest.wall.length <= 19.5 or job.nest.min_bowl <= 96.0
        return more_than + (more if thin else 0)

    found = {f.rule: f for f in suggestions(plan, count, grid=0.5, stopped=False)}
    assert set(found) == {"wall", "bowl size"}
    assert all(f.level is Level.NOTE for f in found.values())
    said = "one more bowl" if more == 1 else "2 more bowls"
    assert str(found["wall"].text) == f"with a wall of 19.5 mm instead of 22 mm: {said}"
    assert str(found["bowl size"].text) == f"with bowls down to 96 mm instead of 120 mm: {said}"


def test_what_was_tried_in_vain(plan: Plan) -> None:
    """The strongest of each kind, in one note; what could not be counted is not called vain."""

    def vain(job: Job, shop: Shop, grid: float, more_than: int) -> int | None:
        return None if job.nest.relief is None else more_than

    (told,) = suggestions(plan, vain, grid=0.5, stopped=False)
    assert told.rule == "another bowl"
    assert "17.5 mm instead of 22 mm" in str(told.text)
    assert "96 mm instead of 120 mm" in str(told.text)
    assert "36%" in str(told.text)
    assert "relief" not in str(told.text)
    assert not suggestions(plan, lambda *_: None, grid=0.5, stopped=False)


def test_a_worst_case_is_a_stop_where_the_job_guards_against_it(plan: Plan) -> None:
    """A pinned cut whose walls are right but for setting errors: a note, or a stop."""
    cut = plan.cuts[0]
    pin = PinnedCut(
        cutter=cut.cutter.id, entry_radius=cut.entry_radius, depth_at_axis=cut.depth_at_axis
    )
    for guard, level in (("nominal", Level.NOTE), ("worst", Level.STOP)):
        nest = swap(plan.job.nest, pinned=(pin,), add_cuts=False, guard=guard)
        made = make_plan(swap(plan.job, nest=nest), plan.shop, with_suggestions=False)
        (told,) = [f for f in made.findings if f.rule == "tolerance"]
        assert told.level is level
        assert "bowl 0: wall" in str(told.text)
        assert "22 mm" in str(told.text)
    sure = swap(nest, guard="nominal", setting_tolerance=0.0)
    made = make_plan(swap(plan.job, nest=sure), plan.shop, with_suggestions=False)
    assert not [f for f in made.findings if f.rule == "tolerance"]


def test_a_small_blank_tries_no_cutter_that_could_not_enter_it(plan: Plan) -> None:
    """Up to 20 mm over half the blank; nothing under 30 mm."""
    small = swap(plan, job=swap(plan.job, blank=Blank(diameter=150.0, height=80.0)))
    radii = [c[0][1] for c in _tried(small) if c[0][0] == "cutter"]
    assert radii
    assert all(30 <= r <= 95 for r in radii)  # type: ignore[operator]


BLANKS = [(220, 90), (300, 120), (340, 150), (400, 180), (460, 200), (520, 240)]


@pytest.mark.parametrize(("widening", "share"), [(0.0, 0.3), (2.0, 0.25)])
@pytest.mark.parametrize(("diameter", "height"), BLANKS)
def test_no_blank_holds_more_than_it_may(
    diameter: float, height: float, widening: float, share: float
) -> None:
    """`may_hold` is never wrong when it says no: asked of many jobs, against the whole search."""
    shop, refused, right = demo_shop(), 0, 0
    kerfs = tuple(swap(c, kerf=c.kerf + widening * n) for n, c in enumerate(shop.cutters))
    shop = swap(shop, cutters=kerfs)  # the least of them counts, not the widest
    for wall, guard, order, relief, least in itertools.product(
        (LengthWall(8.0), LengthWall(18.0), ShareWall(0.09)),
        ("nominal", "worst"),
        ("inner-first", "outer-first"),
        (None, Relief()),
        (70.0, 130.0),
    ):
        nest = swap(
            demo_job().nest, wall=wall, guard=guard, order=order, relief=relief, min_bowl=least
        )
        blank = Blank(diameter=diameter, height=height)
        job = swap(demo_job(), blank=blank, nest=nest)
        body = blank_shape(job, shop)
        table = make_cut_table(job, shop, reach=Reach(entry=diameter / 2, depth=height), grid=4.0)
        cuts = len(best_chain(body, table).settings)
        for count in range(1, cuts + 4):
            may = may_hold(room_of(body, job), count, job, shop, grid=4.0)
            assert may or count > cuts
            refused += not may
            right += count > cuts
    assert refused > share * right


def test_what_is_not_looked_at_would_not_have_helped(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same mends are told whether or not the hopeless ones are left out beforehand."""
    blanks = [Blank(diameter=d, height=h) for d, h in BLANKS]
    jobs = [swap(demo_job(), blank=blank) for blank in blanks]
    quick = [make_plan(job, demo_shop()).findings for job in jobs]
    monkeypatch.setattr(planner, "may_hold", lambda *_, **__: True)
    assert quick == [make_plan(job, demo_shop()).findings for job in jobs]
