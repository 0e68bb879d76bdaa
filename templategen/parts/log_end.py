"""Log end: how the blanks lie in their log, as a small sketch, and full size on request.

Frame of the end of a log: the pith at the origin, the pith line along x, one half above it; mm.
"""

import itertools
import math

from templategen.geometry.shapes import Box, Line, Point, Transform, circle
from templategen.nest.plan import Plan
from templategen.parts.columns import TextColumn
from templategen.parts.dimension import moved_apart
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    SAME,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    arc_path,
    line,
    part_of,
    polyline,
    rectangle,
)
from templategen.parts.half_section import outside_edge
from templategen.parts.labels import LEADING, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.choices import LogRim
from templategen.trade.log import blanks_along, wood_radius_needed
from templategen.trade.part_kinds import PartKind
from templategen.trade.records import Log

CARD = 150.0  # mm: width of the card
SKETCH = 40.0  # mm: diameter of the log in the sketch of its end
NAME_STEP = 4.8  # mm from one figure of the sketch of its length to the next
ALONG = 10.0  # mm: least height of the log in the sketch of its length
WOOD = 0.88  # grey of the blanks in a sketch
BOLD = 0.5  # mm: the pith line
AROUND = 8.0  # mm of sheet round the overlay's lines
PITH = 3.0  # mm: radius of the hole over the pith


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The log card; none for a job that names no log."""
    log = plan.job.log
    if log is None:
        return ()
    title = style.say("Log card")
    column = TextColumn(CARD - SKETCH - 12.0, first=-3.0 - 0.76 * BODY, left=SKETCH + 9.0)
    for n, text in enumerate(_sentences(plan, log, style)):
        column.write(text, bold=n == 0)
    column.write(job_label(plan, style).fitted(column.width))
    half = SKETCH / 2
    scale = SKETCH / max(log.diameter, _needed(plan, log))
    end = _end_sketch(plan, log).moved(
        Transform.scale(scale, scale).then(Transform.move(half + 4.0, -half - 4.0))
    )
    low = min(column.y + LEADING - 3.0, -SKETCH - 7.0)
    items: list[Item] = [*end.items, *column.items]
    along, height = _along(plan, log, style)
    items += along.moved(Transform.move(4.0, low - height)).items
    low -= height + 3.0
    frame = rectangle(Box(0.0, low, CARD, 0.0))
    return (part_of(PartKind.LOG_END, "log-card", title, (frame, *items)),)


def make_overlay(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """One half of the end of the log, full size; none for a job that names no log."""
    log = plan.job.log
    if log is None:
        return ()
    radius, (low, high) = plan.job.blank.diameter / 2, saw_lines(plan, log)
    title = style.say("Log overlay")
    wide = radius + AROUND
    box = Box(-wide, -AROUND, wide, high + AROUND)
    column = TextColumn(radius, first=(low + high) / 2 + 2 * LEADING, left=-radius / 2)
    column.write(title, bold=True)
    column.write(
        style.say("hole over the pith, bold line on the pith line; turn it over for the other half")
    )
    column.write(style.say("cut on the line"))
    column.write(job_label(plan, style).fitted(column.width))
    items: list[Item] = [
        rectangle(box),
        arc_path(circle(ORIGIN, PITH)),
        polyline(((-wide, 0.0), (-PITH, 0.0)), role=Role.MARK, width=BOLD),
        polyline(((PITH, 0.0), (wide, 0.0)), role=Role.MARK, width=BOLD),
        line(-wide, low, wide, low),
        line(-wide, high, wide, high),
        line(-radius, low, -radius, high, dashed=True),
        line(radius, low, radius, high, dashed=True),
        *profile_paths(plan, log),
        *column.items,
    ]
    return (part_of(PartKind.LOG_OVERLAY, "log-overlay", title, items),)


def saw_lines(plan: Plan, log: Log) -> tuple[float, float]:
    """Distances from the pith at which one half is sawn along the log, mm."""
    return log.pith, log.pith + plan.job.blank.height


def profile_paths(plan: Plan, log: Log) -> list[Path]:
    """The turned outside of bowl 1 in one half of the log: left and right, dashed."""
    low, high = saw_lines(plan, log)
    down = Transform.move(0.0, high) if log.rim is LogRim.BARK else None
    up = Transform.scale(1.0, -1.0).then(Transform.move(0.0, low))
    bowl = plan.bowls[0]
    neck = Point(bowl.tenon_diameter / 2, -bowl.depth)
    tenon = Line(neck, Point(bowl.tenon_end_diameter / 2, -bowl.depth - bowl.tenon_length))
    edge = tuple(s.moved(down or up) for s in (*outside_edge(bowl), tenon))
    mirrored = tuple(s.moved(Transform.scale(-1.0, 1.0)) for s in edge)
    return [Path(segments=side, role=Role.MARK, dashed=True) for side in (edge, mirrored)]


def cross_cuts(plan: Plan, log: Log) -> list[float]:
    """Where the log is cut across, from its end, mm: the trim, then one middle of a cut a blank."""
    along = blanks_along(log, plan.job.blank.diameter) // 2
    step = plan.job.blank.diameter + log.saw
    first = log.end_trim - log.saw / 2
    return [first + n * step for n in range(along + 1)] if along else []


def _needed(plan: Plan, log: Log) -> float:
    """Diameter that holds the discs as sawn, mm."""
    _, high = saw_lines(plan, log)
    return 2 * math.hypot(plan.job.blank.diameter / 2, high)


def _end_sketch(plan: Plan, log: Log) -> Drawing:
    """Both halves: the wood, the pith line, the discs as sawn and the bowls in them."""
    radius, (low, high) = plan.job.blank.diameter / 2, saw_lines(plan, log)
    wood = log.diameter / 2
    disc = rectangle(Box(-radius, low, radius, high), role=Role.NOTE, fill=WOOD, width=0.25)
    upper = Drawing(items=(disc, *profile_paths(plan, log)))
    lower = upper.moved(Transform.scale(1.0, -1.0))
    pith = polyline(((-wood, 0.0), (wood, 0.0)), role=Role.NOTE, width=0.35)
    marks = [line(-wood, y, wood, y, role=Role.NOTE) for y in (low, high, -low, -high)]
    bark = arc_path(circle(ORIGIN, wood), role=Role.NOTE)
    return Drawing(items=(*upper.items, *lower.items, bark, pith, *marks))


def _along(plan: Plan, log: Log, style: PrintStyle) -> tuple[Drawing, float]:
    """The log from the side with its cross cuts, and how high that is, mm."""
    scale = (CARD - 8.0) / log.length
    tall = min(18.0, max(ALONG, log.diameter * scale))
    cuts = cross_cuts(plan, log)
    box = Box(0.0, 0.0, log.length * scale, tall)
    items: list[Item] = [rectangle(box, role=Role.NOTE)]
    for start, end in itertools.pairwise(cuts):
        saw = log.saw / 2
        blank = Box((start + saw) * scale, 0.0, (end - saw) * scale, tall)
        items.append(rectangle(blank, role=Role.NOTE, fill=WOOD, width=0.0))
    items.append(line(0.0, tall / 2, log.length * scale, tall / 2, role=Role.NOTE))
    names = [style.lengths((at,)) for at in cuts]
    places = moved_apart([at * scale for at in cuts], [NAME_STEP] * len(cuts))
    for at, x, name in zip(cuts, places, names, strict=True):
        items.append(line(at * scale, 0.0, at * scale, tall))
        items.append(line(at * scale, tall, x, tall + 3.0, role=Role.NOTE))
        place = Point(x + 0.26 * BODY, tall + 4.0)
        items.append(Text(text=name, at=place, angle=math.pi / 2))
    longest = max((text_width(name, size=BODY) for name in names), default=0.0)
    return Drawing(items=tuple(items)), tall + 5.0 + longest


def _sentences(plan: Plan, log: Log, style: PrintStyle) -> list[str]:
    blank = plan.job.blank
    low, high = saw_lines(plan, log)
    count = blanks_along(log, blank.diameter)
    size = style.lengths((log.diameter, log.length))
    sentences = [
        style.say("Log card: log Ø {size}", size=size),
        style.say(
            "split it along the pith line; saw each half {low} and {high} from the pith",
            low=style.length(low),
            high=style.length(high),
        ),
        style.say("the rim is on the side of the pith")
        if log.rim is LogRim.PITH
        else style.say("the rim is on the side of the bark"),
        style.say(
            "blanks Ø {size}: {count} from this log, {half} from each half",
            size=style.lengths((blank.diameter, blank.height)),
            count=count,
            half=count // 2,
        ),
        style.say(
            "cut across, middle of the cut at the figures below, from the end: trim {trim}, "
            "saw cut {saw}",
            trim=style.length(log.end_trim),
            saw=style.length(log.saw),
        ),
    ]
    sentences += _too_small(plan, log, style)
    return [*sentences, style.say("a sketch, not to scale · cut on the line")]


def _too_small(plan: Plan, log: Log, style: PrintStyle) -> list[str]:
    """What to know where the disc reaches beyond the wood of the log."""
    needed = 2 * wood_radius_needed(
        plan.outside, height=plan.job.blank.height, pith=log.pith, rim=log.rim
    )
    if needed > log.diameter + SAME:
        missing = style.length(needed - log.diameter)
        return [style.say("this log is {missing} too thin for the bowl", missing=missing)]
    if _needed(plan, log) > log.diameter + SAME:
        return [style.say("only corners that are turned away reach into the bark")]
    return []
