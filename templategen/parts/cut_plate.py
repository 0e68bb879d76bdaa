"""Cut plate: the half section of one cut, laid on the blank and squared up to it."""

import itertools
import math

from templategen.geometry.shapes import Arc, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Path, Role, Text, arc_path, line
from templategen.parts.labels import LEADING, block, fill_rows, flag_rows, flag_size
from templategen.parts.lettering import shortened
from templategen.parts.style import PrintStyle
from templategen.units import Units

TOP = -6.0  # y of the first row of wording, mm
TAB = 80.0  # mm: widest label tab


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
    inner = cut.cutter.inner_radius
    whole = edge_arc(cut, inner, shift=cut.relief.shift)
    turn = math.asin(min(1.0, (cut.relief.depth + cut.pivot_standoff) / inner))
    arc = Arc(whole.centre, inner, whole.from_angle, -turn - whole.from_angle)
    foot = Line(arc.end, Point(arc.end.x + cut.relief.shift, arc.end.y))
    return [Path(segments=(arc, foot), role=Role.MARK, dashed=True)]


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cut, in the cutter's own plane."""
    return tuple(_plate(plan, cut, style) for cut in plan.cuts)


def _plate(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    radius, inner = cut.cutter.radius, cut.cutter.inner_radius
    edge = edge_arc(cut, radius)
    scale = _depth_scale(cut, style)
    texts, tab = _lettering(plan, cut, [i for i in scale if isinstance(i, Text)], style)
    corners = [edge.end, *tab, Point(0.0, 0.0), edge.start]
    outline = Path(
        segments=(edge, *(Line(a, b) for a, b in itertools.pairwise(corners))), closed=True
    )
    items: list[Item] = [
        outline,
        arc_path(edge_arc(cut, inner), role=Role.MARK, dashed=True),
        *relief_items(cut),
        *scale,
        *texts,
    ]
    if tab:
        items.append(line(0.0, tab[0].y, 0.0, tab[-1].y))  # the axis runs on through the tab
    return Part(
        kind="cut plate",
        key=f"cut-plate-{cut.number}",
        title=style.say(
            "Cut plate {number}, cutter {cutter}", number=cut.number, cutter=cut.cutter.id
        ),
        drawing=Drawing(items=tuple(items)),
    )


def _is_shallow(cut: Cut) -> bool:
    """Whether the plate has no room for figures at its depth scale."""
    return cut.depth_at_axis < 60


def _depth_scale(cut: Cut, style: PrintStyle) -> list[Item]:
    """Ticks along the axis edge, 10 mm or 1/2 in apart, with figures where there is room."""
    step, every = (25.4 / 2, 2) if style.units is Units.IN else (10.0, 5)
    inner = cut.cutter.inner_radius
    items: list[Item] = []
    for n in range(1, int((cut.depth_at_axis - 2) / step) + 1):
        major = n % every == 0
        items.append(line(0, -n * step, 5.0 if major else 3.0, -n * step))
        label = Text(text=style.length(n * step), at=Point(6.0, -n * step - 1.1))
        meets = any(_touches(label, cut, radius) for radius in (inner, cut.cutter.radius))
        if major and not _is_shallow(cut) and not meets:
            items.append(label)
    return items


def _touches(label: Text, cut: Cut, radius: float) -> bool:
    """Whether an edge of a radius runs through a figure, or within 0.6 mm of it."""
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    box = label.bounds().grown(0.6)
    corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top))
    reach = [math.dist(pivot, c) for c in (*corners, (box.left, box.top))]
    return min(reach) < radius < max(reach)


def _lettering(
    plan: Plan, cut: Cut, figures: list[Text], style: PrintStyle
) -> tuple[list[Item], list[Point]]:
    """The wording inside the relief, or on a tab past the axis where the plate is too small.

    Nothing but the job's title is ever cut short, and that only where a tab would be needed.
    """
    clear = edge_arc(
        cut,
        cut.cutter.inner_radius,
        shift=cut.relief.shift if cut.relief else 0.0,
    )
    boxes = [f.bounds() for f in figures]
    wide = cut.entry_radius >= 105

    def start(row: int) -> float:
        low, high = TOP - row * LEADING - 0.24 * BODY - 0.4, TOP - row * LEADING + 0.8 * BODY
        beside = [b.right + 2.0 for b in boxes if b.bottom < high and b.top > low]
        return max(24.0 if wide else 7.0, *beside, 0.0)

    def room(row: int) -> float:
        below = TOP - row * LEADING - 0.24 * BODY - clear.centre.y
        reach = math.sqrt(max(0.0, clear.radius**2 - below**2))
        if start(row) < clear.centre.x - reach + 2.0:  # where the edge rises to the axis again
            return 0.0
        return clear.centre.x + reach - start(row) - 2.0

    most = int((cut.depth_at_axis + TOP) / LEADING)
    tries = [(width, ticks) for width in (130.0, 60.0, 40.0, 30.0, 20.0) for ticks in (True, False)]
    for title_room, ticks in tries:
        phrases = _phrases(plan, cut, style, short=not wide, title_room=title_room, ticks=ticks)
        rows = fill_rows(phrases, room, most=most, joined=not wide)
        if rows is not None:
            return [
                Text(text=t, at=Point(start(n), TOP - n * LEADING), bold=n == 0)
                for n, t in enumerate(rows)
                if t
            ], []
    rows = _tab_rows(plan, cut, style)
    across, tall = flag_size(rows)
    high = -max(1.0, (cut.depth_at_axis - tall) / 2)
    low = high - tall
    first = high - 1.0 - 0.8 * BODY
    if low > -cut.depth_at_axis + 1.0:
        tab = [Point(0.0, low), Point(-across, low), Point(-across, high), Point(0.0, high)]
    else:
        neck = -cut.depth_at_axis + 1.0
        tab = [
            Point(0.0, neck),
            Point(-2.0, neck),
            Point(-2.0, low),
            Point(-2.0 - across, low),
            Point(-2.0 - across, high),
            Point(0.0, high),
        ]
    left = min(p.x for p in tab) + 3.0
    return block(rows, at=Point(left, first)), tab


def _tab_rows(plan: Plan, cut: Cut, style: PrintStyle) -> list[str]:
    phrases = _phrases(plan, cut, style, short=True, title_room=TAB, ticks=True)
    rows = fill_rows(phrases, lambda _: TAB, most=99, joined=True)
    return rows if rows is not None else flag_rows(phrases, width=TAB)


def _phrases(
    plan: Plan, cut: Cut, style: PrintStyle, *, short: bool, title_room: float, ticks: bool
) -> list[str]:
    p, q = cut.pivot_offset, cut.pivot_standoff
    title = shortened(plan.job.title, width=title_room, size=BODY)
    entry, deepest = style.length(cut.entry_radius), style.length(cut.deepest)
    offset, number = style.length(abs(p)), cut.number
    if short:
        lines = [
            style.say("Cut {number}: {cutter}", number=number, cutter=cut.cutter.id),
            style.say("cut on the line"),
            style.say("entry {entry}, deepest {deepest}", entry=entry, deepest=deepest),
            style.say("cutter {height} above centre", height=style.length(cut.cutter_height)),
            style.say("pivot {offset} towards the entry", offset=offset)
            if p >= 0
            else style.say("pivot {offset} past the axis", offset=offset),
        ]
    else:
        lines = [
            style.say(
                "Cut {number}: cutter {cutter}, cut on the line",
                number=number,
                cutter=cut.cutter.id,
            ),
            style.say("entry {entry} from the axis", entry=entry),
            style.say("deepest {deepest}", deepest=deepest),
            style.say("cutter {height} above centre", height=style.length(cut.cutter_height)),
            style.say("pivot {offset} towards the entry,", offset=offset)
            if p >= 0
            else style.say("pivot {offset} past the axis,", offset=offset),
        ]
    lines.append(style.say("{standoff} off the face", standoff=style.length(q)))
    if ticks and _is_shallow(cut):
        step = "1/2 in" if style.units is Units.IN else "10 mm"
        lines.append(style.say("ticks {step}", step=step))
    last = [plan.job.date, title] if short else [title, plan.job.date]
    return [t for t in (*lines, *last) if t]
