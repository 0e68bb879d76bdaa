"""Tenon ring: a stepped gauge for the tenon of a set of jaws, and full rings on request.

Between its lips the widest tenon passes that the jaws hold; its round has the size at which they
close to a true circle. A tenon of the right size passes the lips and seats in the round, or stops
at the step before it. Rings go over the end face of a tenon, where a dovetail is widest.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
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

SIDE = 12.0  # mm of material beside the round
CROWN = 12.0  # mm of material over the round at least
NARROWEST = 64.0  # mm: least width of a plate, for its wording
THROAT = 3.0  # mm from the middle of the round to the step
LIPS = 9.0  # mm of the lips, along the way of the tenon
ORIGIN = Point(0.0, 0.0)


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
    return _rings(sizes_used(plan), job_label(plan, style), style)


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """A stepped ring for each set of the shop's jaws."""
    return _rings(shop_sizes(shop), label, style)


def make_full(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """Full rings, closed and widest, for each set of jaws that the plan uses."""
    label = job_label(plan, style)
    return tuple(
        part
        for number, sizes in enumerate(sizes_used(plan), start=1)
        for part in _full(sizes, number, label, style)
    )


def _rings(owned: Iterable[TenonSizes], label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    return tuple(_stepped(sizes, n, label, style) for n, sizes in enumerate(owned, start=1))


def _stepped(sizes: TenonSizes, number: int, label: JobLabel, style: PrintStyle) -> Part:
    """The stepped ring: its round about the origin, its lips below."""
    title = style.say("Tenon ring, jaws {jaws}", jaws=sizes.jaws.id)
    closed, widest = style.length(sizes.closed), style.length(sizes.widest)
    phrases = [
        title,
        style.say("over the end face, between the lips to the round"),
        style.say("go Ø {widest}, stop Ø {closed}", widest=widest, closed=closed),
        style.say("cut on the line"),
    ]
    hole, lips = sizes.closed / 2, sizes.widest / 2
    half = max(hole + SIDE, lips + SIDE, NARROWEST / 2)
    rows = _rows(phrases, label, width=2 * half - 6.0)
    top = hole + max(CROWN, len(rows) * LEADING + 4.0)
    low = -THROAT - LIPS
    right = (
        Point(half, top),
        Point(half, low),
        Point(lips, low),
        Point(lips, -THROAT),
        Point(hole, -THROAT),
        Point(hole, 0.0),
    )
    left = [Point(-p.x, p.y) for p in reversed(right)]
    outline: list[Segment] = [Line(a, b) for a, b in itertools.pairwise(right)]
    outline.append(Arc(ORIGIN, hole, 0.0, math.pi))
    outline += [Line(a, b) for a, b in itertools.pairwise([*left, right[0]])]
    items: list[Item] = [
        Path(segments=tuple(outline), closed=True),
        *_texts(rows, top),
        *_words_beside(style.say("go"), half, lips, (low - THROAT - 0.6 * BODY) / 2),
        *_words_beside(style.say("stop"), half, hole, 0.0),
    ]
    return Part(
        kind=PartKind.TENON_RING,
        key=f"tenon-ring-{number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )


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
