"""How many sheets parts to cut need, against what their area needs.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_sheets.py` runs it; figures once
measured stand in DEVELOPERS.md. The parts of ten invented jobs, a job a set, gap 3 mm, beam 0.2 mm.

The bound is one that no nesting can beat: each part grown by half the gap and half the beam covers
an area of its own, within the sheet less one gap (shapely); whole sheets of each material.
"""

import math
import time
from collections import defaultdict

import pytest
from builders import demo_plan, example_plan, invented_plan
from outlines import material_of

from templategen.nest.plan import Plan
from templategen.parts.beam import beamed
from templategen.parts.drawing import Drawing, Part, Role
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.cutting_sheets import Nesting, Stock, nest
from templategen.trade.cutting_sheet import CuttingSheet

BEAM, GAP = 0.2, 3.0
MORE = {  # most sheets over the bound, as reached
    (600.0, 600.0): 1.05,
    (300.0, 600.0): 1.15,
    (600.0, 400.0): 1.05,
    (400.0, 300.0): 1.15,
}


def _plans() -> dict[str, Plan]:
    sizes = [(250, 110), (280, 120), (320, 140), (350, 160), (420, 190), (450, 200)]
    return {
        "demo": demo_plan(),
        **{name: example_plan(f"{name}.toml") for name in ("lakeside-400", "small-220", "inch-15")},
        **{f"{d} × {h}": invented_plan(float(d), float(h)) for d, h in sizes},
    }


def _parts(plan: Plan) -> list[tuple[Part, Drawing]]:
    made = make_parts(plan, kinds=(), style=PrintStyle(units=plan.job.units))
    cut = [part for part in made if part.drawing.paths(Role.CUT)]
    return [(part, beamed(part, beam=BEAM).drawing) for part in cut]


def _bound(nesting: Nesting) -> int:
    areas: dict[Stock, float] = defaultdict(float)
    for sheet in nesting.sheets:
        for laid in sheet.pieces:
            grown = material_of(laid.piece.drawing, fine=0.02).buffer((GAP + BEAM) / 2)
            areas[sheet.stock] += grown.area
    room = (nesting.sheet.width - GAP) * (nesting.sheet.height - GAP)
    return sum(math.ceil(area / room) for area in areas.values())


@pytest.mark.parametrize("size", MORE)
def test_sheets_of_ten_sets(size: tuple[float, float]) -> None:
    """Sheets of all sets over the sum of their bounds."""
    sheet = CuttingSheet(width=size[0], height=size[1], gap=GAP)
    sheets = bounds = 0
    for name, plan in _plans().items():
        parts = _parts(plan)
        begun = time.process_time()
        made = nest(parts, sheet, beam=BEAM, plies=plan.job.print.stock)
        spent = time.process_time() - begun
        assert made.oversize == ()
        bound = _bound(made)
        print(f"{name:14} {len(made.sheets):3} sheets, bound {bound:3}, {spent:.1f} s")
        sheets, bounds = sheets + len(made.sheets), bounds + bound
    share = sheets / bounds
    more = f"{100 * (share - 1):.1f} % more"
    print(f"{size[0]:g} × {size[1]:g}: {sheets} sheets, bound {bounds}: {more}")
    assert share <= MORE[size]
