"""Each finding word for word: a plan with one figure changed, and what is then said of it."""

import dataclasses
import math

import pytest
from changed_plans import changed_bowl
from changed_plans import with_bowl as _bowl
from changed_plans import with_cut as _cut

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.findings import blank_findings, judge, many_settings
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import blank_shape, make_plan
from templategen.nest.rules import MET
from templategen.nest.suggestions import suggestions
from templategen.trade.records import Blank, Job, PinnedCut, Relief, Shop
from templategen.units import Units

swap = dataclasses.replace


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The demo plan of four bowls and three cuts, of which nothing is said."""
    made = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    sure = swap(made.job, nest=swap(made.job.nest, setting_tolerance=0.0))
    bowls = tuple(
        changed_bowl(
            p, wall_worst=p.wall, floor_worst=p.floor, tenon_diameter=0.45 * p.rim_diameter
        )
        for p in made.bowls
    )
    quiet = swap(made, job=sure, bowls=bowls)
    assert judge(quiet) == []
    return quiet


def _told(plan: Plan) -> tuple[Level, str, str]:
    (finding,) = judge(plan)
    return finding.level, finding.rule, str(finding.text)


# -- bowls ---------------------------------------------------------------------------------


def test_a_thin_wall_and_a_thin_floor(plan: Plan) -> None:
    """What it has and what it needs; within a hundred thousandth of it is enough."""
    for number in (0, 1, 2):
        thin = _bowl(plan, number, wall=20.0, wall_required=22.0)
        assert _told(thin) == (
            Level.STOP, "wall", f"bowl {number}: wall has 20 mm, needs 22 mm",
        )  # fmt: skip
        low = _bowl(plan, number, floor=11.5, floor_required=14.0)
        assert _told(low) == (
            Level.STOP, "floor", f"bowl {number}: floor has 11.5 mm, needs 14 mm",
        )  # fmt: skip
    for name in ("wall", "floor"):
        for short, said in ((9.9 * MET, 0), (10.5 * MET, 1)):
            near = {name: 22.0 - short, f"{name}_required": 22.0}
            assert len(judge(_bowl(plan, 1, **near))) == said


def test_a_piece_that_nothing_holds(plan: Plan) -> None:
    """A core; the blank's own jaws are spoken of elsewhere."""
    bare = _bowl(plan, 2, jaws=None, rim_diameter=150.0)
    assert _told(bare) == (
        Level.STOP,
        "tenon share",
        "bowl 2: tenon share has no jaws, needs jaws that hold at least 33% of the rim, 50 mm",
    )
    assert judge(_bowl(plan, 0, jaws=None)) == []


def test_a_thin_tenon(plan: Plan) -> None:
    """Under the share from which a caution is given; at the share itself nothing is said."""
    usual = plan.shop.rules.caution_share
    thin = _bowl(plan, 1, rim_diameter=200.0, tenon_diameter=70.2)
    assert usual == pytest.approx(0.4)
    assert _told(thin) == (
        Level.CAUTION, "tenon share", "bowl 1: tenon 70.2 mm is 35.1% of the rim, under 40%",
    )  # fmt: skip
    for share, said in ((usual, 0), (usual - 1e-6, 1)):
        tenon = _bowl(plan, 1, rim_diameter=200.0, tenon_diameter=200.0 * share)
        assert len(judge(tenon)) == said


def test_a_core_too_shallow_or_too_narrow(plan: Plan) -> None:
    """Depth to the shoulder, and the rim; the least there may be is enough."""
    nest = plan.job.nest
    assert (nest.min_depth, nest.min_bowl) == (25.0, 120.0)
    assert _told(_bowl(plan, 3, depth=23.5)) == (
        Level.STOP, "tenon stock", "bowl 3: tenon stock has 23.5 mm of depth, needs 25 mm",
    )  # fmt: skip
    assert _told(_bowl(plan, 3, rim_diameter=118.0, tenon_diameter=60.0)) == (
        Level.STOP, "bowl size", "bowl 3: bowl size has a rim of 118 mm, needs 120 mm",
    )  # fmt: skip
    assert judge(_bowl(plan, 3, depth=25.0, rim_diameter=120.0, tenon_diameter=60.0)) == []
    assert judge(_bowl(plan, 0, depth=1.0, rim_diameter=1.0)) == []


def test_what_a_setting_error_could_leave(plan: Plan) -> None:
    """Walls and floors in one line, piece by piece; a stop where the job guards against it."""
    thin = _bowl(plan, 0, wall_worst=18.5, wall_required=22.0)
    thin = _bowl(thin, 2, floor_worst=10.0, floor_required=14.0, wall_worst=21.0)
    thin = _bowl(thin, 2, wall_required=22.0)
    nest = swap(plan.job.nest, setting_tolerance=1.5)
    for guard, level in (("nominal", Level.NOTE), ("worst", Level.STOP)):
        asked = swap(thin, job=swap(plan.job, nest=swap(nest, guard=guard)))
        assert _told(asked) == (
            level,
            "tolerance",
            "with each pivot out by 1.5 mm there could be left, of what is needed: "
            "bowl 0: wall 18.5 mm of 22 mm, bowl 2: wall 21 mm of 22 mm, "
            "bowl 2: floor 10 mm of 14 mm",
        )
    for short, said in ((9.9 * MET, 0), (10.5 * MET, 1)):
        near = _bowl(plan, 1, wall_worst=22.0 - short, wall_required=22.0)
        assert len(judge(near)) == said
    none = _bowl(plan, 1, wall_worst=None, floor_worst=None)
    assert judge(none) == []


# -- cuts -----------------------------------------------------------------------------------


def test_a_cut_outside_the_posts_and_the_cutters_limits(plan: Plan) -> None:
    """Cut and cutter by name, the figure it has, and the figures it may have."""
    id_ = plan.cuts[1].cutter.id
    post = swap(plan.shop.post, min_standoff=25.0, min_offset=-10.0, max_offset=30.0)
    nest = swap(plan.job.nest, max_slope=60.0)
    asked = swap(plan, shop=swap(plan.shop, post=post), job=swap(plan.job, nest=nest))
    for n in (1, 3):  # the others well within
        asked = _cut(asked, n, pivot_standoff=40.0, pivot_offset=5.0)
    right = _cut(asked, 2, pivot_standoff=40.0, pivot_offset=5.0)
    assert judge(right) == []
    for changes, words in (
        ({"pivot_standoff": 24.5}, "standoff has 24.5 mm, needs at least 25 mm"),
        ({"pivot_offset": -11.0}, "offset has -11 mm, needs -10 mm to 30 mm"),
        ({"pivot_offset": 30.5}, "offset has 30.5 mm, needs -10 mm to 30 mm"),
    ):
        told = _told(_cut(right, 2, **changes))
        assert told == (Level.STOP, "cutter", f"cut 2 ({id_}): {words}")


def test_a_cut_too_steep_or_swung_too_far(plan: Plan) -> None:
    """Slope to a tenth of a degree, the swing to a degree; both from the pivot (Pythagoras)."""
    cut = plan.cuts[0]
    radius = cut.cutter.radius
    p = radius * math.sin(math.radians(8.6))
    steep = _cut(plan, 1, pivot_offset=p)
    nest = swap(plan.job.nest, max_slope=8.0)
    bare = swap(steep, job=swap(plan.job, nest=nest), cuts=steep.cuts[:1])
    assert _told(bare) == (
        Level.STOP,
        "cutter",
        f"cut 1 ({cut.cutter.id}): slope at the axis has 8.6°, needs at most 8°",
    )
    short = swap(cut.cutter, max_swing=61.0)
    swung = math.acos(-cut.pivot_offset / radius) - math.asin(cut.pivot_standoff / radius)
    assert math.degrees(swung) > 62
    assert _told(_cut(plan, 1, cutter=short)) == (
        Level.STOP,
        "cutter",
        f"cut 1 ({cut.cutter.id}): swing has {math.degrees(swung):.0f}°, needs at most 61°",
    )


def test_a_cut_above_its_relief(plan: Plan) -> None:
    """The relief cut would run below the whole inner edge."""
    cut = plan.cuts[2]
    deep = _cut(plan, 3, relief=Relief(shift=5.0, depth=150.0))
    assert _told(deep) == (
        Level.STOP,
        "cutter",
        f"cut 3 ({cut.cutter.id}): relief has a cut {cut.deepest:.1f} mm deep, "
        "needs an inner edge deeper than the relief cut of 150 mm",
    )
    assert judge(_cut(plan, 3, relief=None)) == []


def test_no_cut_at_all(plan: Plan) -> None:
    """What would have been a bowl is told with its size."""
    bare = swap(plan, cuts=(), bowls=plan.bowls[:1])
    assert _told(bare) == (
        Level.STOP,
        "cutter",
        "no cutter fits: none of the shop's cutters frees a bowl of 120 mm that keeps wall, "
        "floor and tenon",
    )


# -- the blank ------------------------------------------------------------------------------


def test_a_blanks_own_tenon() -> None:
    """At the share from which a caution is given nothing is said, under it both figures."""
    job, shop = demo_job(), demo_shop()
    body = blank_shape(job, shop)
    assert blank_findings(job, shop, body) == []
    share = shop.rules.caution_share
    same = swap(body, tenon_diameter=share * job.blank.diameter)
    assert blank_findings(job, shop, same) == []
    thin = swap(body, tenon_diameter=0.362 * job.blank.diameter)
    (told,) = blank_findings(job, shop, thin)
    assert (told.level, told.rule) == (Level.CAUTION, "tenon share")
    assert str(told.text) == (
        "the holding tenon is 36.2% of the blank, half is the usual figure: lighter cuts, "
        "lower speed"
    )


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ((), "the shop has no jaws"),
        ((310.0, 350.0), "the shop's smallest jaws close at 310 mm"),
        ((350.0, 300.5), "the shop's smallest jaws close at 300.5 mm"),
        ((50.0, 120.0), "the shop's largest jaws close at 120 mm"),
        ((50.0, 120.0, 100.0), "the shop's largest jaws close at 120 mm"),
        ((50.0, 100.0, 350.0), "none of the shop's jaws close within the range"),
        ((120.0, 350.0), "none of the shop's jaws close within the range"),
        ((300.0, 350.0), "none of the shop's jaws close within the range"),  # 0.75 of the blank
        ((120.0, 400 / 3), "none of the shop's jaws close within the range"),  # a third of it
    ],
)
def test_a_blank_without_jaws(sizes: tuple[float, ...], words: str) -> None:
    """What the shop has, and what would hold the blank of 400 mm."""
    job, shop = demo_job(), demo_shop()
    one = shop.jaws[0]
    shop = swap(shop, jaws=tuple(swap(one, true_circle=size) for size in sizes))
    body = swap(blank_shape(job, demo_shop()), jaws=None, tenon_diameter=200.0)
    (told,) = blank_findings(job, shop, body)
    assert (told.level, told.rule) == (Level.STOP, "tenon share")
    assert str(told.text) == (
        f"{words}, 133.3 mm to 300 mm is needed (33% to 75% of the blank); jaws of about 200 mm "
        "would hold it"
    )


# -- many settings --------------------------------------------------------------------------


def test_not_every_mark_or_setting_was_tried() -> None:
    """A note with both marks, or that some were left out."""
    note = many_settings(demo_job(), 2.0, is_whole=True)
    assert (note.level, note.rule) == (Level.NOTE, "marks")
    assert str(note.text) == (
        "so many settings are possible that only marks of 2 mm were tried, not of 0.5 mm; "
        "name fewer cutters in nest.cutters to try them all"
    )
    note = many_settings(demo_job(), 0.5, is_whole=False)
    assert (note.level, note.rule) == (Level.NOTE, "marks")
    assert str(note.text) == (
        "so many settings are possible that not all were tried; name fewer cutters in "
        "nest.cutters to try them all"
    )


# -- mends ----------------------------------------------------------------------------------


def _shops(plan: Plan) -> tuple[list[Job], list[Shop]]:
    """Every job and shop that is tried as a mend."""
    jobs, shops = [], []

    def count(job: Job, shop: Shop, grid: float, more_than: int) -> int:
        jobs.append(job)
        shops.append(shop)
        return more_than

    suggestions(plan, count, grid=0.5, stopped=False)
    return jobs, shops


def _radii(plan: Plan, *radii: float, diameter: float = 2000.0) -> list[float]:
    """Radii tried as another cutter where the shop owns these."""
    one = plan.shop.cutters[0]
    owned = tuple(swap(one, id=f"own{r:g}", radius=r, kerf=r / 10) for r in radii)
    job = swap(plan.job, blank=Blank(diameter=diameter, height=300.0))
    shop = swap(plan.shop, cutters=owned)
    return [
        s.cutters[-1].radius
        for s in _shops(swap(plan, job=job, shop=shop))[1]
        if len(s.cutters) > len(radii)
    ]


def test_radii_of_another_cutter(plan: Plan) -> None:
    """Halfway where more than 15 mm lie between, 0.8 and half of the least, 1.2 of the greatest.

    In steps of 5 mm, from 30 mm to 600 mm and to 20 mm over half the blank.
    """
    assert _radii(plan, 100.0) == [50.0, 80.0, 120.0]
    assert _radii(plan, 100.0, 115.0) == [50.0, 80.0, 140.0]
    assert _radii(plan, 100.0, 116.0) == [50.0, 80.0, 110.0, 140.0]  # 108 and 139.2
    assert _radii(plan, 60.0) == [30.0, 50.0, 70.0]  # 48 and 72
    assert _radii(plan, 50.0) == [40.0, 60.0]  # 25 is too small
    assert _radii(plan, 500.0) == [250.0, 400.0, 600.0]
    assert _radii(plan, 505.0) == [250.0, 405.0]  # 606 is too large
    assert _radii(plan, 100.0, diameter=200.0) == [50.0, 80.0, 120.0]
    assert _radii(plan, 100.0, diameter=199.0) == [50.0, 80.0]
    inches = swap(plan, job=swap(plan.job, units=Units.IN))
    steps = [radius / 6.35 for radius in _radii(inches, 101.6)]
    assert steps == pytest.approx([8, 13, 19])  # 50.8, 81.3 and 121.9 in quarter inches
    named = swap(plan.job, nest=swap(plan.job.nest, cutters=("own100",)))
    assert _radii(swap(plan, job=named), 100.0, 300.0) == [50.0, 80.0, 120.0]


def test_another_cutter_is_like_the_nearest_owned(plan: Plan) -> None:
    """Its kerf is that of the cutter whose radius is nearest; it has a name of its own."""
    owned = tuple(
        swap(plan.shop.cutters[0], id=f"own{r:g}", radius=r, kerf=kerf)
        for r, kerf in ((100.0, 6.0), (200.0, 12.0))
    )
    shop = swap(plan.shop, cutters=owned)
    added = {
        s.cutters[-1].radius: s.cutters[-1]
        for s in _shops(swap(plan, shop=shop))[1]
        if len(s.cutters) == 3
    }
    assert set(added) == {50.0, 80.0, 150.0}
    assert {c.id for c in added.values()} == {"another"}
    assert (added[50.0].kerf, added[80.0].kerf) == (6.0, 6.0)
    wide = swap(plan.job, blank=Blank(diameter=600.0, height=200.0))
    more = _shops(swap(plan, shop=shop, job=wide))[1]
    (large,) = {s.cutters[-1] for s in more if s.cutters[-1].radius == 240.0}
    assert large.kerf == 12.0


def test_tenons_no_thinner_than_jaws_may_hold(plan: Plan) -> None:
    """Down to the share that is refused, itself among them."""
    tenon = swap(plan.job.tenon, core_share=0.5)
    for least, wanted in ((0.4, [0.475, 0.45, 0.4]), (0.401, [0.475, 0.45])):
        shop = swap(plan.shop, rules=swap(plan.shop.rules, refuse_share=least))
        jobs, _ = _shops(swap(plan, job=swap(plan.job, tenon=tenon), shop=shop))
        shares = [j.tenon.core_share for j in jobs if j.tenon.core_share != 0.5]
        assert shares == pytest.approx(wanted)


def test_mends_where_cuts_are_pinned(plan: Plan) -> None:
    """They are tried unless cuts are only judged; without pins the latter says nothing."""
    pin = PinnedCut(cutter="R135", entry_radius=141.5, depth_at_axis=98.0)
    for pinned, add_cuts, tried in (
        ((pin,), False, False),
        ((pin,), True, True),
        ((), False, True),
        ((), True, True),
    ):
        nest = swap(plan.job.nest, pinned=pinned, add_cuts=add_cuts)
        jobs, _ = _shops(swap(plan, job=swap(plan.job, nest=nest)))
        assert bool(jobs) is tried
