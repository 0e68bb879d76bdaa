"""A plan as the JSON object of design.md §10: lengths mm, angles degrees, volumes mm³."""

import math
from typing import Any

from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.nest.plan import Bowl, Cut, LogFit, OtherSet, Plan

FORMAT = "templategen-plan/2"


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
            {
                "level": f.level.value,
                "rule": f.rule.value,
                "text": wording.text(f.text),
                "tried": [wording.text(one) for one in f.tried],
            }
            for f in plan.findings
        ],
        "speed": None
        if plan.speed is None
        else {
            "most": plan.speed.max_rpm,
            "start": plan.speed.start_rpm,
            "energy": plan.speed.energy_j,
        },
        "log": None if plan.log is None else _log(plan.log),
        "sets": [_other_set(one, wording) for one in plan.sets],
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
        "touch_angle": math.degrees(cut.touch_angle),
        "stop_angle": _degrees(cut.stop_angle),
        "stop_depth": cut.stop_depth,
        "stop_neck": cut.stop_neck,
        "release_angle": _degrees(cut.release_angle),
        "release_neck": cut.release_neck,
        "through_angle": _degrees(cut.through_angle),
        "bare_blade_needed": _degrees(cut.bare_needed),
        "rub_radius": cut.rub_radius,
        "below_centre_radius": cut.droop_radius,
        "force_entry": cut.force_entry_n,
        "force_half": cut.force_half_n,
        "force_release": cut.force_release_n,
    }


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _log(fit: LogFit) -> dict[str, Any]:
    return {
        "diameter_needed": fit.diameter_needed,
        "count": fit.count,
        "rim_from_pith": fit.rim_from_pith,
    }


def _other_set(one: OtherSet, wording: Wording) -> dict[str, Any]:
    return {
        "label": wording.text(one.label),
        "rims": list(one.rims),
        "cutters": list(one.cutters),
        "cautions": one.cautions,
        "cuts": [
            {
                "cutter": setting.cutter.id,
                "pivot_offset": setting.pivot_offset,
                "pivot_standoff": setting.pivot_standoff,
                "entry_radius": setting.entry_radius,
                "depth_at_axis": setting.depth_at_axis,
            }
            for setting in one.settings
        ],
    }


def _bowl(bowl: Bowl) -> dict[str, Any]:
    dried, again = bowl.dried, bowl.held_again
    return {
        "number": bowl.number,
        "kind": bowl.kind.value,
        "rim_diameter": bowl.rim_diameter,
        "depth": bowl.depth,
        "wall": bowl.wall,
        "wall_greatest": bowl.wall_greatest,
        "wall_required": bowl.wall_required,
        "wall_worst": bowl.wall_worst,
        "floor": bowl.floor,
        "floor_required": bowl.floor_required,
        "tenon_diameter": bowl.tenon_diameter,
        "tenon_end_diameter": bowl.tenon_end_diameter,
        "tenon_length": bowl.tenon_length,
        "tenon_share": bowl.tenon_share,
        "jaws": bowl.jaws.id if bowl.jaws else None,
        "dried_across": None if dried is None else dried.rim_across,
        "dried_along": None if dried is None else dried.rim_along,
        "rim_out_of_flat": None if dried is None else dried.rim_out_of_flat,
        "largest_circle": None if dried is None else dried.largest_circle,
        "dried_jaws": None if again is None else again.jaws.id,
        "dried_tenon_diameter": None if again is None else again.neck,
        "size": bowl.size,
        "volume": bowl.volume,
        "outline": [list(point) for point in bowl.outline],
    }
