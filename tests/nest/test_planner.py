"""The planner against shapely distances, a general reference, and the trade's usual figures."""

import itertools
import json
import math

import pytest
from builders import invented_plan, make_job, make_shop, plan_of
from shapely.geometry import LineString

from templategen.nest.plan import Cut, Plan
from templategen.nest.plan_json import plan_to_json


@pytest.fixture
def plan() -> Plan:
    """The 400 × 180 plan."""
    return invented_plan()


def test_400_gives_outer_bowl_and_three_cores(plan: Plan) -> None:
    """A 400 × 180 blank with cutters of 80 to 170 mm (common practice, no source)."""
    assert len(plan.bowls) == 4
    assert not plan.has_stop


def test_spacing_near_common_practice(plan: Plan) -> None:
    """About 36 mm from mark to mark covers wall, kerf and relief (common practice, no source).

    Wall 22 + kerf 9 + relief 5 = 36; the planner may not go below it.
    """
    marks = [cut.entry_radius for cut in plan.cuts]
    for outer, inner in itertools.pairwise(marks):
        assert outer - inner >= 36 - 0.01


def _edge(cut: Cut, *, radius: float, shift_above: float = 0.0) -> list[tuple[float, float]]:
    """An edge sampled from the cut's published figures, in true radii, relief step included."""
    points = []
    for n in range(4001):
        z = cut.deepest * n / 4000
        rest = radius**2 - (z + cut.pivot_standoff) ** 2
        if rest < 0:
            break
        shift = cut.relief.shift if cut.relief and z < cut.relief.depth * shift_above else 0.0
        x = cut.pivot_offset + math.sqrt(rest) - shift
        if x < 0:
            break
        points.append((math.hypot(x, cut.cutter_height), z))
    return points


def test_walls_measured_by_shapely(plan: Plan) -> None:
    """Shapely's distance between the two curves that bound a bowl is the wall stated."""
    for bowl, cut in zip(plan.bowls, plan.cuts, strict=False):
        inside = LineString(_edge(cut, radius=cut.cutter.radius))
        if bowl.number == 1:
            curve = [p for p in plan.outside if p[0] > bowl.tenon_diameter / 2 + 5]
        else:
            own = plan.cut_freeing(bowl)
            assert own is not None
            curve = _edge(own, radius=own.cutter.radius - own.cutter.kerf, shift_above=1.0)
        measured = inside.distance(LineString(curve))
        assert bowl.wall is not None
        assert bowl.wall_required is not None
        assert measured == pytest.approx(bowl.wall, abs=0.02)
        assert measured >= bowl.wall_required - 0.02


def test_json_is_plain(plan: Plan) -> None:
    """The exported plan is plain JSON with the stated format and every bowl."""
    data = json.loads(json.dumps(plan_to_json(plan)))
    assert data["format"] == "templategen-plan/2"
    assert [p["number"] for p in data["bowls"]] == [1, 2, 3, 4]
    assert [p["kind"] for p in data["bowls"]] == ["bowl", "bowl", "bowl", "core"]
    assert data["bowls"][3]["wall"] is None
    assert list(data) == [
        "format", "job", "shop", "blank", "cuts", "bowls", "sequence", "findings", "speed",
        "log", "sets", "yield",
    ]  # fmt: skip
    assert list(data["blank"]) == ["diameter", "height", "wood", "outside"]
    assert data["blank"] == {"diameter": 400, "height": 180, "wood": "", "outside": "arc"}
    assert set(data["cuts"][0]) == {
        "number", "cutter", "radius", "kerf", "pivot_offset", "pivot_standoff", "cutter_height",
        "entry_radius", "entry_from_rim", "depth_at_axis", "deepest", "swing", "slope", "stub",
        "relief_shift", "relief_depth", "touch_angle", "stop_angle", "stop_depth", "stop_neck",
        "release_angle", "release_neck", "through_angle", "bare_blade_needed", "rub_radius",
        "below_centre_radius", "force_entry", "force_half", "force_release",
    }  # fmt: skip
    assert set(data["bowls"][0]) == {
        "number", "kind", "rim_diameter", "depth", "wall", "wall_greatest", "wall_required",
        "wall_worst", "floor", "floor_required", "tenon_diameter", "tenon_end_diameter",
        "tenon_length", "tenon_share", "jaws", "dried_across", "dried_along", "rim_out_of_flat",
        "largest_circle", "dried_jaws", "dried_tenon_diameter", "size", "volume", "outline",
    }  # fmt: skip


def test_json_of_what_is_not_there() -> None:
    """A drawn outside as points, no relief as nought, no jaws as null; the yield of the blank."""
    points = ((200.0, 0.0), (196.0, 60.0), (150.0, 130.0), (110.0, 170.0))
    plan = plan_of(make_job(), make_shop(), outside=points, relief=None)
    data = json.loads(json.dumps(plan_to_json(plan)))
    assert data["blank"]["outside"] == [list(point) for point in points]
    assert data["cuts"]
    assert {(c["relief_shift"], c["relief_depth"]) for c in data["cuts"]} == {(0.0, 0.0)}
    assert data["yield"]["blank_volume"] == pytest.approx(math.pi * 200**2 * 180)
    assert data["yield"]["wood_in_bowls"] == pytest.approx(sum(p.volume for p in plan.bowls))
    told = json.loads(json.dumps(plan_to_json(plan_of(make_job(), make_shop(jaws=())))))
    assert told["bowls"][0]["jaws"] is None
    assert {"tenon share"} <= {f["rule"] for f in told["findings"]}
