"""The tables of a plan, as rows of cells below their headings; every length in the job's unit."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from templategen.messages import Figure, Joined, Message, Text, tr
from templategen.nest.estimates import (
    BowlFigures,
    Figures,
    force_text,
    mass_number,
    mass_text,
)
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.style import PrintStyle
from templategen.trade.jaws import closed_end, widest_end
from templategen.trade.records import Jaws
from templategen.units import format_length

UNKNOWN = "-"
Rows = list[list[Text]]
Each = TypeVar("Each")


@dataclass(frozen=True, slots=True)
class Cells:
    """Writes the cells of a table; ``-`` for what is not known."""

    style: PrintStyle

    def set(self, value: float | None) -> Text:
        """A length that a tool is set or a wall measured by: inches with thousandths."""
        return self._length(value, decimals=True)

    def size(self, value: float | None) -> Text:
        """Another length: inches as a fraction alone."""
        return self._length(value, decimals=False)

    def _length(self, value: float | None, *, decimals: bool) -> Text:
        if value is None:
            return UNKNOWN
        units, wording = self.style.units, self.style.wording
        return format_length(value, units, unit=False, decimals=decimals, wording=wording)

    def angle(self, value: float | None, spec: str = ".0f") -> Text:
        """An angle in degrees, whole ones unless `spec` gives decimals."""
        return UNKNOWN if value is None else Figure(math.degrees(value), spec, "°")

    def force(self, value: float | None) -> Text:
        """A force to two figures."""
        return UNKNOWN if value is None else force_text(value, units=self.style.units)


def _table(
    items: Iterable[Each], columns: Iterable[tuple[Message | str, Callable[[Each], Text]]]
) -> Rows:
    """A row of headings, then a row for each item."""
    held = list(columns)
    return [[head for head, _ in held], *[[cell(item) for _, cell in held] for item in items]]


def is_known(rows: Rows) -> bool:
    """Whether a table has a figure beside the numbers of its rows."""
    return any(cell != UNKNOWN for row in rows[1:] for cell in row[1:])


def cut_rows(made: Plan, cells: Cells) -> Rows:
    """How each cut is set."""
    return _table(
        made.cuts,
        (
            (tr("cut"), lambda cut: str(cut.number)),
            (tr("cutter"), lambda cut: cut.cutter.id),
            (tr("from rim"), lambda cut: cells.set(cut.entry_from_rim)),
            (tr("standoff"), lambda cut: cells.set(cut.pivot_standoff)),
            (tr("offset"), lambda cut: cells.set(cut.pivot_offset)),
            (tr("depth"), lambda cut: cells.set(cut.depth_at_axis)),
            (tr("deepest"), lambda cut: cells.set(cut.deepest)),
            (tr("swing"), lambda cut: cells.angle(cut.swing)),
        ),
    )


def stop_rows(made: Plan, cells: Cells) -> Rows:
    """Where each cut is stopped, and where its core may drop."""

    def free_at(cut: Cut) -> Text:
        is_held = cut.stop_angle is not None and cut.release_angle is None
        return tr("stub holds") if is_held else cells.angle(cut.release_angle, ".1f")

    return _table(
        made.cuts,
        (
            (tr("cut"), lambda cut: str(cut.number)),
            (tr("stop at"), lambda cut: cells.angle(cut.stop_angle, ".1f")),
            (tr("stop depth"), lambda cut: cells.size(cut.stop_depth)),
            (tr("neck"), lambda cut: cells.size(cut.stop_neck)),
            (tr("free at"), free_at),
        ),
    )


def force_rows(made: Plan, cells: Cells) -> Rows:
    """What full power does at the tip, and where the tip rubs."""

    def below_centre(cut: Cut) -> Text:
        droop = cut.droop_radius
        always = droop is not None and droop >= cut.entry_radius
        return tr("everywhere") if always else cells.size(droop)

    return _table(
        made.cuts,
        (
            (tr("cut"), lambda cut: str(cut.number)),
            (tr("at entry"), lambda cut: cells.force(cut.force_entry_n)),
            (tr("half way"), lambda cut: cells.force(cut.force_half_n)),
            (tr("at the stop"), lambda cut: cells.force(cut.force_release_n)),
            (tr("below centre inside r"), below_centre),
            (tr("rubs inside r"), lambda cut: cells.size(cut.rub_radius)),
        ),
    )


Known = tuple[Bowl, BowlFigures]  # a bowl, and what wood and jaws make of it


def bowl_rows(made: Plan, figures: Figures, cells: Cells) -> Rows:
    """Size, walls and floor of each bowl."""

    def wall(bowl: Bowl) -> Text:
        return tr("solid") if bowl.wall is None else cells.set(bowl.wall)

    columns: tuple[tuple[Message, Callable[[Known], Text]], ...] = (
        (tr("bowl"), lambda of: str(of[0].number)),
        (tr("tag"), lambda of: of[1].identity),
        (tr("rim Ø"), lambda of: cells.set(of[0].rim_diameter)),
        (tr("depth"), lambda of: cells.set(of[0].depth)),
        (tr("least wall"), lambda of: wall(of[0])),
        (tr("greatest wall"), lambda of: cells.size(of[0].wall_greatest)),
        (tr("worst"), lambda of: cells.size(of[0].wall_worst)),
        (tr("floor"), lambda of: cells.set(of[0].floor)),
    )
    return _table(zip(made.bowls, figures.bowls, strict=True), columns)


def holding_rows(made: Plan, figures: Figures, cells: Cells) -> Rows:
    """How each bowl is held while it is green."""

    def ring(bowl: Bowl, end: Callable[[Jaws, float], float]) -> float | None:
        return end(bowl.jaws, bowl.tenon_length) if bowl.jaws else None  # it goes over the end face

    def grip(known: BowlFigures) -> Text:
        return tr(known.grip.value) if known.grip else UNKNOWN

    columns: tuple[tuple[Message, Callable[[Known], Text]], ...] = (
        (tr("bowl"), lambda of: str(of[0].number)),
        (tr("jaws"), lambda of: of[0].jaws.id if of[0].jaws else tr("none")),
        (tr("tenon Ø"), lambda of: cells.set(of[0].tenon_diameter)),
        (tr("end Ø"), lambda of: cells.set(of[0].tenon_end_diameter)),
        (tr("length"), lambda of: cells.set(of[0].tenon_length)),
        (tr("share"), lambda of: Figure(of[0].tenon_share, ".0%")),
        (tr("ring closed"), lambda of: cells.size(ring(of[0], closed_end))),
        (tr("ring widest"), lambda of: cells.size(ring(of[0], widest_end))),
        (tr("grip"), lambda of: grip(of[1])),
        (tr("breaks at"), lambda of: cells.force(of[1].break_force)),
    )
    return _table(zip(made.bowls, figures.bowls, strict=True), columns)


def drying_rows(made: Plan, figures: Figures, cells: Cells) -> Rows:
    """Each bowl at its final moisture, and how it is held then."""

    def oval(bowl: Bowl) -> Text:
        dried = bowl.dried
        if dried is None:
            return UNKNOWN
        return Joined((cells.size(dried.rim_across), cells.size(dried.rim_along)), " × ")

    def jaws(bowl: Bowl) -> Text:
        again = bowl.held_again
        return again.jaws.id if again else tr("none") if bowl.dried else UNKNOWN

    def green(known: BowlFigures) -> Text:
        return mass_text(known.wet, units=cells.style.units) if known.wet else UNKNOWN

    def turned_to(bowl: Bowl) -> Text:
        return cells.size(bowl.held_again.neck if bowl.held_again else None)

    def circle(bowl: Bowl) -> Text:
        return cells.size(bowl.dried.largest_circle if bowl.dried else None)

    def out_of_flat(bowl: Bowl) -> Text:
        return cells.size(bowl.dried.rim_out_of_flat if bowl.dried else None)

    def mass(known: BowlFigures) -> Text:
        dry = known.target_mass
        return UNKNOWN if dry is None else mass_number(dry, units=cells.style.units)

    columns: tuple[tuple[Message, Callable[[Known], Text]], ...] = (
        (tr("bowl"), lambda of: str(of[0].number)),
        (tr("rim, dried"), lambda of: oval(of[0])),
        (tr("true Ø"), lambda of: circle(of[0])),
        (tr("out of flat"), lambda of: out_of_flat(of[0])),
        (tr("jaws when dry"), lambda of: jaws(of[0])),
        (tr("tenon to Ø"), lambda of: turned_to(of[0])),
        (tr("green mass"), lambda of: green(of[1])),
        (tr("dried"), lambda of: mass(of[1])),
    )
    return _table(zip(made.bowls, figures.bowls, strict=True), columns)
