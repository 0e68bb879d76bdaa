"""Settings, cores, walls and pinned cuts at the limits of the rules."""

import dataclasses
import itertools
import math

import pytest
from builders import (
    changed_job,
    changed_shop,
    demo_plan,
    make_jaws,
    pin_of,
    plan_of,
    wood_named,
)
from cores import deepest_core
from invented_jobs import invented
from shapely.geometry import LineString, Point

from templategen.errors import InputError, InputErrors
from templategen.geometry.curves import least_places, points_along
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import rules
from templategen.nest.plan import CutSetting, Level
from templategen.nest.planner import make_plan
from templategen.nest.tenon_choice import core_as_held_best
from templategen.trade.choices import MeasuredAt
from templategen.trade.records import (
    Cutter,
    DryingWall,
    LengthWall,
    OwnWood,
    PinnedCut,
    Relief,
    ShareWall,
)

swap = dataclasses.replace
CUTTER = Cutter(id="R100", radius=100.0, kerf=9.0)


# -- settings -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entry", "depth", "there"),
    [
        (5.0, 60.0, False),  # within the height above centre
        (4.9, 60.0, False),
        (90.0, 0.0, False),
        (90.0, -1.0, False),
        (150.0, 140.0, False),  # farther apart than the circle is wide
        (math.hypot(120.0, 5.0), 159.9, True),
        (math.hypot(120.0, 5.0), 160.0, False),  # 120, 160, 200: the whole width of the circle
        (math.hypot(60.0, 5.0), 80.0, True),
    ],
)
def test_marks_that_no_circle_joins(entry: float, depth: float, there: bool) -> None:
    """Two points up to 2R apart have a circle (Euclid III, 15); height 5 mm."""
    setting = rules.setting_from(CUTTER, entry_radius=entry, depth=depth, height=5.0)
    if there:
        assert setting is not None
        pivot = Point(setting.pivot_offset, -setting.pivot_standoff)
        assert Point(math.sqrt(entry**2 - 25), 0).distance(pivot) == pytest.approx(100)
        assert Point(0, depth).distance(pivot) == pytest.approx(100)
    else:
        assert setting is None


@pytest.mark.parametrize(
    ("p", "q"), [(100.0, 10.0), (-100.0, 10.0), (10.0, 100.0), (-70.0, 80.0), (70.0, 80.0)]
)
def test_pivots_from_which_the_cutter_misses(p: float, q: float) -> None:
    """A circle that meets neither face nor axis, or that meets the axis above the face."""
    assert rules.setting_at(CUTTER, pivot_offset=p, pivot_standoff=q, height=5.0) is None


def test_a_cutter_moved_off_the_wood_stays_where_it_was() -> None:
    """A setting error so large that the cut is none changes nothing."""
    setting = rules.setting_at(CUTTER, pivot_offset=10.0, pivot_standoff=50.0, height=5.0)
    assert setting is not None
    there = rules.moved(setting, offset=3.0, standoff=-2.0, height=5.0)
    assert (there.pivot_offset, there.pivot_standoff) == (13.0, 48.0)
    assert rules.moved(setting, offset=95.0, standoff=0.0, height=5.0) == setting


@pytest.mark.parametrize(
    ("p", "q", "relief", "spans"),
    [
        (10.0, 40.0, None, 1),
        (10.0, 40.0, Relief(shift=5.0, depth=8.0), 2),
        (10.0, 40.0, Relief(shift=0.0, depth=8.0), 1),
        (10.0, 40.0, Relief(shift=5.0, depth=0.0), 1),
        (91.0, 40.0, None, 0),  # the inner edge, of 91 mm, misses the axis
        (90.9, 40.0, None, 1),
        (10.0, 91.0, None, 0),  # and here the face
        (-60.0, 70.0, None, 0),  # past the axis already at the face
        (10.0, 40.0, Relief(shift=5.0, depth=51.0), 0),  # as deep as the edge itself
        (10.0, 40.0, Relief(shift=5.0, depth=50.9), 2),
        (-20.0, 40.0, Relief(shift=5.0, depth=49.0), 0),  # below the axis's depth
        (0.0, 40.0, Relief(shift=50.0, depth=49.0), 0),  # aside past the axis
        (0.0, 40.0, Relief(shift=58.2, depth=30.0), 0),
        (0.0, 40.0, Relief(shift=57.6, depth=30.0), 2),  # half a millimetre short of it
    ],
)
def test_the_outside_of_a_core(p: float, q: float, relief: Relief | None, spans: int) -> None:
    """Its parts lie on the inner edge, R less the kerf from the pivot, the relief part aside."""
    setting = CutSetting(
        cutter=CUTTER, pivot_offset=p, pivot_standoff=q, entry_radius=90.0, depth_at_axis=50.0
    )
    curves = rules.core_curves(setting, height=0.0, relief=relief)
    assert (0 if curves is None else len(curves)) == spans
    if curves is None:
        return
    for curve in curves:
        upper = relief is not None and curve is curves[0] and spans == 2
        centre = Point(p - (relief.shift if upper and relief else 0.0), -q)
        for point in points_along([curve]):
            assert centre.distance(Point(point)) == pytest.approx(91.0)
    points = points_along(curves)
    assert points[0][1] == pytest.approx(0.0, abs=1e-9)
    assert points[-1][0] == pytest.approx(0.0, abs=1e-9)
    if spans == 2 and relief is not None:
        assert curves[0].at(curves[0].end)[1] == pytest.approx(relief.depth)
        assert curves[1].at(curves[1].start)[1] == pytest.approx(relief.depth)


def test_a_tenon_beside_the_relief_step() -> None:
    """The step makes a waist: a tenon as wide as the part below it ends there, a wider one above.

    Depth on a circle about the pivot, by Pythagoras.
    """
    setting = rules.setting_at(CUTTER, pivot_offset=10.0, pivot_standoff=40.0, height=5.0)
    assert setting is not None
    curves = rules.core_curves(setting, height=5.0, relief=Relief(shift=5.0, depth=30.0))
    assert curves is not None
    waist, below = curves[0].at(curves[0].end)[0], curves[1].at(curves[1].start)[0]
    assert waist < below
    for radius, centre in ((waist, 10.0), (below - 0.001, 10.0), (below + 0.001, 5.0)):
        x = math.sqrt(radius**2 - 25)
        depth = math.sqrt(91**2 - (x - centre) ** 2) - 40
        assert rules.tenon_end(curves, 2 * radius) == pytest.approx(depth)
        assert (depth > 30) == (centre == 10.0)
    nearly = rules.tenon_end(curves, 2 * math.hypot(5.0, 0.5))
    assert nearly == pytest.approx(math.sqrt(91**2 - (0.5 - 10.0) ** 2) - 40)
    assert rules.tenon_end(curves, 9.9) is None  # less than the stub of 2 × 5 mm
    assert rules.tenon_end(curves, 400.0) is None


def test_a_relief_cut_that_reaches_the_axis_at_the_face_frees_no_core() -> None:
    """Shifted by 5 mm, an inner edge that meets the face 4.4 mm from the axis is past it.

    A pivot behind the face, as only a pinned cut has: the edge is widest below the face.
    """
    setting = rules.setting_at(CUTTER, pivot_offset=-64.0, pivot_standoff=-60.0, height=0.0)
    assert setting is not None
    assert -64.0 + math.sqrt(91**2 - 60**2) == pytest.approx(4.4, abs=0.05)
    for shift, found in ((4.0, True), (5.0, False)):
        curves = rules.core_curves(setting, height=0.0, relief=Relief(shift=shift, depth=20.0))
        assert (curves is not None) is found


def test_limits_are_met_at_their_own_figure() -> None:
    """A setting exactly at a limit keeps the rule, one a thousandth past it breaks it."""
    setting = rules.setting_at(CUTTER, pivot_offset=10.0, pivot_standoff=40.0, height=5.0)
    assert setting is not None
    job, shop = demo_job(), demo_shop()
    slope = math.degrees(math.asin(10 / 100))
    turned = math.degrees(math.acos(-10 / 100) - math.asin(40 / 100))
    for past, kept in ((0.0, True), (-1e-12, True), (0.001, False)):
        post = swap(shop.post, min_standoff=40.0 + past)
        assert rules.fits_standoff(setting, swap(shop, post=post)) is kept
        post = swap(shop.post, min_offset=10.0 + past, max_offset=99.0)
        assert rules.fits_offset(setting, swap(shop, post=post), None) is kept
        post = swap(shop.post, min_offset=7.0 + past, max_offset=99.0)
        relief = Relief(shift=3.0, depth=10.0)  # stands 3 mm further (design.md §4, rule 5)
        assert rules.fits_offset(setting, swap(shop, post=post), relief) is kept
        post = swap(shop.post, min_offset=-99.0, max_offset=10.0 - past)
        assert rules.fits_offset(setting, swap(shop, post=post), None) is kept
        nest = swap(job.nest, max_slope=slope - past)
        assert rules.fits_slope(setting, swap(job, nest=nest)) is kept
        cutter = swap(CUTTER, max_swing=turned - past)
        assert rules.fits_swing(swap(setting, cutter=cutter)) is kept


def test_the_bare_blade_that_is_needed() -> None:
    """Seen from the tip at the axis, the holder's corner is 5 mm in front of the face (rule 8).

    The end of the bare blade is on radius R; half of the holder's width and the 5 mm are then
    between it and the face.
    """
    cutter = swap(CUTTER, holder=40.0)
    setting = rules.setting_at(cutter, pivot_offset=10.0, pivot_standoff=40.0, height=5.0)
    assert setting is not None
    needed = setting.bare_needed
    assert needed is not None
    end = math.acos(-10.0 / 100) - needed
    assert 40.0 - 100.0 * math.sin(end) == pytest.approx(25.0)
    for arc, kept in ((None, True), (math.degrees(needed) + 1e-6, True), (80.0, False)):
        assert rules.fits_reach(swap(setting, cutter=swap(cutter, arc=arc))) is kept
    wide = swap(cutter, holder=300.0, arc=180.0)  # it meets the face even behind the pivot
    assert swap(setting, cutter=wide).bare_needed is None
    assert not rules.fits_reach(swap(setting, cutter=wide))


def test_offsets_at_which_a_blade_does_not_jam() -> None:
    """One range: inside it no place of the blade touches, a tenth outside of it one does (rule 9).

    Places of the blade along its arc and down its height, each at the true radius at which it
    meets the wood.
    """

    def jams(cutter: Cutter, offset: float, height: float) -> bool:
        assert cutter.section is not None
        width, tall = cutter.section
        middle = cutter.radius - cutter.kerf / 2
        for n in range(400):
            for down in range(41):
                y = height - tall * down / 40
                for side in (-1, 1):
                    rho = middle + side * width / 2
                    tip = rules.BLADE_TO + (offset + cutter.radius - rules.BLADE_TO) * n / 400
                    seen = math.sqrt(max(0.0, tip * tip + y * y - height * height))
                    grown = (seen - offset) ** 2 - (tip - offset) ** 2
                    if side > 0 and rho * rho + grown > cutter.radius**2 + 1e-6:
                        return True
                    if side < 0 and rho * rho + grown < cutter.inner_radius**2 - 1e-6:
                        return True
        return False

    for section in ((6.0, 20.0), (9.0, 20.0), (5.0, 25.0)):
        cutter = swap(CUTTER, kerf=12.0, section=section)
        low, high = rules.blade_offsets(cutter, 5.0)
        assert low < high
        for offset, jammed in (
            (low + 0.1, False), (high - 0.1, False), (low - 0.1, True), (high + 0.1, True),
        ):  # fmt: skip
            assert jams(cutter, offset, 5.0) is jammed
            setting = rules.setting_at(cutter, pivot_offset=offset, pivot_standoff=30.0, height=5.0)
            assert setting is not None
            assert rules.fits_blade(setting, height=5.0) is not jammed
    assert rules.blade_offsets(CUTTER, 5.0) == (-math.inf, math.inf)
    thick = swap(CUTTER, kerf=9.0, section=(9.0, 30.0))
    low, high = rules.blade_offsets(thick, 5.0)
    assert low > high


def test_a_dovetailed_tenon_in_a_core() -> None:
    """Its end face lies where the core is as wide as that; the neck is what the jaws close on.

    A flank of 10° over 9 mm: the end is 2 · 9 · tan 10° = 3.17 mm wider.
    """
    job, shop = demo_job(), demo_shop()
    setting = rules.setting_from(shop.cutters[2], entry_radius=141.5, depth=98.0, height=5.0)
    assert setting is not None
    for measured, neck in ((MeasuredAt.MOUTH, 100.0), (MeasuredAt.BOTTOM, 96.83)):
        jaws = make_jaws(100.0, measured_at=measured, dovetail_angle=10.0)
        body = deepest_core(setting, job, changed_shop(jaws=jaws))
        assert body is not None
        assert body.tenon_diameter == pytest.approx(neck, abs=0.005)
        assert body.tenon_end_diameter - body.tenon_diameter == pytest.approx(3.174, abs=5e-4)
        line = points_along(body.curves, max_gap=1e-4)
        end = body.shoulder + body.tenon_length
        assert Point(body.tenon_end_diameter / 2, end).distance(LineString(line)) < 1e-3


def test_a_core_of_the_least_size_is_one() -> None:
    """Rim and depth exactly as asked for are enough."""
    job, shop = demo_job(), demo_shop()
    setting = rules.setting_from(shop.cutters[2], entry_radius=141.5, depth=98.0, height=5.0)
    assert setting is not None
    body = deepest_core(setting, job, shop)
    assert body is not None
    for key, figure in (("min_bowl", 2 * body.rim_radius), ("min_depth", body.shoulder)):
        for past, kept in ((0.0, True), (-1e-12, True), (0.001, False)):
            asked = swap(job, nest=swap(job.nest, **{key: figure + past}))  # type: ignore[arg-type]
            assert (deepest_core(setting, asked, shop) is not None) is kept


def test_a_judged_core_that_nothing_holds() -> None:
    """Drawn as if jaws of the wished share held it, with the tenon as long as the job says.

    Where even that tenon lies outside the core it ends where the core does.
    """
    job, shop = demo_job(), changed_shop(jaws=())
    setting = rules.setting_from(demo_shop().cutters[2], entry_radius=141.5, depth=98.0, height=5.0)
    assert setting is not None
    assert deepest_core(setting, job, shop) is None
    body = core_as_held_best(setting, job, shop)
    assert body is not None
    assert body.jaws is None
    assert body.tenon_diameter == pytest.approx(2 * body.rim_radius * job.tenon.core_share)
    assert body.tenon_length == job.tenon.length
    end = rules.tenon_end(body.curves, body.tenon_end_diameter)  # type: ignore[arg-type]
    assert end is not None
    assert body.shoulder == pytest.approx(end - job.tenon.length)
    deeper = swap(job, nest=swap(job.nest, min_depth=body.shoulder + 1.0))
    assert core_as_held_best(setting, deeper, shop) == body
    tiny = changed_shop(
        jaws=make_jaws(6.0), rules=swap(demo_shop().rules, refuse_share=0.01)
    )  # its end face of 9.2 mm is narrower than the stub of 10 mm
    stuck = core_as_held_best(setting, job, tiny)
    assert stuck is not None
    assert stuck.jaws == tiny.jaws[0]
    bottom = stuck.curves[-1].at(stuck.curves[-1].end)[1]
    assert stuck.shoulder == pytest.approx(bottom - stuck.tenon_length)
    plain = core_as_held_best(setting, changed_job(relief=None), tiny)  # an edge of one arc
    assert plain is not None
    (arc,) = plain.curves
    assert plain.shoulder == pytest.approx(arc.at(arc.end)[1] - plain.tenon_length)
    short = swap(tiny.jaws[0], true_circle=100.0, depth=6.0)
    held = deepest_core(setting, job, changed_shop(jaws=(short,)))
    assert held is not None
    assert held.tenon_length == pytest.approx(4.5)  # 1.5 mm are left free below a tenon


def test_a_judged_core_above_its_relief() -> None:
    """A cut too shallow for the relief cut is drawn without it, and told of."""
    job, shop = changed_job(relief=Relief(shift=5.0, depth=80.0)), demo_shop()
    setting = rules.setting_from(shop.cutters[3], entry_radius=140.0, depth=70.0, height=5.0)
    assert setting is not None
    assert deepest_core(setting, job, shop) is None
    body = core_as_held_best(setting, job, shop)
    assert body is not None
    assert len(body.curves) == 1
    assert body.curves == rules.core_curves(setting, height=5.0, relief=None)


# -- worst cases --------------------------------------------------------------------------


def test_a_tenon_that_a_setting_error_leaves_beside_the_core() -> None:
    """Where the core as cut has no wood at the tenon's size, its floor counts from the face."""
    job = changed_job(setting_tolerance=1.0)
    own = rules.setting_at(CUTTER, pivot_offset=10.0, pivot_standoff=40.0, height=5.0)
    inner = rules.setting_at(
        swap(CUTTER, radius=70.0), pivot_offset=5.0, pivot_standoff=45.0, height=5.0
    )
    assert own is not None
    assert inner is not None
    body = core_as_held_best(own, job, demo_shop())
    assert body is not None
    narrow = swap(body, tenon_end_diameter=8.0)  # less than the stub of 10 mm
    _, floor = rules.worst_of(narrow, own, inner, job)
    assert floor == pytest.approx(0.0 - body.tenon_length - (70.0 - 45.0 + 1.0))


def test_a_setting_error_that_frees_no_core_counts_as_none() -> None:
    """Where the cut moved up would not reach below its relief, the core as planned is asked."""
    job = changed_job(setting_tolerance=1.0, relief=Relief(shift=5.0, depth=50.5))
    own = rules.setting_at(CUTTER, pivot_offset=10.0, pivot_standoff=40.0, height=5.0)
    inner = rules.setting_at(
        swap(CUTTER, radius=70.0), pivot_offset=5.0, pivot_standoff=45.0, height=5.0
    )
    assert own is not None
    assert inner is not None
    up = rules.moved(own, offset=0.0, standoff=1.0, height=5.0)
    assert rules.core_curves(up, height=5.0, relief=job.nest.relief) is None
    body = core_as_held_best(own, job, demo_shop())
    assert body is not None
    _, floor = rules.worst_of(body, own, inner, job)
    assert floor == pytest.approx(body.shoulder - inner.deepest - 1.0)  # the inner pivot, 1 down


# -- required walls -----------------------------------------------------------------------


def test_the_wall_a_job_asks_for() -> None:
    """A share of the rim's diameter, a length, or from drying by the formula of design §5.

    a = b - (b (1 - S_across) - f - m) / (1 - S_along), S at a moisture by Wood Handbook Eq. 4-9:
    the tabled shrinkage times (30 - M) / 30.
    """
    share = changed_job(wall=ShareWall(0.08))
    assert rules.required(share, rim_radius=100.0)[0] == pytest.approx(16.0)
    length = changed_job(wall=LengthWall(17.0))
    assert rules.required(length, rim_radius=100.0)[0] == 17.0
    assert rules.required(length, rim_radius=100.0)[1] == 17.0
    floor = changed_job(wall=LengthWall(17.0), floor=9.0)
    assert rules.required(floor, rim_radius=100.0)[1] == 9.0
    ash, own = wood_named("White ash"), OwnWood(radial=6.0, tangential=9.0, along=0.3)
    drying = changed_job(
        wood="White ash", wall=DryingWall(), finished_wall=8.0, truing_margin=3.0,
        final_moisture=12.0,
    )  # fmt: skip
    part = (30 - 12) / 30 / 100
    for across, given in itertools.product(("tangential", "radial"), (None, own)):
        job = swap(changed_job(drying, across=across), wood=given)
        tabled = getattr(given or ash, across)
        for b in (0.0, 60.0, 150.0):
            left = b * (1 - tabled * part) - 8.0 - 3.0
            wanted = b - left / (1 - (given or ash).along * part)
            assert rules.required(job, rim_radius=b)[0] == pytest.approx(wanted)


def test_a_drying_wall_needs_a_wood_with_its_shrinkage() -> None:
    """The finding names the wood, or that none is named, and what could be given instead."""
    lacking = OwnWood(specific_gravity=0.5)
    for wood, own, words in (
        ("", None, "the wood, which is not named"),
        ("", lacking, "no radial shrinkage for own wood"),
    ):
        asked = swap(changed_job(wood=wood, wall=DryingWall(), across="radial"), wood=own)
        with pytest.raises(InputError, match=words) as caught:
            rules.required(asked, rim_radius=100.0)
        assert str(caught.value).startswith("job: nest.wall: ")
        assert "radial" in str(caught.value)


# -- pinned cuts --------------------------------------------------------------------------


def test_pins_that_cannot_be_are_all_told() -> None:
    """Each has its place and its reason; one without a fault does not hide another."""
    pins = (
        PinnedCut(cutter="R80", entry_radius=90.0, depth_at_axis=60.0),
        PinnedCut(cutter="R81", entry_radius=90.0, depth_at_axis=60.0),
        PinnedCut(cutter="R80", entry_radius=190.0, depth_at_axis=160.0),
        PinnedCut(cutter="R80", pivot_offset=79.0, pivot_standoff=5.0),
        PinnedCut(cutter="R80", pivot_offset=81.0, pivot_standoff=30.0),
    )
    with pytest.raises(InputErrors) as caught:
        make_plan(changed_job(pinned=pins), demo_shop())
    places = [line.split(": ")[1] for line in caught.value.lines()]
    assert places == [f"nest.pinned[{n}]" for n in (2, 3, 4, 5)]
    reasons = [line.split(": ")[2] for line in caught.value.lines()]
    assert "'R81'" in reasons[0]
    assert "R80, R105, R135, R170" in reasons[0]
    assert [("80 mm" in r, "frees no core" in r) for r in reasons[1:]] == [
        (True, False),
        (False, True),
        (True, False),
    ]
    mends = ["R170", "another entry and depth", "a larger entry or depth", "another entry"]
    assert all(m in reason for m, reason in zip(mends, reasons, strict=True))


def test_pins_are_cut_from_the_rim_inward() -> None:
    """Whatever their order in the file; by pivot or by marks it is the same cut."""
    free = demo_plan()
    back = plan_of(pinned=tuple(map(pin_of, free.cuts[::-1])), add_cuts=False)
    assert back.cuts == free.cuts
    assert back.bowls == free.bowls


@pytest.mark.parametrize("objective", ["most", "largest"])
def test_a_pin_that_no_core_can_hold(objective: str) -> None:
    """Deeper than any core leaves room for: nothing is put around it, and it is told of."""
    for entry, depth in ((90.0, 140.0), (120.0, 150.0), (100.0, 120.0), (150.0, 158.0)):
        pin = PinnedCut(cutter="R170", entry_radius=entry, depth_at_axis=depth)
        plan = plan_of(pinned=(pin,), objective=objective)
        marks = [(c.entry_radius, c.depth_at_axis) for c in plan.cuts]
        assert (entry, depth) in marks
        place = marks.index((entry, depth))
        stops = [str(f.text) for f in plan.findings if f.level is Level.STOP]
        assert all(f"bowl {n + 1}:" not in text for n in range(place) for text in stops)


@pytest.mark.parametrize("offsets", [(200.0, 400.0), (-400.0, -200.0), (60.0, 61.0)])
def test_a_post_that_no_cutter_can_stand_on(offsets: tuple[float, float]) -> None:
    """Offsets past every cutter, or so great that every cut is too steep at the axis."""
    post = swap(demo_shop().post, min_offset=offsets[0], max_offset=offsets[1])
    plan = plan_of(shop=changed_shop(post=post))
    assert not plan.cuts
    assert [f.rule for f in plan.findings if f.level is Level.STOP] == ["cutter"]


@pytest.mark.parametrize(
    ("seed", "marks", "tolerance"),
    [(169, ((145.0, 90.0), (95.0, 50.0)), 2.0), (390, ((215.0, 135.0), (175.0, 100.0)), 3.0)],
)
def test_no_place_is_left_out_where_settings_might_make_the_wall_least(
    seed: int, marks: tuple[tuple[float, float], ...], tolerance: float
) -> None:
    """Edges nearly alike, one in the other: the worst wall is not where the nominal one is least.

    It is sought from every place whose wall may become the least, and from no more; so it is the
    same if it is sought from all of them.
    """
    job, shop, _ = invented(seed)
    job = swap(job, nest=swap(job.nest, setting_tolerance=tolerance))
    height = job.nest.height_above_centre
    own, inner = (
        rules.setting_from(shop.cutters[0], entry_radius=entry, depth=depth, height=height)
        for entry, depth in marks
    )
    assert own is not None
    assert inner is not None
    body = deepest_core(own, job, shop)
    assert body is not None
    edge = rules.edge_of(inner, height=height)
    every = least_places(body.curves, edge, within=1e6)
    worst = rules.worst_of(body, own, inner, job, near=every)[0]
    assert rules.worst_of(body, own, inner, job)[0] == pytest.approx(worst, abs=1e-6)
    nominal = least_places(body.curves, edge, within=0.0)
    least = rules.worst_of(body, own, inner, job, near=nominal)[0]
    assert least >= worst - 1e-6
