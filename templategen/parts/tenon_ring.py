"""Tenon ring: a stepped gauge for the tenon of a set of jaws, and full rings on request.

Between its lips the widest tenon passes that the jaws hold; its round has the size at which they
close to a true circle. A tenon of the right size passes the lips and seats in the round, or stops
at the step before it. Rings go over the end face of a tenon, where a dovetail is widest. The notch
in the crown is laid on shoulder, flank and end face: its upper edge is the shoulder of the bowl.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, Transform, circle
from templategen.nest.plan import Plan
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Text,
    arc_path,
    line,
    rectangle,
)
from templategen.parts.labels import (
    LEADING,
    JobLabel,
    block,
    fill_rows,
    job_label,
)
from templategen.parts.lettering import balanced, text_width
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import closed_end, closed_neck, tenon_length_limit, widest_end
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Jaws, Shop

SIDE = 10.0  # mm of material beside the round
CROWN = 12.0  # mm of material over the round at least
NARROWEST = 64.0  # mm: least width of a plate, for its wording
LIP = 12.0  # mm that the notch reaches over the end face
UNDER = 11.0  # mm of crown below the notch and the line of the jaws' bottom
BEND = 1.0  # mm over the middle of the round to where a wide crown may end
LEAST_WORDING = 66.0  # mm: least width of the wording
WIDEST = 66.0  # mm: greatest half width of a crown that is wider than its ring
WIDER = 6.0  # mm: step between the half widths of a crown that are tried
THROAT = 3.0  # mm from the middle of the round to the step
LIPS = 9.0  # mm of the lips, along the way of the tenon
ORIGIN = Point(0.0, 0.0)
MIRROR = Transform.scale(-1.0, 1.0)


@dataclass(frozen=True, slots=True)
class TenonSizes:
    """End faces of the tenons of a length that a set of jaws holds, mm.

    Args:
        jaws: the set.
        length: of the tenon, shoulder to end face.
    """

    jaws: Jaws
    length: float

    @property
    def neck(self) -> float:
        """Neck of the tenon at which the jaws form a true circle."""
        return closed_neck(self.jaws, self.length)

    @property
    def closed(self) -> float:
        """End face at which the jaws form a true circle."""
        return closed_end(self.jaws, self.length)

    @property
    def flare(self) -> float:
        """How far the flank spreads on one side, shoulder to end face."""
        return (self.closed - self.neck) / 2

    @property
    def widest(self) -> float:
        """End face at their greatest gap."""
        return widest_end(self.jaws, self.length)


def sizes_used(plan: Plan) -> tuple[TenonSizes, ...]:
    """Jaws and tenon lengths of a plan, each pair once, in the order of the bowls."""
    pairs = {
        (b.jaws.id, b.tenon_length): TenonSizes(b.jaws, b.tenon_length)
        for b in plan.bowls
        if b.jaws
    }
    return tuple(pairs.values())


def shop_sizes(shop: Shop) -> tuple[TenonSizes, ...]:
    """All jaws of a shop with the tenon length its jobs ask by default, as far as they take it."""
    usual = shop.rules.tenon_of(shop.units).length
    return tuple(TenonSizes(jaws, min(usual, tenon_length_limit(jaws))) for jaws in shop.jaws)


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """A stepped ring for each set of jaws that the plan uses."""
    return _rings(sizes_used(plan), plan.job.tenon.shoulder, job_label(plan, style), style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """A stepped ring for each set of the shop's jaws."""
    return _rings(shop_sizes(shop), shop.rules.tenon_of(shop.units).shoulder, label, style)


def make_full(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Full rings, closed and widest, for each set of jaws that the plan uses."""
    label = job_label(plan, style)
    return tuple(
        part
        for number, sizes in enumerate(sizes_used(plan), start=1)
        for part in _full(sizes, number, label, style)
    )


def _rings(
    owned: Iterable[TenonSizes], shoulder: float, label: JobLabel, style: PrintStyle
) -> tuple[Part, ...]:
    return tuple(_stepped(t, shoulder, n, label, style) for n, t in enumerate(owned, start=1))


@dataclass(frozen=True, slots=True)
class _Crown:
    """What stands over the round: half its width, its top, and the rows of its wording, mm."""

    half: float
    top: float
    rows: list[str]

    @property
    def foot(self) -> float:
        """Down to where a crown wider than the ring is as wide."""
        return self.top - len(self.rows) * LEADING - 4.0


def _stepped(
    sizes: TenonSizes, shoulder: float, number: int, label: JobLabel, style: PrintStyle
) -> Part:
    """The ring with its round about the origin, its lips below and the notch in its crown."""
    title = style.say("Tenon ring, jaws {jaws}", jaws=sizes.jaws.id)
    phrases = [
        title,
        style.say(
            "go Ø {widest}, stop Ø {closed}",
            widest=style.length(sizes.widest),
            closed=style.length(sizes.closed),
        ),
        style.say("over the end face"),
        style.say(
            "notch: neck Ø {neck}, {length} long",
            neck=style.length(sizes.neck),
            length=style.length(sizes.length),
        ),
        style.say("dovetail {angle:g}°", angle=sizes.jaws.dovetail_angle),
        style.say("flat {width}, to the tick", width=style.length(shoulder)),
        style.say(
            "dashed: jaw bottom, {rest} clear",
            rest=style.length(sizes.jaws.depth - sizes.length),
        ),
        style.say("cut on the line"),
    ]
    hole, lips = sizes.closed / 2, sizes.widest / 2
    side = max(hole, lips) + SIDE
    crown = _crown(sizes, side, shoulder, phrases, label)
    middle = (-crown.half + LIP + sizes.flare + crown.half) / 2
    items: list[Item] = [
        Path(segments=_outline(sizes, side, crown), closed=True),
        *block(crown.rows, at=Point(middle, crown.top - 2.5 - 0.76 * BODY), anchor=Anchor.MIDDLE),
        *_words_beside(style.say("Go"), side, lips, -THROAT - LIPS / 2 - 0.3 * BODY),
        *_words_beside(style.say("Stop"), side, hole, 0.0),
        *_notch_marks(sizes, shoulder, crown),
    ]
    return Part(
        kind=PartKind.TENON_RING,
        key=f"tenon-ring-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )


def _crown(
    sizes: TenonSizes, side: float, shoulder: float, phrases: Sequence[str], label: JobLabel
) -> _Crown:
    """The crown that takes the least paper: a wide one needs fewer rows of wording."""
    hole, least = sizes.closed / 2, LIP + sizes.flare + max(LEAST_WORDING, shoulder) + 6.0
    found: list[tuple[float, _Crown]] = []
    half = least / 2
    while not found or half <= max(side, WIDEST):
        rows = _rows(phrases, label, width=2 * half - LIP - sizes.flare - 6.0)
        high = max(
            CROWN,
            len(rows) * LEADING + 4.0,
            sizes.jaws.depth + UNDER,
            sizes.length + UNDER,
        )
        crown = _Crown(half, hole + high, rows)
        found.append((_paper(side, crown), crown))
        half += WIDER
    return min(found, key=lambda one: one[0])[1]


def _paper(side: float, crown: _Crown) -> float:
    """Area of a crown beyond the half disc about the round, mm²."""
    half = min(crown.half, side)
    disc = half * math.sqrt(side**2 - half**2) + side**2 * math.asin(half / side)
    over = max(0.0, crown.half - side)
    return 2 * half * crown.top - disc + 2 * over * (crown.top - crown.foot + over / 2)


def _outline(sizes: TenonSizes, side: float, crown: _Crown) -> tuple[Segment, ...]:
    """Round the ring from the right end of its crown; its shoulders follow the round."""
    hole, lips, low = sizes.closed / 2, sizes.widest / 2, -THROAT - LIPS
    half, top = crown.half, crown.top
    corner = Point(half, top)
    if half < side:
        angle = math.acos(half / side)
        shoulder = Arc(ORIGIN, side, angle, -angle)
        right: list[Segment] = [Line(corner, shoulder.start), shoulder]
    elif crown.foot - half + side < BEND:  # a small ring: straight down
        right = [Line(corner, Point(half, 0.0))]
    else:
        bend, foot = Point(half, crown.foot), Point(side, crown.foot - half + side)
        right = [Line(corner, bend), Line(bend, foot), Line(foot, Point(side, 0.0))]
    corners = [
        right[-1].end,
        Point(right[-1].end.x, low),
        Point(lips, low),
        Point(lips, -THROAT),
        Point(hole, -THROAT),
        Point(hole, 0.0),
    ]
    right += [Line(a, b) for a, b in itertools.pairwise(corners)]
    left = [segment.moved(MIRROR).reversed() for segment in reversed(right)]
    notch = [
        Point(-half, top - sizes.length),
        Point(-half + LIP + sizes.flare, top - sizes.length),
        Point(-half + LIP, top),
        corner,
    ]
    left[-1] = Line(left[-1].start, notch[0])
    crown_top = [Line(a, b) for a, b in itertools.pairwise(notch)]
    return (*right, Arc(ORIGIN, hole, 0.0, math.pi), *left, *crown_top)


def _notch_marks(sizes: TenonSizes, shoulder: float, crown: _Crown) -> list[Item]:
    """The bottom of the jaws and the end of the flat that they need at the shoulder."""
    left = -crown.half
    bottom, tick = crown.top - sizes.jaws.depth, left + LIP + shoulder
    return [
        line(left, bottom, left + LIP + sizes.flare + 2.0, bottom, dashed=True),
        line(tick, crown.top, tick, crown.top - 1.5),
    ]


def _full(sizes: TenonSizes, number: int, label: JobLabel, style: PrintStyle) -> tuple[Part, Part]:
    """Two plates with a whole round each: the closed size and the widest."""

    def plate(key: str, title: str, size: float) -> Part:
        phrases = [
            title,
            f"Ø {style.length(size)}",
            style.say("over the end face"),
            style.say("cut on the line"),
        ]
        hole = size / 2
        half = max(hole + SIDE, NARROWEST / 2)
        rows = _rows(phrases, label, width=2 * half - 6.0)
        top = hole + max(CROWN, len(rows) * LEADING + 4.0)
        items: list[Item] = [
            rectangle(Box(-half, -hole - SIDE, half, top)),
            arc_path(circle(ORIGIN, hole)),
            *_texts(rows, top),
        ]
        return Part(
            kind=PartKind.FULL_CIRCLE,
            key=f"full-circle-{number}-{key}",
            title=title,
            drawing=Drawing(items=tuple(items)),
        )

    name = sizes.jaws.id
    return (
        plate("closed", style.say("Full circle, jaws {jaws} closed", jaws=name), sizes.closed),
        plate("widest", style.say("Full circle, jaws {jaws} widest", jaws=name), sizes.widest),
    )


def _rows(phrases: Sequence[str], label: JobLabel, *, width: float) -> list[str]:
    """The wording over the round: the title, then phrases that share rows where they fit whole."""
    title, *others = phrases
    wanted = [*others, label.fitted(width)]
    heading = balanced(title, width=width, size=BODY, bold=True)
    for count in range(1, len(wanted) + 1):
        rows = fill_rows(["", *wanted], lambda _: width, most=count + 1, joined=True)
        if rows is not None and all(any(p in row for row in rows) for p in wanted):
            return [*heading, *(row for row in rows if row)]
    rows = [row for phrase in wanted for row in balanced(phrase, width=width, size=BODY)]
    return [*heading, *rows]


def _texts(rows: Sequence[str], top: float) -> list[Item]:
    """The rows in the middle of a plate, below its upper edge."""
    return block(rows, at=Point(0.0, top - 2.0 - 0.76 * BODY), anchor=Anchor.MIDDLE)


def _words_beside(word: str, half: float, hole: float, y: float) -> list[Item]:
    """A word on either side of an opening, where it fits."""
    room = half - hole - 2.0
    if text_width(word, size=BODY, bold=True) > room:
        return []
    x = (half + hole) / 2
    return [
        Text(text=word, at=Point(side * x, y), anchor=Anchor.MIDDLE, bold=True) for side in (-1, 1)
    ]
