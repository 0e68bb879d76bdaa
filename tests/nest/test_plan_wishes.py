"""PinnedCut cuts, working order, guard, findings with figures, mends, sensitivity and the chart."""

import dataclasses
import json
import os
from pathlib import Path

import pypdfium2
import pytest
from commands import Run
from cores import blank_shape

from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import chains, chart, suggestions
from templategen.nest.check import check_plan
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import make_plan
from templategen.nest.rules import moved, setting_from, wall_of
from templategen.nest.search import GAP
from templategen.trade.records import Job, PinnedCut

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"


def _job(**changes: object) -> Job:
    job = demo_job()
    return dataclasses.replace(job, nest=dataclasses.replace(job.nest, **changes))  # type: ignore[arg-type]


def _sizes(plan: Plan) -> float:
    return sum(bowl.size for bowl in plan.bowls)


@pytest.fixture(scope="module")
def free() -> Plan:
    """The demo plan without pins."""
    return make_plan(demo_job(), demo_shop(), with_suggestions=False)


@pytest.fixture(scope="module")
def told() -> Plan:
    """A job whose bowls must be wide, with suggestions."""
    return make_plan(_job(min_bowl=180.0), demo_shop())


def test_pinning_the_planners_own_cuts_changes_nothing(free: Plan) -> None:
    """Each cut pinned alone, by marks or by pivot: as many bowls and as large, within the gap."""
    for cut in free.cuts:
        by_marks = PinnedCut(
            cutter=cut.cutter.id, entry_radius=cut.entry_radius, depth_at_axis=cut.depth_at_axis
        )
        by_pivot = PinnedCut(
            cutter=cut.cutter.id, pivot_offset=cut.pivot_offset, pivot_standoff=cut.pivot_standoff
        )
        for pin in (by_marks, by_pivot):
            plan = make_plan(_job(pinned=(pin,)), demo_shop(), with_suggestions=False)
            assert len(plan.bowls) == len(free.bowls)
            assert not plan.has_stop
            assert _sizes(plan) >= _sizes(free) / (1 + GAP)
            assert any(
                c.pivot_offset == pytest.approx(cut.pivot_offset)
                and c.pivot_standoff == pytest.approx(cut.pivot_standoff)
                for c in plan.cuts
            )


def test_the_largest_core_still_holds_the_pinned_one(free: Plan) -> None:
    """With the objective `largest` a core is put around a pinned cut, not given up for it."""
    inner = free.cuts[1]
    pin = PinnedCut(
        cutter=inner.cutter.id, entry_radius=inner.entry_radius, depth_at_axis=inner.depth_at_axis
    )
    plan = make_plan(_job(pinned=(pin,), objective="largest"), demo_shop(), with_suggestions=False)
    assert not plan.has_stop
    assert plan.cuts[0].entry_radius > inner.entry_radius
    assert plan.bowls[1].size > plan.bowls[2].size


def test_pins_alone_are_only_judged(free: Plan) -> None:
    """With add_cuts = false nothing is added."""
    pin = PinnedCut(cutter="R135", entry_radius=141.5, depth_at_axis=98.0)
    plan = make_plan(_job(pinned=(pin,), add_cuts=False), demo_shop())
    assert len(plan.cuts) == 1
    assert len(free.cuts) > 1


@pytest.mark.parametrize(
    ("pin", "rule", "words"),
    [
        (PinnedCut(cutter="R170", entry_radius=190.0, depth_at_axis=148.5), "wall", "needs 22 mm"),
        (PinnedCut(cutter="R170", entry_radius=172.0, depth_at_axis=160.0), "floor", "needs 22 mm"),
        (
            PinnedCut(cutter="R170", pivot_offset=0.0, pivot_standoff=5.0),
            "cutter",
            "at least 15 mm",
        ),
        (PinnedCut(cutter="R80", pivot_offset=-20.0, pivot_standoff=20.0), "cutter", "slope"),
        (PinnedCut(cutter="R170", entry_radius=90.0, depth_at_axis=26.0), "cutter", "relief"),
        (PinnedCut(cutter="R80", entry_radius=55.0, depth_at_axis=45.0), "bowl size", "120 mm"),
    ],
)
def test_a_pinned_cut_that_breaks_a_rule_is_a_stop(pin: PinnedCut, rule: str, words: str) -> None:
    """The finding names the rule, the figure it has and the figure it needs."""
    plan = make_plan(_job(pinned=(pin,), add_cuts=False), demo_shop())
    found = [f for f in plan.findings if f.level is Level.STOP and f.rule == rule]
    assert found, plan.findings
    assert any(
        words in str(f.text) and "has" in str(f.text) and "needs" in str(f.text) for f in found
    )


def test_pins_survive_the_file() -> None:
    """Read from a table, written to one and read again: the same job."""
    table = {
        "title": "Invented",
        "blank": {"diameter": 400, "height": 180},
        "nest": {
            "order": "outer-first",
            "add_cuts": False,
            "pinned": [
                {"cutter": "R170", "entry_radius": 170, "depth_at_axis": "5 1/2 in"},
                {"cutter": "R80", "pivot_offset": 4, "pivot_standoff": 33},
            ],
        },
    }
    job = job_from_table(table, where="j")
    assert job.nest.pinned[0].depth_at_axis == pytest.approx(139.7)
    assert job_from_table(job_to_table(job), where="j") == job


def test_outer_first_holds_cores_by_holding_tenons() -> None:
    """A core that is cored again is held as the blank is: half its rim (common practice)."""
    inner = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    outer = make_plan(_job(order="outer-first"), demo_shop(), with_suggestions=False)
    assert inner.sequence == tuple(range(len(inner.cuts), 0, -1))
    assert outer.sequence == tuple(range(1, len(outer.cuts) + 1))
    for plan, share in ((inner, 0.4), (outer, 0.5)):
        for bowl in plan.bowls[1:2]:  # further in a bowl more comes first
            assert bowl.jaws is not None
            nearest = min(
                (j.true_circle for j in demo_shop().jaws if j.true_circle >= bowl.rim_diameter / 3),
                key=lambda d: abs(d - share * bowl.rim_diameter),
            )
            assert bowl.tenon_diameter == nearest
    assert not outer.has_stop


def test_guard_worst_keeps_every_worst_case() -> None:
    """With guard = "worst" worst walls and floors meet the requirement, at some cost."""
    nominal = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    guarded = make_plan(_job(guard="worst"), demo_shop(), with_suggestions=False)
    assert not guarded.has_stop
    assert len(guarded.cuts) >= 1
    for bowl in guarded.bowls:
        if bowl.wall_worst is not None:
            assert bowl.wall_worst >= (bowl.wall_required or 0) - 1e-4
            assert (bowl.floor_worst or 0) >= (bowl.floor_required or 0) - 1e-4
    assert (len(guarded.bowls), _sizes(guarded)) < (len(nominal.bowls), _sizes(nominal))


def test_each_mend_keeps_its_word(told: Plan) -> None:
    """What a mend promises comes true when its change is made (planned again here)."""
    mends = [f for f in told.findings if str(f.text).startswith("with ")]
    (bowl,) = [f for f in mends if "bowls down to" in str(f.text)]
    size = float(str(bowl.text).split("down to ")[1].split(" mm")[0])
    again = make_plan(_job(min_bowl=size), demo_shop(), with_suggestions=False)
    more = len(again.bowls) - len(told.bowls)
    assert more >= 1
    assert ("one more bowl" in str(bowl.text)) == (more == 1)


def test_a_blank_no_cutter_fits_says_what_would_free_it() -> None:
    """A stop with its rule, and a change that was tried."""
    only = dataclasses.replace(demo_shop().cutters[0], id="R300", radius=300.0)
    shop = dataclasses.replace(demo_shop(), cutters=(only,))
    blank = dataclasses.replace(demo_job().blank, diameter=300.0, height=150.0)
    plan = make_plan(dataclasses.replace(demo_job(), blank=blank), shop)
    assert [f.rule for f in plan.findings if f.level is Level.STOP] == ["cutter"]
    (told,) = [f for f in plan.findings if f.rule == "another cutter"]
    radius = float(str(told.text).split("of ")[1].split(" mm")[0])
    wider = dataclasses.replace(
        shop, cutters=(only, dataclasses.replace(only, id="new", radius=radius))
    )
    again = make_plan(dataclasses.replace(demo_job(), blank=blank), wider, with_suggestions=False)
    assert len(again.bowls) > len(plan.bowls)


def test_sensitivity_is_what_a_moved_setting_does(free: Plan) -> None:
    """A tenth of a millimetre out in offset or standoff: the wall of the outer bowl follows."""
    cut, bowl = free.cuts[0], free.bowls[0]
    setting = setting_from(
        cut.cutter, entry_radius=cut.entry_radius, depth=cut.depth_at_axis, height=5.0
    )
    assert setting is not None
    assert bowl.wall is not None
    body = blank_shape(free.job, free.shop)
    for offset, standoff, told in (
        (0.1, 0.0, cut.sensitivity.offset),
        (0.0, 0.1, cut.sensitivity.standoff),
    ):
        there = moved(setting, offset=offset, standoff=standoff, height=5.0)
        change = wall_of(body, there, height=5.0)[0] - bowl.wall
        assert change == pytest.approx(0.1 * told, abs=0.01)
    assert cut.sensitivity.offset < -0.9  # a pivot further out thins the wall about as much


def test_chart_command(run: Run, tmp_path: Path) -> None:
    """On the terminal, as JSON and as a page; wrong ranges are one line."""
    some = ("chart", "--diameters", "300-400/50", "--heights", "120-180/60")
    code, out, err = run(*some, "--pdf", "c.pdf")
    assert code == 0, err
    assert "400 mm" in out
    page = pypdfium2.PdfDocument((tmp_path / "here" / "c.pdf").read_bytes())[0]
    words = page.get_textpage().get_text_range()
    assert "diameter" in words
    assert "180 mm" in words
    told = json.loads(run(*some, "--json")[1])
    assert [b["bowls"] for b in told["blanks"]][-1] >= 3
    for bad in ("x", "400-300/50", "1-2/3", "300-400/0", "nan-400/5", "300-400/0.001"):
        code, _, err = run("chart", "--diameters", bad)
        assert code == 2
        assert len(err.splitlines()) == 1
        assert "--diameters" in err


@pytest.mark.parametrize(("height", "whole"), [(300.0, True), (400.0, False)])
def test_a_huge_blank_with_many_cutters_is_planned_on_coarser_marks(
    height: float, *, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twenty cutters and a metre of blank: a plan in seconds, and a note of what was not tried."""
    if not whole and not DEEP:  # the same end, sooner
        monkeypatch.setattr(chains, "MOST_WORK", chains.MOST_WORK // 5)
    cutters = tuple(
        dataclasses.replace(demo_shop().cutters[0], id=f"R{r}", radius=float(r))
        for r in range(100, 500, 20)
    )
    jaws = tuple(
        dataclasses.replace(demo_shop().jaws[0], id=f"{d}", true_circle=float(d))
        for d in range(50, 600, 50)
    )
    shop = dataclasses.replace(
        demo_shop(),
        cutters=cutters,
        jaws=jaws,
        lathe=dataclasses.replace(demo_shop().lathe, swing=1200),
    )
    blank = dataclasses.replace(demo_job().blank, diameter=1000.0, height=height)
    plan = make_plan(dataclasses.replace(demo_job(), blank=blank), shop, with_suggestions=False)
    assert len(plan.bowls) >= 5
    (note,) = [f for f in plan.findings if f.rule == "marks"]
    assert ("not all were tried" in str(note.text)) == (not whole)
    marks = float(str(note.text).split("marks of ")[1].split(" mm")[0]) if whole else 1.0
    assert marks > 0.5
    for cut in plan.cuts:
        assert cut.entry_radius / marks == pytest.approx(round(cut.entry_radius / marks))
        assert cut.depth_at_axis / marks == pytest.approx(round(cut.depth_at_axis / marks))
    usual = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    assert not [f for f in usual.findings if f.rule == "marks"]


@pytest.mark.parametrize("most", [20, 30, 60])
def test_a_search_that_would_take_long_ends_with_a_plan_and_says_so(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less work allowed: still a plan that keeps every rule, at most as good, with a note."""
    full = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    monkeypatch.setattr(chains, "MOST_WORK", most)
    plan = make_plan(demo_job(), demo_shop(), with_suggestions=False)
    check_plan(plan)
    assert not plan.has_stop
    assert len(plan.bowls) <= len(full.bowls)
    notes = [f for f in plan.findings if f.rule == "marks"]
    assert notes or plan.cuts == full.cuts
    assert most > 20 or notes


def test_a_mend_that_would_take_long_is_not_told(
    told: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A change that could not be planned in time is neither promised nor called in vain."""
    assert any("bowls down to" in str(f.text) for f in told.findings)
    monkeypatch.setattr(suggestions, "TRIAL_WORK", 0)
    plan = make_plan(_job(min_bowl=180.0), demo_shop())
    assert not [f for f in plan.findings if f.changed is not None]
    tried = [str(label) for f in plan.findings for label in f.tried]
    assert not any("bowls down to" in label for label in tried)


def test_a_chart_goes_on_where_a_blank_would_take_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """A blank that would take long is charted on wider marks, never with more bowls."""
    sizes = {"diameters": [300.0, 400.0], "heights": [120.0, 180.0]}
    full = list(chart.every_cell(chart.make_chart(demo_job(), demo_shop(), **sizes)))
    monkeypatch.setattr(chart, "CELL_WORK", 20)
    quick = list(chart.every_cell(chart.make_chart(demo_job(), demo_shop(), **sizes)))
    assert [q.bowls <= f.bowls for q, f in zip(quick, full, strict=True)] == [True] * 4
    assert [q.rims for q in quick] != [f.rims for f in full]
