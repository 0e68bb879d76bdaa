"""Gauge stick: entry marks inward from the rim along one edge, their spacing along the other."""

import itertools
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.columns import balanced_rows
from templategen.parts.drawing import BODY, Anchor, Item, Part, Text, line, part_of, rectangle
from templategen.parts.labels import LEADING, block, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind

WIDTH = 52.0  # mm: least width of a stick
LABEL = 12.0  # mm from an edge to its labels
STEP = 5.2  # mm between labels at least


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One stick, upright; where the cuts go outer first, one for each cut.

    Its top is laid at the rim that is on the lathe to read the entry marks on the left edge, each
    with its relief mark. On the right edge the spacing of each mark from the one before is read
    from the top too.
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
    left, right = _entries(cuts, style), _steps(cuts, style)
    longest = max(text_width(label, size=BODY) for _, label in (*left, *right))
    width = max(WIDTH, longest + LABEL + 8.0)  # past its label lies the other edge's tick
    left_items, left_end = _marks(left, at=0.0, inward=1.0)
    right_items, right_end = _marks(right, at=width, inward=-1.0)
    while _meet(left_items, right_items):
        width += 2.0
        right_items, right_end = _marks(right, at=width, inward=-1.0)
    heading = balanced_rows(_heading(plan, held, name, style, width=width - 6), width=width - 6)
    below = max(left_end, right_end, STEP) + LEADING * 1.8
    tall = below + len(heading) * LEADING
    frame, texts = rectangle(Box(0.0, -tall, width, 0.0)), block(heading, at=Point(3.0, -below))
    items = [frame, *left_items, *right_items, *texts]
    return part_of(PartKind.GAUGE_STICK, key, name, items)


def _entries(cuts: Sequence[Cut], style: PrintStyle) -> list[tuple[float, str]]:
    """Marks of the left edge: each entry and its relief, mm from the rim, with their labels."""
    marks: list[tuple[float, str]] = []
    for cut in cuts:
        entry = cut.entry_from_rim
        marks.append((entry, f"{cut.number}: {style.length(entry)}"))
        if cut.relief:
            at = entry + cut.relief.shift
            shown = style.length(at)
            label = style.say("{number} relief {relief}", number=cut.number, relief=shown)
            marks.append((at, label))
    return marks


def _steps(cuts: Sequence[Cut], style: PrintStyle) -> list[tuple[float, str]]:
    """Marks of the right edge: from each entry to the next, mm, with their labels."""
    marks: list[tuple[float, str]] = []
    for one, two in itertools.pairwise(cuts):
        step = two.entry_from_rim - one.entry_from_rim
        shown = style.length(step)
        label = style.say("{one} to {next}: {step}", one=one.number, next=two.number, step=shown)
        marks.append((step, label))
    return marks


def _heading(plan: Plan, held: Bowl, name: str, style: PrintStyle, *, width: float) -> list[str]:
    """Name and use of a stick, each a row or more of `width` mm."""
    top = style.say("top at the rim of the blank; left edge: entries, reliefs")
    if held.number > 1:
        top = style.say(
            "top at the rim of bowl {number}; left edge: entry, relief", number=held.number
        )
    phrases = [name, top]
    if plan.job.nest.order is not Order.OUTER_FIRST and len(plan.cuts) > 1:
        phrases.append(style.say("right edge: top at one entry mark, read the next"))
    return [*phrases, style.say("cut on the line"), job_label(plan, style).fitted(width)]


def _meet(left: Sequence[Item], right: Sequence[Item]) -> bool:
    """Whether a label of one edge meets a label or a line of the other, or is nearer than 1 mm."""
    return any(
        one.bounds().grown(1.0).meets(two.bounds())
        for some, others in ((left, right), (right, left))
        for one in some
        if isinstance(one, Text)
        for two in others
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
