"""Cut plate: the half section of one cut, laid on the blank and squared up to it."""

import math

from templategen.geometry.shapes import Arc, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Path, Role, Text, arc_path, line
from templategen.parts.labels import LEADING, block, length
from templategen.parts.lettering import shortened
from templategen.units import Units

START = Point(24.0, -6.0)  # where the wording begins, mm


def _fitted(lines: list[str], edge: Arc) -> list[str]:
    """The lines, each cut short where it would run over the relief or the inner edge."""
    fitted = []
    for n, text in enumerate(lines):
        below = START.y - n * LEADING - 0.24 * BODY - edge.centre.y
        rest = edge.radius**2 - below**2
        room = edge.centre.x + math.sqrt(max(0.0, rest)) - START.x - 2.0
        fitted.append(shortened(text, width=room, size=BODY, bold=n == 0))
    return fitted


def edge_arc(cut: Cut, radius: float, *, shift: float = 0.0) -> Arc:
    """The cut's edge of a radius from the face to the axis, x from the axis and y = -z."""
    p, q = cut.pivot_offset - shift, cut.pivot_standoff
    start = -math.asin(q / radius)
    end = -math.acos(-p / radius)
    return Arc(Point(p, q), radius, start, end - start)


def relief_items(cut: Cut) -> list[Item]:
    """The relief step: the inner edge shifted towards the axis, down to the relief's depth."""
    if cut.relief is None:
        return []
    inner = cut.cutter.radius - cut.cutter.kerf
    whole = edge_arc(cut, inner, shift=cut.relief.shift)
    turn = math.asin(min(1.0, (cut.relief.depth + cut.pivot_standoff) / inner))
    arc = Arc(whole.centre, inner, whole.from_angle, -turn - whole.from_angle)
    foot = Line(arc.end, Point(arc.end.x + cut.relief.shift, arc.end.y))
    return [Path(segments=(arc, foot), role=Role.MARK, dashed=True)]


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """One plate for each cut, in the cutter's own plane."""
    return tuple(_plate(plan, cut, units) for cut in plan.cuts)


def _plate(plan: Plan, cut: Cut, units: Units) -> Part:
    radius, inner = cut.cutter.radius, cut.cutter.radius - cut.cutter.kerf
    edge = edge_arc(cut, radius)
    face, tip = edge.start, edge.end
    corner = Point(0.0, 0.0)
    outline = Path(
        segments=(Line(corner, face), edge, Line(Point(tip.x, tip.y), corner)), closed=True
    )
    items: list[Item] = [outline]
    items.append(arc_path(edge_arc(cut, inner), role=Role.MARK, dashed=True))
    items += relief_items(cut)
    step = 25.4 / 2 if units is Units.IN else 10.0
    for n in range(1, int((cut.depth_at_axis - 2) / step) + 1):
        major = n % (2 if units is Units.IN else 5) == 0
        items.append(line(0, -n * step, 5.0 if major else 3.0, -n * step))
        if major:
            label = length(n * step, units)
            items.append(Text(text=label, at=Point(6.0, -n * step - 1.1)))
    p, q = cut.pivot_offset, cut.pivot_standoff
    side = "towards the entry" if p >= 0 else "past the axis"
    lines = [
        f"Cut {cut.number}: cutter {cut.cutter.id}, cut on the line",
        f"entry {length(cut.entry_radius, units)} from the axis",
        f"deepest {length(cut.deepest, units)}",
        f"cutter {length(cut.cutter_height, units)} above centre",
        f"pivot {length(abs(p), units)} {side},",
        f"{length(q, units)} in front of the face",
    ]
    small = cut.entry_radius < 105
    if small:
        lines = [
            f"Cut {cut.number}: {cut.cutter.id}",
            "cut on the line",
            f"pivot {length(p, units)} /",
            f"{length(q, units)} out",
        ]
    clear = edge_arc(cut, inner, shift=cut.relief.shift if cut.relief else 0.0)
    lines += [plan.job.title, plan.job.date]
    items += block([t for t in _fitted(lines, clear) if t], at=START)
    return Part(
        kind="cut plate",
        key=f"cut-plate-{cut.number}",
        title=f"Cut plate {cut.number}, cutter {cut.cutter.id}",
        drawing=Drawing(items=tuple(items)),
    )
