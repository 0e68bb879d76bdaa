"""Gauge stick: entry marks along one edge, depth marks along the other."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import Anchor, Drawing, Item, Part, Text, line, rectangle
from templategen.parts.labels import block, job_line, length
from templategen.units import Units

WIDTH = 92.0  # mm: room for two columns of labels
END = 8.0  # mm of stick past the last mark
STEP = 5.2  # mm between labels at least


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One stick, upright: its top edge is laid at the rim, or at the face for the depths.

    The left edge holds the entry marks from the rim inward, each with its relief mark; the
    right edge the deepest point of each cut below the face.
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
        right.append((cut.deepest, f"{cut.number}: {length(cut.deepest, units)}"))
    tall = max(m for m, _ in left + right) + END
    tall = max(tall, 40.0 + STEP * len(left))
    items: list[Item] = [rectangle(Box(0.0, -tall, WIDTH, 0.0))]
    items += _marks(left, at=0.0, inward=1.0)
    items += _marks(right, at=WIDTH, inward=-1.0)
    heading = [
        "Gauge stick, cut on the line",
        job_line(plan)[:44],
        "left: entries from the rim",
        "right: deepest from the face",
    ]
    texts = block(heading, at=Point(3.0, -5.0))
    return (
        Part(
            kind="gauge stick",
            key="gauge-stick",
            title="Gauge stick",
            drawing=Drawing(items=tuple(items + texts)),
        ),
    )


def _marks(marks: list[tuple[float, str]], *, at: float, inward: float) -> list[Item]:
    items: list[Item] = []
    last = 20.5
    for mark, label in sorted(marks):
        y = max(mark, last + STEP)
        last = y
        x0, x1, x2 = at, at + inward * 6, at + inward * 11
        items.append(line(x0, -mark, x1, -mark))
        items.append(line(x1, -mark, x2, -y))
        anchor = Anchor.START if inward > 0 else Anchor.END
        items.append(Text(text=label, at=Point(x2 + inward, -y - 1.1), anchor=anchor))
    return items
