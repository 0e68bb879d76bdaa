"""What every page carries beside its parts: bars, wording and a caution."""

import functools
import math
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Path, Text, line
from templategen.parts.lettering import shortened, text_width
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Imprint, PageFrame
from templategen.units import MM_PER_INCH, Units

STRIP_LEFT, STRIP_BOTTOM, STRIP_TOP = 9.0, 13.5, 6.0  # mm kept for bars and wording
BAR_ACROSS, BAR_DOWN = 5.8, 5.3  # mm from the margin to the bars
TICK, END_TICK = 1.2, 2.0  # mm
CAUTIONS = (  # the first that fits the page
    tr_noop("Face shield on. Power off and locked before you touch belts or tools. Stand clear."),
    tr_noop("Face shield on. Lock the power before belts or tools. Stand clear."),
    tr_noop("Face shield on. Power locked off. Stand clear."),
)


HEADING = (4.2, 3.7, BODY)  # mm: sizes of the heading, the first that fits


@dataclass(frozen=True, slots=True)
class Contents:
    """What a page holds: its heading, or '', and the titles of the parts on it."""

    heading: str
    titles: tuple[str, ...]


def content_area(frame: PageFrame) -> Box:
    """The part of a page that parts may use, page mm."""
    paper, margin = frame.paper, frame.margin
    return Box(
        margin + STRIP_LEFT,
        margin + STRIP_BOTTOM,
        paper.width - margin,
        paper.height - margin - STRIP_TOP,
    )


@dataclass(frozen=True, slots=True)
class BarScale:
    """The steps of a bar: their length, mm, their unit, and how many it has across and down."""

    step: float
    unit: Units
    across: int
    down: int

    def words(self, count: int) -> str:
        """The length of `count` steps.

        >>> BarScale(10.0, Units.MM, 15, 15).words(15)
        '150 mm'
        """
        return f"{count} in" if self.unit is Units.IN else f"{count * 10} mm"


def bar_scales(frame: PageFrame, units: Units) -> tuple[BarScale, ...]:
    """The scales of the bars, the first unit first: 150 mm, 6 in, or both; less on small paper."""
    paper, margin = frame.paper, frame.margin
    room = paper.width - 2 * margin - STRIP_LEFT, paper.height - 2 * margin - STRIP_BOTTOM
    scales = []
    for unit in units.shown:
        step, count = (MM_PER_INCH, 6) if unit is Units.IN else (10.0, 15)
        across, down = (min(count, int(length / step)) for length in room)
        scales.append(BarScale(step, unit, across, down))
    return tuple(scales)


@functools.lru_cache(maxsize=64)
def bars(frame: PageFrame, units: Units) -> tuple[tuple[Path, ...], ...]:
    """The scale-check bar across and the one down, page mm: the base line first, then its ticks.

    With both units the first stands above the bar across and right of the bar down, the other on
    the other side.
    """
    margin, scales = frame.margin, bar_scales(frame, units)
    left, y = margin + STRIP_LEFT, margin + BAR_ACROSS
    x, base = margin + BAR_DOWN, margin + STRIP_BOTTOM
    flat = [line(left, y, left + max(s.across * s.step for s in scales), y)]
    upright = [line(x, base, x, base + max(s.down * s.step for s in scales))]
    for side, scale in zip((1.0, -1.0), scales, strict=False):
        for n in range(scale.across + 1):
            tall = side * (END_TICK if n in (0, scale.across) else TICK)
            flat.append(line(left + n * scale.step, y, left + n * scale.step, y + tall))
        for n in range(scale.down + 1):
            wide = side * (END_TICK if n in (0, scale.down) else TICK)
            upright.append(line(x, base + n * scale.step, x + wide, base + n * scale.step))
    return tuple(flat), tuple(upright)


def page_furniture(
    frame: PageFrame, style: PrintStyle, imprint: Imprint, *, label: str, contents: Contents
) -> Drawing:
    """Heading, bars, wording and caution of one page, page mm.

    Args:
        frame: of the page; the bars name its printer.
        style: units of the bars, and the language.
        imprint: its job title is cut short before any other word is.
        label: of the page, such as ``Sheet 3``.
        contents: what is on it; as many parts as fit are named.
    """
    paper, margin = frame.paper, frame.margin
    scales = bar_scales(frame, style.units)
    left, y, x = margin + STRIP_LEFT, margin + BAR_ACROSS, margin + 6.5
    room = paper.width - margin - left
    items: list[Item] = [path for bar in bars(frame, style.units) for path in bar]
    printer = frame.profile.name if frame.profile else ""
    cautions = [style.say(caution) for caution in CAUTIONS]
    least = min(text_width(c, size=BODY) for c in cautions) + 4.0
    words = _bar_words(
        style,
        " / ".join(s.words(s.across) for s in scales),
        printer,
        is_across=True,
        room=max(room / 3, room - least),
    )
    items.append(Text(text=words, at=Point(left, y + 3.1)))
    rest = room - text_width(words, size=BODY) - 4.0
    caution = next((c for c in cautions if text_width(c, size=BODY) <= rest), "")
    if caution:
        at = Point(paper.width - margin, y + 3.1)
        items.append(Text(text=caution, at=at, anchor=Anchor.END))
    down = max(s.down * s.step for s in scales)
    words = " / ".join(s.words(s.down) for s in scales)
    words = _bar_words(style, words, printer, is_across=False, room=down)
    # The ticks of the second unit stand between the bar and its wording, which has descenders.
    off = 2.2 + END_TICK * (len(scales) > 1)
    at = Point(max(x - off, margin + 0.76 * BODY), margin + STRIP_BOTTOM)
    items.append(Text(text=words, at=at, angle=math.pi / 2))
    foot = footer(style, imprint, label=label, titles=contents.titles, room=room)
    items.append(Text(text=foot, at=Point(left, margin + 0.8)))
    head = contents.heading
    size = next((s for s in HEADING if text_width(head, size=s, bold=True) <= room), HEADING[-1])
    if head:
        at = Point(left, paper.height - margin - 3.2)
        head = shortened(head, width=room, size=size, bold=True)
        items.append(Text(text=head, at=at, size=size, bold=True))
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
