"""Stop dial: a sector about the pivot that shows how far the tip has swung, and where to stop."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Item,
    Part,
    Path,
    Role,
    Text,
    cross,
    part_of,
    polyline,
    run_through,
)
from templategen.parts.face_plate import CROSS, chosen_pin_phrase, pin_diameters, pin_outline
from templategen.parts.labels import LEADING, LEAST_ROW, fill_rows, flag_rows, job_label
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.units import MM_PER_INCH, Rounding, Units, format_length

RADIUS = 52.0  # mm from the pin to the scale, more for a thick post; a degree is 0.9 mm there
PAST_BODY = 27.0  # mm: from the post's body to the scale at least
HUB = 8.0  # mm: card round the hole for the pin
AFTER = 2.7  # mm: card beyond the middle of the last name, where the name begins
TICK, FINE = 7.0, 3.5  # mm: lines every 10 and every 5 degrees
NAMED = 9.0  # mm from the rim to the lines that lead to names
NAMES = NAMED + 1.5  # mm from the rim to the names
NAME_APART, TENS_APART = 1.2, 0.78  # of a row: from figures every 10 degrees to names, and others
PAST_HOLE = 2.5  # mm from the hole to the names at least
BOLD = 0.8  # mm: width of the line at the stop
PAST_STOP = 0.75  # grey level of the band from the stop on
BELOW = 10.0  # mm: from the pin's centre to the lower edge beside the touch
BESIDE_TOUCH = 3.2  # mm: from the line of the touch to the wording
MARGIN = 1.5  # mm: from an edge to the wording
HIGH = math.sqrt(0.5)  # of the radius: up to here the edge beside the touch goes at least
MOST_ROWS = 12
JOB = 40.0  # mm: of title and date


@dataclass(frozen=True, slots=True)
class _Mark:
    """A mark of the dial: its swing from the touch, radians, its wording, whether it is bold."""

    swing: float
    text: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class _Label:
    """A mark and the swing at which its wording stands, radians."""

    mark: _Mark
    at: float


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One dial for each cut, in working order.

    The dial drops over the post's pin and stays still while the cutter swings. With the tip on the
    face, its 0 is turned to a mark on the cutter's holder and the dial taped to the post; then the
    mark shows how far the tip has swung and how deep it is. Seen from above the scale runs
    clockwise, as the tip does.
    """
    return tuple(_dial(plan, cut, style) for cut in plan.working_order)


def _marks(cut: Cut, style: PrintStyle) -> list[_Mark]:
    """The marks with a name, by their swing."""
    path = cut.tip_path
    touch = path.touch_angle()
    marks = [_Mark(0.0, style.say("touch {angle}", angle="0°"))]

    def add(name: str, swing: float, *, bold: bool = False) -> None:
        depth = _exact(path.depth(touch + swing), style)
        marks.append(_Mark(swing, f"{name} {depth}", bold))

    if cut.relief is not None:
        angle = path.angle_at_depth(cut.relief.depth)
        if angle is not None:
            add(style.say("relief"), angle - touch)
    if cut.stop_angle is not None:
        add(style.say("STOP"), cut.stop_angle, bold=True)
    if cut.release_angle is not None:
        marks.append(_Mark(cut.release_angle, style.say("breaks off")))
    marks.append(_Mark(_end(cut), style.say("through")))
    return sorted(marks, key=lambda mark: mark.swing)


def _end(cut: Cut) -> float:
    """Swing at which the tip reaches the axis, radians."""
    return cut.swing if cut.through_angle is None else cut.through_angle


def _exact(depth: float, style: PrintStyle) -> str:
    """A figure that a card has too, in one unit, rounded as there."""
    return format_length(depth, style.units.first, wording=style.wording)


def _coarse(depth: float, style: PrintStyle) -> str:
    """A depth on the way, to the millimetre or to 1/16 in: nobody swings finer."""
    return format_length(
        depth, style.units.first, rounding=Rounding(places=0, denominator=16), wording=style.wording
    )


def _tens(cut: Cut, style: PrintStyle) -> list[_Mark]:
    """A mark for every 10 degrees on the way with the depth there.

    The tip may rise again before the stop: no rounded figure is more than the stop's depth, or
    than the deepest where no stop is known.
    """
    path = cut.tip_path
    touch, marks = path.touch_angle(), []
    step = 1.0 if style.units.first is Units.MM else MM_PER_INCH / 16  # as `_coarse` rounds
    most = cut.deepest if cut.stop_angle is None else path.depth(touch + cut.stop_angle)
    for tens in range(1, int(math.degrees(_end(cut))) // 10 + 1):
        swing = math.radians(10 * tens)
        depth = path.depth(touch + swing)
        if round(depth / step) * step <= most:
            marks.append(_Mark(swing, f"{10 * tens}° · {_coarse(depth, style)}"))
    return marks


def _labels(marks: Sequence[_Mark], tens: Sequence[_Mark], outer: float) -> list[_Label]:
    """The wording that stands clear of the other, with the swings at which it does.

    Args:
        marks: those with a name, by their swing; all of them are in.
        tens: those every 10 degrees, by their swing; one without room is left out.
        outer: radius at which the wording ends, mm.
    """
    names = [_Label(mark, at) for mark, at in zip(marks, _spread(marks, outer), strict=True)]
    clear: list[_Label] = []
    for mark in tens:
        others = [(label, NAME_APART) for label in names]
        others += [(label, TENS_APART) for label in clear[-1:]]
        if all(
            abs(mark.swing - label.at) >= apart * _gap(mark, label.mark, outer)
            for label, apart in others
        ):
            clear.append(_Label(mark, mark.swing))
    return [*names, *clear]


def _spread(marks: Sequence[_Mark], outer: float) -> list[float]:
    """Swings at which names stand clear of one another, as near their marks as may be."""
    gaps = [0.0, *(_gap(a, b, outer) for a, b in itertools.pairwise(marks))]
    places: list[float] = []
    for mark, gap in zip(marks, gaps, strict=True):
        places.append(max(mark.swing, places[-1] + gap) if places else mark.swing)
    at = marks[-1].swing + (places[-1] - marks[-1].swing) / 4  # most of what crowding moved it by
    for n in range(len(places) - 1, 0, -1):
        if places[n] <= at:
            break
        places[n] = at
        at -= gaps[n]
    for n in range(1, len(places)):
        places[n] = max(places[n], places[n - 1] + gaps[n])
    return places


def _gap(one: _Mark, other: _Mark, outer: float) -> float:
    """Swing between two names that stand clear of one another, radians."""
    return LEADING / max(_inner(one, outer), _inner(other, outer))


def _inner(mark: _Mark, outer: float) -> float:
    """Radius to which the wording of a mark reaches inwards, mm."""
    return max(12.0, outer - text_width(mark.text, size=BODY, bold=mark.bold))


def _direction(swing: float) -> float:
    """Direction of a swing on the dial, the touch straight up, radians."""
    return math.pi / 2 - swing


def _dial(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    marks = _marks(cut, style)
    pins = pin_diameters(plan.shop, style)
    hole, tens = max(pins) / 2, _tens(cut, style)
    widest = max(text_width(mark.text, size=BODY, bold=mark.bold) for mark in (*marks, *tens))
    radius = max(
        RADIUS, (plan.shop.post.body or 0.0) / 2 + PAST_BODY, hole + PAST_HOLE + widest + NAMES
    )
    labels = _labels(marks, tens, radius - NAMES)
    title = style.say("Stop dial, cut {number}", number=cut.number)
    hub = max(hole + HUB, BELOW + MARGIN)
    wide, texts = _beside_touch(
        f"{title}: {cut.cutter.id}", _phrases(plan, cut, style), _Disc(radius, hub, hole)
    )
    end = max(label.at + AFTER / _inner(label.mark, radius - NAMES) for label in labels)
    centre = Point(0.0, 0.0)
    items: list[Item] = [_outline(radius, hub, end, wide)]
    role = Role.CUT if plan.shop.post.pin is not None else Role.MARK
    items += [pin_outline(centre, d, 0.0, role=role) for d in pins]
    items += cross(centre, CROSS)
    if cut.stop_angle is not None:
        items.append(_past_stop(cut.stop_angle, _end(cut), radius))
    items += _scale(labels, marks, radius)
    items += texts
    return part_of(PartKind.STOP_DIAL, f"stop-dial-{cut.number}", title, items)


@dataclass(frozen=True, slots=True)
class _Disc:
    """Radii of the rim, of the card round the hole, and of the hole, mm."""

    rim: float
    hub: float
    hole: float


def _beside_touch(title: str, phrases: Sequence[str], disc: _Disc) -> tuple[float, list[Text]]:
    """How far the dial reaches beyond the touch, mm, and the wording there.

    Rows run along the line of the touch from the pin to the rim, the title the farthest from it.
    As few rows as hold the wording, so that the dial is small.
    """
    count = 2
    while True:
        wide = max(MARGIN + BODY + (count - 1) * LEADING + BESIDE_TOUCH, disc.hub + MARGIN)
        spans = [_span(MARGIN + n * LEADING - wide, disc) for n in range(count)]
        rooms = [high - low for low, high in spans]
        heading = wrap(title, width=rooms[0], size=BODY, bold=True)
        rows = _rows(heading, phrases, rooms)
        if rows is None and count > MOST_ROWS:  # a word is longer than a row
            rows = [*heading, *flag_rows(phrases, width=min(rooms))]
        if rows is not None and len(rows) <= count:
            break
        count += 1
    texts = [
        Text(
            text=row,
            at=Point(MARGIN + 0.76 * BODY + n * LEADING - wide, spans[n][0]),
            angle=math.pi / 2,
            bold=n < len(heading),
        )
        for n, row in enumerate(rows)
        if row
    ]
    return wide, texts


def _span(left: float, disc: _Disc) -> tuple[float, float]:
    """Where a row beside the touch begins and ends, mm from the pin along the line of the touch.

    Args:
        left: x of the row's upper edge, mm.
        disc: with its hole.
    """
    right = left + BODY
    clear = max(disc.hole, CROSS) + 1.2  # mm round the pin's centre without wording
    low = math.sqrt(clear**2 - right**2) if abs(right) < clear else -clear
    return max(low, MARGIN - BELOW), _top(left, disc.rim) - MARGIN


def _top(x: float, radius: float) -> float:
    """Height of the dial's edge beyond the touch, mm."""
    return max(HIGH * radius, math.sqrt(max(0.0, radius**2 - x**2)))


def _rows(
    heading: Sequence[str], phrases: Sequence[str], rooms: Sequence[float]
) -> list[str] | None:
    """Heading and phrases in rows of such widths, or None where they do not fit."""
    left = [LEAST_ROW, *rooms[len(heading) :]]
    most = len(left)
    found = fill_rows(["", *phrases], lambda n: left[min(n, most - 1)], most=most, joined=True)
    return None if found is None else [*heading, *found[1:]]


def _outline(radius: float, hub: float, end: float, wide: float) -> Path:
    """Sector and hub, and the wording's place beyond the touch: away from the wood.

    Args:
        radius: of the rim, mm.
        hub: radius of the card round the hole, mm.
        end: swing at which the sector ends, radians.
        wide: how far the dial reaches beyond the touch, mm.
    """
    middle = Point(0.0, 0.0)
    right, left = _direction(end), _direction(-math.asin(min(wide / radius, HIGH)))
    rim = Arc(middle, radius, right, left - right)
    lean = math.acos(hub / radius)
    below = math.pi + math.asin(BELOW / hub)
    foot = Arc(middle, hub, below, 2 * math.pi + right - lean - below)
    corners = [rim.end, Point(-wide, rim.end.y), Point(-wide, -BELOW), foot.start]
    sides = run_through(corners)
    return Path(segments=(rim, *sides, foot, Line(foot.end, rim.start)), closed=True)


def _past_stop(stop: float, through: float, radius: float) -> Path:
    """A grey band along the rim from the stop to the end of the cut."""
    start, end = _direction(stop), _direction(through)
    middle = Point(0.0, 0.0)
    outer = Arc(middle, radius, start, end - start)
    inner = Arc(middle, radius - TICK, end, start - end)
    sides = (Line(outer.end, inner.start), Line(inner.end, outer.start))
    return Path(
        segments=(outer, sides[0], inner, sides[1]),
        role=Role.NOTE,
        closed=True,
        fill=PAST_STOP,
        width=0.0,
    )


def _scale(labels: Sequence[_Label], marks: Sequence[_Mark], radius: float) -> list[Item]:
    """Lines at the rim every 5 degrees and at each name, and the names along the radius."""
    items: list[Item] = []
    named = [mark.swing for mark in marks]
    for fives in range(int(math.degrees(max(named))) // 5 + 1):
        swing = math.radians(5 * fives)
        if min(abs(swing - at) for at in named) < 1e-3:
            continue
        angle, length = _direction(swing), TICK if fives % 2 == 0 else FINE
        tick = (_polar(radius, angle), _polar(radius - length, angle))
        items.append(polyline(tick, role=Role.MARK))
    for label in labels:
        if label.mark in marks:
            own, angle = _direction(label.mark.swing), _direction(label.at)
            ends = (_polar(radius, own), _polar(radius - TICK, own), _polar(radius - NAMED, angle))
            width = BOLD if label.mark.bold else None
            items.append(polyline(ends, role=Role.MARK, width=width))
        items.append(_along_radius(label, radius - NAMES))
    return items


def _polar(radius: float, angle: float) -> tuple[float, float]:
    return radius * math.cos(angle), radius * math.sin(angle)


def _along_radius(label: _Label, outer: float) -> Text:
    """A name along the radius, its end at the rim, never upside down."""
    angle = _direction(label.at)
    turned = angle > math.pi / 2 + 1e-9
    baseline = angle - math.pi if turned else angle
    x, y = _polar(outer, angle)
    low = 0.26 * BODY
    return Text(
        text=label.mark.text,
        at=Point(x + low * math.sin(baseline), y - low * math.cos(baseline)),
        angle=baseline,
        anchor=Anchor.START if turned else Anchor.END,
        bold=label.mark.bold,
    )


def _phrases(plan: Plan, cut: Cut, style: PrintStyle) -> list[str]:
    phrases = []
    if plan.shop.post.pin is None:
        phrases.append(chosen_pin_phrase(pin_diameters(plan.shop, style), style))
    phrases.append(style.say("tip on face: 0° to holder's mark"))
    if cut.stop_angle is None:
        phrases.append(
            style.say("no STOP mark: the wood's strength is not known; stop well before the end")
        )
    else:
        phrases.append(
            style.say(
                "STOP at {angle}° (estimate): lathe off, break the core out by hand",
                angle=style.figure(math.degrees(cut.stop_angle), ".1f"),
            )
        )
    return [*phrases, job_label(plan, style).fitted(JOB)]
