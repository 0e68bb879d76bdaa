"""Jobs at the edge of what is legal, as fuzzing found them."""

import dataclasses
from typing import Any

import pytest

from templategen.errors import InputError
from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import demo_shop
from templategen.nest.check import check_plan
from templategen.nest.planner import make_plan
from templategen.trade.records import Cutter, Job


def _job(blank: dict[str, Any], **tables: Any) -> Job:  # noqa: ANN401 - tables of a job file
    return job_from_table(
        {"blank": blank, **tables}, where="job.toml"
    )  # fmt: skip


def test_relief_below_the_end_of_a_cut_passes_the_second_look() -> None:
    """Past its deepest point a cut rises towards the axis, above the depth of the relief again.

    The relief is run in from the entry, so that part of the cut has none.
    """
    radii = ((199, 8), (207, 9), (196, 10), (108, 6), (100, 6))
    shop = dataclasses.replace(
        demo_shop(), cutters=tuple(Cutter(id=f"R{r}", radius=r, kerf=k) for r, k in radii)
    )
    blank = {"diameter": 372, "height": 308.132, "wood": "Northern red oak"}
    nest = {"wall": "10 %", "max_slope": 20, "relief": {"depth": 84.0}, "floor": 4.728}
    plan = make_plan(_job(blank, nest=nest, tenon={"share": 0.75}), shop, with_suggestions=False)
    (cut,) = plan.cuts
    assert cut.deepest > 84 > plan.bowls[1].outline[-2][1]
    rising = [z for r, z in plan.bowls[1].outline if 0 < r < 10]
    assert rising
    assert min(rising) < 84
    assert not plan.has_stop
    check_plan(plan)


@pytest.mark.parametrize(("radius", "kerf", "depth"), [(20, 1, 1), (20, 5, 1), (1000, 1, 1000)])
def test_a_pinned_cut_thinner_than_its_kerf_frees_no_core(
    radius: float, kerf: float, depth: float
) -> None:
    """An entry 1 mm from the axis by a tip 1 mm wide leaves nothing: a line, not a division."""
    shop = shop_from_table(
        {"cutters": [{"id": "A", "radius": radius, "kerf": kerf}], "jaws": []}, where="shop.toml"
    )
    pin = {"cutter": "A", "entry_radius": 1, "depth_at_axis": depth}
    nest = {"wall": 3, "height_above_centre": 0, "pinned": [pin]}
    with pytest.raises(InputError, match="the cut frees no core; give a larger entry"):
        make_plan(_job({"diameter": 50, "height": 20}, nest=nest), shop)


def test_a_drawn_outside_may_hold_a_point_twice() -> None:
    """A side of no length changes nothing; a single point is no outside."""
    once = [[190, 0], [180, 60], [130, 160]]
    twice = [[190, 0], [190, 0], [180, 60], [180, 60 + 1e-200], [130, 160], [130, 160]]
    plans = [
        make_plan(
            _job({"diameter": 400, "height": 180, "outside": points}, nest={"wall": "10 %"}),
            demo_shop(),
            with_suggestions=False,
        )
        for points in (once, twice)
    ]
    assert plans[0].bowls == plans[1].bowls
    assert len(plans[0].bowls) > 1
    with pytest.raises(InputError, match="the outside is a single point"):
        make_plan(
            _job(
                {"diameter": 400, "height": 180, "outside": [[190, 0], [190, 0]]}, nest={"wall": 20}
            ),
            demo_shop(),
        )


def test_a_drawn_outside_narrower_than_its_tenon_is_refused() -> None:
    """Nothing could hold it; and no search is begun that finds nothing."""
    points = [[133.9, 0.0], [38.4, 3.5], [65.8, 3.8], [34.8, 25.7]]
    with pytest.raises(InputError, match=r"narrower than its tenon of .* mm; keep r at"):
        make_plan(
            _job({"diameter": 357, "height": 130, "outside": points}, nest={"wall": 20}),
            demo_shop(),
        )
