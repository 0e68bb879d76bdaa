"""Rows of wording that parts share: the job's title and date, blocks, label tabs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Item, Text
from templategen.parts.lettering import (
    EVEN_LINE,
    bound_words,
    shortened,
    text_width,
    without_dots,
    wrap,
)
from templategen.parts.style import PrintStyle
from templategen.trade.records import Shop

LEADING = BODY * 1.35  # mm from baseline to baseline
LEAST_ROW = 12.0  # mm: a narrower row stays empty


@dataclass(frozen=True, slots=True)
class JobLabel:
    """Title and ISO date that mark a part as made for a job or for a shop; both may be empty."""

    title: str
    date: str

    def fitted(self, room: float) -> str:
        """Title and date in a row of `room` mm: the title is cut short, never the date."""
        tail = f" · {self.date}" if self.title and self.date else self.date
        return shortened(self.title, width=room, size=BODY, tail=tail)


def job_label(plan: Plan, style: PrintStyle) -> JobLabel:
    """The label of parts that a plan needs."""
    return JobLabel(style.text(plan.job.shown_title), plan.job.date)


def shop_label(shop: Shop, date: str, style: PrintStyle) -> JobLabel:
    """The label of parts that a shop needs once; `date` is ISO 8601 or empty."""
    return JobLabel(style.text(shop.shown_name), date)


def plan_facts(plan: Plan, style: PrintStyle) -> tuple[str, str, str, str]:
    """Date, blank, number of bowls and shop of a plan; some may be empty."""
    job = plan.job
    blank = style.say(
        "Blank {diameter} × {height} {wood}",
        diameter=style.length(job.blank.diameter),
        height=style.length(job.blank.height),
        wood=job.blank.shown_wood,
    ).strip()
    bowls = style.say_count("{count} bowl", "{count} bowls", len(plan.bowls))
    return job.date, blank, bowls, plan.shop.name


def block(
    rows: Sequence[str],
    *,
    at: Point,
    bold_first: bool = True,
    anchor: Anchor = Anchor.START,
) -> list[Item]:
    """Rows of text below one another, the first baseline at the point; empty rows stay free."""
    return [
        Text(
            text=text,
            at=Point(at.x, at.y - n * LEADING),
            anchor=anchor,
            bold=bold_first and n == 0,
        )
        for n, text in enumerate(rows)
        if text
    ]


def fill_rows(
    phrases: Sequence[str], room: Callable[[int], float], *, most: int, joined: bool = False
) -> list[str] | None:
    """Phrases set into rows of differing width, the first row in bold.

    Args:
        phrases: in reading order; none is ever cut short.
        room: width of a row by its number, mm; a row under `LEAST_ROW` stays empty.
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
    split: Callable[[str], Sequence[str]],
    *,
    most: int,
    joined: bool,
) -> list[str] | None:
    rows: list[str] = []
    broken: list[tuple[int, int]] = []  # of each phrase over several rows its last two

    def fits(text: str, row: int) -> bool:
        return text_width(text, size=BODY, bold=row == 0) <= room(row)

    def skip_narrow_rows() -> None:
        while len(rows) < most and room(len(rows)) < LEAST_ROW:
            rows.append("")

    for phrase in phrases:
        shared = f"{rows[-1]} · {phrase}" if joined and rows and rows[-1] else ""
        if shared and fits(shared, len(rows) - 1):
            rows[-1] = shared
            continue
        skip_narrow_rows()
        above, current = -1, ""  # the row of this phrase that is full, and the one being filled
        for word in split(phrase):
            trial = f"{current} {word}" if current else word
            if current and not fits(trial, len(rows)):
                above = len(rows)
                rows.append(current)
                skip_narrow_rows()
                trial = word
            if not fits(trial, len(rows)):
                return None
            current = trial
        if above >= 0:
            broken.append((above, len(rows)))
        rows.append(current)
        if len(rows) > most:
            return None
    for above, last in broken:  # the last row of a phrase takes words rather than be short
        while text_width(rows[last], size=BODY) < EVEN_LINE * room(last):
            *others, word = split(rows[above])
            if word == "·":
                break  # a dot parts what may well stand in two rows
            left = text_width(" ".join(others), size=BODY)
            if left < text_width(rows[last], size=BODY) or not fits(f"{word} {rows[last]}", last):
                break
            rows[above], rows[last] = " ".join(others), f"{word} {rows[last]}"
    return [without_dots(row) for row in rows]


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
