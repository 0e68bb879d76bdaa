"""Notes beside the parts of a sheet: a sketch of how a kind of part is used, with its line."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point, Transform
from templategen.parts.drawing import BODY, Drawing, Item, Part, Text
from templategen.parts.labels import LEADING
from templategen.parts.style import PrintStyle
from templategen.parts.use_sketch import use_rows, use_sketch
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


@dataclass(frozen=True, slots=True)
class UseNote:
    """One form of a note: what is drawn, and the room that it takes, in its own frame."""

    part: Part
    box: Box


@functools.lru_cache(maxsize=64)
def use_notes(kind: PartKind, style: PrintStyle) -> Sequence[UseNote]:
    """The forms of the note of a kind, the largest first.

    Args:
        kind: of a part.
        style: language of the line.
    """
    return [use_note(kind, form, style) for form in range(len(FORMS))]


def use_note(kind: PartKind, form: int, style: PrintStyle) -> UseNote:
    """The note of a kind in one of its forms."""
    scale, is_below, room = FORMS[form]
    items: list[Item] = []
    box = Box(0.0, 0.0, 0.0, 0.0)
    if scale:
        sketch = use_sketch(kind).moved(Transform.scale(scale, scale))
        items += sketch.items
        box = Box(0.0, 0.0, 35.0 * scale, 25.0 * scale)
    name = style.text(kind.label)
    rows = [name[:1].upper() + name[1:], *use_rows(kind, style, room=room)]
    x, y = 0.0, -GAP * bool(scale) - 0.76 * BODY
    if not is_below:
        x = box.right + GAP
        y = box.height / 2 + (len(rows) * LEADING) / 2 - 0.76 * BODY
    words = [
        Text(text=row, at=Point(x, y - n * LEADING), bold=n == 0) for n, row in enumerate(rows)
    ]
    boxes = [box, *[text.bounds() for text in words]] if scale else [w.bounds() for w in words]
    whole = Box(
        min(b.left for b in boxes),
        min(b.bottom for b in boxes),
        max(b.right for b in boxes),
        max(b.top for b in boxes),
    )
    drawing = Drawing(items=(*items, *words))
    part = Part(kind=USE_NOTE, key=_key(kind, form), title="", drawing=drawing)
    return UseNote(part, whole)


def note_of_key(key: str, style: PrintStyle) -> Part | None:
    """The note with a key, or None if there is none."""
    for kind in SKETCHED:
        for form in range(len(FORMS)):
            if key == _key(kind, form):
                return use_note(kind, form, style).part
    return None


def _key(kind: PartKind, form: int) -> str:
    return f"use-{kind.value.replace(' ', '-')}-{form}"
