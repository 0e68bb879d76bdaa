"""Cut plate: the half section of one cut, hooked over the rim and squared up to the face."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Box, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import (
    BODY,
    Drawing,
    Item,
    Part,
    Path,
    Text,
    cross,
    line,
    lines_through,
)
from templategen.parts.edges import edge_marks, innermost_edge, outer_edge
from templategen.parts.face_plate import (
    FacePlate,
    between_bowls,
    held_phrases,
    pin_outline,
    pivot_phrase,
    rim_x,
)
from templategen.parts.labels import LEADING, fill_rows, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.units import Units

LOW = 3.5  # mm: least height of the wording over the face
BAR = 11.0  # mm: least height of the plate in front of the face
ROWS_AT = 12.0  # mm from the axis to the wording in the hollow at least
EDGE = 5.0  # mm: beside the hole at the pivot
DRILL = 3.0  # mm: hole at the pivot, to look and to prick through
SHALLOW = 30.0  # mm: depth of a plate without room for figures at its depth scale


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cut, in the cutter's own plane.

    What enters the hollow is bare on all its edges: the outer edge R and the axis. Hook, straight
    edge, hole at the pivot and wording lie in front of the face.
    """
    return tuple(_plate(plan, cut, style) for cut in plan.cuts)


def _plate(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    edge, rim = outer_edge(cut), rim_x(plan, cut)
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    left = min(0.0, pivot.x - DRILL / 2 - EDGE)
    scale = _depth_scale(cut, style)
    figures = [item for item in scale if isinstance(item, Text)]
    phrases = [
        *held_phrases(plan, cut, style)[:2],
        *_figures(cut, style),
        style.say("cut on the line"),
        job_label(plan, style).fitted(80.0),
    ]
    title = style.say("Cut plate {number}", number=cut.number)
    count, inside = _inside(cut, phrases, figures)
    front = FacePlate(
        f"{title}: {cut.cutter.id}, {between_bowls(plan, cut, style)}",
        phrases[count:],
        pin=Box(left, pivot.y - DRILL, pivot.x + DRILL, pivot.y + DRILL),
        left=left,
        rim=rim,
        entry=edge.start.x,
        low=LOW,
        least=BAR,
    )
    back = front.hook_and_back()
    corners = [Point(left, 0.0), Point(0.0, 0.0), edge.end]
    face = Line(edge.start, Point(rim - front.corner, 0.0))
    outline = Path(segments=(face, *back, *lines_through(corners), edge.reversed()), closed=True)
    items: list[Item] = [
        outline,
        pin_outline(pivot, DRILL, 0.0),
        *cross(pivot, DRILL),
        *edge_marks(cut),
        *scale,
        *inside,
        *front.texts,
    ]
    return Part(
        kind=PartKind.CUT_PLATE.value,
        key=f"cut-plate-{cut.number}",
        title=style.say(
            "Cut plate {number}, cutter {cutter}", number=cut.number, cutter=cut.cutter.id
        ),
        drawing=Drawing(items=tuple(items)),
    )


def _has_figures(cut: Cut) -> bool:
    """Whether the plate has room for figures at its depth scale."""
    return cut.depth_at_axis >= SHALLOW


def _depth_scale(cut: Cut, style: PrintStyle) -> list[Item]:
    """Ticks along the axis edge, 10 mm or 1/2 in apart, with figures where there is room."""
    step, every = (25.4 / 2, 2) if style.units.first is Units.IN else (10.0, 2)
    items: list[Item] = []
    for n in range(1, int((cut.depth_at_axis - 2) / step) + 1):
        major = n % every == 0
        items.append(line(0, -n * step, 5.0 if major else 3.0, -n * step))
        label = Text(text=style.length(n * step), at=Point(6.0, -n * step - 1.1))
        if major and _has_figures(cut) and not _meets_edges(label, cut):
            items.append(label)
    return items


def _meets_edges(label: Text, cut: Cut) -> bool:
    """Whether an edge of the cut runs through a figure, or within 0.6 mm of it."""
    box = label.bounds().grown(0.6)
    corners = ((box.left, box.bottom), (box.right, box.bottom), (box.right, box.top))
    relief = innermost_edge(cut)
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    for centre, radius in (
        (pivot, cut.cutter.radius),
        (pivot, cut.cutter.inner_radius),
        (relief.centre, relief.radius),
    ):
        reach = [math.dist(centre, c) for c in (*corners, (box.left, box.top))]
        if min(reach) < radius < max(reach):
            return True
    return box.top > 0


def _figures(cut: Cut, style: PrintStyle) -> list[str]:
    """The figures of the cut, and what the lines of the plate are."""
    phrases = [
        style.say(
            "entry {entry} from the axis in this plane, deepest {deepest}",
            entry=style.length(outer_edge(cut).start.x),
            deepest=style.length(cut.deepest),
        ),
        pivot_phrase(cut, style),
        style.say("{height} above centre", height=style.length(cut.cutter_height)),
        style.say("dashed: inner edge and relief")
        if cut.relief
        else style.say("dashed: inner edge"),
    ]
    if not _has_figures(cut):
        step = "1/2 in" if style.units.first is Units.IN else "10 mm"
        phrases.append(style.say("ticks {step}", step=step))
    return phrases


def _inside(cut: Cut, phrases: Sequence[str], scale: Sequence[Text]) -> tuple[int, Sequence[Text]]:
    """How many phrases fit between the depth scale and the dashed edge, and their rows."""
    edge = innermost_edge(cut)
    left = max([ROWS_AT, *[figure.bounds().right + 5.0 for figure in scale]])
    first = -4.0 - 0.76 * BODY

    def room(row: int) -> float:
        below = first - row * LEADING - 0.24 * BODY - edge.centre.y
        across = math.sqrt(max(0.0, edge.radius**2 - below**2))
        return edge.centre.x + across - left - 3.0

    most = max(0, int((cut.depth_at_axis - cut.cutter.kerf - 10.0) / LEADING))
    for count in range(len(phrases), 0, -1):
        held = phrases[:count]
        rows = fill_rows(["", *held], room, most=most, joined=True)
        if rows is not None:
            texts = [
                Text(text=row, at=Point(left, first - n * LEADING))
                for n, row in enumerate(rows)
                if row
            ]
            return count, texts
    return 0, ()
