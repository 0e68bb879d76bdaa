"""Strategies and the invented job and shop that the property tests share."""

from builders import make_cutters, make_jaws, make_job, make_shop
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from shapely.geometry import LineString

from templategen.geometry.curves import Curve, points_along
from templategen.nest import rules
from templategen.nest.plan import CutSetting
from templategen.trade.records import Cutter, LengthWall

many = settings(max_examples=60, deadline=None, derandomize=True)
picky = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much],
)

SHOP = make_shop(cutters=make_cutters(75, 110, 160), jaws=make_jaws(30, 45, 60, 80, 110, 150, 200))
JOB = make_job(380, 170, wall=LengthWall(18.0), min_bowl=80.0)


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
