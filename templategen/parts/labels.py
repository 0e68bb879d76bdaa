"""Wording that every part carries."""

from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Item, Text
from templategen.parts.lettering import bound_words, shortened, text_width, wrap

LEADING = BODY * 1.35  # mm from baseline to baseline


def job_line(plan: Plan, *, room: float | None = None) -> str:
    """Job title and date; in a `room` of so many mm the title is cut short, never the date."""
    title, date = plan.job.title, plan.job.date
    tail = f" · {date}" if title and date else date
    if room is None:
        return title + tail
    return shortened(title, width=room, size=BODY, tail=tail)


def block(lines: list[str], *, at: Point, bold_first: bool = True) -> list[Item]:
    """Lines of text below one another, the first baseline at the point."""
    return [
        Text(text=t, at=Point(at.x, at.y - n * LEADING), bold=bold_first and n == 0)
        for n, t in enumerate(lines)
    ]


def fill_rows(
    phrases: Sequence[str], room: Callable[[int], float], *, most: int, joined: bool = False
) -> list[str] | None:
    """Phrases set into rows of differing width, the first row in bold.

    Args:
        phrases: in reading order; none is ever cut short.
        room: width of a row by its number, mm; a row under 12 mm stays empty.
        most: how many rows there are.
        joined: whether several phrases may share a row.

    Returns: the rows, or None where they do not fit or a word is longer than its row. A figure
        stays with its unit where that fits.
    """
    for split in (bound_words, str.split):
        rows = _filled(phrases, room, split, most=most, joined=joined)
        if rows is not None:
            return rows
    return None


def _filled(
    phrases: Sequence[str],
    room: Callable[[int], float],
    split: Callable[[str], list[str]],
    *,
    most: int,
    joined: bool,
) -> list[str] | None:
    rows: list[str] = []

    def fits(text: str, row: int) -> bool:
        return text_width(text, size=BODY, bold=row == 0) <= room(row)

    def skip() -> None:
        while len(rows) < most and room(len(rows)) < 12.0:
            rows.append("")

    for phrase in phrases:
        shared = f"{rows[-1]} · {phrase}" if joined and rows and rows[-1] else ""
        if shared and fits(shared, len(rows) - 1):
            rows[-1] = shared
            continue
        skip()
        current = ""
        for word in split(phrase):
            trial = f"{current} {word}" if current else word
            if current and not fits(trial, len(rows)):
                rows.append(current)
                skip()
                trial = word
            if not fits(trial, len(rows)):
                return None
            current = trial
        rows.append(current)
        if len(rows) > most:
            return None
    return rows


def flag_rows(phrases: Sequence[str], *, width: float) -> list[str]:
    """Phrases as rows of a label tab at most `width` mm wide; a long word is broken inside."""
    return [
        row
        for n, phrase in enumerate(phrases)
        for row in wrap(phrase, width=width, size=BODY, bold=n == 0)
    ]


def flag_size(rows: Sequence[str]) -> tuple[float, float]:
    """Width and height of a label tab that holds the rows with 3 mm beside and 1.5 mm above."""
    wide = max(text_width(row, size=BODY, bold=True) for row in rows) + 6.0
    return wide, len(rows) * LEADING + 2.0
