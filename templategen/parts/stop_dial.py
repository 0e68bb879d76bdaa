"""Stop dial: a sector about the pivot that shows how far the tip has swung, and where to stop."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    cross,
    lines_through,
    polyline,
)
from templategen.parts.face_plate import CROSS, chosen_pin_phrase, pin_diameters, pin_outline
from templategen.parts.labels import LEADING, block, job_label
from templategen.parts.lettering import balanced, text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.units import Rounding, format_length

RADIUS = 61.0  # mm from the pin to the scale, more for a thick post
PAST_BODY = 27.0  # mm: from the post's body to the scale at least
HUB = 8.0  # mm: card round the hole for the pin
BEFORE, AFTER = math.radians(4.0), math.radians(6.0)  # card beyond the first and the last name
TICK, FINE = 7.0, 3.5  # mm: lines every 10 and every 5 degrees
NAMED = 9.0  # mm from the rim to the names
BOLD = 0.8  # mm: width of the line at the stop
PAST_STOP = 0.75  # grey level of the band from the stop on
FLAG = 48.0  # mm: width of the wording beside the scale


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
    cuts = [cut for number in plan.sequence for cut in plan.cuts if cut.number == number]
    return tuple(_dial(plan, cut, style) for cut in cuts)


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
        add(style.say("breaks off"), cut.release_angle)
    add(style.say("through"), _end(cut))
    return sorted(marks, key=lambda mark: mark.swing)


def _end(cut: Cut) -> float:
    """Swing at which the tip reaches the axis, radians."""
    return cut.swing if cut.through_angle is None else cut.through_angle


def _exact(depth: float, style: PrintStyle) -> str:
    """A figure that a card has too, in one unit, rounded as there."""
    return format_length(depth, style.units.first, wording=style.wording)


def _coarse(depth: float, style: PrintStyle) -> str:
    """A depth on the way, to the millimetre or to 1/16 in: nobody swings finer."""
    return format_length(depth, style.units.first, rounding=Rounding(places=0, denominator=16), wording=style.wording)


def _labels(marks: Sequence[_Mark], cut: Cut, outer: float, style: PrintStyle) -> list[_Label]:
    """Names and every 10 degrees with the swings at which their wording stands clear.

    Args:
        marks: those with a name, by their swing.
        cut: of the dial.
        outer: radius at which the wording ends, mm.
        style: of the wording.
    """
    places = _spread(marks, outer)
    path = cut.tip_path
    touch, last = path.touch_angle(), marks[-1].swing
    labels = [_Label(mark, at) for mark, at in zip(marks, places, strict=True)]
    for tens in range(1, int(math.degrees(last)) // 10 + 1):
        swing = math.radians(10 * tens)
        mark = _Mark(swing, f"{10 * tens}° · {_coarse(path.depth(touch + swing), style)}")
        room = 1.2 * LEADING / _inner([mark], outer)
        if all(abs(swing - at) >= room for at in places):
            labels.append(_Label(mark, swing))
    return labels


def _spread(marks: Sequence[_Mark], outer: float) -> list[float]:
    """Swings at which names stand clear of one another, as near their marks as may be."""
    gap = LEADING / _inner(marks, outer)
    places: list[float] = []
    for mark in marks:
        places.append(max(mark.swing, places[-1] + gap) if places else mark.swing)
    at = (places[-1] + marks[-1].swing) / 2  # half of the way back from where crowding moved it
    for n in range(len(places) - 1, 0, -1):
        if places[n] <= at:
            break
        places[n] = at
        at -= gap
    return places


def _inner(marks: Sequence[_Mark], outer: float) -> float:
    """Radius to which the longest wording reaches inwards, mm."""
    return max(12.0, outer - max(text_width(m.text, size=BODY, bold=m.bold) for m in marks))


def _direction(swing: float) -> float:
    """Direction of a swing on the dial, the touch straight up, radians."""
    return math.pi / 2 - swing


def _dial(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    marks = _marks(cut, style)
    pins = pin_diameters(plan.shop, style)
    hub = max(pins) / 2 + HUB
    radius = max(RADIUS, (plan.shop.post.body or 0.0) / 2 + PAST_BODY, hub + 45.0)
    labels = _labels(marks, cut, radius - NAMED - 1.5, style)
    title = style.say("Stop dial, cut {number}", number=cut.number)
    named = f"{title}: {cut.cutter.id}"
    fits = text_width(named, size=BODY, bold=True) <= FLAG - 6.0
    heading = [named] if fits else [f"{title}:", cut.cutter.id]
    phrases = [*heading, *_phrases(plan, cut, style)]
    phrases.append(job_label(plan, style).fitted(FLAG - 6.0))
    rows = [
        row
        for n, phrase in enumerate(phrases)
        for row in balanced(phrase, width=FLAG - 6.0, size=BODY, bold=n == 0)
    ]
    end = max(label.at for label in labels) + AFTER
    outline, first = _outline(radius, hub, end, len(rows))
    centre = Point(0.0, 0.0)
    items: list[Item] = [outline]
    role = Role.CUT if plan.shop.post.pin is not None else Role.MARK
    items += [pin_outline(centre, d, 0.0, role=role) for d in pins]
    items += cross(centre, CROSS)
    if cut.stop_angle is not None:
        items.append(_past_stop(cut.stop_angle, _end(cut), radius))
    items += _scale(labels, marks, radius)
    items += block([row for row in rows if row], at=first)
    return Part(
        kind=PartKind.STOP_DIAL.value,
        key=f"stop-dial-{cut.number}",
        title=title,
        drawing=Drawing(items=tuple(items)),
    )


def _outline(radius: float, hub: float, end: float, rows: int) -> tuple[Path, Point]:
    """Sector, hub and flag, and the baseline of the flag's first row.

    The flag lies before the touch: away from the wood wherever the holder stands.
    """
    middle = Point(0.0, 0.0)
    right, left = _direction(end), _direction(-BEFORE)
    rim = Arc(middle, radius, right, left - right)
    tall = rows * LEADING + 2.5
    top = max(rim.end.y, hub + tall)
    side = rim.end.x - FLAG
    lean = math.acos(hub / radius)
    foot = Arc(middle, hub, math.pi, math.pi + right - lean)
    corners = (
        rim.end,
        Point(rim.end.x, top),
        Point(side, top),
        Point(side, top - tall),
        Point(-hub, top - tall),
        foot.start,
    )
    path = Path(
        segments=(rim, *lines_through(corners), foot, Line(foot.end, rim.start)), closed=True
    )
    return path, Point(side + 3.0, top - 1.5 - 0.76 * BODY)


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
        items.append(_along_radius(label, radius - NAMED - 1.5))
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
    phrases.append(style.say("tip on the face: 0° to a mark on the holder, tape the dial down"))
    if cut.stop_angle is None or cut.stop_neck is None:
        phrases.append(
            style.say("no STOP mark: the wood's strength is not known; stop well before the end")
        )
    else:
        phrases.append(
            style.say(
                "STOP at {angle}°, an estimate: a neck of {neck} holds; lathe off, break the "
                "core out by hand",
                angle=style.figure(math.degrees(cut.stop_angle), ".1f"),
                neck=_exact(cut.stop_neck, style),
            )
        )
    return [*phrases, style.say("cut on the line, printed side up")]
