"""Outside template: a concave gauge of bowl 1's outside, hooked on the face of the blank."""

import functools
import math
from collections.abc import Callable, Sequence

from templategen.geometry.shapes import Arc, Line, Point, Segment
from templategen.nest.plan import Bowl, Plan
from templategen.parts.drawing import BODY, Anchor, Item, Part, Path, part_of, run_through
from templategen.parts.half_section import outside_edge
from templategen.parts.labels import LEADING, JobLabel, block, fill_rows, flag_rows, job_label
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

BAND = 14.0  # mm of material above the face, beside the rim and below the shoulder
HOOK = 25.0  # mm that the hook reaches over the face; less on a small blank
NOTCH = 1.2  # mm: radius cut out at the rim, so that its sharp edge never holds the gauge off
AIR = 1.0  # mm between the gauge and the flank of the tenon
WIDER = (0.0, 6.0, 16.0, 30.0, 46.0, 62.0)  # mm added to the band beside the rim for the wording
MARGIN = 3.0  # mm between the wording and an edge


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The gauge, in the half section through the lathe axis: x from the axis, the face at y = 0."""
    bowl = plan.bowls[0]
    edge = trimmed_edge(outside_edge(bowl))
    title = style.say("Outside template, bowl {number}", number=1)
    rim, depth = style.length(bowl.rim_diameter), style.length(bowl.depth)
    phrases = [
        title,
        style.say("rim Ø {rim}, shoulder {depth} below the face", rim=rim, depth=depth),
        style.say("hook on the face, hold it on a line through the axis"),
        style.say("no light under the curve: the walls of bowl 1 start from it"),
        style.say("cut on the line"),
    ]
    plate, texts = _fitted(edge, _flare(bowl), phrases, job_label(plan, style))
    items = (Path(segments=plate, closed=True), *texts)
    return (part_of(PartKind.OUTSIDE_TEMPLATE, "outside-template", title, items),)


def trimmed_edge(edge: Sequence[Segment]) -> tuple[Segment, ...]:
    """The edge without its last `AIR` mm, where the flat meets the tenon."""
    last = edge[-1]
    if isinstance(last, Line) and math.dist(last.start, last.end) > 2 * AIR:
        return (*edge[:-1], Line(last.start, _towards(last.end, last.start, AIR)))
    return tuple(edge)


def _towards(start: Point, end: Point, way: float) -> Point:
    share = way / math.dist(start, end)
    return Point(start.x + share * (end.x - start.x), start.y + share * (end.y - start.y))


def _flare(bowl: Bowl) -> float:
    """How far the gauge's foot keeps away from the axis for each mm below the shoulder."""
    return math.tan(math.radians(bowl.jaws.dovetail_angle)) if bowl.jaws else 0.0


def _outline(
    edge: Sequence[Segment], right: float, low: float, flare: float
) -> tuple[Segment, ...]:
    """Round the gauge: over the back to the foot, then up the curve to the hook on the face.

    Args:
        edge: the outside of the bowl, from its rim.
        right: right end of the gauge, mm.
        low: lower edge, mm.
        flare: see `_flare`.
    """
    rim, foot = edge[0].start, edge[-1].end
    hook = Point(rim.x - min(HOOK, rim.x / 3), 0.0)
    back = [Point(hook.x, BAND), Point(right, BAND), Point(right, low)]
    heel = Point(foot.x + (foot.y - low) * flare, low)
    first, *rest = edge
    notched = _without_start(first, NOTCH)
    curve = [s.reversed() for s in reversed([notched, *rest])]
    corner = []
    if notched is not first:
        towards = math.atan2(notched.start.y - rim.y, notched.start.x - rim.x)
        corner.append(Arc(rim, NOTCH, towards, math.pi - towards))
    return run_through([hook, *back, heel, *curve, *corner, hook])


def _without_start(segment: Segment, chord: float) -> Segment:
    """The segment from the point at `chord` mm from its start; the whole one if it is short."""
    match segment:
        case Line(start, end) if math.dist(start, end) > 4 * chord:
            return Line(_towards(start, end, chord), end)
        case Arc(centre, radius, from_angle, sweep) if radius * abs(sweep) > 4 * chord:
            turn = math.copysign(2 * math.asin(chord / (2 * radius)), sweep)
            return Arc(centre, radius, from_angle + turn, sweep - turn)
    return segment


def _fitted(
    edge: Sequence[Segment], flare: float, phrases: Sequence[str], label: JobLabel
) -> tuple[tuple[Segment, ...], list[Item]]:
    """The outline and the wording: in the corner below the rim, which is made as wide as needed."""
    rim, low = edge[0].start, edge[-1].end.y - BAND
    farthest = _reach(edge)
    right, rows = 0.0, None
    for wider in WIDER:
        right = max(rim.x, farthest(low, BAND)) + BAND + wider
        rows = _rows_in_corner(right, low, farthest, phrases, label)
        if rows is not None:
            break
    if rows is None:  # beside the rim, the gauge as tall as they need
        right, room = rim.x + BAND + WIDER[-1], WIDER[-1] + BAND - 2 * MARGIN
        rows = flag_rows([*phrases, label.fitted(room)], width=room)
        low = min(low, BAND - 2 * MARGIN - len(rows) * LEADING)
    first = low + MARGIN + (len(rows) - 1) * LEADING
    texts = block(rows, at=Point(right - MARGIN, first), anchor=Anchor.END)
    return _outline(edge, right, low, flare), texts


def _rows_in_corner(
    right: float,
    low: float,
    farthest: Callable[[float, float], float],
    phrases: Sequence[str],
    label: JobLabel,
) -> list[str] | None:
    """The wording in as few rows as read well, the lowest at the lower edge; None for no room."""

    @functools.cache
    def room(lift: int) -> float:
        """The room of the row that is `lift` rows above the lowest, mm."""
        y = low + MARGIN + lift * LEADING
        return right - 2 * MARGIN - farthest(y - 0.3 * BODY, y + BODY)

    def rows_of(count: int) -> list[str] | None:
        wording = [*phrases, label.fitted(max(room(0), 40.0))]
        rows = fill_rows(wording, lambda row: room(count - 1 - row), most=count)
        if rows is None or not _reads_well(rows, phrases):
            return None
        return rows + [""] * (count - len(rows))

    most = int((BAND - low - 2 * MARGIN) / LEADING)
    return next(filter(None, map(rows_of, range(3, most + 1))), None)


def _reads_well(rows: Sequence[str], phrases: Sequence[str]) -> bool:
    """Whether the title is whole and no row has only one word of a longer phrase."""
    shown = [row for row in rows if row]
    return shown[0] == phrases[0] and all(" " in row or row in phrases for row in shown)


def _reach(edge: Sequence[Segment]) -> Callable[[float, float], float]:
    """How far the wood reaches from the axis between two heights, mm."""
    points: list[Point] = []
    for segment in edge:
        match segment:
            case Line((x0, y0), (x1, y1)):
                points += [
                    Point(x0 + n / 40 * (x1 - x0), y0 + n / 40 * (y1 - y0)) for n in range(41)
                ]
            case Arc():
                points += [
                    segment.at(segment.from_angle + n / 80 * segment.sweep) for n in range(81)
                ]

    def farthest(low: float, high: float) -> float:
        beyond = 3.0  # mm: the points stand no farther apart on most blanks
        if high > -beyond:  # beside the hook
            return edge[0].start.x
        inside = [p.x for p in points if low - beyond <= p.y <= high + beyond]
        return max(inside, default=edge[-1].end.x)

    return farthest
