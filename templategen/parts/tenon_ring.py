"""Tenon rings: closed and widest size of the jaws, as a full ring and as a mouthed gauge."""

import enum
import itertools
import math
from collections.abc import Sequence

from templategen.geometry.shapes import Arc, Line, Point, Segment, circle
from templategen.messages import tr_noop
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Path, Text, arc_path
from templategen.parts.labels import (
    JobLabel,
    block,
    fill_rows,
    flag_rows,
    flag_size,
    jaws_used,
    job_label,
)
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import opened_diameter
from templategen.trade.records import Jaws, Shop

BAND = 16.0  # mm of material round the hole
BAND_LEADING = 4.2  # mm from baseline to baseline on the band
TAB = 70.0  # mm: widest row of a label tab


class JawSize(enum.StrEnum):
    """Which size of the jaws a ring has; the values are parts of a key."""

    CLOSED = "closed"  # the jaws form a true circle
    WIDEST = "widest"  # opened by the largest gap


WORDINGS = {  # the shorter ones where there is less room; wherever a tab is needed the first
    JawSize.CLOSED: (
        tr_noop("tenon ring, jaws {jaws} closed, cut on the line"),
        tr_noop("jaws {jaws} closed, cut on the line"),
        tr_noop("{jaws} closed, cut on the line"),
    ),
    JawSize.WIDEST: (
        tr_noop("tenon ring, jaws {jaws} widest, cut on the line"),
        tr_noop("jaws {jaws} widest, cut on the line"),
        tr_noop("{jaws} widest, cut on the line"),
    ),
}
FULL_TITLES = {
    JawSize.CLOSED: tr_noop("Tenon ring {jaws}, closed, full"),
    JawSize.WIDEST: tr_noop("Tenon ring {jaws}, widest, full"),
}
MOUTHED_TITLES = {
    JawSize.CLOSED: tr_noop("Tenon ring {jaws}, closed, mouthed"),
    JawSize.WIDEST: tr_noop("Tenon ring {jaws}, widest, mouthed"),
}
ORIGIN = Point(0.0, 0.0)
LEAST_JOB_LINE = 40.0  # mm: room for the date and the beginning of a title


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Four gauges for each set of jaws that the plan uses."""
    return _rings(jaws_used(plan), job_label(plan, style), style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """Four gauges for each set of the shop's jaws."""
    return _rings(shop.jaws, label, style)


def _rings(owned: Sequence[Jaws], label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    return tuple(
        part
        for number, jaws in enumerate(owned, start=1)
        for size in JawSize
        for part in _pair(jaws, number, size, label, style)
    )


def _pair(
    jaws: Jaws, number: int, size: JawSize, label: JobLabel, style: PrintStyle
) -> tuple[Part, Part]:
    """A full ring, and one with a mouth that slips over the tenon from the side."""
    gap = 0.0 if size is JawSize.CLOSED else jaws.max_gap
    diameter = opened_diameter(jaws.true_circle, gap=gap, jaw_count=jaws.jaw_count)
    hole, outer = diameter / 2, diameter / 2 + BAND
    wordings = [style.say(wording, jaws=jaws.id) for wording in WORDINGS[size]]
    texts, tab = _lettering(f"Ø {style.length(diameter)}", wordings, hole, label)

    def part(shape: str, title: str, paths: list[Path]) -> Part:
        return Part(
            kind="tenon ring",
            key=f"tenon-ring-{number}-{size}-{shape}",
            title=style.say(title, jaws=jaws.id),
            drawing=Drawing(items=(*paths, *texts)),
        )

    rim = arc_path(circle(ORIGIN, outer))
    if tab:
        rim = Path(segments=_rim(outer, tab, low=0.0), closed=True)
    full = [rim, arc_path(circle(ORIGIN, hole))]
    return (
        part("full", FULL_TITLES[size], full),
        part("mouthed", MOUTHED_TITLES[size], [_mouthed(hole, outer, tab)]),
    )


def _mouthed(hole: float, outer: float, tab: list[Point]) -> Path:
    """The outline of a ring that is open below: half round, then straight sides."""
    low = -hole * 0.35
    inside: tuple[Segment, ...] = (
        Line(Point(-outer, low), Point(-hole, low)),
        Line(Point(-hole, low), Point(-hole, 0.0)),
        Arc(ORIGIN, hole, math.pi, -math.pi),
        Line(Point(hole, 0.0), Point(hole, low)),
        Line(Point(hole, low), Point(outer, low)),
    )
    return Path(segments=(*_rim(outer, tab, low=low), *inside), closed=True)


def _rim(outer: float, tab: list[Point], *, low: float) -> tuple[Segment, ...]:
    """The outer edge: round about for a full ring (low = 0), else over the top from foot to foot.

    A label tab, if there is one, stands out at the top, its points from right to left.
    """
    top: list[Segment]
    if tab:
        right = math.atan2(tab[0].y, tab[0].x)
        sides = [Line(a, b) for a, b in itertools.pairwise(tab)]
        if low == 0.0:
            return (*sides, Arc(ORIGIN, outer, math.pi - right, math.pi + 2 * right))
        top = [
            Arc(ORIGIN, outer, 0.0, right),
            *sides,
            Arc(ORIGIN, outer, math.pi - right, right),
        ]
    else:
        top = [Arc(ORIGIN, outer, 0.0, math.pi)]
    foot_right = Line(Point(outer, low), Point(outer, 0.0))
    foot_left = Line(Point(-outer, 0.0), Point(-outer, low))
    return (foot_right, *top, foot_left)


def _lettering(
    size: str, wordings: list[str], hole: float, label: JobLabel
) -> tuple[list[Item], list[Point]]:
    """The wording on the band, so that it stays when the hole falls out.

    On a small ring or with a long name it stands on a tab at the top; only the job's title is
    ever cut short.

    Returns: the texts, and the corners of the tab from right to left, none without a tab.
    """
    outer = hole + BAND

    def baseline(row: int) -> float:
        return hole + 10.6 - row * BAND_LEADING

    def room(row: int) -> float:
        return 2 * math.sqrt(outer**2 - (baseline(row) + 0.76 * BODY) ** 2) - 3.0

    tries = (fill_rows([size, wording], room, most=2) for wording in wordings)
    rows = next((r for r in tries if r is not None and len(r) == 2), None)
    if rows is not None and room(2) >= LEAST_JOB_LINE:
        rows.append(label.fitted(room(2)))
        return [
            Text(text=t, at=Point(0.0, baseline(n)), anchor=Anchor.MIDDLE, bold=n == 0)
            for n, t in enumerate(rows)
            if t
        ], []
    rows = flag_rows([size, wordings[0], label.fitted(TAB)], width=TAB)
    wide, tall = flag_size(rows)
    first = Point(0.0, outer + tall - 0.8 * BODY)
    return block(rows, at=first, anchor=Anchor.MIDDLE), _tab(outer, wide, tall)


def _tab(outer: float, wide: float, tall: float) -> list[Point]:
    """Corners of a tab at the top of a ring, on a neck where the tab is wider than that."""
    neck, half = min(wide / 2, outer * 0.6), wide / 2
    base, foot, head = math.sqrt(outer**2 - neck**2), outer + 1.0, outer + 1.0 + tall
    right = [Point(neck, base), Point(neck, foot), Point(half, foot), Point(half, head)]
    if half <= neck + 1e-9:
        right = [right[0], right[3]]
    return [*right, *(Point(-p.x, p.y) for p in reversed(right))]
