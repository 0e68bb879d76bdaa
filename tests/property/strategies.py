"""Strategies and the invented job and shop that the property tests share."""

import dataclasses

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from templategen.geometry.curves import Curve, points_along
from templategen.nest import rules
from templategen.nest.plan import CutSetting
from templategen.trade.records import Blank, Cutter, Jaws, Job, LengthWall, Nest, Shop
from templategen.units import Units

many = settings(max_examples=60, deadline=None, derandomize=True)
picky = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much],
)

JAWS = tuple(Jaws(id=str(d), true_circle=d, depth=14) for d in (30, 45, 60, 80, 110, 150, 200))
SHOP = Shop(
    name="Invented",
    units=Units.MM,
    cutters=tuple(Cutter(id=f"R{r}", radius=r, kerf=9) for r in (75, 110, 160)),
    jaws=JAWS,
)
JOB = Job(
    title="Invented",
    date="",
    units=Units.MM,
    blank=Blank(diameter=380, height=170),
    nest=Nest(wall=LengthWall(18.0), min_bowl=80.0),
)


def changed(**changes: object) -> Job:
    """The invented job with fields of its [nest] changed."""
    return dataclasses.replace(JOB, nest=dataclasses.replace(JOB.nest, **changes))  # type: ignore[arg-type]


@st.composite
def cut_settings(draw: st.DrawFn, height: float = 5.0) -> CutSetting:
    """A cut that frees a core, cutter and pivot drawn freely."""
    radius = draw(st.floats(50, 220))
    cutter = Cutter(id="any", radius=radius, kerf=draw(st.floats(3, 15)))
    p = draw(st.floats(-0.2, 0.25)) * radius
    q = draw(st.floats(0.05, 0.6)) * radius
    setting = rules.setting_at(cutter, pivot_offset=p, pivot_standoff=q, height=height)
    assert setting is not None
    return setting


def sampled(curves: tuple[Curve, ...]) -> LineString:
    """Curves as a dense polyline: chord error at most 0.0005 mm."""
    return LineString(points_along(curves, max_gap=0.0002))


def set_cut(radius: float, kerf: float, p: float, q: float) -> CutSetting:
    """A cut given by its radius, kerf and pivot."""
    setting = rules.setting_at(
        Cutter(id="any", radius=radius, kerf=kerf), pivot_offset=p, pivot_standoff=q, height=5.0
    )
    assert setting is not None
    return setting
