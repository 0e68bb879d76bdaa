"""Wrapped text and ruled tables, written from the top down in one column."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Point
from templategen.parts.drawing import BODY, Item, Role, Text, line
from templategen.parts.labels import LEADING
from templategen.parts.lettering import SHORT_LINE, balanced, text_width, wrap

LEAST_FIRST = 0.6  # of the width: least length of a row that ends at a comma
SLACK = 1e-6  # mm: rounding never wraps a cell whose column was made for it


class TextColumn:
    """A column of text that grows downwards.

    Args:
        width: of a row, mm.
        first: y of the first baseline, mm.
        left: x of the text, mm.
        leading: from baseline to baseline, mm.

    Attributes:
        items: what is written.
        y: the next baseline, mm.
    """

    def __init__(
        self, width: float, *, first: float, left: float = 3.0, leading: float = LEADING
    ) -> None:
        self.width = width
        self.left = left
        self.leading = leading
        self.items: list[Item] = []
        self.y = first

    def write(self, text: str, *, bold: bool = False, width: float | None = None) -> None:
        """Writes a text in as many rows as it needs, each at most `width` mm wide."""
        for row in _rows(text, width or self.width, bold=bold):
            self.items.append(Text(text=row, at=Point(self.left, self.y), bold=bold))
            self.y -= self.leading

    def table(self, rows: Sequence[Sequence[str]], layout: "TableLayout") -> None:
        """Writes a table across the whole sheet, see `ruled_table`."""
        items, self.y = ruled_table(rows, layout, y=self.y)
        self.items += items

    def skip(self, height: float) -> None:
        """Leaves `height` mm free."""
        self.y -= height


def balanced_rows(phrases: Sequence[str], *, width: float) -> list[str]:
    """Each phrase in rows of about equal length, at most `width` mm; the first is in bold."""
    return [
        row
        for n, phrase in enumerate(phrases)
        for row in balanced(phrase, width=width, size=BODY, bold=n == 0)
    ]


def _rows(text: str, width: float, *, bold: bool) -> list[str]:
    """The rows of a text; two part after a comma, unless that leaves one of them short."""
    rows = wrap(text, width=width, size=BODY, bold=bold)
    head, comma, tail = text.rpartition(", ")
    if len(rows) == 2 and comma:
        first, last = (text_width(row, size=BODY, bold=bold) for row in (f"{head},", tail))
        if LEAST_FIRST * width <= first <= width and SHORT_LINE * width <= last <= width:
            return [f"{head},", tail]
    return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class TableLayout:
    """Measures of a ruled table, mm.

    Args:
        names: width of the first column, with the names of the rows.
        column: width of each other column.
        indent: from the left edge to the names.
        above: from the top of the letters to the rule over a row.
        between: between two rows, beside the leading.
        bold_names: whether all names are bold, not only those of the first row.
    """

    names: float
    column: float
    indent: float = 3.0
    above: float = 0.4
    between: float = 0.6
    bold_names: bool = False


def ruled_table(
    rows: Sequence[Sequence[str]], layout: TableLayout, *, y: float
) -> tuple[list[Item], float]:
    """A table with its first row in bold and a rule over each row and below the last.

    Args:
        rows: name and cells of each row; long ones are wrapped.
        layout: measures.
        y: baseline of the first row, mm.

    Returns: what is drawn, and the baseline of a row that would follow, mm.
    """
    items: list[Item] = []
    right = layout.names + layout.column * (len(rows[0]) - 1)

    def rule() -> None:
        at = y + BODY + layout.above
        items.append(line(0, at, right, at, role=Role.NOTE))

    for n, row in enumerate(rows):
        rule()
        most = 1
        for k, cell in enumerate(row):
            x, room = layout.indent, layout.names - layout.indent - 1.0
            bold = n == 0 or (k == 0 and layout.bold_names)
            if k:
                x = layout.names + (k - 1) * layout.column + 1.5
                room = layout.column - 3.0
            lines = wrap(cell, width=room + SLACK, size=BODY, bold=bold)
            most = max(most, len(lines))
            items += [
                Text(text=text, at=Point(x, y - m * LEADING), bold=bold)
                for m, text in enumerate(lines)
            ]
        y -= most * LEADING + layout.between
    rule()
    return items, y
