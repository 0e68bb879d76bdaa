"""The scale sheet: long bars both ways and two diagonals, to measure a printer by."""

import math

from templategen.geometry.shapes import Box, Point
from templategen.parts.columns import TextColumn
from templategen.parts.drawing import BODY, Drawing, Item, Part, Text, line
from templategen.parts.labels import JobLabel
from templategen.parts.lettering import wrap
from templategen.parts.style import PrintStyle
from templategen.trade.records import Shop
from templategen.units import MM_PER_INCH, Units

STEPS = {Units.MM: (17, 22), Units.IN: (6, 8)}  # beside the bars of a page
TICK = 3.0  # mm
DIAGONAL = 1 / 8  # of each diagonal is drawn at each corner
LEADING = BODY * 1.45
SKEW_SHARE = 1 / 500  # of a diagonal: beyond, a template is out of square by 0.2 %


def make_for_shop(shop: Shop, *, label: JobLabel, style: PrintStyle) -> tuple[Part, ...]:
    """A scale sheet that fits on a page of A4 or letter beside the page's own bars."""
    del shop, label  # the same for every shop
    steps = STEPS[style.units.first]
    return (
        scale_part(steps, style, heading=style.say("Print at 100 %, never fitted to the page.")),
    )


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
        *_diagonals(scale.frame),
        *_paragraphs(scale, [heading, note] if note else [heading]),
        *_bar_labels(scale),
    ]
    return Part(
        kind="scale sheet",
        key="scale-sheet",
        title=style.say("Scale sheet"),
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
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
        inches = style.units.first is Units.IN
        self.step = MM_PER_INCH if inches else 10.0  # mm
        self.unit, self.places, per_step = ("in", 2, 1) if inches else ("mm", 1, 10)
        self.across, self.down = across * per_step, down * per_step  # in the unit
        self.frame = Box(0.0, 0.0, across * self.step, down * self.step)

    def shown(self, length: float) -> str:
        """A length in the unit, with its name and as many decimals as a rule can show."""
        return f"{self.style.figure(length, f'.{self.places}f')} {self.unit}"

    def command(self) -> str:
        """An example of the command that takes what was measured."""
        return (
            f"templategen printer add NAME "
            f"--across {self.across * 0.9956:.{self.places}f}/{self.across} "
            f"--down {self.down * 1.004:.{self.places}f}/{self.down}"
        )


def _bars(scale: _Scale) -> list[Item]:
    """A bar along the lower and the left side, ticks inwards, and the corner between the others."""
    (left, bottom, right, top), (across, down), step = scale.frame, scale.steps, scale.step
    items: list[Item] = [line(left, bottom, right, bottom), line(left, bottom, left, top)]
    for n in range(across + 1):
        long = 2 * TICK if n in (0, across) else TICK
        items.append(line(left + n * step, bottom, left + n * step, bottom + long))
    for n in range(down + 1):
        long = 2 * TICK if n in (0, down) else TICK
        items.append(line(left, bottom + n * step, left + long, bottom + n * step))
    items += [line(right - 2 * TICK, top, right, top), line(right, top - 2 * TICK, right, top)]
    return items


def _diagonals(frame: Box) -> list[Item]:
    """Both diagonals, drawn at their ends: the wording stands between."""
    dx, dy = DIAGONAL * frame.width, DIAGONAL * frame.height
    return [
        line(x, y, x + way_x * dx, y + way_y * dy)
        for x, way_x in ((frame.left, 1), (frame.right, -1))
        for y, way_y in ((frame.bottom, 1), (frame.top, -1))
    ]


def _steps(scale: _Scale) -> list[str]:
    """What to do, step by step, up to the example of a command."""
    style = scale.style
    across, down = f"{scale.across} {scale.unit}", f"{scale.down} {scale.unit}"
    length = math.hypot(scale.across, scale.down)
    diagonal, blank = scale.shown(length), "." * 24
    return [
        style.say(
            "1. With a steel rule measure both bars between their end ticks, and both diagonals "
            "from corner to corner, to a quarter of a millimetre or 1/64 in."
        ),
        style.say("Across, wanted {wanted}: measured {blank}", wanted=across, blank=blank),
        style.say("Down, wanted {wanted}: measured {blank}", wanted=down, blank=blank),
        style.say(
            "Diagonal rising to the right, wanted {wanted}: {blank}", wanted=diagonal, blank=blank
        ),
        style.say(
            "Diagonal falling to the right, wanted {wanted}: {blank}", wanted=diagonal, blank=blank
        ),
        style.say(
            "2. Do the two diagonals differ by more than {skew}? Then the printer feeds askew, "
            "which no scale mends: straighten its paper guides and print again.",
            skew=scale.shown(length * SKEW_SHARE),
        ),
        style.say("3. Give the program what you measured, then what was wanted, such as:"),
    ]


def _paragraphs(scale: _Scale, heading: list[str]) -> list[Item]:
    """Heading and steps between the diagonals; on small paper the last ones are left out."""
    style, frame, command = scale.style, scale.frame, scale.command()
    paragraphs = [
        *heading,
        *_steps(scale),
        command,
        style.say(
            "4. Print this sheet again with --printer NAME and measure once more. From then on "
            "print packs with --printer NAME."
        ),
        style.say(
            "A bar out by more than a tenth of its length comes from the print dialog, not from "
            "the printer. Damp paper grows: measure it as you will use it, and again after gluing."
        ),
    ]
    left = frame.left + 2 * TICK + 12.0
    y = frame.top - DIAGONAL * frame.height - 9.0
    column = TextColumn(frame.right - left - 10.0, first=y - 9.0, left=left, leading=LEADING)
    title = Text(text=style.say("Scale sheet"), at=Point(left, y), size=6.0, bold=True)
    for paragraph in paragraphs:
        bold = paragraph is command
        rows = wrap(paragraph, width=column.width, size=BODY, bold=bold)
        if column.y - len(rows) * LEADING < frame.bottom + DIAGONAL * frame.height:
            break
        column.write(paragraph, bold=bold)
        column.skip(LEADING * 0.6)
    return [title, *column.items]


def _bar_labels(scale: _Scale) -> list[Item]:
    style, frame = scale.style, scale.frame
    across = style.say("across: {size} between the end ticks", size=f"{scale.across} {scale.unit}")
    down = style.say("down: {size} between the end ticks", size=f"{scale.down} {scale.unit}")
    return [
        Text(text=across, at=Point(frame.left + 2.0, frame.bottom - 4.6)),
        Text(text=down, at=Point(frame.left - 2.0, frame.bottom + 2.0), angle=math.pi / 2),
    ]
