"""Cutter arcs: true edges, and depth ticks that stand where they say."""

import numpy as np
import pytest
from builders import demo_plan, invented_plan
from part_shapes import MM, arcs, outline
from shapely.geometry import LineString, Point

from templategen.parts import cutter_arc
from templategen.parts.drawing import Role


def test_the_edges_are_true_arcs_about_the_pivot() -> None:
    """The convex edge is R from the pivot (shapely distances); the inner edge R - k is marked."""
    plan = invented_plan()
    by_id = {c.id: c for c in plan.shop.cutters}
    parts = cutter_arc.make(plan, style=MM)
    assert len(parts) == len({cut.cutter.id for cut in plan.cuts})
    for part in parts:
        cutter = by_id[part.title.split()[-1]]
        shape = outline(part)
        assert shape.is_valid
        assert shape.covers(Point(0, 0))
        far = Point(0, 0).hausdorff_distance(shape.exterior)
        assert far == pytest.approx(cutter.radius, abs=1e-6)
        assert {a.radius for a in arcs(part, Role.MARK)} == {cutter.radius - cutter.kerf}


def test_depth_ticks_stand_at_the_radius_less_the_depth() -> None:
    """Ticks 10 mm apart stand at R less the depth above the pivot, on both sides (design §7)."""
    for part in cutter_arc.make(demo_plan(), style=MM):
        radius = max(a.radius for a in arcs(part, Role.CUT))
        ticks = [p.bounds() for p in part.drawing.paths(Role.MARK)]
        level = [b for b in ticks if b.height < 1e-9 and abs(b.bottom) > 1e-9]
        depths = sorted({round(radius - b.bottom, 6) for b in level})
        assert len(depths) >= 4
        assert all(d % 10 == pytest.approx(0, abs=1e-6) for d in depths)
        assert np.diff(depths) == pytest.approx(10.0)
        assert len(level) == 2 * len(depths)
        shape = outline(part).buffer(1e-6)
        assert all(shape.covers(LineString([(b.left, b.top), (b.right, b.top)])) for b in level)
        figures = {float(t.text) for t in part.drawing.texts() if t.text.isdigit()}
        assert figures
        assert figures <= {float(d) for d in depths}
