"""The report of `verify` on a pack."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.messages import Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing compared: a part or tile, the frame of a sheet, a sheet, or the file.

    Args:
        sheet: its number; 0 for the file as a whole.
        what: its name, as the pack names it.
        deviation: greatest distance of a line from where it should lie, mm; None if not measured.
        note: what differs; empty where nothing does.
        is_true: whether nothing does.
    """

    sheet: int
    what: Text
    deviation: float | None
    note: Text
    is_true: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was compared.

    Args:
        rows: file, sheets and parts, in the order of the pack.
        sheets: how many the pack should have.
        parts: parts and tiles on them.
        tolerance: mm.
        scale: of all pages across and down, where they are scaled alike; else None.
        release: of the program that made the pack; empty if it was this one. The pack of another
            is compared by its lines alone.
        kinds: of parts that the pack holds.
        left_out: kinds that the job gives and the pack does not hold; empty where it is not true.
    """

    rows: Sequence[Row]
    sheets: int
    parts: int
    tolerance: float
    scale: Sequence[float] | None
    release: str
    kinds: Sequence[str]
    left_out: Sequence[str]

    @property
    def is_true(self) -> bool:
        """Whether all that was compared is as it should be; never so for another release."""
        return not self.release and self.is_as_laid

    @property
    def is_as_laid(self) -> bool:
        """Whether nothing that was compared differs."""
        return all(row.is_true for row in self.rows)

    @property
    def worst(self) -> float:
        """The greatest deviation measured, mm."""
        return max((row.deviation for row in self.rows if row.deviation is not None), default=0.0)
