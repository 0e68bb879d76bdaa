"""Tenon rings: closed and widest size of the jaws, as a full ring and as a mouthed gauge."""

import itertools
import math

from templategen.geometry.shapes import Arc, Line, Point, Segment, circle
from templategen.messages import tr_noop
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Path, Text, arc_path
from templategen.parts.labels import LEADING, fill_rows, flag_rows, flag_size, job_line
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import widest
from templategen.trade.records import Jaws

BAND = 16.0  # mm of material round the hole
TAB = 70.0  # mm: widest row of a label tab
WORDINGS = {  # the shorter ones where there is less room; wherever a tab is needed the first
    "closed": (
        tr_noop("tenon ring, jaws {jaws} closed, cut on the line"),
        tr_noop("jaws {jaws} closed, cut on the line"),
        tr_noop("{jaws} closed, cut on the line"),
    ),
    "widest": (
        tr_noop("tenon ring, jaws {jaws} widest, cut on the line"),
        tr_noop("jaws {jaws} widest, cut on the line"),
        tr_noop("{jaws} widest, cut on the line"),
    ),
}
TITLES = {
    ("closed", False): tr_noop("Tenon ring {jaws}, closed, full"),
    ("closed", True): tr_noop("Tenon ring {jaws}, closed, mouthed"),
    ("widest", False): tr_noop("Tenon ring {jaws}, widest, full"),
    ("widest", True): tr_noop("Tenon ring {jaws}, widest, mouthed"),
}
LEAST_JOB_LINE = 40.0  # mm: room for the date and the beginning of a title


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Four gauges for each set of jaws that the plan uses (all of the shop's, without pieces)."""
    parts: list[Part] = []
    jaws = {p.jaws.id: p.jaws for p in plan.bowls if p.jaws}
    if not plan.bowls:
        jaws = {j.id: j for j in plan.shop.jaws}
    for n, owned in enumerate(jaws.values(), start=1):
        sizes = (("closed", owned.true_circle), ("widest", widest(owned)))
        for name, diameter in sizes:
            for mouthed in (False, True):
                parts.append(_ring(plan, owned, n, name, diameter, style, mouthed=mouthed))
    return tuple(parts)


def _ring(
    plan: Plan,
    jaws: Jaws,
    number: int,
    name: str,
    diameter: float,
    style: PrintStyle,
    *,
    mouthed: bool,
) -> Part:
    hole, outer = diameter / 2, diameter / 2 + BAND
    origin = Point(0.0, 0.0)
    wordings = [style.say(wording, jaws=jaws.id) for wording in WORDINGS[name]]
    texts, tab = _lettering(plan, f"Ø {style.length(diameter)}", wordings, hole)
    low = -hole * 0.35 if mouthed else 0.0
    rim = _rim(outer, tab, low)
    items: list[Item] = []
    if mouthed:
        inside: tuple[Segment, ...] = (
            Line(Point(-outer, low), Point(-hole, low)),
            Line(Point(-hole, low), Point(-hole, 0.0)),
            Arc(origin, hole, math.pi, -math.pi),
            Line(Point(hole, 0.0), Point(hole, low)),
            Line(Point(hole, low), Point(outer, low)),
        )
        items.append(Path(segments=(*rim, *inside), closed=True))
    elif tab:
        items += [Path(segments=rim, closed=True), arc_path(circle(origin, hole))]
    else:
        items += [arc_path(circle(origin, outer)), arc_path(circle(origin, hole))]
    shape = "mouthed" if mouthed else "full"
    return Part(
        kind="tenon ring",
        key=f"tenon-ring-{number}-{name}-{shape}",
        title=style.say(TITLES[name, mouthed], jaws=jaws.id),
        drawing=Drawing(items=(*items, *texts)),
    )


def _rim(outer: float, tab: list[Point], low: float) -> tuple[Segment, ...]:
    """The outer edge: round about for a full ring (low = 0), else over the top from foot to foot.

    A label tab, if there is one, stands out at the top, its points from right to left.
    """
    origin = Point(0.0, 0.0)
    top: list[Segment]
    if tab:
        right = math.atan2(tab[0].y, tab[0].x)
        sides = [Line(a, b) for a, b in itertools.pairwise(tab)]
        if low == 0.0:
            return (*sides, Arc(origin, outer, math.pi - right, math.pi + 2 * right))
        top = [
            Arc(origin, outer, 0.0, right),
            *sides,
            Arc(origin, outer, math.pi - right, right),
        ]
    else:
        top = [Arc(origin, outer, 0.0, math.pi)]
    foot_right = Line(Point(outer, low), Point(outer, 0.0))
    foot_left = Line(Point(-outer, 0.0), Point(-outer, low))
    return (foot_right, *top, foot_left)


def _lettering(
    plan: Plan, size: str, wordings: list[str], hole: float
) -> tuple[tuple[Text, ...], list[Point]]:
    """The wording on the band, so that it stays when the hole falls out.

    On a small ring or with a long name it stands on a tab at the top; only the job's title is
    ever cut short.
    """
    outer = hole + BAND

    def at(row: int) -> Point:
        return Point(0.0, hole + 10.6 - row * 4.2)

    def room(row: int) -> float:
        return 2 * math.sqrt(outer**2 - (at(row).y + 0.76 * BODY) ** 2) - 3.0

    tries = (fill_rows([size, wording], room, most=2) for wording in wordings)
    rows = next((r for r in tries if r is not None and len(r) == 2), None)
    if rows is not None and room(2) >= LEAST_JOB_LINE:
        rows.append(job_line(plan, room=room(2)))
        places = [at(n) for n in range(3)]
        tab: list[Point] = []
    else:
        rows = flag_rows([size, wordings[0], job_line(plan, room=TAB)], width=TAB)
        wide, tall = flag_size(rows)
        neck = min(wide / 2, outer * 0.6)
        base, head = math.sqrt(outer**2 - neck**2), outer + 1.0 + tall
        foot = outer + 1.0
        places = [Point(0.0, head - 1.0 - 0.8 * BODY - n * LEADING) for n in range(len(rows))]
        half = wide / 2
        tab = [
            Point(neck, base),
            Point(neck, foot),
            Point(half, foot),
            Point(half, head),
            Point(-half, head),
            Point(-half, foot),
            Point(-neck, foot),
            Point(-neck, base),
        ]
        if half <= neck + 1e-9:
            tab = [p for n, p in enumerate(tab) if n not in (1, 2, 5, 6)]
    texts = tuple(
        Text(text=t, at=p, anchor=Anchor.MIDDLE, bold=n == 0)
        for n, (t, p) in enumerate(zip(rows, places, strict=True))
    )
    return texts, tab
