"""Compares a pack with the pack that its recipe gives when it is made again.

The recipe's job, shop and print wishes are laid out anew, and each page of the file is compared
with the page it should be: its lines as vectors, its words as strings, and all of it as a picture.
Whatever was changed in the drawing, in the recipe or in both alike is then a difference.
"""

import difflib
import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from templategen import __version__
from templategen.geometry.shapes import Box, Point
from templategen.messages import Figure, Joined, Text, tr
from templategen.proof.pdf_reader import PIXEL, DrawnPage, DrawnPath, Grey, PackFile, Word
from templategen.proof.recipe import MOST_BYTES, NAME, Recipe, read_recipe
from templategen.proof.remake import Remade, left_out, recipe_difference, remake
from templategen.proof.report import Report, Row
from templategen.sheets.page import Page

TOLERANCE = 0.01  # mm, between a line and where it should lie, and of its width
SHADES = 48  # of 255: what a pixel may lie outside the greys round it (ISO 32000-2 fixes no pixels)
SAME_COLOUR = 3  # of 255
SAME_SCALE = 2e-4  # between two pages scaled alike
AHEAD = 20  # lines looked at for the next that agree
CELL = 5.0  # mm: pixels that differ are gathered in squares
MOST_NOTES = 3  # of one part
SHOWN = 8  # words of a difference
SAME_PAPER = 0.05  # mm
FRAME = tr("bars, foot and frame")
# Names that programs add when they save a file anew; none of them shows, hides or does anything.
HARMLESS = frozenset(
    {"Index", "W", "XRef", "Size", "Root", "Info", "ID", "ObjStm", "N", "Extends",
     "UseAttachments", "Metadata", "XML", "DecodeParms", "Predictor", "Columns", "Colors",
     "BitsPerComponent", "Identity", "ASCIIHexDecode", "ASCII85Decode", "LZWDecode",
     "RunLengthDecode"}
)  # fmt: skip


def verify(data: bytes, name: str) -> Report:
    """Compares the bytes of a pack with what their recipe gives.

    Args:
        data: of the file; may be anything.
        name: of the file, for faults.

    Raises:
        InputError: no recipe inside, or none that can be used.
    """
    with PackFile(data, name) as drawn:
        recipe = read_recipe(drawn.attachment(NAME, most=MOST_BYTES), where=name)
        remade = remake(recipe)
        with PackFile(remade.file(), name) as wanted:
            compared = _Comparison(recipe, remade, drawn, wanted)
            compared.file()
            compared.pages()
    return compared.report()


@dataclass(slots=True)
class _Found:
    """What was found of one part, or of the frame of a sheet."""

    deviation: float | None = None
    notes: list[Text] = field(default_factory=list)

    def add(self, note: Text) -> None:
        if note not in self.notes:
            self.notes.append(note)


class _Comparison:
    """Gathers what differs, page by page."""

    def __init__(self, recipe: Recipe, remade: Remade, drawn: PackFile, wanted: PackFile) -> None:
        self.recipe, self.remade = recipe, remade
        self.drawn, self.wanted = drawn, wanted
        self.other = "" if recipe.release == __version__ else recipe.release or "?"
        self.found: dict[tuple[int, Text], _Found] = {}
        self.scales: list[tuple[float, float]] = []
        self.drawn_words = [page.words for page in drawn.pages()]
        self.wanted_words = [page.words for page in wanted.pages()]

    def _of(self, sheet: int, what: Text) -> _Found:
        return self.found.setdefault((sheet, what), _Found())

    def file(self) -> None:
        """Compares what belongs to no page: names, settings of the print, and the recipe."""
        file = self._of(0, tr("the file"))
        if added := sorted(self.drawn.names() - self.wanted.names() - HARMLESS):
            names = ", ".join(f"/{name[:30]}" for name in added[:MOST_NOTES])
            note = tr("holds {names}, which can hide, cover or scale what is printed", names=names)
            file.add(note)
        if not self.drawn.forbids_scaling:
            file.add(tr("no longer asks the print dialog to leave the size alone"))
        if self.other:
            return
        if self.drawn.title != self.wanted.title:
            title = self.wanted.title
            file.add(tr("the title is {found!r}, not {title!r}", found=self.drawn.title[:60],
                        title=title))  # fmt: skip
        if self.drawn.bookmarks() != self.wanted.bookmarks():
            file.add(tr("the bookmarks were changed"))
        if difference := recipe_difference(self.recipe, self.remade):
            self._of(0, tr("the recipe")).add(difference)

    def pages(self) -> None:
        """Compares each page with the one it should be."""
        laid = self.remade.pack.pages
        for number, place in self._partners():
            if number is None:
                what = tr("page {number}", number=(place or 0) + 1)
                self._of(0, what).add(tr("is no sheet of the pack"))
                continue
            if place is None:
                self._of(laid[number].number, tr("the sheet")).add(tr("is missing"))
                continue
            page = laid[number]
            if place != number:
                self._of(page.number, tr("the sheet")).add(
                    tr("lies on page {number}", number=place + 1)
                )
            with self.drawn.page(place) as one, self.wanted.page(number) as other:
                owners = _Owners(page)
                self._page(page, owners, one, other)
                if not self.other:
                    words = self.drawn_words[place], self.wanted_words[number]
                    self._words(page.number, owners, *words)
                    self._picture(page.number, owners, one, other)

    def _partners(self) -> Iterator[tuple[int | None, int | None]]:
        """Which page of the pack is which of the file, None where it has no partner.

        Pages go by their number where that is the same in both; else by their words, and those
        without a match by their order.
        """
        here, there = (["".join(word.text for word in words) for words in both]
                       for both in (self.drawn_words, self.wanted_words))  # fmt: skip
        if len(here) == len(there) and sorted(here) != sorted(there):
            yield from ((n, n) for n in range(len(there)))
            return
        free = list(range(len(here)))
        pairs: dict[int, int] = {}
        for number, words in enumerate(there):
            place = next((n for n in free if here[n] == words), None)
            if place is not None:
                pairs[number] = place
                free.remove(place)
        for number in range(len(there)):
            if number not in pairs and len(free) > 0 and len(here) >= len(there):
                pairs[number] = free.pop(0)
        yield from ((number, pairs.get(number)) for number in range(len(there)))
        yield from ((None, place) for place in free)

    def _page(self, laid: Page, owners: "_Owners", drawn: DrawnPage, wanted: DrawnPage) -> None:
        """Compares the page itself, what lies on it, and its lines."""
        for name in (*owners.names, FRAME):
            self._of(laid.number, name).deviation = 0.0
        sheet = laid.number, tr("the sheet")
        for box, other in zip(drawn.boxes, wanted.boxes, strict=True):
            if max(abs(a - b) for a, b in zip(box, other, strict=True)) > SAME_PAPER:
                self._of(*sheet).add(
                    tr(
                        "the page is {width:.1f} × {height:.1f} mm, not {wide:.1f} × {high:.1f} mm",
                        width=box.width,
                        height=box.height,
                        wide=other.width,
                        high=other.height,
                    )
                )
        if drawn.label != wanted.label and not self.other:
            self._of(*sheet).add(tr("viewers call the page {label!r}", label=drawn.label[:40]))
        if drawn.is_turned:
            self._of(*sheet).add(tr("the page is turned"))
        if drawn.pictures != wanted.pictures:
            self._of(*sheet).add(tr("a picture was added or taken away"))
        self._lines(laid.number, owners, drawn.paths, wanted.paths)

    def _lines(
        self, sheet: int, owners: "_Owners", drawn: list[DrawnPath], wanted: list[DrawnPath]
    ) -> None:
        """Compares line by line, in the order in which they are drawn."""
        if drawn and wanted:
            self.scales.append(_scale(drawn, wanted))
        for one, other in _aligned(drawn, wanted):
            path = other or one
            assert path is not None
            found = self._of(sheet, owners.of(path.points[0]))
            if one is None:
                found.add(tr("a line is missing"))
            elif other is None:
                found.add(tr("a line too many"))
            else:
                for note in _style_notes(one, other):
                    found.add(note)
                if one.kinds == other.kinds:
                    found.deviation = max(found.deviation or 0.0, _deviation(one, other))

    def _words(self, sheet: int, owners: "_Owners", drawn: list[Word], wanted: list[Word]) -> None:
        """Compares the words, wherever spaces and line ends were taken to be."""
        if "".join(w.text for w in drawn) == "".join(w.text for w in wanted):
            return
        here, there = ([word.text for word in words] for words in (drawn, wanted))
        matcher = difflib.SequenceMatcher(None, here, there, autojunk=False)
        for kind, first, last, begin, end in matcher.get_opcodes():
            if kind == "equal":
                continue
            found = " ".join(here[first:last][:SHOWN])[:60]
            should = " ".join(there[begin:end][:SHOWN])[:60]
            note = tr("{found!r} instead of {should!r}", found=found, should=should)
            if kind == "delete":
                note = tr("{found!r} was added", found=found)
            elif kind == "insert":
                note = tr("{should!r} is missing", should=should)
            at = (wanted[begin:end] or drawn[first:last])[0].at
            self._of(sheet, owners.of(at)).add(note)

    def _picture(self, sheet: int, owners: "_Owners", drawn: DrawnPage, wanted: DrawnPage) -> None:
        """Compares what is seen, which a line or a word that is hidden is not."""
        high = wanted.boxes[0].height
        for (top, one), (_, other) in zip(drawn.bands(), wanted.bands(), strict=False):
            for x, y in _different_places(one, other):
                found = self._of(sheet, owners.of(Point(x, high - top - y), slack=CELL / 2))
                if not found.notes and (found.deviation or 0.0) <= TOLERANCE:
                    found.add(tr("looks otherwise: something is hidden, changed or added"))

    def report(self) -> Report:
        """All that was found."""
        rows = []
        for (sheet, what), found in self.found.items():
            far = found.deviation
            if far is not None and far > TOLERANCE:
                found.notes.insert(0, tr("a line lies {far:.2f} mm from its place", far=far))
            rows.append(
                Row(
                    sheet=sheet,
                    what=what,
                    deviation=far,
                    note=Joined(tuple(found.notes[:MOST_NOTES]), "; "),
                    is_true=not found.notes,
                )
            )
        pages = self.remade.pack.pages
        without: tuple[str, ...] = ()
        if all(row.is_true for row in rows):
            without = left_out(self.recipe, self.remade)
        return Report(
            rows=tuple(rows),
            sheets=len(pages),
            parts=sum(len(_Owners(page).names) for page in pages),
            tolerance=TOLERANCE,
            scale=self._scale(),
            release=self.other,
            kinds=self.recipe.kinds,
            left_out=without,
        )

    def _scale(self) -> tuple[float, float] | None:
        """The scale of the pages across and down, where all agree and are not true."""
        if not self.scales or all(max(abs(a - 1), abs(d - 1)) < SAME_SCALE for a, d in self.scales):
            return None
        across, down = self.scales[0]
        if any(max(abs(a - across), abs(d - down)) > SAME_SCALE for a, d in self.scales):
            return None
        return across, down


class _Owners:
    """Whose the places of a page are: the parts and tiles on it, else its frame."""

    def __init__(self, laid: Page) -> None:
        self.boxes = [
            (placement.clip.moved(laid.correction), f"{part.title} {placement.tile}".strip())
            for placement in laid.placements
            if (part := placement.part).title
        ]
        self.names: list[Text] = [name for _, name in self.boxes]

    def of(self, point: Point, *, slack: float = 0.0) -> Text:
        """The name of what a point, page mm, belongs to: the smallest that it lies in or near."""
        near = Box(*point, *point).grown(slack)
        holding = [(box.width * box.height, name) for box, name in self.boxes if box.meets(near)]
        return min(holding)[1] if holding else FRAME


Pair = tuple[DrawnPath | None, DrawnPath | None]


def _aligned(drawn: Sequence[DrawnPath], wanted: Sequence[DrawnPath]) -> Iterator[Pair]:
    """Each line with the one it should be; None for a partner that is not there.

    Where two do not agree, the next that does is looked for, in one list or the other; where
    none is near, the two are taken for one line that was changed.
    """
    here = there = 0
    while here < len(drawn) and there < len(wanted):
        ahead = 0
        if not _agree(drawn[here], wanted[there]):
            rest, other = drawn[here : here + AHEAD], wanted[there : there + AHEAD]
            for ahead in range(1, AHEAD):
                if ahead < len(rest) and _agree(rest[ahead], other[0]):
                    yield from ((path, None) for path in rest[:ahead])
                    here += ahead
                    break
                if ahead < len(other) and _agree(rest[0], other[ahead]):
                    yield from ((None, path) for path in other[:ahead])
                    there += ahead
                    break
        yield drawn[here], wanted[there]
        here, there = here + 1, there + 1
    yield from ((path, None) for path in drawn[here:])
    yield from ((None, path) for path in wanted[there:])


def _agree(one: DrawnPath, other: DrawnPath) -> bool:
    return (
        one.kinds == other.kinds
        and math.dist(one.points[0], other.points[0]) <= TOLERANCE
        and _deviation(one, other) <= TOLERANCE
        and not _style_notes(one, other)
    )


def _deviation(one: DrawnPath, other: DrawnPath) -> float:
    """Greatest distance of like points, mm; of two curves no point is farther than these."""
    return max(map(math.dist, one.points, other.points))


def _style_notes(one: DrawnPath, other: DrawnPath) -> list[Text]:
    """What differs in how a line is drawn, in words."""
    notes: list[Text] = []
    if one.kinds != other.kinds:
        notes.append(tr("a line has another shape"))
    if abs(one.width - other.width) > TOLERANCE:
        notes.append(
            tr(
                "a line is {width} wide, not {should}",
                width=Figure(one.width, ".2f", " mm"),
                should=Figure(other.width, ".2f", " mm"),
            )
        )
    if any(
        (a is None) != (b is None)
        or (a and b and max(abs(x - y) for x, y in zip(a, b, strict=True)) > SAME_COLOUR)
        for a, b in zip(one.colours, other.colours, strict=True)
    ):
        notes.append(tr("a line or shape has another colour"))
    if len(one.dashes) != len(other.dashes) or any(
        abs(a - b) > TOLERANCE for a, b in zip(one.dashes, other.dashes, strict=True)
    ):
        notes.append(tr("a line is dashed otherwise"))
    return notes


def _scale(drawn: Sequence[DrawnPath], wanted: Sequence[DrawnPath]) -> tuple[float, float]:
    """How much wider and higher the whole of what is drawn is than it should be."""
    sides = []
    for paths in (drawn, wanted):
        xs, ys = zip(*(point for path in paths for point in path.points), strict=True)
        sides.append((max(xs) - min(xs), max(ys) - min(ys)))
    (wide, high), (width, height) = sides
    return wide / width if width else 1.0, high / height if height else 1.0


def _different_places(one: Grey, other: Grey) -> list[tuple[float, float]]:
    """Where two pictures differ: middles of squares, mm from the left and the top.

    A pixel differs if it is darker than the darkest or lighter than the lightest of the nine
    round it in the other picture by more than `SHADES`.
    """
    if np.array_equal(one, other):
        return []
    rows, columns = (min(a, b) for a, b in zip(one.shape, other.shape, strict=True))
    one, other = one[:rows, :columns], other[:rows, :columns]
    down, along = (np.flatnonzero((one != other).any(axis)) for axis in (1, 0))
    if not len(down):
        return []
    top, left = (max(0, found[0] - 1) for found in (down, along))
    area = slice(top, down[-1] + 2), slice(left, along[-1] + 2)
    differs = _outside(one[area], other[area]) | _outside(other[area], one[area])
    down, along = np.nonzero(differs)
    down, along = (down + top) * PIXEL // CELL, (along + left) * PIXEL // CELL
    squares = sorted({*zip(along.tolist(), down.tolist(), strict=True)})
    return [((x + 0.5) * CELL, (y + 0.5) * CELL) for x, y in squares]


def _outside(one: Grey, other: Grey) -> npt.NDArray[np.bool_]:
    """Where a picture is beyond the greys of the nine pixels round each place of another."""
    (rows, columns), padded = other.shape, np.pad(other, 1, mode="edge")
    nine = [padded[y : y + rows, x : x + columns] for y in range(3) for x in range(3)]
    dark, light = (functools.reduce(f, nine).astype(np.int16) for f in (np.minimum, np.maximum))
    result: npt.NDArray[np.bool_] = (one < dark - SHADES) | (one > light + SHADES)
    return result
