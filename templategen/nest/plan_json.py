"""A plan as the JSON object of design.md §10: lengths mm, angles degrees, volumes mm³."""

import math
from typing import Any

from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.nest.plan import Bowl, Cut, Plan

FORMAT = "templategen-plan/1"


def plan_to_json(plan: Plan, wording: Wording = ENGLISH_WORDING) -> dict[str, Any]:
    """The plan as an object ready for `json.dumps`.

    Args:
        plan: the plan.
        wording: of the findings' texts.
    """
    blank = plan.job.blank
    sizes = [bowl.size for bowl in plan.bowls]
    return {
        "format": FORMAT,
        "job": job_to_table(plan.job),
        "shop": shop_to_table(plan.shop),
        "blank": {
            "diameter": blank.diameter,
            "height": blank.height,
            "wood": blank.wood,
            "outside": blank.outside,
        },
        "cuts": [_cut(cut) for cut in plan.cuts],
        "bowls": [_bowl(bowl) for bowl in plan.bowls],
        "sequence": list(plan.sequence),
        "findings": [
            {"level": f.level.value, "rule": f.rule.value, "text": wording.text(f.text)}
            for f in plan.findings
        ],
        "yield": {
            "bowls": len(plan.bowls),
            "sum_of_sizes": sum(sizes),
            "blank_volume": math.pi * blank.diameter**2 / 4 * blank.height,
            "wood_in_bowls": sum(bowl.volume for bowl in plan.bowls),
        },
    }


def _cut(cut: Cut) -> dict[str, Any]:
    return {
        "number": cut.number,
        "cutter": cut.cutter.id,
        "radius": cut.cutter.radius,
        "kerf": cut.cutter.kerf,
        "pivot_offset": cut.pivot_offset,
        "pivot_standoff": cut.pivot_standoff,
        "cutter_height": cut.cutter_height,
        "entry_radius": cut.entry_radius,
        "entry_from_rim": cut.entry_from_rim,
        "depth_at_axis": cut.depth_at_axis,
        "deepest": cut.deepest,
        "swing": math.degrees(cut.swing),
        "slope": math.degrees(cut.slope),
        "stub": cut.stub,
        "relief_shift": cut.relief.shift if cut.relief else 0.0,
        "relief_depth": cut.relief.depth if cut.relief else 0.0,
    }


def _bowl(bowl: Bowl) -> dict[str, Any]:
    return {
        "number": bowl.number,
        "rim_diameter": bowl.rim_diameter,
        "depth": bowl.depth,
        "wall": bowl.wall,
        "wall_required": bowl.wall_required,
        "wall_worst": bowl.wall_worst,
        "floor": bowl.floor,
        "floor_required": bowl.floor_required,
        "tenon_diameter": bowl.tenon_diameter,
        "tenon_length": bowl.tenon_length,
        "tenon_share": bowl.tenon_share,
        "jaws": bowl.jaws.id if bowl.jaws else None,
        "size": bowl.size,
        "volume": bowl.volume,
        "outline": [list(point) for point in bowl.outline],
    }
