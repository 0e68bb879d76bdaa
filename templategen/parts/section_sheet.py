"""Section sheet: the whole nest full size, sawn through the axis, every wall and floor dimensioned.

Frame: x is the true radius, the face lies on y = 0 and y = -z, mm. The pivots lie in the cutter's
plane; they stand where they are in front of the face, or in a detail of their own at half size
where a sheet has no room in front of the face.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Arc, Box, Point, Transform, union
from templategen.messages import tr_noop
from templategen.nest.plan import Bowl, Cut, Plan
from templategen.parts.dimension import CLEAR, Surroundings, dimension, moved_apart
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    cross,
    line,
    part_of,
    polyline,
)
from templategen.parts.edges import outer_edge
from templategen.parts.half_section import (
    bowl_outline,
    cut_edges,
    outside_segments,
    relief_step,
    stub,
    wall_ends,
)
from templategen.parts.labels import LEADING
from templategen.parts.lettering import text_width
from templategen.parts.section_wording import NOTES, Block, beside, column, under, wording_blocks
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import PartKind
from templategen.units import Length, format_length

TINTS = (0.86, 0.93)  # grey of the bowls in turn
STUB = 0.75  # grey of the stub
CROSS = 3.0  # mm: arm of a pivot's cross
IN_FRONT = 4.0  # mm from the face to the lowest line in front of it at least
NAME_ANGLES = [-math.radians(a) for a in (42, 50, 34, 58)]  # of a bowl's name, from the pivot
CUT_NAME_ANGLES = [-math.radians(a) for a in (62, 58, 66, 54, 70, 50, 46, 42, 74)]  # in the kerf
IN_KERF = 0.4  # mm between the name of a cut and the edges of its kerf at least
SEAM = range(163, 185)  # mm from the axis: laps where an upright sheet is full
DETAIL = 0.5  # scale of the detail of the pivots
PIVOT, PIVOT_ALONE = tr_noop("pivot {number}, R {radius}"), tr_noop("{number}: R {radius}")
LEAST_WALL = tr_noop("min {wall}"), tr_noop("bowl {number}: min {wall}")
GREATEST_WALL = tr_noop("max {wall}"), tr_noop("bowl {number}: max {wall}")
FLOOR = tr_noop("floor {wall}"), tr_noop("bowl {number}: floor {wall}")


@dataclass(frozen=True, slots=True)
class _Page:
    """What a sheet of A4 and one of letter both hold, mm, and whether the part may be turned."""

    width: float
    height: float
    may_turn: bool


UPRIGHT = _Page(180.9, 238.0, may_turn=False)
LYING = _Page(249.4, 169.5, may_turn=False)  # on a sheet that lies
TURNED = _Page(238.0, 180.9, may_turn=True)  # along an upright sheet


def make(plan: Plan, *, style: PrintStyle) -> tuple[Part, ...]:
    """The nest on one sheet where it fits on one, else on as few as its size needs."""
    section = _section(plan)
    figures = _figures(plan, section, style)
    in_front = _pivots(plan, PIVOT, style)
    items, may_turn = _composed(plan, [*section, *figures], in_front, style)
    return (
        part_of(
            PartKind.SECTION_SHEET,
            "section-sheet",
            style.say("Section sheet"),
            (*_tints(plan), *items),
            may_turn=may_turn,
        ),
    )


def _composed(
    plan: Plan, drawn: list[Item], in_front: list[Item], style: PrintStyle
) -> tuple[list[Item], bool]:
    """Section, pivots and wording as they fit a sheet, and whether the part may be turned."""
    blocks = wording_blocks(plan, style)
    whole = [*drawn, *in_front]
    detail = [blocks[0], _pivot_detail(plan, style), *blocks[1:]] if plan.cuts else blocks
    tries = (
        (UPRIGHT, whole, blocks, under),
        (LYING, whole, blocks, beside),
        (LYING, drawn, detail, beside),
        (TURNED, whole, blocks, beside),
        (TURNED, drawn, detail, beside),
        *(
            (page, drawn, detail[:-left_out], beside)
            for left_out in range(1, NOTES + 1)
            for page in (LYING, TURNED)
        ),
    )
    for page, items, rows, place in tries:
        own = union([item.bounds() for item in items])
        room = Box(own.left, own.top - page.height, own.left + page.width, own.top)
        texts = place(items, rows, room) if room.holds(own) else None
        if texts is not None:
            return [*items, *texts], page.may_turn
    tall = union([item.bounds() for item in whole]).height > UPRIGHT.height
    items, rows = (drawn, detail) if tall else (whole, blocks)
    return [*items, *column(rows, plan.bowls[0].rim_diameter / 2 + 8.0)], True


def _section(plan: Plan) -> list[Item]:
    """Outside, face, axis, edges of the cuts, relief steps, stubs and tenons to turn."""
    rim, height = plan.bowls[0].rim_diameter / 2, plan.job.blank.height
    items: list[Item] = [
        Path(segments=outside_segments(plan), role=Role.MARK),
        line(0, 0, rim, 0),
        line(0, 0, 0, -height, dashed=True),
    ]
    for cut, core in zip(plan.cuts, plan.bowls[1:], strict=True):
        items += [Path(segments=edge, role=Role.MARK) for edge in cut_edges(cut)]
        step = relief_step(core, cut)
        if step:
            items.append(Path(segments=step, role=Role.MARK, dashed=True))
        corners = stub(cut)
        if corners is not None:
            (_, top, bottom, _) = corners
            items.append(line(*top, *bottom))
        items += _tenon(core)
    return items


def _tints(plan: Plan) -> list[Path]:
    """The wood of each bowl as a light fill, the stubs darker; the kerfs stay white."""
    fills = [
        Path(
            segments=bowl_outline(plan, bowl),
            role=Role.NOTE,
            closed=True,
            fill=TINTS[bowl.number % len(TINTS)],
            width=0.0,
        )
        for bowl in plan.bowls
    ]
    stubs = [corners for corners in map(stub, plan.cuts) if corners is not None]
    fills += [
        polyline(corners, role=Role.NOTE, closed=True, fill=STUB, width=0.0) for corners in stubs
    ]
    return fills


def _tenon(bowl: Bowl) -> list[Item]:
    """The tenon that will be turned on a core, dashed."""
    outside = bowl.outside
    foot = min(outside, key=lambda at: abs(at[1] - bowl.depth))[0]
    neck, end = bowl.tenon_diameter / 2, bowl.tenon_end_diameter / 2
    if foot <= neck:
        return []
    low = -bowl.depth - bowl.tenon_length
    corners = ((foot, -bowl.depth), (neck, -bowl.depth), (end, low))
    return [polyline(corners, role=Role.NOTE, dashed=True)]


def _pivots(plan: Plan, name: str, style: PrintStyle, *, scale: float = 1.0) -> list[Item]:
    """The pivots in front of the face as crosses with the radii of their circles.

    Args:
        plan: the plan.
        name: wording with ``{number}`` and ``{radius}``.
        style: of the wording.
        scale: of the drawing.
    """
    items: list[Item] = []
    ordered = sorted(plan.cuts, key=lambda cut: cut.pivot_standoff)
    levels = [scale * cut.pivot_standoff for cut in ordered]
    places = moved_apart(levels, [LEADING] * len(ordered))
    lowest = min(places, default=0.0) - 0.5 * BODY
    places = [y + max(0.0, IN_FRONT - lowest) for y in places]
    right = scale * max((cut.pivot_offset for cut in plan.cuts), default=0.0) + CROSS + 4.0
    for cut, y in zip(ordered, places, strict=True):
        x0, y0 = scale * cut.pivot_offset, scale * cut.pivot_standoff
        items += cross(Point(x0, y0), CROSS)
        radius = style.length(cut.cutter.radius)
        text = style.say(name, number=cut.number, radius=radius)
        items.append(line(x0 + CROSS + 0.5, y0, right - 1.0, y, role=Role.NOTE))
        items.append(Text(text=text, at=Point(right, y - 0.26 * BODY)))
    return items


def _pivot_detail(plan: Plan, style: PrintStyle) -> Block:
    """The pivots at half size, over the face and beside the axis, as a block of its own."""
    items = _pivots(plan, PIVOT_ALONE, style, scale=DETAIL)
    around = union([item.bounds() for item in items])
    names = style.say("axis"), style.say("face")
    room = sum(text_width(name, size=BODY) for name in names) + 5.0
    left, right = min(around.left, -CROSS) - 1.0, max(around.right, room)
    items.append(line(left, 0.0, right, 0.0))
    items.append(line(0.0, -3.0, 0.0, around.top + 1.0, dashed=True))
    face = Text(text=names[1], at=Point(right, -BODY), anchor=Anchor.END)
    axis = Text(text=names[0], at=Point(1.5, -BODY))
    title = style.say("Pivots, half size")
    top = around.top + 2.0 + 0.24 * BODY
    items += [face, axis, Text(text=title, at=Point(left, top), bold=True)]
    whole = union([item.bounds() for item in items])
    placed = Drawing(items=tuple(items)).moved(Transform.move(-whole.left, -whole.top))
    return Block(items=placed.items, width=whole.width, height=whole.height)


@dataclass(frozen=True, slots=True)
class _Dimension:
    """A dimension between two points, with its wording from the longest to the shortest."""

    ends: tuple[Point, Point]
    wordings: tuple[str, ...]
    with_bowl: str  # for a figure that has no room beside its line

    @property
    def middle(self) -> Point:
        (x0, y0), (x1, y1) = self.ends
        return Point((x0 + x1) / 2, (y0 + y1) / 2)

    @property
    def level(self) -> int:
        """The longest wording that is no longer than the dimension line; else the shortest."""
        room = math.dist(*self.ends) - 2 * CLEAR
        widths = [text_width(wording, size=BODY) for wording in self.wordings]
        return next((n for n, width in enumerate(widths) if width <= room), len(widths) - 1)

    def lines(self) -> list[Item]:
        return dimension(*self.ends)


def _figures(plan: Plan, drawn: Sequence[Item], style: PrintStyle) -> list[Item]:
    """Names of bowls and cuts; every wall least and greatest, every floor, with its figure."""
    around = Surroundings([*drawn, *_likely_seam(plan)])
    names: list[Item] = []
    for cut in plan.cuts:
        names += _in_kerf(cut, style)
    for name in names:
        around.add(name)
    walls, floors = _walls(plan, style), _floors(plan, style)
    level = max((dim.level for dim in walls), default=0)  # the same wording all over the sheet
    lines = [dim.lines() for dim in (*walls, *floors)]
    for item in _shoulders(plan):
        around.add(item)
    texts: list[Item] = []
    late: list[_Dimension] = list(floors)
    for n, dim in enumerate(walls):
        others = [item for own in (*lines[:n], *lines[n + 1 :]) for item in own]
        along = around.set_along(dim.wordings[level:], *dim.ends, others=others)
        texts += along
        if not along:
            late.append(dim)
    for item in (i for own in lines for i in own):
        around.add(item)
    for dim in late:
        texts += around.set_figure((dim.wordings[level], dim.with_bowl), at=dim.middle)
    for bowl in plan.bowls:
        shown = style.text(bowl.shown_name)
        tries = (around.set_name(shown, near=place) for place in _middles_of(plan, bowl))
        names += next((found for found in tries if found), [])
    if len(names) < len(plan.cuts) + len(plan.bowls):
        names += _left_out(plan, names, around, style)
    return [*names, *(i for own in lines for i in own), *_shoulders(plan), *texts]


def _likely_seam(plan: Plan) -> list[Item]:
    """Lines where sheets of A4 or letter part a larger section: no figure stands there."""
    rim, height = plan.bowls[0].rim_diameter / 2, plan.job.blank.height
    if height <= TURNED.height or rim <= SEAM[-1]:
        return []
    return [line(x, 0.0, x, -height) for x in SEAM]


def _walls(plan: Plan, style: PrintStyle) -> list[_Dimension]:
    """The walls where they are least and greatest."""
    found = []
    for bowl in plan.bowls:
        for wall, at, templates in (
            (bowl.wall, bowl.wall_at, LEAST_WALL),
            (bowl.wall_greatest, bowl.wall_greatest_at, GREATEST_WALL),
        ):
            if wall is not None and at is not None:
                found.append(_dimension(wall, wall_ends(at), templates, bowl, style))
    return found


def _dimension(
    length: float,
    ends: tuple[Point, Point],
    templates: tuple[str, str],
    bowl: Bowl,
    style: PrintStyle,
) -> _Dimension:
    alone, with_bowl = templates
    first = style.units.first
    shown = (
        style.length(length),
        style.text(Length(length, first, decimals=False)),
        format_length(length, first, unit=False, wording=style.wording),
    )
    return _Dimension(
        ends,
        tuple(style.say(alone, wall=wall) for wall in shown),
        style.say(with_bowl, number=bowl.number, wall=shown[0]),
    )


def _floors(plan: Plan, style: PrintStyle) -> list[_Dimension]:
    """The floors under the deepest points."""
    found = []
    for bowl, cut in zip(plan.bowls, plan.cuts, strict=False):
        if bowl.floor is None:
            continue
        x = _deepest_radius(cut)
        ends = Point(x, -cut.deepest), Point(x, -bowl.depth)
        found.append(_dimension(bowl.floor, ends, FLOOR, bowl, style))
    return found


def _deepest_radius(cut: Cut) -> float:
    """True radius at which a cut is deepest, mm."""
    return math.hypot(max(0.0, cut.pivot_offset), cut.cutter_height)


def _shoulders(plan: Plan) -> list[Item]:
    """The level of each tenon's shoulder, from the axis to where its floor is dimensioned."""
    pairs = zip(plan.bowls, plan.cuts, strict=False)
    return [
        line(0.0, -bowl.depth, _deepest_radius(cut) + 5.0, -bowl.depth, role=Role.NOTE)
        for bowl, cut in pairs
        if bowl.floor is not None
    ]


def _cut_name(cut: Cut, style: PrintStyle) -> str:
    return style.say("cut {number}: {cutter}", number=cut.number, cutter=cut.cutter.id)


def _in_kerf(cut: Cut, style: PrintStyle) -> list[Text]:
    """The name of a cut in its kerf; nothing where the kerf is too narrow or too short."""
    radius = cut.cutter.radius - cut.cutter.kerf / 2
    text = _cut_name(cut, style)
    half = text_width(text, size=BODY, bold=True) / 2
    if half >= radius:
        return []
    sagitta = radius - math.sqrt(radius**2 - half**2)
    if (cut.cutter.kerf - BODY - sagitta) / 2 < IN_KERF:
        return []
    middle = Arc(outer_edge(cut).centre, radius - sagitta / 2, 0.0, 1.0)
    reach = half / radius + 0.02
    edge = outer_edge(cut)
    low, high = edge.from_angle + edge.sweep + reach, edge.from_angle - reach
    for angle in CUT_NAME_ANGLES:
        if not low <= angle <= high:
            continue
        at, turn = middle.at(angle), angle + math.pi / 2
        down = 0.26 * BODY
        spot = Point(at.x + down * math.sin(turn), at.y - down * math.cos(turn))
        return [Text(text=text, at=spot, angle=turn, anchor=Anchor.MIDDLE, bold=True)]
    return []


def _left_out(
    plan: Plan, names: Sequence[Item], around: Surroundings, style: PrintStyle
) -> list[Item]:
    """Names of cuts that have no room in their kerf, with leaders to its outer edge."""
    shown = {name.text for name in names if isinstance(name, Text)}
    items: list[Item] = []
    for cut in plan.cuts:
        name = _cut_name(cut, style)
        if name not in shown:
            place = outer_edge(cut).at(CUT_NAME_ANGLES[0])
            items += around.set_figure((name,), at=place)
    return items


def _middles_of(plan: Plan, bowl: Bowl) -> list[Point]:
    """Places in the wood of a bowl for its name, the best ones first: half way down its wall."""
    cut = plan.cut_in(bowl)
    if cut is None:
        return [Point(bowl.tenon_diameter / 4, -bowl.depth / 2)]
    middle = Arc(outer_edge(cut).centre, cut.cutter.radius + (bowl.wall or 0.0) / 2, 0.0, 1.0)
    return [middle.at(angle) for angle in NAME_ANGLES]
