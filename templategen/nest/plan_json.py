"""A plan as the JSON object of design.md §10: lengths mm, angles degrees, volumes mm³."""

import math
from typing import Any

from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import shop_to_table
from templategen.nest.plan import Bowl, Cut, Plan

FORMAT = "templategen-plan/1"


def plan_to_json(plan: Plan) -> dict[str, Any]:
    """The plan as an object ready for `json.dumps`."""
    blank = plan.job.blank
    sizes = [piece.size for piece in plan.bowls]
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
        "pieces": [_piece(piece) for piece in plan.bowls],
        "sequence": list(plan.sequence),
        "findings": [
            {"level": f.level.value, "rule": f.rule, "text": f.text} for f in plan.findings
        ],
        "yield": {
            "pieces": len(plan.bowls),
            "sum_of_sizes": sum(sizes),
            "blank_volume": math.pi * blank.diameter**2 / 4 * blank.height,
            "wood_in_pieces": sum(piece.volume for piece in plan.bowls),
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


def _piece(piece: Bowl) -> dict[str, Any]:
    return {
        "number": piece.number,
        "rim_diameter": piece.rim_diameter,
        "depth": piece.depth,
        "wall": piece.wall,
        "wall_required": piece.wall_required,
        "wall_worst": piece.wall_worst,
        "floor": piece.floor,
        "floor_required": piece.floor_required,
        "tenon_diameter": piece.tenon_diameter,
        "tenon_length": piece.tenon_length,
        "tenon_share": piece.tenon_share,
        "jaws": piece.jaws.id if piece.jaws else None,
        "size": piece.size,
        "volume": piece.volume,
        "outline": [list(point) for point in piece.outline],
    }
