"""What every page carries beside its parts: bars, wording and a caution."""

import functools
import math

from templategen.geometry.shapes import Box, Point
from templategen.messages import mark, say, say_count
from templategen.parts.drawing import BODY, Drawing, Item, Path, Text, line
from templategen.parts.lettering import shortened, text_width
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.units import MM_PER_INCH, Units

MARGIN = 10.0  # mm of a page left free, unless a printer needs more
STRIP_LEFT, STRIP_BOTTOM, STRIP_TOP = 11.0, 17.0, 6.0  # mm kept for bars and wording
CAUTIONS = (  # the first that fits the page
    mark("Face shield on. Power off and locked before you touch belts or tools. Stand clear."),
    mark("Face shield on. Lock the power before belts or tools. Stand clear."),
    mark("Face shield on. Power locked off. Stand clear."),
)


def content_area(paper: Paper, margin: float = MARGIN) -> Box:
    """The part of a page that parts may use, page mm."""
    return Box(
        margin + STRIP_LEFT,
        margin + STRIP_BOTTOM,
        paper.width - margin,
        paper.height - margin - STRIP_TOP,
    )


def bar_steps(paper: Paper, units: Units, margin: float = MARGIN) -> tuple[float, int, int]:
    """The length of a bar's step, mm, and how many it has across and down: 150 mm or 6 in."""
    step, count = (MM_PER_INCH, 6) if units is Units.IN else (10.0, 15)
    across = min(count, int((paper.width - 2 * margin - STRIP_LEFT) / step))
    down = min(count, int((paper.height - 2 * margin - STRIP_BOTTOM) / step))
    return step, across, down


@functools.lru_cache(maxsize=64)
def bars(paper: Paper, units: Units, margin: float = MARGIN) -> tuple[tuple[Path, ...], ...]:
    """The scale-check bar across and the one down, page mm: the base line first, then its ticks."""
    step, across, down = bar_steps(paper, units, margin)
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
    paper: Paper,
    units: Units,
    label: str,
    titles: tuple[str, ...],
    job_title: str,
    date: str,
    margin: float = MARGIN,
    profile: PrinterProfile | None = None,
) -> Drawing:
    """Bars, wording and caution of one page, page mm.

    Args:
        paper: of the page.
        units: of the bars.
        label: of the page, such as ``Sheet 3``.
        titles: of the parts on it; as many as fit are named.
        job_title: may be empty, and is cut short before any other word is.
        date: the job's, or empty.
        margin: mm.
        profile: of the printer the page is corrected for; the bars name it.
    """
    step, across, down = bar_steps(paper, units, margin)
    left, y, x = margin + STRIP_LEFT, margin + 8.0, margin + 6.5
    items: list[Item] = [path for bar in bars(paper, units, margin) for path in bar]
    unit, size = ("in", 1) if units is Units.IN else ("mm", 10)
    printer = profile.name if profile else ""
    words = _bar_words(f"{across * size} {unit}", printer, is_across=True, room=across * step)
    items.append(Text(text=words, at=Point(left, y + 4.0)))
    base = margin + STRIP_BOTTOM
    words = _bar_words(f"{down * size} {unit}", printer, is_across=False, room=down * step)
    items.append(Text(text=words, at=Point(x - 1.6, base), angle=math.pi / 2))
    room = paper.width - margin - left
    foot = footer(label, titles, job_title, date, room=room)
    items.append(Text(text=foot, at=Point(left, margin + 2.5)))
    cautions = [say(caution) for caution in CAUTIONS]
    caution = next((c for c in cautions if text_width(c, size=BODY) <= room), cautions[-1])
    items.append(Text(text=caution, at=Point(left, paper.height - margin - 3.4)))
    return Drawing(items=tuple(items))


def _bar_words(length: str, printer: str, *, is_across: bool, room: float) -> str:
    """What stands beside a bar; the printer's name is cut short, and left out last of all."""
    if not printer:
        if is_across:
            return say("{length} across: measure before you cut", length=length)
        return say("{length} down: measure before you cut", length=length)
    for end in range(len(printer), -1, -1):
        name = printer if end == len(printer) else f"{printer[:end].rstrip()}…"
        words = (
            say(
                "{length} across, corrected for {printer}: measure before you cut",
                length=length,
                printer=name,
            )
            if is_across
            else say(
                "{length} down, corrected for {printer}: measure before you cut",
                length=length,
                printer=name,
            )
        )
        if text_width(words, size=BODY) <= room:
            return words
    if is_across:
        return say("{length} across, corrected: measure first", length=length)
    return say("{length} down, corrected: measure first", length=length)


def footer(label: str, titles: tuple[str, ...], job_title: str, date: str, *, room: float) -> str:
    """Label, parts, job and date in one line.

    All parts are named where they fit, else the first ones and how many more there are; the job's
    title is cut short only where a single part's name leaves it no room.
    """
    gap = " · "
    shown = [*titles]
    while True:
        more = len(titles) - len(shown)
        names = "; ".join(shown)
        if more and shown:
            names = say("{names} and {count} more", names=names, count=more)
        elif more:
            names = say_count("{count} part", "{count} parts", more)
        words = gap.join(t for t in (label, names, job_title, date) if t)
        if text_width(words, size=BODY) <= room:
            return words
        if not shown or len(titles) == 1:
            break
        shown.pop()
    head = gap.join(t for t in (label, names) if t)
    tail = f"{gap}{date}" if date else ""
    return shortened(
        f"{head}{gap}{job_title}" if job_title else head, width=room, size=BODY, tail=tail
    )
