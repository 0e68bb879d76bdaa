"""The scale sheet: long bars both ways and two diagonals, to measure a printer by."""

import math

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Text, line
from templategen.parts.lettering import wrap
from templategen.parts.style import PrintStyle
from templategen.units import MM_PER_INCH, Units

STEPS = {Units.MM: (17, 22), Units.IN: (6, 8), Units.BOTH: (17, 22)}  # beside the bars of a page
TICK = 3.0  # mm
DIAGONAL = 1 / 8  # of each diagonal is drawn at each corner
LEADING = BODY * 1.45
SKEW_SHARE = 1 / 500  # of a diagonal: beyond, a template is out of square by 0.2 %


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """A scale sheet that fits on a page of A4 or letter beside the page's own bars."""
    del plan  # the same for every shop
    steps = STEPS[style.units]
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
    step = MM_PER_INCH if style.units is Units.IN else 10.0
    frame = Box(0.0, 0.0, steps[0] * step, steps[1] * step)
    items = _bars(frame, *steps, step) + _diagonals(frame)
    items += _words(style, frame, steps, [heading, note] if note else [heading])
    return Part(
        kind="scale sheet",
        key="scale-sheet",
        title=style.say("Scale sheet"),
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
    )


def _bars(frame: Box, across: int, down: int, step: float) -> list[Item]:
    """A bar along the lower and the left side, ticks inwards, and the corner between the others."""
    left, bottom, right, top = frame
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


def _words(style: PrintStyle, frame: Box, steps: tuple[int, int], heading: list[str]) -> list[Item]:
    inches = style.units is Units.IN
    unit, size = ("in", 1) if inches else ("mm", 10)
    across, down = (n * size for n in steps)
    diagonal = math.hypot(across, down)
    places = 2 if inches else 1
    shown = f"{style.figure(diagonal, f'.{places}f')} {unit}"
    skew = f"{style.figure(diagonal * SKEW_SHARE, f'.{places}f')} {unit}"
    example = (
        f"templategen printer add NAME --across {across * 0.9956:.{places}f}/{across} "
        f"--down {down * 1.004:.{places}f}/{down}"
    )
    fill = "." * 24
    paragraphs = [
        *heading,
        style.say(
            "1. With a steel rule measure both bars between their end ticks, and both diagonals "
            "from corner to corner, to a quarter of a millimetre or 1/64 in."
        ),
        style.say(
            "Across, wanted {wanted}: measured {blank}", wanted=f"{across} {unit}", blank=fill
        ),
        style.say("Down, wanted {wanted}: measured {blank}", wanted=f"{down} {unit}", blank=fill),
        style.say(
            "Diagonal rising to the right, wanted {wanted}: {blank}", wanted=shown, blank=fill
        ),
        style.say(
            "Diagonal falling to the right, wanted {wanted}: {blank}", wanted=shown, blank=fill
        ),
        style.say(
            "2. Do the two diagonals differ by more than {skew}? Then the printer feeds askew, "
            "which no scale mends: straighten its paper guides and print again.",
            skew=skew,
        ),
        style.say("3. Give the program what you measured, then what was wanted, such as:"),
        example,
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
    width = frame.right - left - 10.0
    y = frame.top - DIAGONAL * frame.height - 9.0
    items: list[Item] = [
        Text(text=style.say("Scale sheet"), at=Point(left, y), size=6.0, bold=True)
    ]
    y -= 9.0
    for paragraph in paragraphs:
        rows = wrap(paragraph, width=width, size=BODY, bold=paragraph is example)
        if y - len(rows) * LEADING < frame.bottom + DIAGONAL * frame.height:
            break  # small paper: the first lines matter most
        for row in rows:
            items.append(Text(text=row, at=Point(left, y), bold=paragraph is example))
            y -= LEADING
        y -= LEADING * 0.6
    at = Point(frame.left + 2.0, frame.bottom - 4.6)
    words = style.say("across: {size} between the end ticks", size=f"{across} {unit}")
    items.append(Text(text=words, at=at))
    at = Point(frame.left - 2.0, frame.bottom + 2.0)
    words = style.say("down: {size} between the end ticks", size=f"{down} {unit}")
    items.append(Text(text=words, at=at, angle=math.pi / 2))
    return items
