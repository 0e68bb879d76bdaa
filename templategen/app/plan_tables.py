"""The tables of a plan, as rows of cells below their headings; every length in the job's unit."""

import math
from collections.abc import Callable
from dataclasses import dataclass

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


def _cut_table(made: Plan, *columns: tuple[Message, Callable[[Cut], Text]]) -> Rows:
    """A row of headings, then a row for each cut."""
    heads, cells = zip(*columns, strict=True)
    return [list(heads), *[[cell(cut) for cell in cells] for cut in made.cuts]]


def is_known(rows: Rows) -> bool:
    """Whether a table has a figure beside the numbers of its rows."""
    return any(cell != UNKNOWN for row in rows[1:] for cell in row[1:])


def cut_rows(made: Plan, cells: Cells) -> Rows:
    """How each cut is set."""
    return _cut_table(
        made,
        (tr("cut"), lambda cut: str(cut.number)),
        (tr("cutter"), lambda cut: cut.cutter.id),
        (tr("from rim"), lambda cut: cells.set(cut.entry_from_rim)),
        (tr("standoff"), lambda cut: cells.set(cut.pivot_standoff)),
        (tr("offset"), lambda cut: cells.set(cut.pivot_offset)),
        (tr("depth"), lambda cut: cells.set(cut.depth_at_axis)),
        (tr("deepest"), lambda cut: cells.set(cut.deepest)),
        (tr("swing"), lambda cut: cells.angle(cut.swing)),
    )


def stop_rows(made: Plan, cells: Cells) -> Rows:
    """Where each cut is stopped, and where its core may drop."""

    def free_at(cut: Cut) -> Text:
        is_held = cut.stop_angle is not None and cut.release_angle is None
        return tr("stub holds") if is_held else cells.angle(cut.release_angle, ".1f")

    return _cut_table(
        made,
        (tr("cut"), lambda cut: str(cut.number)),
        (tr("stop at"), lambda cut: cells.angle(cut.stop_angle, ".1f")),
        (tr("stop depth"), lambda cut: cells.size(cut.stop_depth)),
        (tr("neck"), lambda cut: cells.size(cut.stop_neck)),
        (tr("free at"), free_at),
    )


def force_rows(made: Plan, cells: Cells) -> Rows:
    """What full power does at the tip, and where the tip rubs."""

    def below_centre(cut: Cut) -> Text:
        droop = cut.droop_radius
        always = droop is not None and droop >= cut.entry_radius
        return tr("everywhere") if always else cells.size(droop)

    return _cut_table(
        made,
        (tr("cut"), lambda cut: str(cut.number)),
        (tr("at entry"), lambda cut: cells.force(cut.force_entry_n)),
        (tr("half way"), lambda cut: cells.force(cut.force_half_n)),
        (tr("at the stop"), lambda cut: cells.force(cut.force_release_n)),
        (tr("below centre inside r"), below_centre),
        (tr("rubs inside r"), lambda cut: cells.size(cut.rub_radius)),
    )


def _bowl_table(
    made: Plan,
    figures: Figures,
    *columns: tuple[Message, Callable[[Bowl, BowlFigures], Text]],
) -> Rows:
    """A row of headings, then a row for each bowl, of it and of what wood and jaws make of it."""
    heads, cells = zip(*columns, strict=True)
    pairs = zip(made.bowls, figures.bowls, strict=True)
    return [list(heads), *[[cell(*pair) for cell in cells] for pair in pairs]]


def bowl_rows(made: Plan, figures: Figures, cells: Cells) -> Rows:
    """Size, walls and floor of each bowl."""

    def wall(bowl: Bowl) -> Text:
        return tr("solid") if bowl.wall is None else cells.set(bowl.wall)

    return _bowl_table(
        made,
        figures,
        (tr("bowl"), lambda bowl, _: str(bowl.number)),
        (tr("tag"), lambda _, known: known.identity),
        (tr("rim Ø"), lambda bowl, _: cells.set(bowl.rim_diameter)),
        (tr("depth"), lambda bowl, _: cells.set(bowl.depth)),
        (tr("least wall"), lambda bowl, _: wall(bowl)),
        (tr("greatest wall"), lambda bowl, _: cells.size(bowl.wall_greatest)),
        (tr("worst"), lambda bowl, _: cells.size(bowl.wall_worst)),
        (tr("floor"), lambda bowl, _: cells.set(bowl.floor)),
    )


def holding_rows(made: Plan, figures: Figures, cells: Cells) -> Rows:
    """How each bowl is held while it is green."""

    def ring(bowl: Bowl, end: Callable[[Jaws, float], float]) -> float | None:
        return end(bowl.jaws, bowl.tenon_length) if bowl.jaws else None  # it goes over the end face

    def grip(known: BowlFigures) -> Text:
        return tr(known.grip.value) if known.grip else UNKNOWN

    return _bowl_table(
        made,
        figures,
        (tr("bowl"), lambda bowl, _: str(bowl.number)),
        (tr("jaws"), lambda bowl, _: bowl.jaws.id if bowl.jaws else tr("none")),
        (tr("tenon Ø"), lambda bowl, _: cells.set(bowl.tenon_diameter)),
        (tr("end Ø"), lambda bowl, _: cells.set(bowl.tenon_end_diameter)),
        (tr("length"), lambda bowl, _: cells.set(bowl.tenon_length)),
        (tr("share"), lambda bowl, _: Figure(bowl.tenon_share, ".0%")),
        (tr("ring closed"), lambda bowl, _: cells.size(ring(bowl, closed_end))),
        (tr("ring widest"), lambda bowl, _: cells.size(ring(bowl, widest_end))),
        (tr("grip"), lambda _, known: grip(known)),
        (tr("breaks at"), lambda _, known: cells.force(known.break_force)),
    )


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

    return _bowl_table(
        made,
        figures,
        (tr("bowl"), lambda bowl, _: str(bowl.number)),
        (tr("rim, dried"), lambda bowl, _: oval(bowl)),
        (tr("true Ø"), lambda bowl, _: circle(bowl)),
        (tr("out of flat"), lambda bowl, _: out_of_flat(bowl)),
        (tr("jaws when dry"), lambda bowl, _: jaws(bowl)),
        (tr("tenon to Ø"), lambda bowl, _: turned_to(bowl)),
        (tr("green mass"), lambda _, known: green(known)),
        (tr("dried"), lambda _, known: mass(known)),
    )
