"""A table of large figures, a column for each cut, to be read at the lathe."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Point
from templategen.parts.drawing import BODY, Anchor, Item, Role, Text, line
from templategen.parts.labels import LEADING
from templategen.parts.lettering import balanced, text_width, wrap

LARGE = 12.0 * 25.4 / 72  # 12 pt, mm: the figures
LEADING_OF = {BODY: LEADING, LARGE: 1.25 * LARGE}  # mm from baseline to baseline, by size
BESIDE = 1.5  # mm from a figure to the small wording beside it
NAMES = (46.0, 50.0, 54.0, 58.0)  # mm: widths of the column of the rows' names, to choose from


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure in large letters, and what is set small beside or below it."""

    large: str
    small: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: what it is, and a figure for each cut."""

    name: str
    figures: tuple[Figure, ...]


def figure_table(rows: Sequence[Row], *, top: float, width: float) -> tuple[list[Item], float]:
    """The rows below one another with rules above, below and between the columns of figures.

    The small wording of a row stands beside its figures where all have room for it, else below.

    Args:
        rows: the heading first, all with as many figures.
        top: of the table, y in mm.
        width: of the table, mm; its left edge is at x = 0.

    Returns: the items, and the y of the last rule, mm. The names of the rows have the width that
        makes it lowest.
    """
    tries = [_table(rows, top, width, names) for names in NAMES]
    return max(tries, key=lambda found: found[1])


def _table(rows: Sequence[Row], top: float, width: float, names: float) -> tuple[list[Item], float]:
    """The table with a column of names of some width."""
    column = (width - names) / max(1, len(rows[0].figures))
    items: list[Item] = []
    start = top
    for n, row in enumerate(rows):
        items.append(line(0.0, top, width, top, role=Role.NOTE))
        first = top - 0.7 - 0.76 * LARGE
        words = balanced(row.name, width=names - 4.0, size=BODY, bold=n == 0)
        items += _set(words, Point(3.0, first), Anchor.START, bold=n == 0)
        tall = LEADING_OF[LARGE] + (len(words) - 1) * LEADING
        beside = all(_width_beside(figure) <= column - 2.0 for figure in row.figures)
        for k, figure in enumerate(row.figures):
            middle = names + (k + 0.5) * column
            if beside:
                items += _cell_beside(figure, middle, first)
                continue
            cell, used = _cell(figure, middle, first, column - 3.0)
            items += cell
            tall = max(tall, used)
        top = first - tall + 0.76 * LARGE - 0.5
    items.append(line(0.0, top, width, top, role=Role.NOTE))
    between = [names + k * column for k in range(1, len(rows[0].figures))]
    items += [line(x, start, x, top, role=Role.NOTE) for x in between]
    return items, top


def _width_beside(figure: Figure) -> float:
    """Width of a figure with its small wording beside it, mm."""
    small = BESIDE + text_width(figure.small, size=BODY) if figure.small else 0.0
    return text_width(figure.large, size=LARGE, bold=True) + small


def _cell_beside(figure: Figure, middle: float, baseline: float) -> list[Item]:
    """A figure and its small wording on one line, both about the middle of the column."""
    x = middle - _width_beside(figure) / 2
    items: list[Item] = [Text(text=figure.large, at=Point(x, baseline), size=LARGE, bold=True)]
    if figure.small:
        x += text_width(figure.large, size=LARGE, bold=True) + BESIDE
        items.append(Text(text=figure.small, at=Point(x, baseline)))
    return items


def _cell(figure: Figure, middle: float, first: float, room: float) -> tuple[list[Item], float]:
    """A figure about the middle of its column, and the height it takes from the first baseline."""
    large = balanced(figure.large, width=room, size=LARGE, bold=True)
    at = Point(middle, first)
    if any(text_width(t, size=LARGE, bold=True) > room for t in large) or len(large) > 2:
        large = wrap(figure.large, width=room, size=BODY, bold=True)
        return _set(large, at, Anchor.MIDDLE, bold=True), len(large) * LEADING
    items = _set(large, at, Anchor.MIDDLE, size=LARGE, bold=True)
    below = Point(middle, first - (len(large) - 1) * LEADING_OF[LARGE] - LEADING)
    small = balanced(figure.small, width=room, size=BODY)
    items += _set(small, below, Anchor.MIDDLE)
    return items, len(large) * LEADING_OF[LARGE] + len(small) * LEADING


def _set(
    rows: Sequence[str], at: Point, anchor: Anchor, *, size: float = BODY, bold: bool = False
) -> list[Item]:
    """Rows from a first baseline down."""
    return [
        Text(
            text=row,
            at=Point(at.x, at.y - n * LEADING_OF[size]),
            size=size,
            anchor=anchor,
            bold=bold,
        )
        for n, row in enumerate(rows)
    ]
