"""Gauge blocks: the step from one cut to the next, and a block the depth of the jaws."""

from templategen.geometry.shapes import Box, Point
from templategen.nest.plan import Plan
from templategen.parts.drawing import BODY, Drawing, Part, rectangle
from templategen.parts.labels import LEADING, block, job_line, length
from templategen.parts.lettering import text_width
from templategen.units import Units


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """Blocks whose height is the spacing: rim and depth for each step, and the jaw depths."""
    rows: list[tuple[str, str, float]] = []
    for outer, inner in zip(plan.cuts, plan.cuts[1:], strict=False):
        step = f"{outer.number} to {inner.number}"
        key = f"{outer.number}-{inner.number}"
        rows.append(
            (f"rim-{key}", f"Rim step, cut {step}", outer.entry_radius - inner.entry_radius)
        )
        rows.append((f"depth-{key}", f"Depth step, cut {step}", outer.deepest - inner.deepest))
    jaws = {p.jaws.id: p.jaws for p in plan.pieces if p.jaws}
    for n, owned in enumerate(jaws.values(), start=1):
        rows.append((f"jaws-{n}", f"Jaw depth, jaws {owned.id}", owned.depth))
    return tuple(_block(plan, key, title, size, units) for key, title, size in rows if size > 0)


def _block(plan: Plan, key: str, title: str, size: float, units: Units) -> Part:
    lines = [f"{title}: {length(size, units)}", f"cut on the line · {job_line(plan, room=90.0)}"]
    if size < 3 + 2 * LEADING:
        lines = [f"{title}: {length(size, units)} · cut on the line · {job_line(plan, room=60.0)}"]
    wide = max(text_width(t, size=BODY, bold=n == 0) for n, t in enumerate(lines)) + 8
    middle = size / 2 + (len(lines) - 1) * LEADING / 2 - 1.1
    items = (
        rectangle(Box(0.0, 0.0, wide, size)),
        *block(lines, at=Point(4.0, middle)),
    )
    return Part(
        kind="gauge block",
        key=f"gauge-block-{key}",
        title=title,
        drawing=Drawing(items=items),
    )
