"""Cut plate: the half section of one cut, hooked over the rim and squared up to the face."""

import math
from collections.abc import Sequence

from templategen.geometry.shapes import Arc, Box, Line, Point
from templategen.nest.plan import Cut, Plan
from templategen.parts.drawing import (
    BODY,
    Item,
    Part,
    Path,
    Text,
    cross,
    line,
    part_of,
    run_through,
)
from templategen.parts.edges import edge_marks, innermost_edge, outer_edge
from templategen.parts.face_plate import (
    BESIDE_PIN,
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
EDGE = 4.5  # mm: beside and over the hole at the pivot
DRILL = 3.0  # mm: hole at the pivot, to look and to prick through
SHALLOW = 30.0  # mm: depth of a plate without room for figures at its depth scale
FRAME = 22.0  # mm: card beside a window at least; stiff enough in card of 1 mm
BEHIND = 6.0  # mm: card behind the dashed edges and the figures of the scale
ROUND = 6.0  # mm: radius of a window's corners, where card tears first
HELD = 2  # phrases on how the plate is held, in front of the face where there is a window
LEAST_WINDOW = 28.0  # mm: radius of the circle that a window holds; a smaller one shows too little


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One plate for each cut, in the cutter's own plane.

    What enters the hollow is bare on all its edges: the outer edge R and the axis. Hook, straight
    edge and hole at the pivot lie in front of the face. A large plate has a window, through which
    the wood is seen and in which other parts lie on a sheet.
    """
    return tuple(_plate(plan, cut, style) for cut in plan.cuts)


def _plate(plan: Plan, cut: Cut, style: PrintStyle) -> Part:
    edge, rim = outer_edge(cut), rim_x(plan, cut)
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    left = min(0.0, pivot.x - DRILL / 2 - EDGE)
    scale = _depth_scale(cut, style)
    figures = [item for item in scale if isinstance(item, Text)]
    phrases = [
        *held_phrases(plan, cut, style)[:HELD],
        *_figures(cut, style),
        style.say("cut on the line"),
        job_label(plan, style).fitted(80.0),
    ]
    title = style.say("Cut plate {number}", number=cut.number)
    held, said = phrases[:HELD], phrases[HELD:]
    count, inside = _inside(cut, said, figures)
    window = _window(cut, [*figures, *inside]) if count == len(said) else None
    if window is None:
        count, inside = _inside(cut, phrases, figures)
        held = phrases[count:]
    front = FacePlate(
        [f"{title}: {cut.cutter.id}, {between_bowls(plan, cut, style)}", *held],
        pin=Box(left, pivot.y - DRILL, pivot.x + DRILL, pivot.y + DRILL / 2 + EDGE - BESIDE_PIN),
        rim=rim,
        entry=edge.start.x,
        low=LOW,
        least=BAR,
    )
    back = front.hook_and_back()
    corners = [Point(left, 0.0), Point(0.0, 0.0), edge.end]
    face = Line(edge.start, Point(rim - front.corner, 0.0))
    outline = Path(segments=(face, *back, *run_through(corners), edge.reversed()), closed=True)
    items: list[Item] = [
        outline,
        pin_outline(pivot, DRILL, 0.0),
        *cross(pivot, DRILL),
        *edge_marks(cut),
        *scale,
        *inside,
        *front.texts,
    ]
    if window is not None:
        items.append(window)
    title = style.say(
        "Cut plate {number}, cutter {cutter}", number=cut.number, cutter=cut.cutter.id
    )
    return part_of(PartKind.CUT_PLATE, f"cut-plate-{cut.number}", title, items)


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


def _window(cut: Cut, texts: Sequence[Text]) -> Path | None:
    """What is cut out of the half section behind its wording, or None for too small a window.

    Args:
        cut: of the plate.
        texts: the wording and the figures of the scale behind the face.
    """
    scale, rows = [t.bounds() for t in texts if t.at.x < ROWS_AT], [t.bounds() for t in texts]
    left = max([FRAME, *[figure.right + BEHIND for figure in scale]])
    beside = [row.bottom for row in rows if row.right > left]
    top = min([-FRAME, *[bottom - BEHIND / 2 for bottom in beside]])
    shift = cut.relief.shift if cut.relief else 0.0
    radius = cut.cutter.radius - max(FRAME, cut.cutter.kerf + shift + BEHIND)
    pivot = Point(cut.pivot_offset, cut.pivot_standoff)
    across, down = left - pivot.x, pivot.y - top
    sides = across + down + radius
    room = sides**2 + radius**2 - across**2 - down**2  # of the circle that meets all three sides
    if radius <= 0 or room <= (sides + LEAST_WINDOW) ** 2:
        return None
    inner = radius - ROUND
    right = Point(pivot.x + math.sqrt(inner**2 - (down + ROUND) ** 2), top - ROUND)
    low = Point(left + ROUND, pivot.y - math.sqrt(inner**2 - (across + ROUND) ** 2))
    start, end = (math.atan2(c.y - pivot.y, c.x - pivot.x) for c in (right, low))
    corner = Arc(Point(left + ROUND, top - ROUND), ROUND, math.pi, -math.pi / 2)
    turns = (
        Arc(right, ROUND, math.pi / 2, start - math.pi / 2),
        Arc(pivot, radius, start, end - start),
        Arc(low, ROUND, end, -math.pi - end),
    )
    return Path(
        segments=(
            Line(corner.end, turns[0].start),
            *turns,
            Line(turns[2].end, corner.start),
            corner,
        ),
        closed=True,
    )
