"""What plates have in front of the face: hook for the rim, place of the pin, wording.

Frame of a plate: the cutter's plane seen from above, x from the axis towards the entry and y = -z,
so that the face lies on y = 0 and the plate is hooked on the blank from above in the drawing; mm.
"""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.drawing import BODY, Path, Role, Text, run_through
from templategen.parts.labels import LEADING, fill_rows, flag_rows
from templategen.parts.lettering import wrap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.records import Shop
from templategen.units import MM_PER_INCH, Units, format_length

HOOK = 14.0  # mm: the hook's width and its reach behind the rim; smaller on small rims
CORNER = 1.5  # mm: radius cut out in the hook's corner, so that a sharp rim seats
BESIDE_PIN = 4.0  # mm: over the pin's place
BESIDE = 60.0  # mm: least width of rows beside the pin
HIGH = 14.0  # mm: up to this height each phrase has a row of its own
LEAST_TOP = 22.0  # mm: least height of a plate in front of the face
CROSS = 4.0  # mm: arm of a cross
PINS = (10.0, 12.0, 16.0, 20.0, 25.0, 30.0)  # mm: to choose from, common diameters of bars
INCH_PINS = (3 / 8, 1 / 2, 5 / 8, 3 / 4, 1.0, 1.25)  # in


def held_bowl(plan: Plan, cut: Cut) -> Bowl:
    """The bowl whose rim and tenon are on the lathe when the cut is made."""
    if plan.job.nest.order is Order.OUTER_FIRST:
        return plan.bowls[cut.number - 1]
    return plan.bowls[0]


def rim_x(plan: Plan, cut: Cut) -> float:
    """Where the rim on the lathe meets the cutter's plane: sqrt((D/2)² - h²), mm."""
    radius = held_bowl(plan, cut).rim_diameter / 2
    return math.sqrt(radius**2 - cut.cutter_height**2)


def between_bowls(plan: Plan, cut: Cut, style: PrintStyle) -> str:
    """Which bowls a cut parts from one another."""
    if cut.number + 1 == len(plan.bowls):
        return style.say("between bowl {number} and the core", number=cut.number)
    return style.say(
        "between bowl {number} and bowl {next}", number=cut.number, next=cut.number + 1
    )


def held_phrases(plan: Plan, cut: Cut, style: PrintStyle) -> list[str]:
    """How a plate is held: on the face, over the rim on the lathe, at the cutter's height."""
    rim = style.length(held_bowl(plan, cut).rim_diameter)
    own = plan.job.nest.order is Order.OUTER_FIRST and cut.number > 1
    return [
        style.say("straight edge on the face, printed side up"),
        style.say("hook over the rim of bowl {number}, {rim} across", number=cut.number, rim=rim)
        if own
        else style.say("hook over the rim of the blank, {rim} across", rim=rim),
        style.say(
            "flat in the cutter's plane, {height} above centre",
            height=style.length(cut.cutter_height),
        ),
    ]


def pivot_phrase(cut: Cut, style: PrintStyle) -> str:
    """Where the pivot of a cut is."""
    offset, standoff = style.length(abs(cut.pivot_offset)), style.length(cut.pivot_standoff)
    if cut.pivot_offset < 0:
        return style.say(
            "pivot {offset} past the axis, {standoff} off the face",
            offset=offset,
            standoff=standoff,
        )
    return style.say(
        "pivot {offset} towards the entry, {standoff} off the face",
        offset=offset,
        standoff=standoff,
    )


def pin_diameters(shop: Shop, style: PrintStyle) -> tuple[float, ...]:
    """The diameter of the post's pin, or common ones to choose from where it is not stated, mm."""
    if shop.post.pin is not None:
        return (shop.post.pin,)
    if style.units.first is Units.IN:
        return tuple(diameter * MM_PER_INCH for diameter in INCH_PINS)
    return PINS


def chosen_pin_phrase(diameters: Sequence[float], style: PrintStyle) -> str:
    """Which of several lines is to be cut out."""
    units = Units.IN if style.units.first is Units.IN else Units.MM
    names = [format_length(d, units, unit=False, wording=style.wording) for d in diameters]
    return style.say("cut out the line that fits your pin: Ø {pins}", pins=", ".join(names))


def pin_outline(end: Point, diameter: float, shift: float, *, role: Role = Role.CUT) -> Path:
    """A hole for a pin, or a slot that lets it shift towards the axis.

    Args:
        end: centre of the pin at the end away from the axis, mm.
        diameter: of the pin, mm.
        shift: length of the slot between the two centres, mm, ≥ 0.
        role: of the line.
    """
    radius = diameter / 2
    if shift <= 0:
        return Path(segments=(circle(end, radius),), role=role, closed=True)
    inner = Point(end.x - shift, end.y)
    outer_end = Arc(end, radius, -math.pi / 2, math.pi)
    inner_end = Arc(inner, radius, math.pi / 2, math.pi)
    sides = (Line(outer_end.end, inner_end.start), Line(inner_end.end, outer_end.start))
    return Path(segments=(outer_end, sides[0], inner_end, sides[1]), role=role, closed=True)


def hook_size(rim: float) -> float:
    """Width of the hook and its reach behind the rim, mm."""
    return min(HOOK, max(8.0, rim / 8))


class FacePlate:
    """The part of a plate in front of the face, with its wording beside or above the pin.

    Args:
        phrases: the wording in reading order; the first is the title, in bold.
        pin: box round the pin's place and its labels, mm; the plate ends at its left side.
        rim: x of the rim, mm.
        entry: x of the cut's entry, mm.
        low: least y of the wording, mm.
        least: least height of the plate, mm.

    Attributes:
        texts: the wording.
        corner: radius that is cut out in the hook's corner, mm.
    """

    def __init__(
        self,
        phrases: Sequence[str],
        *,
        pin: Box,
        rim: float,
        entry: float,
        low: float,
        least: float = LEAST_TOP,
    ) -> None:
        left = pin.left
        self._left, self._rim = left, rim
        self._hook = hook_size(rim)
        self.corner = min(CORNER, (rim - entry) / 3)
        right = rim + self._hook
        pin_top = pin.top + BESIDE_PIN
        places = [(left + 4.0, pin.top + 2.0)]
        if right - 4.0 - (pin.right + 4.0) >= BESIDE:
            places.append((pin.right + 4.0, low))
        best: tuple[float, list[Text]] | None = None
        for x, y in places:
            rows = _rows(phrases[0], phrases[1:], right - 4.0 - x, high=HIGH - y)
            top = max(least, y + len(rows) * LEADING + 2.5)
            if best is None or top < best[0]:
                first = y + (len(rows) - 1) * LEADING + 0.3 * BODY
                best = (
                    top,
                    [
                        Text(text=text, at=Point(x, first - n * LEADING), bold=bold)
                        for n, (text, bold) in enumerate(rows)
                    ],
                )
        assert best is not None
        self._right_top, self.texts = best
        self._left_top = max(pin_top, self._right_top if self.texts[0].at.x < pin.right else 0.0)
        self._step_at, self._slope_from = pin.right, pin.right + 5.0

    def hook_and_back(self) -> list[Segment]:
        """Round the hook and along the back: from the face beside the rim to the left end.

        Starts at (rim - corner, 0) and ends at (left, 0).
        """
        rim, hook, left = self._rim, self._hook, self._left
        corner = Arc(Point(rim, 0.0), self.corner, math.pi, -1.5 * math.pi)
        corners = [
            Point(rim, -self.corner),
            Point(rim, -hook),
            Point(rim + hook, -hook),
            Point(rim + hook, self._right_top),
        ]
        drop = self._left_top - self._right_top
        if drop > 3.0:
            corners.append(Point(self._slope_from + drop, self._right_top))
            corners.append(Point(self._slope_from, self._left_top))
        elif drop < 0:
            corners.append(Point(self._step_at, self._right_top))
            corners.append(Point(self._step_at, self._left_top))
        else:
            corners[-1] = Point(rim + hook, self._left_top)
        corners += [Point(left, self._left_top), Point(left, 0.0)]
        return [corner, *run_through(corners)]


def _rows(
    title: str, phrases: Sequence[str], width: float, *, high: float
) -> list[tuple[str, bool]]:
    """Rows of wording with whether each is bold; phrases share rows where `high` is not enough."""
    heading = wrap(title, width=width, size=BODY, bold=True)
    rows: list[str] = []
    for joined in (False, True):
        found = fill_rows(phrases, lambda _: width, most=99, joined=joined)
        rows = flag_rows(phrases, width=width) if found is None else found
        if (len(heading) + len(rows)) * LEADING + 2.5 <= high:
            break
    return [*((row, True) for row in heading), *((row, False) for row in rows)]
