"""What a printer makes of a millimetre: its measured scale across and down, and its skew."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.errors import InputError, LimitError
from templategen.geometry.shapes import Transform
from templategen.messages import tr
from templategen.trade.paper import Paper
from templategen.units import Units, parse_length

LEAST, MOST = 0.9, 1.1  # printed over wanted; beyond, the print dialog is at fault
MOST_SKEW = 0.02  # mm a mm, 1.1 degrees; beyond, the sheet was fed or measured wrongly
PART_TOLERANCE = 0.2  # mm over a whole part: half of what a turner marks by; chosen here
NEAREST_EDGE = 5.0  # mm: no printed content comes nearer to the paper's edge
QUARTER_TURN = Transform.rotate(math.pi / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterProfile:
    """A printer by the name its owner gave it.

    Args:
        name: for the page and the command line.
        across: printed length over wanted length along the shorter side of the paper, 0.9 to 1.1.
        down: the same along its longer side.
        skew: how far a line along the longer side leans to the right at its top, mm for each mm
            of its height, -0.02 to 0.02: the departure from a right angle. A sheet that is only
            turned as a whole has none.
    """

    name: str
    across: float
    down: float
    skew: float = 0.0

    def printing(self, paper: Paper) -> Transform:
        """The map from wanted to printed places, about the middle of the page.

        Args:
            paper: as laid out; if it is wider than high it goes through the printer turned.
        """
        map_ = Transform(self.across, 0.0, self.skew * self.down, self.down, 0.0, 0.0)
        if paper.width > paper.height:
            map_ = QUARTER_TURN.then(map_).then(QUARTER_TURN.inverse())
        x, y = paper.width / 2, paper.height / 2
        return Transform.move(-x, -y).then(map_).then(Transform.move(x, y))

    def correction(self, paper: Paper) -> Transform:
        """The map, about the middle of the page, that undoes what the printer does.

        Args:
            paper: as laid out; if it is wider than high it goes through the printer turned.
        """
        return self.printing(paper).inverse()

    def margin(self, paper: Paper, least: float) -> float:
        """The page margin, mm, that keeps corrected content on the paper.

        The corner of the content, moved by the correction, stays `NEAREST_EDGE` inside the paper.
        """
        # A corner lies at half - margin from the middle; row (a, c) of the map moves it to
        # |a| (half - margin) + |c| (other half - margin), which must not pass half - NEAREST_EDGE.
        a, b, c, d, _, _ = self.correction(paper)
        half_x, half_y = paper.width / 2, paper.height / 2
        needed = [
            (abs(own) * half + abs(other) * other_half - half + NEAREST_EDGE)
            / (abs(own) + abs(other))
            for own, half, other, other_half in ((a, half_x, c, half_y), (d, half_y, b, half_x))
        ]
        return max(least, *needed)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterFound:
    """A printer as a scan shows it.

    Args:
        across, down, skew: see `PrinterProfile`.
        across_off, down_off, skew_off: uncertainty: 95 % of measurements lie within it.
        scanner: the scanner's own error, which is taken out: relative error of a length across and
            of a length down, and its skew; None where it was not measured.
    """

    across: float
    down: float
    skew: float
    across_off: float
    down_off: float
    skew_off: float
    scanner: tuple[float, float, float] | None


def bar_tolerance(bar: float, span: float) -> float:
    """How far a printed bar may be out, so that a part is true to `PART_TOLERANCE`.

    Args:
        bar: its wanted length, mm.
        span: greatest width or height of the part, mm, > 0.

    >>> bar_tolerance(150, 240)
    0.125
    """
    return PART_TOLERANCE * bar / span


def skew_of_diagonals(rising: float, falling: float, across: float, down: float) -> float:
    """The skew of a printer, from a printed rectangle and its two diagonals.

    A rectangle of x by y that leans by s has the diagonals hypot(x + s y, y) and hypot(x - s y, y):
    their squares differ by 4 s x y, and their sum is 2 (x^2 + y^2), but for s^2. So the diagonals
    may be shorter than the rectangle's own if they run in the same directions.

    Args:
        rising: printed length of the diagonal that rises to the right, mm.
        falling: printed length of the other one, wanted to be as long, mm.
        across: printed width of the rectangle, mm, > 0.
        down: its printed height, mm, > 0.

    >>> round(skew_of_diagonals(math.hypot(181, 250), math.hypot(179, 250), 180, 250), 4)
    0.004
    """
    share = (rising**2 - falling**2) / (rising**2 + falling**2)
    return share * (across**2 + down**2) / (2 * across * down)


def checked_skew(skew: float, *, where: str) -> float:
    """The skew, if it is one a printer may have.

    Raises:
        LimitError: beyond 0.02 mm a mm.
    """
    if abs(skew) <= MOST_SKEW:
        return skew
    raise LimitError(
        tr("a lean of {lean:.2f} mm in 100 mm is more than {most:g}", lean=skew * 100,
           most=MOST_SKEW * 100),
        where=where,
        mend=tr("straighten the paper guides, print the scale sheet again and measure that"),
    )  # fmt: skip


def factor_from(text: str, *, where: str) -> float:
    """Printed over wanted length, from ``179.2/180``, ``6 15/16 + 0.047 : 7`` or ``0.9956``.

    Args:
        text: two lengths in the same unit, what was measured first; or one factor. Between
            lengths with fractions of an inch stands a colon. A length may be a sum, as a vernier
            gives it.
        where: the option, for faults.

    Raises:
        InputError: not such a text.
        LimitError: outside 0.9 to 1.1; says what has probably gone wrong.

    >>> factor_from("179.1/180", where="--across")
    0.995
    """
    lengths = measured_lengths(text, where=where)
    factor = lengths[0] / lengths[1] if len(lengths) == 2 else lengths[0]
    return checked_factor(factor, where=where)


def measured_lengths(text: str, *, where: str) -> Sequence[float]:
    """The one or two lengths of a measurement such as ``179.2/180``; see `factor_from`.

    Raises:
        InputError: not such a text.
    """
    sides = text.split(":") if ":" in text else text.split("/")
    try:
        lengths = [sum(parse_length(term, Units.MM) for term in side.split("+")) for side in sides]
    except ValueError:
        lengths = []
    if len(lengths) in (1, 2) and all(0 < length < 10_000 for length in lengths):
        return lengths
    raise InputError(
        tr("{text!r} is no measurement", text=text),
        where=where,
        mend=tr('write measured/wanted length, as 179.2/180 or "6 63/64 : 7"'),
    )


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
