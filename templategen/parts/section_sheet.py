"""Section sheet: the whole nest full size, half section, every wall and floor dimensioned."""

from templategen.geometry.shapes import Point
from templategen.nest.plan import Plan
from templategen.parts.cut_plate import edge_arc, relief_items
from templategen.parts.drawing import (
    Drawing,
    Item,
    Part,
    Role,
    Text,
    arc_path,
    line,
    polyline,
)
from templategen.parts.labels import block, job_line, length
from templategen.units import Units


def make(plan: Plan, *, units: Units) -> tuple[Part, ...]:
    """The nest: x from the axis, the face at the top, in the cutter's plane for each cut."""
    rim = plan.pieces[0].rim_diameter / 2
    height = plan.job.blank.height
    outside = [(r, -z) for r, z in plan.outside]
    items: list[Item] = [
        polyline(outside, role=Role.MARK),
        line(0, 0, rim, 0),
        line(0, 4, 0, -height - 4, dashed=True),
    ]
    for cut in plan.cuts:
        inner = cut.cutter.radius - cut.cutter.kerf
        items.append(arc_path(edge_arc(cut, cut.cutter.radius), role=Role.MARK))
        items.append(arc_path(edge_arc(cut, inner), role=Role.MARK))
        items += relief_items(cut)
    y = -height - 10.0
    table = [
        f"Section, half, full size: {job_line(plan, room=100.0)}",
        f"blank {length(2 * rim, units)} × {length(height, units)} {plan.job.blank.wood}",
    ]
    for piece in plan.pieces:
        row = f"piece {piece.number}: rim Ø {length(piece.rim_diameter, units)}"
        if piece.wall is not None and piece.floor is not None:
            row += f", wall {length(piece.wall, units)}, floor {length(piece.floor, units)}"
        table.append(row)
        table.append(
            f"    depth {length(piece.depth, units)}, tenon Ø "
            f"{length(piece.tenon_diameter, units)} × {length(piece.tenon_length, units)}"
        )
    if plan.cuts:
        table.append(
            f"cutter {length(plan.cuts[0].cutter_height, units)} above centre; "
            f"stub on the axis Ø {length(plan.cuts[0].stub, units)}: snap it off"
        )
    items += block(table, at=Point(2.0, y))
    for piece in plan.pieces:
        bottom = piece.depth
        cut_deep = plan.cuts[piece.number].deepest if piece.number < len(plan.cuts) else 0.0
        middle = -(bottom + cut_deep) / 2 - 1.1
        if piece.floor is not None:
            x = 14.0
            items.append(line(x, -cut_deep, x, -bottom))
            items.append(line(x - 2, -cut_deep, x + 2, -cut_deep))
            items.append(line(x - 2, -bottom, x + 2, -bottom))
            label = f"piece {piece.number}: floor {length(piece.floor, units)}"
            items.append(Text(text=label, at=Point(x + 3, middle)))
            if piece.wall is not None:
                wall = f"wall {length(piece.wall, units)}"
                items.append(Text(text=wall, at=Point(x + 3, middle - 4.4)))
        else:
            label = f"piece {piece.number}: solid core"
            items.append(Text(text=label, at=Point(17.0, -bottom / 2)))
    return (
        Part(
            kind="section sheet",
            key="section-sheet",
            title="Section sheet",
            drawing=Drawing(items=tuple(items)),
        ),
    )
