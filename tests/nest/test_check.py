"""The second look at a plan: it passes what is right and catches every kind of spoiled plan."""

import dataclasses
import random
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from templategen.cli.main import app
from templategen.errors import OutputError
from templategen.geometry.measure import least_gap
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import planner
from templategen.nest.check import check_plan
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.trade.records import LengthWall, Relief


def test_the_gap_is_that_of_a_general_library() -> None:
    """Least gaps of 200 pairs of random lines, crossing ones too, against shapely."""
    dice = random.Random(1)
    for _ in range(200):
        one, other = (
            [(dice.uniform(0, 50), dice.uniform(0, 50)) for _ in range(dice.randint(2, 5))]
            for _ in range(2)
        )
        wanted = shapely.LineString(one).distance(shapely.LineString(other))
        assert least_gap(one, other) == pytest.approx(wanted, abs=1e-9)


@given(
    diameter=st.floats(180, 500),
    share=st.floats(0.3, 0.55),
    wall=st.floats(8, 25),
    height=st.sampled_from([0.0, 5.0, 10.0]),
    relief=st.sampled_from([None, Relief(), Relief(shift=3, depth=12)]),
    outside=st.sampled_from(["arc", "cylinder"]),
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
        dataclasses.replace(job, blank=blank, nest=nest), demo_shop(), with_mends=False
    )
    if not plan.has_stop:
        check_plan(plan)


@pytest.mark.parametrize("guard", ["nominal", "worst"])
@pytest.mark.parametrize("height", [0.0, 5.0, 12.0])
def test_a_right_plan_passes(guard: str, height: float) -> None:
    """Plans on centre and above it, by nominal and by worst figures."""
    job = demo_job()
    nest = dataclasses.replace(job.nest, guard=guard, height_above_centre=height)
    plan = make_plan(dataclasses.replace(job, nest=nest), demo_shop(), with_mends=False)
    assert not plan.has_stop
    check_plan(plan)


def _spoiled(plan: Plan, what: str) -> Plan:
    cut, piece, core = plan.cuts[0], plan.bowls[0], plan.bowls[1]
    swap = dataclasses.replace
    match what:
        case "wall":
            piece = swap(piece, wall=piece.wall + 0.05)
        case "floor":
            piece = swap(piece, floor=piece.floor + 0.05)
        case "thin":  # the outside turned 2 mm smaller than the planner thought
            outside = tuple((max(0.0, r - 2.0), z) for r, z in plan.outside)
            plan = swap(plan, outside=outside)
        case "bottoms":
            piece = swap(piece, tenon_length=piece.jaws.depth - 1.0)
        case "jaws":
            core = swap(core, jaws=swap(core.jaws, id="borrowed"))
        case "offset":
            cut = swap(cut, pivot_offset=cut.pivot_offset + 0.01)
        case "marks":
            cut = swap(cut, entry_radius=cut.entry_radius + 0.1)
        case "core":
            bent = tuple((r, z + 0.01) for r, z in core.outline)
            core = swap(core, outline=bent)
        case "volume":
            piece = swap(piece, volume=piece.volume * 1.001)
        case _:
            plan = swap(plan, sequence=plan.sequence[:-1])
    return swap(plan, cuts=(cut, *plan.cuts[1:]), bowls=(piece, core, *plan.bowls[2:]))


KINDS = ["wall", "floor", "thin", "bottoms", "jaws", "offset", "marks", "core", "volume", "order"]


@pytest.mark.parametrize("what", KINDS)
def test_a_spoiled_plan_is_caught(what: str) -> None:
    """A figure that its outline does not show, or an outline that its cut does not give."""
    plan = make_plan(demo_job(), demo_shop(), with_mends=False)
    with pytest.raises(OutputError, match="failed its own check"):
        check_plan(_spoiled(plan, what))


def test_a_wall_that_is_too_thin_is_caught_though_the_plan_believes_it() -> None:
    """The required wall is worked out anew from the job, not read from the plan."""
    plan = make_plan(demo_job(), demo_shop(), with_mends=False)
    thicker = dataclasses.replace(plan.job.nest, wall=LengthWall(plan.bowls[0].wall + 1.0))
    with pytest.raises(OutputError, match="piece 0: wall measures"):
        check_plan(dataclasses.replace(plan, job=dataclasses.replace(plan.job, nest=thicker)))


def test_nothing_is_printed_of_a_spoiled_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`pack` stops before any file or folder is made."""
    right = make_plan(demo_job(), demo_shop(), with_mends=False)
    monkeypatch.setattr(planner, "make_plan", lambda *_, **__: _spoiled(right, "wall"))
    done = CliRunner().invoke(app, ["pack", "--out", str(tmp_path / "out"), "--format", "pdf,svg"])
    assert isinstance(done.exception, OutputError)
    assert done.exception.exit_code == 3
    assert not list(tmp_path.iterdir())
