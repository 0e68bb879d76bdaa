"""Section sheet: the whole nest full size, half section, every wall and floor dimensioned."""

import itertools
import math

from templategen.geometry.shapes import Arc, Line, Point, Segment
from templategen.messages import tr_noop
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.blank_disc import moved_apart
from templategen.parts.dimension import Surroundings, dimension
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    arc_path,
    line,
    polyline,
)
from templategen.parts.edges import inner_edge, outer_edge, relief_marks
from templategen.parts.face_plate import cross, pivot_phrase
from templategen.parts.labels import LEADING, job_label
from templategen.parts.lettering import text_width, wrap
from templategen.parts.outside_template import outside_edge
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.part_kinds import PartKind

TENON_CORNERS = 2  # last points of a plan's outside: edge of the tenon's end face, axis
LEAST_WALL = tr_noop("wall {wall}"), tr_noop("bowl {number}: wall {wall}")
GREATEST_WALL = tr_noop("up to {wall}"), tr_noop("bowl {number}: up to {wall}")
WallPlace = tuple[tuple[float, float], tuple[float, float]]  # (r, z) outside and inside, mm
TINTS = (0.86, 0.93)  # grey of the bowls in turn
OVER_FACE = 2.5  # mm from the face to the baseline of the cuts' names
CROSS = 3.0  # mm: arm of a pivot's cross
SAME = 1e-6  # mm
NAME_ANGLE = -math.radians(42)  # of the name of a bowl, from the pivot
CUT_NAME_ANGLE = -math.radians(62)  # of the name of a cut, where it stands at its edge
TABLE = 96.0  # mm: width of the wording beside the section
SHEET_WIDTH = 180.9  # mm: what a sheet of A4 holds across; one of letter holds more
SHEET_LENGTHS = 238.0, 256.0  # mm: what one of letter and one of A4 hold down
FLOW_ROW = 34.0  # mm: a row of wording round the outside is at least as wide


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The nest: x from the axis, the face at the top, in the cutter's plane for each cut."""
    rim = plan.bowls[0].rim_diameter / 2
    height = plan.job.blank.height
    drawn: list[Item] = [Path(segments=outside_segments(plan), role=Role.MARK), line(0, 0, rim, 0)]
    for cut in plan.cuts:
        drawn += [arc_path(edge(cut), role=Role.MARK) for edge in (outer_edge, inner_edge)]
        drawn += relief_marks(cut)
    for bowl in plan.bowls[1:]:
        drawn += _tenon(bowl, plan.cuts[bowl.number - 2])
    over = _above_the_face(plan, style)
    top = max((item.bounds().top for item in over), default=0.0)
    flat = height <= SHEET_WIDTH < height + top
    axis = 0.0 if flat else 4.0
    drawn.append(line(0, axis, 0, -height - axis, dashed=True))
    if not flat:
        drawn += over
    items: list[Item] = [*_tints(plan), *drawn, *_figures(plan, drawn, style, flat=flat)]
    items += _wording(plan, items, style, flat=flat)
    return (
        Part(
            kind=PartKind.SECTION_SHEET,
            key="section-sheet",
            title=style.say("Section sheet"),
            drawing=Drawing(items=tuple(items)),
        ),
    )


def _wording(plan: Plan, drawn: list[Item], style: PrintStyle, *, flat: bool) -> list[Text]:
    """The wording round the outside where all fits a sheet so, else in a column beside it."""
    table = _table(plan, style, flat=flat)
    beside = max(box.right for box in (item.bounds() for item in drawn) if box.bottom < 0.0) + 6.0
    for end in SHEET_LENGTHS:
        if beside + TABLE <= end:
            break
        rows = _round_the_outside(
            plan, table, [item for item in drawn if isinstance(item, Text)], end
        )
        if rows is not None:
            return rows
    texts, y = [], -0.76 * BODY
    for n, (indent, text) in enumerate(table):
        for row in wrap(text, width=TABLE - indent, size=BODY, bold=n == 0):
            texts.append(Text(text=row, at=Point(beside + indent, y), bold=n == 0))
            y -= LEADING
    return texts


def _round_the_outside(
    plan: Plan, table: list[tuple[float, str]], figures: list[Text], end: float
) -> list[Text] | None:
    """The wording in rows from the outside's line to `end`, mm; None where it has no room.

    It keeps clear of the figures that stand outside already.
    """
    outside = [(r, -z) for r, z in plan.outside]
    boxes = [figure.bounds() for figure in figures]
    rows = int((plan.job.blank.height - BODY) / LEADING)

    def left(row: int) -> float:
        top, bottom = -row * LEADING + 2.0, -(row + 1) * LEADING - 2.0
        ends = [*outside, *((x, y) for x, y in _crossings(outside, (top, bottom)))]
        beside = [box.right for box in boxes if box.bottom < top and box.top > bottom]
        return max([*beside, *(x for x, y in ends if bottom - 1e-9 <= y <= top + 1e-9)]) + 5.0

    lefts = [left(row) for row in range(rows)]
    for first in range(rows):
        if end - lefts[first] < FLOW_ROW:
            continue
        texts, row = [], first
        for n, text in enumerate(_joined(table)):
            words = text.split()
            while words and row < rows:
                room = end - lefts[row]
                if room < FLOW_ROW or text_width(words[0], size=BODY, bold=n == 0) > room:
                    row += 1  # beside a figure: a word is never broken
                    continue
                held = wrap(" ".join(words), width=room, size=BODY, bold=n == 0)[0]
                at = Point(lefts[row], -row * LEADING - 0.76 * BODY)
                texts.append(Text(text=held, at=at, bold=n == 0))
                words = words[len(held.split()) :]
                row += 1
            if words:
                return None
        return texts
    return None


def _joined(table: list[tuple[float, str]]) -> list[str]:
    """The wording with each indented row joined to the row before it."""
    rows: list[str] = []
    for indent, text in table:
        if indent > 0 and rows:
            rows[-1] += f", {text}"
        else:
            rows.append(text)
    return rows


def _crossings(
    line_: list[tuple[float, float]], levels: tuple[float, ...]
) -> list[tuple[float, float]]:
    """Where a line crosses some heights, mm."""
    found = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line_):
        for y in levels:
            if min(y0, y1) < y < max(y0, y1):
                found.append((x0 + (x1 - x0) * (y - y0) / (y1 - y0), y))
    return found


def _tints(plan: Plan) -> list[Path]:
    """The wood of each bowl as a light fill; the kerfs stay white."""
    return [
        Path(
            segments=bowl_outline(plan, bowl),
            role=Role.NOTE,
            closed=True,
            fill=TINTS[bowl.number % len(TINTS)],
            width=0.0,
        )
        for bowl in plan.bowls
    ]


def bowl_outline(plan: Plan, bowl: Bowl) -> tuple[Segment, ...]:
    """The half section of a bowl, from its rim round its outside to the axis and back inside."""
    freed, hollowed = plan.cut_freeing(bowl), plan.cut_in(bowl)
    outside = outside_segments(plan) if freed is None else _core_outside(freed)
    inside: tuple[Segment, ...] = ()
    if hollowed is not None:
        inside = (outer_edge(hollowed).reversed(),)
    top = inside[0].start if inside else Point(0.0, 0.0)
    face = inside[-1].end if inside else Point(0.0, 0.0)
    bottom = Line(outside[-1].end, top)
    return (*outside, bottom, *inside, Line(face, outside[0].start))


def _core_outside(cut: Cut) -> tuple[Segment, ...]:
    """What a cut leaves of the core: the relief step down to its depth, then the inner edge."""
    inner = inner_edge(cut)
    marks = relief_marks(cut)
    if not marks:
        return (inner,)
    step = marks[0].segments
    foot = step[-1].end
    first = math.atan2(foot.y - inner.centre.y, foot.x - inner.centre.x)
    last = inner.from_angle + inner.sweep
    return (*step, Arc(inner.centre, inner.radius, first, last - first))


def _above_the_face(plan: Plan, style: PrintStyle) -> list[Item]:
    """Cut numbers and cutters over their entries; the pivots as crosses with their radii."""
    items: list[Item] = []
    ordered = sorted(plan.cuts, key=lambda c: c.pivot_standoff)
    places = moved_apart([c.pivot_standoff for c in ordered], [LEADING] * len(ordered))
    heights = {c.number: y for c, y in zip(ordered, places, strict=True)}
    right = max((c.pivot_offset for c in plan.cuts), default=0.0) + CROSS + 4.0
    names = [
        style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)
        for cut in reversed(plan.cuts)
    ]
    widths = [text_width(name, size=BODY, bold=True) + 3.0 for name in names]
    entries = [outer_edge(cut).start.x for cut in reversed(plan.cuts)]
    wished = [entry - wide / 2 + 1.5 for entry, wide in zip(entries, widths, strict=True)]
    middles = moved_apart(wished, widths)
    for name, x in zip(names, middles, strict=True):
        at = Point(x, OVER_FACE)
        items.append(Text(text=name, at=at, anchor=Anchor.MIDDLE, bold=True))
    for cut in plan.cuts:
        edge = outer_edge(cut)
        pivot = edge.centre
        items += cross(pivot, CROSS)
        radius = style.length(cut.cutter.radius)
        text = style.say("pivot {number}, R {radius}", number=cut.number, radius=radius)
        level = Point(right, heights[cut.number] - 0.26 * BODY)
        items.append(
            line(pivot.x + CROSS + 0.5, pivot.y, right - 1.0, heights[cut.number], role=Role.NOTE)
        )
        items.append(Text(text=text, at=level))
    return items


def outside_segments(plan: Plan) -> tuple[Segment, ...]:
    """The turned outside from the rim to the axis with the tenon, y = -z; true arcs stay arcs."""
    edge = outside_edge(plan.bowls[0])
    corners = [edge[-1].end, *(Point(r, -z) for r, z in plan.outside[-TENON_CORNERS:])]
    sides = (Line(a, b) for a, b in itertools.pairwise(corners) if math.dist(a, b) > SAME)
    return (*edge, *sides)


def least_wall(plan: Plan, number: int) -> tuple[Point, Point]:
    """Where the wall of a bowl is least: a point outside and one inside it, as drawn, mm.

    Raises:
        IndexError: the bowl is the solid core, which has no wall.
    """
    at = plan.bowls[number - 1].wall_at
    if at is None:
        raise IndexError("the solid core has no wall")
    return drawn_wall(plan, plan.bowls[number - 1], at)


def drawn_wall(plan: Plan, bowl: Bowl, at: WallPlace) -> tuple[Point, Point]:
    """The two ends of a wall in the drawing: edges of cuts lie in the cutter's plane."""
    (r, z), (edge_r, edge_z) = at
    height = plan.cuts[bowl.number - 1].cutter_height

    def drawn(radius: float) -> float:
        return math.sqrt(max(0.0, radius * radius - height * height))

    return Point(r if bowl.number == 1 else drawn(r), -z), Point(drawn(edge_r), -edge_z)


def _tenon(bowl: Bowl, cut: Cut) -> list[Item]:
    """The tenon that will be turned on a core, dashed."""
    inner = cut.cutter.inner_radius
    p, q = cut.pivot_offset, cut.pivot_standoff
    shoulder, end = bowl.depth, bowl.depth + bowl.tenon_length
    foot, tenon = inner**2 - (shoulder + q) ** 2, bowl.tenon_diameter / 2
    if foot <= 0 or p + math.sqrt(foot) <= tenon:
        return []
    corners = ((p + math.sqrt(foot), -shoulder), (tenon, -shoulder), (tenon, -end))
    return [polyline(corners, role=Role.NOTE, dashed=True)]


def _figures(plan: Plan, drawn: list[Item], style: PrintStyle, *, flat: bool) -> list[Item]:
    """Every wall where it is least and every floor under the deepest point, with its figure.

    Where nothing may stand in front of the face, the cuts are named inside their edges.
    """
    around = Surroundings(drawn)
    if flat:  # keeps all wording below the face and right of the axis
        rim = plan.bowls[0].rim_diameter / 2
        for step in range(60):
            around.add(line(-60.0, float(step), rim + 60.0, float(step)))
            around.add(line(-float(step), 0.0, -float(step), -plan.job.blank.height))
    lines: list[Item] = []
    names: list[Item] = []
    for bowl in plan.bowls:
        names += around.set_name(style.text(bowl.shown_name), near=_middle_of(plan, bowl))
    wanted: list[tuple[str, str, Point]] = []  # wording, wording where there is less room, place
    for bowl, cut in zip(plan.bowls, plan.cuts, strict=False):
        if bowl.floor is not None:
            x = max(0.0, cut.pivot_offset)
            top, bottom = Point(x, -cut.deepest), Point(x, -bowl.depth)
            lines += dimension(top, bottom)
            lines.append(line(0.0, bottom.y, x + 5.0, bottom.y, role=Role.NOTE))
            floor = style.length(bowl.floor)
            named = style.say("bowl {number}: floor {floor}", number=bowl.number, floor=floor)
            middle = Point(x, (top.y + bottom.y) / 2)
            wanted.append((named, style.say("floor {floor}", floor=floor), middle))
        walls = (
            (bowl.wall, bowl.wall_at, LEAST_WALL),
            (bowl.wall_greatest, bowl.wall_greatest_at, GREATEST_WALL),
        )
        for wall, at, (alone, with_bowl) in walls:
            if wall is None or at is None:
                continue
            outer, inner = drawn_wall(plan, bowl, at)
            lines += dimension(outer, inner)
            shown = style.length(wall)
            named = style.say(with_bowl, number=bowl.number, wall=shown)
            middle = Point((outer.x + inner.x) / 2, (outer.y + inner.y) / 2)
            wanted.append((style.say(alone, wall=shown), named, middle))
    for item in lines:
        around.add(item)
    if flat:
        for cut in plan.cuts:
            edge = outer_edge(cut)
            name = style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)
            place = Arc(edge.centre, cut.cutter.radius, 0.0, 1.0).at(CUT_NAME_ANGLE)
            names += around.set_figure((name,), at=place)
    items = lines
    for text, other, place in wanted:
        items += around.set_figure((text, other), at=place)
    return [*names, *items]


def _middle_of(plan: Plan, bowl: Bowl) -> Point:
    """A place in the wood of a bowl, half way down its wall, for its name."""
    cut = plan.cut_in(bowl)
    if cut is None:
        return Point(bowl.tenon_diameter / 4, -bowl.depth / 2)
    reach = cut.cutter.radius + (bowl.wall or 0.0) / 2
    return Arc(outer_edge(cut).centre, reach, 0.0, 1.0).at(NAME_ANGLE)


def _order(plan: Plan, style: PrintStyle) -> str:
    """The working order of the cuts, and what holds the work."""
    cuts = ", ".join(str(n) for n in plan.sequence)
    if plan.job.nest.order is Order.OUTER_FIRST:
        return style.say(
            "cuts in order {cuts}: hold each core by its own tenon for the next", cuts=cuts
        )
    return style.say("cuts in order {cuts}: all from the blank's tenon", cuts=cuts)


def _table(plan: Plan, style: PrintStyle, *, flat: bool) -> list[tuple[float, str]]:
    """The wording beside the section: indent in mm, and text; the pivots where none is drawn."""
    rim, height = plan.bowls[0].rim_diameter / 2, plan.job.blank.height
    blank = style.say(
        "blank {diameter} × {height} {wood}",
        diameter=style.length(2 * rim),
        height=style.length(height),
        wood=plan.job.blank.shown_wood,
    )
    label = job_label(plan, style)
    table = [
        (0.0, style.say("Section, half, full size: {job}", job=label.fitted(100.0))),
        (0.0, blank.strip()),
    ]
    for bowl in plan.bowls:
        name, shown = style.text(bowl.shown_name), style.length(bowl.rim_diameter)
        row = style.say("{bowl}: rim Ø {rim}", bowl=name, rim=shown)
        if bowl.wall is not None and bowl.floor is not None:
            row = style.say(
                "{bowl}: rim Ø {rim}, wall {wall}, floor {floor}",
                bowl=name,
                rim=shown,
                wall=style.length(bowl.wall),
                floor=style.length(bowl.floor),
            )
        table.append((0.0, row))
        tenon = f"{style.length(bowl.tenon_diameter)} × {style.length(bowl.tenon_length)}"
        depth = style.length(bowl.depth)
        table.append((4.0, style.say("depth {depth}, tenon Ø {tenon}", depth=depth, tenon=tenon)))
    if flat:
        for cut in plan.cuts:
            name = style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)
            table.append((0.0, f"{name}, {pivot_phrase(cut, style)}"))
    if plan.cuts:
        stub = style.length(plan.cuts[0].stub)
        above = style.length(plan.cuts[0].cutter_height)
        table += [
            (
                0.0,
                style.say(
                    "cutter {height} above centre; stub on the axis Ø {stub}: snap it off",
                    height=above,
                    stub=stub,
                ),
            ),
            (0.0, _order(plan, style)),
            (
                0.0,
                style.say(
                    "walls are shown where they are least and greatest; dashed: relief, tenons to "
                    "turn"
                ),
            ),
        ]
    return table
