"""The recipe a pack carries: job, shop, plan, and where each part lies on each page."""

import json
from typing import Any

from templategen.inputs.job import job_to_table
from templategen.inputs.shop import shop_to_table
from templategen.nest.export import plan_to_json
from templategen.nest.plan import Plan
from templategen.sheets.page import Pack

FORMAT = "templategen-pack/1"
NAME = "templategen-pack.json"


def make_recipe(plan: Plan, pack: Pack) -> dict[str, Any]:
    """The recipe as an object ready for JSON (design.md §8): millimetres throughout."""
    return {
        "format": FORMAT,
        "job": job_to_table(plan.job),
        "shop": shop_to_table(plan.shop),
        "plan": plan_to_json(plan),
        "pages": [
            {
                "number": page.number,
                "label": page.label,
                "paper": [page.paper.width, page.paper.height],
                "parts": [
                    {
                        "part": placement.part.key,
                        "kind": placement.part.kind,
                        "transform": list(placement.transform),
                    }
                    for placement in page.placements
                ],
                "marks": [
                    {"part": m.part_key, "label": m.label, "x": m.point.x, "y": m.point.y}
                    for m in page.marks
                ],
            }
            for page in pack.pages
        ],
    }


def recipe_bytes(plan: Plan, pack: Pack) -> bytes:
    """The recipe as UTF-8 JSON."""
    text = json.dumps(make_recipe(plan, pack), indent=1, ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8")
