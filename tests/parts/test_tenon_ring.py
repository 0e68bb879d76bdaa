"""Tenon rings: a true tenon passes and one a little larger does not, by shapely."""

import math

from builders import demo_plan
from part_shapes import MM, body
from shapely.geometry import Point, Polygon

from templategen.parts import tenon_ring


def test_rings_fit_the_tenon() -> None:
    """A tenon just under size passes the ring and the mouth; one just over does not.

    Source of the widest size: the chord g between the corners of neighbouring jaws, n of them
    moved out along their own radii, by plane trigonometry (common practice, no source).
    """
    plan = demo_plan()
    parts = {p.key: p for p in tenon_ring.make(plan, style=MM)}
    jaws = {p.jaws.id: p.jaws for p in plan.bowls if p.jaws}
    assert len(parts) == 4 * len(jaws)
    for number, owned in enumerate(jaws.values(), start=1):
        # Two jaws moved out by t part by the chord 2 t sin(pi/n): t = g / (2 sin(pi/n)).
        moved = owned.max_gap / (2 * math.sin(math.pi / owned.jaw_count))
        sizes = {"closed": owned.true_circle, "widest": owned.true_circle + 2 * moved}
        for name, diameter in sizes.items():
            less, more = Point(0, 0).buffer(diameter / 2 - 0.02), Point(0, 0).buffer(diameter / 2)
            for shape in ("full", "mouthed"):
                ring = body(parts[f"tenon-ring-{number}-{name}-{shape}"])
                assert ring.is_valid
                assert ring.intersection(less).area < 1e-6
                assert ring.intersection(more.buffer(0.1)).area > 1
            wide = diameter / 2 - 0.02
            mouth = Polygon([(-wide, 0), (wide, 0), (wide, -diameter), (-wide, -diameter)])
            open_ring = body(parts[f"tenon-ring-{number}-{name}-mouthed"])
            assert open_ring.intersection(mouth).area < 1e-6
