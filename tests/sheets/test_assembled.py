"""Release gate: tiles as a person lays them together, measured in pixels against the plan's JSON.

Nothing of the layout, of the recipe or of the parts is used: MuPDF draws the pages, pdfium reads
the wording of the seams, marks and lines are found in the pixels, and what a tiled part must be is
taken from the plan alone. On a printer that stretches and leans, the pages for it are measured
where that printer puts them.
"""

import dataclasses
import itertools
import math
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pymupdf
import pypdfium2
import pytest
import scipy  # loads its parts when they are used
from builders import example_plan, laid_pack
from numpy.typing import NDArray
from scipy import ndimage, optimize

from templategen.geometry.shapes import Transform
from templategen.nest.plan_json import plan_to_json
from templategen.output.pdf import write_pdf
from templategen.parts.drawing import Drawing, Path, Role
from templategen.sheets.page import Pack
from templategen.trade.printer import PrinterProfile

Array = NDArray[np.float64]

WITHIN = 0.03  # mm
MM = 25.4 / 72  # in a point
DPI = 300
TURN = math.radians(4)  # of the pictures: renderers move lines along the pixels to whole ones
ARM, RING = 4.0, 2.0  # mm from the middle of a registration mark: how it looks
TRUE = {"across": 1.0, "down": 1.0, "skew": 0.0}
PRINTER = {"across": 0.994, "down": 1.005, "skew": 0.003}


class Sheet:
    """A page in pixels, places in mm from its lower left."""

    def __init__(self, data: bytes, index: int) -> None:
        scale = DPI / 72
        cos, sin = math.cos(TURN) * scale, math.sin(TURN) * scale
        with pymupdf.open(stream=data, filetype="pdf") as document:
            page = document[index]
            self.width, self.height = page.rect.width * MM, page.rect.height * MM
            drawn = page.get_pixmap(
                matrix=pymupdf.Matrix(cos, sin, -sin, cos, 0, 0),
                colorspace=pymupdf.csGRAY,
                alpha=False,
            )
        pixels = np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.width)
        self.dark = 1 - pixels.astype(np.float32) / 255
        self.corner = drawn.x, drawn.y
        self.linear = np.array([[cos, -sin], [sin, cos]]) / MM

    def at(self, places: Array) -> Array:
        """How dark places are, 0 to 1; beside the page they are white.

        Args:
            places: with x and y in the last axis.
        """
        down = np.stack([places[..., 0], self.height - places[..., 1]], axis=-1)
        columns, rows = np.moveaxis(down @ self.linear.T, -1, 0)
        found: Array = ndimage.map_coordinates(
            self.dark,
            [rows - self.corner[1] - 0.5, columns - self.corner[0] - 0.5],
            order=1,
            mode="constant",
        )
        return found

    def line(self, place: Array, way: Array, *, reach: float = 1.0, wide: float = 0.0) -> float:
        """How far along a way from a place the middle of the one dark line is, mm; nan for none.

        Args:
            place: mm.
            way: unit vector square to the line.
            reach: mm to each side.
            wide: mm along the line to each side, over which its darkness is averaged.
        """
        steps = np.arange(-reach, reach + 0.01, 0.02)
        beside = np.arange(-wide, wide + 0.01, 0.1)
        square = np.array([-way[1], way[0]])
        seen = self.at(place + steps[:, None, None] * way + beside[:, None] * square).mean(axis=1)
        dark = np.clip(seen - 0.3, 0, None)  # without tints
        if dark.max() < 0.15:
            return math.nan
        inked = np.flatnonzero(dark > 0.33 * dark.max())
        if inked[-1] - inked[0] > 0.6 / 0.02:  # a tick or a letter beside it
            return math.nan
        return float((dark * steps).sum() / dark.sum())

    def straight(
        self, place: Array, along: Array, reach: float, span: float
    ) -> tuple[float, float]:
        """The strongest straight line along a direction near a place: its offset and its darkness.

        Args:
            place: mm.
            along: unit vector.
            reach: mm to each side of the place.
            span: mm of the line to each side.
        """
        square = np.array([-along[1], along[0]])
        offsets = np.arange(-reach, reach, 0.04)
        steps = np.arange(-span, span, 0.25)
        seen = self.at(place + offsets[:, None, None] * square + steps[:, None] * along)
        dark = seen.mean(axis=1)
        best = int(dark.argmax())
        return float(offsets[best]), float(dark[best])


@dataclass(frozen=True)
class Side:
    """One side of a seam on a sheet.

    Args:
        sheet: it is on.
        marks: two middles of marks on the trim line or the landing line, mm.
        inward: unit vector from the lower tile's own side of the seam to the upper tile.
    """

    sheet: Sheet
    marks: Array
    inward: Array

    def in_order(self) -> "Side":
        """The same, its marks from right to left as one looks inward."""
        ahead = (self.marks[1] - self.marks[0]) @ _turned(self.inward)
        return self if ahead > 0 else dataclasses.replace(self, marks=self.marks[::-1])


@dataclass(frozen=True)
class Tile:
    """A printed tile, trimmed and laid.

    Args:
        sheet: it is on.
        onto: from the sheet to the whole part.
        seam: a place on the trim line, mm on the whole part.
        shown: unit vector from there to the side where this tile is what is seen.
    """

    sheet: Sheet
    onto: Array
    seam: Array
    shown: Array


def _seams(data: bytes, title: str) -> Iterator[tuple[int, bool, tuple[float, ...]]]:
    """Every seam's wording of a part: the page, whether its tile goes over, and its box, mm."""
    document = pypdfium2.PdfDocument(data)
    says = rf"{re.escape(title)} [A-Z]\d+: (?:glue: .*? this lap|trim or fold .*?\))"
    for index, page in enumerate(document):
        texts = page.get_textpage()
        for found in re.finditer(says, texts.get_text_range()):
            boxes = np.array([texts.get_charbox(n) for n in range(*found.span())]) * MM
            boxes = boxes[(boxes[:, 2] > boxes[:, 0]) & (boxes[:, 3] > boxes[:, 1])]
            low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
            yield index, ": trim" in found.group(), (*low, *high)
    document.close()


def _side(sheet: Sheet, box: tuple[float, ...], *, is_upper: bool) -> Side:
    """The side of a seam beside which its wording stands: always outside the tile.

    The trim line is dashed and at most 4 mm from the words, the landing line whole and 18 mm.
    """
    low, high = np.array(box[:2]), np.array(box[2:])
    middle = (low + high) / 2
    size = high - low
    along = np.array([1.0, 0.0]) if size[0] > size[1] else np.array([0.0, 1.0])
    square = np.array([-along[1], along[0]])
    span = float(size.max()) / 2
    offset, dark = sheet.straight(middle, along, 4.0 if is_upper else 18.0, span / 4)
    assert dark > 0.3
    on_line, along = _followed(sheet, middle + offset * square, along, span)
    out = -math.copysign(1.0, offset)  # from the line to the words
    inward = _turned(along) * (-out if is_upper else out)
    marks = _marks(sheet, on_line, along, inward)
    assert len(marks) == 2, f"{len(marks)} marks on a seam"
    return Side(sheet, np.array([_middle(sheet, m, along, inward) for m in marks]), inward)


def _followed(sheet: Sheet, place: Array, along: Array, span: float) -> tuple[Array, Array]:
    """A place on a line and the line's own direction: on a corrected page it leans a little."""
    square = _turned(along)
    steps = np.arange(-span, span, 0.4)
    off = np.array([sheet.line(place + step * along, square, reach=0.5) for step in steps])
    known = np.isfinite(off)
    slope = float(scipy.stats.theilslopes(off[known], steps[known])[0])
    off_middle = float(np.median(off[known] - slope * steps[known]))
    way = along + slope * square
    return place + off_middle * square, way / np.hypot(*way)


def _marks(sheet: Sheet, on_line: Array, along: Array, inward: Array) -> list[Array]:
    """Where half marks stand on a line: an arm of 4 mm square to it, a ring of 2 mm around."""
    steps = np.arange(-300.0, 300.0, 0.05)
    line = on_line + steps[:, None] * along

    def dark(into: float, shift: float = 0.0) -> Array:
        places = line + into * inward + shift * along
        return np.max([sheet.at(places + s * along) for s in (-0.05, 0.0, 0.05)], axis=0)

    round_ = RING / math.sqrt(2)
    seen = np.minimum.reduce([dark(2.7), dark(3.2), dark(3.7), dark(round_, round_),
                              dark(round_, -round_)])  # fmt: skip
    looks = (seen > 0.35) & (dark(ARM + 0.5) < 0.3)
    groups, count = ndimage.label(ndimage.binary_closing(looks, np.ones(5)))
    return [line[round(float(np.flatnonzero(groups == n).mean()))] for n in range(1, count + 1)]


def _middle(sheet: Sheet, near: Array, along: Array, inward: Array) -> Array:
    """The middle of a mark: along the line by its arm, square to it by the line beside the mark."""
    arm = np.mean([sheet.line(near + into * inward, along) for into in (2.6, 3.0, 3.4)])
    square = inward
    lines = [
        sheet.line(near + shift * along, square, reach=0.8)
        for shift in np.concatenate([np.arange(-16, -4.5, 0.2), np.arange(4.5, 16, 0.2)])
    ]
    off = float(np.nanmedian(lines))
    assert np.isfinite([arm, off]).all()
    middle: Array = near + arm * along + off * square
    return middle


def _printer_map(sheet: Sheet, printer: dict[str, float] | None) -> Array:
    """What a printer makes of a page: stretched and leaning about the middle of the sheet.

    A page wider than high goes through it turned by a quarter. Three rows, for (x, y, 1).
    """
    across, down, skew = ((printer or TRUE)[name] for name in ("across", "down", "skew"))
    map_ = np.array([[across, skew * down], [0.0, down]])
    if sheet.width > sheet.height:
        quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
        map_ = quarter.T @ map_ @ quarter
    middle = np.array([sheet.width, sheet.height]) / 2
    return _affine(map_, middle - map_ @ middle)


def _affine(linear: Array, shift: Array) -> Array:
    return np.vstack([np.column_stack([linear, shift]), [0.0, 0.0, 1.0]])


def _put(map_: Array, places: Array) -> Array:
    """Places under a map of three rows."""
    put: Array = places @ map_[:2, :2].T + map_[:2, 2]
    return put


def _turned(way: Array) -> Array:
    """A direction turned by a quarter."""
    return np.array([-way[1], way[0]])


def _laid(lower: Array, upper: Array) -> Array:
    """The map that turns and shifts the upper tile's two marks onto the lower tile's."""
    one, two = lower[1] - lower[0], upper[1] - upper[0]
    angle = math.atan2(one[1], one[0]) - math.atan2(two[1], two[0])
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return _affine(turn, lower.mean(axis=0) - turn @ upper.mean(axis=0))


def _circle_middle(sheet: Sheet, radius: float) -> Array:
    """Where a circle of a radius stands on a sheet, to about a millimetre: most of it is there."""
    step = 0.5  # mm
    x, y = np.arange(0, sheet.width, step), np.arange(0, sheet.height, step)
    dark = sheet.at(np.stack(np.meshgrid(x, y), axis=-1)) > 0.3
    reach = math.ceil(radius / step) + 2
    far = np.hypot(*np.mgrid[-reach : reach + 1, -reach : reach + 1]) * step
    ring = (np.abs(far - radius) < 0.6).astype(float)
    votes = scipy.signal.fftconvolve(dark.astype(float), ring, mode="same")
    row, column = np.unravel_index(votes.argmax(), votes.shape)
    return np.array([x[column], y[row]])


def _lines_at(tile: Tile, places: Array, ways: Array, reach: float) -> Array:
    """Points of the lines that a tile shows near places of the assembled part, mm.

    Args:
        tile: of the part.
        places: mm, on the assembled part.
        ways: a unit vector for each, square to the line.
        reach: mm to each side.
    """
    back = np.linalg.inv(tile.onto)
    seen = (places - tile.seam) @ tile.shown > 0.5
    found = []
    for place, towards in zip(_put(back, places[seen]), ways[seen] @ back[:2, :2].T, strict=True):
        way = towards / np.hypot(*towards)
        off = tile.sheet.line(place, way, reach=reach)
        if math.isfinite(off):
            found.append(place + off * way)
    return _put(tile.onto, np.array(found).reshape(-1, 2))


def _on_circle(tiles: Sequence[Tile], middle: Array, radius: float, reach: float) -> list[Array]:
    """Points of the line of a circle on each tile, mm on the assembled part."""
    angles = np.arange(0, 2 * math.pi, math.radians(0.5))
    ways = np.column_stack([np.cos(angles), np.sin(angles)])
    return [_lines_at(tile, middle + radius * ways, ways, reach) for tile in tiles]


def _edge(tile: Tile, start: Array, way: Array) -> Array | None:
    """The first line that a tile shows on a way from a place, mm on the assembled part."""
    steps = np.arange(0.0, 45.0, 0.05)
    dark = tile.sheet.at(_put(np.linalg.inv(tile.onto), start + steps[:, None] * way))
    inked = np.flatnonzero(dark > 0.5)
    if not len(inked):
        return None
    found = _lines_at(tile, start + steps[inked[0]] * way[None], way[None], 0.5)
    return found[0] if len(found) else None


def _fitted(points: Array) -> tuple[Array, float]:
    """The middle and the radius of a circle through points, robust against a few strangers."""
    start = [*points.mean(axis=0), float(np.ptp(points, axis=0).max()) / 2]
    fit = optimize.least_squares(
        lambda v: np.hypot(points[:, 0] - v[0], points[:, 1] - v[1]) - v[2],
        start,
        loss="soft_l1",
        f_scale=0.02,
    )
    return fit.x[:2], float(fit.x[2])


CASES = [
    ("lakeside-400", "a4", None),
    ("lakeside-400", "letter", PRINTER),
    ("inch-15", "a4", PRINTER),
    ("inch-15", "letter", None),
]
if os.environ.get("HYPOTHESIS_PROFILE") == "deep":
    CASES = list(itertools.product(("lakeside-400", "inch-15"), ("a4", "letter"), (None, PRINTER)))


@pytest.mark.rendered
@pytest.mark.parametrize(("name", "paper", "printer"), CASES)
def test_a_tiled_circle_is_round_and_true(
    name: str, paper: str, printer: dict[str, float] | None
) -> None:
    """Trimmed and laid by its marks, the largest full circle is round and true within 0.03 mm.

    It is the end face of the first tenon, as the plan's JSON has it. The two sheets' marks are as
    far apart on both, and the edges of the part run on over the seam.
    """
    bowl = plan_to_json(example_plan(f"{name}.toml"))["bowls"][0]
    _assert_true(_pack(name, paper, printer), bowl, printer)


@pytest.mark.rendered
@pytest.mark.parametrize("way", ["cut lines", "marks"])
def test_a_tile_out_of_place_would_be_seen(way: str) -> None:
    """The upper tile's cut lines 0.08 mm off its marks, or its marks off its lines, are found."""
    pack = _pack("lakeside-400", "a4", None)
    moved = Transform.move(0.05, 0.065)
    pages = []
    for page in pack.pages:
        placements = []
        for placement in page.placements:
            if placement.tile == "B1":
                items = tuple(
                    item.moved(moved)
                    if (isinstance(item, Path) and item.role is Role.CUT) is (way == "cut lines")
                    else item
                    for item in placement.part.drawing.items
                )
                part = dataclasses.replace(placement.part, drawing=Drawing(items=items))
                placement = dataclasses.replace(placement, part=part)
            placements.append(placement)
        pages.append(dataclasses.replace(page, placements=tuple(placements)))
    bowl = plan_to_json(example_plan("lakeside-400.toml"))["bowls"][0]
    with pytest.raises(AssertionError):
        _assert_true(dataclasses.replace(pack, pages=tuple(pages)), bowl, None)


def _pack(name: str, paper: str, printer: dict[str, float] | None) -> Pack:
    profile = None if printer is None else PrinterProfile(name="invented", **printer)
    plan = example_plan(f"{name}.toml")
    return laid_pack(plan, kinds=("full circle",), paper=paper, profile=profile)


def _assert_true(pack: Pack, bowl: dict[str, Any], printer: dict[str, float] | None) -> None:
    """Measures the tiled full circle of a bowl's jaws on the printed pages."""
    radius, title = bowl["tenon_end_diameter"] / 2, f"Full circle, jaws {bowl['jaws']} closed"
    data = write_pdf(pack, title="Invented", attachments={})
    sides = {
        is_upper: _side(Sheet(data, index), box, is_upper=is_upper)
        for index, is_upper, box in _seams(data, title)
    }
    assert sorted(sides) == [False, True]
    lower, upper = sides[False], sides[True]
    lower, upper = lower.in_order(), upper.in_order()
    print_lower, print_upper = (_printer_map(side.sheet, printer) for side in (lower, upper))
    marks, over = _put(print_lower, lower.marks), _put(print_upper, upper.marks)
    assert abs(math.dist(*marks) - math.dist(*over)) < WITHIN
    tiles = (
        Tile(lower.sheet, print_lower, marks[0], -lower.inward),
        Tile(upper.sheet, _laid(marks, over) @ print_upper, marks[0], lower.inward),
    )
    middle = _put(print_lower, _circle_middle(lower.sheet, radius))
    for reach in (1.2, 0.6, 0.4):  # the last time hardly anything else lies so near
        points = np.vstack(_on_circle(tiles, middle, radius, reach))
        middle, found = _fitted(points)
        assert abs(found - radius) < WITHIN
    for own in _on_circle(tiles, middle, radius, 0.4):
        assert len(own) > 150  # of 720 rays, without those along a tick
        far = np.abs(np.hypot(*(own - middle).T) - radius)
        assert np.percentile(far, 99) < WITHIN
        assert abs(_fitted(own)[1] - radius) < WITHIN
    _edges_run_on(tiles, marks, lower, middle, radius)


def _edges_run_on(
    tiles: Sequence[Tile], marks: Array, lower: Side, middle: Array, radius: float
) -> None:
    """Each edge that crosses the seam is one straight line over both tiles, square to the seam."""
    along = (marks[1] - marks[0]) / math.dist(*marks)
    square = _turned(along) * np.sign(_turned(along) @ lower.inward)
    seam = float((marks[0] - middle) @ square)
    for way in (along, -along):
        found = []
        for tile, shifts in zip(
            tiles, (np.arange(-40.0, -7.0, 1.1), np.arange(8.0, 33.0, 1.1)), strict=True
        ):
            own = []
            for u in seam + shifts:
                clear = math.sqrt(max(radius**2 - u**2, 0.0)) + 1.5
                place = _edge(tile, middle + u * square + clear * way, way)
                if place is not None:
                    own.append(((place - middle) @ square, (place - middle) @ way))
            assert len(own) > 4
            found += own
        u, v = np.array(found).T
        slope, level = np.polyfit(u, v, 1)
        assert np.abs(v - level - slope * u).max() < WITHIN
        assert abs(slope) * np.ptp(u) < WITHIN
