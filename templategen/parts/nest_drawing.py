"""The nest for a screen: the half section in true proportion, in groups with stable ids.

Frame: x from the axis in the cutter's plane, the face at y = 0, depth downwards, mm. A group
has the id of what it shows (``bowl-1``, ``cut-2``, ``wall-1-least``), so that a page can move,
light up and name it; colours are the page's own.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from templategen.geometry.ring_shrinkage import dried_place
from templategen.geometry.shapes import Arc, Box, Line, Point, Segment, circle
from templategen.nest.plan import Bowl, BowlKind, Cut, Plan
from templategen.nest.plan_figures import rim_to_pith, ring_shrinkage
from templategen.parts.dimension import dimension
from templategen.parts.drawing import (
    ORIGIN,
    SAME,
    Anchor,
    Drawing,
    Item,
    Path,
    Role,
    Text,
    arc_path,
    cross,
    line,
    polar,
    polyline,
    run_through,
)
from templategen.parts.edges import inner_edge, outer_edge, relief_marks
from templategen.parts.half_section import outside_segments
from templategen.parts.style import PrintStyle
from templategen.trade.choices import LogRim
from templategen.trade.wood import wood_of
from templategen.units import Length

TINTS = 4  # classes of tints that bowls take in turn
HANDLE = 5.0  # mm: radius of what a pointer grips
TICK = math.radians(10)  # between the marks of a swing
MARK = 4.0  # mm: half length of a mark on the face or the axis
LETTER = 0.026  # size of figures, of the blank's diameter
NAME_ANGLE = math.radians(42)  # of the number of a bowl, from the pivot
OVAL_POINTS = 48  # of a dried rim
DRIED_POINTS = 14  # of each side of a dried outline
INNER = frozenset(  # classes of groups that lie inside the outside, the face and the axis
    ("bowl", "kerf", "relief", "tenon", "dry", "wall", "floor", "swing", "stop", "dried")
)

WallPlace = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
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
    """The least upright box round all groups, mm; what lies inside others is not looked at."""
    wide = (group for group in groups if group.classes.partition(" ")[0] not in INNER)
    return Drawing(items=tuple(item for group in wide for item in group.items)).bounds()


def nest_groups(plan: Plan, *, style: PrintStyle, pinned: frozenset[int]) -> Groups:
    """The half section, what lies below first.

    Args:
        plan: the plan.
        style: units and language of the figures.
        pinned: numbers of the cuts that the job fixes.
    """
    rim, height = plan.bowls[0].rim_diameter / 2, plan.job.blank.height
    outside = Path(segments=outside_segments(plan), role=Role.MARK)
    axis = line(0, MARK, 0, -height - MARK, dashed=True)
    groups = [
        *(_bowl(plan, bowl) for bowl in plan.bowls),
        DrawnGroup("outside", "outside", (outside,)),
        DrawnGroup("face", "face", (line(0, 0, rim, 0),)),
        DrawnGroup("axis", "axis", (axis,)),
    ]
    for cut in plan.cuts:
        groups += _kerf(cut)
        groups += _tenon(plan.bowls[cut.number], cut)
    groups += dried_groups(plan)
    lettering = _Lettering(plan, style)
    for bowl in plan.bowls:
        name = lettering.name(str(bowl.number), _middle_of(bowl, plan.cut_in(bowl)))
        groups.append(DrawnGroup(f"bowl-{bowl.number}-name", "name", (name,)))
    for bowl in plan.bowls:
        groups += _figures(plan, bowl, lettering)
    for cut in plan.cuts:
        text = style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)
        groups += _cut(cut, text, lettering.size, is_pinned=cut.number in pinned)
    for cut in plan.cuts:
        groups += _handles(cut)
    return tuple(groups)


def _of_bowl(what: str, bowl: Bowl, item: Item, *, classes: str = "") -> DrawnGroup:
    """A group with the number of its bowl."""
    number = str(bowl.number)
    return DrawnGroup(f"{what}-{number}", classes or what, (item,), (("number", number),))


def dried_groups(plan: Plan) -> Groups:
    """The outline of each bowl after drying, dashed: its half section across the grain.

    The places of its rim along the grain stay at the face: how far the rest of the rim rises
    above the face or sinks below it is how far the rim leaves its plane. Estimates; that the
    cutter stands above centre is left out, under 0.1 mm here.

    Returns: no group where the shrinkage of the wood is not known.
    """
    rings = ring_shrinkage(plan.job, wood_of(plan.job))
    if rings is None:
        return ()
    pith, log = rim_to_pith(plan.job), plan.job.log
    away = -1.0 if log is not None and log.rim is LogRim.BARK else 1.0  # from the pith, downwards
    groups = []
    for bowl in plan.bowls:
        corners = []
        for x, y in _outline_points(plan, bowl):
            u, v = dried_place(x, pith - away * y, rings)
            corners.append((u, away * (pith * (1 - rings.radial) - v)))
        groups.append(_of_bowl("dry", bowl, polyline(corners, role=Role.MARK, dashed=True)))
    return tuple(groups)


def _outline_points(plan: Plan, bowl: Bowl) -> Iterator[tuple[float, float]]:
    """Points along the half section of a bowl as it leaves the blank, without its axis."""
    for segment in _outline(plan, bowl):
        (x0, y0), (x1, y1) = segment.start, segment.end
        match segment:
            case Line():
                if max(x0, x1) > SAME:
                    yield from ((x0, y0), (x1, y1))
            case Arc():
                for n in range(DRIED_POINTS + 1):
                    yield segment.at(segment.from_angle + n / DRIED_POINTS * segment.sweep)


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
        green = arc_path(circle(ORIGIN, bowl.rim_diameter / 2), role=Role.MARK)
        groups += [_of_bowl("rim", bowl, green), _of_bowl("dried", bowl, oval)]
    return tuple(groups)


def _bowl(plan: Plan, bowl: Bowl) -> DrawnGroup:
    fill = Path(segments=_outline(plan, bowl), role=Role.NOTE, closed=True, fill=0.9, width=0.0)
    is_core = " core" if bowl.kind is BowlKind.CORE else ""
    classes = f"bowl tint-{(bowl.number - 1) % TINTS}{is_core}"
    return _of_bowl("bowl", bowl, fill, classes=classes)


def _outline(plan: Plan, bowl: Bowl) -> tuple[Segment, ...]:
    """The half section of a bowl, from its rim round its outside to the axis and back inside."""
    freed, hollowed = plan.cut_freeing(bowl), plan.cut_in(bowl)
    outside = outside_segments(plan) if freed is None else _core_outside(freed)
    inside = ORIGIN if hollowed is None else outer_edge(hollowed).reversed()
    return run_through([*outside, inside, outside[0].start])


def _core_outside(cut: Cut) -> tuple[Segment, ...]:
    """What a cut leaves of the core: the relief step down to its depth, then the inner edge."""
    inner, marks = inner_edge(cut), relief_marks(cut)
    if not marks:
        return (inner,)
    step = marks[0].segments
    foot, end = step[-1].end, inner.from_angle + inner.sweep
    first = math.atan2(foot.y - inner.centre.y, foot.x - inner.centre.x)
    return (*step, Arc(inner.centre, inner.radius, first, end - first))


def _wall_ends(plan: Plan, bowl: Bowl, at: WallPlace) -> tuple[Point, Point]:
    """The two ends of a wall: the edges of cuts are drawn in the cutter's plane."""
    (r, z), (edge_r, edge_z) = at
    height = plan.job.nest.height_above_centre

    def drawn(radius: float) -> float:
        return math.sqrt(max(0.0, radius * radius - height * height))

    return Point(r if bowl.number == 1 else drawn(r), -z), Point(drawn(edge_r), -edge_z)


def _kerf(cut: Cut) -> Iterator[DrawnGroup]:
    edges = tuple(arc_path(edge(cut), role=Role.MARK) for edge in (outer_edge, inner_edge))
    yield DrawnGroup(f"kerf-{cut.number}", "kerf", edges)
    relief = relief_marks(cut)
    if relief:
        yield DrawnGroup(f"relief-{cut.number}", "relief", tuple(relief))


def _tenon(bowl: Bowl, cut: Cut) -> Iterator[DrawnGroup]:
    """The tenon that will be turned on a core, dashed."""
    inner = cut.cutter.inner_radius
    foot = inner**2 - (bowl.depth + cut.pivot_standoff) ** 2
    neck, end = bowl.tenon_diameter / 2, bowl.tenon_end_diameter / 2
    if foot > 0 and cut.pivot_offset + math.sqrt(foot) > neck:
        x, bottom = cut.pivot_offset + math.sqrt(foot), bowl.depth + bowl.tenon_length
        corners = ((x, -bowl.depth), (neck, -bowl.depth), (end, -bottom), (0.0, -bottom))
        items = (polyline(corners, role=Role.NOTE, dashed=True),)
        yield DrawnGroup(f"tenon-{bowl.number}", "tenon", items)


class _Lettering:
    """Names and figures, each in a place where nothing is written yet."""

    def __init__(self, plan: Plan, style: PrintStyle) -> None:
        self.size = LETTER * plan.bowls[0].rim_diameter
        self._style = style
        spots = (at for cut in plan.cuts for _, at in _handle_places(cut))
        self._taken = [Box(x, y, x, y).grown(HANDLE) for x, y in spots]

    def name(self, text: str, at: Point) -> Text:
        """A name in bold about a place."""
        return self._placed(
            [Text(text=text, at=at, size=self.size, anchor=Anchor.MIDDLE, bold=True)]
        )

    def dimensioned(self, length: float, one: Point, two: Point) -> tuple[Item, ...]:
        """A dimension with its figure where there is room beside it."""
        text = self._style.text(Length(length, self._style.units, decimals=False))
        return (*dimension(one, two), self._placed(_beside(text, one, two, 0.8 * self.size)))

    def _placed(self, texts: Iterable[Text]) -> Text:
        """The first of some texts that touches nothing, or the first of all."""
        tried = [(text, text.bounds()) for text in texts]
        free = (one for one in tried if not any(one[1].meets(other) for other in self._taken))
        text, box = next(free, tried[0])
        self._taken.append(box)
        return text


def _figures(plan: Plan, bowl: Bowl, lettering: _Lettering) -> Iterator[DrawnGroup]:
    """The walls of a bowl where they are least and greatest, and its floor."""
    cut, n = plan.cut_in(bowl), bowl.number
    walls = (
        ("least", bowl.wall, bowl.wall_at),
        ("greatest", bowl.wall_greatest, bowl.wall_greatest_at),
    )
    for which, wall, places in walls:
        if wall is None or places is None:
            continue
        items = lettering.dimensioned(wall, *_wall_ends(plan, bowl, places))
        yield DrawnGroup(f"wall-{n}-{which}", f"wall {which}", items)
    if cut is not None and bowl.floor is not None:
        x = max(0.0, cut.pivot_offset)
        inner, outer = Point(x, -cut.deepest), Point(x, -bowl.depth)
        yield DrawnGroup(f"floor-{n}", "floor", lettering.dimensioned(bowl.floor, inner, outer))


def _middle_of(bowl: Bowl, cut: Cut | None) -> Point:
    """A place in the wood of a bowl, half way down its wall, for its number."""
    if cut is None:
        return Point(bowl.tenon_diameter / 4, -bowl.depth / 2)
    return _about_pivot(cut, cut.cutter.radius + (bowl.wall or 0.0) / 2, NAME_ANGLE)


def _about_pivot(cut: Cut, radius: float, angle: float) -> Point:
    """A point by its distance from the pivot and its angle below the face, radians."""
    return polar(radius, -angle, Point(cut.pivot_offset, cut.pivot_standoff))


def _beside(text: str, one: Point, two: Point, size: float) -> Iterator[Text]:
    """A figure on either side of its dimension, the middle first."""
    is_level = abs(two.y - one.y) < abs(two.x - one.x)
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        x, y = one.x + share * (two.x - one.x), one.y + share * (two.y - one.y)
        if is_level:
            for rise in (-1.1, -1.6, 0.4):
                at = Point(x, y + rise * size)
                yield Text(text=text, at=at, size=size, anchor=Anchor.MIDDLE)
        else:
            for aside, anchor in ((0.3, Anchor.START), (-0.3, Anchor.END)):
                at = Point(x + aside * size, y - 0.26 * size)
                yield Text(text=text, at=at, size=size, anchor=anchor)


def _cut(cut: Cut, name: str, size: float, *, is_pinned: bool) -> Iterator[DrawnGroup]:
    """A cut with its name, its marks and its swing."""
    n, edge = cut.number, outer_edge(cut)
    state = " pinned" if is_pinned else ""
    data = (("number", str(n)), ("cutter", cut.cutter.id))

    def group(what: str, *items: Item) -> DrawnGroup:
        return DrawnGroup(f"{what}-{n}", f"{what}{state}", items, data)

    yield group("cut", arc_path(edge, role=Role.CUT))
    at = Point(edge.start.x, HANDLE + (0.35 + n - 1) * size)
    label = Text(text=name, at=at, size=0.8 * size, anchor=Anchor.END)
    yield DrawnGroup(f"cut-{n}-name", f"name cut-name{state}", (label,))
    yield group("pivot", *cross(edge.centre, MARK))
    x, depth = edge.start.x, -cut.depth_at_axis
    yield group("entry", line(x, -MARK, x, MARK))
    yield group("depth", line(-MARK, depth, MARK, depth))
    first = cut.touch_angle
    ticks = [
        _across(cut, first + n * TICK, 0.0) for n in range(1, math.floor(cut.swing / TICK) + 1)
    ]
    if ticks:
        yield DrawnGroup(f"swing-{n}", "swing", tuple(ticks))
    if cut.stop_angle is not None:
        stop = _across(cut, first + cut.stop_angle, MARK)
        yield DrawnGroup(f"stop-{n}", "stop", (stop,), data)


def _across(cut: Cut, angle: float, over: float) -> Path:
    """A line across the kerf at an angle of the tip, and beyond it on both sides."""
    radii = cut.cutter.inner_radius - over, cut.cutter.radius + over
    return polyline([_about_pivot(cut, radius, angle) for radius in radii], role=Role.MARK)


def _handle_places(cut: Cut) -> Iterator[tuple[str, Point]]:
    """What a pointer grips, and where."""
    edge = outer_edge(cut)
    yield "entry", edge.start
    yield "depth", Point(0.0, -cut.depth_at_axis)
    yield "pivot", edge.centre


def _handles(cut: Cut) -> Iterator[DrawnGroup]:
    """Rings round entry, depth and pivot."""
    for what, at in _handle_places(cut):
        ring = arc_path(circle(at, HANDLE), role=Role.NOTE)
        data = (("cut", str(cut.number)), ("what", what))
        yield DrawnGroup(f"handle-{what}-{cut.number}", "handle", (ring,), data)
