"""Checks what a person typed behind an option."""

from templategen.errors import InputError
from templategen.messages import Text, tr
from templategen.units import Units, parse_length


def typed_length(text: str, where: str, *, most: float, mend: Text) -> float:
    """A length above 0, mm; a bare number is in millimetres.

    Args:
        text: as it was typed.
        where: the option.
        most: mm.
        mend: shows how a length is written.

    Raises:
        InputError: no length, or out of bounds.
    """
    try:
        length = parse_length(text, Units.MM)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not a length", text=text), where=where, mend=mend
        ) from error
    if not 0 < length <= most:
        raise InputError(
            tr("{text} is out of bounds", text=text),
            where=where,
            mend=tr("give more than 0, up to {most:g} mm", most=most),
        )
    return length
