"""The nest for a screen: the half section in true proportion, in groups with stable ids.

Frame: x from the axis in the cutter's plane, the face at y = 0, depth downwards, mm. A group
has the id of what it shows (``bowl-1``, ``cut-2``, ``wall-1-least``), so that a page can move,
light up and name it; colours are the page's own.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Point, circle
from templategen.nest.plan import Bowl, BowlKind, Cut, Plan
from templategen.parts.dimension import dimension
from templategen.parts.drawing import (
    Anchor,
    Drawing,
    Item,
    Path,
    Role,
    Text,
    arc_path,
    line,
    polyline,
)
from templategen.parts.edges import inner_edge, outer_edge, relief_marks
from templategen.parts.section_sheet import bowl_outline, drawn_wall, outside_segments
from templategen.parts.style import PrintStyle
from templategen.units import Length

TINTS = 4  # classes of tints that bowls take in turn
HANDLE = 5.0  # mm: radius of what a pointer grips
TICK = math.radians(10)  # between the marks of a swing
MARK = 4.0  # mm: half length of a mark on the face or the axis
LETTER = 0.026  # size of figures, of the blank's diameter
NAME_ANGLE = math.radians(42)  # of the number of a bowl, from the pivot
OVAL_POINTS = 72  # of a dried rim


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnGroup:
    """Some items that belong together.

    Args:
        id: unique in its drawing.
        classes: words for styling.
        items: at least one.
        data: further attributes by name, such as the number of the cut.
    """

    id: str
    classes: str
    items: tuple[Item, ...]
    data: tuple[tuple[str, str], ...] = ()


Groups = tuple[DrawnGroup, ...]


def bounds_of(groups: Groups) -> Box:
    """The least upright box round all groups, mm."""
    return Drawing(items=tuple(item for group in groups for item in group.items)).bounds()


def nest_groups(plan: Plan, *, style: PrintStyle, pinned: frozenset[int]) -> Groups:
    """The half section, what lies below first.

    Args:
        plan: the plan.
        style: units and language of the figures.
        pinned: numbers of the cuts that the job fixes.
    """
    rim, height = plan.bowls[0].rim_diameter / 2, plan.job.blank.height
    size = LETTER * 2 * rim
    groups = [_bowl(plan, bowl) for bowl in plan.bowls]
    groups += [
        DrawnGroup(
            id="outside",
            classes="outside",
            items=(Path(segments=outside_segments(plan), role=Role.MARK),),
        ),
        DrawnGroup(id="face", classes="face", items=(line(0, 0, rim, 0),)),
        DrawnGroup(
            id="axis", classes="axis", items=(line(0, MARK, 0, -height - MARK, dashed=True),)
        ),
    ]
    for cut in plan.cuts:
        groups += _kerf(cut)
        groups += _tenon(plan.bowls[cut.number], cut)
    for bowl in plan.bowls:
        groups += _figures(plan, bowl, style, size)
    for cut in plan.cuts:
        groups += _cut(cut, style, size, is_pinned=cut.number in pinned)
    for cut in plan.cuts:
        groups += _handles(cut)
    return tuple(groups)


def rim_groups(plan: Plan) -> Groups:
    """The rims as seen on the face: each green, and dashed as it dries, across the grain upright.

    Returns: no group where the shrinkage of the wood is not known.
    """
    groups: list[DrawnGroup] = []
    for bowl in plan.bowls:
        dried = bowl.dried
        if dried is None:
            continue
        along, across = dried.rim_along / 2, dried.rim_across / 2
        turns = (2 * math.pi * n / OVAL_POINTS for n in range(OVAL_POINTS))
        oval = polyline(
            [(along * math.cos(t), across * math.sin(t)) for t in turns],
            role=Role.MARK,
            closed=True,
            dashed=True,
        )
        green = arc_path(circle(Point(0.0, 0.0), bowl.rim_diameter / 2), role=Role.MARK)
        data = (("number", str(bowl.number)),)
        groups.append(DrawnGroup(id=f"rim-{bowl.number}", classes="rim", items=(green,), data=data))
        groups.append(
            DrawnGroup(id=f"dried-{bowl.number}", classes="dried", items=(oval,), data=data)
        )
    return tuple(groups)


def _bowl(plan: Plan, bowl: Bowl) -> DrawnGroup:
    fill = Path(segments=bowl_outline(plan, bowl), role=Role.NOTE, closed=True, fill=0.9, width=0.0)
    is_core = " core" if bowl.kind is BowlKind.CORE else ""
    return DrawnGroup(
        id=f"bowl-{bowl.number}",
        classes=f"bowl tint-{(bowl.number - 1) % TINTS}{is_core}",
        items=(fill,),
        data=(("number", str(bowl.number)),),
    )


def _kerf(cut: Cut) -> Iterator[DrawnGroup]:
    edges = tuple(arc_path(edge(cut), role=Role.MARK) for edge in (outer_edge, inner_edge))
    yield DrawnGroup(id=f"kerf-{cut.number}", classes="kerf", items=edges)
    relief = relief_marks(cut)
    if relief:
        yield DrawnGroup(id=f"relief-{cut.number}", classes="relief", items=tuple(relief))


def _tenon(bowl: Bowl, cut: Cut) -> Iterator[DrawnGroup]:
    """The tenon that will be turned on a core, dashed."""
    inner = cut.cutter.inner_radius
    foot = inner**2 - (bowl.depth + cut.pivot_standoff) ** 2
    neck, end = bowl.tenon_diameter / 2, bowl.tenon_end_diameter / 2
    if foot > 0 and cut.pivot_offset + math.sqrt(foot) > neck:
        x, bottom = cut.pivot_offset + math.sqrt(foot), bowl.depth + bowl.tenon_length
        corners = ((x, -bowl.depth), (neck, -bowl.depth), (end, -bottom), (0.0, -bottom))
        items = (polyline(corners, role=Role.NOTE, dashed=True),)
        yield DrawnGroup(id=f"tenon-{bowl.number}", classes="tenon", items=items)


def _figures(plan: Plan, bowl: Bowl, style: PrintStyle, size: float) -> Iterator[DrawnGroup]:
    """The name of a bowl, its walls where they are least and greatest, and its floor."""
    cut, n = plan.cut_in(bowl), bowl.number
    name = Text(text=str(n), at=_middle_of(bowl, cut), size=size, anchor=Anchor.MIDDLE, bold=True)
    yield DrawnGroup(id=f"bowl-{n}-name", classes="name", items=(name,))
    walls = (
        ("least", bowl.wall, bowl.wall_at),
        ("greatest", bowl.wall_greatest, bowl.wall_greatest_at),
    )
    for which, wall, places in walls:
        if wall is None or places is None:
            continue
        outer, inner = drawn_wall(plan, bowl, places)
        items = (*dimension(outer, inner), _figure(wall, inner, outer, style, size))
        yield DrawnGroup(id=f"wall-{n}-{which}", classes=f"wall {which}", items=items)
    if cut is not None and bowl.floor is not None:
        x = max(0.0, cut.pivot_offset)
        inner, outer = Point(x, -cut.deepest), Point(x, -bowl.depth)
        items = (*dimension(inner, outer), _figure(bowl.floor, inner, outer, style, size))
        yield DrawnGroup(id=f"floor-{n}", classes="floor", items=items)


def _middle_of(bowl: Bowl, cut: Cut | None) -> Point:
    """A place in the wood of a bowl, half way down its wall, for its number."""
    if cut is None:
        return Point(bowl.tenon_diameter / 4, -bowl.depth / 2)
    reach = cut.cutter.radius + (bowl.wall or 0.0) / 2
    return Point(
        cut.pivot_offset + reach * math.cos(NAME_ANGLE),
        cut.pivot_standoff - reach * math.sin(NAME_ANGLE),
    )


def _figure(length: float, one: Point, two: Point, style: PrintStyle, size: float) -> Text:
    """A figure beside the middle of its dimension: on its right, or below a level one."""
    text = style.text(Length(length, style.units, decimals=False))
    x, y, small = (one.x + two.x) / 2, (one.y + two.y) / 2, 0.8 * size
    if abs(two.y - one.y) > abs(two.x - one.x):
        return Text(text=text, at=Point(x + 0.3 * small, y - 0.26 * small), size=small)
    return Text(text=text, at=Point(x, y - 1.3 * small), size=small, anchor=Anchor.MIDDLE)


def _cut(cut: Cut, style: PrintStyle, size: float, *, is_pinned: bool) -> Iterator[DrawnGroup]:
    n, edge = cut.number, outer_edge(cut)
    state = " pinned" if is_pinned else ""
    data = (("number", str(n)), ("cutter", cut.cutter.id))
    yield DrawnGroup(
        id=f"cut-{n}", classes=f"cut{state}", items=(arc_path(edge, role=Role.CUT),), data=data
    )
    name = style.say("cut {number}: {cutter}", number=n, cutter=cut.cutter.id)
    label = Text(
        text=name, at=Point(edge.start.x, (0.4 + n - 1) * size), size=0.8 * size, anchor=Anchor.END
    )
    yield DrawnGroup(id=f"cut-{n}-name", classes=f"name cut-name{state}", items=(label,))
    p = edge.centre
    cross = (line(p.x - MARK, p.y, p.x + MARK, p.y), line(p.x, p.y - MARK, p.x, p.y + MARK))
    yield DrawnGroup(id=f"pivot-{n}", classes=f"pivot{state}", items=cross, data=data)
    x, depth = edge.start.x, -cut.depth_at_axis
    yield DrawnGroup(
        id=f"entry-{n}", classes=f"entry{state}", items=(line(x, -MARK, x, MARK),), data=data
    )
    yield DrawnGroup(
        id=f"depth-{n}",
        classes=f"depth{state}",
        items=(line(-MARK, depth, MARK, depth),),
        data=data,
    )
    first = cut.touch_angle
    ticks = [
        _across(cut, first + n * TICK, 0.0) for n in range(1, math.floor(cut.swing / TICK) + 1)
    ]
    if ticks:
        yield DrawnGroup(id=f"swing-{n}", classes="swing", items=tuple(ticks))
    if cut.stop_angle is not None:
        items = (_across(cut, first + cut.stop_angle, MARK),)
        yield DrawnGroup(id=f"stop-{n}", classes="stop", items=items, data=data)


def _across(cut: Cut, angle: float, over: float) -> Path:
    """A line across the kerf at an angle of the tip, and beyond it on both sides."""
    ends = []
    for radius in (cut.cutter.inner_radius - over, cut.cutter.radius + over):
        ends.append(
            (
                cut.pivot_offset + radius * math.cos(angle),
                cut.pivot_standoff - radius * math.sin(angle),
            )
        )
    (x0, y0), (x1, y1) = ends
    return line(x0, y0, x1, y1)


def _handles(cut: Cut) -> Iterator[DrawnGroup]:
    """What a pointer grips: entry, depth and pivot."""
    edge = outer_edge(cut)
    for what, at in (
        ("entry", edge.start),
        ("depth", Point(0.0, -cut.depth_at_axis)),
        ("pivot", edge.centre),
    ):
        ring = arc_path(Arc(at, HANDLE, 0.0, 2 * math.pi), role=Role.NOTE)
        yield DrawnGroup(
            id=f"handle-{what}-{cut.number}",
            classes="handle",
            items=(ring,),
            data=(("cut", str(cut.number)), ("what", what)),
        )
