"""Registers a drawn page on a scanned picture, to a small part of a pixel.

Both pictures are darkness: 0 for paper, 1 for black; rows run down. A place in a picture is
(column, row) with the middle of the first pixel at (0, 0). The result is the affine map from places
in the page to places in the scan. It is found coarsely by correlation of small pictures, then
refined from picture to finer picture: each patch of the page that holds lines gives its distance
from where the map puts it, across the directions of its lines, and the map is fitted by least
squares (Lucas and Kanade 1981, with a gain and an offset for each patch, so that uneven light
and pale toner do not matter).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

SIDE, COARSE_SIDE = 32, 16  # pixels of a patch
MOST_PATCHES = 600
LEAST_INK = 0.02  # darkness: standard deviation of a patch that holds lines
FOLLOWED, ALIKE = 0.2, 0.5  # correlation of a patch with the scan: used; looks like the page
MOST_TURN = 10.0  # degrees off a quarter turn
SCALES = (1.0, 0.96, 1.04, 0.92, 1.08)  # of a print; the refinement reaches 2 % further
STEPS = 15  # of one refinement; each is far nearer than the one before
STILL = 3e-4  # pixels: a step that changes nothing any more
LEAST_SPREAD = 0.02  # pixels: patches that agree better are not taken as outliers
HUBER, OUTLIER = 1.5, 6.0  # spreads: patches that lie farther count less, or not at all
BLOCKS = 6  # blocks a side whose patches may err together


@dataclass(frozen=True, slots=True, kw_only=True)
class Registration:
    """Where a page lies in a scan.

    Args:
        matrix: 3 x 3, from page (column, row, 1) to scan (column, row, 1).
        covariance: 4 x 4, of `matrix[:2, :2]` read row by row, (scan pixels a page pixel) squared.
        alike: share of the patches inside the scan that look like the page and lie where the map
            puts them, 0 to 1.
        inside: share of the page's patches that lie in the scan, 0 to 1.
        spread: distance of single patches from the map, page pixels, one standard deviation.
        bend: the same of whole regions of the page: a scanner whose carriage runs unevenly, or a
            sheet that is not flat.
    """

    matrix: Array
    covariance: Array
    alike: float
    inside: float
    spread: float
    bend: float


def shift(x: float, y: float) -> Array:
    """The map, 3 x 3, that moves places by x and y."""
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y], [0.0, 0.0, 1.0]])


def halved(picture: Picture) -> Picture:
    """The picture at half the size: each pixel is the mean of four."""
    rows, columns = picture.shape[0] // 2 * 2, picture.shape[1] // 2 * 2
    even = picture[:rows, :columns]
    four = even[0::2, 0::2] + even[1::2, 0::2] + even[0::2, 1::2] + even[1::2, 1::2]
    mean: Picture = np.multiply(four, 0.25, dtype=np.float32)
    return mean


def softened(picture: Picture) -> Picture:
    """The picture under a small blur, 1 2 1 both ways, so that steps of a pixel do not show."""
    return np.ascontiguousarray(_softened_down(_softened_down(picture).T).T)


def _softened_down(picture: Picture) -> Picture:
    """The picture under the blur along its columns; beyond its edges it goes on as at them."""
    quarter = picture * np.float32(0.25)
    soft = quarter + quarter
    soft[1:] += quarter[:-1]
    soft[:-1] += quarter[1:]
    soft[0] += quarter[0]
    soft[-1] += quarter[-1]
    return soft


def _widened(dark: NDArray[np.bool_], by: int) -> NDArray[np.bool_]:
    """Places within `by` rows and columns of a dark one."""
    wide = dark.copy()
    for step in range(1, by + 1):
        wide[step:] |= dark[:-step]
        wide[:-step] |= dark[step:]
    whole = wide.copy()
    for step in range(1, by + 1):
        whole[:, step:] |= wide[:, :-step]
        whole[:, :-step] |= wide[:, step:]
    return whole


def without_background(picture: Picture, block: int = 8) -> Picture:
    """Darkness against the paper around, for uneven light and for what lies beside the sheet.

    Args:
        picture: darkness, at least one block each way.
        block: pixels in which the lightest fifth is taken for paper.
    """
    rows, columns = (-(-n // block) for n in picture.shape)
    padded = np.pad(
        picture,
        ((0, rows * block - picture.shape[0]), (0, columns * block - picture.shape[1])),
        mode="edge",
    )
    blocks = padded.reshape(rows, block, columns, block).swapaxes(1, 2)
    paper = np.percentile(blocks.reshape(rows, columns, -1), 20, axis=2)
    paper = np.repeat(np.repeat(paper, block, axis=0), block, axis=1)
    paper = paper[: picture.shape[0], : picture.shape[1]]
    light = np.maximum(1.0 - paper, 0.1)
    dark: Picture = np.clip((picture - paper) / light, 0.0, 1.0).astype(np.float32)
    return dark


def line_turn(picture: Picture) -> float:
    """Angle of the lines of a sheet from the nearest quarter turn, radians.

    Projected along the lines of a sheet, its dark pixels make the histogram with the sharpest
    peaks.

    Args:
        picture: darkness without its background.
    """
    rows, columns = np.nonzero(picture > 0.25)
    step = max(1, len(rows) // 40_000)
    x, y = columns[::step].astype(float), rows[::step].astype(float)
    if not len(x):
        return 0.0
    x, y = x - x.mean(), y - y.mean()
    reach = math.ceil(math.hypot(*picture.shape)) + 2

    def sharpness(angle: float) -> float:
        cos, sin = math.cos(angle), math.sin(angle)
        counts = [
            np.bincount((place + reach).astype(np.intp), minlength=2 * reach)
            for place in (y * cos - x * sin, x * cos + y * sin)
        ]
        return float(sum((count.astype(float) ** 2).sum() for count in counts))

    best = 0.0
    for reach_deg, step_deg in ((MOST_TURN, 0.2), (0.2, 0.05)):
        steps = np.arange(-reach_deg, reach_deg + step_deg / 2, step_deg)
        tries = [best + math.radians(float(n)) for n in steps]
        best = max(tries, key=sharpness)
    return best


class CoarseScan:
    """A small picture of a scan, turned all four ways, in which pages are sought.

    Args:
        picture: darkness without its background, about 20 pixels an inch.
        turn: of its lines, radians.
        page_shape: rows and columns that no page's picture exceeds.
    """

    def __init__(self, picture: Picture, turn: float, page_shape: tuple[int, int]) -> None:
        self.picture = softened(picture)
        self.turn = turn
        side = math.ceil(math.hypot(*picture.shape)) + 2
        self.middle = (side - 1) / 2
        self.size = tuple(_round_size(side + n) for n in page_shape)
        self._side = side
        self._turned: dict[tuple[int, float], tuple[NDArray[Any], float]] = {}

    def places(self, page: Picture, scales: Sequence[float]) -> Iterator[tuple[float, Array]]:
        """Where the page may lie, one place for each quarter turn and scale: likeness and map.

        Args:
            page: darkness, at the scan's own pixels an inch.
            scales: of the print.
        """
        soft = softened(page) - np.float32(page.mean())
        spectrum = np.conj(np.fft.rfft2(soft, self.size))
        size = float(np.sqrt((soft**2).sum())) or 1.0
        for scale in scales:
            for quarter in range(4):
                turned, length = self._spectrum(quarter, scale)
                found = np.fft.irfft2(turned * spectrum, self.size)
                row, column = np.unravel_index(int(found.argmax()), found.shape)
                likeness = float(found[row, column]) / (size * length)
                yield likeness, self._map(quarter, scale, int(column), int(row))

    def _matrix(self, quarter: int, scale: float) -> Array:
        angle = self.turn + quarter * math.pi / 2
        cos, sin = scale * math.cos(angle), scale * math.sin(angle)
        rows, columns = self.picture.shape
        turned = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
        back = shift(-self.middle, -self.middle)
        matrix: Array = shift((columns - 1) / 2, (rows - 1) / 2) @ turned @ back
        return matrix

    def _spectrum(self, quarter: int, scale: float) -> tuple[NDArray[Any], float]:
        key = quarter, scale
        if key not in self._turned:
            rows, columns = np.mgrid[: self._side, : self._side]
            turned, is_inside = sampled(self.picture, self._matrix(*key), columns, rows)
            turned = np.where(is_inside, turned, 0.0)
            turned -= np.where(is_inside, turned[is_inside].mean(), 0.0)
            length = float(np.sqrt((turned**2).sum())) or 1.0
            self._turned[key] = np.fft.rfft2(turned, self.size), length
        return self._turned[key]

    def _map(self, quarter: int, scale: float, column: int, row: int) -> Array:
        rows, columns = self.size  # places beyond the picture come round again
        column -= columns * (column >= self._side)
        row -= rows * (row >= self._side)
        return self._matrix(quarter, scale) @ shift(column, row)


def _round_size(least: int) -> int:
    """A size of 2^n or 3 * 2^n: a quick one for a Fourier transform."""
    sizes: list[int] = [n for k in range(14) for n in (2**k, 3 * 2**k)]
    return min(n for n in sizes if n >= least)


def sampled(
    picture: Picture, matrix: Array, columns: NDArray[np.generic], rows: NDArray[np.generic]
) -> tuple[Array, NDArray[np.bool_]]:
    """The picture under a map at places of the page, and which of them lie inside it."""
    x = matrix[0, 0] * columns + matrix[0, 1] * rows + matrix[0, 2]
    y = matrix[1, 0] * columns + matrix[1, 1] * rows + matrix[1, 2]
    height, width = picture.shape
    is_inside = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    left = np.clip(x, 0, width - 2).astype(np.intp)
    top = np.clip(y, 0, height - 2).astype(np.intp)
    across, down = x - left, y - top
    flat, at = picture.ravel(), top * width + left
    upper = flat[at] * (1 - across) + flat[at + 1] * across
    lower = flat[at + width] * (1 - across) + flat[at + width + 1] * across
    return upper * (1 - down) + lower * down, is_inside


class Patches:
    """The patches of a page that hold lines.

    Args:
        page: darkness.
        side: of a patch, pixels.
        letters: darkness of the page's letters, if patches that hold any are left out.
    """

    def __init__(self, page: Picture, side: int, letters: Picture | None = None) -> None:
        soft = softened(page)
        rows, columns = (n // side for n in page.shape)
        slope_y, slope_x = (np.asarray(slope) for slope in np.gradient(soft))

        def cut(picture: NDArray[Any]) -> NDArray[Any]:
            whole = picture[: rows * side, : columns * side]
            blocks = whole.reshape(rows, side, columns, side).swapaxes(1, 2)
            return blocks.reshape(rows * columns, side * side)

        blocks = cut(soft)
        ink = blocks.std(axis=1)
        if letters is not None:
            ink[cut(_widened(letters > LEAST_INK / 2, 2)).any(axis=1)] = 0.0
        chosen = _spread_out(ink.reshape(rows, columns), MOST_PATCHES)
        shown = blocks[chosen].astype(float)
        ones = np.ones_like(shown)
        slopes = [-cut(slope)[chosen].astype(float) for slope in (slope_x, slope_y)]
        self.shown = shown - shown.mean(axis=1, keepdims=True)
        self.design = np.stack([shown, ones, *slopes], axis=2)
        normal = np.einsum("pni,pnj->pij", self.design, self.design)
        plain, mixed = normal[:, :2, :2], normal[:, 2:, :2]
        plain = plain + 1e-9 * np.eye(2)
        self.without = mixed @ np.linalg.inv(plain)  # takes gain and offset out
        self.gain = np.linalg.inv(plain)[:, 0]
        self.sharpness = normal[:, 2:, 2:] - self.without @ mixed.swapaxes(1, 2)
        top, left = (n * side for n in np.divmod(chosen, columns))
        inner_row, inner_column = np.divmod(np.arange(side * side), side)
        self.columns = left[:, None] + inner_column
        self.rows = top[:, None] + inner_row
        self.middle = np.array([(page.shape[1] - 1) / 2, (page.shape[0] - 1) / 2])
        self.reach = float(self.middle.max())
        middles = np.column_stack([left, top]) + (side - 1) / 2
        self.at = (middles - self.middle) / self.reach  # -1 to 1

    def __len__(self) -> int:
        return len(self.shown)


def _spread_out(ink: Array, most: int) -> NDArray[np.intp]:
    """The places of at most `most` blocks with ink: of each region the strongest first."""
    rows, columns = ink.shape
    flat = ink.ravel()
    found = np.flatnonzero(flat > LEAST_INK)
    if len(found) <= most:
        return found
    row, column = np.divmod(found, columns)
    region = row * 16 // rows * 16 + column * 16 // columns
    order = np.lexsort((-flat[found], region))
    starts = np.r_[0, np.flatnonzero(np.diff(region[order])) + 1]
    rank = np.arange(len(found)) - np.repeat(starts, np.diff(np.r_[starts, len(found)]))
    return np.sort(found[order][np.argsort(rank, kind="stable")[:most]])


def refined(scan: Picture, patches: Patches, matrix: Array) -> Registration:
    """The map that lays a page's patches on a scan best, from one that is a pixel or two off.

    Args:
        scan: darkness.
        patches: of the page, at about the scan's own pixels an inch.
        matrix: see `Registration`.
    """
    soft = softened(scan)
    for _ in range(STEPS):
        step = _Step(soft, patches, matrix)
        matrix = step.improved
        if step.moved < STILL:
            break
    return _Step(soft, patches, matrix).registration()


class _Step:
    """One step towards the best map."""

    def __init__(self, scan: Picture, patches: Patches, matrix: Array) -> None:
        self.matrix = matrix
        self.patches = patches
        seen, is_inside = sampled(scan, matrix, patches.columns, patches.rows)
        self.is_inside = is_inside.all(axis=1)
        self.likeness = _likeness(patches.shown, seen)
        sums = np.einsum("pni,pn->pi", patches.design, seen)
        gain = np.einsum("pi,pi->p", patches.gain, sums[:, :2])
        pull = sums[:, 2:] - np.einsum("pij,pj->pi", patches.without, sums[:, :2])
        self.is_used = self.is_inside & (self.likeness > FOLLOWED) & (gain > 0.02)
        self.pull = np.where(
            self.is_used[:, None], pull / np.where(self.is_used, gain, 1.0)[:, None], 0.0
        )
        self._solve()

    def _solve(self) -> None:
        patches = self.patches
        weights = self.is_used.astype(float)
        x, y = patches.at.T
        ones, none = np.ones_like(x), np.zeros_like(x)
        self.towards = np.stack(
            [
                np.stack([x, y, ones, none, none, none], axis=1),
                np.stack([none, none, none, x, y, ones], axis=1),
            ],
            axis=1,
        )  # patch, direction, parameter
        firm = np.einsum(
            "pik,pij,pjl->pkl", self.towards, patches.sharpness, self.towards, optimize=True
        )
        drawn = np.einsum("pik,pi->pk", self.towards, self.pull)
        for _ in range(4):
            self.normal = np.einsum("p,pkl->kl", weights, firm) + 1e-9 * np.eye(6)
            self.change = np.linalg.solve(self.normal, weights @ drawn)
            self.left = self.pull - np.einsum(
                "pij,pjk,k->pi", patches.sharpness, self.towards, self.change, optimize=True
            )
            distance = _distances(self.patches.sharpness, self.left)
            used = distance[self.is_used]
            typical = 1.4826 * float(np.median(used)) if len(used) else 0.0
            self.spread = max(typical, LEAST_SPREAD)
            share = distance / self.spread
            weights = self.is_used * np.minimum(1.0, HUBER / np.maximum(share, 1e-9))
            weights[share > OUTLIER] = 0.0
        self.weights = weights

    @property
    def moved(self) -> float:
        """The most that this step moves a place of the page, about, pixels."""
        return float(np.abs(self.change).sum())

    @property
    def improved(self) -> Array:
        """The map after this step."""
        patches = self.patches
        a, b, c, d, e, f = self.change
        change = np.array([[a, b, c], [d, e, f], [0.0, 0.0, 0.0]])
        unit = np.diag([1 / patches.reach, 1 / patches.reach, 1.0]) @ shift(*-patches.middle)
        return self.matrix @ (np.eye(3) + change @ unit)

    def registration(self) -> Registration:
        """The map before this step, and how well it fits."""
        patches = self.patches
        inside = int(self.is_inside.sum())
        alike = int((self.is_inside & (self.likeness > ALIKE) & (self.weights > 0)).sum())
        grid = np.clip(((patches.at + 1) / 2 * BLOCKS).astype(np.intp), 0, BLOCKS - 1)
        block = grid[:, 1] * BLOCKS + grid[:, 0]
        scores = self.weights[:, None] * np.einsum("pik,pi->pk", self.towards, self.left)
        sums, left, sharp = (np.zeros((BLOCKS * BLOCKS, *n)) for n in ((6,), (2,), (2, 2)))
        np.add.at(sums, block, scores)
        np.add.at(left, block, self.weights[:, None] * self.left)
        np.add.at(sharp, block, self.weights[:, None, None] * patches.sharpness)
        held = len(np.unique(block[self.weights > 0]))
        inverse = np.linalg.inv(self.normal)
        # Patches of a block may err together (White 1980), which few blocks show too little of.
        spread = inverse @ (sums.T @ sums) @ inverse * (held / max(held - 6, 1))
        four = [0, 1, 3, 4]
        linear = np.kron(self.matrix[:2, :2], np.eye(2)) / patches.reach
        covariance = linear @ spread[np.ix_(four, four)] @ linear.T
        return Registration(
            matrix=self.matrix,
            covariance=covariance,
            alike=alike / max(inside, 1),
            inside=inside / max(len(patches), 1),
            spread=self.spread,
            bend=float(np.sqrt((_distances(sharp, left) ** 2).sum() / max(held, 1))),
        )


def _distances(sharpness: Array, left: Array) -> Array:
    """How far patches lie from the map, pixels, along what their lines show.

    Args:
        sharpness: a 2 x 2 matrix for each.
        left: `sharpness` times the distance that is left, for each.
    """
    trace = np.trace(sharpness, axis1=1, axis2=2)
    firm = sharpness + (1e-4 * trace[:, None, None] + 1e-9) * np.eye(2)
    solved = np.linalg.solve(firm, left[:, :, None])[:, :, 0]
    squares = np.einsum("pi,pi->p", left, solved) / np.maximum(trace, 1e-9)
    distances: Array = np.sqrt(np.maximum(squares, 0.0))
    return distances


def _likeness(shown: Array, seen: Array) -> Array:
    """Correlation of each patch, from which the mean is taken, with what is seen there."""
    seen = seen - seen.mean(axis=1, keepdims=True)
    sizes = np.sqrt((shown**2).sum(axis=1) * (seen**2).sum(axis=1))
    likeness: Array = np.einsum("pn,pn->p", shown, seen) / np.maximum(sizes, 1e-9)
    return likeness
