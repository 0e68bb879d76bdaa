"""Cut plate: the half section of one cut, laid on the blank and squared up to it."""

import itertools
import math

from templategen.geometry.shapes import Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import BODY, Drawing, Item, Part, Path, Text, line
from templategen.parts.edges import edge_marks, innermost_edge, outer_edge
from templategen.parts.labels import (
    LEADING,
    JobLabel,
    block,
    fill_rows,
    flag_rows,
    flag_size,
    job_label,
)
from templategen.parts.style import PrintStyle
from templategen.units import Units

TOP = -6.0  # y of the first row of wording, mm
TAB = 80.0  # mm: widest label tab
WIDE = 105.0  # mm, entry radius of a plate with room for whole sentences
SHALLOW = 60.0  # mm, depth of a plate without room for figures at its depth scale
TITLE_ROOMS = (130.0, 60.0, 40.0, 30.0, 20.0)  # mm for the job's title, tried in turn


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cut, in the cutter's own plane."""
    return tuple(_plate(plan, cut, style) for cut in plan.cuts)


def _plate(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    edge = outer_edge(cut)
    scale = _depth_scale(cut, style)
    figures = [i for i in scale if isinstance(i, Text)]
    texts, tab = _lettering(cut, figures, job_label(plan, style), style)
    corners = [edge.end, *tab, Point(0.0, 0.0), edge.start]
    outline = Path(
        segments=(edge, *(Line(a, b) for a, b in itertools.pairwise(corners))), closed=True
    )
    items: list[Item] = [outline, *edge_marks(cut), *scale, *texts]
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
    return cut.depth_at_axis < SHALLOW


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
    cut: Cut, figures: list[Text], label: JobLabel, style: PrintStyle
) -> tuple[list[Item], list[Point]]:
    """The wording inside the relief, or on a tab past the axis where the plate is too small.

    Nothing but the job's title is ever cut short, and that only where a tab would be needed.

    Returns: the texts, and the corners of the tab from the edge's end up, none without a tab.
    """
    wide = cut.entry_radius >= WIDE
    room = _RowRoom(cut, figures, least=24.0 if wide else 7.0)
    most = int((cut.depth_at_axis + TOP) / LEADING)
    for title_room in TITLE_ROOMS:
        for ticks in (True, False):
            short = label.shortened(title_room)
            phrases = _phrases(cut, short, style, short=not wide, ticks=ticks)
            rows = fill_rows(phrases, room.width, most=most, joined=not wide)
            if rows is not None:
                return [
                    Text(text=t, at=Point(room.start(n), TOP - n * LEADING), bold=n == 0)
                    for n, t in enumerate(rows)
                    if t
                ], []
    phrases = _phrases(cut, label.shortened(TAB), style, short=True, ticks=True)
    rows = fill_rows(phrases, lambda _: TAB, most=99, joined=True) or flag_rows(phrases, width=TAB)
    return _tab(cut, rows)


class _RowRoom:
    """Room for rows of wording between the axis, the figures of the depth scale and the relief.

    Args:
        cut: the cut of the plate.
        figures: of the depth scale.
        least: from the axis to a row at least, mm.
    """

    def __init__(self, cut: Cut, figures: list[Text], *, least: float) -> None:
        self._edge = innermost_edge(cut)
        self._figures = [figure.bounds() for figure in figures]
        self._least = least

    def start(self, row: int) -> float:
        """Where a row begins: right of the figures beside it, mm from the axis."""
        low, high = TOP - row * LEADING - 0.24 * BODY - 0.4, TOP - row * LEADING + 0.8 * BODY
        beside = [b.right + 2.0 for b in self._figures if b.bottom < high and b.top > low]
        return max(self._least, *beside, 0.0)

    def width(self, row: int) -> float:
        """From there to 2 mm before the edge, mm; 0 where the edge rises to the axis again."""
        centre, radius = self._edge.centre, self._edge.radius
        below = TOP - row * LEADING - 0.24 * BODY - centre.y
        reach = math.sqrt(max(0.0, radius**2 - below**2))
        if self.start(row) < centre.x - reach + 2.0:
            return 0.0
        return centre.x + reach - self.start(row) - 2.0


def _tab(cut: Cut, rows: list[str]) -> tuple[list[Item], list[Point]]:
    """A label tab past the axis, beside the middle of the plate, with a neck if it is longer."""
    across, tall = flag_size(rows)
    high = -max(1.0, (cut.depth_at_axis - tall) / 2)
    low, neck = high - tall, -cut.depth_at_axis + 1.0
    if low > neck:
        left = 0.0
        tab = [Point(0.0, low)]
    else:
        left = -2.0
        tab = [Point(0.0, neck), Point(left, neck), Point(left, low)]
    tab += [Point(left - across, low), Point(left - across, high), Point(0.0, high)]
    return block(rows, at=Point(left - across + 3.0, high - 1.0 - 0.8 * BODY)), tab


def _phrases(
    cut: Cut, label: JobLabel, style: PrintStyle, *, short: bool, ticks: bool
) -> list[str]:
    """What a person needs to set the cut; `short` where several phrases share a row."""
    p, number, cutter = cut.pivot_offset, cut.number, cut.cutter.id
    entry, deepest = style.length(cut.entry_radius), style.length(cut.deepest)
    height = style.say("cutter {height} above centre", height=style.length(cut.cutter_height))
    offset = style.length(abs(p))
    if short:
        lines = [
            style.say("Cut {number}: {cutter}", number=number, cutter=cutter),
            style.say("cut on the line"),
            style.say("entry {entry}, deepest {deepest}", entry=entry, deepest=deepest),
            height,
            style.say("pivot {offset} towards the entry", offset=offset)
            if p >= 0
            else style.say("pivot {offset} past the axis", offset=offset),
        ]
    else:
        lines = [
            style.say(
                "Cut {number}: cutter {cutter}, cut on the line", number=number, cutter=cutter
            ),
            style.say("entry {entry} from the axis", entry=entry),
            style.say("deepest {deepest}", deepest=deepest),
            height,
            style.say("pivot {offset} towards the entry,", offset=offset)
            if p >= 0
            else style.say("pivot {offset} past the axis,", offset=offset),
        ]
    lines.append(style.say("{standoff} off the face", standoff=style.length(cut.pivot_standoff)))
    if ticks and _is_shallow(cut):
        step = "1/2 in" if style.units is Units.IN else "10 mm"
        lines.append(style.say("ticks {step}", step=step))
    last = [label.date, label.title] if short else [label.title, label.date]
    return [t for t in (*lines, *last) if t]
