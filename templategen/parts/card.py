"""A card to read beside the lathe: heading, wrapped lines and tables in a frame."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.parts.columns import TableLayout, TextColumn, ruled_table
from templategen.parts.drawing import BODY, Part, Role, Text, part_of, rectangle
from templategen.parts.labels import LEADING, JobLabel
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

WIDTH = 174.0  # mm: fits A4 and letter
TALLEST = 235.0  # mm: one sheet of A4 or letter; a taller card runs over several sheets
LINE = 3.75  # mm from baseline to baseline, as on tags
TOP = -5.0  # mm: y of the first baseline
UNKNOWN = tr_noop("not known")
NAMES = (46.0, 50.0, 54.0, 58.0)  # mm: widths of the first column of a table
MOST_COLUMNS = 6  # in one table; more cuts or bowls go into a further table

Subject = TypeVar("Subject")
Rows = list[list[str]]


class Card(TextColumn):
    """A card that is being written.

    Args:
        first: y of the first baseline, mm.
    """

    def __init__(self, first: float = TOP) -> None:
        super().__init__(WIDTH - 8, first=first, leading=LINE)

    @property
    def fits_a_sheet(self) -> bool:
        """Whether it is no taller than a sheet of A4 or letter."""
        return -self.y <= TALLEST

    def continued(self) -> "Card":
        """An empty card that starts where this one ends, to try what fits."""
        return Card(self.y)

    def append(self, more: "Card") -> None:
        """Takes over what was written on a card that continues this one."""
        self.items += more.items
        self.y = more.y

    def heading(self, template: str, label: JobLabel, style: PrintStyle) -> None:
        """A heading with ``{job}`` in it; the job's title is cut short where room is missing."""
        own = text_width(style.say(template, job=""), size=BODY, bold=True)
        room = min(130.0, (WIDTH - 6.0 - own) / 1.15)  # bold is at most 15 % wider
        text = style.say(template, job=label.fitted(room))
        self.items.append(Text(text=text, at=Point(self.left, self.y), bold=True))
        self.skip(LEADING)

    def tables(
        self, subjects: Sequence[Subject], rows: Callable[[Sequence[Subject]], Rows]
    ) -> None:
        """As many tables as the subjects need, a column each."""
        for first in range(0, len(subjects), MOST_COLUMNS):
            self._table(rows(subjects[first : first + MOST_COLUMNS]))
            self.skip(0.8)

    def _table(self, rows: Rows) -> None:
        """A table; the column of the names is as wide as makes the table lowest."""
        widest = max(text_width(row[0], size=BODY, bold=n == 0) for n, row in enumerate(rows))
        tables = [
            ruled_table(rows, TableLayout(names=names, column=column, between=0.2), y=self.y)
            for names in (min(max(NAMES[0], widest + 5.0), NAMES[-1]), *NAMES)
            for column in [(WIDTH - names) / max(1, len(rows[0]) - 1)]
        ]
        items, self.y = max(tables, key=lambda table: table[1])
        self.items += items
        self.skip(0.6)

    def part(self, kind: PartKind, *, key: str, title: str) -> Part:
        """The card in its frame; tiled only where it is taller than a sheet."""
        frame = rectangle(Box(0.0, self.y + LEADING - 3.0, WIDTH, 0.0), role=Role.NOTE)
        items = (frame, *self.items)
        return part_of(kind, key, title, items, may_turn=False, may_tile=not self.fits_a_sheet)


def known_rows(rows: Rows, style: PrintStyle) -> Rows:
    """The rows of which at least one figure is known."""
    unknown = {style.say(UNKNOWN)}
    return [row for row in rows if set(row[1:]) != unknown]
