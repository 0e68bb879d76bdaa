"""Section sheet: the whole nest full size, half section, every wall and floor dimensioned."""

import itertools
import math

from templategen.geometry.curves import Side, Span
from templategen.geometry.shapes import Arc, Line, Point, Segment
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.dimension import Surroundings, dimension
from templategen.parts.drawing import (
    BODY,
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
from templategen.parts.labels import LEADING, job_label
from templategen.parts.lettering import wrap
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order

TENON_CORNERS = 3  # last points of a plan's outside: shoulder, end face, axis
LEAST_TABLE = 150.0  # mm: width of the wording below the section of a small blank


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The nest: x from the axis, the face at the top, in the cutter's plane for each cut."""
    rim = plan.bowls[0].rim_diameter / 2
    height = plan.job.blank.height
    items: list[Item] = [
        Path(segments=outside_segments(plan), role=Role.MARK),
        line(0, 0, rim, 0),
        line(0, 4, 0, -height - 4, dashed=True),
    ]
    for cut in plan.cuts:
        items += [arc_path(edge(cut), role=Role.MARK) for edge in (outer_edge, inner_edge)]
        items += relief_marks(cut)
    for bowl in plan.bowls[1:]:
        items += _tenon(bowl, plan.cuts[bowl.number - 2])
    items += _figures(plan, items, style)
    y = -height - 10.0
    for n, (indent, text) in enumerate(_table(plan, style)):
        for row in wrap(text, width=max(rim, LEAST_TABLE) - indent, size=BODY, bold=n == 0):
            items.append(Text(text=row, at=Point(2.0 + indent, y), bold=n == 0))
            y -= LEADING
    return (
        Part(
            kind="section sheet",
            key="section-sheet",
            title=style.say("Section sheet"),
            drawing=Drawing(items=tuple(items)),
        ),
    )


def outside_segments(plan: Plan) -> tuple[Segment, ...]:
    """The turned outside from the rim to the axis with the tenon, y = -z; true arcs stay arcs."""
    segments: list[Segment] = []
    for curve in plan.bowls[0].shape.curves:
        match curve:
            case Span():
                centre = Point(curve.x, -curve.z)
                segments.append(Arc(centre, curve.radius, -curve.start, curve.start - curve.end))
            case Side():
                segments.append(Line(Point(curve.r0, -curve.z0), Point(curve.r1, -curve.z1)))
    corners = [segments[-1].end, *(Point(r, -z) for r, z in plan.outside[-TENON_CORNERS:])]
    return (*segments, *(Line(a, b) for a, b in itertools.pairwise(corners)))


def least_wall(plan: Plan, number: int) -> tuple[Point, Point]:
    """Where the wall of a bowl is least: a point outside and one inside it, as drawn, mm.

    Raises:
        IndexError: the bowl is the solid core, which has no wall.
    """
    at = plan.bowls[number - 1].wall_at
    if at is None:
        raise IndexError("the solid core has no wall")
    (r, z), (edge_r, edge_z) = at
    height = plan.cuts[number - 1].cutter_height

    def drawn(radius: float) -> float:
        return math.sqrt(max(0.0, radius * radius - height * height))

    return Point(r if number == 1 else drawn(r), -z), Point(drawn(edge_r), -edge_z)


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


def _figures(plan: Plan, drawn: list[Item], style: PrintStyle) -> list[Item]:
    """Every wall where it is least and every floor under the deepest point, with its figure."""
    around = Surroundings(drawn)
    lines: list[Item] = []
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
        if bowl.wall is not None:
            outer, inner = least_wall(plan, bowl.number)
            lines += dimension(outer, inner)
            wall = style.length(bowl.wall)
            named = style.say("bowl {number}: wall {wall}", number=bowl.number, wall=wall)
            middle = Point((outer.x + inner.x) / 2, (outer.y + inner.y) / 2)
            wanted.append((style.say("wall {wall}", wall=wall), named, middle))
    for item in lines:
        around.add(item)
    items = lines
    for text, other, place in wanted:
        items += around.set_figure((text, other), at=place)
    core = plan.bowls[-1]
    room = Point(core.tenon_diameter / 4, -core.depth / 2)
    name = style.say("core {number}, solid", number=core.number)
    return items + around.set_name(name, near=room)


def _order(plan: Plan, style: PrintStyle) -> str:
    """The working order of the cuts, and what holds the work."""
    cuts = ", ".join(str(n) for n in plan.sequence)
    if plan.job.nest.order is Order.OUTER_FIRST:
        return style.say(
            "cuts in order {cuts}: hold each core by its own tenon for the next", cuts=cuts
        )
    return style.say("cuts in order {cuts}: all from the blank's tenon", cuts=cuts)


def _table(plan: Plan, style: PrintStyle) -> list[tuple[float, str]]:
    """The wording below the section: indent in mm, and text."""
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
        shown = style.length(bowl.rim_diameter)
        row = style.say("bowl {number}: rim Ø {rim}", number=bowl.number, rim=shown)
        if bowl.wall is not None and bowl.floor is not None:
            row = style.say(
                "bowl {number}: rim Ø {rim}, wall {wall}, floor {floor}",
                number=bowl.number,
                rim=shown,
                wall=style.length(bowl.wall),
                floor=style.length(bowl.floor),
            )
        table.append((0.0, row))
        tenon = f"{style.length(bowl.tenon_diameter)} × {style.length(bowl.tenon_length)}"
        depth = style.length(bowl.depth)
        table.append((4.0, style.say("depth {depth}, tenon Ø {tenon}", depth=depth, tenon=tenon)))
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
                style.say("walls are shown where they are least; dashed: relief, tenons to turn"),
            ),
        ]
    return table
