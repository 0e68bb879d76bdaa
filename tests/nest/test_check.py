"""The second look at a plan: it passes what is right and catches every kind of spoiled plan."""

from pathlib import Path

import pytest
from builders import demo_plan, plan_of
from changed_plans import with_bowl
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from templategen.cli.main import app
from templategen.errors import OutputError
from templategen.nest import planner
from templategen.nest.check import check_plan
from templategen.trade.records import LengthWall, Relief


@given(
    diameter=st.floats(180, 500),
    share=st.floats(0.3, 0.55),
    wall=st.floats(8, 25),
    height=st.sampled_from([0.0, 5.0, 10.0]),
    relief=st.sampled_from([None, Relief(), Relief(shift=3, depth=12)]),
    outside=st.sampled_from(["arc", "cylinder", "even"]),
    order=st.sampled_from(["inner-first", "outer-first"]),
    guard=st.sampled_from(["nominal", "worst"]),
)
@settings(max_examples=40, deadline=None, derandomize=True)
def test_any_plan_without_a_stop_passes(
    diameter: float, share: float, wall: float, height: float, **wishes: object
) -> None:
    """Whatever the blank: the planner's figures are those of the outlines (shapely)."""
    plan = plan_of(
        diameter=diameter,
        height=diameter * share,
        wall=LengthWall(wall),
        height_above_centre=height,
        min_bowl=90.0,
        **wishes,
    )
    if not plan.has_stop:
        check_plan(plan)


def test_nothing_is_printed_of_a_spoiled_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`pack` stops before any file or folder is made."""
    wrong = with_bowl(demo_plan(), 1, wall=99.0)
    monkeypatch.setattr(planner, "make_plan", lambda *_, **__: wrong)
    done = CliRunner().invoke(app, ["pack", "--out", str(tmp_path / "out"), "--format", "pdf,svg"])
    assert isinstance(done.exception, OutputError)
    assert done.exception.exit_code == 3
    assert not list(tmp_path.iterdir())
