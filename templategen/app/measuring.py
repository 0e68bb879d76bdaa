"""Finds a cutter's radius from what can be measured on it."""

from templategen.errors import InputError
from templategen.geometry.cuts import radius_from_chord
from templategen.messages import tr
from templategen.units import Units, parse_length

LONGEST = 4000.0  # mm: of a chord


def cutter_radius(chord: str, rise: str) -> float:
    """Radius of an arc, mm (design.md §3).

    Args:
        chord: straight distance between two points of the edge, a length above 0.
        rise: height of the edge over the middle of the chord, at most the chord.

    Raises:
        InputError: no length, or out of bounds.
    """
    across, high = (_size(text, where) for text, where in ((chord, "--chord"), (rise, "--rise")))
    if high > across:
        raise InputError(
            tr("is more than the chord"),
            where="--rise",
            mend=tr("measure the rise square to the chord"),
        )
    return radius_from_chord(chord=across, rise=high)


def _size(text: str, where: str) -> float:
    try:
        size = parse_length(text, Units.MM)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not a length", text=text),
            where=where,
            mend=tr('write 120 or "4 3/4 in"'),
        ) from error
    if not 0 < size <= LONGEST:
        raise InputError(
            tr("{text} is out of bounds", text=text),
            where=where,
            mend=tr("give more than 0, up to 4000 mm"),
        )
    return size
