"""Gauge stick: entry marks along one edge, depth marks along the other."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Text, line, rectangle
from templategen.parts.labels import LEADING, block, job_line, length
from templategen.parts.lettering import text_width
from templategen.units import Units

WIDTH = 92.0  # mm: room for two columns of labels in one unit; longer ones make it wider
LABEL = 12.0  # mm from an edge to its labels
STEP = 5.2  # mm between labels at least


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One stick, upright.

    Its top is laid at the rim to read the entry marks on the left edge, each with its relief
    mark; or against the jaw face, where the shoulder of the holding tenon seats, to read the
    deepest point of each cut on the right edge.
    """
    if not plan.cuts:
        return ()
    rim = plan.pieces[0].rim_diameter / 2
    left: list[tuple[float, str]] = []
    right: list[tuple[float, str]] = []
    for cut in plan.cuts:
        entry = rim - cut.entry_radius
        left.append((entry, f"{cut.number}: {length(entry, units)}"))
        if cut.relief:
            relief = entry + cut.relief.shift
            left.append((relief, f"{cut.number} relief {length(relief, units)}"))
        from_jaws = plan.pieces[0].depth - cut.deepest
        right.append((from_jaws, f"{cut.number}: {length(from_jaws, units)}"))
    labels = (max(text_width(label, size=BODY) for _, label in marks) for marks in (left, right))
    width = max(WIDTH, sum(labels) + 2 * LABEL + 4.0)
    left_items, left_end = _marks(left, at=0.0, inward=1.0)
    right_items, right_end = _marks(right, at=width, inward=-1.0)
    heading = [
        "Gauge stick, cut on the line",
        job_line(plan, room=width - 6),
        "left: entries from the rim",
        "right: deepest from the jaw face",
    ]
    below = max(left_end, right_end) + LEADING * 1.8
    tall = below + len(heading) * LEADING
    items: list[Item] = [rectangle(Box(0.0, -tall, width, 0.0)), *left_items, *right_items]
    texts = block(heading, at=Point(3.0, -below))
    return (
        Part(
            kind="gauge stick",
            key="gauge-stick",
            title="Gauge stick",
            drawing=Drawing(items=tuple(items + texts)),
        ),
    )


def _marks(marks: list[tuple[float, str]], *, at: float, inward: float) -> tuple[list[Item], float]:
    """Ticks with their labels, kept apart, and how far down the lowest reaches, mm."""
    items: list[Item] = []
    last = 4.0 - STEP
    for mark, label in sorted(marks):
        y = max(mark, last + STEP)
        last = y
        x0, x1, x2 = at, at + inward * 6, at + inward * (LABEL - 1)
        items.append(line(x0, -mark, x1, -mark))
        items.append(line(x1, -mark, x2, -y))
        anchor = Anchor.START if inward > 0 else Anchor.END
        items.append(Text(text=label, at=Point(x2 + inward, -y - 1.1), anchor=anchor))
    return items, last
