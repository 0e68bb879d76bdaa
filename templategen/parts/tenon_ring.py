"""Tenon ring: a stepped gauge for the tenon of a set of jaws, and full rings on request.

Between its lips the widest tenon passes that the jaws hold; its round has the size at which they
close to a true circle. A tenon of the right size passes the lips and seats in the round, or stops
at the step before it. Rings go over the end face of a tenon, where a dovetail is widest. The notch
in the crown is laid on shoulder, flank and end face: its upper edge is the shoulder of the bowl.
Bands and crowns are slim, so that on a sheet each ring lies in the round of the next larger one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Point, Segment, Transform, circle
from templategen.nest.plan import Plan
from templategen.parts.columns import balanced_rows
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    Anchor,
    Item,
    Part,
    Path,
    Text,
    arc_path,
    line,
    part_of,
    polar,
    rectangle,
    run_through,
)
from templategen.parts.labels import LEADING, JobLabel, block, fill_rows, job_label
from templategen.parts.lettering import balanced, text_width
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import closed_end, closed_neck, tenon_length_limit, widest_end
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Jaws, Shop

SIDE = 10.0  # mm of card beside the round (common practice, no source): 1 to 3 mm of card holds
TIP = 8.0  # mm of card beside the lips, which bear nothing
CROWN = 12.0  # mm of card over the round at least
NARROWEST = 64.0  # mm: least width of a plate, for its wording
LIP = 12.0  # mm that the notch reaches over the end face
UNDER = 9.0  # mm of card between the notch and the round
BEND = 1.0  # mm over the middle of the round to where a wide crown may end
LEAST_WORDING = 50.0  # mm: least width of the wording
WIDEST = 66.0  # mm: greatest half width of a crown that is wider than its ring
WIDER = 2.0  # mm: step between the widths of a crown that are tried
APART = 5.5  # mm: of two rings on a sheet, one in the round of the other
MOST_CORNER = 14.0  # mm that is cut off the crown beside its first row
BESIDE_FLAT = 5.0  # mm between the name of the flat and the title
ABOVE_STOP = 5.0  # mm from the middle of the round to the wording along the band
MOST_TURN = math.radians(60.0)  # over the lips: wording along the band ends there
THROAT = 3.0  # mm from the middle of the round to the step
LIPS = 7.0  # mm of the lips, along the way of the tenon
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
    sizes: Sequence[TenonSizes], shoulder: float, label: JobLabel, style: PrintStyle
) -> tuple[Part, ...]:
    """Rings whose crowns let each lie in the round of the next larger one, as cups do."""
    rounds = sorted(one.closed / 2 for one in sizes)
    parts = []
    for number, one in enumerate(sizes, start=1):
        larger = [hole - APART for hole in rounds if hole > one.closed / 2]
        parts.append(_stepped(one, shoulder, number, label, style, min(larger, default=None)))
    return tuple(parts)


@dataclass(frozen=True, slots=True)
class _Crown:
    """What stands over the round: how far it reaches to either side, its top, its rows, mm.

    Its right corner is cut off by `corner` across and a row down.
    """

    left: float
    right: float
    top: float
    rows: list[str]
    corner: float

    @property
    def foot(self) -> float:
        """Down to where a crown wider than the ring is as wide."""
        return self.top - len(self.rows) * LEADING - 4.0

    @property
    def ends(self) -> list[Point]:
        """The right end of its top and the one of its second row."""
        if self.corner <= 0:
            return [Point(self.right, self.top)]
        lower = self.top - LEADING - 2.0
        return [Point(self.right - self.corner, self.top), Point(self.right, lower)]

    def drop(self, room: float | None, length: float) -> float:
        """How far the ring stands out of a round of the radius `room`, or its top for none, mm.

        Args:
            room: radius, mm.
            length: of the tenon, mm: depth of the notch, which is the left corner.
        """
        if room is None:
            return self.top
        corners = [*self.ends, Point(self.left, self.top - length)]
        drops = [
            corner.y - math.sqrt(max(0.0, room**2 - corner.x**2)) + 2 * max(0.0, corner.x - room)
            for corner in corners
        ]
        return max(drops)


def _stepped(
    sizes: TenonSizes,
    shoulder: float,
    number: int,
    label: JobLabel,
    style: PrintStyle,
    room: float | None,
) -> Part:
    """The ring with its round about the origin, its lips below and the notch in its crown."""
    title = style.say("Tenon ring, jaws {jaws}", jaws=sizes.jaws.id)
    hole, lips, side = sizes.closed / 2, sizes.widest / 2, _side(sizes)
    flat = style.say("flat {width}", width=style.length(shoulder))
    on_band, others = _shared_out(_phrases(sizes, style), hole, side)
    crown = _crown(sizes, [title, *others], label, room, shoulder, flat)
    start = LIP + sizes.flare - crown.left
    flat_end = LIP - crown.left + shoulder  # of the flat that the jaws need at the shoulder
    items: list[Item] = [
        Path(segments=_outline(sizes, side, crown), closed=True),
        *_crown_texts(crown, start + 3.0, flat),
        *_words_beside(style.say("Go"), side, lips, -THROAT - LIPS / 2 - 0.3 * BODY),
        *_words_beside(style.say("Stop"), side, hole, 0.0),
        *on_band,
        line(flat_end, crown.top, flat_end, crown.top - 1.5),
    ]
    return part_of(PartKind.TENON_RING, f"tenon-ring-{number}", title, items)


def _side(sizes: TenonSizes) -> float:
    """Radius of the outside of a ring, mm."""
    return max(sizes.closed / 2 + SIDE, sizes.widest / 2 + TIP)


def _crown_texts(crown: _Crown, start: float, flat: str) -> list[Item]:
    """The rows from x = `start`, before the first of them the name of the flat at its tick."""
    first = Point(start, crown.top - 2.5 - 0.76 * BODY)
    head, *others = crown.rows
    title_at = Point(start + text_width(flat, size=BODY) + BESIDE_FLAT, first.y)
    return [
        Text(text=flat, at=first),
        Text(text=head, at=title_at, bold=True),
        *block(["", *others], at=first),
    ]


def _phrases(sizes: TenonSizes, style: PrintStyle) -> list[str]:
    """What a ring says beside its title and the flat."""
    return [
        style.say(
            "go Ø {widest}, stop Ø {closed}",
            widest=style.length(sizes.widest),
            closed=style.length(sizes.closed),
        ),
        style.say(
            "notch: neck Ø {neck}, {length} long",
            neck=style.length(sizes.neck),
            length=style.length(sizes.length),
        ),
        style.say("dovetail {angle:g}°", angle=sizes.jaws.dovetail_angle),
        style.say("cut on the line"),
        style.say("over the end face"),
    ]


def _shared_out(phrases: Sequence[str], hole: float, side: float) -> tuple[list[Text], list[str]]:
    """The last phrases along the band on either side, where they fit, and the others."""
    middle = hole + 1.0 + BODY / 2
    longest = 2 * math.sqrt(max(0.0, (side - 1.0) ** 2 - (hole + 1.0 + BODY) ** 2))
    texts: list[Text] = []
    others = list(phrases)
    for hand in (-1.0, 1.0):
        start = ABOVE_STOP / middle
        for phrase in reversed(phrases):
            wide = text_width(phrase, size=BODY)
            turn = 2 * math.atan(wide / 2 / (middle - BODY / 2))
            if phrase in others and wide <= longest and start + turn <= MOST_TURN:
                others.remove(phrase)
                texts.append(_along_band(phrase, middle, hand, start + turn / 2))
                start += turn + 3.0 / middle
    return texts, others


def _along_band(text: str, radius: float, hand: float, height: float) -> Text:
    """A phrase across the radius, right (1) or left (-1), at an angle over the lips, radians."""
    angle = height if hand > 0 else math.pi - height
    at = polar(radius - 0.26 * BODY, angle)
    return Text(text=text, at=at, angle=angle - math.pi / 2, anchor=Anchor.MIDDLE)


def _crown(
    sizes: TenonSizes,
    phrases: Sequence[str],
    label: JobLabel,
    room: float | None,
    shoulder: float,
    flat: str,
) -> _Crown:
    """The crown with which the ring goes farthest into a round of the radius `room`."""
    found: list[_Crown] = []
    side = _side(sizes)
    notch = LIP + sizes.flare
    beside_title = text_width(flat, size=BODY) + BESIDE_FLAT
    least = text_width(phrases[0], size=BODY, bold=True) + beside_title
    width = max(LEAST_WORDING, shoulder, least)
    while not found or width <= max(2 * side, 2 * WIDEST) - notch:
        wide = width + notch + 6.0
        left = (wide + LIP) / 2
        right = wide - left
        rows = _rows(phrases, label, width=width)
        top = sizes.closed / 2 + max(CROWN, len(rows) * LEADING + 3.5)
        top = _high_enough(sizes, side, left, top)
        corner = min(width - least, MOST_CORNER)
        found.append(_Crown(left, right, top, rows, corner))
        width += WIDER
    return min(found, key=lambda crown: crown.drop(room, sizes.length))


def _high_enough(sizes: TenonSizes, side: float, left: float, top: float) -> float:
    """The top of a crown, or higher, so that there is card below its notch."""
    beside = math.sqrt(max(0.0, side**2 - left**2))
    inner = left - LIP - sizes.flare
    below = math.sqrt(max(0.0, (sizes.closed / 2 + UNDER) ** 2 - inner**2))
    return max(top, beside + sizes.length + 1.0, below + sizes.length)


def _outline(sizes: TenonSizes, side: float, crown: _Crown) -> tuple[Segment, ...]:
    """Round the ring from the right end of its crown; its shoulders follow the round."""
    end_face = crown.top - sizes.length  # of the notch
    mirrored = _flank(sizes, side, crown, Point(crown.left, end_face))
    return run_through(
        [
            *crown.ends,
            *_flank(sizes, side, crown, crown.ends[-1]),
            Arc(ORIGIN, sizes.closed / 2, 0.0, math.pi),
            *(segment.moved(MIRROR).reversed() for segment in reversed(mirrored)),
            Point(-crown.left + LIP + sizes.flare, end_face),
            Point(-crown.left + LIP, crown.top),
            crown.ends[0],
        ]
    )


def _flank(sizes: TenonSizes, side: float, crown: _Crown, corner: Point) -> tuple[Segment, ...]:
    """From a corner of the crown, as if right, round the lip to the round at y = 0."""
    hole, lips, low = sizes.closed / 2, sizes.widest / 2, -THROAT - LIPS
    half = corner.x
    if half < side:
        angle = math.acos(half / side)
        outside: list[Point | Segment] = [Arc(ORIGIN, side, angle, -angle)]
    elif crown.foot - half + side < BEND:  # a small ring: straight down
        side, outside = half, [Point(half, 0.0)]
    else:
        foot = Point(side, crown.foot - half + side)
        outside = [Point(half, crown.foot), foot, Point(side, 0.0)]
    lip = [Point(side, low), Point(lips, low), Point(lips, -THROAT)]
    return run_through([corner, *outside, *lip, Point(hole, -THROAT), Point(hole, 0.0)])


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
        top = hole + max(CROWN, len(rows) * LEADING + 3.5)
        items: list[Item] = [
            rectangle(Box(-half, -hole - SIDE, half, top)),
            arc_path(circle(ORIGIN, hole)),
            *block(rows, at=Point(0.0, top - 2.0 - 0.76 * BODY), anchor=Anchor.MIDDLE),
        ]
        return part_of(PartKind.FULL_CIRCLE, f"full-circle-{number}-{key}", title, items)

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
    return balanced_rows([title, *wanted], width=width)


def _words_beside(word: str, half: float, hole: float, y: float) -> list[Item]:
    """A word on either side of an opening, where it fits."""
    room = half - hole - 1.6
    if text_width(word, size=BODY, bold=True) > room:
        return []
    x = (half + hole) / 2
    return [
        Text(text=word, at=Point(side * x, y), anchor=Anchor.MIDDLE, bold=True) for side in (-1, 1)
    ]
