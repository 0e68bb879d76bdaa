"""Gauge stick: entry marks along one edge, depth marks along the other."""

from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.drawing import BODY, Anchor, Drawing, Item, Part, Text, line, rectangle
from templategen.parts.labels import LEADING, block, job_label
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order

WIDTH = 92.0  # mm: room for two columns of labels in one unit; longer ones make it wider
LABEL = 12.0  # mm from an edge to its labels
STEP = 5.2  # mm between labels at least


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One stick, upright; where the cuts go outer first, one for each cut.

    Its top is laid at the rim to read the entry marks on the left edge, each with its relief
    mark; or against the jaw face, where the shoulder of the holding tenon seats, to read the
    deepest point of each cut on the right edge. A core that is held again on its own tenon has
    its own rim and its own shoulder to measure from.
    """
    if not plan.cuts:
        return ()
    if plan.job.nest.order is Order.OUTER_FIRST:
        return tuple(
            _stick(
                plan,
                (cut,),
                bowl,
                style,
                key=f"gauge-stick-cut-{cut.number}",
                name=style.say("Gauge stick, cut {number}", number=cut.number),
            )
            for bowl, cut in zip(plan.bowls, plan.cuts, strict=False)
        )
    name = style.say("Gauge stick")
    return (_stick(plan, plan.cuts, plan.bowls[0], style, key="gauge-stick", name=name),)


def _stick(
    plan: Plan, cuts: Sequence[Cut], held: Bowl, style: PrintStyle, *, key: str, name: str
) -> Part:
    """The stick for cuts that are made while one bowl is held."""
    rim = held.rim_diameter / 2
    left: list[tuple[float, str]] = []
    right: list[tuple[float, str]] = []
    for cut in cuts:
        entry = rim - cut.entry_radius
        left.append((entry, f"{cut.number}: {style.length(entry)}"))
        if cut.relief:
            relief = entry + cut.relief.shift
            shown = style.length(relief)
            left.append(
                (relief, style.say("{number} relief {relief}", number=cut.number, relief=shown))
            )
        from_jaws = held.depth - cut.deepest
        right.append((from_jaws, f"{cut.number}: {style.length(from_jaws)}"))
    labels = (max(text_width(label, size=BODY) for _, label in marks) for marks in (left, right))
    width = max(WIDTH, sum(labels) + 2 * LABEL + 4.0)
    left_items, left_end = _marks(left, at=0.0, inward=1.0)
    right_items, right_end = _marks(right, at=width, inward=-1.0)
    phrases = [
        style.say("{part}, cut on the line", part=name),
        job_label(plan, style).fitted(width - 6),
        style.say("measure from the top edge of the stick"),
        style.say("left, top at the rim: entries")
        if held.number == 1
        else style.say("left, top at the rim of bowl {number}: entries", number=held.number),
        style.say("right, top at the jaw face: deepest points")
        if held.number == 1 or held.jaws is None
        else style.say(
            "right, top at the jaw face (jaws {jaws}): deepest points", jaws=held.jaws.id
        ),
    ]
    heading = [
        row
        for n, text in enumerate(phrases)
        for row in wrap(text, width=width - 6, size=BODY, bold=n == 0)
    ]
    below = max(left_end, right_end) + LEADING * 1.8
    tall = below + len(heading) * LEADING
    items: list[Item] = [rectangle(Box(0.0, -tall, width, 0.0)), *left_items, *right_items]
    texts = block(heading, at=Point(3.0, -below))
    return Part(
        kind="gauge stick",
        key=key,
        title=name,
        drawing=Drawing(items=tuple(items + texts)),
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
