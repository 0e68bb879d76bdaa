"""What a printer makes of a millimetre: its measured scale across and down."""

from dataclasses import dataclass

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Transform
from templategen.messages import tr
from templategen.trade.paper import Paper
from templategen.units import Units, parse_length

LEAST, MOST = 0.9, 1.1  # printed over wanted; beyond, the print dialog is at fault
NEAREST_EDGE = 5.0  # mm: no printed content comes nearer to the paper's edge


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterProfile:
    """A printer by the name its owner gave it.

    Args:
        name: for the page and the command line.
        across: printed length over wanted length along the shorter side of the paper, 0.9 to 1.1.
        down: the same along its longer side.
    """

    name: str
    across: float
    down: float

    def correction(self, paper: Paper) -> Transform:
        """The map, about the middle of the page, that undoes what the printer does.

        Args:
            paper: as laid out; if it is wider than high it goes through the printer turned, so
                the two factors change places.
        """
        across, down = (
            (self.down, self.across) if paper.width > paper.height else (self.across, self.down)
        )
        x, y = paper.width / 2, paper.height / 2
        return Transform(1 / across, 0.0, 0.0, 1 / down, x - x / across, y - y / down)

    def margin(self, paper: Paper, least: float) -> float:
        """The page margin, mm, that keeps corrected content on the paper."""
        short, long = sorted((paper.width, paper.height))
        sides = ((short, self.across), (long, self.down))
        needed = [
            side / 2 - factor * (side / 2 - NEAREST_EDGE) for side, factor in sides if factor < 1
        ]
        return max([least, *needed])


def factor_from(text: str, *, where: str) -> float:
    """Printed over wanted length, from ``179.2/180``, ``6 63/64 : 7`` or ``0.9956``.

    Args:
        text: two lengths in the same unit, what was measured first; or one factor. Between
            lengths with fractions of an inch stands a colon.
        where: the option, for faults.

    Raises:
        InputError: not such a text.
        LimitError: outside 0.9 to 1.1; says what has probably gone wrong.

    >>> factor_from("179.1/180", where="--across")
    0.995
    """
    sides = text.split(":") if ":" in text else text.split("/")
    try:
        lengths = [parse_length(side, Units.MM) for side in sides]
    except ValueError:
        lengths = []
    if len(lengths) not in (1, 2) or not all(0 < length < 10_000 for length in lengths):
        raise InputError(
            tr("{text!r} is no measurement", text=text),
            where=where,
            mend=tr('write measured/wanted length, as 179.2/180 or "6 63/64 : 7"'),
        )
    factor = lengths[0] / lengths[1] if len(lengths) == 2 else lengths[0]
    return checked_factor(factor, where=where)


def checked_factor(factor: float, *, where: str) -> float:
    """The factor, if it is one a printer may have.

    Raises:
        LimitError: outside 0.9 to 1.1.
    """
    if LEAST <= factor <= MOST:
        return factor
    if 0.5 <= factor < LEAST:
        mend = tr(
            "the print dialog probably fitted the page to {percent:.1f} %: set it to 100 % or "
            "actual size, print the scale sheet again and measure that",
            percent=factor * 100,
        )
    elif MOST < factor <= 2:
        mend = tr(
            "the print dialog probably enlarged the page to {percent:.1f} %: set it to 100 % or "
            "actual size, print the scale sheet again and measure that",
            percent=factor * 100,
        )
    else:
        mend = tr("give the length you measured first, then the length printed beside the bar")
    raise LimitError(
        tr(
            "a factor of {factor:.4g} is outside {least:g} to {most:g}",
            factor=factor,
            least=LEAST,
            most=MOST,
        ),
        where=where,
        mend=mend,
    )
