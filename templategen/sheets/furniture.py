"""What every page carries beside its parts: bars, wording and a caution."""

import functools
import math

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.parts.drawing import BODY, Drawing, Item, Path, Text, line
from templategen.parts.lettering import shortened, text_width
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Imprint, PageFrame
from templategen.units import MM_PER_INCH, Units

STRIP_LEFT, STRIP_BOTTOM, STRIP_TOP = 11.0, 17.0, 6.0  # mm kept for bars and wording
CAUTIONS = (  # the first that fits the page
    tr_noop("Face shield on. Power off and locked before you touch belts or tools. Stand clear."),
    tr_noop("Face shield on. Lock the power before belts or tools. Stand clear."),
    tr_noop("Face shield on. Power locked off. Stand clear."),
)


def content_area(frame: PageFrame) -> Box:
    """The part of a page that parts may use, page mm."""
    paper, margin = frame.paper, frame.margin
    return Box(
        margin + STRIP_LEFT,
        margin + STRIP_BOTTOM,
        paper.width - margin,
        paper.height - margin - STRIP_TOP,
    )


def bar_steps(frame: PageFrame, units: Units) -> tuple[float, int, int]:
    """The length of a bar's step, mm, and how many it has across and down: 150 mm or 6 in."""
    paper, margin = frame.paper, frame.margin
    step, count = (MM_PER_INCH, 6) if units is Units.IN else (10.0, 15)
    across = min(count, int((paper.width - 2 * margin - STRIP_LEFT) / step))
    down = min(count, int((paper.height - 2 * margin - STRIP_BOTTOM) / step))
    return step, across, down


@functools.lru_cache(maxsize=64)
def bars(frame: PageFrame, units: Units) -> tuple[tuple[Path, ...], ...]:
    """The scale-check bar across and the one down, page mm: the base line first, then its ticks."""
    step, across, down = bar_steps(frame, units)
    margin = frame.margin
    left, y, x = margin + STRIP_LEFT, margin + 8.0, margin + 6.5
    flat = [line(left, y, left + across * step, y)]
    for n in range(across + 1):
        tall = 3.0 if n in (0, across) else 1.5
        flat.append(line(left + n * step, y, left + n * step, y + tall))
    base = margin + STRIP_BOTTOM
    upright = [line(x, base, x, base + down * step)]
    for n in range(down + 1):
        wide = 3.0 if n in (0, down) else 1.5
        upright.append(line(x, base + n * step, x + wide, base + n * step))
    return tuple(flat), tuple(upright)


def page_furniture(
    frame: PageFrame, style: PrintStyle, imprint: Imprint, *, label: str, titles: tuple[str, ...]
) -> Drawing:
    """Bars, wording and caution of one page, page mm.

    Args:
        frame: of the page; the bars name its printer.
        style: units of the bars, and the language.
        imprint: its job title is cut short before any other word is.
        label: of the page, such as ``Sheet 3``.
        titles: of the parts on it; as many as fit are named.
    """
    paper, margin = frame.paper, frame.margin
    step, across, down = bar_steps(frame, style.units)
    left, y, x = margin + STRIP_LEFT, margin + 8.0, margin + 6.5
    items: list[Item] = [path for bar in bars(frame, style.units) for path in bar]
    unit, size = ("in", 1) if style.units is Units.IN else ("mm", 10)
    printer = frame.profile.name if frame.profile else ""
    room = across * step
    words = _bar_words(style, f"{across * size} {unit}", printer, is_across=True, room=room)
    items.append(Text(text=words, at=Point(left, y + 4.0)))
    room = down * step
    words = _bar_words(style, f"{down * size} {unit}", printer, is_across=False, room=room)
    items.append(Text(text=words, at=Point(x - 1.6, margin + STRIP_BOTTOM), angle=math.pi / 2))
    room = paper.width - margin - left
    foot = footer(style, imprint, label=label, titles=titles, room=room)
    items.append(Text(text=foot, at=Point(left, margin + 2.5)))
    cautions = [style.say(caution) for caution in CAUTIONS]
    caution = next((c for c in cautions if text_width(c, size=BODY) <= room), cautions[-1])
    items.append(Text(text=caution, at=Point(left, paper.height - margin - 3.4)))
    return Drawing(items=tuple(items))


BAR_WORDS = {  # by whether the bar is the one across
    True: (
        tr_noop("{length} across: measure before you cut"),
        tr_noop("{length} across, corrected for {printer}: measure before you cut"),
        tr_noop("{length} across, corrected: measure first"),
    ),
    False: (
        tr_noop("{length} down: measure before you cut"),
        tr_noop("{length} down, corrected for {printer}: measure before you cut"),
        tr_noop("{length} down, corrected: measure first"),
    ),
}


def _bar_words(
    style: PrintStyle, length: str, printer: str, *, is_across: bool, room: float
) -> str:
    """What stands beside a bar; the printer's name is cut short, and left out last of all."""
    plain, corrected, shortest = BAR_WORDS[is_across]
    if not printer:
        return style.say(plain, length=length)
    for end in range(len(printer), -1, -1):
        name = printer if end == len(printer) else f"{printer[:end].rstrip()}…"
        words = style.say(corrected, length=length, printer=name)
        if text_width(words, size=BODY) <= room:
            return words
    return style.say(shortest, length=length)


def footer(
    style: PrintStyle, imprint: Imprint, *, label: str, titles: tuple[str, ...], room: float
) -> str:
    """Label, parts, job and date in one line no longer than `room` mm.

    All parts are named where they fit, else the first ones and how many more there are; the job's
    title is cut short only where a single part's name leaves it no room.
    """
    gap = " · "
    shown = [*titles]
    while True:
        more = len(titles) - len(shown)
        names = "; ".join(shown)
        if more and shown:
            names = style.say("{names} and {count} more", names=names, count=more)
        elif more:
            names = style.say_count("{count} part", "{count} parts", more)
        words = gap.join(t for t in (label, names, imprint.job_title, imprint.date) if t)
        if text_width(words, size=BODY) <= room:
            return words
        if not shown or len(titles) == 1:
            break
        shown.pop()
    head = gap.join(t for t in (label, names, imprint.job_title) if t)
    tail = f"{gap}{imprint.date}" if imprint.date else ""
    return shortened(head, width=room, size=BODY, tail=tail)
