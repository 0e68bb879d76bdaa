"""Blank disc: a trammel strip that draws the circles of the blank, the rims and the tenons."""

import math
from collections.abc import Sequence
from itertools import pairwise

from templategen.geometry.shapes import Box, Point, circle
from templategen.nest.plan import Plan
from templategen.parts.dimension import moved_apart
from templategen.parts.drawing import (
    BODY,
    ORIGIN,
    Item,
    Part,
    Text,
    arc_path,
    cross,
    line,
    part_of,
    rectangle,
)
from templategen.parts.held_bowl import dried_disc, green_disc
from templategen.parts.labels import LEADING, block, fill_rows, flag_rows, job_label
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind

HOLE = 1.25  # mm: radius of the holes for a nail and for a pencil
BEYOND = 8.0  # mm of strip beyond the outermost holes
EDGE = 5.5  # mm from the lower edge of the strip to the middle of its lowest holes
NAME_STEP = 1.6  # mm between two names, beside their rows
ROW_STEP = 5.0  # mm from one row of holes to the next
ROWS = 3  # of holes; nearer ones than these part overlap
APART = 2 * HOLE + 1.5  # mm between the middles of two holes in a row
NAMES_AT = 7.5  # mm from the upper row of holes to the names
LEAST_BELOW = 80.0  # mm: least width of the wording below the holes
LEAST_BESIDE = 34.0  # mm: least width of the wording left of the names
SAME_CIRCLE = 0.05  # mm: circles whose radii differ by less share a hole


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The strip: a hole for a nail at the origin, the others at their radii from it."""
    title = style.say("Trammel strip")
    phrases = [
        title,
        style.say("nail in the left hole, pencil in another: draw round"),
        style.say("cut on the line"),
    ]
    label = job_label(plan, style)
    circles = circles_to_draw(plan, style)
    holes = placed_holes([radius for radius, _ in circles])
    widths = [len(rows) * LEADING + NAME_STEP for _, rows in circles]
    names = moved_apart([hole.x for hole in holes], widths)
    tall = max(text_width(row, size=BODY) for _, rows in circles for row in rows)
    top, bottom = NAMES_AT + tall + 2.0, min(hole.y for hole in holes) - EDGE
    left = min(-BEYOND, names[0] - widths[0] / 2 - 2.0)
    right = max(holes[-1].x + BEYOND, names[-1] + widths[-1] / 2 + 2.0)
    beside = names[0] - widths[0] / 2 - 3.0 - (left + 3.0)
    rows = (
        [*flag_rows(phrases, width=beside), label.fitted(beside)] if beside >= LEAST_BESIDE else []
    )
    first = top - 3.0 - 0.76 * BODY
    is_beside = bool(rows) and first - (len(rows) - 1) * LEADING >= NAMES_AT
    if not is_beside:  # below the holes, in few rows
        wide = max(right - left - 6.0, LEAST_BELOW)
        right = max(right, left + wide + 6.0)
        shared = ["", *phrases, label.fitted(wide)]
        found = fill_rows(shared, lambda _: wide, most=9, joined=True)
        rows = [row for row in found or flag_rows(phrases, width=wide) if row]
        first = bottom - 0.5 * BODY
        bottom -= len(rows) * LEADING
    items: list[Item] = [rectangle(Box(left, bottom, right, top)), *_hole(ORIGIN)]
    for hole, x, (_, name) in zip(holes, names, circles, strict=True):
        items += _hole(hole)
        items += _leader(hole, holes, x)
        row_at = x - (len(name) - 1) * LEADING / 2 + 0.26 * BODY
        items += [
            Text(text=row, at=Point(row_at + n * LEADING, NAMES_AT), angle=math.pi / 2)
            for n, row in enumerate(name)
        ]
    items += block(rows, at=Point(left + 3.0, first), bold_first=is_beside)
    return (part_of(PartKind.BLANK_DISC, "trammel-strip", title, items),)


def circles_to_draw(plan: Plan, style: PrintStyle) -> list[tuple[float, list[str]]]:
    """Radius, mm, and name in rows with the diameter of every circle, from the centre outwards."""
    wanted: list[tuple[float, str, str]] = [(plan.bowls[0].rim_diameter, style.say("blank"), "")]
    for bowl in plan.bowls:
        name = str(bowl.number)
        wanted.append((bowl.tenon_end_diameter, style.say("tenon end"), name))
        if bowl.number > 1:
            wanted.append((bowl.rim_diameter, style.say("rim"), name))
            wanted.append((green_disc(plan, bowl) or 0.0, style.say("green disc"), name))
        wanted.append((dried_disc(plan, bowl) or 0.0, style.say("dried disc"), name))
    uses = list(dict.fromkeys(use for _, use, _ in wanted))
    large = [one for one in wanted if one[0] > 2 * APART]
    alike: dict[float, list[tuple[str, str]]] = {}  # use and bowl by the diameter of the hole
    for size, use, name in sorted(large, key=lambda one: (one[0], uses.index(one[1]))):
        hole = max(alike, default=0.0)
        alike.setdefault(hole if size - hole < 2 * SAME_CIRCLE else size, []).append((use, name))
    found: list[tuple[float, list[str]]] = []
    for size, served in alike.items():
        names = []
        for use in dict.fromkeys(use for use, _ in served):
            bowls = ", ".join(name for other, name in served if other == use and name)
            names.append(f"{use} {bowls}".strip())
        shown = style.lengths((size,)).replace(" (", "\n").rstrip(")")
        found.append((size / 2, [*names, *f"Ø {shown}".split("\n")]))
    return found


def placed_holes(radii: Sequence[float]) -> list[Point]:
    """Where the holes are: at their radii, those too near to the one before in a lower row."""
    holes: list[Point] = []
    for radius in radii:
        heights = [-row * ROW_STEP for row in range(ROWS) if row * ROW_STEP < 0.8 * radius]
        places = [Point(math.sqrt(radius**2 - y**2), y) for y in heights]
        free = (p for p in places if all(math.dist(p, other) >= APART for other in holes[-ROWS:]))
        holes.append(next(free, places[-1]))
    return holes


def _leader(hole: Point, holes: Sequence[Point], x: float) -> list[Item]:
    """Lines from a hole up to the name at x, beside the holes of upper rows that are in the way."""
    clear = HOLE + 1.2
    above = [other.x for other in holes if other.y > hole.y and abs(other.x - hole.x) < clear]
    up = max(above) + clear if above else hole.x
    start = Point((hole.x + up) / 2, hole.y + HOLE + 0.5)
    bend = Point(up, start.y + 1.0)
    end = Point(x, NAMES_AT - 1.0)
    corners = (start, bend, Point(up, 3.0), end)
    return [line(*a, *b) for a, b in pairwise(corners) if a != b]


def _hole(at: Point) -> list[Item]:
    """A hole with a cross in it, to pierce by."""
    return [arc_path(circle(at, HOLE)), *cross(at, HOLE + 0.8)]
