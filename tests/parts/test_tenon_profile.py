"""Tenon profiles laid on a tenon drawn from its length and angle, by shapely."""

import math

from builders import demo_plan
from part_shapes import MM, body
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from templategen.nest.plan import Plan
from templategen.parts import tenon_profile
from templategen.parts.drawing import Role


def _tenon(plan: Plan, number: int, *, longer: float = 0.0) -> BaseGeometry:
    """The wood beside and below a gauge: shoulder at y = 0 and the dovetail standing on it."""
    jaws = {p.jaws.id: (p.jaws, p.tenon_length) for p in plan.bowls if p.jaws}
    owned, length = list(jaws.values())[number - 1]
    top = length + longer
    flare = top * math.tan(math.radians(owned.dovetail_angle))
    shoulder = Polygon([(-40, 0), (200, 0), (200, -20), (-40, -20)])
    return shoulder.union(Polygon([(-40, 0), (0, 0), (flare, top), (-40, top)]))


def test_profiles_meet_their_tenon() -> None:
    """Laid on a true tenon the gauge touches all of it and cuts none; a longer one lifts it."""
    plan = demo_plan()
    gauges = tenon_profile.make(plan, style=MM)
    depths = {p.jaws.depth for p in plan.bowls if p.jaws}
    assert len(gauges) == len({p.jaws.id for p in plan.bowls if p.jaws})
    for number, gauge in enumerate(gauges, start=1):
        shape, wood = body(gauge), _tenon(plan, number)
        assert shape.intersection(wood).area < 1e-6
        seam = shape.boundary.intersection(wood.buffer(1e-7)).length
        long = plan.bowls[0].tenon_length
        assert seam > long / math.cos(math.radians(10)) + tenon_profile.LIP
        assert shape.intersection(_tenon(plan, number, longer=0.2)).area > 1
        marks = [p.bounds() for p in gauge.drawing.paths(Role.MARK)]
        bottom = max(m.top for m in marks)
        assert bottom in depths
        assert bottom >= long + 1.5  # clear of the jaw bottom, common practice, no source
        assert plan.job.tenon.shoulder in [m.left for m in marks]
