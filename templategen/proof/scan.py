"""Registers the scan of a printed sheet on its own page, which shows how it was printed.

The page is found among those of the pack, whichever way round it lies on the glass, by small
pictures of both; then the map from the page to the scan is fitted to its lines, in finer and finer
pictures. See `registration`, and `scanner` for what follows from the map.
"""

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray

from templategen.errors import InputError
from templategen.messages import tr
from templategen.proof.page_picture import (
    TURN,
    PagePicture,
    correction_of,
    drawn,
    page_size,
    without_letters,
)
from templategen.proof.pdf_reader import PackFile
from templategen.proof.registration import (
    COARSE_SIDE,
    SCALES,
    SIDE,
    CoarseScan,
    Patches,
    Registration,
    halved,
    line_turn,
    refined,
    without_background,
)
from templategen.proof.scan_picture import LEAST_INK, Scan, middle_of_mark, read_scan
from templategen.proof.scanner import KnownLength, Seen, printer_found
from templategen.trade.printer import MOST_SKEW

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

COARSE = 0.75  # pixels in a mm of the small pictures, about: 19 dpi
FIRST_TRIES = 3  # places that are looked at closer, the likeliest first
LEAST_LIKENESS = 0.4  # of a small picture: other pages reach 0.36, the right one has 0.7
CLEARLY = 0.8  # a place this much less likely than one that fits is not looked at
LEAST_ALIKE = 0.7  # share of a page's patches that look like it; another sheet has its bars only
LEAST_INSIDE, LEAST_INSIDE_TURNED = 0.98, 0.55  # share of the page's lines in the scan
MOST_SPREAD = 0.25  # mm: single lines farther off the map than this are no flat scan
LARGEST_PAGE = 2.0  # times the area of the scan
LEAST_LINES = 40  # patches with lines
# Places in a picture to those in its half, the middle of the first pixel at (0, 0) in both.
HALF = np.array([[0.5, 0.0, -0.25], [0.0, 0.5, -0.25], [0.0, 0.0, 1.0]])
TWICE = np.linalg.inv(HALF)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleMarks:
    """Two marks of a steel rule on a scan: pixels from the upper left, and mm between them."""

    places: tuple[tuple[float, float], tuple[float, float]]
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanWishes:
    """What the user says of a scan.

    Args:
        name: of the scan, for faults.
        pack_name: of the PDF, for faults.
        page: of the PDF, from 1; None to look for it.
        dpi: of the scans; None for what they say.
        turned: bytes of a second scan, with the sheet turned by a quarter, or None.
        turned_name: of the second scan.
        rule: on the first scan, or None.
    """

    name: str
    pack_name: str
    page: int | None = None
    dpi: float | None = None
    turned: bytes | None = None
    turned_name: str = ""
    rule: RuleMarks | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A page found in a scan.

    Args:
        index: of the page, from 0.
        seen: the map from its mm to the scan's, x to the right, y up.
        width: of the page, mm.
        height: of the page, mm.
        spread: distance of single patches of lines from the map, mm, one standard deviation.
        places: patches that were compared.
    """

    index: int
    seen: Seen
    width: float
    height: float
    spread: float
    places: int


class SheetSearch:
    """A scan in small pictures, and the pages of a file that are looked for in it.

    Args:
        document: the file, open; a page that is measured loses its letters.
        scan: of one sheet.
        where: names the scan in faults.
    """

    def __init__(self, document: pypdfium2.PdfDocument, scan: Scan, where: str) -> None:
        self.document = document
        self.scan = scan
        self.where = where
        self.fineness = math.sqrt(scan.across * scan.down)
        # Level n is 2^n times smaller; pages are sought from the last level to the one `middle`.
        self.last = max(2, round(math.log2(self.fineness / COARSE)))
        self.middle = self.last - 2
        self.levels = [scan.dark]
        for _ in range(self.last):
            self.levels.append(halved(self.levels[-1]))
        block = max(8, round(3.0 * self.fineness / 2**self.middle))  # 3 mm
        self.clean = without_background(self.levels[self.middle], block)
        self._pages: dict[int, list[PagePicture]] = {}

    def sheet(self, wanted: int | None, *, least_inside: float = LEAST_INSIDE) -> Sheet:
        """The sheet on the scan.

        Args:
            wanted: index of the page it is said to be, or None.
            least_inside: share of its lines that must lie in the scan, 0 to 1.

        Raises:
            InputError: no sheet, another one, cut off, or no flat scan.
        """
        if float((self.clean > 0.25).mean()) < LEAST_INK:
            raise InputError(
                tr("nothing printed is to be seen"),
                where=self.where,
                mend=tr("lay the sheet face down on the glass and scan it again"),
            )
        pages = [n for n in range(len(self.document)) if self._may_show(n)]
        found = self._best([n for n in pages if wanted in (None, n)], (SCALES[:1], SCALES[1:]))
        if found is None and wanted is not None:
            other = self._best([n for n in pages if n != wanted], (SCALES[:1],))
            if other is not None:
                raise InputError(
                    tr("shows page {found}, not page {wanted}", found=other[0] + 1,
                       wanted=wanted + 1),
                    where=self.where,
                    mend=tr("leave out --page, or scan the other sheet"),
                )  # fmt: skip
        if found is None:
            raise InputError(
                tr("shows no page of this file"),
                where=self.where,
                mend=tr(
                    "scan a sheet of it, whole and flat on the glass; see that the dpi is right"
                ),
            )
        index, rough = found
        if rough.inside < least_inside:
            raise InputError(
                tr("shows {percent:.0f} % of the page", percent=rough.inside * 100),
                where=self.where,
                mend=tr("scan the sheet whole, with all that is printed on it"),
            )
        return self._measured(index, rough.matrix)

    def _may_show(self, index: int) -> bool:
        """Whether the scan is large enough to show a page, or the better part of it."""
        width, height = page_size(self.document[index])
        rows, columns = self.scan.dark.shape
        glass = columns / self.scan.across * rows / self.scan.down
        return bool(0 < width * height < LARGEST_PAGE * glass)

    def _best(
        self, among: Sequence[int], scales: Sequence[Sequence[float]]
    ) -> tuple[int, Registration] | None:
        """The page that the scan shows, and its place at the level `middle`; None if none is.

        Args:
            among: indexes of pages.
            scales: of the print; each group is tried where those before it gave nothing.
        """
        if not among:
            return None
        shapes = [self._page(index)[-1].dark.shape for index in among]
        largest = max(shape[0] for shape in shapes), max(shape[1] for shape in shapes)
        coarse = CoarseScan(halved(halved(self.clean)), line_turn(self.clean), largest)
        for some in scales:
            places = [
                (likeness, index, matrix)
                for index in among
                for likeness, matrix in coarse.places(self._page(index)[-1].dark, some)
                if likeness > LEAST_LIKENESS
            ]
            places.sort(key=lambda place: -place[0])
            found: list[tuple[int, Registration]] = []
            for n, (likeness, index, matrix) in enumerate(places[:FIRST_TRIES]):
                if found and likeness < CLEARLY * places[n - 1][0]:
                    break
                fit = self._followed(index, matrix)
                if fit.alike >= LEAST_ALIKE:
                    found.append((index, fit))
            if found:
                return max(found, key=lambda pair: pair[1].alike * pair[1].inside)
        return None

    def _page(self, index: int) -> list[PagePicture]:
        """Pictures of a page from the level `middle` to the last."""
        if index not in self._pages:
            found = [drawn(self.document[index], self.fineness / 2**self.middle)]
            for _ in range(2):
                half = halved(found[-1].dark)
                found.append(PagePicture(dark=half, matrix=HALF @ found[-1].matrix))
            self._pages[index] = found
        return self._pages[index]

    def _followed(self, index: int, matrix: Array) -> Registration:
        """A page's place at the level `middle`, from one in the coarsest picture."""
        steps = []
        for step in (2, 1, 0):
            patches = Patches(self._page(index)[step].dark, COARSE_SIDE)
            steps.append(refined(self.levels[self.middle + step], patches, matrix))
            matrix = TWICE @ steps[-1].matrix @ HALF
        return steps[-1]

    def _measured(self, index: int, rough: Array) -> Sheet:
        """A page measured by its lines alone, in finer and finer pictures, from a rough place.

        Refused where its lines do not lie as any printer and scanner would put them.
        """
        page, scan = self.document[index], self.scan
        width, height = page_size(page)
        matrix = rough @ self._page(index)[0].matrix  # from the page's mm
        levels = range(max(self.middle - 1, 0), -1, -1)
        finenesses = [self.fineness / 2**level for level in levels]
        whole = [drawn(page, fineness, turn=TURN).dark for fineness in finenesses]
        without_letters(page)
        found: tuple[Registration, Array, int] | None = None
        for level, fineness, both in zip(levels, finenesses, whole, strict=True):
            if level < self.middle:
                matrix = TWICE @ matrix
            lines = drawn(page, fineness, turn=TURN)
            patches = Patches(lines.dark, SIDE, np.abs(both - lines.dark))
            if len(patches) < LEAST_LINES:
                break
            fit = refined(self.levels[level], patches, matrix @ np.linalg.inv(lines.matrix))
            matrix = fit.matrix @ lines.matrix
            found = fit, lines.matrix, len(patches)
        if found is None:
            raise _not_flat(self.where)
        fit, to_pixels, places = found
        spread, bend = fit.spread / self.fineness, fit.bend / self.fineness
        if fit.alike < LEAST_ALIKE or spread > MOST_SPREAD:
            raise _not_flat(self.where)
        # From (x right, y down) to (x right, y up) in page and scan, and from pixels to mm.
        flip = np.diag([1.0, -1.0])
        before, after = flip @ np.diag([1 / scan.across, 1 / scan.down]), to_pixels[:2, :2] @ flip
        outer = np.kron(before, after.T)  # of matrices read row by row
        seen = Seen(
            matrix=before @ fit.matrix[:2, :2] @ after,
            covariance=outer @ fit.covariance @ outer.T + _of_bending(bend, width, height),
            is_wide=width > height,
        )
        return Sheet(
            index=index, seen=seen, width=width, height=height, spread=spread, places=places
        )


def _not_flat(where: str) -> InputError:
    """The fault of a scan whose lines do not lie as any printer and scanner would put them."""
    return InputError(
        tr("does not fit the page well enough to be measured"),
        where=where,
        mend=tr("scan a sheet with bars and lines flat on the glass; no photograph will do"),
    )


def measure(pack: bytes, picture: bytes, wishes: ScanWishes) -> tuple[dict[str, Any], bytes]:
    """How a sheet was printed, by the scan of it: an answer of the sandbox, and no bytes.

    Args:
        pack: the PDF that was printed.
        picture: the scan.
        wishes: what the user says of the scan.

    Raises:
        InputError: a file that cannot be read, or a scan that cannot be measured.
    """
    scan = read_scan(picture, where=wishes.name, dpi=wishes.dpi)
    with PackFile(pack, wishes.pack_name) as file:
        wanted = _page_index(wishes, len(file.document))
        sheet = SheetSearch(file.document, scan, wishes.name).sheet(wanted)
        correction = correction_of(file.document[sheet.index])
    turned = None
    if wishes.turned is not None:
        second = read_scan(wishes.turned, where=wishes.turned_name, dpi=wishes.dpi)
        # Opened again: measuring takes the letters off a page.
        with PackFile(pack, wishes.pack_name) as file:
            search = SheetSearch(file.document, second, wishes.turned_name)
            turned = search.sheet(sheet.index, least_inside=LEAST_INSIDE_TURNED)
    found = printer_found(
        sheet.seen,
        None if turned is None else turned.seen,
        None if wishes.rule is None else _known_length(scan, wishes.rule),
    )
    if abs(found.skew) > MOST_SKEW:
        raise _not_flat(wishes.name)
    answer = {
        "page": sheet.index + 1,
        "width": sheet.width,
        "height": sheet.height,
        "dpi": scan.dpi,
        "places": sheet.places,
        "spread": sheet.spread,
        "found": dataclasses.asdict(found),
        "residual": None
        if np.array_equal(correction, np.eye(2))
        else sheet.seen.residual(found, correction),
    }
    return answer, b""


def _of_bending(bend: float, width: float, height: float) -> Array:
    """The covariance of a map, row by row, where regions of the page lie so far off it, mm.

    A straight line fitted to one wave of a sine over a length slopes by 6 / pi of its peak over
    that length, so by 2.7 times its standard deviation: taken for two of the slope's own.
    """
    across, down = 1.35 * bend / width, 1.35 * bend / height
    return np.diag(np.array([across, down, across, down]) ** 2)


def _page_index(wishes: ScanWishes, count: int) -> int | None:
    """The index of the page that the user names, in a file of `count` pages; None for any."""
    if wishes.page is None:
        return None
    if not 1 <= wishes.page <= count:
        raise InputError(
            tr("there is no page {page}", page=wishes.page),
            where="--page",
            mend=tr("{name} has pages 1 to {count}", name=wishes.pack_name, count=count),
        )
    return wishes.page - 1


def _known_length(scan: Scan, rule: RuleMarks) -> KnownLength:
    """The length between two marks of a rule as the scan shows it."""
    across, down = scan.reduced
    places = [((x + 0.5) / across - 0.5, (y + 0.5) / down - 0.5) for x, y in rule.places]
    way = places[1][0] - places[0][0], places[1][1] - places[0][1]
    seen = math.hypot(way[0] / scan.across, way[1] / scan.down)
    if not 0.9 < seen / rule.length < 1.1:
        raise InputError(
            tr("the marks are {seen:.1f} mm apart on the scan, not {length:.1f}", seen=seen,
               length=rule.length),
            where="--rule",
            mend=tr("give the pixels of two marks of the rule, and the length between them"),
        )  # fmt: skip
    one, two = (middle_of_mark(scan, place, way) for place in places)
    return KnownLength(
        seen=(
            (two.place[0] - one.place[0]) / scan.across,
            -(two.place[1] - one.place[1]) / scan.down,
        ),
        true=rule.length,
        uncertainty=math.hypot(one.uncertainty, two.uncertainty),
    )
