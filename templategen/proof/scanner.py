"""Separates the scanner's own error from what scans show of a printer.

A printer stretches a sheet across and down and leans its upright lines: a map P, upper triangular.
The sheet lies turned on the glass: a rotation R. The scanner has a stretch and a skew of its own:
E. A scan shows L = E R P. With Q = (E E')^-1 every scan of the sheet gives the same P' P = L' Q L:
two scans, turned against each other by about a quarter, settle Q but for its size, and a known
length on the glass, such as two marks of a steel rule, settles the size (Q is symmetric: three
figures, two of them by the turn).
"""

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templategen.errors import InputError
from templategen.messages import tr
from templategen.trade.printer import PrinterFound

Array = NDArray[np.float64]

LEAST_TURN = math.radians(60)  # of the second scan against the first
QUARTER_TURN = np.array([[0.0, -1.0], [1.0, 0.0]])
# Pages that pdfium and MuPDF drew, 150 to 300 dpi: their lines differ by up to 0.006 mm in 180 mm.
DRAWN = 1.7e-5
STEP = 1e-6  # of the values, for their derivatives
TWICE = 2.0  # standard deviations that are stated: 95 % of normal errors


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one scan shows of a sheet.

    Args:
        matrix: 2 x 2, from the page's mm to the scan's, x to the right and y up in both.
        covariance: 4 x 4, of the matrix read row by row.
        is_wide: whether the page is wider than high, so that it was printed turned.
    """

    matrix: Array
    covariance: Array
    is_wide: bool

    @property
    def upright(self) -> Array:
        """The matrix from the sheet as it went through the printer."""
        return self.matrix @ QUARTER_TURN.T if self.is_wide else self.matrix

    def with_matrix(self, values: Array) -> "Seen":
        """The same with another matrix, read row by row."""
        return dataclasses.replace(self, matrix=values.reshape(2, 2))

    def residual(self, found: PrinterFound, correction: Array) -> tuple[float, float, float]:
        """Across, down and skew as a page comes out that is corrected for a printer.

        Args:
            found: the printer, from this scan.
            correction: 2 x 2, that the page was drawn with.
        """
        if self.is_wide:
            correction = QUARTER_TURN @ correction @ QUARTER_TURN.T
        printing = np.array([[found.across, found.skew * found.down], [0.0, found.down]])
        (across, lean), (_, down) = printing @ correction
        return float(across), float(down), float(lean / down)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLength:
    """A length on the glass of the first scan.

    Args:
        seen: across and up, mm of the scan.
        true: mm.
        uncertainty: of `seen` along its length, mm, one standard deviation.
    """

    seen: tuple[float, float]
    true: float
    uncertainty: float


def printer_found(
    first: Seen, turned: Seen | None = None, rule: KnownLength | None = None
) -> PrinterFound:
    """The printer that one or two scans show.

    Args:
        first: of the sheet.
        turned: of the same sheet, turned by about a quarter; its scanner's error other than a
            scale both ways is taken out.
        rule: takes the scanner's scale out; without `turned`, as one both ways.

    Raises:
        InputError: the second scan is not turned.
    """
    if turned is not None:
        _check_turned(first, turned)

    def figures(values: Array) -> Array:
        one = first.with_matrix(values[:4]).upright
        two = None if turned is None else turned.with_matrix(values[4:8]).upright
        size = float(values[-1]) if rule is not None else 1.0
        quadric = _quadric(one, two, rule, size)
        across, lean, down = _printer(one, quadric)
        return np.array([across, down, lean / down])

    measured = _measured(first, turned, rule)
    values = np.concatenate([some for some, _ in measured])
    across, down, skew = figures(values)
    ends = np.cumsum([len(some) for some, _ in measured])[:-1]
    slopes = np.split(_slopes(figures, values), ends, axis=1)
    variances = [np.diag(s @ c @ s.T) for s, (_, c) in zip(slopes, measured, strict=True)]
    off = TWICE * np.sqrt(np.sum(variances, axis=0) + DRAWN**2)
    scanner = None
    if turned is not None or rule is not None:
        second = None if turned is None else turned.upright
        scanner = _scanner(_quadric(first.upright, second, rule, 1.0))
    return PrinterFound(
        across=float(across),
        down=float(down),
        skew=float(skew),
        across_off=float(off[0]),
        down_off=float(off[1]),
        skew_off=float(off[2]),
        scanner=scanner,
    )


def _check_turned(first: Seen, second: Seen) -> None:
    turn = _turn(second.upright @ np.linalg.inv(first.upright))
    if not LEAST_TURN < abs(turn) < math.pi - LEAST_TURN:
        raise InputError(
            tr("the sheet lies turned by {angle:.0f}° against the first scan",
               angle=math.degrees(abs(turn))),
            where="--turned",
            mend=tr("turn it on the glass by a quarter and scan it again"),
        )  # fmt: skip


def _measured(
    first: Seen, turned: Seen | None, rule: KnownLength | None
) -> list[tuple[Array, Array]]:
    """The values of each measurement with their covariance: four a scan, for a rule 1."""
    found = [(seen.matrix.ravel(), seen.covariance) for seen in (first, turned) if seen is not None]
    if rule is not None:
        found.append((np.array([1.0]), np.array([[(rule.uncertainty / rule.true) ** 2]])))
    return found


def _turn(matrix: Array) -> float:
    """The angle of the rotation nearest to a map, radians."""
    (a, b), (c, d) = matrix
    return math.atan2(c - b, a + d)


def _quadric(first: Array, turned: Array | None, rule: KnownLength | None, size: float) -> Array:
    """(E E')^-1 of the scanner, see the module; without a rule its mean scale is taken as 1."""
    quadric = np.eye(2)
    if turned is not None:
        # first' Q first = turned' Q turned: linear in (q11, q12, q22), up to a factor.
        rows = []
        for i, j in ((0, 0), (0, 1), (1, 1)):
            row = np.zeros(3)
            for matrix, sign in ((first, 1.0), (turned, -1.0)):
                a, b = matrix[:, i], matrix[:, j]
                row += sign * np.array([a[0] * b[0], a[0] * b[1] + a[1] * b[0], a[1] * b[1]])
            rows.append(row)
        q11, q12, q22 = np.linalg.svd(np.array(rows))[2][-1]
        quadric = np.array([[q11, q12], [q12, q22]])
        quadric = quadric * np.sign(q11)
        quadric = quadric / math.sqrt(max(float(np.linalg.det(quadric)), 1e-12))
    if rule is not None:
        seen = np.array(rule.seen) * size
        quadric = quadric * (rule.true**2 / float(seen @ quadric @ seen))
    return quadric


def _printer(matrix: Array, quadric: Array) -> tuple[float, float, float]:
    """Across, lean of the whole height and down: the upper triangle P with P' P = L' Q L."""
    lower = np.linalg.cholesky(matrix.T @ quadric @ matrix)
    return float(lower[0, 0]), float(lower[1, 0]), float(lower[1, 1])


def _scanner(quadric: Array) -> tuple[float, float, float]:
    """Relative error of the scanner's lengths across and down, and its skew."""
    upper = np.linalg.inv(np.linalg.cholesky(quadric).T)
    return float(upper[0, 0] - 1), float(upper[1, 1] - 1), float(upper[0, 1] / upper[1, 1])


def _slopes(function: Callable[[Array], Array], values: Array) -> Array:
    """Derivatives of a function by central differences, a column for each value."""
    columns = []
    for n in range(len(values)):
        change = np.zeros_like(values)
        change[n] = STEP
        columns.append((function(values + change) - function(values - change)) / (2 * STEP))
    return np.array(columns).T
