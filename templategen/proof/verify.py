"""A printed pack measured against its model: every part, tile, seam and bar of the file.

The parts are drawn anew from the recipe inside the pack; what its pages draw is read by another
library than the one that wrote it (`pdf_reader`) and mapped into each part's own frame. Reported is
the greatest distance between the two.
"""

import dataclasses
import math
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.geometry.shapes import Box, Point, circle
from templategen.messages import Joined, Text, tr, tr_count
from templategen.parts.drawing import LINE_WIDTH, Part, Path, Role
from templategen.proof.deviation import (
    box_distance,
    deviation,
    hidden_width,
    mapped_box,
    segment_length,
)
from templategen.proof.line_finder import DrawnLines, WantedLine, match_lines
from templategen.proof.pdf_reader import DrawnPage
from templategen.proof.recipe import MOST_BYTES, NAME, LaidPage, LaidPart, Recipe, read_recipe
from templategen.proof.remake import remake
from templategen.proof.sandbox import OpenPack
from templategen.sheets.furniture import bars
from templategen.sheets.page import PageFrame
from templategen.sheets.seams import tinted_sides, tints
from templategen.sheets.silhouette import samples
from templategen.sheets.tiling import MARK_ARM, mark_items
from templategen.sheets.use_notes import USE_NOTE, note_of_key
from templategen.trade.part_kinds import PartKind

PAGE_KINDS = frozenset({PartKind.WORK_ORDER.value, USE_NOTE})  # to read only, not measured
TOLERANCE = 0.01  # mm: ten times what the rounding of a PDF can do, far below what a saw can
PAPER_TOLERANCE = 0.1  # mm: sizes of paper are written in points
MOST_PIECES = 5_000  # of one drawn line; a model's has some hundred
INK_SLACK = 0.01  # mm that a line may stand past its window, less than half its width


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing measured.

    Args:
        sheet: its number.
        what: the part, tile, bar or seam.
        deviation: greatest distance from the model, mm; None if it is not there to be measured.
        note: in words, what is wrong or what was measured; may be empty.
        is_true: within the tolerance.
    """

    sheet: int
    what: Text
    deviation: float | None
    note: Text
    is_true: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All that was measured."""

    parts: tuple[Row, ...]
    seams: tuple[Row, ...]
    bars: tuple[Row, ...]
    pages: tuple[Row, ...]
    scale: tuple[float, float] | None
    tolerance: float

    @property
    def rows(self) -> tuple[Row, ...]:
        """Every row."""
        return self.pages + self.parts + self.seams + self.bars

    @property
    def is_true(self) -> bool:
        """Whether the whole pack is."""
        return all(row.is_true for row in self.rows)

    @property
    def worst(self) -> float:
        """The greatest deviation measured, mm."""
        return max((row.deviation for row in self.rows if row.deviation is not None), default=0.0)


def verify(file: OpenPack, *, tolerance: float = TOLERANCE) -> Report:
    """Measures an open pack against the recipe inside it.

    Args:
        file: the open pack.
        tolerance: mm; a deviation above it is not true.

    Raises:
        InputError: no recipe inside, or none that can be used.
    """
    recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=file.name)
    _, parts = remake(recipe)
    by_key = {part.key: part for part in parts}
    _check_names(recipe, by_key)
    found: dict[int, DrawnPage] = {}
    page_rows: list[Row] = []
    for page in file.pages():
        if page.sheet is None or page.sheet in found:
            which = tr("is another sheet {number}", number=page.sheet)
            if page.sheet is None:
                which = tr("names no sheet")
            what = tr("page {number}", number=page.index + 1)
            page_rows.append(_untrue(page.sheet or 0, what, which))
        else:
            found[page.sheet] = page
    measure = _Measure(recipe, by_key, tolerance)
    for laid in recipe.pages:
        drawn = found.pop(laid.number, None)
        if drawn is None:
            page_rows.append(_untrue(laid.number, tr("page"), tr("is missing")))
            continue
        page_rows += measure.paper(laid, drawn)
        measure.page(laid, drawn)
    page_rows += [_untrue(number, tr("page"), tr("is not in the recipe")) for number in found]
    return Report(
        parts=tuple(measure.parts + measure.whole_rows()),
        seams=tuple(measure.seam_rows()),
        bars=tuple(measure.bars),
        pages=tuple(page_rows),
        scale=measure.scale(),
        tolerance=tolerance,
    )


def _untrue(sheet: int, what: Text, note: Text) -> Row:
    """A row for what could not be measured."""
    return Row(sheet=sheet, what=what, deviation=None, note=note, is_true=False)


def _check_names(recipe: Recipe, by_key: dict[str, Part]) -> None:
    laid = {p.key for page in recipe.pages for p in page.parts if p.kind not in PAGE_KINDS}
    for key in sorted(laid ^ by_key.keys()):
        where = f"{recipe.where}: recipe.pages"
        what = tr("unknown part {key!r}", key=key)
        if key in by_key:
            what = tr("no part {key!r}", key=key)
        raise InputError(what, where=where, mend=tr("it was changed: pack the job anew"))


class _Measure:
    """Gathers rows, page by page."""

    def __init__(self, recipe: Recipe, by_key: dict[str, Part], tolerance: float) -> None:
        self.recipe = recipe
        self.by_key = by_key
        self.tolerance = tolerance
        self.tiles: dict[str, set[str]] = {}  # the names of the tiles of each part
        for page in recipe.pages:
            for part in page.parts:
                self.tiles.setdefault(part.key, set()).add(part.tile)
        self.parts: list[Row] = []
        self.bars: list[Row] = []
        self.marks: dict[str, list[tuple[int, str, str, Point | None]]] = {}
        self.scales: list[tuple[str, float]] = []

    def paper(self, laid: LaidPage, drawn: DrawnPage) -> list[Row]:
        """What is wrong with the page itself."""
        wanted = Box(0.0, 0.0, laid.paper.width, laid.paper.height)
        off = max(box_distance(drawn.media, wanted), box_distance(drawn.shown, wanted))
        notes = []
        if off > PAPER_TOLERANCE:
            notes.append(
                tr(
                    "the page is {width:.1f} × {height:.1f} mm, not {wide:.1f} × {high:.1f} mm",
                    width=drawn.shown.width,
                    height=drawn.shown.height,
                    wide=wanted.width,
                    high=wanted.height,
                )
            )
        if drawn.turn:
            notes.append(tr("the page is turned"))
        return [_untrue(laid.number, tr("page"), note) for note in notes]

    def page(self, laid: LaidPage, drawn: DrawnPage) -> None:
        """Measures the bars, every part and tile, and the marks of a page."""
        page = DrawnLines.of(drawn)
        flat, upright = self._bar_lines(laid)
        parts = [(p, self._part_lines(laid, p)) for p in laid.parts if p.kind not in PAGE_KINDS]
        others = [*self._note_lines(laid), *self._lap_tints(laid)]
        held = [line for _, lines in parts for line in lines]
        match_lines(page, [*flat, *upright, *held, *others])
        self._bar(laid, page, "across", flat)
        self._bar(laid, page, "down", upright)
        for part, lines in parts:
            self._part(laid, part, page, lines)
        if any(p.kind == PartKind.WORK_ORDER for p in laid.parts):
            return
        cut = LINE_WIDTH[Role.CUT]
        extra = [path for n, path in enumerate(page.paths) if n not in page.used]
        for what, count in (
            (tr("cut lines of no part"), sum(abs(path.width - cut) < 0.02 for path in extra)),
            (tr("filled shapes of no part"), sum(path.filled for path in extra)),
        ):
            if count:
                note = tr("{count} more than the model has", count=count)
                self.parts.append(_untrue(laid.number, what, note))

    def _note_lines(self, laid: LaidPage) -> list[WantedLine]:
        """The lines of the use sketches beside the parts."""
        return [
            WantedLine(path=path, transform=part.transform, is_needed=False)
            for part in laid.parts
            if part.kind == USE_NOTE and (note := note_of_key(part.key, self.recipe.style))
            for path in note.drawing.paths()
        ]

    def _lap_tints(self, laid: LaidPage) -> list[WantedLine]:
        """The tinted laps of the tiles of a page."""
        correction = self._frame(laid).correction
        lines = []
        for part in laid.parts:
            if part.tile:
                window = mapped_box(part.window, correction.inverse())
                sides = tinted_sides(part.tile, self.tiles[part.key])
                lines += [
                    WantedLine(path=path, transform=correction, is_needed=False)
                    for path in tints(window, sides)
                ]
        return lines

    def _frame(self, laid: LaidPage) -> PageFrame:
        upright = PageFrame(paper=self.recipe.paper, profile=self.recipe.profile)
        return dataclasses.replace(upright, paper=laid.paper)

    def _bar_lines(self, laid: LaidPage) -> tuple[list[WantedLine], list[WantedLine]]:
        frame = self._frame(laid)
        across, down = bars(frame, self.recipe.units)
        return (
            [WantedLine(path=path, transform=frame.correction) for path in across],
            [WantedLine(path=path, transform=frame.correction) for path in down],
        )

    def _bar(self, laid: LaidPage, page: DrawnLines, way: str, lines: list[WantedLine]) -> None:
        """A bar, whose base line comes first."""
        worst = 0.0
        length: float | None = None
        wanted = segment_length(lines[0].path.segments[0])
        for line in lines:
            if line.index is None:
                continue
            pieces = page.paths[line.index].moved(line.transform.inverse())[:MOST_PIECES]
            worst = max(worst, deviation(line.path, pieces))
            if line is lines[0]:
                length = max(math.dist(piece[0], piece[-1]) for piece in pieces)
                # The paper of a turned page went through the printer upright.
                turned = laid.paper.width > laid.paper.height
                along = {"across": "down", "down": "across"}[way] if turned else way
                self.scales.append((along, length / wanted))
        missing = any(line.index is None for line in lines)
        if length is None:
            note = tr("is missing")
        elif missing:
            note = tr(
                "{length:.3f} mm of {wanted:.3f} mm, ticks missing", length=length, wanted=wanted
            )
        else:
            note = tr("{length:.3f} mm of {wanted:.3f} mm", length=length, wanted=wanted)
        self.bars.append(
            Row(
                sheet=laid.number,
                what=tr("bar across") if way == "across" else tr("bar down"),
                deviation=None if length is None else worst,
                note=note,
                is_true=length is not None and not missing and worst <= self.tolerance,
            )
        )

    def _part_lines(self, laid: LaidPage, part: LaidPart) -> list[WantedLine]:
        """The lines of a part, or of what its tile shows, with the registration marks."""
        window = mapped_box(part.window, part.transform.inverse())
        paths = self.by_key[part.key].drawing.paths()
        # The lines next to a window's edge may be drawn or not: they do not show.
        wanted = [
            WantedLine(
                path=path,
                transform=part.transform,
                is_needed=not part.tile or path.bounds().meets(window),
            )
            for path in paths
            if not part.tile or path.bounds().meets(window, gap=2.0)
        ]
        return wanted + [
            WantedLine(path=item, transform=part.transform)
            for mark in laid.marks
            if (mark.key, mark.tile) == (part.key, part.tile)
            for item in mark_items(mark.point)
            if isinstance(item, Path)
        ]

    def _part(
        self, laid: LaidPage, part: LaidPart, page: DrawnLines, lines: list[WantedLine]
    ) -> None:
        model = self.by_key[part.key]
        back = part.transform.inverse()
        marks = [m for m in laid.marks if (m.key, m.tile) == (part.key, part.tile)]
        worst, missing, hidden = 0.0, 0, 0.0
        for line in lines:
            if line.index is None:
                missing += line.is_needed
                continue
            drawn = page.paths[line.index]
            if len(drawn.pieces) > MOST_PIECES:
                missing += 1
                continue
            worst = max(worst, deviation(line.path, drawn.moved(back)))
            if drawn.clip is not None:
                box = mapped_box(line.path.bounds(), part.transform)
                hidden = max(hidden, hidden_width(box, drawn.clip, part.window))
            if line.path.line_width > 0 and drawn.width <= 0:
                missing += 1
        for mark in marks:
            self._mark(laid, part, mark.label, mark.point, page)
        notes: list[Text] = []
        if missing:
            notes.append(tr_count("{count} line missing", "{count} lines missing", missing))
        if hidden > self.tolerance:
            notes.append(tr("{length:.2f} mm cut off by its window", length=hidden))
        if part.tile and len(marks) < 2:
            notes.append(tr("fewer than two registration marks"))
        self.parts.append(
            Row(
                sheet=laid.number,
                what=f"{model.title} {part.tile}".strip(),
                deviation=worst,
                note=Joined(tuple(notes)) if notes else "",
                is_true=not notes and worst <= self.tolerance,
            )
        )

    def whole_rows(self) -> list[Row]:
        """The parts that some line of is on no sheet of the recipe."""
        windows: dict[str, list[tuple[int, str, Box]]] = {}
        for page in self.recipe.pages:
            for part in page.parts:
                if part.kind in PAGE_KINDS:
                    continue
                window = mapped_box(part.window, part.transform.inverse()).grown(INK_SLACK)
                windows.setdefault(part.key, []).append((page.number, part.tile, window))
        rows = []
        for key, model in self.by_key.items():
            shown = [window for _, _, window in windows[key]]
            lost = any(
                not any(w.left <= x <= w.right and w.bottom <= y <= w.top for w in shown)
                for x, y in samples(model.drawing, step=2.0)
            )
            if lost:
                note = tr("is not printed whole")
                rows.append(_untrue(windows[key][0][0], model.title, note))
        return rows

    def _mark(
        self, laid: LaidPage, part: LaidPart, label: str, point: Point, page: DrawnLines
    ) -> None:
        """Where a mark's ring really is, part mm."""
        wanted = mapped_box(circle(point, MARK_ARM / 2).bounds(), part.transform)
        box = min(page.rings, key=lambda b: box_distance(b, wanted), default=None)
        centre = None
        if box is not None:
            centre = part.transform.inverse().apply(
                Point((box.left + box.right) / 2, (box.bottom + box.top) / 2)
            )
        self.marks.setdefault(label, []).append((laid.number, part.key, part.tile, centre))

    def seam_rows(self) -> list[Row]:
        """How far the two prints of each mark lie apart when the tiles are laid together."""
        seams: dict[tuple[str, str], list[tuple[int, float | None]]] = {}
        for found in self.marks.values():
            first = found[0]
            names = "-".join(tile for _, _, tile, _ in found)
            closure = None
            if len(found) == 2 and found[0][3] is not None and found[1][3] is not None:
                closure = math.dist(found[0][3], found[1][3])
            seams.setdefault((first[1], names), []).append((first[0], closure))
        rows = []
        for (key, names), closures in seams.items():
            known = [c for _, c in closures if c is not None]
            is_whole = len(known) == len(closures) and len(known) >= 2
            rows.append(
                Row(
                    sheet=closures[0][0],
                    what=f"{self.by_key[key].title} {names}",
                    deviation=max(known, default=None),
                    note="" if is_whole else tr("a registration mark has no partner"),
                    is_true=is_whole and max(known) <= self.tolerance,
                )
            )
        return rows

    def scale(self) -> tuple[float, float] | None:
        """The scale of the pages across and down, where all bars agree and are not true."""
        ways = {way: [s for w, s in self.scales if w == way] for way in ("across", "down")}
        if not all(ways.values()):
            return None
        middles = [sorted(values)[len(values) // 2] for values in ways.values()]
        agree = all(
            abs(value - middle) < 2e-4
            for values, middle in zip(ways.values(), middles, strict=True)
            for value in values
        )
        if not agree or all(abs(m - 1) < 2e-4 for m in middles):
            return None
        return middles[0], middles[1]
