"""The second look at a plan: it passes what is right and catches every kind of spoiled plan."""

import dataclasses
from pathlib import Path

import pytest
from changed_plans import with_bowl
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from templategen.cli.main import app
from templategen.errors import OutputError
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import planner
from templategen.nest.check import check_plan
from templategen.nest.planner import make_plan
from templategen.trade.records import LengthWall, Relief


@given(
    diameter=st.floats(180, 500),
    share=st.floats(0.3, 0.55),
    wall=st.floats(8, 25),
    height=st.sampled_from([0.0, 5.0, 10.0]),
    relief=st.sampled_from([None, Relief(), Relief(shift=3, depth=12)]),
    outside=st.sampled_from(["arc", "cylinder", "even"]),
    order=st.sampled_from(["inner-first", "outer-first"]),
)
@settings(max_examples=40, deadline=None, derandomize=True)
def test_any_plan_without_a_stop_passes(
    diameter: float,
    share: float,
    wall: float,
    height: float,
    relief: Relief | None,
    outside: str,
    order: str,
) -> None:
    """Whatever the blank: the planner's figures are those of the outlines (shapely)."""
    job = demo_job()
    blank = dataclasses.replace(
        job.blank, diameter=diameter, height=diameter * share, outside=outside
    )
    nest = dataclasses.replace(
        job.nest,
        wall=LengthWall(wall),
        height_above_centre=height,
        relief=relief,
        order=order,
        min_bowl=90.0,
    )
    plan = make_plan(
        dataclasses.replace(job, blank=blank, nest=nest), demo_shop(), with_suggestions=False
    )
    if not plan.has_stop:
        check_plan(plan)


@pytest.mark.parametrize("guard", ["nominal", "worst"])
@pytest.mark.parametrize("height", [0.0, 5.0, 12.0])
def test_a_right_plan_passes(guard: str, height: float) -> None:
    """Plans on centre and above it, by nominal and by worst figures."""
    job = demo_job()
    nest = dataclasses.replace(job.nest, guard=guard, height_above_centre=height)
    plan = make_plan(dataclasses.replace(job, nest=nest), demo_shop(), with_suggestions=False)
    assert not plan.has_stop
    check_plan(plan)


def test_nothing_is_printed_of_a_spoiled_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`pack` stops before any file or folder is made."""
    wrong = with_bowl(make_plan(demo_job(), demo_shop(), with_suggestions=False), 1, wall=99.0)
    monkeypatch.setattr(planner, "make_plan", lambda *_, **__: wrong)
    done = CliRunner().invoke(app, ["pack", "--out", str(tmp_path / "out"), "--format", "pdf,svg"])
    assert isinstance(done.exception, OutputError)
    assert done.exception.exit_code == 3
    assert not list(tmp_path.iterdir())
