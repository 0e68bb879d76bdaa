"""Finds a cutter's radius from what can be measured on it."""

from dataclasses import dataclass

from templategen.app.typed import typed_length
from templategen.errors import InputError
from templategen.geometry.cuts import radius_from_chord, radius_uncertainty
from templategen.messages import tr
from templategen.units import Units, typed_units

LONGEST = 4000.0  # mm: of a chord
RISE_READING = 0.25  # mm: how closely a rise is read off a rule; chosen here


@dataclass(frozen=True, slots=True)
class MeasuredRadius:
    """A radius, mm, and how far it may be out where the rise is read to `RISE_READING`, mm.

    `units` are those in which the chord was typed.
    """

    radius: float
    uncertainty: float
    units: Units


def cutter_radius(chord: str, rise: str) -> MeasuredRadius:
    """Radius of an arc (design.md §3).

    Args:
        chord: straight distance between two points of the arc, a length above 0.
        rise: height of the arc over the middle of the chord, at most the chord.

    Raises:
        InputError: no length, or out of bounds.
    """
    across, high = (
        typed_length(text, where, most=LONGEST, mend=tr('write 120 or "4 3/4 in"'))
        for text, where in ((chord, "--chord"), (rise, "--rise"))
    )
    if high > across:
        raise InputError(
            tr("is more than the chord"),
            where="--rise",
            mend=tr("measure the rise square to the chord"),
        )
    return MeasuredRadius(
        radius_from_chord(chord=across, rise=high),
        radius_uncertainty(chord=across, rise=high, rise_error=RISE_READING),
        typed_units(chord, Units.MM),
    )
