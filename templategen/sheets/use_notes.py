"""Notes beside the parts of a sheet: a sketch of how a kind of part is used, with its line."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point, Transform, union
from templategen.parts.drawing import BODY, Drawing, Item, Part, Text
from templategen.parts.labels import LEADING
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.parts.use_sketch import use_rows, use_sketch
from templategen.parts.work_order import sheet_numbers
from templategen.trade.part_kinds import PartKind

USE_NOTE = "use sketch"  # the kind of these notes in a pack
SKETCHED = frozenset(PartKind) - {
    PartKind.WORK_ORDER,
    PartKind.HAND_OUT,
    PartKind.SCALE_SHEET,
}
# Scale of the sketch (0: none), whether its line stands below it, and room for the line, mm.
FORMS = (
    (1.0, False, 48.0),
    (1.0, True, 40.0),
    (0.75, False, 44.0),
    (0.75, True, 34.0),
    (0.6, True, 24.0),
    (0.0, True, 70.0),
    (0.0, True, 34.0),
)
GAP = 2.5  # mm between a sketch and its line
STRIP_SCALE = 0.55  # of the sketches on the work order


@dataclass(frozen=True, slots=True)
class UseNote:
    """One form of a note, drawn only where it is used.

    Args:
        kind: of the part whose use it shows.
        form: which of `FORMS`.
        sheets: of the parts, where the note lies on another one; else none.
        style: language of the line.
        words: name and line, in the frame of the note.
        box: the room that it takes, in the same frame.
    """

    kind: PartKind
    form: int
    sheets: tuple[int, ...]
    style: PrintStyle
    words: tuple[Text, ...]
    box: Box

    @property
    def part(self) -> Part:
        """The note as a part."""
        scale = FORMS[self.form][0]
        items: tuple[Item, ...] = self.words
        if scale:
            items = (*use_sketch(self.kind).moved(Transform.scale(scale, scale)).items, *items)
        key = _key(self.kind, self.form, self.sheets)
        return Part(kind=USE_NOTE, key=key, title="", drawing=Drawing(items=items))


def has_sketch(note: Part) -> bool:
    """Whether a note shows more than its words."""
    return any(not isinstance(item, Text) for item in note.drawing.items)


def noted_kind(note: Part) -> PartKind:
    """The kind of part that a note speaks of."""
    return next(kind for kind in SKETCHED if note.key.startswith(f"{_stem(kind)}-"))


def sketch_strip(
    kinds: Sequence[PartKind], wide: float, most: float, style: PrintStyle
) -> tuple[Drawing, int]:
    """Small sketches with the names of their kinds in rows, hanging down from the origin.

    Args:
        kinds: in the order in which they stand.
        wide: width of the rows, mm.
        most: height of all rows, mm.
        style: language of the names.

    Returns: the drawing, and how many of the kinds it has room for.
    """
    high = 25.0 * STRIP_SCALE + LEADING + GAP
    items: list[Item] = []
    x, y = 0.0, LEADING - high
    for n, kind in enumerate(kinds):
        name = style.text(kind.label)
        cell = max(35.0 * STRIP_SCALE, text_width(name, size=BODY) + 1.0) + GAP
        if x > 0.0 and x + cell > wide + GAP:
            x, y = 0.0, y - high
        if y - LEADING < -most:
            return Drawing(items=tuple(items)), n
        scaled = use_sketch(kind).moved(Transform.scale(STRIP_SCALE, STRIP_SCALE))
        items += scaled.moved(Transform.move(x, y)).items
        items.append(Text(text=name[:1].upper() + name[1:], at=Point(x, y - 0.76 * BODY - 0.5)))
        x += cell
    return Drawing(items=tuple(items)), len(kinds)


@functools.lru_cache(maxsize=256)
def use_note(kind: PartKind, form: int, style: PrintStyle, sheets: tuple[int, ...] = ()) -> UseNote:
    """The note of a kind in one of its forms.

    Args:
        kind: of a part.
        form: which of `FORMS`; the first are the largest.
        style: language of the line.
        sheets: of the parts, where the note lies on another one; else none.
    """
    scale, is_below, room = FORMS[form]
    sketch = Box(0.0, 0.0, 35.0 * scale, 25.0 * scale)
    name = style.text(kind.label)
    heads = [name[:1].upper() + name[1:]]
    if sheets:
        heads.append(sheet_numbers(sheets, style))
        named = " · ".join(heads)
        heads = [named] if text_width(named, size=BODY, bold=True) <= room else heads
    rows = [*heads, *use_rows(kind, style, room=room)]
    x, y = 0.0, -GAP * bool(scale) - 0.76 * BODY
    if not is_below:
        x = sketch.right + GAP
        y = sketch.height / 2 + (len(rows) * LEADING) / 2 - 0.76 * BODY
    words = tuple(
        Text(text=row, at=Point(x, y - n * LEADING), bold=n < len(heads))
        for n, row in enumerate(rows)
    )
    boxes = [text.bounds() for text in words]
    whole = union([sketch, *boxes] if scale else boxes)
    return UseNote(kind=kind, form=form, sheets=sheets, style=style, words=words, box=whole)


def _key(kind: PartKind, form: int, sheets: tuple[int, ...]) -> str:
    return "-".join([_stem(kind), *map(str, (form, *sheets))])


def _stem(kind: PartKind) -> str:
    return f"use-{kind.value.replace(' ', '-')}"
