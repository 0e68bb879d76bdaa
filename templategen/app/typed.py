"""Checks what a person typed behind an option."""

from templategen.errors import InputError
from templategen.messages import Text, tr
from templategen.units import Units, parse_length, split_size


def typed_sides(text: str, where: str, *, fault: Text, example: str) -> tuple[str, str]:
    """The two lengths of a size, as texts, see `split_size`.

    Args:
        text: as it was typed.
        where: the option or argument.
        fault: what is wrong with a text that is no size.
        example: of a size.

    Raises:
        InputError: no size.
    """
    try:
        return split_size(text)
    except ValueError as error:
        mend = tr("write it as {example}", example=example)
        raise InputError(fault, where=where, mend=mend) from error


def typed_length(
    text: str, where: str, *, most: float, mend: Text, least: float | None = None
) -> float:
    """A length above 0, mm; a bare number is in millimetres.

    Args:
        text: as it was typed.
        where: the option.
        most: mm.
        mend: shows how a length is written.
        least: mm, where it is more than 0.

    Raises:
        InputError: no length, or out of bounds.
    """
    try:
        length = parse_length(text, Units.MM)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not a length", text=text), where=where, mend=mend
        ) from error
    if not 0 < length <= most or (least is not None and length < least):
        bounds = tr("give more than 0, up to {most:g} mm", most=most)
        if least is not None:
            bounds = tr("give {least:g} to {most:g} mm", least=least, most=most)
        raise InputError(tr("{text} is out of bounds", text=text), where=where, mend=bounds)
    return length
