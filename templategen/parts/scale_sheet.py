"""The scale sheet: long bars both ways and two diagonals with verniers, to measure a printer by.

A vernier stands at the far end of each, as on a caliper, but its lines are a little farther apart
than the marks of the rule, not nearer: it runs inwards, so that a bar can reach as far as the page.
The printer stretches the vernier too, by 0.06 mm where the bar is out by 0.6 %.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point, Transform
from templategen.messages import tr_noop
from templategen.parts.columns import TextColumn
from templategen.parts.drawing import BODY, Anchor, Item, Part, Text, line, part_of
from templategen.parts.labels import JobLabel
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Shop
from templategen.units import MM_PER_INCH, Units

STEPS = {Units.MM: (17, 22), Units.IN: (6, 8)}  # beside the bars of a page
TICK = 3.0  # mm
LEADING = BODY * 1.45
CLEAR = 20.0  # mm of a diagonal left free at each corner, where the bars' own verniers stand
BEYOND = 3.0  # mm of a diagonal drawn beside its marks
LOW = 0.72 * BODY  # height of a figure, mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Vernier:
    """The lines of a vernier against the marks of a rule.

    Args:
        pitch: from line to line, mm.
        figures: what the lines say, from the end inwards; empty for an unlabelled one.
        start: which mark of the rule is laid on the start line, in the unit of the bars.
    """

    pitch: float
    figures: tuple[str, ...]
    start: int

    @property
    def length(self) -> float:
        """From the first line to the last, mm."""
        return self.pitch * (len(self.figures) - 1)


VERNIERS = {
    # Tenths of a millimetre against millimetres.
    Units.MM: Vernier(
        pitch=1.1,
        figures=tuple(str(n) if n % 5 == 0 else "" for n in range(10)),
        start=10,
    ),
    # 256ths of an inch (0.1 mm) against sixteenths, labelled in thousandths.
    Units.IN: Vernier(
        pitch=MM_PER_INCH * 17 / 256,
        figures=tuple(f"{n * 1000 / 256:.0f}" if n % 4 == 0 else "" for n in range(16)),
        start=1,
    ),
}


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """A scale sheet that fits on a page of A4 or letter beside the page's own bars."""
    del shop, label  # the same for every shop
    heading = style.say("Print at 100 %, never fitted to the page.")
    return (scale_part(STEPS[style.units.first], style, heading=heading),)


def scale_part(steps: tuple[int, int], style: PrintStyle, *, heading: str, note: str = "") -> Part:
    """The sheet as a part, the lower left corner of its bars at the origin.

    Args:
        steps: how many steps the bars have across and down: 10 mm, or 1 in for inches.
        style: units of the bars, and language.
        heading: the first line of the wording.
        note: a line to follow it, or empty.
    """
    scale = _Scale(*steps, style)
    items = [
        *_bars(scale),
        *_diagonals(scale),
        *_paragraphs(scale, [heading, note] if note else [heading]),
        *_bar_labels(scale),
    ]
    title = style.say("Scale sheet")
    return part_of(
        PartKind.SCALE_SHEET, "scale-sheet", title, items, may_turn=False, may_tile=False
    )


class _Scale:
    """The bars of a sheet.

    Args:
        across: steps of the bar across.
        down: steps of the bar down.
        style: its units give the step, 10 mm or 1 in.
    """

    def __init__(self, across: int, down: int, style: PrintStyle) -> None:
        self.style = style
        self.steps = across, down
        self.is_inch = style.units.first is Units.IN
        self.vernier = VERNIERS[style.units.first]
        self.unit, per_step, self.step = (
            ("in", 1, MM_PER_INCH) if self.is_inch else ("mm", 10, 10.0)
        )
        self.across, self.down = across * per_step, down * per_step  # in the unit
        self.frame = Box(0.0, 0.0, across * self.step, down * self.step)
        self.whole = math.hypot(self.frame.width, self.frame.height)  # of a diagonal, mm
        count = int((self.whole - 2 * CLEAR) / self.step)
        self.diagonal = count * per_step  # between its marks, in the unit
        self.free = (self.whole - count * self.step) / 2  # from a corner to the mark, mm

    def shown(self, length: int) -> str:
        """A length in the unit, with its name."""
        return f"{length} {self.unit}"

    def command(self) -> tuple[str, ...]:
        """An example of the command that takes what was measured, option by option."""
        if self.is_inch:
            across, down = self.across - 1, self.down
            return (
                "templategen printer add NAME",
                f'--across "{across} 15/16 + 0.031 : {self.across}"',
                f'--down "{down} + 0.023 : {down}"',
                f'--diagonals "{self.diagonal} + 0.008 : {self.diagonal - 1} 15/16 + 0.059"',
            )
        return (
            "templategen printer add NAME",
            f"--across {self.across * 0.9956:.1f}/{self.across}",
            f"--down {self.down * 1.004:.1f}/{self.down}",
            f"--diagonals {self.diagonal + 0.3:.1f}/{self.diagonal - 0.1:.1f}",
        )


def _bars(scale: _Scale) -> list[Item]:
    """A bar along the lower and the left side, ticks inwards, and the corner between the others.

    Where its vernier stands a bar has no other ticks.
    """
    right, top = scale.frame.right, scale.frame.top
    items: list[Item] = [line(0.0, 0.0, right, 0.0), line(0.0, 0.0, 0.0, top)]
    items += [line(x, 0.0, x, long) for x, long in _tick_places(scale, scale.steps[0])]
    items += [line(0.0, y, long, y) for y, long in _tick_places(scale, scale.steps[1])]
    items += [line(right - 2 * TICK, top, right, top), line(right, top - 2 * TICK, right, top)]
    items += _vernier(scale, Transform.move(right, 0.0), is_left=True)
    items += _vernier(scale, Transform.rotate(math.pi / 2).then(Transform.move(0.0, top)))
    return items


def _tick_places(scale: _Scale, count: int) -> Iterator[tuple[float, float]]:
    """Where the ticks of a bar of `count` steps are, from its start, and how long they are, mm."""
    clear = scale.vernier.length + 3.0
    for n in range(count + 1):
        if n == count or (count - n) * scale.step >= clear:
            yield n * scale.step, 2 * TICK if n in (0, count) else TICK


def _vernier(scale: _Scale, place: Transform, *, is_left: bool = False) -> list[Item]:
    """The lines and figures of a vernier, and the figure at the start of a bar.

    Args:
        scale: of the sheet.
        place: lays the end of the bar, which runs along x to the origin, on the sheet.
        is_left: whether the lines stand left of the bar as one looks along it, else right.
    """
    side = 1.0 if is_left else -1.0
    items: list[Item] = []
    for n, figure in enumerate(scale.vernier.figures):
        x = -n * scale.vernier.pitch
        tall = TICK * (2.0 if n == 0 else 1.4 if figure else 1.0)
        if n:
            items.append(line(x, 0.0, x, side * tall).moved(place))
        if figure:
            items.append(_figure(figure, place, Point(x, side * tall)))
    return items


def _figure(figure: str, place: Transform, foot: Point) -> Text:
    """A figure beside a line that ends at `foot`: along the bar, or upright on an upright bar."""
    side = math.copysign(1.0, foot.y)
    angle = place.angle
    if abs(angle - math.pi / 2) < 1e-9:  # its lines run to the right
        x, y = place.apply(Point(foot.x, foot.y + side * 0.8))
        return Text(text=figure, at=Point(x, y - LOW / 2))
    x, y = place.apply(Point(foot.x, foot.y + side * (0.8 + LOW / 2)))
    shift = Transform.rotate(angle).apply(Point(0.0, -LOW / 2))
    at = Point(x + shift.x, y + shift.y)
    return Text(text=figure, at=at, anchor=Anchor.MIDDLE, angle=angle)


def _diagonals(scale: _Scale) -> list[Item]:
    """Both diagonals, drawn at their ends: the wording stands between.

    Each has a mark where it starts, at the left, and another with a vernier where it ends.
    """
    frame = scale.frame
    items: list[Item] = []
    slope = math.atan2(frame.height, frame.width)
    for start_y, angle in ((0.0, slope), (frame.top, -slope)):
        place = Transform.rotate(angle).then(Transform.move(0.0, start_y))
        side = -1.0 if angle > 0 else 1.0  # inwards, away from the sides of the sheet
        end = scale.whole - scale.free
        high = side * 2 * TICK
        lines = (
            line(scale.free - BEYOND, 0.0, scale.free + 2 * TICK, 0.0),
            line(end - scale.vernier.length - BEYOND, 0.0, end + BEYOND, 0.0),
            line(scale.free, 0.0, scale.free, high),
            line(end, 0.0, end, high),
        )
        items += [one.moved(place) for one in lines]
        items.append(_figure(str(scale.vernier.start), place, Point(scale.free, high)))
        moved = Transform.move(end, 0.0).then(place)
        items += _vernier(scale, moved, is_left=side > 0)
    return items


def _how_to_read(scale: _Scale) -> str:
    """How a bar is measured, in one sentence."""
    style = scale.style
    if scale.is_inch:
        return style.say(
            "1. Lay a steel rule along a bar, its 1 in mark on the line marked 1, and read the "
            "other end like a caliper: inches and sixteenths at line 0, less 1 in, and the "
            "thousandths at the fine line that meets a sixteenth of the rule."
        )
    return style.say(
        "1. Lay a steel rule along a bar, its 10 mm mark on the line marked 10, and read the "
        "other end like a caliper: millimetres at line 0, less 10, and the tenths at the fine "
        "line that meets a mark of the rule."
    )


def _steps(scale: _Scale) -> list[str]:
    """Where to note down what was measured."""
    style = scale.style
    lines = (
        (tr_noop("Across, wanted {wanted}: measured {blank}"), scale.across),
        (tr_noop("Down, wanted {wanted}: measured {blank}"), scale.down),
        (tr_noop("Rising to the right, wanted {wanted}: {blank}"), scale.diagonal),
        (tr_noop("Falling to the right, wanted {wanted}: {blank}"), scale.diagonal),
    )
    blank = "." * 20
    return [style.say(text, wanted=scale.shown(wanted), blank=blank) for text, wanted in lines]


def _paragraphs(scale: _Scale, heading: Sequence[str]) -> list[Item]:
    """Heading and steps between the diagonals; on small paper the last ones are left out."""
    style, frame = scale.style, scale.frame
    ends = (scale.free + scale.vernier.length + BEYOND) / scale.whole * frame.height
    left = 2 * TICK + 12.0
    y = frame.top - ends - 5.0
    column = TextColumn(frame.right - left - 10.0, first=y - 9.0, left=left, leading=LEADING)
    command = _rows_of_options(scale.command(), column.width)
    tell = style.say("2. Give the program what you measured, then what was wanted, such as:")
    blocks = [
        *([text] for text in (*heading, _how_to_read(scale), *_steps(scale))),
        [tell, *command],
        [
            style.say(
                "3. Print this sheet again with --printer NAME and measure once more. From then "
                "on print packs with --printer NAME."
            )
        ],
        [
            style.say(
                "Or without a rule: scan this sheet at 300 dpi and let templategen scan measure it."
            )
        ],
        [
            style.say(
                "A bar out by more than a tenth of its length comes from the print dialog, not "
                "from the printer. Damp paper grows: measure it as you will use it, and again "
                "after gluing."
            )
        ],
    ]
    title = Text(text=style.say("Scale sheet"), at=Point(left, y), size=6.0, bold=True)
    for block in blocks:
        rows = sum(len(wrap(text, width=column.width, size=BODY, bold=True)) for text in block)
        skips = sum(text not in command[:-1] for text in block)
        if column.y - (rows + 0.6 * skips) * LEADING < ends:
            break
        for text in block:
            column.write(text, bold=text in command)
            if text not in command[:-1]:
                column.skip(LEADING * 0.6)
    return [title, *column.items]


def _rows_of_options(options: Sequence[str], width: float) -> list[str]:
    """A command in rows of `width` mm that break before an option, never within its figures."""
    rows: list[str] = []
    for option in options:
        longer = f"{rows[-1]} {option}" if rows else option
        if rows and text_width(longer, size=BODY, bold=True) <= width:
            rows[-1] = longer
        else:
            rows.append(option)
    return rows


def _bar_labels(scale: _Scale) -> list[Item]:
    style = scale.style
    across = style.say("across: {size} between the end ticks", size=scale.shown(scale.across))
    down = style.say("down: {size} between the end ticks", size=scale.shown(scale.down))
    return [
        Text(text=across, at=Point(2.0, -4.6)),
        Text(text=down, at=Point(-2.0, 2.0), angle=math.pi / 2),
        Text(text=str(scale.vernier.start), at=Point(1.2, 3.6)),
    ]
