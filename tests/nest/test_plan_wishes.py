"""Pinned cuts, working order, guard, what would free a blank, and searches that take long."""

import dataclasses
import json
import os
from pathlib import Path

import pypdfium2
import pytest
from builders import changed_job, changed_shop, demo_plan, pin_of, plan_of
from commands import Run

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import chains, chart, suggestions
from templategen.nest.check import check_plan
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import make_plan
from templategen.nest.search import GAP
from templategen.trade.records import PinnedCut

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"


def _sizes(plan: Plan) -> float:
    return sum(bowl.size for bowl in plan.bowls)


@pytest.fixture(scope="module")
def told() -> Plan:
    """A job whose bowls must be wide, with suggestions."""
    return make_plan(changed_job(min_bowl=180.0), demo_shop())


def test_pinning_the_planners_own_cuts_changes_nothing() -> None:
    """Each cut pinned alone, by marks or by pivot: as many bowls and as large, within the gap."""
    free = demo_plan()
    for cut in free.cuts:
        by_pivot = PinnedCut(
            cutter=cut.cutter.id, pivot_offset=cut.pivot_offset, pivot_standoff=cut.pivot_standoff
        )
        for pin in (pin_of(cut), by_pivot):
            plan = plan_of(pinned=(pin,))
            assert len(plan.bowls) == len(free.bowls)
            assert not plan.has_stop
            assert _sizes(plan) >= _sizes(free) / (1 + GAP)
            assert any(
                c.pivot_offset == pytest.approx(cut.pivot_offset)
                and c.pivot_standoff == pytest.approx(cut.pivot_standoff)
                for c in plan.cuts
            )


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
    plan = plan_of(pinned=(pin,), add_cuts=False)
    assert len(plan.cuts) == 1  # nothing is added
    found = [f for f in plan.findings if f.level is Level.STOP and f.rule == rule]
    assert found, plan.findings
    assert any(
        words in str(f.text) and "has" in str(f.text) and "needs" in str(f.text) for f in found
    )


def test_outer_first_holds_cores_by_holding_tenons() -> None:
    """A core that is cored again is held as the blank is: half its rim (common practice)."""
    inner = demo_plan()
    outer = plan_of(order="outer-first")
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
    nominal = demo_plan()
    guarded = plan_of(guard="worst")
    assert not guarded.has_stop
    assert len(guarded.cuts) >= 1
    for bowl in guarded.bowls:
        if bowl.wall_worst is not None:
            assert bowl.wall_worst >= (bowl.wall_required or 0) - 1e-4
            assert (bowl.floor_worst or 0) >= (bowl.floor_required or 0) - 1e-4
    assert (len(guarded.bowls), _sizes(guarded)) < (len(nominal.bowls), _sizes(nominal))


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


def test_chart_command(run: Run, tmp_path: Path) -> None:
    """On the terminal, as JSON and as a page; wrong ranges are one line."""
    some = ("chart", "--diameters", "300-400/50", "--heights", "120-180/60")
    code, out, err = run(*some, "--pdf", "c.pdf")
    assert code == 0, err
    assert "400 mm" in out
    page = pypdfium2.PdfDocument((tmp_path / "c.pdf").read_bytes())[0]
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
    lathe = dataclasses.replace(demo_shop().lathe, swing=1200)
    shop = changed_shop(cutters=cutters, jaws=jaws, lathe=lathe)
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
    usual = demo_plan()
    assert not [f for f in usual.findings if f.rule == "marks"]


@pytest.mark.parametrize("most", [20, 30, 60])
def test_a_search_that_would_take_long_ends_with_a_plan_and_says_so(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less work allowed: still a plan that keeps every rule, at most as good, with a note."""
    full = demo_plan()
    monkeypatch.setattr(chains, "MOST_WORK", most)
    plan = plan_of()
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
    plan = make_plan(changed_job(min_bowl=180.0), demo_shop())
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
